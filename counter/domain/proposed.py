"""What the machine thinks of a body beside its stage: live or dead, fertilised or not, an eye spot.

A proposal is never more than that: it changes no stage and no count, and what a person says
(``Mark.state``) stands before it.
"""

from __future__ import annotations

from dataclasses import dataclass

LIVE = "live"
DEAD = "dead"
FERTILISED = "fertilised"
UNFERTILISED = "unfertilised"

SURE = 0.8
"""A proposal that is less sure than this is doubtful: it should be looked at."""

REASONS = {
    "cut": "The border of the picture cuts it.",
    "blurred": "It is out of focus.",
    "small": "It is too few pixels across for such detail.",
    "unsure": "The picture does not tell.",
}
"""Why nothing is proposed, by key, as a sentence."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A proposal for one mark.

    ``state`` is ``live``, ``dead``, ``fertilised`` or ``unfertilised``, None where nothing can be
    said; ``reason`` is then a key of :data:`REASONS`. ``score`` is how sure the machine is that it
    is right, 0.5 to 1 (0 without a state). ``eye_spot`` says whether an eye spot is seen, None
    where none was looked for or it cannot be told; ``eye_spot_score`` is how sure that is.
    """

    state: str | None = None
    score: float = 0.0
    reason: str = ""
    eye_spot: bool | None = None
    eye_spot_score: float = 0.0

    @property
    def is_doubtful(self) -> bool:
        """Whether something is proposed that should be looked at before it is believed."""
        return self.state is not None and self.score < SURE

    @property
    def words(self) -> str:
        """The state as a question with how sure it is: ``dead? 92 %``; empty without one."""
        return "" if self.state is None else f"{self.state}? {percent(self.score)}"

    @property
    def eye_words(self) -> str:
        """``eye spot? 97 %``, ``no eye spot? 91 %``, or nothing."""
        if self.eye_spot is None:
            return ""
        what = "eye spot" if self.eye_spot else "no eye spot"
        return f"{what}? {percent(self.eye_spot_score)}"

    @property
    def explanation(self) -> str:
        """A sentence or two for tooltips: what is proposed, or why nothing is."""
        if self.state is None:
            return f"No state is proposed. {REASONS.get(self.reason, '')}".strip()
        return (
            f"Proposed by the machine, {percent(self.score)} sure; nobody has said so yet. "
            "Accept it, or say what it is."
        )


@dataclass(frozen=True, slots=True)
class Told:
    """What is known of a body beside its size, coarse enough to be counted by kind.

    ``said`` is a person's word, ``proposed`` the machine's, ``percent`` how sure that is (rounded
    down); ``eye_spot`` and ``eye_percent`` likewise.
    """

    stage: str
    said: str | None
    proposed: str | None = None
    percent: int = 0
    eye_spot: bool | None = None
    eye_percent: int = 0

    @property
    def state(self) -> str | None:
        """What a person said, else what the machine proposes."""
        return self.said or self.proposed

    @property
    def doubt(self) -> float:
        """What one such body adds to the variance of a count of states; 0 by a person's word."""
        if self.said is not None or self.proposed is None:
            return 0.0
        return self.percent / 100 * (1 - self.percent / 100)

    @property
    def is_sure(self) -> bool:
        """Whether a state is only proposed, and surely so."""
        return self.said is None and self.proposed is not None and self.percent >= 100 * SURE


def told_of(stage: str, said: str | None, proposal: Proposal | None) -> Told:
    """Return what is known of a body of this stage."""
    if proposal is None:
        return Told(stage, said)
    return Told(
        stage,
        said,
        proposal.state,
        _whole(proposal.score),
        proposal.eye_spot,
        _whole(proposal.eye_spot_score),
    )


def _whole(score: float) -> int:
    return int(100 * score + 1e-9)


def percent(score: float) -> str:
    """Return ``92 %``; never 100 %, because a machine is never that sure."""
    return f"{min(99, round(score * 100))} %"
