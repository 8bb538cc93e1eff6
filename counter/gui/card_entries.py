"""What an entry on the sample card does; CounterError for one that makes no sense."""

from __future__ import annotations

from collections.abc import Mapping

from counter.domain.chamber import Chamber
from counter.domain.edges import EdgeRule
from counter.domain.sample import Filling
from counter.domain.species import Species, TargetKind, target_of
from counter.domain.uncertainty_entry import parse_volumes_known
from counter.domain.units import (
    parse_confidence,
    parse_dilution,
    parse_length_range_um,
    parse_volume_ml,
)
from counter.errors import UsageError
from counter.gui.bench import Bench

_UL_PER_ML = 1000.0


class CardEntries:
    """Commits what is typed or chosen on the card; an empty entry means what its hint says."""

    def __init__(
        self, bench: Bench, chambers: Mapping[str, Chamber], species: Mapping[str, Species]
    ) -> None:
        self._bench = bench
        self.chambers, self.species = dict(chambers), dict(species)

    def name(self, text: str) -> None:
        """Name the sample."""
        self._bench.session.set_name(text)

    def vessel(self, text: str) -> None:
        """Set the vessel's volume; empty takes it away, and with it the total."""
        volume = parse_volume_ml(text, "vessel volume") if text else None
        self._bench.session.set_vessel_ml(volume)

    def dilution(self, text: str) -> None:
        """Set the dilution; empty is undiluted."""
        self._bench.session.set_dilution(parse_dilution(text or "1+0"))

    def kind(self, key: str) -> None:
        """Count larvae or eggs, with the species' own lengths."""
        self._bench.session.set_target(
            target_of(self._bench.sample.target.species, TargetKind(key))
        )

    def species_key(self, key: str) -> None:
        """Take another species, with its own lengths."""
        wanted = self.species.get(key)
        if wanted is None:
            raise UsageError(f"The species “{key}” is no longer in the lists; choose another.")
        self._bench.session.set_target(target_of(wanted, self._bench.sample.target.kind))

    def lengths(self, text: str) -> None:
        """Set the lengths that are looked for; empty takes the species' own."""
        target = self._bench.sample.target
        lengths = parse_length_range_um(text, "lengths") if text else None
        self._bench.session.set_target(target_of(target.species, target.kind, lengths))

    def chamber(self, key: str) -> None:
        """Take another chamber, with its own volume."""
        wanted = self.chambers.get(key)
        if wanted is None:
            raise UsageError(f"The chamber “{key}” is no longer in the lists; choose another.")
        self._bench.session.set_chamber(wanted)

    def certified(self, text: str) -> None:
        """Set the chamber's certified volume; empty takes the one of its geometry."""
        now = self._bench.sample.chamber
        plain = self.chambers.get(now.key, now)
        if text:
            volume_ul = parse_volume_ml(text, "chamber volume") * _UL_PER_ML
            self._bench.session.set_chamber(plain.certified(volume_ul))
        else:
            self._bench.session.set_chamber(plain)

    def aliquot(self, text: str) -> None:
        """Set what was put into the well or tray in the filling that is shown."""
        filling = self.shown_filling()
        if filling is None:
            raise UsageError("There is no filling yet; open a picture or start a tally first.")
        volume_ul = parse_volume_ml(text, "filling's volume") * _UL_PER_ML if text else None
        self._bench.session.set_aliquot_ul(filling.filling_id, volume_ul)

    def lens(self, name: str) -> None:
        """Say through which lens the pictures are taken; empty: not known."""
        self._bench.session.set_lens(name or None)

    def edges(self, key: str) -> None:
        """Let other borders count."""
        self._bench.session.set_edges(EdgeRule(key))

    def confidence(self, text: str) -> None:
        """Set the confidence of the limits; empty is 95 %."""
        self._bench.session.set_confidence(parse_confidence(text or "95 %"))

    def volumes_known(self, text: str) -> None:
        """Say how well the volumes are known; empty: the limits are those of the count alone."""
        filling = self.shown_filling()
        stroke_ul = filling.aliquot_ul if filling is not None else None
        stroke_ml = None if stroke_ul is None else stroke_ul / _UL_PER_ML
        self._bench.session.set_volumes(parse_volumes_known(text, stroke_ml))

    def shown_filling(self) -> Filling | None:
        """Return the filling of the field that is shown, else the last one."""
        shown = self._bench.field
        for filling in self._bench.sample.fillings:
            if shown is not None and shown in filling.fields:
                return filling
        fillings = self._bench.sample.fillings
        return fillings[-1] if fillings else None
