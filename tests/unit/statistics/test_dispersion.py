"""When fillings agree, when they do not, and when nothing can be said."""

from __future__ import annotations

import math

import pytest

from counter.statistics.dispersion import Agreement, dispersion


def agreement(*counts: int) -> Agreement:
    """What is said of these counts in equal volumes."""
    found = dispersion(counts, [0.25] * len(counts))
    assert found is not None
    return found.agreement


def test_nothing_to_compare_is_none() -> None:
    """One filling, or none counted in any, has no scatter."""
    assert dispersion([], []) is None
    assert dispersion([12], [1.0]) is None
    assert dispersion([0, 0, 0], [1.0] * 3) is None


def test_unequal_volumes_are_taken_into_account() -> None:
    """Twice the volume with twice the count agrees perfectly; the expected counts say so."""
    found = dispersion([50, 100], [0.5, 1.0])
    assert found is not None
    assert found.chi2 == pytest.approx(0, abs=1e-12)
    assert found.expected == pytest.approx((50, 100))


def test_two_equal_counts_are_no_sign_of_copying() -> None:
    """Two equal counts happen by chance; three equal large ones hardly do."""
    assert agreement(20, 20) is Agreement.CHANCE
    assert agreement(100, 100, 100) is Agreement.TOO_REGULAR


def test_few_counted_say_nothing() -> None:
    """With fewer than two expected a filling χ² is no guide."""
    assert agreement(0, 0, 3) is Agreement.TOO_FEW
    assert agreement(0, 1, 20) is Agreement.CLUMPED


@pytest.mark.parametrize("volumes", [[1.0], [1.0, 0.0], [1.0, -1.0], [1.0, math.nan]])
def test_a_count_without_a_volume_is_a_bug(volumes: list[float]) -> None:
    """It raises ValueError."""
    with pytest.raises(ValueError, match="volume"):
        dispersion([3, 4], volumes)
