"""Larvae look like what they are, where a number can tell."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from counter.imaging.draw import Kind
from tests.unit.imaging.draw.portrait import Picture, portrait


@pytest.mark.parametrize(
    ("kind", "length_um", "um_per_px"),
    [(Kind.D_HINGE, 70.0, 0.4), (Kind.UMBO, 180.0, 0.8)],
)
def test_a_shell_has_a_dark_rim_and_a_clear_margin(
    kind: Kind, length_um: float, um_per_px: float
) -> None:
    """The rim is darker than the slide and than what lies just within it."""
    picture, reach, _ = portrait(kind, length_um, um_per_px)
    grey = picture.mean(axis=2)
    rim = grey[(reach > 0.95) & (reach < 1.0)].mean()
    within = np.median(grey[(reach > 0.78) & (reach < 0.86)])
    assert rim < within - 20
    assert rim < np.median(grey) - 50
    assert within > np.median(grey) - 75


def test_a_larva_on_its_edge_is_dark_rimmed_and_darker_than_one_that_lies_flat() -> None:
    """Both valves are seen steeply: a strong rim, and more light taken all over."""
    means = []
    for kind in (Kind.ON_SIDE, Kind.D_HINGE):
        picture, reach, _ = portrait(kind, 70.0, 0.4)
        grey = picture.mean(axis=2)
        means.append(grey[reach < 1.0].mean())
        assert grey[(reach > 0.95) & (reach < 1.0)].mean() < np.median(grey) - 50
    assert means[0] < means[1]


def test_the_gut_is_golden_brown() -> None:
    """In the darkest part of the inside, blue is missing most and red least."""
    picture, reach, _ = portrait(Kind.UMBO, 180.0, 0.8)
    inside = picture[reach < 0.7]
    dark = inside[inside.mean(axis=1) < np.percentile(inside.mean(axis=1), 15)]
    red, green, blue = dark.mean(axis=0)
    assert red > green > blue + 12


def test_an_eyed_larva_has_one_black_eye_spot() -> None:
    """A spot of 8 to 20 µm is nearly black in all colours; an umbo larva has none."""
    picture, reach, _ = portrait(Kind.EYED, 285.0, 1.0)
    assert 8 < black_spot_um(picture, reach, 1.0) < 20
    umbo, reach, _ = portrait(Kind.UMBO, 220.0, 0.8)
    assert black_spot_um(umbo, reach, 0.8) < 4


def black_spot_um(picture: Picture, reach: Picture, um_per_px: float) -> float:
    """The diameter of a disc as large as the largest black spot inside."""
    labels, _ = ndimage.label((picture.max(axis=2) < 26) & (reach < 0.8))
    largest = int(np.bincount(labels.ravel())[1:].max(initial=0))
    return float(2 * np.sqrt(largest / np.pi) * um_per_px)


def test_a_pediveliger_has_its_foot_outside_the_outline() -> None:
    """Beyond the shell there is something on one side; an eyed larva has nothing there."""
    shown = []
    for kind in (Kind.PEDIVELIGER, Kind.EYED):
        picture, reach, _ = portrait(kind, 305.0, 1.1)
        grey = picture.mean(axis=2)
        shown.append(int(((reach > 1.08) & (grey < np.median(grey) - 10)).sum()))
    assert shown[0] > 150
    assert shown[1] < 10


def test_an_empty_shell_is_clear_inside() -> None:
    """No gut: the inside is hardly tinted and much brighter than a living larva's."""
    empty, reach, _ = portrait(Kind.EMPTY_SHELL, 75.0, 0.4)
    alive, alive_reach, _ = portrait(Kind.D_HINGE, 75.0, 0.4)
    tint = empty[reach < 0.4].mean(axis=0)
    assert np.ptp(tint) < 18
    assert tint.mean() > alive[alive_reach < 0.4].mean() + 15
