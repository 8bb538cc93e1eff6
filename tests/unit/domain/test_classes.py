"""Classes of a tally."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from counter.domain.classes import class_of, stage_and_state

WORDS = st.from_regex(r"[a-z]+(-[a-z]+)?", fullmatch=True)


@given(WORDS, st.none() | WORDS)
def test_a_class_is_taken_apart_into_what_it_was_made_of(stage: str, state: str | None) -> None:
    """Stage and state come back."""
    assert stage_and_state(class_of(stage, state)) == (stage, state)


def test_a_class_reads_as_people_say_it() -> None:
    """A stage alone, or a stage and its state."""
    assert class_of("d-hinge", None) == "d-hinge"
    assert class_of("d-hinge", "dead") == "d-hinge, dead"
    assert class_of("egg", "fertilised") == "egg, fertilised"
