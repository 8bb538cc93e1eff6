"""Outlines have the marks of their kind."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.random import default_rng

from counter.imaging.draw import outlines
from counter.imaging.draw.shape import Shape

SEEDS = range(12)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_d_has_a_straight_hinge_on_top(seed: int) -> None:
    """The upper side is flat over more than a third of the length, the lower side round."""
    shape = outlines.d_hinge(default_rng(seed)).scaled_to(70.0)
    x, y = shape.points_um.T
    middle = np.abs(x) < 12.5
    upper, lower = y[middle & (y < 0)], y[middle & (y > 0)]
    slant = np.polyfit(x[middle & (y < 0)], upper, 1)
    assert np.abs(upper - np.polyval(slant, x[middle & (y < 0)])).max() < 0.8
    assert np.ptp(lower) > 1.4
    assert shape.feret_um[1] < 0.95 * shape.feret_um[0]


@pytest.mark.parametrize("seed", SEEDS)
def test_an_umbo_rises_over_the_shoulders(seed: int) -> None:
    """The radius is largest near the top, with shoulders lower than it on both sides."""
    shape = outlines.umbo(default_rng(seed), 1.0)
    top = shape.radius_um[480:600].max()
    assert top > shape.radius_um[400:440].mean()
    assert top > shape.radius_um[640:680].mean()


def test_a_lens_is_narrow_with_two_ends() -> None:
    """On its edge a larva is 45 to 75 % as wide as long."""
    for seed in SEEDS:
        longest, shortest = outlines.on_side(default_rng(seed)).feret_um
        assert 0.45 < shortest / longest < 0.75


@pytest.mark.parametrize("cells", [2, 4, 8])
def test_an_embryo_holds_its_cells_and_has_furrows(cells: int) -> None:
    """As many discs as cells, all inside the outline, which is not convex."""
    shape, discs = outlines.cleaving(default_rng(1), cells)
    assert len(discs) == cells
    for x, y, radius in discs:
        away = np.hypot(*(shape.points_um - (x, y)).T)
        assert away.min() > 0.75 * radius
    assert shape.radius_um.min() < 0.9 * shape.radius_um.max()


def test_valves_ajar_share_the_hinge_and_lie_in_the_outline() -> None:
    """The outline of a gaping shell is the outer one of both valves."""
    valve = outlines.d_hinge(default_rng(2)).scaled_to(70.0)
    outline, valves = outlines.gaping(default_rng(3), valve)
    for points in valves:
        distance, _ = outline.around(
            points[:, :1].astype(np.float32), points[:, 1:].astype(np.float32)
        )
        assert distance.max() < 0.3
    assert outline.feret_um[1] > valve.feret_um[1]


def test_an_open_shell_is_its_own_mirror_image() -> None:
    """Round both valves, as long along the hinge as one of them."""
    valve = outlines.d_hinge(default_rng(2)).scaled_to(70.0)
    seen, points = outlines.opened(default_rng(3), valve)
    assert np.abs(points - points[::-1] * (1.0, -1.0)).max() < 1e-9
    assert np.ptp(points[:, 0]) == pytest.approx(np.ptp(valve.points_um[:, 0]), rel=1e-3)
    assert np.ptp(points[:, 1]) == pytest.approx(2 * np.ptp(seen.points_um[:, 1]), rel=0.02)


@pytest.mark.parametrize(
    "outline", [outlines.round_body, outlines.trochophore, outlines.flake, outlines.slipper]
)
def test_no_two_are_alike(outline: object) -> None:
    """Each seed gives an outline of its own around the origin."""
    assert callable(outline)
    first, second = (outline(default_rng(seed)) for seed in (1, 2))
    assert isinstance(first, Shape)
    assert first.radius_um.min() > 0
    assert not np.allclose(first.radius_um, second.radius_um)


def test_an_oval_is_no_thinner_than_asked() -> None:
    """The short axis is at least the share asked for."""
    for seed in SEEDS:
        longest, shortest = outlines.oval(default_rng(seed), 0.7).feret_um
        assert shortest / longest >= 0.69
