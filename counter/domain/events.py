"""Everything that can happen to a sample: one frozen dataclass a kind, full values inside.

A sample is the fold of its events (:mod:`counter.domain.fold`). An event carries all that the fold
needs: marks with their outlines, chambers with their geometry, species with their stages. So the
records stay readable when a picture is gone or a species' table has been edited.

Two sorts: *gestures* are what a person does, and can be undone; *arrivals* (:data:`ARRIVALS`) are
results that come in by themselves, such as a picture counted in the background: undo passes over
them, so that it always takes back the last thing the person did.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from counter.domain.chamber import Chamber
from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.house import EarlierSample
from counter.domain.mark import Mark
from counter.domain.sample import Dilution
from counter.domain.scale import Scale
from counter.domain.species import Target
from counter.domain.uncertainty import VolumeUncertainty


@dataclass(frozen=True, slots=True)
class SampleStarted:
    """The first event of every sample: how it is counted, in full values."""

    target: Target
    chamber: Chamber
    edges: EdgeRule = EdgeRule.TOP_LEFT
    dilution: Dilution = field(default_factory=Dilution)
    vessel_ml: float | None = None
    confidence: float = 0.95
    name: str = ""
    lens: str | None = None


@dataclass(frozen=True, slots=True)
class NameSet:
    """The sample was given another name."""

    name: str


@dataclass(frozen=True, slots=True)
class VesselSet:
    """The vessel's volume was typed; None takes it away, and with it the total."""

    vessel_ml: float | None


@dataclass(frozen=True, slots=True)
class DilutionSet:
    """The dilution was typed."""

    dilution: Dilution


@dataclass(frozen=True, slots=True)
class ChamberSet:
    """Another chamber, or the same with the volume on its certificate."""

    chamber: Chamber


@dataclass(frozen=True, slots=True)
class EdgesSet:
    """Other borders count."""

    edges: EdgeRule


@dataclass(frozen=True, slots=True)
class ConfidenceSet:
    """The limits are asked for with another confidence, between 0 and 1."""

    confidence: float


@dataclass(frozen=True, slots=True)
class VolumesKnown:
    """It was said how well the volumes are known; full values with their sources."""

    volumes: VolumeUncertainty


@dataclass(frozen=True, slots=True)
class StopRuleSet:
    """It was stated after how many ``fillings`` in all to stop; None takes the rule back."""

    fillings: int | None


@dataclass(frozen=True, slots=True)
class EarlierKnown:
    """How the fillings of earlier samples scatter was looked up, sample by sample."""

    samples: tuple[EarlierSample, ...]


@dataclass(frozen=True, slots=True)
class TargetSet:
    """Another target or species: every mark that no person staged is staged anew."""

    target: Target


@dataclass(frozen=True, slots=True)
class LensSet:
    """The pictures were taken through another lens; None: not known."""

    lens: str | None


@dataclass(frozen=True, slots=True)
class FillingAdded:
    """The chamber was loaded anew. ``aliquot_ul`` is typed for a whole-volume chamber."""

    filling_id: int
    aliquot_ul: float | None = None


@dataclass(frozen=True, slots=True)
class AliquotSet:
    """The volume put into a whole-volume chamber was typed; None takes it away."""

    filling_id: int
    aliquot_ul: float | None


@dataclass(frozen=True, slots=True)
class FillingRemoved:
    """A filling and all its fields were taken out of the sample."""

    filling_id: int


@dataclass(frozen=True, slots=True)
class PictureCounted:
    """A picture was counted; an unknown ``filling_id`` makes the filling."""

    filling_id: int
    field: PictureField


@dataclass(frozen=True, slots=True)
class PictureRecounted:
    """A picture was counted again on request: ``field`` stands in for the one of its field_id."""

    field: PictureField


@dataclass(frozen=True, slots=True)
class FieldRemoved:
    """A picture or tally was taken out of the sample."""

    field_id: int


@dataclass(frozen=True, slots=True)
class FieldReviewed:
    """A person looked a picture through, or says that it has to be looked through again."""

    field_id: int
    reviewed: bool = True


@dataclass(frozen=True, slots=True)
class ScaleChanged:
    """A picture has another scale: lengths, areas and stages of its marks follow."""

    field_id: int
    scale: Scale


@dataclass(frozen=True, slots=True)
class MarksAdded:
    """Marks were placed by hand, with ids of their own."""

    field_id: int
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class MarksRemoved:
    """Marks were taken away."""

    field_id: int
    mark_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class MarkMoved:
    """A mark was moved; ``mark`` is what it is now."""

    field_id: int
    mark: Mark


@dataclass(frozen=True, slots=True)
class MarkReshaped:
    """A mark's outline was drawn anew; ``mark`` is what it is now."""

    field_id: int
    mark: Mark


@dataclass(frozen=True, slots=True)
class MarkSplit:
    """A mark was cut into ``parts``, which have ids of their own."""

    field_id: int
    mark_id: int
    parts: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class MarksJoined:
    """Marks were joined into ``mark``, which has an id of its own."""

    field_id: int
    mark_ids: tuple[int, ...]
    mark: Mark


@dataclass(frozen=True, slots=True)
class MarksStaged:
    """A person said which stage these marks are; it stands whatever is measured later."""

    field_id: int
    mark_ids: tuple[int, ...]
    stage: str


@dataclass(frozen=True, slots=True)
class StateSet:
    """A person said that these marks are live, dead …; None takes it back."""

    field_id: int
    mark_ids: tuple[int, ...]
    state: str | None


@dataclass(frozen=True, slots=True)
class ProposalsAccepted:
    """A person accepted what the machine proposed; ``states`` are (mark_id, state)."""

    field_id: int
    states: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class TallyStarted:
    """A count by eye was begun; an unknown ``filling_id`` makes the filling."""

    filling_id: int
    field_id: int
    square_name: str
    square_area_mm2: float


@dataclass(frozen=True, slots=True)
class KeyTallied:
    """One more of a class (a stage, or a stage with a state) was seen in the open square."""

    field_id: int
    tally_class: str


@dataclass(frozen=True, slots=True)
class SquareDone:
    """The open square is done and the next is begun."""

    field_id: int


@dataclass(frozen=True, slots=True)
class TallyFinished:
    """The tally is over. ``last_square_done`` False: the open square was never looked at."""

    field_id: int
    last_square_done: bool = True


@dataclass(frozen=True, slots=True)
class Undone:
    """The gesture with this ``seq`` was taken back."""

    seq: int


@dataclass(frozen=True, slots=True)
class Redone:
    """The gesture with this ``seq``, taken back before, stands again."""

    seq: int


Setting = (
    NameSet
    | VesselSet
    | DilutionSet
    | ChamberSet
    | EdgesSet
    | ConfidenceSet
    | VolumesKnown
    | StopRuleSet
    | EarlierKnown
    | TargetSet
    | LensSet
)
FieldEvent = (
    FillingAdded
    | AliquotSet
    | FillingRemoved
    | PictureCounted
    | PictureRecounted
    | FieldRemoved
    | FieldReviewed
    | ScaleChanged
)
MarkEvent = (
    MarksAdded
    | MarksRemoved
    | MarkMoved
    | MarkReshaped
    | MarkSplit
    | MarksJoined
    | MarksStaged
    | StateSet
    | ProposalsAccepted
)
TallyEvent = TallyStarted | KeyTallied | SquareDone | TallyFinished
Change = Setting | FieldEvent | MarkEvent | TallyEvent
"""What changes a sample."""
Event = SampleStarted | Change | Undone | Redone

ARRIVALS: tuple[type[Event], ...] = (SampleStarted, PictureCounted, EarlierKnown)
"""Results that come in by themselves: undo passes over them."""
