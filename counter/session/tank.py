"""The tank of the sample: which one, when its water was taken, how old its batch is.

They stand in the log book beside the sample, not among its gestures, so that undo passes over them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from counter.domain.logbook import Batch, SampleEntry, Tank
from counter.domain.moment_entry import moment_for_people
from counter.errors import UsageError
from counter.records.logbook import checked_tank
from counter.session.audit import AuditedSession


@dataclass(frozen=True, slots=True)
class Place:
    """Where and when the water was taken; ``tank`` and ``batch`` are None for a quick count."""

    entry: SampleEntry
    tank: Tank | None
    batch: Batch | None

    @property
    def age(self) -> timedelta | None:
        """How old the batch was then; None where that is not known."""
        return None if self.batch is None else self.batch.age_at(self.entry.taken_at)


@dataclass(frozen=True, slots=True)
class NewTank:
    """A tank to be added; ``batch_id`` None: to a new batch, with the name and the rest."""

    name: str
    volume_ml: float | None = None
    batch_id: int | None = None
    batch_name: str = ""
    species: str = ""
    fertilised_at: datetime | None = None


class TankGestures(AuditedSession):
    """Each is on the disk when it returns; the cautions are looked up anew."""

    _kept_place: Place | None = None

    @property
    def place(self) -> Place:
        """Where and when the water was taken."""
        if self._kept_place is None:
            entry = self.store.sample_entry(self.sample_id)
            tank = None if entry.tank_id is None else self.store.tank(entry.tank_id)
            batch = None if tank is None else self.store.batch(tank.batch_id)
            self._kept_place = Place(entry, tank, batch)
        return self._kept_place

    def set_tank(self, tank_id: int | None) -> None:
        """Say which tank the water is from; None takes it back."""
        entry = self.place.entry
        if tank_id != entry.tank_id:
            self.store.assign_tank(self.sample_id, tank_id, entry.taken_at)
            self._place_changed()

    def set_taken_at(self, moment: datetime) -> None:
        """Say when the water was taken."""
        entry = self.place.entry
        if moment != entry.taken_at:
            self.store.assign_tank(self.sample_id, entry.tank_id, moment)
            self._place_changed()

    def set_fertilised_at(self, moment: datetime | None) -> None:
        """Say when the batch was fertilised: the age of all its samples follows.

        UsageError for a sample without a tank, and for a moment after its water was taken.
        """
        place = self.place
        if place.batch is None:
            raise UsageError("This sample has no tank yet; choose it first, then its age.")
        if moment is not None and moment > place.entry.taken_at:
            raise UsageError(
                f"The fertilisation, {moment_for_people(moment)}, lies after the water was taken, "
                f"{moment_for_people(place.entry.taken_at)}; check both."
            )
        if moment != place.batch.fertilised_at:
            self.store.set_fertilised_at(place.batch.batch_id, moment)
            self._place_changed()

    def add_tank(self, wanted: NewTank) -> Tank:
        """Add a tank, with its batch where that is new, and say that the water is from it.

        UsageError for a name that is missing or in use, and for an impossible volume: nothing is
        added then.
        """
        checked_tank(wanted.name, wanted.volume_ml)
        batch_id = wanted.batch_id
        if batch_id is None:
            batch_id = self.store.add_batch(
                wanted.batch_name, wanted.species, fertilised_at=wanted.fertilised_at
            ).batch_id
        tank = self.store.add_tank(batch_id, wanted.name, wanted.volume_ml)
        self.set_tank(tank.tank_id)
        return tank

    def _place_changed(self) -> None:
        self._kept_place = None
        self._audited = None
        self._kept_last = None
        self._changed()
