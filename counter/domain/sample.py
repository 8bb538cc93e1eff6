"""What one vessel of one tank held at one moment: vessel, dilution, chamber, fillings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from counter.domain.chamber import Chamber
from counter.domain.edges import EdgeRule
from counter.domain.field import Field, PictureField
from counter.domain.house import House
from counter.domain.mark import Mark
from counter.domain.ruled import RuledSquare
from counter.domain.species import Target
from counter.domain.uncertainty import UNKNOWN_VOLUMES, VolumeUncertainty


@dataclass(frozen=True, slots=True)
class Dilution:
    """``sample_parts`` of the vessel's water plus ``water_parts`` of clean water: A + B."""

    sample_parts: float = 1.0
    water_parts: float = 0.0

    @property
    def factor(self) -> float:
        """How many times thinner the counted water is than the vessel's: (A + B) / A."""
        return (self.sample_parts + self.water_parts) / self.sample_parts


@dataclass(frozen=True, slots=True)
class Filling:
    """One loading of the chamber: the replicate of a vessel.

    ``aliquot_ul`` is the volume put in where the chamber holds it whole (well, tray), else None.
    """

    filling_id: int
    fields: tuple[Field, ...] = ()
    aliquot_ul: float | None = None

    def count_by_stage(self, rule: EdgeRule) -> Mapping[str, int]:
        """Return how many are counted of each stage, over all fields."""
        total: Counter[str] = Counter()
        for entry in self.fields:
            total.update(entry.count_by_stage(rule))
        return total

    def count_by_class(self, rule: EdgeRule) -> Mapping[str, int]:
        """Return how many are counted of each class (:mod:`counter.domain.classes`)."""
        total: Counter[str] = Counter()
        for entry in self.fields:
            total.update(entry.count_by_class(rule))
        return total

    def count(self, rule: EdgeRule) -> int:
        """Return how many are counted over all fields and stages."""
        return sum(self.count_by_stage(rule).values())

    def volume_ul(self, chamber: Chamber) -> float:
        """Return the volume in µL that was looked through.

        Area × depth, or the whole aliquot for a whole-volume chamber: its pictures together show
        the well. 0 while nothing was looked at. Raises :class:`~counter.errors.UsageError` for a
        whole-volume chamber without a volume.
        """
        if not self.fields:
            return 0.0
        if chamber.is_whole_volume:
            whole = self.aliquot_ul if self.aliquot_ul is not None else chamber.volume_ul
            return whole if whole is not None else chamber.volume_of_area_ul(0.0)
        return chamber.volume_of_area_ul(sum(entry.area_mm2 for entry in self.fields))


@dataclass(frozen=True, slots=True)
class Sample:
    """One vessel at one moment, as far as it has been counted.

    ``vessel_ml`` is None while no vessel volume was given: then there is a density, no total.
    ``volumes`` is how well the volumes are known, as far as that was given; ``house`` how the
    fillings of earlier samples scatter, None where that is not known. ``stop_after`` is how many
    fillings in all are to be counted, None while no rule was stated.
    """

    target: Target
    chamber: Chamber
    edges: EdgeRule = EdgeRule.TOP_LEFT
    dilution: Dilution = Dilution()
    vessel_ml: float | None = None
    confidence: float = 0.95
    fillings: tuple[Filling, ...] = ()
    name: str = ""
    lens: str | None = None
    volumes: VolumeUncertainty = UNKNOWN_VOLUMES
    house: House | None = None
    stop_after: int | None = None

    def picture_fields(self) -> Iterator[PictureField]:
        """Yield the fields that are pictures, in order."""
        for filling in self.fillings:
            for entry in filling.fields:
                if isinstance(entry, PictureField):
                    yield entry

    def counted_marks(self) -> Iterator[Mark]:
        """Yield every mark that the edge rule counts, over all pictures."""
        for entry in self.picture_fields():
            yield from entry.counted(self.edges)

    def square_of(self, entry: PictureField, mark: Mark) -> RuledSquare | None:
        """Return the ruled square of a mark; None where the chamber has none of one known period.

        Where a picture shows rulings of several periods, nobody knows which squares were found.
        """
        if self.chamber.ruling_um is None:
            return None
        return entry.square_of(mark, self.edges)

    def count_by_square(self, entry: PictureField) -> Mapping[RuledSquare, int]:
        """Return how many bodies belong to each square that is whole on the picture, row by row."""
        if self.chamber.ruling_um is None:
            return {}
        return entry.count_by_square(self.edges)
