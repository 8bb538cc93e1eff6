"""What is odd about the pictures of a sample taken together, one sentence each."""

from __future__ import annotations

from collections.abc import Mapping

from counter.domain.sample import Sample
from counter.domain.scale_checks import AGREE_WITHIN
from counter.statistics.audit import of_sample
from counter.statistics.sizes import sizes

MOST_OF_CHAMBER = 1.02
"""Pictures may show a little more than the ruled area before it is odd (2 %)."""


def cautions(
    sample: Sample, digests: Mapping[str, str], failed: int, age_days: float | None = None
) -> tuple[str, ...]:
    """Return warnings about the sample.

    ``digests`` are the bytes' digests by file name, ``failed`` how many files are missing,
    ``age_days`` how old the batch is (None: not known).
    """
    return (
        *_missing_part(sample, failed),
        *_scales(sample),
        *_same_picture(digests),
        *_more_than_chamber(sample),
        *of_sample(sample, sizes(sample), age_days),
    )


def _missing_part(sample: Sample, failed: int) -> tuple[str, ...]:
    if not failed or not sample.chamber.is_whole_volume or not sample.fillings:
        return ()
    return (
        f"{failed} of the pictures that together show the whole volume could not be counted: the "
        "total is too low by what they show.",
    )


def _scales(sample: Sample) -> tuple[str, ...]:
    scales = [field.picture.scale.um_per_px for field in sample.picture_fields()]
    if not scales or max(scales) / min(scales) <= 1 + AGREE_WITHIN:
        return ()
    return (
        f"The pictures of this sample have different scales ({min(scales):.4g} to "
        f"{max(scales):.4g} µm per pixel); was the objective or the zoom changed?",
    )


def _same_picture(digests: Mapping[str, str]) -> tuple[str, ...]:
    alike: dict[str, list[str]] = {}
    for name, digest in digests.items():
        if digest:
            alike.setdefault(digest, []).append(name)
    said = []
    for first, *others in alike.values():
        if others:
            names = others[0] if len(others) == 1 else f"{len(others)} others, like {others[0]},"
            which = "one" if len(others) == 1 else "all but one"
            said.append(
                f"{first} and {names} are the same picture; counting it more than once makes the "
                f"limits too narrow: remove {which}."
            )
    return tuple(said)


def _more_than_chamber(sample: Sample) -> tuple[str, ...]:
    whole = sample.chamber.area_mm2
    if whole is None or sample.chamber.is_whole_volume:
        return ()
    for number, filling in enumerate(sample.fillings, start=1):
        seen = sum(field.area_mm2 for field in filling.fields)
        if seen > whole * MOST_OF_CHAMBER:
            return (
                f"The pictures of filling {number} show {seen:.4g} mm², more than the chamber's "
                f"{whole:.4g} mm²; do they overlap, or is the scale wrong?",
            )
    return ()
