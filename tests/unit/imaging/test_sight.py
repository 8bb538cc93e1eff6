"""The network's look at a picture, beside the work that makes the picture ready."""

from __future__ import annotations

import threading
from unittest.mock import Mock

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.progress import Silent
from counter.imaging import sight
from counter.imaging.detect import detect
from counter.imaging.net import Answer, NoNetworkError, ask
from counter.imaging.photo import Photo
from counter.imaging.sight import looking, sight_of
from tests.accuracy.scenes import KINDS, scene, target_for

TARGET = target_for(KINDS["d-hinge"])


def _photo() -> Photo:
    drawn = scene("d-hinge", 3)
    return Photo(drawn.pixels).with_scale(drawn.um_per_px)


@pytest.fixture(params=[True, False], ids=["one thread", "more threads"])
def one_thread(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Whether this process is told to use one thread."""
    monkeypatch.setattr(sight, "is_one_thread", lambda: request.param)
    return bool(request.param)


def _looked(monkeypatch: pytest.MonkeyPatch) -> list[threading.Thread]:
    """The threads in which the network looks from now on."""
    threads: list[threading.Thread] = []

    def watched(net: cv2.dnn.Net, seen: NDArray[np.float32]) -> Answer:
        threads.append(threading.current_thread())
        return ask(net, seen)

    monkeypatch.setattr(sight, "ask", watched)
    return threads


@pytest.mark.usefixtures("one_thread")
def test_it_sees_the_same_beside_other_work() -> None:
    """To the last digit, also with the brightest places of a larger picture."""
    photo = _photo()
    for light in (None, 300.0):
        plain = sight_of(photo, TARGET, light)
        with looking(photo, TARGET, light) as ahead:
            seen = ahead()
        assert np.array_equal(seen.seen, plain.seen)
        assert np.array_equal(seen.answer.depth, plain.answer.depth)
        assert np.array_equal(seen.answer.log_radius, plain.answer.log_radius)


def test_it_looks_in_a_thread_of_its_own(one_thread: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whether asked or not; where one thread is enough only when it is asked, and in this one."""
    threads = _looked(monkeypatch)
    with looking(_photo(), TARGET):
        pass
    assert len(threads) == (0 if one_thread else 1)
    with looking(_photo(), TARGET) as ahead:
        ahead()
    assert (threads[-1] is threading.current_thread()) == one_thread


@pytest.mark.usefixtures("one_thread")
def test_what_goes_wrong_is_said_where_the_sight_is_asked_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The finder then goes on with the older one; not asked for, nothing is raised."""
    monkeypatch.setattr(sight, "load", Mock(side_effect=NoNetworkError("gone.")))
    with looking(_photo(), TARGET):
        pass
    with looking(_photo(), TARGET) as ahead, pytest.raises(NoNetworkError, match="gone"):
        ahead()
    found = detect(_photo(), TARGET, Silent())
    assert any("older finder" in said for said in found.warnings)
    assert len(found.marks) > 5


def test_marks_do_not_depend_on_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    """One after the other or at once: the same marks."""
    found = []
    for is_one in (True, False):
        monkeypatch.setattr(sight, "is_one_thread", lambda is_one=is_one: is_one)
        found.append(detect(_photo(), TARGET, Silent()))
    assert found[0] == found[1]
    assert len(found[0].marks) > 5
