"""Outlines carried on where a neighbour hides them."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from counter.imaging.bridge import bridged_outline

TURNS = np.arange(72) * 2 * np.pi / 72
DISC = 30 * np.column_stack([np.cos(TURNS), np.sin(TURNS)]) + (60.0, 40.0)


def test_a_bite_out_of_a_disc_is_carried_on() -> None:
    """What a neighbour pushed in comes back to the circle, to 3 % of its radius."""
    hidden = np.abs(TURNS - np.pi) < 0.5
    bitten = DISC.copy()
    bitten[hidden, 0] = bitten[~hidden, 0].min()
    whole = bridged_outline(bitten, np.ones(72), hidden)
    assert np.hypot(*(whole - (60, 40)).T) == pytest.approx(np.full(72, 30.0), rel=0.03)


def test_a_body_at_the_border_is_the_same_every_time() -> None:
    """Of a body of which the border shows little, all free points lie on it: through them goes any
    ellipse, and OpenCV tries random ones. So no ellipse is laid."""
    cut = DISC.copy()
    cut[:, 1] = np.maximum(cut[:, 1], 62.0)
    on_border = cut[:, 1] <= 62.0
    for seed in range(200):
        cv2.setRNGSeed(seed)
        again = bridged_outline(cut, np.where(on_border, np.inf, 1.0), ~on_border)
        assert np.array_equal(again, cut)


def test_a_firm_rim_stays_where_most_of_the_outline_was_not_followed() -> None:
    """Under a wide ruling and along the border no rim is followed and the edge is infinite: that
    says nothing of how strong it usually is, and no rim is weak beside it."""
    bumpy = DISC.copy()
    bumpy[:, 0] += np.where(np.cos(TURNS) > 0.9, 2.0, 0.0)
    edge = np.where(np.cos(TURNS) > 0.3, 1.0, np.inf)
    hidden = np.abs(TURNS - np.pi) < 0.3
    placed = bridged_outline(bumpy, edge, hidden)
    assert np.array_equal(placed[np.isfinite(edge)], bumpy[np.isfinite(edge)])


def test_nothing_followed_leaves_only_what_is_hidden_to_be_placed() -> None:
    hidden = np.abs(TURNS - np.pi) < 0.3
    beside = np.roll(hidden, 1) | np.roll(hidden, -1)
    placed = bridged_outline(DISC, np.full(72, np.inf), hidden)
    assert np.array_equal(placed[~beside], DISC[~beside])


def test_a_bite_comes_back_where_the_border_cuts_the_body_too() -> None:
    """The straight side along the border is no rim: the ellipse goes through the others alone. The
    bite comes back to 3 % of the radius."""
    turned = np.roll(DISC, 18, axis=0)  # from above the border on, so that the arc is in one run
    arc = turned[turned[:, 1] >= 30.0]
    side = np.column_stack([np.linspace(arc[-1, 0], arc[0, 0], 32)[1:-1], np.full(30, 30.0)])
    cut = np.concatenate([arc, side])
    edge = np.concatenate([np.ones(len(arc)), np.full(30, np.inf)])
    hidden = np.hypot(*(cut - (60, 70)).T) < 12
    bitten = cut.copy()
    bitten[hidden, 1] = cut[~hidden, 1].max()
    whole = bridged_outline(bitten, edge, hidden)
    assert np.hypot(*(whole[hidden] - (60, 40)).T) == pytest.approx(30.0, rel=0.03)
