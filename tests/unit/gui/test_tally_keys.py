"""The keys of the tally pad."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.catalogue import chamber, species
from counter.domain.sample import Sample
from counter.domain.species import TargetKind, target_of
from counter.errors import UsageError
from counter.gui.tally_keys import checked_keys, class_of_key, classes_of, keys_for, with_dead

STAGES = ("trochophore", "d-hinge", "umbo", "eyed", "pediveliger")


def sample(kind: TargetKind) -> Sample:
    """A sample of the eastern oyster."""
    return Sample(target_of(species("eastern-oyster"), kind), chamber("sedgewick-rafter"))


def test_larvae_are_tallied_by_stage_and_eggs_by_what_became_of_them() -> None:
    """Stages in growing order; eggs with and without a word on fertilisation."""
    assert classes_of(sample(TargetKind.LARVAE)) == STAGES
    assert classes_of(sample(TargetKind.EGGS)) == (
        "egg",
        "egg, fertilised",
        "egg, unfertilised",
    )


def test_the_home_row_is_given_out_in_order() -> None:
    """Nothing chosen: A S D F G."""
    assert list(keys_for(STAGES, {}).values()) == list("ASDFG")


@given(st.dictionaries(st.sampled_from(STAGES), st.text(max_size=2)))
def test_no_two_classes_ever_share_a_key(chosen: dict[str, str]) -> None:
    """Whatever a settings file holds, each class has a key of its own and its digit."""
    keys = keys_for(STAGES, chosen)
    assert list(keys) == list(STAGES)
    assert len(set(keys.values())) == len(STAGES)
    for place, name in enumerate(STAGES, start=1):
        assert class_of_key(str(place), keys) == name
        assert class_of_key(keys[name].lower(), keys) == name


@pytest.mark.parametrize("key", ["", "ab", "7", " "])
def test_a_key_that_cannot_be_pressed_alone_is_refused(key: str) -> None:
    """The sentence names the class."""
    with pytest.raises(UsageError, match="D-hinge"):
        checked_keys({"d-hinge": key})


def test_two_classes_cannot_have_one_key() -> None:
    """Capital or small is the same key."""
    with pytest.raises(UsageError, match="two classes"):
        checked_keys({"d-hinge": "k", "umbo": "K"})


def test_other_signs_mean_nothing() -> None:
    """A key that nobody was given counts nothing; dead ones are a class of their own."""
    keys = keys_for(STAGES, {})
    assert class_of_key("ß", keys) is None
    assert class_of_key("9", keys) is None
    assert class_of_key("", keys) is None
    assert with_dead("umbo") == "umbo, dead"
    assert with_dead("egg, fertilised") == "egg, dead"
