"""Ciliates, told by themselves whatever lies beside them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from counter.imaging.ciliates import (
    are_ciliates,
    is_mottled_ellipse,
    is_soft_bodied,
)
from counter.imaging.shape import off_ellipse
from counter.imaging.weighed import Weighed
from tests.unit.imaging.weighing import body

Floats = NDArray[np.float64]


def soft(**traits: float) -> Weighed:
    """A ciliate with a sharp edge, but for some traits."""
    found = body(90, wide=0.75, rim=0.21, fill=0.14, edge_px=1.2)
    seen = {"symmetry": 0.05, "core": -0.14, **traits}
    return replace(found, closer=-0.5, traits=replace(found.traits, **seen))


def test_an_oblong_even_body_with_a_sharp_bare_edge_is_none_though_it_lies_alone() -> None:
    assert is_soft_bodied(soft())


@pytest.mark.parametrize(
    "other",
    [
        soft(symmetry=0.14),
        soft(core=0.14),
        soft(fill=0.11),
        soft(length_px=15.0),
        soft(texture=0.02),
        replace(soft(), edge_px=1.8),
        replace(soft(), closer=2.1),
        replace(soft(), closer=None),
        replace(soft(), cut=True),
        replace(soft(), measures=body(90, wide=0.88).measures),
    ],
    ids=[
        "something inside", "bright", "paler inside", "a coarse picture", "smooth",
        "not as sharp",
        "the closer look sees a larva", "not looked at closer", "cut", "round as trochophores",
    ],
)  # fmt: skip
def test_what_differs_from_a_soft_body_in_one_way_may_be_a_larva(other: Weighed) -> None:
    assert not is_soft_bodied(other)


ROUND = np.linspace(0, 2 * np.pi, 72, endpoint=False)
HALF = np.linspace(0, np.pi, 72)


def ellipse(half_px: float, wide: float, turn: float = 0.3) -> Floats:
    """The outline of an ellipse (72, 2) round (100, 80)."""
    across, down = half_px * np.cos(ROUND), wide * half_px * np.sin(ROUND)
    turned = [
        np.cos(turn) * across - np.sin(turn) * down,
        np.sin(turn) * across + np.cos(turn) * down,
    ]
    return np.asarray(np.column_stack(turned) + np.array([100, 80]))


def mottled(**traits: float) -> Weighed:
    """A ciliate as wide-edged as a larva, but for some traits."""
    found = body(90, wide=0.6, rim=0.4, fill=0.27)
    seen = {"symmetry": 0.1, "core": -0.26, "texture": 0.08, **traits}
    classes = np.array([0.05, 0.85, 0.02, 0.08])
    traits_seen = replace(found.traits, **seen)
    outline = ellipse(36.0, 0.6)
    return replace(found, closer=0.5, traits=traits_seen, classes=classes, outline=outline)


def test_a_mottled_ellipse_that_is_paler_inside_is_a_ciliate() -> None:
    """With an edge as wide as a larva's."""
    assert is_mottled_ellipse(mottled())
    assert not is_soft_bodied(mottled())


FLAT = np.linspace(-1, 1, 50)[1:-1]
HALF_DISC = np.concatenate(
    [
        np.column_stack([np.cos(HALF), np.sin(HALF)]),
        np.column_stack([FLAT, np.zeros_like(FLAT)]),
    ]
)


@pytest.mark.parametrize(
    "other",
    [
        mottled(core=-0.35),
        mottled(core=0.26),
        mottled(rim=0.5, core=-0.33, fill=0.34, texture=0.1),
        mottled(symmetry=0.35),
        mottled(texture=0.05),
        mottled(fill=0.12),
        replace(mottled(), closer=3.2),
        replace(mottled(), closer=None),
        replace(mottled(), cut=True),
        replace(mottled(), outline=36 * HALF_DISC),
        replace(mottled(), measures=body(90, wide=0.72).measures),
        replace(mottled(), classes=np.array([0.0, 0.99, 0.0, 0.01])),
        replace(mottled(), classes=np.array([0.0, 0.7, 0.25, 0.05])),
    ],
    ids=[
        "thickest in the middle", "bright", "a shell's rim", "in order from the middle",
        "smooth", "clear",
        "the closer look sees a larva", "not looked at closer", "cut", "a D", "wide",
        "surely a larva", "perhaps an empty shell",
    ],
)  # fmt: skip
def test_what_differs_from_a_mottled_ellipse_in_one_way_may_be_a_larva(other: Weighed) -> None:
    assert not is_mottled_ellipse(other)


def test_out_of_focus_only_a_sharp_edge_tells_a_ciliate() -> None:
    both = [mottled(), soft()]
    assert are_ciliates(both, [False, False]).tolist() == [True, True]
    assert are_ciliates(both, [True, True]).tolist() == [False, True]
    assert are_ciliates([], []).shape == (0,)


@pytest.mark.parametrize(
    ("larvae", "is_one"),
    [(0, True), (1, True), (2, False), (3, False)],
)
def test_a_rim_as_strong_as_those_of_larvae_beside_it_is_a_shell(larvae: int, is_one: bool) -> None:
    """On its side a larva may be an ellipse, and mottled; one larva beside it says too little."""
    beside = [body(90, rim=-0.36) for _ in range(larvae)]
    found = are_ciliates([*beside, mottled()], [False] * (larvae + 1))
    assert found.tolist() == [False] * larvae + [is_one]
    weaker = [body(90, rim=-0.6) for _ in range(larvae)]
    assert are_ciliates([*weaker, mottled()], [False] * (larvae + 1))[-1]


@given(
    half_px=st.floats(8, 200), wide=st.floats(0.3, 1.0), turn=st.floats(0, 6.3),
)  # fmt: skip
def test_no_ellipse_strays_from_itself(half_px: float, wide: float, turn: float) -> None:
    assert off_ellipse(ellipse(half_px, wide, turn)) < 1e-3


@given(wide=st.floats(0.5, 2.0))
def test_half_a_disc_strays_as_much_however_it_is_stretched(wide: float) -> None:
    """By 0.11: worked out apart, from its radii round the middle at 4 / (3 pi) of its height."""
    angles = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    spread = np.sqrt([1 / 4, 1 / 4 - (4 / (3 * np.pi)) ** 2]) * 2
    toward = np.column_stack([np.cos(angles), np.sin(angles)]) * spread
    low = 4 / (3 * np.pi)
    square, half = (toward**2).sum(axis=1), toward[:, 1] * low
    arc = (-half + np.sqrt(half**2 + square * (1 - low**2))) / square
    flat = np.where(toward[:, 1] < 0, low / np.maximum(-toward[:, 1], 1e-9), np.inf)
    stray = float(np.minimum(arc, flat).std())
    assert off_ellipse(HALF_DISC * (50 * wide, 50)) == pytest.approx(stray, rel=0.05)


def test_an_outline_without_area_is_no_ellipse() -> None:
    """Points on one line have no shape to compare with."""
    line = np.column_stack([np.linspace(0, 9, 40), np.full(40, 3.0)])
    assert off_ellipse(line) == np.inf
