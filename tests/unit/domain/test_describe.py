"""Events in words, as the history and the menu show them."""

from __future__ import annotations

import pytest

from counter.domain import events
from counter.domain.describe import bodies, described
from counter.domain.edges import EdgeRule
from counter.domain.events import Change
from counter.domain.fold import after
from counter.domain.house import EarlierSample
from counter.domain.sample import Sample
from counter.domain.scale import Scale
from counter.domain.state import started
from counter.domain.uncertainty import UNKNOWN_VOLUMES, VolumeUncertainty
from tests import hatchery
from tests.hatchery import CHAMBER, EGGS, mark, picture


@pytest.fixture
def sample() -> Sample:
    """A picture (field 1) and a tally (field 2)."""
    state = started(hatchery.started())
    state = after(events.PictureCounted(1, picture(mark(1), mark(2), field_id=1)), state)
    return after(events.TallyStarted(1, 2, "1 mm square", 1.0), state).sample


@pytest.mark.parametrize(
    ("event", "words"),
    [
        (events.VesselSet(None), "took the vessel's volume away"),
        (events.ChamberSet(CHAMBER), "set the chamber to test cell"),
        (events.EdgesSet(EdgeRule.TOP_LEFT), "let the top and left borders count"),
        (events.LensSet(None), "took the lens away"),
        (
            events.VolumesKnown(VolumeUncertainty(vessel=0.01, sources=("vessel: 1 %",))),
            "said how well the volumes are known: vessel: 1 %",
        ),
        (
            events.EarlierKnown(
                (
                    EarlierSample(1, 9, "larvae", 3.0, 2),
                    EarlierSample(2, 9, "larvae", 0.0, 0),
                    EarlierSample(3, 9, "eggs", 1.0, 1),
                )
            ),
            "looked up how the fillings of 2 earlier samples scatter",
        ),
        (events.StopRuleSet(7), "stated the stop rule: 7 fillings"),
        (events.StopRuleSet(None), "took the stop rule back"),
        (events.VolumesKnown(UNKNOWN_VOLUMES), "took the uncertainty of the volumes away"),
        (events.FillingAdded(2), "began filling 2"),
        (events.AliquotSet(1, 250.0), "set filling 1 to 250 µL"),
        (events.FillingRemoved(1), "removed filling 1"),
        (events.FieldRemoved(2), "removed tally 2"),
        (events.FieldReviewed(1), "reviewed field-01.png"),
        (
            events.ScaleChanged(1, Scale(1.24, "given")),
            "set the scale of field-01.png to 1.24 µm per pixel",
        ),
        (events.MarksAdded(1, (mark(3),)), "added a larva on field-01.png"),
        (events.MarksRemoved(1, (1, 2)), "removed 2 larvae on field-01.png"),
        (events.MarkMoved(1, mark(1)), "moved a larva on field-01.png"),
        (events.MarkReshaped(1, mark(1)), "redrew a larva on field-01.png"),
        (events.MarkSplit(1, 1, (mark(3), mark(4))), "split a larva into 2 on field-01.png"),
        (events.MarksJoined(1, (1, 2), mark(3)), "joined 2 parts on field-01.png"),
        (events.MarksStaged(1, (1,), "umbo"), "staged a larva as umbo on field-01.png"),
        (events.StateSet(1, (1, 2), "dead"), "marked 2 larvae as dead on field-01.png"),
        (events.StateSet(1, (1,), None), "took back the state of a larva on field-01.png"),
        (
            events.ProposalsAccepted(1, ((1, "dead"), (2, "live"))),
            "accepted the proposed state of 2 larvae on field-01.png",
        ),
        (events.KeyTallied(2, "umbo"), "tallied umbo in tally 2"),
        (events.SquareDone(2), "finished a square of tally 2"),
        (events.TallyFinished(2), "finished tally 2"),
        (events.TallyStarted(1, 3, "1 mm square", 1.0), "began tally 3 (1 mm square)"),
    ],
)
def test_an_event_is_told_in_a_few_words(sample: Sample, event: Change, words: str) -> None:
    """What was done, and where."""
    assert described(event, sample) == words


def test_eggs_are_called_eggs(sample: Sample) -> None:
    """By what the sample counts."""
    eggs = started(hatchery.started(target=EGGS)).sample
    assert [bodies(eggs, number) for number in (0, 1, 2)] == ["0 eggs", "an egg", "2 eggs"]
    assert [bodies(sample, number) for number in (0, 1, 2)] == ["0 larvae", "a larva", "2 larvae"]
