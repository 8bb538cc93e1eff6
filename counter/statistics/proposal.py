"""Which pictures to look through next, drawn by lot, and what that would gain.

A person left to choose takes the pictures that are clear, on which the machine counts best; then
what is learnt does not hold for the others. So each picture has a place in a lottery that depends
on nothing but its number and a seed, which is named with the proposal.
"""

from __future__ import annotations

import hashlib
import math
import zlib

from counter.domain.field import PictureField
from counter.domain.naming import picture_names
from counter.domain.rounding import for_people
from counter.domain.sample import Sample
from counter.statistics.checked import Checked
from counter.statistics.replicates import judged_by_review, was_adjusted
from counter.statistics.result import Estimate

MORE = 3


def lot_seed(sample: Sample) -> int:
    """Return the seed of a sample's lottery: the check sum of its first picture's name."""
    names = (entry.picture.name for entry in sample.picture_fields())
    return zlib.crc32(next(names, "").encode("utf-8", "surrogatepass")) % 100_000


def to_check(sample: Sample, most: int = MORE) -> tuple[PictureField, ...]:
    """Return up to ``most`` pictures to look through next, in the order of the lottery.

    Looking through one, or adding pictures, does not change the order of the others. Empty where
    all were looked through.
    """
    seed = lot_seed(sample)
    left = [entry for entry in sample.picture_fields() if not entry.reviewed]
    return tuple(sorted(left, key=lambda entry: _lot(seed, entry.field_id))[:most])


def gain(seen: Checked, factor: float, more: int = MORE) -> float:
    """Return what the width of the limits would be multiplied by if ``more`` were checked.

    ``factor`` is what the scatter of the fillings multiplies the variance of chance by.
    """
    now, then = factor + seen.spread - 1.0, factor + seen.with_more(more).spread - 1.0
    return math.sqrt(then / now)


def review_words(sample: Sample, result: Estimate) -> list[str]:
    """Say how far the pictures were looked through, and what to do next; nothing if all were."""
    pictures = list(sample.picture_fields())
    reviewed = sum(entry.reviewed for entry in pictures)
    next_ones = to_check(sample)
    if not next_ones:
        return []
    called = picture_names(pictures)
    names = ", ".join(called[entry.field_id] for entry in next_ones)
    by_lot = "" if len(next_ones) == len(pictures) else f", drawn by lot (seed {lot_seed(sample)})"
    if not reviewed:
        which = "the picture" if len(pictures) == 1 else "any of the pictures"
        return [
            f"Nobody has looked through {which}: the number is what the machine counts. Look "
            f"through {names}{by_lot}, and correct what is wrong."
        ]
    said = f"{reviewed} of {len(pictures)} pictures were looked through"
    return [*_looked_words(result, said, f"{names}{by_lot}"), *_counted_otherwise(sample)]


def _looked_words(result: Estimate, said: str, next_ones: str) -> list[str]:
    if result.checked is None or not result.count:
        return [f"{said}. Next: {next_ones}."]
    half = (result.count_high - result.count_low) / (2 * result.count) * 100
    narrower = half * gain(result.checked, result.widening.factor(result.confidence))
    return [
        f"{said}; the number rests on them and on the machine's count of the others. Looking "
        f"through {next_ones} would change the limits from ±{for_people(half, 2)} % to about "
        f"±{for_people(narrower, 2)} %."
    ]


def _counted_otherwise(sample: Sample) -> list[str]:
    """Say which pictures nothing was judged by: those counted before a lens had learnt, or after.

    Where every picture looked through was counted otherwise than the rest, all of the rest are.
    """
    about = judged_by_review(sample)
    if about is None:
        return []
    looked = {was_adjusted(entry) for entry in sample.picture_fields() if entry.reviewed}
    rest = [
        entry
        for entry in sample.picture_fields()
        if not entry.reviewed
        and not entry.is_corrected
        and (was_adjusted(entry) != about or about not in looked)
    ]
    if not rest:
        return []
    after, before = "after the lens had learnt from corrections", "before the lens had learnt"
    when, other = (after, "before") if was_adjusted(rest[0]) else (before, "after")
    if len(rest) == 1:
        what, one, stand, it = "1 picture was", "it", "it stands", "it"
    else:
        what, one, stand, it = f"{len(rest)} pictures were", "one of them", "they stand", "them"
    again = "" if was_adjusted(rest[0]) else f", or count {it} again (Ctrl+R)"
    return [
        f"{what} counted {when}, and what was wrong on those counted {other} says nothing here: "
        f"{stand} as the machine counted. Look through {one}{again}."
    ]


def _lot(seed: int, field_id: int) -> int:
    digest = hashlib.blake2b(f"{seed}-{field_id}".encode(), digest_size=8).digest()
    return int.from_bytes(digest)
