"""Weights for bodies that a border cuts more often the larger they are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counter.statistics.borders import border_weights, whole_share
from tests.hatchery import mark, picture

FIELD = picture(um_per_px=10.0)  # 1600 × 900 µm


def test_a_body_is_whole_in_the_part_of_the_frame_that_is_left() -> None:
    """(W - d)(H - d)/(W·H) by hand."""
    share = whole_share(np.array([0.0, 100.0, 300.0]), FIELD)
    assert share == pytest.approx([1.0, 1500 * 800 / (1600 * 900), 1300 * 600 / (1600 * 900)])


def test_a_disc_of_a_tenth_of_the_frame_has_the_computed_share() -> None:
    """d = 0.1 mm in a square of 1 mm: 0.810 are whole, d = 0.3 mm: 0.490 (computed)."""
    square = replace(
        FIELD, picture=replace(FIELD.picture, width_px=100, height_px=100, area_mm2=1.0)
    )
    assert whole_share(np.array([100.0, 300.0]), square) == pytest.approx([0.81, 0.49])


def test_a_round_field_is_a_disc() -> None:
    """Of a field of 1 mm² with dark corners, (1 - d/D)²."""
    round_field = replace(
        FIELD, picture=replace(FIELD.picture, width_px=120, height_px=120, area_mm2=np.pi / 4)
    )
    assert whole_share(np.array([100.0]), round_field) == pytest.approx([0.81])


def test_a_body_as_large_as_the_frame_keeps_a_bounded_weight() -> None:
    """At most 20."""
    assert whole_share(np.array([900.0, 5000.0]), FIELD) == pytest.approx([0.05, 0.05])


def test_the_weight_is_the_inverse_share_of_the_mean_diameter() -> None:
    """72 by 60 µm: d = 66."""
    expected = 1600 * 900 / (1534 * 834)
    assert border_weights(FIELD, [mark(1)]) == pytest.approx([expected])
    assert border_weights(FIELD, []).size == 0
