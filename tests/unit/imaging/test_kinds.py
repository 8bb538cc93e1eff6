"""Eggs and larvae told apart by the network's classes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from counter.domain.catalogue import species
from counter.domain.species import Target, TargetKind, target_of
from counter.imaging.kinds import kind_shares, population_of
from counter.imaging.looked import Looked
from counter.imaging.net import CLASSES, RAYS
from counter.imaging.stars import Star

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
EGGS = target_of(species("eastern-oyster"), TargetKind.EGGS)

LARVA = (0.01, 0.97, 0.01, 0.01)
EGG = (0.55, 0.2, 0.03, 0.22)
NAKED = (0.12, 0.08, 0.02, 0.78)


def shares(*bodies: tuple[Sequence[float], float, float], target: Target = LARVAE) -> list[float]:
    """How far bodies, given by classes, length and width (µm), count as larvae on one picture, or
    as what else is looked for."""
    stars = [Star(np.zeros((RAYS, 2)), 0.97, np.asarray(classes)) for classes, *_ in bodies]
    assert all(star.classes.shape == (len(CLASSES),) for star in stars)
    sizes = np.array([size for _, *size in bodies], np.float64)
    looked = Looked(stars, np.zeros((len(stars), RAYS, 2)), sizes)
    return kind_shares(looked, target, population_of([looked], target))


LARVAE_THERE = [(LARVA, 80.0, 70.0)] * 6


def test_a_round_egg_beside_larvae_counts_for_little() -> None:
    assert shares(*LARVAE_THERE, (EGG, 56.0, 53.0))[-1] < 0.5


def test_an_oblong_or_a_longer_one_is_no_egg() -> None:
    *_, oblong, longer = shares(*LARVAE_THERE, (EGG, 60.0, 45.0), (EGG, 95.0, 90.0))
    assert oblong > 0.9
    assert longer > 0.9


def test_what_is_longer_than_the_first_shelled_larvae_by_a_fifth_is_no_egg() -> None:
    """Eggs drawn out by stripping are as long, but none of them lies among larvae a day later."""
    just, longer = (shares(*LARVAE_THERE, (EGG, long, 0.9 * long))[-1] for long in (65.0, 67.0))
    assert just < 0.5
    assert longer > 0.9


def test_small_round_bodies_are_told_together() -> None:
    """One that looks like an egg among trochophores is one of them, and the other way round."""
    perhaps, hardly = (0.3, 0.3, 0.05, 0.35), (0.06, 0.7, 0.04, 0.2)
    crop = [(hardly, 58.0, 52.0)] * 9
    assert shares(*LARVAE_THERE, *crop, (perhaps, 58.0, 52.0))[-1] > 0.8
    eggs = [(EGG, 52.0, 50.0)] * 5
    assert shares(*LARVAE_THERE * 3, *eggs, (perhaps, 52.0, 50.0))[-1] < 0.2


@pytest.mark.parametrize("width_um", [44.0, 50.0, 57.0])
def test_what_looks_neither_like_an_egg_nor_shelled_may_be_a_trochophore(width_um: float) -> None:
    """Also a round one: little egg against still less shell does not make an egg."""
    assert shares(*LARVAE_THERE, (NAKED, 60.0, width_um))[-1] > 0.9
    assert min(shares((NAKED, 60.0, width_um), (NAKED, 62.0, 45.0), (LARVA, 75.0, 66.0))) > 0.9


@pytest.mark.parametrize(
    ("length_um", "width_um", "is_egg"),
    [(74, 58, False), (80, 62, False), (74, 44, True), (62, 60, True), (66, 52, True)],
    ids=["a larva", "a larger one", "drawn out by stripping", "a large egg", "of two cells"],
)
def test_what_is_larger_than_the_eggs_beside_it_is_none(
    length_um: float, width_um: float, is_egg: bool
) -> None:
    """Though the network takes it for one; nine eggs of 50 to 54 µm lie beside it."""
    eggs = [(EGG, 50.0 + each / 2, 48.0 + each / 2) for each in range(9)]
    found = shares(*eggs, (EGG, length_um, width_um), target=EGGS)
    assert min(found[:-1]) > 0.9
    assert (found[-1] > 0.5) is is_egg


def test_without_enough_eggs_nothing_is_too_large_for_one() -> None:
    assert shares((EGG, 52.0, 50.0), (EGG, 74.0, 58.0), target=EGGS)[-1] > 0.9


def test_the_cells_of_embryos_do_not_make_whole_eggs_too_large() -> None:
    """The network sees each cell of a dividing egg as well: here twice as many as eggs."""
    cells = [(EGG, 36.0 + each / 4, 35.0) for each in range(8)]
    assert min(shares(*cells, *[(EGG, 52.0, 50.0)] * 4, target=EGGS)) > 0.9
