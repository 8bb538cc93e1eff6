"""What a correction costs: the numbers of a large sample, one mark later."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from counter.domain.field import PictureField
from counter.domain.flags import CUT
from counter.domain.sample import Filling, Sample
from counter.statistics.estimate import by_stage, estimate
from counter.statistics.sizes import sizes
from tests.hatchery import CHAMBER, LARVAE, mark, picture

MARKS = 10_000


def large_sample(pictures: int = 20) -> Sample:
    """10,000 marks on these ``pictures`` of two fillings; one in fifty across the border. All were
    looked through, and the machine found what is there."""
    fields = []
    for field_id in range(pictures):
        marks = [
            mark(number, length_um=60.0 + number % 300, stage=("d-hinge", "umbo")[number % 2])
            for number in range(1, MARKS // pictures + 1)
        ]
        marks[::50] = [replace(one, flags=frozenset({CUT.key})) for one in marks[::50]]
        found = picture(*marks, field_id=field_id)
        fields.append(replace(found, found=found.marks, reviewed=True))
    half = pictures // 2
    fillings = (Filling(1, tuple(fields[:half])), Filling(2, tuple(fields[half:])))
    return Sample(LARVAE, CHAMBER, vessel_ml=20_000.0, fillings=fillings)


def corrected(sample: Sample) -> Sample:
    """The sample with one mark taken from its first field."""
    first, *others = sample.fillings[0].fields
    assert isinstance(first, PictureField)
    filling = replace(sample.fillings[0], fields=(first.with_marks((7,), {}), *others))
    return replace(sample, fillings=(filling, *sample.fillings[1:]))


@pytest.mark.parametrize("pictures", [20, 2])
def test_the_numbers_after_a_correction(benchmark: BenchmarkFixture, pictures: int) -> None:
    """Total, stages and sizes of 10,000 marks, of which one was just taken away: under 2 ms."""
    whole = large_sample(pictures)
    before = estimate(whole)
    sizes(whole)

    def numbers() -> int:
        now = corrected(whole)
        by_stage(now)
        sizes(now)
        return estimate(now).counted

    assert benchmark(numbers) == before.counted - 1


@pytest.mark.parametrize("pictures", [20, 2])
def test_the_estimate_alone_after_a_correction(benchmark: BenchmarkFixture, pictures: int) -> None:
    """What stands in sight: the total of 10,000 marks with its limits, of which one was just taken
    away, from few large pictures or many. What did not change is not counted again."""
    whole = large_sample(pictures)
    before = estimate(whole)
    assert benchmark(lambda: estimate(corrected(whole))).counted == before.counted - 1
