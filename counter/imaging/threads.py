"""How many threads the picture libraries use, and work that is shared out among as many."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from itertools import pairwise
from typing import TypeVar

import cv2

Made = TypeVar("Made")

MOST_PARTS = 4
"""Among more threads the language itself, which runs one at a time, is what is waited for."""

VARIABLES = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def use_one_thread() -> None:
    """Let this process's picture libraries use one thread: its neighbours use the other cores."""
    cv2.setNumThreads(1)


def is_one_thread() -> bool:
    """Whether one thread is all that this process's picture libraries use."""
    return cv2.getNumThreads() <= 1


def in_parts(work: Callable[[slice], Made], count: int, least: int) -> list[Made]:
    """Return what ``work`` makes of each part of ``count`` things, the first part first.

    The parts are worked on at once, where this process may use more than one core; none has fewer
    than ``least`` things, unless it is the only one.
    """
    number = max(1, min(cv2.getNumThreads(), MOST_PARTS, count // least))
    cuts = [part * count // number for part in range(number + 1)]
    first, *others = (slice(start, stop) for start, stop in pairwise(cuts))
    if not others:
        return [work(first)]
    with ThreadPoolExecutor(len(others), "part") as pool:
        made = pool.map(work, others)
        return [work(first), *made]


@contextmanager
def one_thread_in_new_processes() -> Iterator[None]:
    """Let processes that are started meanwhile read, as they load, that one thread is enough."""
    before = {name: os.environ.get(name) for name in VARIABLES}
    os.environ.update(dict.fromkeys(VARIABLES, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
