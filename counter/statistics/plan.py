"""What counting on would bring to a sample: in its own fillings, pictures and squares."""

from __future__ import annotations

from counter.domain.field import PictureField
from counter.domain.sample import Sample
from counter.statistics.effort import Done, Effort, Minutes, effort
from counter.statistics.effort_words import PICTURE, SQUARE, done_so_far, effort_words
from counter.statistics.effort_working import effort_working
from counter.statistics.replicates import replicates
from counter.statistics.result import Estimate

NOTHING_COUNTED = "None was counted yet, so nobody can say how many more it takes."


def looked_through(sample: Sample) -> tuple[int, str]:
    """Return how many pictures or squares were looked through, and what they are called.

    Where there are both, all of them count as squares.
    """
    fields = [entry for filling in sample.fillings for entry in filling.fields]
    pictures = sum(isinstance(entry, PictureField) for entry in fields)
    squares = sum(
        len(entry.counted_squares) for entry in fields if not isinstance(entry, PictureField)
    )
    return pictures + squares, SQUARE if squares or not pictures else PICTURE


def plan(
    sample: Sample, result: Estimate, precision: float, minutes: Minutes | None = None
) -> tuple[Effort | None, tuple[str, ...]]:
    """Return what it takes to reach ± ``precision``, also in words; None while none was counted.

    ``result`` is the sample's estimate. A chamber that is seen whole has no squares to add.
    """
    done, unit = _done(sample, result)
    found = effort(done, precision, sample.confidence, minutes)
    return (None, (NOTHING_COUNTED,)) if found is None else (found, effort_words(found, done, unit))


def plan_working(
    sample: Sample, result: Estimate, precision: float, minutes: Minutes | None = None
) -> tuple[str, ...]:
    """Return the way to what :func:`plan` says, line by line; nothing while none was counted."""
    done, unit = _done(sample, result)
    found = effort(done, precision, sample.confidence, minutes)
    return () if found is None else effort_working(found, done, sample.confidence, minutes, unit)


def _done(sample: Sample, result: Estimate) -> tuple[Done, str]:
    """Return what was counted so far, and what a filling is looked through by."""
    number, unit = looked_through(sample)
    squares = None if sample.chamber.is_whole_volume else number
    return done_so_far(result, len(replicates(sample)[0]), squares or None), unit
