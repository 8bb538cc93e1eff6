"""One larva or egg on a picture."""

from __future__ import annotations

from dataclasses import dataclass, replace

from counter.domain import flags
from counter.domain.proposed import Proposal

Point = tuple[float, float]
"""(x_px, y_px): x to the right, y down, the centre of the top-left pixel is (0, 0)."""

FOUND = "found"
PLACED = "placed"


@dataclass(frozen=True, slots=True)
class Mark:
    """One larva or egg.

    ``mark_id`` is unique within its field. ``outline_px`` is a closed polygon without the first
    point repeated (at least 3 points). ``length_um`` and ``width_um`` are the maximum and minimum
    Feret diameters of the outline. ``origin`` is ``found`` (by the detector) or ``placed`` (by
    hand). ``score`` is how sure the detector is, 0 to 1; 1 for what a person placed.
    ``state`` is what the technician says of it (``live``, ``dead`` …), None if nothing was said.
    ``flags`` holds keys of :mod:`counter.domain.flags`. ``proposal`` is what the machine thinks of
    its state, None where it was not asked.
    """

    mark_id: int
    x_px: float
    y_px: float
    outline_px: tuple[Point, ...]
    length_um: float
    width_um: float
    area_um2: float
    stage: str
    score: float = 1.0
    origin: str = FOUND
    state: str | None = None
    flags: frozenset[str] = frozenset()
    proposal: Proposal | None = None

    def moved(self, right_px: float, down_px: float) -> Mark:
        """Return it on a picture of which its own one is a part, so far from the left and top."""
        return replace(
            self,
            x_px=self.x_px + right_px,
            y_px=self.y_px + down_px,
            outline_px=tuple((x + right_px, y + down_px) for x, y in self.outline_px),
        )

    @property
    def is_cut(self) -> bool:
        """Whether the border of the picture cuts it, so that its size means nothing."""
        return flags.CUT.key in self.flags

    @property
    def proposed_state(self) -> str | None:
        """The state that the machine proposes; None without one, or where a person has spoken."""
        return self.proposal.state if self.proposal is not None and self.state is None else None

    @property
    def likely_state(self) -> str | None:
        """What a person said of it, else what the machine proposes."""
        return self.state or self.proposed_state

    @property
    def has_doubtful_state(self) -> bool:
        """Whether a state is proposed that needs a look."""
        return self.state is None and self.proposal is not None and self.proposal.is_doubtful
