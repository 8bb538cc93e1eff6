"""What earlier samples say of how vessels are mixed, kept with each new sample."""

from __future__ import annotations

import pytest

from counter.domain.house import EarlierSample, House, house_of
from counter.records.store import Store
from counter.session import Session
from counter.session.earlier import earlier_known, scatter_of
from counter.statistics.dispersion import dispersion
from tests.hatchery import CHAMBER, EGGS, LARVAE

CLUMPED = (60, 100, 140)


def counted(store: Store, *counts: int, eggs: bool = False) -> Session:
    """A sample of one square for each filling."""
    session = Session.start(store, target=EGGS if eggs else LARVAE, chamber=CHAMBER, who="ida")
    add_fillings(session, *counts)
    return session


def add_fillings(session: Session, *counts: int) -> None:
    """One more filling for each count."""
    stage = session.sample.target.stages[0]
    for count in counts:
        session.add_filling()
        field_id = session.start_tally("1 mm square", 1.0)
        for _ in range(count):
            session.tally(field_id, stage)
        session.finish_tally(field_id)


def test_the_first_sample_has_no_history(store: Store) -> None:
    """Nor has one after samples of a single filling."""
    assert counted(store, 12).sample.house is None
    assert counted(store, 12, 14).sample.house is None


def test_a_new_sample_knows_how_earlier_ones_scatter(store: Store) -> None:
    """χ² and degrees of freedom are summed; the estimate uses them and says so."""
    counted(store, *CLUMPED)
    counted(store, 100, 120, 80)
    session = Session.start(store, target=LARVAE, chamber=CHAMBER, who="ida")
    scatters = [dispersion(counts, [1.0] * 3) for counts in (CLUMPED, (100, 120, 80))]
    chi2 = sum(one.chi2 for one in scatters if one is not None)
    assert session.sample.house == House(chi2, 4, 2)
    add_fillings(session, 100, 101)
    assert session.estimate.method == "quasi-poisson"
    assert session.estimate.widening.house is not None
    assert any("earlier samples" in line for line in session.working)


def test_the_history_is_no_gesture_and_survives_a_restart(store: Store) -> None:
    """Undo passes over it; the ledger holds its full values."""
    counted(store, *CLUMPED)
    session = Session.start(store, target=LARVAE, chamber=CHAMBER, who="ida")
    assert session.undo_description is None
    assert Session(store, session.sample_id).sample == session.sample
    assert "looked up how the fillings" in session.history()[1].description


def test_eggs_and_larvae_have_histories_of_their_own(store: Store) -> None:
    """They do not sink alike."""
    counted(store, *CLUMPED)
    assert counted(store, 1, eggs=True).sample.house is None
    assert counted(store, 1).sample.house is not None


def test_a_slip_of_the_hand_says_nothing_of_mixing(store: Store) -> None:
    """One digit too many would outweigh a season of counts; neither do counts of next to none."""
    assert scatter_of(counted(store, 97, 97, 959).sample) == (0.0, 0)
    assert scatter_of(counted(store, 0, 1).sample) == (0.0, 0)
    assert scatter_of(counted(store, 12).sample) == (0.0, 0)


def test_only_samples_that_changed_are_read_again(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was looked up once is kept with the sample that was started then."""
    first, second = counted(store, *CLUMPED), counted(store, 90, 110)
    Session.start(store, target=LARVAE, chamber=CHAMBER, who="ida")
    read: list[int] = []
    events = store.events

    def spy(sample_id: int, after: int = 0) -> object:
        read.append(sample_id)
        return events(sample_id, after)

    add_fillings(second, 30)
    monkeypatch.setattr(store, "events", spy)
    known = earlier_known(store)
    assert known is not None
    assert {one.sample_id for one in known.samples} >= {first.sample_id, second.sample_id}
    assert first.sample_id not in read
    assert second.sample_id in read


def test_samples_of_which_nothing_can_be_compared_make_no_history() -> None:
    """Degrees of freedom are what counts."""
    assert house_of([EarlierSample(1, 9, "larvae", 0.0, 0)], "larvae") is None
    assert house_of([EarlierSample(1, 9, "larvae", 3.0, 2)], "eggs") is None
    assert house_of([], "larvae") is None
