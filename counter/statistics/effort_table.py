"""How narrow the limits of a count are, and how many it takes: the table that hangs on the wall.

The rule ±2/√n is that of Lund, Kipling and Le Cren (1958), Hydrobiologia 11:143-170; beside it
stand Garwood's exact limits, which are those that are shown. Both take the water for evenly mixed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from counter.domain.rounding import quantity_for_people, whole_for_people
from counter.statistics.cautions import percent
from counter.statistics.poisson import garwood
from counter.statistics.precision import (
    MOST_COUNTED,
    counted_by_rule,
    counted_for,
    lund_precision,
    normal_quantile,
)

COUNTED = (4, 16, 25, 50, 100, 200, 400, 1000, 1600, 10_000)
PRECISIONS = (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.50)


@dataclass(frozen=True, slots=True)
class CountedRow:
    """Of so many ``counted``: ± by the rule, and how far the exact limits lie ``below`` and
    ``above``, all as shares of the count."""

    counted: int
    rule: float
    below: float
    above: float


@dataclass(frozen=True, slots=True)
class NeededRow:
    """For limits of ± ``precision``: how many by the normal rule, how many by the exact limits."""

    precision: float
    by_rule: float
    exact: int


def counted_rows(confidence: float = 0.95) -> tuple[CountedRow, ...]:
    """Return a row for each of :data:`COUNTED`; the rule is for 95 % whatever the confidence."""
    rows = []
    for counted in COUNTED:
        low, high = garwood(counted, confidence)
        below, above = 1 - low / counted, high / counted - 1
        rows.append(CountedRow(counted, lund_precision(counted), below, above))
    return tuple(rows)


def needed_rows(confidence: float = 0.95) -> tuple[NeededRow, ...]:
    """Return a row for each of :data:`PRECISIONS`."""
    return tuple(
        NeededRow(
            precision,
            counted_by_rule(precision, confidence),
            counted_for(precision, confidence) or MOST_COUNTED,
        )
        for precision in PRECISIONS
    )


def table_json(confidence: float = 0.95) -> dict[str, Any]:
    """Return both parts of the table for JSON."""
    return {
        "counted": [
            {"counted": row.counted, "rule": row.rule, "below": row.below, "above": row.above}
            for row in counted_rows(confidence)
        ],
        "needed": [
            {"precision": row.precision, "by_rule": row.by_rule, "exact": row.exact}
            for row in needed_rows(confidence)
        ],
    }


def table_lines(confidence: float = 0.95) -> tuple[str, ...]:
    """Return the table as lines: what a count is worth, then how many it takes."""
    level, z = percent(confidence), quantity_for_people(round(normal_quantile(confidence), 2))
    return (
        f"What a count is worth: by 2 ÷ √n (Lund, Kipling and Le Cren 1958), by the exact {level} "
        "limits",
        *(
            f"{whole_for_people(row.counted)} counted: ±{_percent(row.rule)}; "
            f"−{_percent(row.below)} to +{_percent(row.above)}"
            for row in counted_rows(confidence)
        ),
        f"How many it takes: by ({z} ÷ x)², by the exact {level} limits",
        *(
            f"±{_percent(row.precision)}: {whole_for_people(row.by_rule)}; "
            f"{whole_for_people(row.exact)}"
            for row in needed_rows(confidence)
        ),
    )


def rule_words(counted: int, precision: float) -> str:
    """Return what the rule of Lund, Kipling and Le Cren says of ``counted``, 1 or more."""
    needed = whole_for_people((2 / precision) ** 2)
    return (
        "For comparison, ±2 ÷ √n (Lund, Kipling and Le Cren 1958), as if chance alone scattered: "
        f"±{_percent(lund_precision(counted))} now, {needed} in all for ±{_percent(precision)}."
    )


def _percent(share: float) -> str:
    return f"{quantity_for_people(float(f'{100 * share:.3g}'))} %"
