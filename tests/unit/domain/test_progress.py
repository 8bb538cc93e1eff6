"""Work reports, and stops when it is asked to."""

from __future__ import annotations

import threading

import pytest

from counter.domain.progress import Cancellable, Progress, Silent
from counter.errors import Cancelled


def test_a_silent_progress_lets_work_go_on() -> None:
    """It never stops anything."""
    progress: Progress = Silent()
    for step in range(3):
        progress.report(step / 3, "counting")


def test_cancelled_work_stops_at_its_next_report() -> None:
    """Before, it goes on; after, the report raises with what was under way."""
    progress = Cancellable()
    progress.report(0.1, "finding larvae")
    progress.cancel()
    with pytest.raises(Cancelled, match="while finding larvae; nothing already counted is lost"):
        progress.report(0.2, "finding larvae")
    with pytest.raises(Cancelled, match="while working"):
        progress.report(0.3)


def test_work_can_be_cancelled_from_another_thread() -> None:
    """The window's thread cancels, the worker's stops."""
    progress = Cancellable()
    other = threading.Thread(target=progress.cancel)
    other.start()
    other.join()
    with pytest.raises(Cancelled):
        progress.report(0.5)
