"""Eggs and larvae told apart by the network's classes, and what population a picture shows."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from counter.domain.species import Target, TargetKind
from counter.imaging.around import Population
from counter.imaging.looked import Looked
from counter.imaging.net import CLASSES

Floats = NDArray[np.float64]

EGG, LARVA, EMPTY, OTHER = map(CLASSES.index, ("egg", "larva", "empty", "other"))
EGG_LIKE, SHELLED, STEEP = 0.4, 0.65, 14.0
"""From which share of egg (of shell) on a body is no larva (no egg), and how sharply."""

NEITHER = 0.6
"""What the network sees neither egg nor shell on from this share is no egg: a trochophore's cilia
and body look like neither."""

MOSTLY = 0.6
"""Where more than this share of all bodies look like eggs, they are what was meant."""

ROUND = 0.84
"""An egg is at least this wide for its length."""

ALIKE = 1.2
"""Bodies of up to this many times the length of the egg-like ones are of one population."""

LARGE, TOO_LONG, TOO_LARGE = 0.8, 1.28, 1.15
"""Of the eggs on a picture the first share is no longer than the large ones. What is longer than
the second times their length, and larger than the third times their size (the root of length times
width), is no egg: a larva. Eggs of one spawning are alike, those drawn out are longer but no
larger, and so are dividing ones. On pictures of a renderer the largest of 850 eggs beside larvae
has 1.1 times the median; of 86 larvae five passed for eggs, four of them larger than this."""

FEW = 3
"""Fewer egg-like bodies than this say nothing about how long the eggs on a picture are."""


def kind_shares(looked: Looked, target: Target, population: Population) -> list[float]:
    """How far each candidate is of the kind looked for, by its class.

    With the species' own lengths, eggs beside larvae do not count as larvae, nor larvae as eggs;
    with lengths that a person gave, any body of that length counts. What is longer than the
    species' largest egg, or not round, is no egg; what looks shelled is one all the same where it
    is as short as the eggs beside it. Eggs and trochophores look so much alike that what all small
    round bodies among larvae look like tells as much of each as its own look.
    """
    if not looked.found or not by_kind(target):
        return [1.0] * len(looked.found)
    across_um = looked.ferets_um[:, 0]
    if target.kind is TargetKind.EGGS:
        shelled = _shelled(looked)
        if population.egg_um is None or population.large_egg_um is None:
            shelled[_is_round(looked)] = 0
        else:
            shelled[across_um < ALIKE * population.egg_um] = 0
            shelled[_outgrew(looked, population.large_egg_um)] = 1
        return _leaning(1 - shelled, 1 - SHELLED)
    if population.is_one:
        return [1.0] * len(looked.found)
    egg_like = _egg_like(looked, target)
    if population.egg_like is not None:
        small = _is_small(looked, target)
        egg_like[small] = (egg_like[small] + population.egg_like) / 2
    return _leaning(1 - egg_like, 1 - EGG_LIKE)


def _outgrew(looked: Looked, large_egg_um: float) -> NDArray[np.bool_]:
    """Which are larger than eggs can be, of which the large ones are so long."""
    length_um, width_um = looked.ferets_um.T
    is_large = np.sqrt(length_um * width_um) > TOO_LARGE * large_egg_um
    return np.asarray(is_large & (length_um > TOO_LONG * large_egg_um))


def by_kind(target: Target) -> bool:
    """Whether eggs and larvae are told apart: not where a person gave the lengths."""
    own = target.species.egg_um if target.kind is TargetKind.EGGS else target.species.larva_um
    return (target.low_um, target.high_um) == own


def _shelled(looked: Looked) -> Floats:
    """How far each candidate has a shell, 0 to 1."""
    shares = np.array([star.classes for star in looked.found]).reshape(-1, len(CLASSES))
    return np.asarray(shares[:, LARVA] + shares[:, EMPTY])


def _egg_like(looked: Looked, target: Target) -> Floats:
    """How far each candidate looks like an egg rather than a larva, 0 to 1."""
    egg = np.array([star.classes[EGG] for star in looked.found])
    egg_like = np.asarray(egg / (egg + _shelled(looked) + 1e-9))
    egg_like[~_is_small(looked, target)] = 0
    egg_like[np.array([star.classes[OTHER] for star in looked.found]) > NEITHER] = 0
    return egg_like


def _is_small(looked: Looked, target: Target) -> NDArray[np.bool_]:
    """Which are as short and as round as eggs among larvae."""
    return _is_round(looked) & (looked.ferets_um[:, 0] <= _longest_um(target))


def _longest_um(target: Target) -> float:
    """How long an egg is at most that lies among larvae.

    It is no longer drawn out, as when it was stripped: it has long been in the water, and is hardly
    longer than the first shelled larvae.
    """
    shelled = [each.from_um for each in target.species.stages if each.from_um > 0]
    longest = target.species.egg_um[1]
    return min(longest, ALIKE * shelled[0]) if shelled else longest


def _is_round(looked: Looked) -> NDArray[np.bool_]:
    return np.asarray(looked.ferets_um[:, 1] >= ROUND * looked.ferets_um[:, 0])


def _is_sure(looked: Looked) -> NDArray[np.bool_]:
    return np.array([star.depth > 0.5 for star in looked.found], bool)


def _leaning(share: Floats, half: float) -> list[float]:
    """From how much speaks for the kind looked for to how much of the score is left."""
    return [float(part) for part in 1 / (1 + np.exp(STEEP * (half - share)))]


def population_of(parts: Sequence[Looked], target: Target) -> Population:
    """Return what the bodies of a picture are, all of it together, of which ``parts`` are shown."""
    parts = [part for part in parts if part.found]
    if not parts or not by_kind(target):
        return Population()
    sure = np.concatenate([_is_sure(part) for part in parts])
    across_um = np.concatenate([part.ferets_um[:, 0] for part in parts])
    if target.kind is TargetKind.EGGS:
        eggs = across_um[sure & (np.concatenate([_shelled(part) for part in parts]) < SHELLED)]
        if eggs.size < FEW:
            return Population()
        middle, large = np.quantile(eggs, (0.5, LARGE))
        return Population(egg_um=float(middle), large_egg_um=float(large))
    egg_like = np.concatenate([_egg_like(part, target) for part in parts])
    small = sure & np.concatenate([_is_small(part, target) for part in parts])
    usual = float(egg_like[small].mean()) if np.count_nonzero(small) >= FEW else None
    return Population(_one_population(sure, across_um, egg_like > EGG_LIKE), egg_like=usual)


def _one_population(
    sure: NDArray[np.bool_], across_um: Floats, egg_like: NDArray[np.bool_]
) -> bool:
    """Whether what looks like eggs is what was meant: trochophores have no shell yet.

    It is where nearly all bodies look so, or where the others are no longer than those.
    """
    if not (egg_like & sure).any():
        return False
    if float(egg_like[sure].mean()) > MOSTLY:
        return True
    eggs, rest = across_um[egg_like & sure], across_um[~egg_like & sure]
    return len(eggs) > 0.3 * len(rest) and bool(np.percentile(rest, 75) < ALIKE * np.median(eggs))
