"""What is odd about the sample beside its tank's last one, its batch's age and itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from counter.domain.ledger import Ledger
from counter.domain.logbook import SampleEntry
from counter.domain.picture_doubts import picture_doubts
from counter.domain.sample import Sample
from counter.errors import CounterError
from counter.session.numbers import NumberedSession, SampleNumbers
from counter.statistics.audit import of_sample
from counter.statistics.audit_last import Taken, since_last
from counter.statistics.effort_words import done_so_far, effort_sentence
from counter.statistics.growth import Growth, growth, growth_working
from counter.statistics.replicates import replicates
from counter.statistics.selection import selection
from counter.statistics.sizes_words import sizes_notes
from counter.statistics.stop_rule import stop_words

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class LastSample:
    """The last sample of the same tank that holds a count; ``days`` is how long before."""

    entry: SampleEntry
    taken: Taken
    days: float


class AuditedSession(NumberedSession):
    """Cautions and effort of an open sample; they follow every gesture."""

    _kept_last: LastSample | None = None
    _audited: tuple[SampleNumbers, tuple[str, ...]] | None = None

    @property
    def cautions(self) -> tuple[str, ...]:
        """Every sentence of caution: the estimate's, and what looks like a slip."""
        if self._audited is None or self._audited[0] is not self.numbers:
            self._audited = (self.numbers, self._worked_out())
        return self._audited[1]

    @property
    def effort(self) -> str:
        """How many more for ±10 %, and the stop rule; empty while there is neither."""
        found, _ = replicates(self.sample)
        done = done_so_far(self.estimate, len(found))
        said = (effort_sentence(done, self.sample.confidence), stop_words(self.sample))
        return " ".join(filter(None, said))

    @property
    def growth(self) -> Growth | None:
        """Growth since the last sample of the tank; None where one of them was not measured.

        Raises :class:`~counter.errors.CounterError` where that one cannot be read.
        """
        last, now = self.last, self.sizes
        if last is None or last.taken.sizes is None or now is None:
            return None
        if last.taken.sample.target.kind is not self.sample.target.kind:
            return None
        return growth(last.taken.sizes, now, last.days, self.sample.confidence)

    @property
    def working(self) -> tuple[str, ...]:
        """The way to the total, and to the growth since the last sample, line by line."""
        lines = super().working
        try:
            grown, last, now = self.growth, self.last, self.sizes
        except CounterError:
            return lines
        if grown is None or last is None or last.taken.sizes is None or now is None:
            return lines
        head = f"Growth since {last.entry.name}"
        return (*lines, head, *growth_working(last.taken.sizes, now, grown))

    @property
    def sizes_notes(self) -> tuple[str, ...]:
        """What stands beside the sizes, a line each; nothing where nothing was measured."""
        sample = self.sample
        try:
            grown = self.growth
        except CounterError:
            grown = None  # the cautions say that the last sample cannot be read
        return sizes_notes(self.sizes, selection(sample), grown, sample.confidence)

    @property
    def age_days(self) -> float | None:
        """How old the batch was when the water was taken; None where that is not known."""
        entry = self.store.sample_entry(self.sample_id)
        if entry.tank_id is None:
            return None
        batch = self.store.batch(self.store.tank(entry.tank_id).batch_id)
        age = batch.age_at(entry.taken_at)
        return None if age is None else age / _DAY

    @property
    def last(self) -> LastSample | None:
        """The last sample of the tank with a count; None where there is none."""
        for entry in self.store.earlier_samples(self.sample_id):
            kept = self._kept_last
            if kept is None or kept.entry != entry:
                taken_at = self.store.sample_entry(self.sample_id).taken_at
                taken = Taken.of(self._sample_of(entry.sample_id))
                kept = LastSample(entry, taken, (taken_at - entry.taken_at) / _DAY)
            if kept.taken.estimate.counted:
                self._kept_last = kept
                return kept
        return None

    def _worked_out(self) -> tuple[str, ...]:
        said = (*self.estimate.warnings, *picture_doubts(self.sample))
        try:
            age_days, last = self.age_days, self.last
        except CounterError as error:
            not_read = f"The last sample of this tank cannot be compared: {error}"
            return (*said, *of_sample(self.sample, self.sizes, None), not_read)
        alone = of_sample(self.sample, self.sizes, age_days)
        if last is None:
            return (*said, *alone)
        now = Taken(self.sample, self.estimate, self.sizes)
        return (*said, *since_last(now, last.taken, last.days), *alone)

    def _sample_of(self, sample_id: int) -> Sample:
        return Ledger.of((r.seq, r.event) for r in self.store.events(sample_id)).sample
