"""The working of a share: Wilson's limits and the exact ones, line by line as on paper."""

from __future__ import annotations

from counter.domain.rounding import on_paper, whole_for_people
from counter.statistics.cautions import percent
from counter.statistics.precision import normal_quantile
from counter.statistics.proportion import clopper_pearson, wilson


def share_working(successes: int, total: int, confidence: float = 0.95) -> tuple[str, ...]:
    """Return the way to the share of ``successes`` in ``total`` and to both pairs of limits.

    Nothing where ``total`` is 0.
    """
    if not total:
        return ()
    part, whole = whole_for_people(successes), whole_for_people(total)
    return (
        f"Share: {part} ÷ {whole} = {on_paper(successes / total)}",
        wilson_line(successes, total, confidence),
        exact_line(successes, total, confidence),
    )


def wilson_line(successes: float, total: float, confidence: float = 0.95) -> str:
    """Return Wilson's formula with its numbers; ``total`` is above 0, both may be fractions."""
    found = wilson(successes, total, confidence)
    assert found.value is not None
    assert found.low is not None
    assert found.high is not None
    z, number = on_paper(normal_quantile(confidence)), on_paper(total)
    share, rest = on_paper(found.value), on_paper(1 - found.value)
    return (
        f"Wilson's limits ({percent(confidence)}): ({share} + {z}² ÷ (2 × {number}) ± {z} × √("
        f"{share} × {rest} ÷ {number} + ({z} ÷ (2 × {number}))²)) ÷ (1 + {z}² ÷ {number}) = "
        f"{on_paper(found.low)} to {on_paper(found.high)}"
    )


def exact_line(successes: int, total: int, confidence: float = 0.95) -> str:
    """Return the limits of Clopper and Pearson and what makes them; ``total`` is above 0."""
    found = clopper_pearson(successes, total, confidence)
    assert found.low is not None
    assert found.high is not None
    part, whole = whole_for_people(successes), whole_for_people(total)
    reasons = [
        f"if the share were {on_paper(found.low)}, {part} or more of {whole}" * (successes > 0),
        f"if it were {on_paper(found.high)}, {part} or fewer of {whole}" * (successes < total),
    ]
    because = "; ".join(filter(None, reasons))
    return (
        f"Exact limits (Clopper and Pearson 1934): {on_paper(found.low)} to "
        f"{on_paper(found.high)}: {because} would have a probability of "
        f"{percent((1 - confidence) / 2)}"
    )
