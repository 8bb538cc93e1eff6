"""How much wider than chance: fillings, their history, and what each is worth."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from counter.domain.house import House
from counter.statistics.dispersion import Agreement, Dispersion, dispersion
from counter.statistics.scatter import CHANCE, Widening, allowance, widening

EVEN_HOUSE, CLUMPED_HOUSE = House(100.0, 100, 50), House(280.0, 100, 50)


def of(*counts: int) -> Dispersion:
    """How these fillings of equal volume scatter."""
    result = dispersion(counts, [1.0] * len(counts))
    assert result is not None
    return result


@pytest.mark.parametrize("counts", [(112, 98, 103), (92, 73, 75), (89, 113, 93), (1, 3, 0)])
def test_fillings_that_agree_leave_the_limits_to_chance(counts: tuple[int, ...]) -> None:
    """Without a history nothing speaks against chance then."""
    assert widening(of(*counts)) is CHANCE
    assert CHANCE.factor(0.95) == 1.0
    assert widening(None) is CHANCE


def test_fillings_that_disagree_stand_for_themselves() -> None:
    """(6.63 + m × 2.8) ÷ (2 + m) with m = 60 ÷ (228 + 1), widened by Student's t on 2 + m degrees
    (scipy)."""
    wider = widening(of(88, 58, 82))
    weight = 60 / 229
    assert wider.index == pytest.approx((6.6316 + weight * 2.8) / (2 + weight), rel=1e-4)
    assert wider.degrees_of_freedom == pytest.approx(2 + weight)
    times = stats.t(2 + weight).ppf(0.975) / stats.norm.ppf(0.975)
    assert wider.factor(0.95) == pytest.approx(wider.index * times**2)


def test_what_cannot_be_ruled_out_is_student_s_and_never_less_than_chance() -> None:
    """Three fillings of thousands: t² × index of their own; two lean on the guess, so do few
    counted; even ones leave chance."""
    own = of(11200, 9800, 10300)
    wider = allowance(own, 3)
    assert wider.index == pytest.approx(own.index, rel=1e-3)
    assert wider.factor(0.95) == pytest.approx(
        own.index * (stats.t(2).ppf(0.975) / stats.norm.ppf(0.975)) ** 2, rel=3e-3
    )
    pair = allowance(of(10000, 10000), 2)
    assert pair.index == pytest.approx(1.5 * 2.8 / 2.5, rel=2e-3)
    few = allowance(of(1, 0, 1), 3)
    assert few.degrees_of_freedom == pytest.approx(2 + 60 / 3)
    assert allowance(of(150, 149, 148), 3).factor(0.95) == 1.0
    assert allowance(None, 3) == Widening(2.8, 60)


def test_one_filling_has_nothing_to_allow_for_uneven_mixing_with() -> None:
    """Nobody can tell from one."""
    with pytest.raises(ValueError, match="one filling"):
        allowance(None, 1)


def test_a_history_counts_as_twenty_degrees_at_most() -> None:
    """(χ² + 20 × 2.8) ÷ (2 + 20) for three fillings; also for one filling, which cannot tell."""
    own = of(112, 98, 103)
    wider = widening(own, CLUMPED_HOUSE)
    assert wider.index == pytest.approx((own.chi2 + 20 * 2.8) / 22)
    assert wider.degrees_of_freedom == 22
    alone = widening(None, CLUMPED_HOUSE)
    assert alone.index == pytest.approx(2.8)
    assert alone.degrees_of_freedom == 20
    assert widening(None, House(28.0, 10, 5)).degrees_of_freedom == 10


def test_a_history_of_even_fillings_leaves_the_limits_to_chance() -> None:
    """Pooled to an index of 1 or less there is nothing to widen for."""
    wider = widening(of(112, 98, 103), EVEN_HOUSE)
    assert not wider.widens
    assert wider.factor(0.95) == 1.0
    assert wider.house is EVEN_HOUSE


def test_a_history_of_one_or_two_samples_is_none() -> None:
    """Three degrees of freedom say too little to stand for a hatchery."""
    assert widening(of(112, 98, 103), House(30.0, 3, 1)) is CHANCE


def test_a_vessel_unlike_all_others_stands_for_itself() -> None:
    """Where the F test says that it scatters more than the history, it is not smoothed over."""
    far = of(132, 72, 91)  # index 9.6
    assert widening(far, EVEN_HOUSE) == widening(far)
    near = of(88, 58, 82)  # index 3.3, one in thirty by chance
    assert widening(near, EVEN_HOUSE).house is EVEN_HOUSE


@given(st.floats(0.5, 0.999), st.floats(0.5, 0.999))
def test_the_allowance_grows_with_the_level(one: float, two: float) -> None:
    """Limits of a higher level stay outside those of a lower one."""
    wider = widening(of(88, 58, 82))
    assert wider.factor(min(one, two)) <= wider.factor(max(one, two)) * (1 + 1e-9)


def test_a_part_scatters_less_than_the_whole() -> None:
    """Of bodies clumped together a tenth shows a tenth of the excess; none of it shows none."""
    assert CLUMPED_HOUSE.of_share(0.1).index == pytest.approx(1.18)
    assert CLUMPED_HOUSE.of_share(1.0).index == pytest.approx(2.8)
    assert CLUMPED_HOUSE.of_share(0.0).index == pytest.approx(1.0)


@given(st.lists(st.integers(0, 400), min_size=2, max_size=6).filter(any))
def test_the_word_for_the_scatter_is_that_of_the_method(counts: list[int]) -> None:
    """Without a history: what is called chance, even or too regular keeps the limits of chance;
    what is called clumped, perhaps or surely, widens them."""
    own = of(*counts)
    widens = widening(own).widens
    if own.agreement in (Agreement.PERHAPS, Agreement.CLUMPED):
        assert widens
    elif own.agreement is not Agreement.TOO_FEW:
        assert not widens


def test_the_upper_limit_goes_out_for_clumps_as_far_as_student_has_not() -> None:
    """Normal ÷ Student of what the fillings show; not at all with a history, nor by chance."""
    wider = widening(of(88, 58, 82))
    student = stats.t(wider.degrees_of_freedom).ppf(0.975)
    assert wider.clumped(0.95) == pytest.approx(stats.norm.ppf(0.975) / student)
    assert CHANCE.clumped(0.95) == 0
    assert widening(of(88, 58, 82), CLUMPED_HOUSE).clumped(0.95) == 0
