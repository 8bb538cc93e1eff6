"""The light of the empty water, as a smooth surface over the picture.

Which part of a picture is water is not known beforehand: dark or bright bodies may cover a third of
it and more, and the light may fall off steeply. So several first guesses are followed, each by a
robust fit (iteratively reweighted least squares with Tukey's biweight; Beaton & Tukey 1974,
Technometrics 16:147-185), and the one stands that most of the picture agrees with, as in random
sample consensus (Fischler & Bolles 1981, Commun. ACM 24:381-395).
"""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.ranks import middle, percentile

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]
Places = NDArray[np.bool_]

FITTED = 800
"""About how many places a surface is fitted to."""

PARTS = 6
"""Along each side, in how many parts of the picture calm places are looked for."""

FULL_ORDER = 5

PLAINLY = 0.8
"""A surface that this much of the picture agrees with needs no rival."""


def light_of_water(small: Floats, seen: Places, high_px: float) -> Floats:
    """Return the light on a small copy (h, w, channels); a picture of nothing gives its median.

    ``seen`` says where it shows the field; changes slower than ``high_px`` are light too.
    """
    if np.count_nonzero(seen) < 50:
        level = np.median(small.reshape(-1, small.shape[2]), axis=0)
        return np.broadcast_to(level, small.shape).astype(np.float32)
    grey = np.asarray(small.mean(axis=2), np.float32)
    near = _tolerance(grey, seen)
    terms = _terms(grey)
    water = _agreeing(grey, seen, near, terms)
    layers = []
    for channel in range(small.shape[2]):
        values = small[..., channel]
        surface = terms @ _robust_fit(terms, values, water)
        layers.append(_followed(values, surface, seen, water, high_px))
    return np.stack(layers, axis=-1)


def _tolerance(grey: Floats, seen: Places) -> float:
    """How far water may lie off its surface: from the finest grain of the small copy."""
    grain = np.abs(grey - cv2.medianBlur(grey, 3))[seen]
    return max(0.006, 4 * 1.4826 * middle(grain))


def _agreeing(grey: Floats, seen: Places, near: float, terms: Doubles) -> Places:
    """The places that agree with the surface that most places agree with."""
    best, most = seen, -1.0
    for places, order in _guesses(grey, seen):
        if np.count_nonzero(places) < 50:
            continue
        few = terms[..., : (order + 1) * (order + 2) // 2]
        surface = few @ _robust_fit(few, grey, places)
        for _ in range(2):  # let it grow over the water that the guess left out
            agreeing = seen & (np.abs(grey - surface) < near)
            if np.count_nonzero(agreeing) < 50:
                break
            surface = terms @ _robust_fit(terms, grey, agreeing)
        agreeing = seen & (np.abs(grey - surface) < near)
        share = float(agreeing.sum())
        if share > most:
            best, most = agreeing, share
        if share > PLAINLY * np.count_nonzero(seen):
            break
    return best


def _guesses(grey: Floats, seen: Places) -> Iterator[tuple[Places, int]]:
    """First guesses of the water, each with the order of surface that it can bear."""
    rough = _roughness(grey)
    inner = cv2.erode(seen.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    inner = inner if inner.any() else seen
    calm = inner & (rough <= middle(rough[inner]))
    yield calm, 2
    yield _calm_everywhere(rough, inner), FULL_ORDER
    usual = middle(grey[inner])
    yield calm & (grey <= usual), 1
    yield calm & (grey >= usual), 1


def _roughness(grey: Floats) -> Floats:
    """How much the copy bends at each place, however steep the light."""
    bent = np.abs(grey - cv2.blur(grey, (5, 5), borderType=cv2.BORDER_REFLECT_101))
    return np.asarray(cv2.dilate(bent, np.ones((3, 3), np.uint8)), np.float32)


def _calm_everywhere(rough: Floats, inner: Places) -> Places:
    """The calmest places of every part of the picture, so that no corner is guessed."""
    found = np.zeros(rough.shape, bool)
    for rows in np.array_split(np.arange(rough.shape[0]), PARTS):
        for columns in np.array_split(np.arange(rough.shape[1]), PARTS):
            part = np.ix_(rows, columns)
            held = inner[part]
            if held.any():
                found[part] = held & (rough[part] <= percentile(rough[part][held], 40))
    return found


def _followed(
    values: Floats, surface: Doubles, seen: Places, water: Places, high_px: float
) -> Floats:
    """Let the surface follow what is left of slow changes in the water, by a blur of it alone."""
    sigma = max(2.0, high_px)
    for _ in range(2):
        off = values - surface
        spread = 1.4826 * middle(np.abs(off[water])) + 1e-4
        calm = (seen & (np.abs(off) < 4 * spread)).astype(np.float32)
        weight = cv2.GaussianBlur(calm, (0, 0), sigma)
        followed = cv2.GaussianBlur(calm * off.astype(np.float32), (0, 0), sigma)
        surface = surface + followed / (weight + 0.05)
    return surface.astype(np.float32)


def _terms(like: Floats) -> Doubles:
    """The terms of a surface of full order over the picture, (h, w, terms), lowest order first."""
    height, width = like.shape
    powers = np.arange(FULL_ORDER + 1)[:, None]
    x, y = np.linspace(-1, 1, width) ** powers, np.linspace(-1, 1, height) ** powers
    pairs = [(i, order - i) for order in range(FULL_ORDER + 1) for i in range(order + 1)]
    terms = np.empty((height, width, len(pairs)))
    for number, (i, j) in enumerate(pairs):
        np.multiply(x[i], y[j][:, None], out=terms[..., number])
    return terms


def _robust_fit(terms: Doubles, values: Floats, places: Places) -> Doubles:
    """Fit ``values`` on ``places``; returns the weight of each term."""
    chosen = np.flatnonzero(places)
    chosen = chosen[:: max(1, len(chosen) // FITTED)]
    a = terms.reshape(-1, terms.shape[2])[chosen]
    b = values.reshape(-1)[chosen].astype(np.float64)
    off = b - middle(b)
    fit = np.zeros(a.shape[1])
    for step in range(6):
        spread = 1.4826 * middle(np.abs(off)) + 1e-4
        if step < 3:
            weight = 1 / (np.abs(off) + 0.3 * spread)
        else:
            weight = np.clip(1 - (off / (4.685 * spread)) ** 2, 0, None) ** 2
        scaled = a * weight[:, None]
        ridge = 1e-6 * weight.sum() * np.eye(a.shape[1])
        fit = np.linalg.solve(a.T @ scaled + ridge, scaled.T @ b)
        off = b - a @ fit
    return fit
