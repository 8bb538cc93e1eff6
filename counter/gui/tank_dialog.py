"""Naming a tank that is not in the records yet, and its batch where that is new."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QVBoxLayout, QWidget

from counter.domain.logbook import Batch, age_for_people
from counter.domain.moment_entry import parse_moment
from counter.domain.species import Species
from counter.domain.units import parse_volume_ml
from counter.errors import CounterError
from counter.gui.entries import ChoiceEntry, LineEntry
from counter.gui.style import TonedLabel, easy_to_hit, named, problem_colour
from counter.session.tank import NewTank

_NEW = ("", "a new batch")


class TankDialog(QDialog):
    """Only what the checks need: a name, perhaps a volume, the batch and its fertilisation."""

    def __init__(
        self,
        batches: Sequence[Batch],
        species: Mapping[str, Species],
        own_species: str,
        add: Callable[[NewTank], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._add = add
        self.setWindowTitle("A new tank")
        self.name = LineEntry("Tank", "A1", "What the tank is called.")
        self.volume = LineEntry("Its volume, L or mL", "not known", "With its unit: 500 L.")
        now = datetime.now(UTC)
        known = [
            (str(batch.batch_id), f"{batch.name}  ·  {age_for_people(batch.age_at(now))}")
            for batch in batches
        ]
        self.batch = ChoiceEntry("Batch in it", "One spawn; its age is that of all its tanks.")
        self.batch.offer([*known, _NEW])
        self.batch_name = LineEntry("Name of the batch", "spring 3", "What the spawn is called.")
        self.species = ChoiceEntry("Species", "What was spawned.")
        self.species.offer([(key, entry.name) for key, entry in sorted(species.items())])
        self.species.choose(own_species)
        self.fertilised = LineEntry(
            "Fertilised (day, time)", "not known", "Like 2031-05-06 09:30; ages follow from it."
        )
        self.problem = TonedLabel(problem_colour)
        named(self.problem, "What is wrong with the tank")
        self._lay_out()
        self.batch.box.currentIndexChanged.connect(lambda _index: self._show_new())
        self._show_new()

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        self._of_new = (self.batch_name, self.species, self.fertilised)
        for entry in (self.name, self.volume, self.batch, *self._of_new):
            layout.addWidget(entry)
        layout.addWidget(self.problem)
        self.problem.hide()
        buttons = QDialogButtonBox()
        self.keep = buttons.addButton("Keep", QDialogButtonBox.ButtonRole.AcceptRole)
        cancel = buttons.addButton("Cancel", QDialogButtonBox.ButtonRole.RejectRole)
        for button in (self.keep, cancel):
            easy_to_hit(button)
        layout.addWidget(buttons)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self.setMinimumWidth(340)

    def _show_new(self) -> None:
        for entry in self._of_new:
            entry.setVisible(not self.batch.key)
        self.adjustSize()

    def accept(self) -> None:
        """Keep the tank, or say what is wrong; what was typed stays."""
        try:
            self._add(self._wanted())
        except CounterError as error:
            self.problem.setText(f"⚠ {error}")
            self.problem.show()
            return
        super().accept()

    def _wanted(self) -> NewTank:
        volume = self.volume.text
        volume_ml = parse_volume_ml(volume, "tank's volume") if volume else None
        if self.batch.key:
            return NewTank(self.name.text, volume_ml, int(self.batch.key))
        typed = self.fertilised.text
        now = datetime.now(UTC)
        return NewTank(
            self.name.text,
            volume_ml,
            batch_name=self.batch_name.text,
            species=self.species.key,
            fertilised_at=parse_moment(typed, "time of fertilisation", now) if typed else None,
        )
