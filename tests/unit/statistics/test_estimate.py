"""The estimate of a sample: fillings, stages, and what it says beside the number."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.chamber import Chamber
from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.flags import CUT
from counter.domain.sample import Dilution, Filling, Sample
from counter.domain.tally_field import TalliedSquare, TallyField
from counter.statistics.estimate import (
    POISSON_EXACT,
    QUASI_POISSON,
    by_stage,
    by_state,
    estimate,
    estimate_counts,
)
from tests.hatchery import CHAMBER, EGGS, LARVAE, WELL, mark, picture

AREA_MM2 = picture().area_mm2


def pictured(count: int, stage: str = "d-hinge") -> PictureField:
    """A picture with so many larvae of one stage, looked through."""
    marks = [mark(number, stage=stage) for number in range(1, count + 1)]
    return replace(picture(*marks), reviewed=True)


def sample(*counts: int, vessel_ml: float | None = 20_000.0) -> Sample:
    """A sample with one picture for each filling."""
    fillings = tuple(Filling(n, (pictured(count),)) for n, count in enumerate(counts, start=1))
    return Sample(LARVAE, CHAMBER, vessel_ml=vessel_ml, fillings=fillings)


def test_a_picture_gives_its_count_over_area_times_depth() -> None:
    """Twelve larvae over the area of one picture, 1 mm deep."""
    result = estimate(sample(12))
    assert result.counted == 12
    assert result.volume_counted_ml == pytest.approx(AREA_MM2 * 1.0 / 1000)
    assert result.density_per_ml == pytest.approx(12 / (AREA_MM2 / 1000))
    assert result.total == pytest.approx(12 / (AREA_MM2 / 1000) * 20_000)
    assert result.method == POISSON_EXACT
    assert result.warnings == ()


def test_fields_of_one_filling_are_no_replicates() -> None:
    """Squares or pictures of one filling are pooled; only fillings are compared."""
    one = Filling(1, (pictured(90), pictured(10)))
    result = estimate(Sample(LARVAE, CHAMBER, fillings=(one,)))
    assert result.counted == 100
    assert result.dispersion is None


def test_fillings_are_the_replicates() -> None:
    """Fillings that disagree widen the limits, and the method and a warning say so."""
    result = estimate(sample(90, 10))
    assert result.method == QUASI_POISSON
    assert any("the limits are widened" in warning for warning in result.warnings)


def test_without_a_vessel_there_is_a_density_and_no_total() -> None:
    """The density stands, the total is None, and a warning says why."""
    result = estimate(sample(12, vessel_ml=None))
    assert result.density_per_ml is not None
    assert (result.total, result.low, result.high) == (None, None, None)
    assert any("no total" in warning for warning in result.warnings)


def test_nothing_looked_at_gives_no_number() -> None:
    """Without fields there is neither density nor total, and a sentence says so."""
    result = estimate(sample())
    assert result.counted == 0
    assert result.density_per_ml is None
    assert result.total is None
    assert result.warnings == ("Nothing has been looked at yet, so there is no number.",)
    assert by_stage(sample()) == ()


def test_a_filling_that_nobody_has_looked_at_is_left_out() -> None:
    """An empty filling is no zero: the others make the number and keep their numbers."""
    looked_at = sample(97, 97, 959)
    with_empty = replace(looked_at, fillings=(Filling(9), *looked_at.fillings))
    result = estimate(with_empty)
    assert result.density_per_ml == estimate(looked_at).density_per_ml
    assert any(warning.startswith("Filling 4 (959") for warning in result.warnings)


def test_a_picture_with_nobody_on_it_is_a_zero() -> None:
    """A field that was looked at and is empty counts with its volume."""
    result = estimate(sample(0))
    assert result.density_per_ml == 0
    assert result.total == 0
    assert result.high is not None
    assert result.high > 0
    assert "two-sided upper limit" in result.warnings[0]


def test_the_square_being_counted_is_not_yet_a_count() -> None:
    """A tally counts the squares that are done, until it is finished."""
    squares = (TalliedSquare({"d-hinge": 7}), TalliedSquare({"d-hinge": 2, "umbo": 1}))
    tally = TallyField(1, "1 mm square", 1.0, squares)
    open_one = Sample(LARVAE, CHAMBER, fillings=(Filling(1, (tally,)),))
    done = Sample(LARVAE, CHAMBER, fillings=(Filling(1, (replace(tally, finished=True),)),))
    assert estimate(open_one).density_per_ml == pytest.approx(7 / 0.001)
    assert estimate(done).density_per_ml == pytest.approx(10 / 0.002)


def test_the_edge_rule_decides_about_cut_larvae() -> None:
    """A larva across the left border counts with top-left and not with top-right."""
    cut = replace(mark(1, x_px=0.0, y_px=40.0), flags=frozenset({CUT.key}))
    field = picture(cut, mark(2, x_px=80.0, y_px=40.0))
    left = Sample(LARVAE, CHAMBER, EdgeRule.TOP_LEFT, fillings=(Filling(1, (field,)),))
    assert estimate(left).counted == 2
    assert estimate(replace(left, edges=EdgeRule.TOP_RIGHT)).counted == 1


def test_a_whole_volume_is_the_aliquot_that_was_typed() -> None:
    """The pictures of a well together show all of it, whatever their area."""
    filling = Filling(1, (pictured(12), pictured(8)), aliquot_ul=250.0)
    result = estimate(Sample(LARVAE, WELL, vessel_ml=1000.0, fillings=(filling,)))
    assert result.total == pytest.approx(20 / 0.25 * 1000)


def test_a_whole_volume_without_its_volume_says_what_to_type() -> None:
    """It makes no error: there is no number yet, and the sentence says what is missing."""
    result = estimate(Sample(LARVAE, WELL, fillings=(Filling(1, (pictured(3),)),)))
    assert result.density_per_ml is None
    assert "type the volume" in result.warnings[0]


def test_the_dilution_makes_the_vessel_thicker() -> None:
    """1 + 9 multiplies density and total by ten."""
    thin = sample(12)
    thick = estimate(replace(thin, dilution=Dilution(1, 9)))
    assert thick.density_per_ml == pytest.approx(10 * (estimate(thin).density_per_ml or 0))


def test_a_shallow_chamber_is_pointed_out() -> None:
    """Larvae of 350 µm hardly get into a chamber of 0.1 mm."""
    grid = Chamber("grid", "grid", 9.0, 0.1)
    shallow = estimate(replace(sample(12), chamber=grid))
    assert any("0.1 mm deep" in warning for warning in shallow.warnings)


def test_more_looked_through_than_there_is_points_to_a_slip() -> None:
    """A vessel smaller than what was taken from it: a wrong unit, most likely."""
    result = estimate_counts([12], [1.0], vessel_ml=0.5)
    assert any("check the volumes and their units" in warning for warning in result.warnings)


def test_two_fillings_that_differ_manifold_are_both_named() -> None:
    """Of two nobody can say which is wrong."""
    result = estimate_counts([20, 200], [1.0, 1.0])
    assert any("than filling 2; check both" in warning for warning in result.warnings)


def test_ordinary_scatter_is_no_slip() -> None:
    """Fillings that differ, but not manifold, are called clumped and nothing more."""
    result = estimate_counts([152, 214, 163], [1.0] * 3, vessel_ml=100.0)
    assert len(result.warnings) == 1
    assert "disagree more than chance" in result.warnings[0]


def test_an_odd_one_that_is_not_ten_times_off_is_named_without_a_guess() -> None:
    """Four times the others is named, but not called a digit."""
    result = estimate_counts([50, 55, 210], [1.0] * 3, vessel_ml=100.0)
    assert "check the count and the volume" in result.warnings[0]


def test_copied_counts_are_asked_about() -> None:
    """Fillings that agree too well get a question."""
    result = estimate_counts([100, 100, 100], [1.0] * 3, vessel_ml=100.0)
    assert result.warnings == ("The fillings agree better than chance allows; were counts copied?",)


def test_stages_come_in_growing_order_with_limits_of_their_own() -> None:
    """Each stage that occurs has its total; together they make the whole."""
    field = picture(
        *[mark(number, stage="umbo") for number in range(1, 4)],
        *[mark(number, stage="d-hinge") for number in range(4, 11)],
        mark(11, stage="spat"),
    )
    whole = Sample(LARVAE, CHAMBER, vessel_ml=1000.0, fillings=(Filling(1, (field,)),))
    stages = by_stage(whole)
    assert [entry.stage for entry in stages] == ["d-hinge", "umbo", "spat"]
    assert [entry.counted for entry in stages] == [7, 3, 1]
    assert sum(entry.total or 0 for entry in stages) == pytest.approx(estimate(whole).total)
    assert all((e.low or 0) < (e.total or 0) < (e.high or 0) for e in stages)
    assert sum(entry.share or 0 for entry in stages) == pytest.approx(1)


def test_the_dead_count_in_their_stage_and_are_told_apart_by_state() -> None:
    """On pictures and in a tally alike; the total includes them, and says so."""
    dead = [replace(mark(number), state="dead") for number in range(1, 4)]
    live = replace(mark(4, stage="umbo"), state="live")
    pictures = picture(*dead, live, *[mark(number) for number in range(5, 11)])
    squares = (TalliedSquare({"d-hinge, dead": 3, "d-hinge": 6, "umbo, live": 1}),)
    tally = TallyField(1, "whole picture", pictures.area_mm2, squares, finished=True)
    for field in (pictures, tally):
        whole = Sample(LARVAE, CHAMBER, vessel_ml=1000.0, fillings=(Filling(1, (field,)),))
        assert [(entry.stage, entry.counted) for entry in by_stage(whole)] == [
            ("d-hinge", 9),
            ("umbo", 1),
        ]
        states = by_state(whole)
        assert [(entry.state, entry.counted) for entry in states] == [
            (None, 6),
            ("dead", 3),
            ("live", 1),
        ]
        assert states[1].share == 0.3
        assert states[1].as_json()["state"] == "dead"
        assert estimate(whole).counted == 10
        assert "3 of the 10 counted are dead; the total includes them." in estimate(whole).warnings


def test_without_states_there_is_nothing_to_tell_apart() -> None:
    """Nothing was said of any: no table of states, no note."""
    assert by_state(sample(12)) == ()
    assert estimate(sample(12)).warnings == ()


def test_absent_stages_are_shown_when_asked_for() -> None:
    """A stage of which none was counted has an upper limit and a share of 0."""
    stages = by_stage(sample(12), with_absent=True)
    assert [entry.stage for entry in stages] == ["d-hinge", "umbo", "eyed"]
    assert stages[2].total == 0
    assert stages[2].high is not None
    assert stages[2].high > 0
    assert stages[2].share == 0


def test_eggs_have_no_larval_stages() -> None:
    """Of eggs there is one stage, also when none was counted."""
    eggs = replace(sample(0), target=EGGS)
    assert [entry.stage for entry in by_stage(eggs, with_absent=True)] == ["egg"]
    assert by_stage(eggs) == ()


def test_the_json_of_an_estimate_has_the_names_of_the_contract() -> None:
    """Names are fixed; dispersion is null for a single filling."""
    one, two = estimate(sample(12)).as_json(), estimate(sample(12, 15)).as_json()
    assert {
        "counted",
        "volume_counted_ml",
        "density_per_ml",
        "dilution_factor",
        "vessel_ml",
        "total",
        "low",
        "high",
        "confidence",
        "method",
        "dispersion",
    } <= set(one)
    assert one["dispersion"] is None
    assert two["dispersion"]["agreement"] == "as chance would have it"
    (stage,) = by_stage(sample(12))
    assert {"stage", "counted", "total", "low", "high"} <= set(stage.as_json())


def test_a_single_stage_has_the_pair_for_uneven_mixing_of_its_own_counts() -> None:
    """As if it alone had been counted; where its own fillings disagree those limits are wide
    already, whatever all stages together do; the JSON calls it as it does that of the total."""
    fillings = [
        Filling(n, (pictured(few), replace(pictured(more, "umbo"), field_id=2)))
        for n, (few, more) in enumerate([(20, 60), (45, 35), (30, 50)], start=1)
    ]
    whole = Sample(LARVAE, CHAMBER, vessel_ml=20_000.0, fillings=tuple(fillings))
    assert estimate(whole).uneven is not None
    small, large = by_stage(whole)
    assert small.uneven is None
    volumes = [2 * AREA_MM2 / 1000] * 3
    alone = estimate_counts([60, 35, 50], volumes, vessel_ml=20_000.0)
    assert (large.low, large.uneven) == (alone.low, alone.uneven)
    even = by_stage(sample(30, 34, 29))[0]
    assert even.uneven is not None
    assert even.low is not None
    assert even.uneven.low is not None
    assert even.uneven.low < even.low
    assert even.as_json()["if_mixed_unevenly"] == even.uneven.as_json()
    assert "uneven" not in even.as_json()
    assert by_stage(sample(30))[0].as_json()["if_mixed_unevenly"] is None
