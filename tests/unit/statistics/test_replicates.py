"""Fillings as replicates."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.field import PictureField
from counter.domain.sample import Filling, Sample
from counter.statistics.checked import LEAST_FOUND
from counter.statistics.estimate import estimate
from counter.statistics.replicates import replicates
from tests.hatchery import CHAMBER, LARVAE, WELL, mark, picture


def test_each_filling_that_was_looked_at_is_one_replicate() -> None:
    """It keeps its number among all fillings; volumes are in mL."""
    field = picture(mark(1), mark(2, stage="umbo"))
    fillings = (Filling(4), Filling(7, (field, field)))
    found, missing = replicates(Sample(LARVAE, CHAMBER, fillings=fillings))
    (one,) = found
    assert (one.number, one.count, dict(one.counts)) == (2, 4, {"d-hinge": 2, "umbo": 2})
    assert one.volume_ml == pytest.approx(2 * field.area_mm2 / 1000)
    assert missing == ()


def test_a_missing_volume_is_said_once() -> None:
    """Two wells without a volume need one sentence."""
    fillings = (Filling(1, (picture(),)), Filling(2, (picture(),)))
    found, missing = replicates(Sample(LARVAE, WELL, fillings=fillings))
    assert found == ()
    assert len(missing) == 1


def looked(entry: PictureField, removed: int) -> PictureField:
    """A picture that was looked through, with so many of its marks removed."""
    left = dict(list(entry.marks.items())[removed:])
    return replace(entry, marks=left, found=entry.marks, reviewed=True)


def counted(number: int, adjusted_by: int, marks: int = 20) -> PictureField:
    """A counted picture; ``adjusted_by`` corrections had taught its lens before."""
    entry = picture(*(mark(n) for n in range(1, marks + 1)), field_id=number)
    return replace(
        entry, found=entry.marks, picture=replace(entry.picture, adjusted_by=adjusted_by)
    )


def sample_of(*fields: PictureField) -> Sample:
    return Sample(LARVAE, CHAMBER, vessel_ml=20_000.0, fillings=(Filling(1, fields),))


def test_errors_before_a_lens_had_learnt_say_nothing_of_pictures_counted_after() -> None:
    """Half of the marks were wrong before; the picture counted after stands as it is."""
    before = [looked(counted(1, 0), 10), looked(counted(2, 0), 10)]
    result = estimate(sample_of(*before, counted(3, 20)))
    assert result.checked is None
    assert result.count == 10 + 10 + 20
    assert any("1 picture was counted after the lens had learnt" in w for w in result.warnings)
    assert not any("Ctrl+R" in warning for warning in result.warnings)
    after = estimate(sample_of(looked(counted(1, 20), 0), counted(2, 0)))
    assert any("before the lens had learnt" in w and "(Ctrl+R)" in w for w in after.warnings)
    alike = estimate(sample_of(*before, counted(3, 0)))
    assert alike.count == pytest.approx(10 + 10 + 20 * 20 / 40)
    assert not any("had learnt" in warning for warning in alike.warnings)


def test_pictures_counted_alike_are_judged_by_their_like() -> None:
    """What was corrected before stands as corrected, and does not judge the rest."""
    assert LEAST_FOUND <= 20
    before, after = looked(counted(1, 0), 10), looked(counted(2, 20), 2)
    result = estimate(sample_of(before, after, counted(3, 20)))
    assert result.checked is not None
    assert (result.checked.pictures, result.checked.checked, result.checked.removed) == (2, 1, 2)
    assert result.count == pytest.approx(10 + 18 + 20 * 18 / 20)
    assert not any("had learnt" in warning for warning in result.warnings)


def test_where_both_sorts_are_left_the_one_with_more_marks_is_judged() -> None:
    """The other stands as counted, and that is said."""
    before, after = looked(counted(1, 0), 10), looked(counted(2, 20), 0)
    fields = (before, after, counted(3, 0, marks=30), counted(4, 20, marks=12))
    result = estimate(sample_of(*fields))
    assert result.count == pytest.approx(10 + 20 + 30 * 10 / 20 + 12)
    assert any("1 picture was counted after the lens had learnt" in w for w in result.warnings)
