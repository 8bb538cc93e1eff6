"""Many pictures: a pool of spawned processes, one thread each, that can be stopped at any time."""

from __future__ import annotations

import hashlib
import multiprocessing
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing.synchronize import Event
from pathlib import Path
from typing import ClassVar

from counter.counting.pictures import count_one
from counter.counting.scaling import NoScaleError
from counter.counting.settings import CountSettings
from counter.domain.field import PictureField
from counter.domain.progress import Progress
from counter.errors import Cancelled, CounterError
from counter.imaging.threads import one_thread_in_new_processes, use_one_thread

LOST = (
    "the process that counted it was stopped by the system, perhaps for want of memory; close "
    "other programs or cut the picture into parts, and count it again."
)

TICK_S = 0.1
"""How long, in seconds, a stop may go unheard."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of file number ``index``: fields, or the reason why not.

    ``digest`` is the same for two files with the same bytes. ``lacks_scale`` says that nothing but
    a scale is missing.
    """

    index: int
    fields: tuple[PictureField, ...] = ()
    digest: str = ""
    reason: str | None = None
    lacks_scale: bool = False


class _Worker:
    """A worker process's own flag: set when the work should stop."""

    stop: ClassVar[Event | None] = None

    def report(self, fraction: float, what: str = "") -> None:
        """Raise :class:`Cancelled` when the flag is set."""
        del fraction
        if self.stop is not None and self.stop.is_set():
            raise Cancelled(f"Stopped while {what or 'counting'}.")


def outcome_of(index: int, path: Path, settings: CountSettings, progress: Progress) -> Outcome:
    """Count one file; what is wrong with it becomes a reason, without the name before it."""
    try:
        fields = tuple(count_one(path, settings, progress))
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
    except Cancelled:
        raise
    except MemoryError:
        return Outcome(index, reason="there is not enough memory to count it; cut it into parts.")
    except CounterError as error:
        reason = str(error).removeprefix(f"{path}: ")
        return Outcome(index, reason=reason, lacks_scale=isinstance(error, NoScaleError))
    return Outcome(index, fields, digest)


def outcomes(
    files: Sequence[tuple[int, Path]],
    settings: CountSettings,
    jobs: int,
    tick: Callable[[], object],
) -> Iterator[Outcome]:
    """Yield the outcome of each numbered file as it is done, from ``jobs`` processes.

    ``tick`` is called several times a second meanwhile; what it raises stops the work. Closing the
    iterator stops the processes within a step of the detection. A process that the system kills
    takes the files of its pool with it: each of these is then tried alone.
    """
    lost = []
    for index, outcome in _pooled(files, settings, jobs, tick):
        if outcome is None:
            lost.append(index)
        else:
            yield outcome
    for index, path in [entry for entry in files if entry[0] in lost]:
        if len(files) == 1:
            yield Outcome(index, reason=LOST)
        else:
            yield from outcomes([(index, path)], settings, 1, tick)


def _pooled(
    files: Sequence[tuple[int, Path]],
    settings: CountSettings,
    jobs: int,
    tick: Callable[[], object],
) -> Iterator[tuple[int, Outcome | None]]:
    """Yield number and outcome of each file; None where its process was killed."""
    context = multiprocessing.get_context("spawn")
    stop = context.Event()
    with one_thread_in_new_processes():
        pool = ProcessPoolExecutor(min(jobs, len(files)), context, _begin, (stop,))
        try:
            with _deaf_to_ctrl_c():
                waiting = {
                    pool.submit(_work, index, path, settings): index for index, path in files
                }
            while waiting:
                done, _ = wait(waiting, TICK_S, FIRST_COMPLETED)
                for future in done:
                    yield waiting.pop(future), _result(future)
                tick()
        finally:
            stop.set()
            pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _deaf_to_ctrl_c() -> Iterator[None]:
    """Start processes that never hear Ctrl-C, also before :func:`_begin`; here it is heard after.

    They inherit the mask of signals; Windows has none.
    """
    if sys.platform == "win32":
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _result(future: Future[Outcome]) -> Outcome | None:
    try:
        return future.result()
    except BrokenProcessPool:
        return None


def _begin(stop: Event) -> None:
    """Prepare a worker: the parent alone hears Ctrl-C, and one thread is enough."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    use_one_thread()
    _Worker.stop = stop


def _work(index: int, path: Path, settings: CountSettings) -> Outcome:
    return outcome_of(index, path, settings, _Worker())
