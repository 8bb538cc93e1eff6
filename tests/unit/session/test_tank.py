"""The tank of the open sample: chosen, named anew, and what follows from it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from counter.errors import UsageError
from counter.records.store import Store
from counter.session import Session
from counter.session.tank import NewTank
from tests.hatchery import CHAMBER, LARVAE, mark, picture

NOON = datetime(2031, 5, 6, 12, 0, tzinfo=UTC)
DAY = timedelta(days=1)


def taken(store: Store, day: float, larvae: int, tank_id: int | None = None) -> Session:
    """A sample taken on this day, with so many larvae on one picture."""
    session = Session.start(
        store, target=LARVAE, chamber=CHAMBER, vessel_ml=20_000.0, name=f"day {day:g}",
        tank_id=tank_id, taken_at=NOON + day * DAY, who="ida",
    )  # fmt: skip
    session.add_picture_fields([picture(*(mark(number) for number in range(1, larvae + 1)))])
    return session


def test_the_last_total_is_held_beside_it_as_soon_as_the_tank_is_chosen(store: Store) -> None:
    """400 larvae on day 5, 4 on day 7: said once the sample is known to be of the same tank."""
    first = taken(store, 5, 400)
    tank = first.add_tank(NewTank("T1", batch_name="spring", species="test-oyster"))
    second = taken(store, 7, 4)
    before = second.cautions
    heard: list[int] = []
    second.add_listener(lambda: heard.append(1))
    second.set_tank(tank.tank_id)
    assert heard == [1]
    new = " ".join(set(second.cautions) - set(before))
    assert "times less than the last total of the tank" in new
    second.set_tank(None)
    assert second.cautions == before
    assert second.last is None


def test_ages_follow_from_the_batch(store: Store) -> None:
    """Fertilised on day 0, taken on day 7; the time of either may be put right."""
    session = taken(store, 7, 3)
    session.add_tank(
        NewTank("T1", 500_000.0, batch_name="spring", species="test-oyster", fertilised_at=NOON)
    )
    assert session.place.tank is not None
    assert session.place.tank.volume_ml == 500_000.0
    assert session.age_days == 7.0
    session.set_fertilised_at(NOON + DAY)
    assert session.place.age == 6 * DAY
    session.set_taken_at(NOON + 3 * DAY)
    assert session.age_days == 2.0
    session.set_fertilised_at(None)
    assert session.age_days is None


def test_a_second_tank_of_a_batch_shares_its_age(store: Store) -> None:
    """The batch is given by its id."""
    session = taken(store, 7, 3)
    session.add_tank(NewTank("T1", batch_name="spring", species="x", fertilised_at=NOON))
    assert session.place.batch is not None
    session.add_tank(NewTank("T2", batch_id=session.place.batch.batch_id))
    assert session.place.tank is not None
    assert session.place.tank.name == "T2"
    assert session.age_days == 7.0


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        (NewTank("", batch_name="spring"), "tank has no name"),
        (NewTank("T1", -5.0, batch_name="spring"), "impossible"),
        (NewTank("T1", batch_name=" "), "batch has no name"),
    ],
)
def test_a_refused_tank_leaves_nothing_behind(store: Store, wanted: NewTank, said: str) -> None:
    """Neither a batch nor a tank; the sample is as before."""
    session = taken(store, 7, 3)
    with pytest.raises(UsageError, match=said):
        session.add_tank(wanted)
    assert (store.batches(), store.tanks()) == ((), ())
    assert session.place.tank is None


def test_an_age_needs_a_tank_and_no_larva_is_older_than_its_spawn(store: Store) -> None:
    """Both are refused with what to do."""
    session = taken(store, 7, 3)
    with pytest.raises(UsageError, match="no tank yet"):
        session.set_fertilised_at(NOON)
    session.add_tank(NewTank("T1", batch_name="spring", species="x"))
    with pytest.raises(UsageError, match="after the water was taken"):
        session.set_fertilised_at(NOON + 8 * DAY)


def test_what_stands_already_is_not_written_again(store: Store) -> None:
    """No listener is called for nothing."""
    session = taken(store, 7, 3)
    heard: list[int] = []
    session.add_listener(lambda: heard.append(1))
    session.set_tank(None)
    session.set_taken_at(NOON + 7 * DAY)
    assert heard == []
