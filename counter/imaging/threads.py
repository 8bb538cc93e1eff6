"""How many threads the picture libraries use."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

import cv2

VARIABLES = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def use_one_thread() -> None:
    """Let this process's picture libraries use one thread: its neighbours use the other cores."""
    cv2.setNumThreads(1)


def is_one_thread() -> bool:
    """Whether one thread is all that this process's picture libraries use."""
    return cv2.getNumThreads() <= 1


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
