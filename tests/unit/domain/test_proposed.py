"""What the machine proposes of a body's state, and how it is said."""

from __future__ import annotations

from dataclasses import replace

from counter.domain.proposed import REASONS, Proposal
from tests.hatchery import mark


def test_a_proposal_is_said_as_a_question_with_how_sure_it_is() -> None:
    """A person sees at once that nobody has said so yet."""
    assert Proposal("dead", 0.92).words == "dead? 92 %"
    assert Proposal("fertilised", 0.999).words == "fertilised? 99 %"
    assert Proposal(reason="cut").words == ""


def test_an_eye_spot_is_said_seen_or_not_seen_or_nothing() -> None:
    """None: none was looked for."""
    assert Proposal("live", 0.9, eye_spot=True, eye_spot_score=0.97).eye_words == "eye spot? 97 %"
    assert Proposal("live", 0.9, eye_spot=False, eye_spot_score=0.9).eye_words == (
        "no eye spot? 90 %"
    )
    assert Proposal("live", 0.9).eye_words == ""


def test_where_nothing_is_proposed_a_sentence_says_why() -> None:
    """Each reason has one; a reason of a newer program leaves the plain sentence."""
    for key, sentence in REASONS.items():
        assert Proposal(reason=key).explanation == f"No state is proposed. {sentence}"
    assert Proposal(reason="of tomorrow").explanation == "No state is proposed."
    assert "nobody has said so" in Proposal("dead", 0.9).explanation


def test_what_a_person_says_stands_before_a_proposal() -> None:
    """A proposal is only asked for while nobody has spoken."""
    proposed = replace(mark(1), proposal=Proposal("dead", 0.7))
    assert proposed.likely_state == proposed.proposed_state == "dead"
    assert proposed.has_doubtful_state
    said = replace(proposed, state="live")
    assert said.likely_state == "live"
    assert said.proposed_state is None
    assert not said.has_doubtful_state
    assert mark(1).likely_state is None
    assert not replace(mark(1), proposal=Proposal("dead", 0.8)).has_doubtful_state
