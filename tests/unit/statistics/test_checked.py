"""Only some pictures were looked through: what the others are taken for."""

from __future__ import annotations

from dataclasses import replace

import pytest
from scipy import stats

from counter.domain.field import Compared, PictureField
from counter.domain.sample import Filling, Sample
from counter.statistics.checked import checked
from counter.statistics.estimate import by_stage, estimate
from counter.statistics.poisson import garwood
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def found(count: int, field_id: int) -> PictureField:
    """A picture as the machine counted it."""
    field = picture(*[mark(n) for n in range(1, count + 1)], field_id=field_id)
    return replace(field, found=field.marks)


def corrected(field: PictureField, removed: int, added: int, *, reviewed: bool) -> PictureField:
    """The picture after a person took some marks away and placed others."""
    marks = {key: one for key, one in field.marks.items() if key > removed}
    new = {1000 + n: mark(1000 + n, stage="umbo") for n in range(added)}
    return replace(field, marks={**marks, **new}, reviewed=reviewed)


def sample(*fields: PictureField) -> Sample:
    """A sample of one filling."""
    return Sample(LARVAE, CHAMBER, vessel_ml=20_000.0, fillings=(Filling(1, fields),))


def test_the_others_are_taken_for_what_the_checked_ones_teach() -> None:
    """40 found, 4 removed, 8 added: 44 ÷ 40 bodies for a mark; 44 + 60 × 1.1 = 110 in all."""
    fields = [corrected(found(40, 1), 4, 8, reviewed=True), found(35, 2), found(25, 3)]
    result = estimate(sample(*fields))
    assert result.counted == 44 + 60
    assert result.count == pytest.approx(110.0)
    assert result.method == "double-sampling"
    assert result.checked is not None
    by_chance = 10 / 13
    degrees = 1.5 + by_chance
    guess = (by_chance + 1.5 * 2.0) / degrees
    allowance = guess * (stats.t(degrees).ppf(0.975) / stats.norm.ppf(0.975)) ** 2
    assert result.checked.index == pytest.approx(1 + allowance * 60 * 13 / 40**2)
    plain = garwood(110)
    assert result.count_low < plain[0]
    assert result.count_high > plain[1]


def test_nobody_looked_or_all_was_looked_through_is_the_plain_count() -> None:
    """Then there is nothing to estimate."""
    fields = [found(40, 1), found(60, 2)]
    assert estimate(sample(*fields)).count == 100
    seen = [corrected(field, 3, 5, reviewed=True) for field in fields]
    result = estimate(sample(*seen))
    assert (result.count, result.method) == (104, "poisson-exact")


def test_a_picture_that_is_being_corrected_stands_as_it_is() -> None:
    """It is no longer the machine's count, and not yet a checked one."""
    half_done = corrected(found(50, 3), 5, 0, reviewed=False)
    fields = [corrected(found(40, 1), 4, 8, reviewed=True), found(60, 2), half_done]
    assert estimate(sample(*fields)).count == pytest.approx(44 + 60 * 1.1 + 45)


def test_too_little_to_judge_the_machine_by_leaves_the_checked_pictures_alone() -> None:
    """Four marks say nothing of the machine: 5 on one of three equal pictures, Garwood's limits of
    5, times three."""
    fields = [corrected(found(4, 1), 0, 1, reviewed=True), found(6, 2), found(2, 3)]
    result = estimate(sample(*fields))
    assert result.method == "checked-only"
    assert result.counted == 13
    assert result.count == pytest.approx(15)
    low, high = garwood(5)
    assert (result.count_low, result.count_high) == pytest.approx((3 * low, 3 * high))


def test_stages_add_up_to_the_total() -> None:
    """Each stage is corrected alike."""
    fields = [corrected(found(40, 1), 4, 8, reviewed=True), found(35, 2), found(25, 3)]
    whole = sample(*fields)
    stages = by_stage(whole)
    assert {entry.stage: entry.counted for entry in stages} == {"d-hinge": 96, "umbo": 8}
    assert sum(entry.total or 0.0 for entry in stages) == pytest.approx(estimate(whole).total)


def test_corrections_that_change_from_picture_to_picture_count_for_more() -> None:
    """Nothing to correct on some and half of it on others: the machine is not alike on all. Where
    it is alike on five pictures, chance is all there is."""
    even = checked([Compared(50, 45, 50)] * 5, [100])
    wild = checked([*[Compared(50, 50, 90)] * 2, *[Compared(50, 10, 10)] * 3], [100])
    assert even is not None
    assert wild is not None
    assert even.unevenness == 1.0
    assert wild.unevenness > 50


def test_two_pictures_lean_on_a_guess() -> None:
    """Two that are corrected alike do not show that all others are."""
    two = checked([Compared(50, 45, 50)] * 2, [100])
    three = checked([Compared(50, 45, 50)] * 3, [100])
    assert two is not None
    assert three is not None
    assert two.unevenness > 2 > three.unevenness


def test_checking_more_narrows_the_limits() -> None:
    """The more are checked the less is left to the machine; once all are, nothing is."""
    some = checked([Compared(50, 45, 53)], [50, 50, 50])
    assert some is not None
    assert some.with_more(1).index < some.index
    assert some.with_more(3).unchecked == 0
    assert some.with_more(9).index == 1.0
