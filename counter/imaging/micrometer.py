"""Calibration on a stage micrometer: hundreds of lines, of which 5th and 10th are longer.

The picture is turned so that the lines stand upright, and cut into bands. In the bands that the
short lines cross, every line is there and the comb is finest; further out only 5th or 10th lines
are left and the comb is coarser with fewer lines. So the stretch of bands whose comb has the most
lines is the one to measure on.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from counter.errors import CounterError
from counter.imaging.calibration import (
    Calibration,
    Spacing,
    checked_distance_um,
    from_spacing,
    half_turn_deg,
)
from counter.imaging.comb import Comb, Floats, best_comb, line_places
from counter.imaging.evenly import Placed, even_spacing
from counter.imaging.straight import Bands, Grey, bands_across, directions, turned_to, visible

MOST_DIRECTIONS = 4
BANDS = 300
STRETCHES = (4, 8, 16, 32, 96)
"""How many bands are looked at together; a short line must cross about 4 of 300."""

TAKEN = 4
LEAST_CYCLES = 5
BLURS_PX = (0.6, 2.0, 5.0)
LEAST_LINES = 6
LEAST_PERIOD_PX = 3.0
LEAST_COMPLETE = 0.8
LEAST_PURE = 0.75
MOST_CHANCE = 1e-8
"""How likely, at most, lines scattered at random would make the comb."""

JPEG_BLOCK_PX = 8
FEW_DIVISIONS = 20
POOR_ERROR = 0.002


@dataclass(frozen=True, slots=True)
class _Found:
    """A comb, and where: bands ``start`` to ``end``, lines that are bright or dark, blurred by."""

    comb: Comb
    bands: Bands
    start: int
    end: int
    sign: float
    blur_px: float


def calibrate_micrometer(grey: Grey, division_um: float) -> Calibration:
    """Return the scale of a picture (H, W), 0 to 1, of a stage micrometer at any angle.

    ``division_um`` is how far neighbouring lines are apart: 10 for 1 mm in 100 parts. Raises
    :class:`CounterError` where no regular lines are found, and :class:`UsageError` for a division
    not above 0 or one that makes the scale implausible.
    """
    checked_distance_um(division_um, "division", "10 for 1 mm in 100 parts")
    found = _find(grey)
    if found is None:
        raise CounterError(
            "no regular lines of a stage micrometer are found; focus on its lines, fill the field "
            "with them, and photograph it again (at least 6 lines, 3 pixels apart)."
        )
    spacing = _measured(found)
    said = _warnings(found, spacing.relative_error)
    return from_spacing(spacing, division_um, "Lines", said)


def _find(grey: Grey) -> _Found | None:
    """Return the best comb over directions; the first direction with a sure one ends the search."""
    seen = visible(grey)
    best: _Found | None = None
    others: list[_Found] = []
    for angle in directions(grey, seen, MOST_DIRECTIONS):
        found = list(_combs(grey, seen, angle))
        top = _clearest(found)
        if top is not None and (best is None or top.comb.score > best.comb.score):
            best, others = top, found
        if best is not None and best.comb.score > 2 * LEAST_LINES:
            break
    if best is not None:
        _refuse_long_lines_alone(best.comb, [entry.comb for entry in others])
    return best


def _clearest(found: list[_Found]) -> _Found | None:
    """Return, of those with (nearly) the most lines, the one whose lines are straightest."""
    most = max((entry.comb.score for entry in found), default=0.0)
    good = [entry for entry in found if entry.comb.score >= 0.97 * most]
    return min(
        good, key=lambda entry: entry.comb.error_px / (entry.end - entry.start), default=None
    )


def _refuse_long_lines_alone(best: Comb, others: list[Comb]) -> None:
    """Raise where the best comb is one of 5th lines: 10th lines, twice as far apart, reach beyond.

    On a micrometer whose finest lines are seen, longer lines are 5 and 10 divisions apart.
    """
    steps = [other.period_px / best.period_px for other in others]
    if any(abs(step - 2) < 0.04 for step in steps) and not any(abs(s - 5) < 0.1 for s in steps):
        raise CounterError(
            "only the longer lines of the micrometer can be told apart; focus on the finest ones, "
            "or use the stronger objective that the larvae are counted with."
        )


def _combs(grey: Grey, seen: NDArray[np.bool_], angle: float) -> Iterator[_Found]:
    """Yield the comb of each stretch of bands that has a convincing one."""
    tall = max(2, round(min(grey.shape) / BANDS))
    bands = bands_across(turned_to(grey, seen, angle), tall, max(grey.shape) // 8)
    for start, end in _stretches(bands):
        profile = bands.stretch(start, end)
        for sign in (-1.0, 1.0):
            for blur in BLURS_PX:
                places = line_places(profile, sign, blur)
                comb = best_comb(places, LEAST_LINES, LEAST_PERIOD_PX)
                if comb is not None and _convinces(comb, profile.values, bands.angle_deg):
                    yield _Found(comb, bands, start, end, sign, blur)


def _stretches(bands: Bands) -> list[tuple[int, int]]:
    """Return (start, end) of the stretches worth a look, of each length.

    They are those on which the profile varies most, and those on which most of its variation has
    one period: fine lines that are blurred vary little.
    """
    count = len(bands.middle_px)
    found: list[tuple[int, int]] = []
    for length in sorted({min(count, stretch) for stretch in (*STRETCHES, count)}):
        starts = range(0, count - length + 1, max(1, length // 4))
        profiles = np.array([np.median(bands.profile[s : s + length], axis=0) for s in starts])
        power = np.abs(np.fft.rfft(profiles, axis=1)[:, LEAST_CYCLES:]) ** 2
        pure = power.max(axis=1, initial=0.0) / (power.sum(axis=1) + 1e-12)
        best = {int(i) for rank in (profiles.std(axis=1), pure) for i in np.argsort(rank)[-TAKEN:]}
        found.extend((starts[i], starts[i] + length) for i in sorted(best))
    return found


def _convinces(comb: Comb, profile: Floats, angle_deg: float) -> bool:
    if comb.complete < LEAST_COMPLETE or comb.pure < LEAST_PURE:
        return False
    share = min(1.0, 4.0 * max(comb.spread_px / comb.period_px, 0.005))
    if share ** (comb.lines - 2) > MOST_CHANCE:
        return False
    return not _is_jpeg_blocks(comb, profile, angle_deg)


def _is_jpeg_blocks(comb: Comb, profile: Floats, angle_deg: float) -> bool:
    """Whether the comb is the faint 8-pixel pattern of JPEG compression."""
    upright = min(angle_deg % 90.0, 90.0 - angle_deg % 90.0) < 0.5
    blocks = comb.period_px / JPEG_BLOCK_PX
    whole = round(blocks) >= 1 and abs(blocks - round(blocks)) < 0.004
    return upright and whole and float(profile.std()) < 0.01


def _measured(found: _Found) -> Spacing:
    """Return the spacing and the exact angle of the found comb.

    Each quarter of the stretch gives its own places of the lines.
    """
    even = even_spacing(_in_quarters(found))
    comb, angle = found.comb, found.bands.angle_deg
    if even is None:  # one quarter of a short stretch shows too little
        return Spacing(comb.period_px, comb.error_px, half_turn_deg(angle), comb.divisions)
    turned = half_turn_deg(angle - even.lean_deg)
    return Spacing(even.period_px, even.error_px, turned, comb.divisions)


def _in_quarters(found: _Found) -> Placed:
    """Return places, line numbers and places along the lines, of each line in each quarter."""
    comb, bands = found.comb, found.bands
    places, numbers, along = [], [], []
    edges = np.linspace(found.start, found.end, 5).astype(int)
    for start, end in pairwise(int(edge) for edge in edges):
        if end == start:
            continue
        here = line_places(bands.stretch(start, end), found.sign, found.blur_px)
        number = np.rint((here - comb.first_px) / comb.period_px)
        off = np.abs(here - comb.first_px - number * comb.period_px)
        on = (off < 0.3 * comb.period_px) & np.isin(number, comb.numbers)
        places.append(here[on])
        numbers.append(number[on])
        along.append(np.full(int(on.sum()), bands.middle_px[start:end].mean()))
    across = np.concatenate(places)
    family = np.zeros(len(across), np.int64)
    return Placed(across, np.concatenate(numbers), family, np.concatenate(along))


def _warnings(found: _Found, relative_error: float) -> tuple[str, ...]:
    said = []
    if found.comb.divisions < FEW_DIVISIONS:
        said.append(
            f"Only {found.comb.divisions} divisions are seen; more of them make the scale surer."
        )
    if relative_error > POOR_ERROR:
        said.append(
            f"The lines are unsure, so the scale is good to about {2 * relative_error:.1%} only; "
            "focus better or clean the slide."
        )
    if found.comb.complete < 0.95:
        said.append("Some lines are hidden; clean the micrometer.")
    return tuple(said)
