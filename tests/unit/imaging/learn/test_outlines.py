"""Outlines by chance."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from counter.imaging.learn import open_shells, outlines

MAKERS = (
    outlines.egg,
    outlines.cells,
    outlines.straight_hinge,
    outlines.umbo,
    outlines.beaked,
    outlines.lens,
    outlines.biconvex,
    outlines.pear,
    outlines.any_body,
    outlines.ragged,
)


@pytest.mark.parametrize("maker", MAKERS)
def test_every_outline_is_two_long_and_never_closes_on_its_centre(
    maker: Callable[[np.random.Generator], outlines.Radii],
) -> None:
    """The longest diameter through the centre is 2; the radius stays above nothing."""
    rng = np.random.default_rng(1)
    for _ in range(30):
        radii = maker(rng)
        across = radii + np.roll(radii, outlines.ANGLES // 2)
        assert across.max() == pytest.approx(2.0, rel=1e-4)
        assert radii.min() > 0.05


def test_a_hinge_is_straight() -> None:
    """A D has a flat side: many of its points lie on one horizontal line."""
    radii = outlines.straight_hinge(np.random.default_rng(4))
    points = outlines.polygon(radii, 360)
    flattest = np.sort(points[:, 1])[:40]
    assert np.ptp(flattest) < 0.12


def test_a_turn_moves_the_outline_and_changes_no_radius() -> None:
    """Turning by a quarter puts the same radii a quarter further on."""
    radii = outlines.umbo(np.random.default_rng(2))
    turned = outlines.turned(radii, np.pi / 2)
    assert turned[180] == radii[0]
    assert sorted(turned) == sorted(radii)


def test_a_polygon_has_the_circles_area() -> None:
    """Sixty points of a circle enclose its area to half a percent."""
    points = outlines.polygon(np.ones(outlines.ANGLES, np.float32), 60)
    x, y = points.T
    area = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
    assert area == pytest.approx(np.pi, rel=5e-3)


def test_both_valves_of_a_gaping_shell_lie_in_its_outline() -> None:
    """One outline round both; each valve reaches it somewhere and lies inside it elsewhere."""
    for seed in range(6):
        whole, *valves = open_shells.gaping(np.random.default_rng(seed))
        across = whole + np.roll(whole, outlines.ANGLES // 2)
        assert across.max() == pytest.approx(2, rel=1e-4)
        for valve in valves:
            assert np.all(valve <= whole * 1.03)
            assert np.any(valve > whole * 0.97)
        assert any(np.any(valve < whole * 0.95) for valve in valves)


def test_an_open_book_has_a_waist_at_its_hinge_and_a_valve_on_either_side() -> None:
    """The middle of the hinge is the centre; each valve makes up one half of the outline."""
    for seed in range(12):
        whole, first, second = open_shells.open_book(np.random.default_rng(seed))
        across = whole + np.roll(whole, outlines.ANGLES // 2)
        assert across.max() == pytest.approx(2, rel=1e-4)
        assert whole == pytest.approx(np.maximum(first, second), rel=1e-4)
        right = np.cos(np.arange(outlines.ANGLES) * 2 * np.pi / outlines.ANGLES) > 0.5
        assert (second > first)[right].mean() > 0.9
        assert (first > second)[np.roll(right, outlines.ANGLES // 2)].mean() > 0.9
        assert across[outlines.ANGLES // 4] < 0.8 * across.max()


@pytest.mark.parametrize("maker", [outlines.lens, outlines.biconvex, outlines.beaked])
def test_the_ends_of_the_longest_diameter_are_among_the_points_to_learn(
    maker: Callable[[np.random.Generator], outlines.Radii],
) -> None:
    """Turned anyhow, outlines of 48 points and these two are as long as those of 720, to 1 %."""
    rng = np.random.default_rng(7)
    for _ in range(20):
        radii = outlines.turned(maker(rng), float(rng.uniform(0, 2 * np.pi)))
        lengths = [_length(part) for part in (outlines.tipped(radii, 48), _every(radii))]
        assert lengths[0] == pytest.approx(lengths[1], rel=0.01)


def _every(radii: outlines.Radii) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return outlines.polygon(radii, outlines.ANGLES)


def _length(points: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> float:
    return float(np.hypot(*(points[:, None] - points[None]).T).max())


def test_a_beak_stands_out_between_its_shoulders() -> None:
    """On the side of the hinge the middle reaches further than either side of it, nearly always."""
    rng = np.random.default_rng(11)
    standing = 0
    for _ in range(40):
        radii = outlines.beaked(rng)
        top = int(np.argmax(radii[450:630])) + 450  # a beak may lie up to 45 degrees aside
        around = radii[[top - 60, (top + 60) % outlines.ANGLES]]
        standing += bool((radii[top] > 1.02 * around).all())
    assert standing >= 30
