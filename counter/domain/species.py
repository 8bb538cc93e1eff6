"""Stages by size: a species' table and what is looked for on a picture."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from counter.errors import UsageError

EGG = "egg"


NAKED = "trochophore"
"""The stage before the shell."""

HARDLY = 1.3
"""Larvae without a shell are up to so many times as long as the shortest with one: common practice,
no source. Longer ones are dark or dim ones with a shell."""


class TargetKind(StrEnum):
    """What is counted."""

    LARVAE = "larvae"
    EGGS = "eggs"


@dataclass(frozen=True, slots=True)
class StageRange:
    """A stage holds larvae from ``from_um`` up to the next stage's; ``source`` says who says so."""

    stage: str
    from_um: float
    source: str


@dataclass(frozen=True, slots=True)
class Species:
    """A species' sizes in µm.

    ``stages`` are in growing order. ``larva_um`` and ``egg_um`` are the shortest and longest
    lengths (maximum Feret diameter) that are looked for.
    """

    key: str
    name: str
    latin: str
    stages: tuple[StageRange, ...]
    larva_um: tuple[float, float]
    egg_um: tuple[float, float]

    def stage_of(self, length_um: float) -> str:
        """Return the stage of a larva of this length; the first stage for anything shorter."""
        fitting = [entry.stage for entry in self.stages if entry.from_um <= length_um]
        return fitting[-1] if fitting else self.stages[0].stage


@dataclass(frozen=True, slots=True)
class Target:
    """What is looked for: a kind, its lengths in µm (maximum Feret diameter), its species."""

    kind: TargetKind
    species: Species
    low_um: float
    high_um: float

    def __post_init__(self) -> None:
        if not 0 < self.low_um < self.high_um < float("inf"):
            raise UsageError(
                f"Lengths from {self.low_um:g} to {self.high_um:g} µm make no sense; give the "
                "shortest and the longest length to be found, like 60-350."
            )

    @property
    def stages(self) -> tuple[str, ...]:
        """Every stage that a body can be given: ``egg``, or the species' own in growing order."""
        if self.kind is TargetKind.EGGS:
            return (EGG,)
        return tuple(entry.stage for entry in self.species.stages)

    def stage_of(self, length_um: float) -> str:
        """Return ``egg``, or the stage that the species' table gives to this length."""
        return EGG if self.kind is TargetKind.EGGS else self.species.stage_of(length_um)

    def naked_stage_of(self, length_um: float) -> str:
        """Return the stage of a body on which no shell is seen.

        A larva without a shell that is hardly longer than the shortest with one is a trochophore,
        where the species' table begins with these; for all others the table's lengths decide.
        """
        first, *others = self.species.stages
        is_told = self.kind is TargetKind.LARVAE and first.stage == NAKED and bool(others)
        if is_told and length_um <= HARDLY * others[0].from_um:
            return NAKED
        return self.stage_of(length_um)


def target_of(
    species: Species, kind: TargetKind, length_um: tuple[float, float] | None = None
) -> Target:
    """Return the target with the species' own lengths, or with ``length_um`` (low, high)."""
    own = species.egg_um if kind is TargetKind.EGGS else species.larva_um
    low, high = length_um or own
    return Target(kind, species, low, high)
