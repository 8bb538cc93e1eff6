"""What counting on would bring to a sample as it stands."""

from __future__ import annotations

from counter.domain.sample import Filling, Sample
from counter.domain.tally_field import TalliedSquare, TallyField
from counter.statistics.effort import Minutes
from counter.statistics.estimate import estimate
from counter.statistics.plan import NOTHING_COUNTED, looked_through, plan
from tests import hatchery


def tallied(*counts: int) -> Sample:
    """One filling with so many counted in squares of 1 mm² each."""
    squares = tuple(TalliedSquare({"umbo": count}) for count in counts)
    tally = TallyField(1, "1 mm square", 1.0, squares, finished=True)
    return Sample(hatchery.LARVAE, hatchery.CHAMBER, fillings=(Filling(1, (tally,)),))


def test_squares_tallied_by_eye_are_what_is_added() -> None:
    """Two squares of 1 mm²: more of them, or more fillings."""
    sample = tallied(12, 15)
    assert looked_through(sample) == (2, "square")
    found, words = plan(sample, estimate(sample), 0.3, Minutes(5.0, 0.5))
    assert found is not None
    assert found.more_squares is not None
    assert "more squares" in " ".join(words)
    assert words[-1].startswith("Decide before you go on")


def test_pictures_are_called_pictures() -> None:
    """A filling of pictures alone is added to by pictures; with squares beside, all are squares."""
    field = hatchery.picture(hatchery.mark(1), field_id=1)
    sample = Sample(hatchery.LARVAE, hatchery.CHAMBER, fillings=(Filling(1, (field,)),))
    assert looked_through(sample) == (1, "picture")
    both = Filling(1, (field, *tallied(12, 15).fillings[0].fields))
    mixed = Sample(hatchery.LARVAE, hatchery.CHAMBER, fillings=(both,))
    assert looked_through(mixed) == (3, "square")


def test_a_well_that_is_seen_whole_has_no_squares_to_add() -> None:
    """Only more wells make the limits narrower."""
    tally = TallyField(1, "whole well", 1.0, (TalliedSquare({"umbo": 30}),), finished=True)
    well = Filling(1, (tally,), aliquot_ul=1000.0)
    sample = Sample(hatchery.LARVAE, hatchery.WELL, fillings=(well,))
    found, words = plan(sample, estimate(sample), 0.2)
    assert found is not None
    assert found.more_squares is None
    assert "squares" not in " ".join(words)


def test_nothing_counted_gives_no_plan() -> None:
    """It is said instead."""
    sample = tallied(0)
    assert plan(sample, estimate(sample), 0.1) == (None, (NOTHING_COUNTED,))
