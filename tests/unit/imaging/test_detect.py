"""Detection as the rest of the program sees it: marks, area, warnings, progress, cancel."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.progress import Cancellable, Silent
from counter.domain.species import Species, StageRange, Target, TargetKind
from counter.errors import Cancelled
from counter.imaging.detect import Detection, detect
from counter.imaging.photo import Photo

SPECIES = Species(
    "test", "test", "test", (StageRange("d-hinge", 0, ""), StageRange("umbo", 150, "")),
    (60, 350), (40, 80),
)  # fmt: skip
TARGET = Target(TargetKind.LARVAE, SPECIES, 60, 350)
BODIES = [
    (120, 90, 40, 30, 20),
    (300, 200, 60, 45, 100),
    (460, 120, 25, 20, 0),
    (200, 330, 90, 70, 45),
]


def _picture(water: int = 190, body: int = 110) -> NDArray[np.uint8]:
    """Four filled ellipses on water with noise, 430 × 560 pixels."""
    grey = np.full((430, 560), water, np.float32)
    for x, y, a, b, turn in BODIES:
        cv2.ellipse(grey, (x, y), (a, b), turn, 0, 360, float(body), -1, cv2.LINE_AA)
    grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), 1.2), np.float32)
    grey += np.random.default_rng(1).normal(0, 3, grey.shape)
    return np.clip(grey, 0, 255).astype(np.uint8)


def _detect(pixels: NDArray[np.uint8] | NDArray[np.uint16], um_per_px: float = 1.5) -> Detection:
    return detect(Photo(pixels).with_scale(um_per_px), TARGET, Silent())


@pytest.mark.parametrize(("water", "body"), [(190, 110), (12, 150), (120, 190)])
def test_dark_and_bright_bodies_are_found_and_measured(water: int, body: int) -> None:
    """Dark on bright, bright on dark field, bright on grey: all four, lengths within 2 %."""
    found = _detect(_picture(water, body))
    assert len(found.marks) == len(BODIES)
    for x, y, a, _, _ in BODIES:
        mark = min(found.marks, key=lambda each: np.hypot(each.x_px - x, each.y_px - y))
        assert (mark.x_px, mark.y_px) == pytest.approx((x, y), abs=1.0)
        assert mark.length_um == pytest.approx((2 * a + 1) * 1.5, rel=0.02)


def test_marks_are_numbered_staged_and_scored() -> None:
    """Ids run from 1; the stage is the table's for the length; the score is a probability."""
    found = _detect(_picture())
    assert [mark.mark_id for mark in found.marks] == [1, 2, 3, 4]
    assert all(mark.stage == SPECIES.stage_of(mark.length_um) for mark in found.marks)
    assert all(0 <= mark.score <= 1 and mark.origin == "found" for mark in found.marks)


def test_the_area_is_the_picture_s() -> None:
    """Where everything shows the field the area is width × height."""
    found = _detect(_picture())
    assert found.area_mm2 == pytest.approx(430 * 560 * 1.5**2 * 1e-6)
    assert found.warnings == ()


@pytest.mark.parametrize(
    "turned",
    [np.fliplr, np.flipud, np.rot90, lambda p: np.clip(p * 0.7, 0, 255).astype(np.uint8),
     lambda p: (p.astype(np.uint16) * 16), lambda p: np.repeat(p[..., None], 3, axis=2)],
    ids=["mirror", "upside down", "quarter turn", "gain", "12 of 16 bits", "colour"],
)  # fmt: skip
def test_the_same_is_found_however_the_picture_is_turned_or_stored(
    turned: Callable[[NDArray[np.uint8]], NDArray[np.uint8]],
) -> None:
    """Mirror, quarter turn, gain, bits and channels change neither count nor lengths."""
    picture = _picture()
    straight = sorted(mark.length_um for mark in _detect(picture).marks)
    other = sorted(mark.length_um for mark in _detect(np.ascontiguousarray(turned(picture))).marks)
    assert other == pytest.approx(straight, rel=0.02)


def test_a_body_on_the_border_is_marked_cut_and_reaches_the_border() -> None:
    """Its outline ends half a pixel outside the outer pixel centres, where the frame is."""
    found = _detect(_picture()[:, 110:])
    cut = [mark for mark in found.marks if mark.is_cut]
    assert len(cut) == 1
    assert min(x for x, _ in cut[0].outline_px) == -0.5


def test_an_empty_field_has_no_marks() -> None:
    """Water with noise is no larva; nothing found is no error."""
    water = np.random.default_rng(2).normal(180, 4, (301, 420)).clip(0, 255).astype(np.uint8)
    assert _detect(water).marks == ()


def test_a_picture_of_one_value_has_no_marks() -> None:
    """A blank picture (lamp off, cap on) is no error either."""
    assert _detect(np.zeros((201, 330), np.uint8)).marks == ()


def test_cancel_stops_it() -> None:
    """A cancelled progress stops the work with Cancelled."""
    progress = Cancellable()
    progress.cancel()
    with pytest.raises(Cancelled):
        detect(Photo(_picture()).with_scale(1.5), TARGET, progress)


def test_progress_grows_to_one() -> None:
    """The steps are reported in growing order, the last one as done."""

    class Noting:
        def __init__(self) -> None:
            self.seen: list[float] = []

        def report(self, fraction: float, what: str = "") -> None:
            del what
            self.seen.append(fraction)

    progress = Noting()
    detect(Photo(_picture()).with_scale(1.5), TARGET, progress)
    assert progress.seen == sorted(progress.seen)
    assert progress.seen[-1] == 1.0
