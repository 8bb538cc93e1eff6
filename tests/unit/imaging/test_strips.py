"""Lines followed in strips: placed to a small part of a pixel, whatever they look like."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.imaging.strips import follow

Floats = NDArray[np.float64]
LOOKS: dict[str, Callable[[Floats], Floats]] = {
    "dark": lambda away: -0.3 * np.exp(-0.5 * (away / 1.5) ** 2),
    "bright": lambda away: 0.1 * np.exp(-0.5 * (away / 3.0) ** 2),
    "groove": lambda away: (
        0.2 * np.exp(-0.5 * (away / 3.0) ** 2) - 0.3 * np.exp(-0.5 * ((np.abs(away) - 6) / 2) ** 2)
    ),
    "double": lambda away: -0.2 * np.exp(-0.5 * ((np.abs(away) - 5) / 1.2) ** 2),
}
HEIGHT, WIDTH, PERIOD, FIRST, SECOND = 260, 390, 90.0, 11.3, -4.6


def ruled(look: Callable[[Floats], Floats], noise: float = 0.01) -> NDArray[np.float32]:
    """A picture with upright lines (FIRST from the middle) and level ones (SECOND)."""
    y, x = np.mgrid[:HEIGHT, :WIDTH].astype(np.float64)
    grey = 0.6 + 0.1 * x / WIDTH + np.random.default_rng(2).normal(0, noise, x.shape)
    for place, start, side in ((x, FIRST, WIDTH), (y, SECOND, HEIGHT)):
        off = place - (side - 1) / 2 - start
        grey += look(off - PERIOD * np.round(off / PERIOD))
    return np.asarray(grey, np.float32)


@pytest.mark.parametrize("look", LOOKS)
def test_lines_are_placed_where_they_are(look: str) -> None:
    """Told to be 1.2 px from where they are, all pieces agree to a fifth of a pixel."""
    seen = np.ones((HEIGHT, WIDTH), bool)
    placed = follow(ruled(LOOKS[look]), seen, 0.0, PERIOD, (FIRST + 1.2, SECOND - 1.2), 14, 4)
    assert placed is not None
    starts = np.where(placed.family == 0, FIRST, SECOND)
    off = placed.across - starts - PERIOD * placed.number
    assert set(zip(placed.family, placed.number, strict=True)) >= {(0, -1), (0, 0), (1, 0), (1, 1)}
    for family in (0, 1):  # where its lines' common look has its middle is no matter
        here = off[placed.family == family]
        assert np.abs(here - np.median(here)).max() < 0.2
        assert abs(np.median(here)) < 1.5


def test_pieces_that_are_not_seen_place_nothing() -> None:
    """The left half is hidden: no line there, and level lines on the right half only."""
    seen = np.ones((HEIGHT, WIDTH), bool)
    seen[:, : WIDTH // 2] = False
    placed = follow(ruled(LOOKS["dark"]), seen, 0.0, PERIOD, (FIRST, SECOND), 14, 4)
    assert placed is not None
    assert placed.number[placed.family == 0].min() >= 0
    assert placed.along[placed.family == 1].max() < 0


@pytest.mark.parametrize("starts", [(FIRST, None), (None, None)])
def test_water_places_nothing(starts: tuple[float | None, float | None]) -> None:
    """Where no line is, and where no family is named."""
    grey = np.random.default_rng(1).normal(0.6, 0.02, (HEIGHT, WIDTH)).astype(np.float32)
    placed = follow(grey, np.ones(grey.shape, bool), 0.0, PERIOD, starts, 14, 4)
    assert placed is None or len(placed.across) < 20
