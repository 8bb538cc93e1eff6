"""Work that is shared out among threads."""

from __future__ import annotations

import threading

import cv2
import pytest

from counter.imaging.threads import MOST_PARTS, in_parts


@pytest.mark.parametrize("threads", [1, 2, 3, 64])
@pytest.mark.parametrize("count", [0, 1, 9, 10, 19, 20, 35, 1000])
def test_every_thing_is_worked_on_once_and_in_order(
    threads: int, count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In no more parts than threads, none of which is too small to be worth it."""
    monkeypatch.setattr(cv2, "getNumThreads", lambda: threads)
    things = list(range(count))
    parts = in_parts(lambda part: things[part], count, 10)
    assert [thing for part in parts for thing in part] == things
    assert len(parts) <= min(threads, MOST_PARTS)
    assert len(parts) == 1 or min(map(len, parts)) >= 10


def test_parts_are_worked_on_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each waits until all have begun; with one thread it would wait for ever."""
    monkeypatch.setattr(cv2, "getNumThreads", lambda: 3)
    begun = threading.Barrier(3, timeout=30)
    assert sorted(in_parts(lambda _: begun.wait(), 3, 1)) == [0, 1, 2]


def test_what_goes_wrong_in_a_part_is_raised(monkeypatch: pytest.MonkeyPatch) -> None:
    """Also in a part that another thread works on."""
    monkeypatch.setattr(cv2, "getNumThreads", lambda: 2)

    def work(part: slice) -> None:
        if part.start:
            raise ValueError("part")

    with pytest.raises(ValueError, match="part"):
        in_parts(work, 20, 10)
