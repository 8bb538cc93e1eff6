"""From picture files to a counted sample."""

from counter.counting.pictures import count_one, count_photo
from counter.counting.run import Counted, Failure, count_pictures
from counter.counting.settings import CountSettings

__all__ = ["CountSettings", "Counted", "Failure", "count_one", "count_photo", "count_pictures"]
