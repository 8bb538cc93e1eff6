"""Two clicks, and what a calibration is."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.errors import UsageError
from counter.imaging.calibration import half_turn_deg, two_clicks


def test_two_clicks_give_the_scale_with_its_error() -> None:
    """500 µm over 3-4-5 × 100 px is 1 µm per pixel, good to 0.7 √2 px in 500."""
    found = two_clicks((10.0, 20.0), (310.0, 420.0), 500.0)
    assert found.um_per_px == pytest.approx(1.0)
    assert found.standard_error == pytest.approx(0.7 * math.sqrt(2) / 500)
    assert found.angle_deg == pytest.approx(math.degrees(math.atan2(4, 3)))
    assert found.warnings == ()
    assert found.scale("clicks").source == "clicks"


def test_clicks_close_together_are_told() -> None:
    """50 px apart is good to 4 %."""
    (said,) = two_clicks((0.0, 0.0), (50.0, 0.0), 50.0).warnings
    assert "4.0%" in said


@pytest.mark.parametrize(
    ("end", "distance_um", "words"),
    [
        ((100.0, 0.0), 0.0, "impossible"),
        ((100.0, 0.0), -5.0, "impossible"),
        ((100.0, 0.0), float("nan"), "impossible"),
        ((1.0, 1.0), 100.0, "one place"),
        ((100.0, 0.0), 100_000.0, "not plausible"),
    ],
)
def test_clicks_that_make_no_scale(
    end: tuple[float, float], distance_um: float, words: str
) -> None:
    """Told in words, each."""
    with pytest.raises(UsageError, match=words):
        two_clicks((0.0, 0.0), end, distance_um)


@given(st.floats(-720, 720))
def test_a_line_has_no_direction(angle: float) -> None:
    """Half a turn changes nothing, and the angle is above -90 and up to 90."""
    turned = half_turn_deg(angle)
    assert -90 < turned <= 90
    assert math.isclose((turned - angle) % 180, 0, abs_tol=1e-6) or math.isclose(
        (turned - angle) % 180, 180, abs_tol=1e-6
    )
