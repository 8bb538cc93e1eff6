"""Bodies without a shell among shelled larvae."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counter.imaging.bare import are_bare
from counter.imaging.judge import Traits
from counter.imaging.measure import Measures
from counter.imaging.net import CLASSES
from counter.imaging.weighed import Weighed

LARVA = np.array([0.02, 0.9, 0.02, 0.06])
VAGUE = np.array([0.1, 0.5, 0.05, 0.35])
RIM = -0.5


def body(
    length_um: float, *, wide: float = 0.9, rim: float = RIM, looks: object = LARVA
) -> Weighed:
    """A candidate of this length, width for its length, rim and shares of the classes."""
    traits = Traits(40.0, wide, rim, 1.0, -0.2, 0.3, 0.1, 0.8, 0.0, 1.0, 1.0)
    measures = Measures(length_um, wide * length_um, 0.7 * wide * length_um**2, 0.0, 0.0)
    classes = np.asarray(looks)
    assert classes.shape == (len(CLASSES),)
    return Weighed(np.zeros((72, 2)), False, 3.0, measures, traits, 0.95, classes, 0.98, 0.99)


LARVAE = [body(150), body(160), body(170), body(180)]
CILIATE = body(80, wide=0.7, rim=0.55 * RIM, looks=VAGUE)


def bare(*others: Weighed) -> list[bool]:
    """What is said of some candidates beside four shelled larvae."""
    found = are_bare([*LARVAE, *others], [False] * (len(LARVAE) + len(others)))
    assert not found[: len(LARVAE)].any()
    return [bool(each) for each in found[len(LARVAE) :]]


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


def test_nothing_is_said_of_what_is_out_of_focus() -> None:
    found = are_bare([*LARVAE, CILIATE], [False] * len(LARVAE) + [True])
    assert not found.any()


def test_two_larvae_are_too_few_to_tell() -> None:
    assert not are_bare([*LARVAE[:2], CILIATE], [False] * 3).any()
    assert are_bare([*LARVAE[:3], CILIATE], [False] * 4).tolist() == [False] * 3 + [True]


def test_an_empty_slide_has_no_bare_body() -> None:
    assert are_bare([], []).shape == (0,)
