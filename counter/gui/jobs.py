"""Work off the window's thread: it reports, it can be cancelled, its outcome arrives in order.

Callbacks always arrive in the thread that made the :class:`Jobs`. A job that is started under a
name overtakes an earlier one of the same name: the older is cancelled and none of its callbacks is
called any more. The threads are Python's own, and one QObject carries the news of all jobs: no
object of Qt's is made or deleted with a job, so none can be deleted while another thread uses it.
"""

from __future__ import annotations

import heapq
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from PySide6.QtCore import QObject, Qt, Signal, Slot

from counter.domain.progress import Progress
from counter.errors import Cancelled, CounterError

Result = TypeVar("Result")


class Ticket(Generic[Result]):
    """One job under way: the hand on its brake, and the progress that the work is given."""

    def __init__(self, tell: Callable[[float, str], None]) -> None:
        self._tell = tell
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
        self._tell(fraction, what)


@dataclass(slots=True, eq=False)
class _Task:
    """A job with what is called when it reports or ends."""

    number: int
    work: Callable[[Progress], Any]
    done: Callable[[Any], None]
    failed: Callable[[CounterError], None]
    report: Callable[[float, str], None] | None
    ticket: Ticket[Any] = field(init=False)


class Jobs(QObject):
    """Starts work in a few threads and hands the outcome back in its own thread."""

    _reported = Signal(int, float, str)
    _finished = Signal(int, object)
    _broke = Signal(int, object)

    def __init__(self, parent: QObject | None = None, threads: int = 2) -> None:
        super().__init__(parent)
        self._most_threads = threads
        self._threads: list[threading.Thread] = []
        self._waiting: list[tuple[int, int, _Task]] = []
        self._news = threading.Condition()
        self._stopping = False
        self._tasks: dict[int, _Task] = {}
        self._named: dict[str, Ticket[Any]] = {}
        self._number = 0
        queued = Qt.ConnectionType.QueuedConnection
        self._reported.connect(self._on_report, queued)
        self._finished.connect(self._on_finished, queued)
        self._broke.connect(self._on_broke, queued)

    def start(
        self,
        work: Callable[[Progress], Result],
        done: Callable[[Result], None],
        failed: Callable[[CounterError], None],
        report: Callable[[float, str], None] | None = None,
        name: str | None = None,
        priority: int = 0,
    ) -> Ticket[Result]:
        """Run ``work(progress)`` in a thread and return its ticket.

        ``done`` gets what it returned, ``failed`` a :class:`CounterError` (Cancelled when it was
        stopped). Any other exception is a bug: it is raised again in this object's thread, for the
        hook that shows bugs. ``name`` makes it overtake a job of the same name. Among waiting jobs
        those of a higher ``priority`` begin first.
        """
        self._number += 1
        number = self._number
        task = _Task(number, work, done, failed, report)
        task.ticket = Ticket(lambda share, what: self._reported.emit(number, share, what))
        if name is not None:
            if name in self._named:
                self._named[name].drop()
            self._named[name] = task.ticket
        self._tasks[number] = task
        with self._news:
            heapq.heappush(self._waiting, (-priority, number, task))
            if len(self._threads) < self._most_threads:
                thread = threading.Thread(target=self._run, name="hingeline-job", daemon=True)
                self._threads.append(thread)
                thread.start()
            self._news.notify()
        return task.ticket

    @property
    def under_way(self) -> int:
        """How many jobs have not yet handed over their outcome."""
        return len(self._tasks)

    def stop(self, wait_s: float = 10.0) -> bool:
        """Drop every job and wait for the threads to end; return whether they all did."""
        for task in self._tasks.values():
            task.ticket.drop()
        with self._news:
            self._waiting.clear()
            self._stopping = True
            self._news.notify_all()
        for thread in self._threads:
            thread.join(wait_s)
        ended = not any(thread.is_alive() for thread in self._threads)
        self._threads, self._stopping = [], False
        self._tasks.clear()
        return ended

    # --- in the threads

    def _run(self) -> None:
        """Take one job after another, the most urgent first, until all is stopped."""
        while (task := self._next()) is not None:
            try:
                result = task.work(task.ticket)
            except BaseException as error:  # handed over: raised again in the window's thread
                if not task.ticket.dropped or not isinstance(error, CounterError):
                    self._broke.emit(task.number, error)
                    continue
                self._broke.emit(task.number, None)
            else:
                self._finished.emit(task.number, result)

    def _next(self) -> _Task | None:
        with self._news:
            while not self._waiting and not self._stopping:
                self._news.wait()
            return None if self._stopping else heapq.heappop(self._waiting)[2]

    # --- in the thread of the window

    @Slot(int, float, str)
    def _on_report(self, number: int, fraction: float, what: str) -> None:
        task = self._tasks.get(number)
        if task is not None and task.report is not None and not task.ticket.is_cancelled:
            task.report(fraction, what)

    @Slot(int, object)
    def _on_finished(self, number: int, result: Any) -> None:
        task = self._tasks.pop(number, None)
        if task is not None and not task.ticket.dropped:
            task.done(result)

    @Slot(int, object)
    def _on_broke(self, number: int, error: BaseException | None) -> None:
        task = self._tasks.pop(number, None)
        if error is None:
            return
        if not isinstance(error, CounterError):
            raise error
        if task is not None and not task.ticket.dropped:
            task.failed(error)
