"""Classes of a tally: a stage, or a stage with a state, as in ``d-hinge, dead``."""

from __future__ import annotations

from counter.domain.proposed import DEAD

__all__ = ["DEAD", "class_of", "stage_and_state"]

_JOINED_BY = ", "


def class_of(stage: str, state: str | None) -> str:
    """Return the class of a body of this stage and state (None: nothing was said of it)."""
    return stage if state is None else f"{stage}{_JOINED_BY}{state}"


def stage_and_state(tally_class: str) -> tuple[str, str | None]:
    """Return the stage of a class, and its state; None where the class has none."""
    stage, _, state = tally_class.partition(_JOINED_BY)
    return stage, state or None
