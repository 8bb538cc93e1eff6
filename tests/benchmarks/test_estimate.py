"""What a correction costs: the numbers of a large sample, one mark later."""

from __future__ import annotations

from dataclasses import replace

from pytest_benchmark.fixture import BenchmarkFixture

from counter.domain.field import PictureField
from counter.domain.flags import CUT
from counter.domain.sample import Filling, Sample
from counter.statistics.estimate import by_stage, estimate
from counter.statistics.sizes import sizes
from tests.hatchery import CHAMBER, LARVAE, mark, picture

FIELDS, MARKS = 20, 500


def large_sample() -> Sample:
    """10,000 marks on 20 fields of two fillings; one in fifty across the border."""
    fields = []
    for field_id in range(FIELDS):
        marks = [
            mark(number, length_um=60.0 + number % 300, stage=("d-hinge", "umbo")[number % 2])
            for number in range(1, MARKS + 1)
        ]
        marks[::50] = [replace(one, flags=frozenset({CUT.key})) for one in marks[::50]]
        fields.append(picture(*marks, field_id=field_id))
    half = FIELDS // 2
    fillings = (Filling(1, tuple(fields[:half])), Filling(2, tuple(fields[half:])))
    return Sample(LARVAE, CHAMBER, vessel_ml=20_000.0, fillings=fillings)


def corrected(sample: Sample) -> Sample:
    """The sample with one mark taken from its first field."""
    first, *others = sample.fillings[0].fields
    assert isinstance(first, PictureField)
    marks = {key: value for key, value in first.marks.items() if key != 7}
    filling = replace(sample.fillings[0], fields=(replace(first, marks=marks), *others))
    return replace(sample, fillings=(filling, *sample.fillings[1:]))


def test_the_numbers_after_a_correction(benchmark: BenchmarkFixture) -> None:
    """Total, stages and sizes of 10,000 marks, of which one was just taken away."""
    whole = large_sample()
    before = estimate(whole)

    def numbers() -> int:
        now = corrected(whole)
        by_stage(now)
        sizes(now)
        return estimate(now).counted

    assert benchmark(numbers) == before.counted - 1


def test_the_estimate_alone_after_a_correction(benchmark: BenchmarkFixture) -> None:
    """What stands in sight: the total of 10,000 marks with its limits, of which one was just taken
    away. Fields that did not change are not counted again."""
    whole = large_sample()
    before = estimate(whole)
    assert benchmark(lambda: estimate(corrected(whole))).counted == before.counted - 1
