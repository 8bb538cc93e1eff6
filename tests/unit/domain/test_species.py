"""Stages by size and what is looked for."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.catalogue import species_list
from counter.domain.species import EGG, Target, TargetKind, target_of
from counter.errors import UsageError
from tests.hatchery import SPECIES

LENGTHS = st.floats(0.0, 2000.0)


@given(st.sampled_from(sorted(species_list())), LENGTHS, LENGTHS)
def test_a_longer_larva_is_never_of_an_earlier_stage(key: str, one: float, two: float) -> None:
    """Stages grow with length, in every species that ships."""
    species = species_list()[key]
    order = [entry.stage for entry in species.stages]
    assert order.index(species.stage_of(min(one, two))) <= order.index(
        species.stage_of(max(one, two))
    )


def test_a_stage_begins_at_its_length() -> None:
    """The limit itself belongs to the later stage; anything shorter than all is of the first."""
    assert SPECIES.stage_of(110.0) == "umbo"
    assert SPECIES.stage_of(math.nextafter(110.0, 0.0)) == "d-hinge"
    assert SPECIES.stage_of(1.0) == "d-hinge"
    assert SPECIES.stage_of(1e6) == "eyed"


@given(LENGTHS)
def test_an_egg_is_an_egg_whatever_its_size(length_um: float) -> None:
    """The species' table is for larvae."""
    eggs = target_of(SPECIES, TargetKind.EGGS)
    assert eggs.stage_of(length_um) == EGG
    assert eggs.stages == (EGG,)
    larvae = target_of(SPECIES, TargetKind.LARVAE)
    assert larvae.stage_of(length_um) == SPECIES.stage_of(length_um)
    assert larvae.stages == ("d-hinge", "umbo", "eyed")


def test_the_species_own_lengths_are_looked_for_unless_others_are_given() -> None:
    """Other animals and test pictures bring their own."""
    larvae, eggs = (target_of(SPECIES, kind) for kind in (TargetKind.LARVAE, TargetKind.EGGS))
    assert (larvae.low_um, larvae.high_um) == SPECIES.larva_um
    assert (eggs.low_um, eggs.high_um) == SPECIES.egg_um
    other = target_of(SPECIES, TargetKind.LARVAE, (200.0, 400.0))
    assert (other.low_um, other.high_um) == (200.0, 400.0)


@pytest.mark.parametrize(
    ("low_um", "high_um"),
    [(0.0, 10.0), (-5.0, 10.0), (10.0, 10.0), (20.0, 10.0), (10.0, math.inf), (math.nan, 10.0)],
)
def test_lengths_that_make_no_sense_are_refused(low_um: float, high_um: float) -> None:
    """Two growing lengths above 0 are wanted."""
    with pytest.raises(UsageError, match="make no sense"):
        Target(TargetKind.LARVAE, SPECIES, low_um, high_um)


@given(st.sampled_from(sorted(species_list())), LENGTHS)
def test_a_body_without_a_shell_is_a_trochophore_while_it_is_short(
    key: str, length_um: float
) -> None:
    """Up to 1.3 times the shortest with a shell; longer ones, and eggs, as by their length."""
    species = species_list()[key]
    larvae, eggs = target_of(species, TargetKind.LARVAE), target_of(species, TargetKind.EGGS)
    short = length_um <= 1.3 * species.stages[1].from_um
    expected = "trochophore" if short else larvae.stage_of(length_um)
    assert larvae.naked_stage_of(length_um) == expected
    assert eggs.naked_stage_of(length_um) == EGG


def test_where_the_table_has_no_trochophores_the_length_decides() -> None:
    later = replace(SPECIES, stages=SPECIES.stages[1:])
    assert later.stages[0].stage != "trochophore"
    target = target_of(later, TargetKind.LARVAE)
    assert target.naked_stage_of(61.0) == target.stage_of(61.0)
