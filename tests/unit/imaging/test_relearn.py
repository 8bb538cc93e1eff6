"""A rescorer is learnt only from enough corrections that would have helped elsewhere."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import expit

from counter.domain.lesson import Example
from counter.domain.species import TargetKind
from counter.imaging.looks import STANDARD
from counter.imaging.relearn import LEAST_CORRECTIONS, Learnt, fitted, learnt
from counter.imaging.rescore import prior, shifted

LARVAE = TargetKind.LARVAE
DARK = list(STANDARD).index("dark")


def example(field: int, number: int, score: float, is_body: bool, dark: float) -> Example:
    """A candidate that differs from others by how dark it is."""
    looks = [0.0] * len(STANDARD)
    looks[DARK] = dark
    wrong = (score >= 0.5) != is_body
    return Example((1, field), float(number), 0.0, score, tuple(looks), is_body, wrong)


def green_algae(fields: int = 5) -> list[Example]:
    """Each field: six larvae, four dark algae that the finder took for larvae."""
    rng = np.random.default_rng(3)
    made = []
    for field in range(fields):
        made += [example(field, n, 0.95, True, rng.normal(0, 0.3)) for n in range(6)]
        made += [example(field, n, 0.9, False, rng.normal(-2, 0.3)) for n in range(6, 10)]
    return made


def taught(examples: list[Example]) -> Learnt:
    return learnt("10x", "net/1", LARVAE, 48.0, examples)


def test_what_tells_litter_from_larvae_is_learnt() -> None:
    """Dark algae on a new field are refused, pale larvae kept."""
    found = taught(green_algae())
    assert (found.before, found.after) == (20, 0)
    assert found.rescorer is not None
    assert (found.rescorer.corrections, found.rescorer.examples) == (20, 50)
    assert found.rescorer.most_changed == 0.4
    looks = np.zeros((2, len(STANDARD)))
    looks[:, DARK] = (-2.0, 0.0)
    alga, larva = shifted(np.array([0.9, 0.95]), found.rescorer.shifts(looks))
    assert alga < 0.5 < larva


def test_missed_larvae_are_learnt_too() -> None:
    """Candidates below the threshold that were added by hand become marks."""
    missed = [
        replace(each, score=1 - each.score, is_body=not each.is_body) for each in green_algae()
    ]
    found = taught(missed)
    assert found.rescorer is not None
    looks = np.zeros((1, len(STANDARD)))
    looks[:, DARK] = -2.0
    assert shifted(np.array([0.1]), found.rescorer.shifts(looks))[0] > 0.5


def test_the_order_of_corrections_changes_nothing() -> None:
    """To the last bit."""
    examples = green_algae()
    assert taught(examples[::-1]) == taught(examples)


def test_few_corrections_teach_nothing() -> None:
    """One fewer than the least, or all on one field; and none at all."""
    all_right = [each for each in green_algae() if each.is_body]
    wrong = [each for each in green_algae() if not each.is_body]
    few = taught(all_right + wrong[: LEAST_CORRECTIONS - 1])
    assert few.rescorer is None
    assert "begins after" in few.why
    assert taught([replace(each, where=(1, 1)) for each in green_algae()]).rescorer is None
    assert taught([]) == Learnt(None, 0, 0, why=few.why)


def test_corrections_at_random_teach_nothing() -> None:
    """Where looks don't tell what was removed, it would not have helped, and is not used."""
    rng = np.random.default_rng(5)
    noise = [
        example(field, n, 0.9, bool(rng.random() < 0.75), rng.normal())
        for field in range(5)
        for n in range(12)
    ]
    found = taught(noise)
    assert found.corrections >= LEAST_CORRECTIONS
    assert found.rescorer is None
    assert "not have helped" in found.why


def test_a_finder_that_is_right_is_left_alone() -> None:
    """Fields looked through with nothing wrong: no correction, no rescorer."""
    right = [replace(each, is_body=True, by_hand=False) for each in green_algae()]
    assert taught(right).rescorer is None


def test_the_fit_is_where_the_penalised_likelihood_is_flat() -> None:
    """Ridge logistic regression with an offset: slope of the loss plus cost × weight is 0."""
    rng = np.random.default_rng(8)
    looks = rng.normal(size=(40, 3))
    logits = rng.normal(size=40)
    is_body = (rng.random(40) < 0.6).astype(float)
    start, weights = fitted(looks, logits, is_body)
    rest = expit(logits + start + looks @ weights) - is_body
    assert np.r_[rest.sum() + 1.0 * start] == pytest.approx(0, abs=1e-6)
    assert looks.T @ rest + 2.0 * weights == pytest.approx(np.zeros(3), abs=1e-6)


def test_no_examples_give_no_weights() -> None:
    """The prior alone."""
    start, weights = fitted(np.zeros((0, 3)), prior(np.zeros(0)), np.zeros(0))
    assert start == 0
    assert not weights.any()


def test_labels_all_alike_give_finite_weights() -> None:
    """Separable data would drive an unpenalised fit to infinity."""
    start, weights = fitted(np.eye(3) * 3, np.full(3, 2.0), np.zeros(3))
    assert np.isfinite([start, *weights]).all()


def test_features_of_another_layout_are_a_bug() -> None:
    """They are told apart by the network's version before."""
    with pytest.raises(ValueError, match="layout"):
        taught([replace(each, features=(0.0,)) for each in green_algae()])
