"""The session: one sample, open."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from counter.domain.chamber import Chamber
from counter.domain.edges import EdgeRule
from counter.domain.events import SampleStarted
from counter.domain.sample import Dilution
from counter.domain.species import Target
from counter.records.store import Stamp, Store
from counter.session.core import Clock, now_utc, this_person
from counter.session.earlier import earlier_known
from counter.session.marks import MarkGestures
from counter.session.settings import (
    SettingGestures,
    checked_confidence,
    checked_dilution,
    checked_name,
    checked_vessel_ml,
)
from counter.session.tally import TallyGestures
from counter.session.tank import TankGestures


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One line of a sample's history: ``at`` is in UTC, ``undone``: it does not stand now."""

    seq: int
    at: datetime
    who: str
    description: str
    undone: bool


class Session(SettingGestures, MarkGestures, TallyGestures, TankGestures):
    """One sample, open: gestures in, the sample and its numbers out.

    Every gesture is committed in the store before :attr:`sample` changes; listeners are called
    after. A gesture that cannot be done or written raises
    :class:`~counter.errors.CounterError` and changes nothing. Use it from one thread.
    """

    def __init__(
        self, store: Store, sample_id: int, *, who: str | None = None, clock: Clock = now_utc
    ) -> None:
        super().__init__(store, sample_id, this_person() if who is None else who, clock)
        self._stamps: list[Stamp] = []

    @classmethod
    def start(
        cls,
        store: Store,
        *,
        target: Target,
        chamber: Chamber,
        edges: EdgeRule = EdgeRule.TOP_LEFT,
        dilution: Dilution = Dilution(),  # noqa: B008 - frozen
        vessel_ml: float | None = None,
        confidence: float = 0.95,
        name: str = "",
        lens: str | None = None,
        tank_id: int | None = None,
        taken_at: datetime | None = None,
        who: str | None = None,
        clock: Clock = now_utc,
    ) -> Session:
        """Begin a sample and open it.

        ``tank_id`` None: a quick count without a tank. ``taken_at`` is when the water was taken
        (default: now); a sample without a name is named after it. How the fillings of earlier
        samples scatter is looked up and kept with it. ``clock`` tells the time of
        each event. Raises :class:`~counter.errors.UsageError` for settings that cannot be.
        """
        if vessel_ml is not None:
            checked_vessel_ml(vessel_ml)
        taken = taken_at or clock()
        started = SampleStarted(
            target=target,
            chamber=chamber,
            edges=edges,
            dilution=checked_dilution(dilution),
            vessel_ml=vessel_ml,
            confidence=checked_confidence(confidence),
            name=checked_name(name.strip() or f"{taken.astimezone():%Y-%m-%d %H:%M}"),
            lens=lens,
        )
        person = this_person() if who is None else who
        earlier = earlier_known(store)
        sample_id = store.new_sample(
            started, tank_id=tank_id, taken_at=taken, at=clock(), who=person
        )
        session = cls(store, sample_id, who=person, clock=clock)
        if earlier is not None:
            session.know_earlier(earlier)
        return session

    def history(self) -> tuple[HistoryLine, ...]:
        """Return everything that happened to the sample, the oldest first.

        Only what is new since the last call is read from the store.
        """
        known = self._stamps[-1].seq if self._stamps else 0
        self._stamps += self.store.stamps(self.sample_id, after=known)
        lines = {line.seq: line for line in self._ledger.lines()}
        return tuple(
            HistoryLine(
                stamp.seq,
                stamp.at,
                stamp.who,
                lines[stamp.seq].description,
                lines[stamp.seq].undone,
            )
            for stamp in self._stamps
            if stamp.seq in lines
        )


def open_latest(store: Store, *, who: str | None = None, clock: Clock = now_utc) -> Session | None:
    """Open the sample that was worked on last; None where the records hold none."""
    sample_id = store.latest_sample()
    return None if sample_id is None else Session(store, sample_id, who=who, clock=clock)
