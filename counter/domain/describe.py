"""What an event is called by people: “added a larva on field-01.png”."""

from __future__ import annotations

from functools import singledispatch

from counter.domain import events
from counter.domain.field import PictureField
from counter.domain.lookup import field_of
from counter.domain.sample import Sample
from counter.domain.species import TargetKind

_ONE_MANY = {TargetKind.LARVAE: ("a larva", "larvae"), TargetKind.EGGS: ("an egg", "eggs")}


def bodies(sample: Sample, number: int) -> str:
    """Return ``number`` of what the sample counts in words: “a larva”, “3 eggs”."""
    one, many = _ONE_MANY[sample.target.kind]
    return one if number == 1 else f"{number} {many}"


def place(sample: Sample, field_id: int) -> str:
    """Return the name of a field for people."""
    entry = field_of(sample, field_id)
    return entry.picture.name if isinstance(entry, PictureField) else f"tally {field_id}"


@singledispatch
def described(event: object, sample: Sample) -> str:
    """Return what ``event`` does to ``sample`` (as it was before), in a few words."""
    del sample
    raise TypeError(f"no words for {type(event).__name__}")


@described.register
def _name(event: events.NameSet, sample: Sample) -> str:
    del sample
    return f"named the sample “{event.name}”"


@described.register
def _vessel(event: events.VesselSet, sample: Sample) -> str:
    del sample
    if event.vessel_ml is None:
        return "took the vessel's volume away"
    return f"set the vessel to {event.vessel_ml:g} mL"


@described.register
def _dilution(event: events.DilutionSet, sample: Sample) -> str:
    del sample
    dilution = event.dilution
    return f"set the dilution to {dilution.sample_parts:g}+{dilution.water_parts:g}"


@described.register
def _chamber(event: events.ChamberSet, sample: Sample) -> str:
    del sample
    if event.chamber.certified_ul is not None:
        return f"set the chamber to {event.chamber.name}, {event.chamber.certified_ul:g} µL"
    return f"set the chamber to {event.chamber.name}"


@described.register
def _edges(event: events.EdgesSet, sample: Sample) -> str:
    del sample
    return f"let the {event.edges.value.replace('-', ' and ')} borders count"


@described.register
def _confidence(event: events.ConfidenceSet, sample: Sample) -> str:
    del sample
    return f"set the confidence to {event.confidence * 100:g} %"


@described.register
def _volumes(event: events.VolumesKnown, sample: Sample) -> str:
    del sample
    if not event.volumes.is_given:
        return "took the uncertainty of the volumes away"
    return f"said how well the volumes are known: {'; '.join(event.volumes.sources)}"


@described.register
def _stop_rule(event: events.StopRuleSet, sample: Sample) -> str:
    del sample
    if event.fillings is None:
        return "took the stop rule back"
    return f"stated the stop rule: {event.fillings} filling{'' if event.fillings == 1 else 's'}"


@described.register
def _earlier(event: events.EarlierKnown, sample: Sample) -> str:
    del sample
    number = sum(one.degrees_of_freedom > 0 for one in event.samples)
    samples = "an earlier sample" if number == 1 else f"{number} earlier samples"
    return f"looked up how the fillings of {samples} scatter"


@described.register
def _target(event: events.TargetSet, sample: Sample) -> str:
    del sample
    return f"set the target to {event.target.kind.value} of {event.target.species.name}"


@described.register
def _lens(event: events.LensSet, sample: Sample) -> str:
    del sample
    return "took the lens away" if event.lens is None else f"set the lens to {event.lens}"


@described.register
def _filling_added(event: events.FillingAdded, sample: Sample) -> str:
    del sample
    return f"began filling {event.filling_id}"


@described.register
def _aliquot(event: events.AliquotSet, sample: Sample) -> str:
    del sample
    if event.aliquot_ul is None:
        return f"took the volume of filling {event.filling_id} away"
    return f"set filling {event.filling_id} to {event.aliquot_ul:g} µL"


@described.register
def _filling_removed(event: events.FillingRemoved, sample: Sample) -> str:
    del sample
    return f"removed filling {event.filling_id}"


@described.register
def _picture_counted(event: events.PictureCounted, sample: Sample) -> str:
    found = bodies(sample, len(event.field.marks))
    return f"found {found} on {event.field.picture.name}"


@described.register
def _picture_recounted(event: events.PictureRecounted, sample: Sample) -> str:
    found = bodies(sample, len(event.field.marks))
    return f"counted {event.field.picture.name} again: {found}"


@described.register
def _field_removed(event: events.FieldRemoved, sample: Sample) -> str:
    return f"removed {place(sample, event.field_id)}"


@described.register
def _field_reviewed(event: events.FieldReviewed, sample: Sample) -> str:
    verb = "reviewed" if event.reviewed else "asked for another look at"
    return f"{verb} {place(sample, event.field_id)}"


@described.register
def _scale_changed(event: events.ScaleChanged, sample: Sample) -> str:
    where = place(sample, event.field_id)
    return f"set the scale of {where} to {event.scale.um_per_px:g} µm per pixel"


@described.register
def _marks_added(event: events.MarksAdded, sample: Sample) -> str:
    return f"added {bodies(sample, len(event.marks))} on {place(sample, event.field_id)}"


@described.register
def _marks_removed(event: events.MarksRemoved, sample: Sample) -> str:
    return f"removed {bodies(sample, len(event.mark_ids))} on {place(sample, event.field_id)}"


@described.register
def _mark_moved(event: events.MarkMoved, sample: Sample) -> str:
    return f"moved {bodies(sample, 1)} on {place(sample, event.field_id)}"


@described.register
def _mark_reshaped(event: events.MarkReshaped, sample: Sample) -> str:
    return f"redrew {bodies(sample, 1)} on {place(sample, event.field_id)}"


@described.register
def _mark_split(event: events.MarkSplit, sample: Sample) -> str:
    return f"split {bodies(sample, 1)} into {len(event.parts)} on {place(sample, event.field_id)}"


@described.register
def _marks_joined(event: events.MarksJoined, sample: Sample) -> str:
    return f"joined {len(event.mark_ids)} parts on {place(sample, event.field_id)}"


@described.register
def _marks_staged(event: events.MarksStaged, sample: Sample) -> str:
    what = bodies(sample, len(event.mark_ids))
    return f"staged {what} as {event.stage} on {place(sample, event.field_id)}"


@described.register
def _state_set(event: events.StateSet, sample: Sample) -> str:
    what, where = bodies(sample, len(event.mark_ids)), place(sample, event.field_id)
    if event.state is None:
        return f"took back the state of {what} on {where}"
    return f"marked {what} as {event.state} on {where}"


@described.register
def _proposals_accepted(event: events.ProposalsAccepted, sample: Sample) -> str:
    what, where = bodies(sample, len(event.states)), place(sample, event.field_id)
    return f"accepted the proposed state of {what} on {where}"


@described.register
def _tally_started(event: events.TallyStarted, sample: Sample) -> str:
    del sample
    return f"began tally {event.field_id} ({event.square_name})"


@described.register
def _key_tallied(event: events.KeyTallied, sample: Sample) -> str:
    return f"tallied {event.tally_class} in {place(sample, event.field_id)}"


@described.register
def _square_done(event: events.SquareDone, sample: Sample) -> str:
    return f"finished a square of {place(sample, event.field_id)}"


@described.register
def _tally_finished(event: events.TallyFinished, sample: Sample) -> str:
    return f"finished {place(sample, event.field_id)}"
