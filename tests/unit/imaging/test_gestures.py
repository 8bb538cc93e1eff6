"""What a technician's hand does to marks."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.mark import Mark
from counter.domain.species import Species, StageRange, Target, TargetKind
from counter.errors import UsageError
from counter.imaging.gestures import cut, join, mark_at, moved, redrawn
from counter.imaging.photo import Photo

SPECIES = Species("t", "t", "t", (StageRange("small", 0, ""), StageRange("large", 150, "")),
                  (60, 350), (40, 80))  # fmt: skip
TARGET = Target(TargetKind.LARVAE, SPECIES, 60, 350)
BLANK = Photo(np.full((300, 420), 180, np.uint8)).with_scale(2.0)


def _box(left: float, top: float, width: float, height: float) -> Mark:
    corners = [(0, 0), (width, 0), (width, height), (0, height)]
    return redrawn([(left + x, top + y) for x, y in corners], BLANK, TARGET)


def _scene(depth: float, rim: bool = False, blur: float = 1.5) -> Photo:
    """One ellipse of 2 × 40 by 2 × 30 pixels at (210, 150), 2 µm a pixel, on noisy water."""
    grey = np.full((300, 420), 180, np.float32)
    cv2.ellipse(grey, (210, 150), (40, 30), 25, 0, 360, 180 - depth, 3 if rim else -1, cv2.LINE_AA)
    grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), blur), np.float32)
    grey += np.random.default_rng(5).normal(0, 3, grey.shape)
    return Photo(grey.clip(0, 255).astype(np.uint8)).with_scale(2.0)


@pytest.mark.parametrize(("dx", "dy"), [(0, 0), (15, 8), (-22, -10)])
@pytest.mark.parametrize(
    ("photo", "half"),
    [(_scene(60), 40.5), (_scene(-50), 40.5), (_scene(90, rim=True), 42)],
    ids=["dark", "bright", "rim only"],
)
def test_a_click_anywhere_inside_a_body_outlines_it(
    photo: Photo, half: float, dx: int, dy: int
) -> None:
    """The outline is the body's outer edge, wherever in it the click fell: length within 3 %."""
    mark = mark_at(photo, TARGET, 210 + dx, 150 + dy)
    assert mark.length_um == pytest.approx(2 * half * 2.0, rel=0.03)
    assert (mark.x_px, mark.y_px) == pytest.approx((210, 150), abs=3)
    assert (mark.mark_id, mark.origin, mark.score) == (0, "placed", 1.0)
    assert mark.stage == "large"


def test_a_click_on_a_faint_body_still_outlines_it() -> None:
    """A ghost hardly above the noise, which the finder may leave out, is followed all the same."""
    mark = mark_at(_scene(14, blur=3), TARGET, 214, 147)
    assert mark.length_um == pytest.approx(160, rel=0.15)


def test_a_click_on_empty_water_gives_the_usual_size() -> None:
    """Nothing to follow: an ellipse of the usual length round the click, flagged as doubtful."""
    mark = mark_at(BLANK, TARGET, 200, 140)
    assert (mark.x_px, mark.y_px) == pytest.approx((200, 140))
    assert mark.length_um == pytest.approx(np.sqrt(60 * 350), rel=0.01)
    assert "doubtful" in mark.flags


def test_a_click_between_bodies_borrows_no_rim_of_theirs() -> None:
    """Two neighbours lend a ring on empty water parts of their rims: that is no outline."""
    grey = np.full((300, 420), 180, np.float32)
    for x, y in ((120, 150), (260, 130)):
        cv2.ellipse(grey, (x, y), (40, 32), 25, 0, 360, 90, -1, cv2.LINE_AA)
    grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), 1.5), np.float32)
    grey += np.random.default_rng(5).normal(0, 3, grey.shape)
    photo = Photo(grey.clip(0, 255).astype(np.uint8)).with_scale(2.0)
    for x, y in ((190, 140), (180, 165), (330, 150), (120, 215)):
        assert "doubtful" in mark_at(photo, TARGET, x, y).flags
    assert "doubtful" not in mark_at(photo, TARGET, 262, 133).flags


def test_a_body_longer_than_usual_is_outlined_whole() -> None:
    """What reaches out of the usual surroundings is looked at again in wider ones: 340 µm long."""
    grey = np.full((320, 520), 180, np.float32)
    cv2.ellipse(grey, (250, 160), (85, 60), 10, 0, 360, 110, -1, cv2.LINE_AA)
    grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), 1.5), np.float32)
    grey += np.random.default_rng(6).normal(0, 3, grey.shape)
    photo = Photo(grey.clip(0, 255).astype(np.uint8)).with_scale(2.0)
    assert mark_at(photo, TARGET, 215, 150).length_um == pytest.approx(342, rel=0.03)


def test_a_click_by_the_border_is_cut() -> None:
    """The ellipse of a click at the edge ends at the border and says so."""
    mark = mark_at(BLANK, TARGET, 2, 140)
    assert mark.is_cut
    assert min(x for x, _ in mark.outline_px) == -0.5


def test_a_click_off_the_picture_is_refused() -> None:
    """A place off the picture is no place for a mark."""
    with pytest.raises(UsageError, match="off the picture"):
        mark_at(BLANK, TARGET, 500, 10)


def test_a_cut_shares_the_area_out() -> None:
    """Both parts together are the whole; each is measured and staged anew."""
    whole = _box(100, 100, 100, 40)
    one, other = cut(whole, BLANK, TARGET, (160, 90), (160, 160))
    assert one.area_um2 + other.area_um2 == pytest.approx(whole.area_um2)
    assert {round(one.area_um2 / 4), round(other.area_um2 / 4)} == {2400, 1600}
    assert "split" in one.flags
    assert one.stage == TARGET.stage_of(one.length_um)


@pytest.mark.parametrize(
    ("a", "b"), [((300, 0), (300, 10)), ((5, 5), (5, 5)), ((100, 0), (100, 9))]
)
def test_a_cut_beside_the_body_is_refused(a: tuple[int, int], b: tuple[int, int]) -> None:
    """A line that misses the outline, or is a point, cuts nothing."""
    with pytest.raises(UsageError):
        cut(_box(100, 100, 100, 40), BLANK, TARGET, a, b)


def test_cut_parts_join_to_the_whole_again() -> None:
    """Join undoes cut: same area within half a percent, same length, flagged as joined."""
    whole = _box(100, 100, 100, 40)
    joined = join(cut(whole, BLANK, TARGET, (120, 90), (170, 160)), BLANK, TARGET)
    assert joined.area_um2 == pytest.approx(whole.area_um2, rel=0.005)
    assert joined.length_um == pytest.approx(whole.length_um, rel=0.005)
    assert "merged" in joined.flags
    assert "split" not in joined.flags


def test_parts_that_lie_apart_join_to_their_hull() -> None:
    """Two halves of a body behind a fibre become one outline round both."""
    joined = join([_box(100, 100, 30, 40), _box(150, 100, 30, 40)], BLANK, TARGET)
    assert joined.area_um2 == pytest.approx(80 * 40 * 4, rel=0.01)


def test_one_mark_can_t_be_joined() -> None:
    """Joining is for two or more."""
    with pytest.raises(UsageError, match="two"):
        join([_box(100, 100, 30, 40)], BLANK, TARGET)


def test_a_drawn_outline_is_measured_as_drawn() -> None:
    """The points stay exactly where the hand put them."""
    mark = redrawn([(10, 10), (50, 10), (50, 40), (10, 40)], BLANK, TARGET)
    assert mark.length_um == pytest.approx(100)
    assert mark.outline_px == ((10, 10), (50, 10), (50, 40), (10, 40))


def test_a_drawn_line_that_crosses_itself_encloses_both_loops() -> None:
    """A lasso whose end overshoots its start is still one outline with a true area."""
    mark = redrawn([(0, 0), (40, 30), (40, 0), (0, 30)], BLANK, TARGET)
    assert mark.area_um2 == pytest.approx(600 * 4, rel=0.02)


@pytest.mark.parametrize("outline", [[], [(1, 1), (5, 5)], [(1, 1), (5, 5), (9, 9)]])
def test_an_outline_without_area_is_refused(outline: list[tuple[float, float]]) -> None:
    """A click, a stroke, nothing at all: no outline."""
    with pytest.raises(UsageError, match="encloses nothing"):
        redrawn(outline, BLANK, TARGET)


def test_moving_keeps_size_stage_and_state() -> None:
    """A shift changes the place and nothing else."""
    mark = _box(100, 100, 100, 40)
    shifted = moved(mark, 12.5, -7.25, BLANK)
    assert (shifted.x_px, shifted.y_px) == pytest.approx((mark.x_px + 12.5, mark.y_px - 7.25))
    assert shifted.length_um == pytest.approx(mark.length_um)
    assert (shifted.stage, shifted.state) == (mark.stage, mark.state)


def test_moving_over_the_border_cuts_and_back_uncuts() -> None:
    """Over the border: clipped and flagged. Away from it: the flag goes."""
    over = moved(_box(100, 100, 100, 40), -150, 0, BLANK)
    assert over.is_cut
    assert over.area_um2 == pytest.approx(50.5 * 40 * 4)
    assert not moved(over, 30, 0, BLANK).is_cut
    with pytest.raises(UsageError, match="off the picture"):
        moved(over, -300, 0, BLANK)


def test_pixels_are_needed_only_for_growing() -> None:
    """Marks measure in the photo's own scale."""
    coarse: NDArray[np.uint8] = np.zeros((300, 420), np.uint8)
    mark = redrawn([(10, 10), (50, 10), (50, 40)], Photo(coarse).with_scale(0.5), TARGET)
    assert mark.length_um == pytest.approx(25)
