"""Shares of the dead and of the fertilised, and who says so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.mark import Mark
from counter.domain.proposed import Proposal
from counter.domain.sample import Filling, Sample
from counter.domain.species import Target
from counter.statistics.estimate import estimate
from counter.statistics.proportion import wilson
from counter.statistics.states import state_cautions, state_shares, states_to_check
from tests.hatchery import CHAMBER, EGGS, LARVAE, mark, picture


def sample(*marks: Mark, target: Target = LARVAE) -> Sample:
    """One picture with these marks, numbered from 1."""
    numbered = [replace(entry, mark_id=n) for n, entry in enumerate(marks, 1)]
    return Sample(
        target=target,
        chamber=CHAMBER,
        fillings=(Filling(1, (picture(*numbered, field_id=7),)),),
        vessel_ml=1000.0,
    )


def proposed(state: str, score: float = 0.99) -> Mark:
    return replace(mark(), proposal=Proposal(state, score))


def said(state: str, machine: str | None = None) -> Mark:
    proposal = Proposal(machine, 0.9) if machine else None
    return replace(mark(), state=state, proposal=proposal)


def test_what_persons_said_has_wilsons_limits() -> None:
    """12 of 40 dead: the limits of Wilson (1927), nothing else."""
    (share,) = state_shares(sample(*[said("dead")] * 12, *[said("live")] * 28))
    plain = wilson(12, 40)
    assert (share.state, share.counted, share.of) == ("dead", 12, 40)
    assert (share.share, share.low, share.high) == (plain.value, plain.low, plain.high)
    assert share.basis == "technician"
    assert share.words == ("Dead: 12 of 40, 30 % (18 % to 45 %). Said by a person.")


def test_doubt_of_the_machine_widens_the_limits() -> None:
    """The surer the proposals, the closer the limits come to those of a person's word."""
    widths = []
    for score in (0.7, 0.9, 0.99):
        (share,) = state_shares(
            sample(*[proposed("dead", score)] * 12, *[proposed("live", score)] * 28)
        )
        assert share.basis == "proposed"
        assert share.share == 0.3
        widths.append(share.high - share.low)
    plain = wilson(12, 40)
    assert plain.low is not None
    assert plain.high is not None
    assert widths[0] > widths[1] > widths[2] > plain.high - plain.low
    assert widths[2] == pytest.approx(plain.high - plain.low, rel=0.03)


def test_a_persons_word_stands_before_the_proposal_and_both_are_told_apart() -> None:
    """One that was proposed dead and said to be live is live; the words say who said what."""
    (share,) = state_shares(sample(said("live", "dead"), proposed("dead"), proposed("live")))
    assert (share.counted, share.of, share.said, share.proposed) == (1, 3, 1, 2)
    assert share.basis == "mixed"
    assert "Said by a person of 1, only proposed of 2." in share.words


def test_what_cannot_be_told_is_left_out_and_said() -> None:
    """A share of what is known, and of how many nothing is known."""
    unknown = replace(mark(), proposal=Proposal(reason="blurred"))
    (share,) = state_shares(sample(proposed("dead"), proposed("live"), unknown))
    assert (share.of, share.unknown) == (2, 1)
    assert "Of 1 more it cannot be told." in share.words


def test_no_share_stands_on_less_than_half() -> None:
    """Three that were marked dead among fifty of which nothing is known are no 100 %."""
    assert state_shares(sample(*[said("dead")] * 3, *[mark()] * 47)) == ()
    assert state_shares(sample()) == ()


def test_eggs_have_a_fertilised_share() -> None:
    """Proposed or said alike."""
    (share,) = state_shares(
        sample(proposed("fertilised"), said("unfertilised"), proposed("fertilised"), target=EGGS)
    )
    assert (share.state, share.counted, share.of) == ("fertilised", 2, 3)
    assert share.as_json()["basis"] == "mixed"


def test_all_and_none_have_limits_within_nought_and_one() -> None:
    """Also where every single proposal is doubtful."""
    for state, value in (("dead", 1.0), ("live", 0.0)):
        (share,) = state_shares(sample(*[proposed(state, 0.61)] * 5))
        assert share.share == value
        assert 0.0 <= share.low <= value <= share.high <= 1.0


def test_doubtful_proposals_are_to_be_checked_the_worst_first() -> None:
    """Not those that are sure, nor those of which a person has spoken."""
    doubtful = replace(said("dead"), proposal=Proposal("live", 0.61))
    marks = (proposed("dead", 0.79), proposed("live", 0.62), proposed("live", 0.8), doubtful)
    assert states_to_check(sample(*marks)) == ((7, 2), (7, 1))


def test_the_estimate_warns_of_shells_that_are_only_proposed() -> None:
    """The total includes them; a doubtful proposal alone warns of nothing."""
    warned = estimate(sample(proposed("dead"), proposed("dead"), proposed("live"))).warnings
    assert any(w.startswith("2 of the 3 on the pictures look like empty shells") for w in warned)
    assert state_cautions(sample(proposed("dead", 0.7), proposed("live"))) == ()
    assert state_cautions(sample(said("dead", "dead"))) == ()


def test_larvae_staged_eyed_without_an_eye_spot_are_told() -> None:
    """The stage stays; the technician is asked to look."""
    seen = Proposal("live", 0.99, "", True, 0.97)
    unseen = Proposal("live", 0.99, "", False, 0.93)
    eyed = mark(length_um=290.0, stage="eyed")
    marks = [replace(eyed, proposal=entry) for entry in (seen, unseen)]
    (caution,) = state_cautions(sample(*marks, replace(mark(), proposal=unseen)))
    assert caution.startswith("No eye spot is seen in 1 of 2 larvae that are eyed by their length")
