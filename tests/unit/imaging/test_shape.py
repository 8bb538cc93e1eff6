"""The shapes of many contours at once, against each alone."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.imaging.shape import forms_of, shape_of


def bent(seed: int, count: int, points: int = 72) -> np.ndarray:
    """Ovals with up to five bays, as pixels, beginning anywhere and run through either way."""
    rng = np.random.default_rng(seed)
    turn = (np.arange(points) + rng.integers(0, points, (count, 1))) * 2 * np.pi / points
    turn = turn * rng.choice([-1, 1], (count, 1))
    bays = rng.integers(0, 6, (count, 1))
    far = rng.uniform(4, 30, (count, 1)) * (1 + rng.uniform(0, 0.4) * np.cos(bays * turn))
    oval = np.stack([far * np.cos(turn), 0.7 * far * np.sin(turn)], axis=2)
    return np.asarray(np.round(oval + 40), np.int32)


@given(st.integers(0, 2**32 - 1), st.integers(1, 5))
def test_many_at_once_are_judged_like_each_alone(seed: int, count: int) -> None:
    """Solidity and the two deepest bays are those of each contour by itself."""
    contours = bent(seed, count)
    for form, contour in zip(forms_of(contours), contours, strict=True):
        alone = shape_of(contour)
        assert form is not None
        assert alone is not None
        assert form.solidity == pytest.approx(alone.solidity)
        assert form.notch == pytest.approx(alone.notch)
        assert form.second_notch == pytest.approx(alone.second_notch)


def test_a_bay_is_as_deep_as_it_is_cut() -> None:
    """A square of 40 pixels with a bay of 10 from one side, wherever the contour begins."""
    corners = [(0, 0), (15, 0), (20, 10), (25, 0), (40, 0), (40, 40), (0, 40)]
    for start in range(len(corners)):
        square = np.array(corners[start:] + corners[:start], np.int32)
        (form,) = forms_of(square[None])
        assert form is not None
        radius = np.sqrt((1600 - 50 + (120 + 30 + 2 * np.hypot(5, 10)) / 2) / np.pi)
        assert form.notch == pytest.approx((10 - 0.7) / radius)
        assert form.second_notch == 0


def test_points_on_a_line_have_no_form() -> None:
    """A contour without area is no body's; its neighbours are judged all the same."""
    flat = np.array([(x, 5) for x in range(72)], np.int32)
    forms = forms_of(np.stack([flat, bent(1, 1)[0]]))
    assert forms[0] is None
    assert forms[1] is not None
