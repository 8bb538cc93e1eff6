"""What stands beside the sizes: their limits, what the borders select, growth, how many more."""

from __future__ import annotations

from counter.domain.rounding import for_people
from counter.statistics.cautions import percent
from counter.statistics.growth import Growth, growth_words
from counter.statistics.precision import measured_for
from counter.statistics.selection import Selection
from counter.statistics.sizes import Limits, Sizes

WORTH_SAYING = 0.01
"""A correction of a mean that is smaller than 1 % changes nothing that anybody does."""
USUAL_UM = 2.0


def sizes_notes(
    found: Sizes | None, behind: Selection, grown: Growth | None, confidence: float
) -> tuple[str, ...]:
    """Return the notes, a line each; nothing where nothing was measured."""
    if found is None:
        return ()
    return (
        *_limits(found, confidence),
        *_borders(found, behind),
        *_more(found, confidence),
        *((growth_words(grown),) if grown is not None else ()),
    )


def _limits(found: Sizes, confidence: float) -> list[str]:
    parts = [
        f"{name} {words}"
        for name, words in (
            ("median", _between(found.median_limits)),
            ("mean", _between(found.mean_limits)),
            ("the tenth below", _between(found.p10_limits)),
            ("the tenth above", _between(found.p90_limits)),
        )
        if words
    ]
    return [f"{percent(confidence)} limits in µm: {', '.join(parts)}."] if parts else []


def _between(limits: Limits) -> str:
    low, high = limits
    if low is None or high is None:
        return ""
    return f"{for_people(low)} to {for_people(high)}"


def _borders(found: Sizes, behind: Selection) -> list[str]:
    fair = behind.corrected
    if fair is None or abs(fair.mean / found.mean - 1) < WORTH_SAYING:
        return []
    return [
        "Borders cut large larvae more often. With that taken out: mean "
        f"{for_people(fair.mean)} µm, median {for_people(fair.median)} µm."
    ]


def _more(found: Sizes, confidence: float) -> list[str]:
    if not found.sd:
        return []
    needed = measured_for(found.sd, USUAL_UM, confidence)
    if needed <= found.measured:
        return []
    return [f"For a mean to ±{USUAL_UM:g} µm, measure about {for_people(needed, 2)} in all."]
