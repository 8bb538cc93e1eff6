"""Calibration on a chamber's own rulings: few lines, right across the picture, two ways.

Lines are thin and dark, or wide grooves, or double and triple; larvae and dirt lie between and on
them. What they have in common: each crosses the picture in a straight line. So the picture is
averaged along them as the median of many bands, in which a body is outvoted, and a line must be
there in most bands. Both families of lines, at right angles, share one period: with two lines each
way, that they agree is the check; a picture that offers no such check gives no scale.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy import ndimage, signal

from counter.domain.scale import LEAST_UM_PER_PX, MOST_UM_PER_PX
from counter.errors import CounterError, UsageError
from counter.imaging.calibration import Calibration
from counter.imaging.comb import LEAST_CONTRAST
from counter.imaging.grid import Grid, best_grid
from counter.imaging.straight import Bands, Bools, Floats, Grey, bands_across, directions, visible

MOST_DIRECTIONS = 6
BANDS = 48
BLURS_PX = (1.5, 5.0, 14.0)
LEAN_DEG = 1.0
LEAN_STEPS = 81
AS_SHARP = 0.25
"""Lines of a direction whose profile is less sharp than this share of the best are not real."""

NOISE_LIMIT = 3.0
ONE_LINE = 0.1
"""How far, in periods, the parts of one line reach from any of them: grooves, double lines."""

STANDING_OUT = 6.0
"""How many times higher than the restlessness between them (root mean square) lines must be.

Drawn slides crowded with larvae: real rulings 20 times and more, chance grids about 2 times.
"""

FAINT = 0.05
"""The share of a line's squared height below which nothing around it counts."""

MOVES = 8
WHOLE = 0.6
"""How much of ``reach`` must be on the picture on both sides of a line's middle."""

IN_MOST_BANDS = 0.6
IN_VIEW = 0.25
"""The share of the bands that must show a place: at a corner of a turned picture few do."""

LIKE_THE_LINE = 0.3
"""How much of a line's height a band must show to count as having the line."""

FEW_LINES = 6
POOR_ERROR = 0.002
SQUARE_DEG = 90.0


@dataclass(frozen=True, slots=True)
class Rulings:
    """The rulings of a picture: ``grid`` of both families, ``angle_deg`` of the first (-45 to 45).

    Places are along the family's direction, 0 in the middle of the picture.
    """

    grid: Grid
    angle_deg: float


def find_rulings(grey: Grey) -> Rulings | None:
    """Return the rulings of a picture (H, W), 0 to 1, or None where no regular ones are seen."""
    seen = visible(grey)
    best: Rulings | None = None
    sharpest = 0.0
    for angle in _square_directions(grey, seen):
        pair = [_bands(grey, seen, angle + turn) for turn in (0.0, SQUARE_DEG)]
        lean, sharp = _lean(pair)
        if sharp < AS_SHARP * sharpest:
            continue
        if sharp * AS_SHARP > sharpest:
            best = None
        sharpest = max(sharp, sharpest)
        profiles = [_profile(bands, lean) for bands in pair]
        grid = _grid(profiles, math.cos(math.atan(lean)))
        if grid is not None and (best is None or grid.score > best.grid.score):
            turned = angle + math.degrees(math.atan(lean))
            best = Rulings(grid, (turned + 45.0) % 90.0 - 45.0)
    return best


def _grid(profiles: list[_Profile | None], upright: float) -> Grid | None:
    """Return the best grid of both profiles, from the middles of lines; None if there is none.

    The lines of a first grid may be edges of grooves. Its period says how far around each to look
    for the middle; the middles then make the grid that counts.
    """
    best: Grid | None = None
    for blur in BLURS_PX:
        places = [np.empty(0) if p is None else p.lines(blur) for p in profiles]
        rough = best_grid(places[0], places[1])
        if rough is None:
            continue
        reach = max(3, round(ONE_LINE * rough.period_px))
        middles = [
            np.empty(0) if p is None else p.middles(at, reach)
            for p, at in zip(profiles, places, strict=True)
        ]
        grid = best_grid(middles[0] * upright, middles[1] * upright)
        if grid is None or not _stand_out(profiles, middles, reach):
            continue
        if best is None or grid.score > best.score:
            best = grid
    return best


def _stand_out(profiles: list[_Profile | None], middles: list[Floats], reach: int) -> bool:
    """Whether the lines are high over what is between them: bodies make a restless profile."""
    heights: list[float] = []
    between: list[Floats] = []
    for profile, places in zip(profiles, middles, strict=True):
        if profile is not None and len(places):
            high, rest = profile.parted(places, reach)
            heights.extend(high)
            between.append(rest)
    rest_of_all = np.concatenate([*between, np.zeros(1)])
    level = math.sqrt(float(np.mean(rest_of_all**2)))
    return bool(heights) and float(np.median(heights)) >= STANDING_OUT * level


def calibrate_rulings(grey: Grey, period_um: float) -> Calibration:
    """Return the scale of a picture (H, W), 0 to 1, with rulings ``period_um`` apart.

    Raises :class:`CounterError` where no regular rulings are found (at least three lines one way,
    or two lines both ways, that agree), and :class:`UsageError` for a period not above 0 or one
    that makes the scale implausible.
    """
    if not 0 < period_um < math.inf:
        raise UsageError(
            f"A ruling of {period_um:g} µm is impossible; give how many µm neighbouring lines are "
            "apart (1000 for a square of 1 mm)."
        )
    found = find_rulings(grey)
    if found is None:
        raise CounterError(
            "no regular rulings are found; at least three lines one way, or two lines both ways, "
            "must cross the picture in focus. Use a weaker objective, or a stage micrometer."
        )
    grid = found.grid
    um_per_px = period_um / grid.period_px
    if not LEAST_UM_PER_PX <= um_per_px <= MOST_UM_PER_PX:
        raise UsageError(
            f"Rulings {grid.period_px:.4g} px apart would make a pixel {um_per_px:.3g} µm, which "
            f"no microscope has; are they really {period_um:g} µm apart?"
        )
    error = um_per_px * grid.error_px / grid.period_px
    said = _warnings(grid, error / um_per_px)
    return Calibration(um_per_px, error, found.angle_deg, grid.divisions, said)


def _square_directions(grey: Grey, seen: Bools) -> Iterator[float]:
    """Yield the directions of lines, taken together with those at right angles, strongest first."""
    told: list[float] = []
    for angle in directions(grey, seen, MOST_DIRECTIONS):
        folded = angle % SQUARE_DEG
        apart = [abs((folded - other + 45.0) % 90.0 - 45.0) for other in told]
        if all(distance > 1.5 for distance in apart):
            told.append(folded)
            yield folded


def _bands(grey: Grey, seen: Bools, angle_deg: float) -> Bands:
    tall = max(3, round(min(grey.shape) / BANDS))
    return bands_across(grey, seen, angle_deg, tall, max(grey.shape) // 6)


def _lean(pair: list[Bands]) -> tuple[float, float]:
    """Return by how much (tangent) both families lean from the direction they were turned to.

    It is where the averaged profiles are sharpest: where their fourth powers sum highest. That sum
    comes with it.
    """
    leans = np.tan(np.radians(np.linspace(-LEAN_DEG, LEAN_DEG, LEAN_STEPS)))
    sharp = np.array([sum(_sharpness(bands, float(lean)) for bands in pair) for lean in leans])
    smooth = ndimage.gaussian_filter1d(sharp, 1.0)
    best = int(np.argmax(smooth))
    return float(leans[best]), float(smooth[best])


def _sharpness(bands: Bands, lean: float) -> float:
    limited = np.clip(np.nan_to_num(_upright(bands, lean)), -0.1, 0.1)
    return float((limited.mean(axis=0) ** 4).sum())


def _upright(bands: Bands, lean: float) -> Floats:
    """Return the bands' profiles, each moved so that lines that lean stand upright.

    What is not on the picture is NaN.
    """
    width = bands.profile.shape[1]
    shift = np.rint(-lean * bands.middle_px).astype(np.int64)
    columns = np.clip(np.arange(width)[None, :] + shift[:, None], 0, width - 1)
    shown = np.take_along_axis(bands.seen, columns, axis=1)
    return np.where(shown, np.take_along_axis(bands.profile, columns, axis=1), np.nan)


@dataclass(frozen=True, slots=True)
class _Profile:
    """The upright profiles of the bands ``[band, u]``, their median, and its noise (deviation).

    ``shown[u]`` says where enough bands are on the picture; elsewhere the median is 0.
    """

    bands: Floats
    values: Floats
    shown: Bools
    noise: float

    def lines(self, blur_px: float) -> Floats:
        """Return the places of the lines that cross most bands; ``blur_px`` makes a line one."""
        height = np.sqrt(ndimage.gaussian_filter1d(self.values**2, blur_px))
        least = max(LEAST_CONTRAST, NOISE_LIMIT * self.noise)
        peaks, _ = signal.find_peaks(height, height=least, prominence=0.5 * least)
        strong = peaks[height[peaks] >= 0.25 * height[peaks].max(initial=0.0)]
        kept = [int(peak) for peak in strong if self._crosses(int(peak), blur_px)]
        return np.array(kept, dtype=np.float64) - self._middle

    def middles(self, places: Floats, reach: int) -> Floats:
        """Return the middles of the lines at ``places``, each once.

        The middle is the centroid of the squared profile within ``reach`` pixels, moved there
        until it stays. A line that the end of the picture may cut is left out.
        """
        energy = np.clip(self.values**2 - (2.0 * self.noise) ** 2, 0, None)
        padded = np.pad(energy, reach + 1)
        found = []
        for place in places:
            at = place + self._middle
            for _ in range(MOVES):
                at += _offset(padded, at, reach)
            if self.shown[
                max(0, math.floor(at - WHOLE * reach)) : math.ceil(at + WHOLE * reach)
            ].all():
                found.append(at - self._middle)
        ordered = np.sort(np.array(found, dtype=np.float64))
        apart = np.diff(ordered, prepend=-np.inf) > max(2.0, 0.2 * reach)
        return ordered[apart]

    def parted(self, places: Floats, reach: int) -> tuple[list[float], Floats]:
        """Return how high each line is, and the profile between the lines, where it is seen."""
        heights, between = [], self.values.copy()
        for place in places:
            at = round(place + self._middle)
            part = slice(max(0, at - reach), at + reach + 1)
            heights.append(float(np.abs(self.values[part]).max(initial=0.0)))
            between[part] = 0.0
        return heights, between[between != 0.0]

    @property
    def _middle(self) -> float:
        return (self.values.size - 1) / 2

    def _crosses(self, peak: int, blur_px: float) -> bool:
        """Whether most bands show at ``peak`` what the median shows."""
        reach = max(3, round(2.5 * blur_px))
        part = slice(max(0, peak - reach), peak + reach + 1)
        wanted = self.values[part]
        here = self.bands[~np.isnan(self.bands[:, part]).any(axis=1), part]
        share = here @ wanted / float(wanted @ wanted)
        return len(share) >= 4 and float((share > LIKE_THE_LINE).mean()) >= IN_MOST_BANDS


def _offset(padded: Floats, at: float, reach: int) -> float:
    """Return how far the centroid within ``reach`` lies from ``at``; ends count by their share."""
    whole = math.floor(at)
    window = padded[whole + 1 : whole + 2 * reach + 3].copy()
    away = np.arange(-reach, reach + 2) + whole - at
    window *= np.clip(reach + 1.0 - np.abs(away), 0.0, 1.0)
    window = np.clip(window - FAINT * window.max(initial=0.0), 0.0, None)
    weight = float(window.sum())
    return float(window @ away) / weight if weight > 0 else 0.0


def _profile(bands: Bands, lean: float) -> _Profile | None:
    """Return what most bands show across the lines; None where too little is on the picture."""
    upright = _upright(bands, lean)
    shown = (~np.isnan(upright)).sum(axis=0) >= max(4, IN_VIEW * len(upright))
    if not shown.any():
        return None
    upright[:, ~shown] = 0.0
    values = np.nanmedian(upright, axis=0)
    odd, even = (np.nan_to_num(_median_or_nan(upright[i::2])) for i in (0, 1))
    doubt = ((odd - even) / 2)[shown]
    cap = (4.0 * 1.4826 * float(np.median(np.abs(doubt)))) ** 2
    return _Profile(upright, values, shown, math.sqrt(float(np.minimum(doubt**2, cap).mean())))


def _median_or_nan(bands: Floats) -> Floats:
    """Return the median over bands, NaN where no band is on the picture."""
    empty = np.isnan(bands).all(axis=0)
    result = np.nanmedian(np.where(empty, 0.0, bands), axis=0)
    return np.where(empty, np.nan, result)


def _warnings(grid: Grid, relative_error: float) -> tuple[str, ...]:
    said = []
    if grid.lines < FEW_LINES:
        said.append(
            f"Only {grid.lines} rulings are seen; a stage micrometer makes the scale surer."
        )
    if relative_error > POOR_ERROR:
        said.append(f"The rulings are unsure: the scale is good to {2 * relative_error:.1%} only.")
    return tuple(said)
