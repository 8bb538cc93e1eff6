"""How long work reports and how it is stopped; no Qt, so that every layer can use it."""

from __future__ import annotations

from typing import Protocol

from counter.errors import Cancelled


class Progress(Protocol):
    """What long work is handed: it reports through it and asks whether to go on."""

    def report(self, fraction: float, what: str = "") -> None:
        """Say that ``fraction`` (0 to 1) is done; ``what`` is the step under way.

        Raises :class:`~counter.errors.Cancelled` when the work should stop.
        """


class Silent:
    """A progress that nobody looks at and nobody cancels."""

    def report(self, fraction: float, what: str = "") -> None:
        """Do nothing."""


class Cancellable:
    """A progress without a display that another thread can cancel."""

    def __init__(self) -> None:
        self._cancelled = False

    def cancel(self) -> None:
        """Make the next report raise :class:`~counter.errors.Cancelled`."""
        self._cancelled = True

    def report(self, fraction: float, what: str = "") -> None:
        """Raise :class:`~counter.errors.Cancelled` once :meth:`cancel` was called."""
        del fraction
        if self._cancelled:
            raise Cancelled(f"Stopped while {what or 'working'}; nothing already counted is lost.")


class Part:
    """A share of a longer work's progress: reports of 0 to 1 become ``start`` to ``end``."""

    def __init__(self, whole: Progress, start: float, end: float, name: str = "") -> None:
        self._whole = whole
        self._start = start
        self._end = end
        self._name = name

    def report(self, fraction: float, what: str = "") -> None:
        """Pass the report on; raises :class:`~counter.errors.Cancelled` as the whole does."""
        done = self._start + (self._end - self._start) * min(1.0, max(0.0, fraction))
        self._whole.report(done, ": ".join(filter(None, (self._name, what))))
