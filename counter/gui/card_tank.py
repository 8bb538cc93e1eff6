"""The lines of the sample card that say where the water is from: tank, time, age."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime

from PySide6.QtCore import QObject

from counter.domain.logbook import age_for_people
from counter.domain.moment_entry import moment_for_people, parse_moment
from counter.domain.species import Species
from counter.gui.bench import Bench
from counter.gui.card_field import CardField, ChoiceField, TextField
from counter.gui.samples import tank_names
from counter.gui.style import TonedLabel, named, plain_colour
from counter.gui.tank_dialog import TankDialog
from counter.session.tank import NewTank, Place

_NO_TANK = ("", "not said")
_NEW = ("new", "a new tank…")


def place_words(place: Place, species: Mapping[str, Species]) -> str:
    """Return the batch, its species and its age in one line; empty without a tank."""
    batch = place.batch
    if batch is None:
        return ""
    known = species.get(batch.species)
    name = batch.species if known is None else known.name
    return f"{batch.name}, {name}: {age_for_people(place.age)}"


class TankLines(QObject):
    """Commits the tank and the times as soon as they are chosen or left."""

    def __init__(self, bench: Bench, species: Mapping[str, Species], parent: QObject) -> None:
        super().__init__(parent)
        self._bench, self._species = bench, species
        self.dialog: TankDialog | None = None
        self._shown: Place | None = None
        self.tank = ChoiceField(
            "Tank", "Which tank the water is from; the total is held beside its last one.",
            self._choose,
        )  # fmt: skip
        self.taken = TextField(
            "Water taken (day, time)", "2031-05-06 09:30", "When the water was taken.", self._taken
        )
        self.fertilised = TextField(
            "Batch fertilised (day, time)", "not known",
            "When its batch was fertilised: all its ages follow.", self._fertilised,
        )  # fmt: skip
        self.age = TonedLabel(plain_colour)
        named(self.age, "Batch and age")

    @property
    def lines(self) -> tuple[CardField, ...]:
        """The lines, from the top; the age stands beneath the first."""
        return (self.tank, self.taken, self.fertilised)

    def refresh(self) -> None:
        """Show the tank and the times as they stand."""
        place = self._bench.session.place
        if place is self._shown:  # most gestures are on marks: the records are not asked for them
            return
        self._shown = place
        names = tank_names(self._bench.session.store)
        known = sorted(((str(key), name) for key, name in names.items()), key=lambda one: one[1])
        self.tank.offer([_NO_TANK, *known, _NEW])
        self.tank.show_value("" if place.tank is None else str(place.tank.tank_id))
        self.taken.show_value(moment_for_people(place.entry.taken_at))
        fertilised_at = None if place.batch is None else place.batch.fertilised_at
        self.fertilised.show_value(moment_for_people(fertilised_at))
        words = place_words(place, self._species)
        self.age.setText(words)
        for widget in (self.age, self.taken, self.fertilised):
            widget.setVisible(bool(words))

    # --- entries

    def _choose(self, key: str) -> None:
        if key == _NEW[0]:
            self.tank.show_value(self.tank.shown)
            self.ask_new()
            return
        self._bench.session.set_tank(int(key) if key else None)
        self._tell_species()

    def _taken(self, text: str) -> None:
        now = datetime.now(UTC)
        moment = parse_moment(text, "time that the water was taken", now) if text else now
        self._bench.session.set_taken_at(moment)

    def _fertilised(self, text: str) -> None:
        now = datetime.now(UTC)
        moment = parse_moment(text, "time of fertilisation", now) if text else None
        self._bench.session.set_fertilised_at(moment)

    def ask_new(self) -> None:
        """Ask for a tank that is not in the records yet."""
        session = self._bench.session
        self.dialog = TankDialog(
            session.store.batches(),
            self._species,
            self._bench.sample.target.species.key,
            self._add,
            self.tank.window(),
        )
        self.dialog.open()

    def _add(self, wanted: NewTank) -> None:
        tank = self._bench.session.add_tank(wanted)
        self._bench.tell(f"{tank.name} is in the records, and this sample is from it.")
        self._tell_species()

    def _tell_species(self) -> None:
        """Say it when the sample is staged as another species than the batch is."""
        batch = self._bench.session.place.batch
        own = self._bench.sample.target.species
        known = None if batch is None else self._species.get(batch.species)
        if known is not None and known.key != own.key:
            self._bench.tell_problem(
                f"The batch is {known.name}, but this sample is staged as {own.name}; choose the "
                "species on the sample card if that is not meant."
            )
