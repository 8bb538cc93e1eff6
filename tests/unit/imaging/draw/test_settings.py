"""Settings refuse what cannot be drawn, in words."""

from __future__ import annotations

import pytest

from counter.errors import UsageError
from counter.imaging.draw import LARVAE, LITTER, Camera, Group, Kind, SceneSettings
from counter.imaging.draw.settings import EGGS, USUAL_LENGTH_UM


def test_every_kind_has_its_place_and_a_usual_length() -> None:
    """Each kind is an egg, a larva or litter, and knows how long it usually is."""
    assert sorted([*EGGS, *LARVAE, *LITTER]) == sorted(Kind)
    assert set(USUAL_LENGTH_UM) == set(Kind)


@pytest.mark.practice
def test_usual_lengths_are_those_of_the_trade() -> None:
    """D-hinge of day 2, 60-70 µm, overlap; pediveligers begin at about 300 µm (common practice)."""
    assert USUAL_LENGTH_UM[Kind.D_HINGE][0] < 70 < USUAL_LENGTH_UM[Kind.D_HINGE][1]
    assert USUAL_LENGTH_UM[Kind.PEDIVELIGER][0] >= 300


def test_a_negative_count_is_refused() -> None:
    """Fewer than none cannot be drawn."""
    with pytest.raises(UsageError, match="-1 egg"):
        Group(Kind.EGG, -1)


@pytest.mark.parametrize("lengths", [(80.0, 60.0), (0.0, 10.0)])
def test_lengths_must_rise_from_above_zero(lengths: tuple[float, float]) -> None:
    """The shorter length comes first and is above 0."""
    with pytest.raises(UsageError, match="make no sense"):
        Group(Kind.EGG, 1, lengths)


def test_an_odd_camera_is_refused() -> None:
    """8 or 16 bits."""
    with pytest.raises(UsageError, match="12 bits"):
        Camera(bits=12)


@pytest.mark.parametrize("um_per_px", [0.0, -1.0, 0.001, 90.0])
def test_a_scale_no_microscope_has_is_refused(um_per_px: float) -> None:
    """The same rule as for real pictures."""
    with pytest.raises(UsageError, match="µm per pixel"):
        SceneSettings(um_per_px=um_per_px)


def test_a_tiny_picture_is_refused() -> None:
    """At least 16 × 16 px."""
    with pytest.raises(UsageError, match="16"):
        SceneSettings(width_px=8)
