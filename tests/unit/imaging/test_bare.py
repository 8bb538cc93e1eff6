"""Bodies without a shell among shelled larvae."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counter.imaging.bare import are_bare
from counter.imaging.weighed import Weighed
from tests.unit.imaging.weighing import EGG_UM, LARVAE, RIM, VAGUE, bare, body

CILIATE = body(80, wide=0.7, rim=0.55 * RIM, looks=VAGUE)


def test_a_short_oblong_body_with_a_weak_rim_is_no_larva_of_these() -> None:
    assert bare(CILIATE, body(80, wide=0.6, rim=-0.55 * RIM, looks=VAGUE)) == [True, True]


@pytest.mark.parametrize(
    "other",
    [
        body(80, wide=0.7, looks=VAGUE),
        body(130, wide=0.7, rim=0.55 * RIM, looks=VAGUE),
        body(80, wide=0.95, rim=0.55 * RIM, looks=VAGUE),
        body(80, wide=0.55, rim=0.55 * RIM),
        replace(CILIATE, cut=True),
    ],
    ids=["strong rim", "long", "round", "the network sees its shell", "cut by the border"],
)
def test_what_differs_in_one_way_only_may_be_a_larva(other: Weighed) -> None:
    assert bare(other) == [False]


def test_a_sharp_body_with_hardly_a_rim_is_none_however_long_or_round() -> None:
    """A ciliate longer than the larvae, a round diatom that the network takes for a larva."""
    assert bare(body(220, wide=0.6, rim=0.4 * RIM), body(60, wide=1.0, rim=0.4 * RIM)) == [True] * 2


def test_a_body_that_the_border_cuts_has_a_rim_too() -> None:
    """What is seen of a ciliate has none."""
    assert bare(replace(body(110, wide=0.7, rim=0.4 * RIM), cut=True)) == [True]


@pytest.mark.parametrize(
    "other",
    [
        body(220, wide=0.6, rim=0.6 * RIM),
        body(150, rim=0.4 * RIM, edge_px=6.0),
        body(150, rim=0.4 * RIM, looks=np.array([0.0, 0.6, 0.35, 0.05])),
        replace(body(150, rim=0.49 * RIM), cut=True),
    ],
    ids=["some rim", "not as sharp", "perhaps an empty shell", "half a rim at the border"],
)
def test_a_weak_rim_alone_refuses_nothing(other: Weighed) -> None:
    assert bare(other) == [False]


def test_nothing_is_said_of_what_is_out_of_focus() -> None:
    found = are_bare([*LARVAE, CILIATE], [False] * len(LARVAE) + [True], EGG_UM)
    assert not found.any()


def test_two_larvae_are_too_few_to_tell() -> None:
    assert not are_bare([*LARVAE[:2], CILIATE], [False] * 3, EGG_UM).any()
    found = are_bare([*LARVAE[:3], CILIATE], [False] * 4, EGG_UM)
    assert found.tolist() == [False] * 3 + [True]


def test_an_empty_slide_has_no_bare_body() -> None:
    assert are_bare([], [], EGG_UM).shape == (0,)


def test_a_dark_body_with_a_thin_bare_edge_is_none_of_any_size() -> None:
    """Beside two shelled larvae already; the network took it for a larva."""
    ciliate = body(120, wide=0.7, rim=0.7 * RIM, edge_px=1.5)
    assert bare(ciliate) == [True]
    assert are_bare([*LARVAE[:2], ciliate], [False] * 3, EGG_UM).tolist() == [False, False, True]
    assert not are_bare([*LARVAE[:1], ciliate], [False] * 2, EGG_UM).any()


def test_the_border_hides_no_bare_edge() -> None:
    """Most ciliates that were still counted are cut; of cut larvae none is so thin."""
    seen = replace(body(120, wide=0.7, rim=0.7 * RIM, edge_px=1.5), cut=True)
    assert bare(seen, replace(seen, edge_px=2.0)) == [True, False]


@pytest.mark.parametrize(
    "other",
    [
        body(120, rim=0.7 * RIM, edge_px=2.0),
        body(120, rim=0.9 * RIM, edge_px=1.5),
        body(120, rim=0.7 * RIM, edge_px=1.5, looks=np.array([0.0, 0.7, 0.25, 0.05])),
        body(120, rim=0.7 * RIM, edge_px=1.5, core=0.2),
    ],
    ids=["an edge as wide", "a rim as strong", "perhaps an empty shell", "bright"],
)
def test_a_thin_edge_alone_refuses_nothing(other: Weighed) -> None:
    assert bare(other) == [False]
