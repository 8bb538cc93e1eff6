"""The method of the limits, named for the JSON and said in words."""

from __future__ import annotations

from counter.domain.house import House
from counter.domain.uncertainty import VolumeUncertainty
from counter.statistics.estimate import estimate_counts
from counter.statistics.method import (
    CHECKED_ONLY,
    NO_HISTORY,
    ONE_FILLING,
    POISSON_EXACT,
    method_for_people,
    mixing_for_people,
    named,
    uneven_for_people,
)


def test_plain_limits_have_a_plain_name() -> None:
    """The name of the contract, and words for people."""
    result = estimate_counts([12], [0.00775], vessel_ml=20_000.0)
    assert result.method == "poisson-exact"
    assert method_for_people(result) == "exact Poisson limits (Garwood)"


def test_whatever_widens_or_narrows_is_named() -> None:
    """In the order in which it is done."""
    assert named(POISSON_EXACT, widened=True, volumes=True, finite=True) == (
        "quasi-poisson+volumes+finite-vessel"
    )
    assert named(CHECKED_ONLY, widened=True, volumes=False, finite=False) == (
        "checked-only+quasi-poisson"
    )


def test_words_say_how_much_scatter_and_from_where() -> None:
    """This sample's own, that of earlier ones, or a figure that was typed."""
    alone = method_for_people(estimate_counts([88, 58, 82], [1.0] * 3))
    assert alone == "Poisson limits widened for scatter of 3.26 times chance"
    earlier = estimate_counts([88, 58, 82], [1.0] * 3, house=House(40.0, 20, 10))
    assert method_for_people(earlier).endswith("of 2.12 times chance (with 10 earlier samples)")
    one = estimate_counts([88], [1.0], house=House(12.0, 6, 1))
    assert "(with 1 earlier sample)" in method_for_people(one)
    typed = estimate_counts([88], [1.0], house=House(80.0, 40))
    assert method_for_people(typed).endswith("(with the scatter that was given)")


def test_limits_for_uneven_mixing_are_named_where_there_are_any() -> None:
    """Of the total, of the density without a vessel; nothing for one filling, nor with a history,
    nor where fillings that disagree have widened the limits."""

    def words(*counts: int, vessel_ml: float | None = None, house: House | None = None) -> str:
        each = [0.25] * len(counts)
        said = uneven_for_people(estimate_counts(counts, each, vessel_ml=vessel_ml, house=house))
        return said.replace("\u202f", " ")

    row = (112, 98, 103)
    assert words(*row, vessel_ml=760.0) == "If mixed unevenly: 262 000 to 383 000"
    assert words(*row) == "If mixed unevenly: 345 to 503 per mL"
    assert words(150, 149, 148) == "If mixed unevenly: the same limits"
    assert words(0, 0, 0, vessel_ml=750.0) == "If mixed unevenly: 0 to 10 800"
    assert words(112) == ""
    assert words(*row, house=House(40.0, 40)) == ""
    assert words(88, 58, 82) == ""


def test_words_name_volumes_and_small_vessels() -> None:
    """Separated by commas."""
    result = estimate_counts(
        [88], [1.0], vessel_ml=4.0, volumes=VolumeUncertainty(vessel=0.01, sources=("1 %",))
    )
    assert method_for_people(result) == (
        "exact Poisson limits (Garwood), with the uncertainty of the volumes, narrowed for the "
        "share of the vessel that was counted"
    )


def test_what_limits_of_chance_take_for_granted_is_said_while_nothing_shows_it() -> None:
    """Even mixing: of one filling, and of several beside the second pair of limits; not where
    history or scatter is in the limits, where none was counted, nor of a vessel counted whole."""

    def said(*counts: int, house: House | None = None, vessel_ml: float | None = None) -> str:
        each = [0.25] * len(counts)
        return mixing_for_people(estimate_counts(counts, each, vessel_ml=vessel_ml, house=house))

    assert said(112) == ONE_FILLING
    assert said(112, 98, 103) == NO_HISTORY
    for house in (House(40.0, 40), House(120.0, 40)):
        assert said(112, house=house) == said(112, 98, 103, house=house) == ""
    assert said(88, 58, 82) == said(150, 149, 148) == said(0) == said(0, 0) == ""
    assert said(112, vessel_ml=0.25) == ""
