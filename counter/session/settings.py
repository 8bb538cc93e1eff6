"""Gestures on the sample card: vessel, dilution, chamber, borders, target."""

from __future__ import annotations

from counter.domain import events
from counter.domain.chamber import Chamber
from counter.domain.edges import EdgeRule
from counter.domain.sample import Dilution
from counter.domain.species import Target
from counter.domain.uncertainty import VolumeUncertainty
from counter.errors import UsageError
from counter.records.schema import MOST_LETTERS
from counter.session.core import SessionCore
from counter.statistics.stop_rule import counted_fillings


class SettingGestures(SessionCore):
    """Each writes one event; setting what is set already writes none."""

    def set_name(self, name: str) -> None:
        """Name the sample; UsageError for an empty name or one of over 200 letters."""
        name = checked_name(name)
        if name != self.sample.name:
            self._do(events.NameSet(name))

    def set_vessel_ml(self, vessel_ml: float | None) -> None:
        """Set the volume sampled from in mL; None: unknown, so that there is no total."""
        if vessel_ml is not None:
            checked_vessel_ml(vessel_ml)
        if vessel_ml != self.sample.vessel_ml:
            self._do(events.VesselSet(vessel_ml))

    def set_dilution(self, dilution: Dilution) -> None:
        """Set the dilution; UsageError for parts that cannot be."""
        checked_dilution(dilution)
        if dilution != self.sample.dilution:
            self._do(events.DilutionSet(dilution))

    def set_chamber(self, chamber: Chamber) -> None:
        """Set the chamber; with ``chamber.certified(volume_ul)`` also its certified volume."""
        if chamber != self.sample.chamber:
            self._do(events.ChamberSet(chamber))

    def set_edges(self, edges: EdgeRule) -> None:
        """Set the two borders whose crossing objects are counted."""
        if edges != self.sample.edges:
            self._do(events.EdgesSet(edges))

    def set_confidence(self, confidence: float) -> None:
        """Set the confidence of the limits, between 0 and 1."""
        checked_confidence(confidence)
        if confidence != self.sample.confidence:
            self._do(events.ConfidenceSet(confidence))

    def set_volumes(self, volumes: VolumeUncertainty) -> None:
        """Say how well the volumes are known; :data:`UNKNOWN_VOLUMES` takes it back."""
        if volumes != self.sample.volumes:
            self._do(events.VolumesKnown(volumes))

    def set_stop_after(self, fillings: int | None) -> None:
        """State after how many fillings in all to stop; None takes the rule back.

        UsageError for a rule that is met already: it would be stated after the fact.
        """
        if fillings is not None and fillings <= counted_fillings(self.sample):
            raise UsageError(
                f"{fillings} fillings are counted already; a stop rule is stated before counting."
            )
        if fillings != self.sample.stop_after:
            self._do(events.StopRuleSet(fillings))

    def know_earlier(self, earlier: events.EarlierKnown) -> None:
        """Take in how the fillings of earlier samples scatter; undo passes over it."""
        self._do(earlier)

    def set_target(self, target: Target) -> None:
        """Set what is counted: marks are staged anew, save those that a person staged."""
        if target != self.sample.target:
            self._do(events.TargetSet(target))

    def set_lens(self, name: str | None) -> None:
        """Say through which lens the pictures were taken; their scales stay as they are."""
        if name != self.sample.lens:
            self._do(events.LensSet(name))


def checked_name(name: str) -> str:
    """Return a name without spaces around it; UsageError for none, or over 200 letters."""
    name = name.strip()
    if not name:
        raise UsageError("The sample has no name; type one.")
    if len(name) > MOST_LETTERS:
        raise UsageError(f"The sample's name is too long; use {MOST_LETTERS} letters at most.")
    return name


def checked_vessel_ml(vessel_ml: float) -> float:
    """Return a volume above 0 and finite; UsageError for anything else."""
    if not 0 < vessel_ml < float("inf"):
        raise UsageError(f"A vessel of {vessel_ml:g} mL is impossible; type a volume above 0.")
    return vessel_ml


def checked_dilution(dilution: Dilution) -> Dilution:
    """Return a dilution with some sample and no less than no water; UsageError otherwise."""
    sample, water = dilution.sample_parts, dilution.water_parts
    if not (0 < sample < float("inf") and 0 <= water < float("inf")):
        raise UsageError(
            f"A dilution of {sample:g}+{water:g} is impossible; type the parts of sample and of "
            "water, like 1+9."
        )
    return dilution


def checked_confidence(confidence: float) -> float:
    """Return a confidence between 0 and 1, both left out; UsageError otherwise."""
    if not 0 < confidence < 1:
        raise UsageError(
            f"A confidence of {confidence:g} is impossible; it lies between 0 and 1, like 0.95."
        )
    return confidence
