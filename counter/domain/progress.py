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
