"""The sample card: what was sampled, how it was thinned, and what it is counted in."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QPushButton, QScrollArea, QVBoxLayout, QWidget

from counter.domain.edges import EdgeRule
from counter.domain.species import TargetKind
from counter.domain.uncertainty_entry import volumes_known_for_people
from counter.domain.units import dilution_for_people, quantity_for_people, volume_for_people
from counter.gui.bench import Bench
from counter.gui.card_entries import CardEntries
from counter.gui.card_field import CardField, ChoiceField, TextField
from counter.gui.card_tank import TankLines
from counter.gui.style import easy_to_hit, named

_NO_LENS = ("", "not chosen")
_ML_PER_UL = 1e-3
_KINDS = {TargetKind.LARVAE: "Larvae", TargetKind.EGGS: "Eggs"}


class SampleCard(QScrollArea):
    """Shows the settings of the sample and commits each as soon as it is left."""

    scale_wanted = Signal()

    def __init__(
        self,
        bench: Bench,
        entries: CardEntries,
        lens_names: Callable[[], list[str]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._entries, self._lens_names = bench, entries, lens_names
        self.place = TankLines(bench, entries.species, self)
        self._make_lines(entries)
        self.scale = QPushButton("Scale…")
        easy_to_hit(self.scale)
        named(self.scale, "Scale of the picture", "Say how many µm a pixel is, or measure it.")
        self.scale.clicked.connect(self.scale_wanted)
        self._lay_out()
        bench.sample_changed.connect(self.refresh)
        bench.field_shown.connect(self.refresh)
        bench.sample_opened.connect(self._start_again)
        self.refresh()

    def _make_lines(self, entries: CardEntries) -> None:
        self.name = TextField(
            "Sample", "tank and time", "What this sample is called.", entries.name
        )
        self.vessel = TextField(
            "Vessel sampled from", "20 L", "The volume it was taken from, with its unit.",
            entries.vessel,
        )  # fmt: skip
        self.dilution = TextField(
            "Dilution, sample + water", "1+9",
            "Parts of sample + parts of water; 1+9 is tenfold.", entries.dilution,
        )  # fmt: skip
        self.chamber = ChoiceField("Chamber", "What it is counted in.", entries.chamber)
        self.certified = TextField(
            "Volume on its certificate", "as its geometry says",
            "Stands over area × depth; for a well or tray: what is in it.", entries.certified,
        )  # fmt: skip
        self.aliquot = TextField(
            "Volume of this filling", "1 mL", "What was put into the well or tray this time.",
            entries.aliquot,
        )  # fmt: skip
        self.kind = ChoiceField("Counted", "Larvae or eggs.", entries.kind)
        self.species = ChoiceField("Species", "Its table stages by length.", entries.species_key)
        self.lengths = TextField(
            "Lengths looked for, µm", "60-350", "The shortest and the longest that are found.",
            entries.lengths,
        )  # fmt: skip
        self.lens = ChoiceField("Lens", "The scale that new pictures get.", entries.lens)
        self.edges = ChoiceField(
            "Borders that count", "What crosses the other two is left out.", entries.edges
        )
        self.confidence = TextField(
            "Confidence of the limits", "95 %", "How sure the limits are.", entries.confidence
        )
        self.volumes = TextField(
            "How well volumes are known", "vessel ±1 %, chamber 2 %",
            "Widens the limits; ± is a tolerance. Also pipette and dilution.",
            entries.volumes_known,
        )  # fmt: skip

    @property
    def lines(self) -> tuple[CardField, ...]:
        """Every line of the card, from the top."""
        return (
            self.name, *self.place.lines, self.vessel, self.dilution, self.chamber, self.certified,
            self.aliquot, self.kind, self.species, self.lengths, self.lens, self.edges,
            self.confidence, self.volumes,
        )  # fmt: skip

    def _lay_out(self) -> None:
        inside = QWidget()
        layout = QVBoxLayout(inside)
        layout.setContentsMargins(10, 6, 10, 6)
        layout.setSpacing(3)
        for line in self.lines:
            layout.addWidget(line)
            if line is self.place.tank:
                layout.addWidget(self.place.age)
            if line is self.lens:
                layout.addWidget(self.scale)
        layout.addStretch(1)
        self.setWidget(inside)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        named(inside, "Sample card")

    def _offer(self) -> None:
        """Offer what there is to choose from; what the sample has is always among it."""
        sample = self._bench.sample
        chambers = {sample.chamber.key: sample.chamber, **self._entries.chambers}
        own = sample.target.species
        species = {own.key: own, **self._entries.species}
        self.kind.offer([(kind.value, words) for kind, words in _KINDS.items()])
        self.chamber.offer([(key, chamber.name) for key, chamber in sorted(chambers.items())])
        self.species.offer([(key, entry.name) for key, entry in sorted(species.items())])
        names = dict.fromkeys([*self._lens_names(), *([sample.lens] if sample.lens else [])])
        self.lens.offer([_NO_LENS, *((name, name) for name in names)])
        self.edges.offer(
            [(rule.value, rule.value.replace("-", " and ").capitalize()) for rule in EdgeRule]
        )

    def refresh(self) -> None:
        """Show the sample's settings as they stand."""
        self._offer()
        sample = self._bench.sample
        self.name.show_value(sample.name)
        self.place.refresh()
        vessel = sample.vessel_ml
        self.vessel.show_value(volume_for_people(vessel) if vessel is not None else "")
        self.dilution.show_value(dilution_for_people(sample.dilution))
        self.chamber.show_value(sample.chamber.key)
        self.certified.show_value(_volume(sample.chamber.certified_ul))
        filling = self._entries.shown_filling()
        self.aliquot.setVisible(sample.chamber.is_whole_volume and filling is not None)
        self.aliquot.show_value(_volume(filling.aliquot_ul if filling else None))
        target = sample.target
        self.kind.show_value(target.kind.value)
        self.species.show_value(target.species.key)
        low, high = quantity_for_people(target.low_um), quantity_for_people(target.high_um)
        self.lengths.show_value(f"{low}-{high}")
        self.lens.show_value(sample.lens or "")
        self.edges.show_value(sample.edges.value)
        self.confidence.show_value(f"{sample.confidence * 100:g} %")
        self.volumes.show_value(volumes_known_for_people(sample.volumes))
        self._show_scale()

    def _show_scale(self) -> None:
        picture = self._bench.picture
        if picture is None:
            self.scale.setText("Scale…")
            return
        scale = picture.picture.scale
        self.scale.setText(f"{scale.um_per_px:.4g} µm per pixel ({scale.source})…")

    def finish(self) -> None:
        """Commit every line that was typed and not yet left."""
        for line in self.lines:
            if isinstance(line, TextField):
                line.finish()

    def _start_again(self) -> None:
        for line in self.lines:
            if isinstance(line, TextField):
                line.start_again()
        self.refresh()


def _volume(volume_ul: float | None) -> str:
    return "" if volume_ul is None else volume_for_people(volume_ul * _ML_PER_UL)
