"""The two kinds of error: the world's (:class:`CounterError`) and bugs (everything else)."""

from __future__ import annotations


class CounterError(Exception):
    """Something in the world is wrong: an unreadable picture, a full disk, a volume without unit.

    The message is one sentence that names the file or field and says what to do. Interfaces show
    it as it stands; they never show a traceback for it.
    """


class UsageError(CounterError):
    """What was asked makes no sense as asked; the command line exits with 2."""


class Cancelled(CounterError):  # noqa: N818 - what happened, not a failure
    """The person who started the work has stopped it."""
