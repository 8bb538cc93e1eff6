"""What correcting one picture teaches about the lens that it was taken through."""

from __future__ import annotations

from dataclasses import dataclass

from counter.domain.species import TargetKind

MARKED = 0.5
"""From this score on the finder, as it ships, makes a mark of a prospect."""

Where = tuple[int, int]
"""(sample_id, field_id)"""


@dataclass(frozen=True, slots=True)
class Prospect:
    """A place where the finder saw something of a length that is looked for, mark or not.

    ``score`` (0 to 1) is the finder's own, before anything that was learnt; ``features`` are how it
    looks, standardised, in the order of the finder's table of features.
    """

    x_px: float
    y_px: float
    length_um: float
    is_cut: bool
    score: float
    features: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Survey:
    """All prospects of a picture, and how it was looked at: other surveys are not comparable."""

    network: str
    kind: TargetKind
    low_um: float
    high_um: float
    um_per_px: float
    prospects: tuple[Prospect, ...]


@dataclass(frozen=True, slots=True)
class Taught:
    """What a person's event ``seq`` says of prospect number ``index``.

    ``by_hand``: it was added or removed; else it was left as it was on a field looked through.
    """

    index: int
    is_body: bool
    by_hand: bool
    seq: int


@dataclass(frozen=True, slots=True)
class Lesson:
    """What one picture teaches about a lens; nothing where ``taught`` is empty."""

    sample_id: int
    field_id: int
    lens: str
    survey: Survey
    taught: tuple[Taught, ...] = ()

    @property
    def where(self) -> Where:
        """Its place in the records."""
        return self.sample_id, self.field_id

    @property
    def corrections(self) -> int:
        """How many decisions of the finder, as it ships, a person overrules."""
        return sum(each.overrules for each in self.examples())

    def examples(self) -> tuple[Example, ...]:
        """Return what is learnt from."""
        return tuple(
            Example(
                where=self.where,
                x_px=prospect.x_px,
                y_px=prospect.y_px,
                score=prospect.score,
                features=prospect.features,
                is_body=each.is_body,
                by_hand=each.by_hand,
            )
            for each in self.taught
            for prospect in (self.survey.prospects[each.index],)
        )


@dataclass(frozen=True, slots=True)
class Example:
    """One prospect with what a person says it is."""

    where: Where
    x_px: float
    y_px: float
    score: float
    features: tuple[float, ...]
    is_body: bool
    by_hand: bool

    @property
    def overrules(self) -> bool:
        """Whether the finder, as it ships, would say otherwise."""
        return self.is_body != (self.score >= MARKED)
