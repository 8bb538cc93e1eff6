"""Calibrated lenses. Saving one again keeps the old calibration beside the new one."""

from __future__ import annotations

from dataclasses import asdict
from datetime import UTC, datetime

from sqlalchemy import Row, Select, insert, select

from counter.domain.scale import Lens
from counter.errors import UsageError
from counter.records.base import Records
from counter.records.logbook import named
from counter.records.schema import LENS


class LensShelf(Records):
    """The lenses of the hatchery. The calibration saved last is the one in use."""

    def save_lens(self, lens: Lens) -> None:
        """Keep a calibration; earlier ones of the same name stay in :meth:`lens_history`."""
        values = {**asdict(lens), "name": named(lens.name, "lens"), "saved_at": datetime.now(UTC)}
        with self._writing("the lens") as connection:
            connection.execute(insert(LENS).values(values))

    def lens(self, name: str) -> Lens:
        """Return the calibration in use; UsageError, listing the lenses there are, for no such."""
        with self._reading() as connection:
            row = connection.execute(_calibrations().where(LENS.c.name == name).limit(1)).first()
        if row is not None:
            return _lens(row)
        names = ", ".join(lens.name for lens in self.lenses())
        raise UsageError(
            f"There is no lens “{name}”. " + (f"There is: {names}." if names else "Calibrate one.")
        )

    def lenses(self) -> tuple[Lens, ...]:
        """Return every lens with the calibration in use, by name."""
        latest: dict[str, Lens] = {}
        with self._reading() as connection:
            for row in connection.execute(_calibrations()):
                latest.setdefault(row.name, _lens(row))
        return tuple(latest[name] for name in sorted(latest))

    def lens_history(self, name: str) -> tuple[Lens, ...]:
        """Return every calibration of a lens, the one in use first; empty for an unknown name."""
        with self._reading() as connection:
            rows = connection.execute(_calibrations().where(LENS.c.name == name)).all()
        return tuple(_lens(row) for row in rows)


_LensRow = tuple[int, str, float, float, object, int, int, datetime]


def _calibrations() -> Select[_LensRow]:
    return select(LENS).order_by(LENS.c.saved_at.desc(), LENS.c.id.desc())


def _lens(row: Row[_LensRow]) -> Lens:
    return Lens(
        name=row.name,
        um_per_px=row.um_per_px,
        standard_error=row.standard_error,
        calibrated_on=row.calibrated_on,
        width_px=row.width_px,
        height_px=row.height_px,
    )
