"""How the fillings of earlier samples scatter, looked up when a sample is started."""

from __future__ import annotations

from counter.domain.events import EarlierKnown
from counter.domain.house import EarlierSample
from counter.domain.ledger import Ledger
from counter.domain.sample import Sample
from counter.errors import CounterError
from counter.records.store import Store
from counter.statistics.cautions import slip
from counter.statistics.dispersion import Agreement, dispersion
from counter.statistics.replicates import replicates

MOST = 20
"""How many of the samples taken last make the history."""


def earlier_known(store: Store) -> EarlierKnown | None:
    """Return how the fillings of the :data:`MOST` samples taken last scatter.

    Only samples that have changed since that was last written are read through. None where no
    sample has fillings to compare. A sample that cannot be read is left out.
    """
    last = store.last_known()
    known = {(one.sample_id, one.last_seq): one for one in (last.samples if last else ())}
    found = []
    for sample_id, last_seq in store.last_seqs(MOST):
        one = known.get((sample_id, last_seq)) or _looked_up(store, sample_id, last_seq)
        if one is not None:
            found.append(one)
    if not any(one.degrees_of_freedom for one in found):
        return None
    return EarlierKnown(tuple(found))


def scatter_of(sample: Sample) -> tuple[float, int]:
    """Return X² and degrees of freedom of the fillings of ``sample``; (0, 0): nothing to compare.

    A sample of which one filling looks like a slip of the hand says nothing of how it was mixed,
    nor does one with too few counted.
    """
    found, _ = replicates(sample)
    counts, volumes = [one.count for one in found], [one.volume_ml for one in found]
    scatter = dispersion(counts, volumes)
    if scatter is None or scatter.agreement is Agreement.TOO_FEW:
        return 0.0, 0
    if slip(counts, volumes, [one.number for one in found]):
        return 0.0, 0
    return scatter.chi2, scatter.degrees_of_freedom


def _looked_up(store: Store, sample_id: int, last_seq: int) -> EarlierSample | None:
    try:
        sample = Ledger.of((r.seq, r.event) for r in store.events(sample_id)).sample
    except CounterError:  # of a newer program, or damaged: it is told when it is opened
        return None
    chi2, degrees = scatter_of(sample)
    return EarlierSample(sample_id, last_seq, str(sample.target.kind), chi2, degrees)
