"""A number with its limits, or the statement that there is none."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Interval:
    """``value`` between ``low`` and ``high``; all None where the number is not defined (0 of 0)."""

    value: float | None
    low: float | None
    high: float | None


NOT_DEFINED = Interval(None, None, None)


def checked_confidence(confidence: float) -> float:
    """Return ``confidence`` if it lies between 0 and 1; ValueError otherwise (a bug)."""
    if not 0.0 < confidence < 1.0:
        raise ValueError(f"confidence {confidence!r} is not between 0 and 1")
    return confidence
