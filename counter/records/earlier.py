"""What was written in the other samples, without reading them through."""

from __future__ import annotations

from sqlalchemy import func, select

from counter.domain.events import EarlierKnown
from counter.records.base import Records
from counter.records.codec import decode, kind_of
from counter.records.schema import EVENT, SAMPLE


class EarlierSamples(Records):
    """Look-ups across samples."""

    def last_seqs(self, most: int) -> tuple[tuple[int, int], ...]:
        """Return (sample_id, seq of its last event) of the ``most`` samples taken last."""
        query = (
            select(SAMPLE.c.id, func.max(EVENT.c.seq))
            .join(EVENT, EVENT.c.sample_id == SAMPLE.c.id)
            .group_by(SAMPLE.c.id, SAMPLE.c.taken_at)
            .order_by(SAMPLE.c.taken_at.desc(), SAMPLE.c.id.desc())
            .limit(most)
        )
        with self._reading() as connection:
            return tuple((row[0], row[1]) for row in connection.execute(query))

    def last_known(self) -> EarlierKnown | None:
        """Return what was known of earlier samples when it was last written; None: never."""
        kind = kind_of(EarlierKnown)
        query = (
            select(EVENT.c.body)
            .where(EVENT.c.kind == kind)
            .order_by(EVENT.c.at.desc(), EVENT.c.sample_id.desc())
            .limit(1)
        )
        with self._reading() as connection:
            body = connection.execute(query).scalar_one_or_none()
        if body is None:
            return None
        event = decode(kind, body)
        assert isinstance(event, EarlierKnown)
        return event
