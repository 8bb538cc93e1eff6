"""What most of the picture shows across one family of a chamber's rulings, and the lines on it.

Lines are thin and dark, or wide grooves, or double and triple; larvae and dirt lie between and on
them. What they have in common: each crosses the picture in a straight line. So the picture is
averaged along them as the median of many bands, in which a body is outvoted, and a line must be
there in most bands.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import ndimage, signal

from counter.imaging.comb import LEAST_CONTRAST
from counter.imaging.straight import Bands, Bools, Floats

LEAN_DEG = 1.0
LEAN_STEPS = 81
LIMIT = 0.1
"""Brighter or darker than this share of white, a place counts no more for the lean."""

NOISE_LIMIT = 3.0
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


def lean_of(pair: list[Bands]) -> tuple[float, float]:
    """Return by how much (tangent) both families lean from the direction they were turned to.

    It is where the averaged profiles are sharpest: where their fourth powers sum highest. That sum
    comes with it.
    """
    leans = np.tan(np.radians(np.linspace(-LEAN_DEG, LEAN_DEG, LEAN_STEPS)))
    sharp = sum(_sharpness(bands, leans) for bands in pair)
    smooth = ndimage.gaussian_filter1d(sharp, 1.0)
    best = int(np.argmax(smooth))
    return float(leans[best]), float(smooth[best])


def _sharpness(bands: Bands, leans: Floats) -> Floats:
    """Return, for each lean, the sum of the fourth powers of the mean of the moved profiles."""
    shifts = np.rint(-leans[:, None] * bands.middle_px).astype(np.int64)
    most = int(np.abs(shifts).max())
    width = bands.profile.shape[1]
    padded = np.pad(np.clip(bands.profile, -LIMIT, LIMIT), ((0, 0), (most, most)), mode="edge")
    means = np.zeros((len(leans), width))
    for mean, row in zip(means, shifts + most, strict=True):
        for band, start in zip(padded, row, strict=True):
            mean += band[start : start + width]
    return np.asarray(((means / len(padded)) ** 4).sum(axis=1))


@dataclass(frozen=True, slots=True)
class RuledProfile:
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
        """Return how high each line is, and the profile between the lines, where it is seen.

        Both are from the usual level between lines: many lines take the mean of the light along.
        """
        parts = [self._around(place, reach) for place in places]
        is_between = self.shown.copy()
        for part in parts:
            is_between[part] = False
        between = self.values[is_between]
        level = float(np.median(between)) if between.size else 0.0
        heights = [float(np.abs(self.values[part] - level).max(initial=0.0)) for part in parts]
        return heights, between - level

    def _around(self, place: float, reach: int) -> slice:
        at = round(place + self._middle)
        return slice(max(0, at - reach), max(0, at + reach + 1))

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


def profile_of(bands: Bands, lean: float) -> RuledProfile | None:
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
    return RuledProfile(upright, values, shown, math.sqrt(float(np.minimum(doubt**2, cap).mean())))


def _median_or_nan(bands: Floats) -> Floats:
    """Return the median over bands, NaN where no band is on the picture."""
    empty = np.isnan(bands).all(axis=0)
    result = np.nanmedian(np.where(empty, 0.0, bands), axis=0)
    return np.where(empty, np.nan, result)


def _upright(bands: Bands, lean: float) -> Floats:
    """Return the bands' profiles, each moved so that lines that lean stand upright.

    What is not on the picture is NaN.
    """
    width = bands.profile.shape[1]
    shift = np.rint(-lean * bands.middle_px).astype(np.int64)
    columns = np.clip(np.arange(width)[None, :] + shift[:, None], 0, width - 1)
    shown = np.take_along_axis(bands.seen, columns, axis=1)
    return np.where(shown, np.take_along_axis(bands.profile, columns, axis=1), np.nan)
