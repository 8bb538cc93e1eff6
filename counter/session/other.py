"""Another sample of the records, beside the one that is open."""

from __future__ import annotations

from counter.domain.ledger import Ledger
from counter.domain.sample import Sample
from counter.records.store import Store


def sample_of(store: Store, sample_id: int) -> Sample:
    """Return a sample as it stands; nothing of it can be changed.

    Raises :class:`~counter.errors.UsageError` for an unknown one and
    :class:`~counter.errors.CounterError` for one of a newer program.
    """
    return Ledger.of((r.seq, r.event) for r in store.events(sample_id)).sample
