"""How many are dead, or fertilised: the share with its limits, and who says so.

The share counts what a person said of a body, else what the machine proposes. Its limits are
Wilson's for as many bodies as the doubt of the proposals leaves: a proposal that is right with
probability p adds p (1 - p) to the variance of the count, and so n bodies are worth

    n / (1 + Σ p (1 - p) / (n s (1 - s))),    s = (k + 0.5) / (n + 1)

bodies of which somebody is sure (the design effect of Kish L (1965), Survey Sampling, 8.2, with
the variance of the doubt added to that of sampling).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import asdict, dataclass
from typing import Any

from counter.domain.proposed import DEAD, FERTILISED, SURE, Told
from counter.domain.rounding import for_people, on_paper
from counter.domain.sample import Sample
from counter.domain.species import TargetKind
from counter.statistics.proportion import wilson
from counter.statistics.proportion_working import share_working, wilson_line

PROPOSED, SAID, BOTH = "proposed", "technician", "mixed"

EYED_STAGES = ("eyed", "pediveliger")


@dataclass(frozen=True, slots=True)
class StateShare:
    """How many of the bodies on the pictures are ``state``.

    ``counted`` of the ``of`` bodies whose state is known; ``said`` of these a person judged,
    ``proposed`` the machine, ``unknown`` more count but nothing is known of them. ``share`` has
    limits ``low`` and ``high``, all from 0 to 1. ``doubt`` is the variance that the proposals add
    to the count, ``worth`` how many bodies of which somebody is sure one of these is worth for it.
    """

    state: str
    counted: int
    of: int
    said: int
    proposed: int
    unknown: int
    share: float
    low: float
    high: float
    doubt: float = 0.0
    worth: float = 1.0
    confidence: float = 0.95

    @property
    def basis(self) -> str:
        """What it rests on: ``proposed``, ``technician``, or ``mixed``."""
        if not self.said:
            return PROPOSED
        return BOTH if self.proposed else SAID

    @property
    def words(self) -> str:
        """``Dead: 3 of 41, 7.3 % (2.5 % to 19 %). Proposed by the machine; nobody has …``."""
        number = (
            f"{self.state.capitalize()}: {self.counted} of {self.of}, {_percent(self.share)} "
            f"({_percent(self.low)} to {_percent(self.high)})."
        )
        return f"{number} {self.basis_words}"

    @property
    def basis_words(self) -> str:
        """Who says so, in words."""
        unknown = f" Of {self.unknown} more it cannot be told." if self.unknown else ""
        if self.basis == PROPOSED:
            return f"Only proposed by the machine; nobody has said so yet.{unknown}"
        if self.basis == SAID:
            return f"Said by a person.{unknown}"
        return f"Said by a person of {self.said}, only proposed of {self.proposed}.{unknown}"

    def working(self) -> tuple[str, ...]:
        """Return the way to the share and its limits, line by line as on paper."""
        head = f"{self.state.capitalize()}, of those on the pictures whose state is known"
        if not self.doubt:
            return (head, *share_working(self.counted, self.of, self.confidence))
        even = on_paper((self.counted + 0.5) / (self.of + 1))
        doubt, worth = on_paper(self.doubt), on_paper(self.worth)
        parts = (self.counted * self.worth, self.of * self.worth)
        return (
            head,
            f"Share: {self.counted} ÷ {self.of} = {on_paper(self.share)}",
            f"Doubt of the proposals: Σ p × (1 − p) = {doubt}; with s = ({self.counted} + 0.5) ÷ "
            f"({self.of} + 1) = {even} each is worth 1 ÷ (1 + {doubt} ÷ ({self.of} × {even} × (1 − "
            f"{even}))) = {worth} of one that is sure: {on_paper(parts[0])} of "
            f"{on_paper(parts[1])}",
            wilson_line(*parts, self.confidence),
        )

    def as_json(self) -> dict[str, Any]:
        """Return the entry of ``state_shares`` in the JSON that the command line writes."""
        return {**asdict(self), "basis": self.basis}


def state_shares(sample: Sample) -> tuple[StateShare, ...]:
    """Return the share of the dead (larvae) or of the fertilised (eggs) on the pictures.

    Tallies by eye are left out: there a body without a state is one of which nothing was said.
    Nothing is returned where less than half is known.
    """
    state = FERTILISED if sample.target.kind is TargetKind.EGGS else DEAD
    told = _told(sample)
    known = Counter({entry: count for entry, count in told.items() if entry.state is not None})
    of, unknown = known.total(), told.total() - known.total()
    if not of or of < unknown:
        return ()
    counted = sum(count for entry, count in known.items() if entry.state == state)
    said = sum(count for entry, count in known.items() if entry.said is not None)
    doubt = sum(entry.doubt * count for entry, count in known.items())
    even = (counted + 0.5) / (of + 1)
    worth = 1 / (1 + doubt / (of * even * (1 - even)))
    limits = wilson(counted * worth, of * worth, sample.confidence)
    assert limits.low is not None
    assert limits.high is not None
    return (
        StateShare(
            state,
            counted,
            of,
            said,
            of - said,
            unknown,
            counted / of,
            limits.low,
            limits.high,
            doubt,
            worth,
            sample.confidence,
        ),
    )


def states_to_check(sample: Sample) -> tuple[tuple[int, int], ...]:
    """Return (field_id, mark_id) of the marks whose proposed state is doubtful, worst first."""
    found = [
        (mark.proposal.score, field.field_id, mark.mark_id)
        for field in sample.picture_fields()
        for mark in field.counted(sample.edges)
        if mark.has_doubtful_state and mark.proposal is not None
    ]
    return tuple((field_id, mark_id) for _, field_id, mark_id in sorted(found))


def state_cautions(sample: Sample) -> tuple[str, ...]:
    """Say what is proposed that changes how the number is read: the dead, and stages in doubt."""
    told = _told(sample)
    return (*_proposed_dead(told), *_without_eye_spot(told))


def _proposed_dead(told: Counter[Told]) -> tuple[str, ...]:
    dead = sum(n for entry, n in told.items() if entry.is_sure and entry.proposed == DEAD)
    if not dead:
        return ()
    look = "looks like an empty shell" if dead == 1 else "look like empty shells"
    return (
        f"{dead} of the {told.total()} on the pictures {look} (proposed; nobody has said so); the "
        "total includes them.",
    )


def _without_eye_spot(told: Counter[Told]) -> tuple[str, ...]:
    old = {
        entry: count
        for entry, count in told.items()
        if entry.stage in EYED_STAGES and entry.eye_spot is not None
        if entry.eye_percent >= 100 * SURE
    }
    without = sum(count for entry, count in old.items() if not entry.eye_spot)
    if not without:
        return ()
    return (
        f"No eye spot is seen in {without} of {sum(old.values())} larvae that are eyed by their "
        "length (proposed); look at their stage.",
    )


def _told(sample: Sample) -> Counter[Told]:
    """How many of each kind are counted on all pictures."""
    total: Counter[Told] = Counter()
    for entry in sample.picture_fields():
        total.update(entry.count_by_told(sample.edges))
    return total


def _percent(share: float) -> str:
    return f"{for_people(100 * share, 2)} %"
