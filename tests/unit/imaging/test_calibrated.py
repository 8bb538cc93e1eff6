"""Scores as chances."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from counter.imaging.calibrated import chance_of, closer_chance_of

SHARE = st.floats(0, 1)


@given(SHARE, SHARE)
def test_a_chance_is_a_chance(depth: float, judged: float) -> None:
    """Whatever the two opinions, the score lies between 0 and 1."""
    assert 0 <= chance_of(depth, judged) <= 1


def test_each_opinion_pulls_its_own_way() -> None:
    """A deeper answer is never less sure, nor a better looking outline."""
    steps = np.linspace(0, 1, 41)
    for fixed in (0.1, 0.5, 0.9):
        by_depth = [chance_of(depth, fixed) for depth in steps]
        by_judge = [chance_of(fixed, judged) for judged in steps]
        assert by_depth == sorted(by_depth)
        assert by_judge == sorted(by_judge)


def test_agreement_is_sure_and_disagreement_is_not() -> None:
    """Both for: above 0.98. Both against: below 0.02. One each: neither."""
    assert chance_of(0.97, 0.95) > 0.98
    assert chance_of(0.1, 0.1) < 0.02
    assert 0.02 < chance_of(0.6, 0.98) < 0.98
    assert 0.02 < chance_of(0.9, 0.03) < 0.98


@given(SHARE, SHARE, st.floats(-50, 50), st.booleans())
def test_with_the_closer_look_a_chance_is_a_chance(
    depth: float, judged: float, closer: float, is_cut: bool
) -> None:
    """However sure the network says that it is."""
    assert 0 <= closer_chance_of(depth, judged, closer, is_cut) <= 1


def test_the_closer_look_pulls_its_own_way_and_not_beyond_what_it_can_know() -> None:
    """Surer is never less; and a body that the finder sees clearly is not refused by it alone."""
    for is_cut in (True, False):
        steps = np.linspace(-12, 12, 49)
        chances = [closer_chance_of(0.8, 0.8, logit, is_cut) for logit in steps]
        assert chances == sorted(chances)
    assert chances[0] < 0.2
    assert chances[-1] > 0.98
    assert closer_chance_of(0.8, 0.8, -30) == chances[0]
