"""Work off the window's thread: it reports, it can be cancelled, its outcome arrives in order.

Callbacks always arrive in the thread of the :class:`Jobs` that started the work. A job that is
started under a name overtakes an earlier one of the same name: the older is cancelled and none of
its callbacks is called any more.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Generic, TypeVar

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal, Slot

from counter.domain.progress import Progress
from counter.errors import Cancelled, CounterError

Result = TypeVar("Result")


class _Relay(QObject):
    """Carries what a job says into the thread that started it."""

    reported = Signal(float, str)
    finished = Signal(object)
    failed = Signal(object)


class Ticket(Generic[Result]):
    """One job under way: the hand on its brake, and the progress that the work is given."""

    def __init__(self, relay: _Relay) -> None:
        self._relay = relay
        self._cancelled = False
        self.dropped = False

    @property
    def is_cancelled(self) -> bool:
        """Whether somebody asked it to stop."""
        return self._cancelled

    def cancel(self) -> None:
        """Ask the work to stop at its next report; ``failed`` is then called with Cancelled."""
        self._cancelled = True

    def drop(self) -> None:
        """Ask the work to stop and never call back."""
        self._cancelled = True
        self.dropped = True

    def report(self, fraction: float, what: str = "") -> None:
        """Pass the progress on; called by the work, in its own thread."""
        if self._cancelled:
            raise Cancelled(f"Stopped while {what or 'working'}; nothing already counted is lost.")
        self._relay.reported.emit(fraction, what)


class _Run(QRunnable):
    def __init__(self, work: Callable[[Progress], Any], ticket: Ticket[Any], relay: _Relay) -> None:
        super().__init__()
        self._work, self._ticket, self._relay = work, ticket, relay

    def run(self) -> None:
        try:
            result = self._work(self._ticket)
        except BaseException as error:  # handed over: a bug is raised again in the window's thread
            self._relay.failed.emit(error)
        else:
            self._relay.finished.emit(result)


class Jobs(QObject):
    """Starts work in a pool of threads and hands the outcome back in its own thread."""

    def __init__(self, parent: QObject | None = None, threads: int = 2) -> None:
        super().__init__(parent)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(threads)
        self._named: dict[str, Ticket[Any]] = {}
        self._live: dict[_Relay, Ticket[Any]] = {}

    def start(
        self,
        work: Callable[[Progress], Result],
        done: Callable[[Result], None],
        failed: Callable[[CounterError], None],
        report: Callable[[float, str], None] | None = None,
        name: str | None = None,
    ) -> Ticket[Result]:
        """Run ``work(progress)`` in a thread and return its ticket.

        ``done`` gets what it returned, ``failed`` a :class:`CounterError` (Cancelled when it was
        stopped). Any other exception is a bug: it is raised again in this object's thread, for the
        hook that shows bugs. ``name`` makes it overtake a job of the same name.
        """
        relay = _Relay(self)
        ticket: Ticket[Result] = Ticket(relay)
        if name is not None:
            if name in self._named:
                self._named[name].drop()
            self._named[name] = ticket
        _Outcome(relay, ticket, done, failed, report, self._forget)
        self._live[relay] = ticket
        self._pool.start(_Run(work, ticket, relay))
        return ticket

    def _forget(self, relay: _Relay) -> None:
        self._live.pop(relay, None)
        relay.deleteLater()

    @property
    def under_way(self) -> int:
        """How many jobs have not yet handed over their outcome."""
        return len(self._live)

    def stop(self, wait_ms: int = 10_000) -> bool:
        """Drop every job and wait for the threads to end; return whether they all did."""
        for ticket in self._live.values():
            ticket.drop()
        self._pool.clear()
        return self._pool.waitForDone(wait_ms)


class _Outcome(QObject):
    """Receives one job's signals in the thread of its relay."""

    def __init__(
        self,
        relay: _Relay,
        ticket: Ticket[Any],
        done: Callable[[Any], None],
        failed: Callable[[CounterError], None],
        report: Callable[[float, str], None] | None,
        forget: Callable[[_Relay], None],
    ) -> None:
        super().__init__(relay)
        self._relay, self._ticket = relay, ticket
        self._done, self._failed, self._report, self._forget = done, failed, report, forget
        relay.reported.connect(self._on_report)
        relay.finished.connect(self._on_finished)
        relay.failed.connect(self._on_failed)

    @Slot(float, str)
    def _on_report(self, fraction: float, what: str) -> None:
        if self._report is not None and not self._ticket.is_cancelled:
            self._report(fraction, what)

    @Slot(object)
    def _on_finished(self, result: Any) -> None:
        self._forget(self._relay)
        if not self._ticket.dropped:
            self._done(result)

    @Slot(object)
    def _on_failed(self, error: BaseException) -> None:
        self._forget(self._relay)
        if isinstance(error, CounterError):
            if not self._ticket.dropped:
                self._failed(error)
            return
        raise error
