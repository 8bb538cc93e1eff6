"""Bodies of another size than was looked for, where hardly any of the right size were found."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class OtherSize:
    """``bodies`` that look like what is counted but have another size.

    They would have the right size if a pixel were ``times`` as large: above 1 they are too small,
    below 1 too large. ``median_px`` is their median length in pixels.
    """

    times: float
    bodies: int
    median_px: float
