"""Gestures of the tally pad: squares counted by eye, key by key."""

from __future__ import annotations

from counter.domain import events
from counter.domain.lookup import tally_of
from counter.errors import UsageError
from counter.session.pictures import PictureGestures


class TallyGestures(PictureGestures):
    """Every keypress is on the disk before it is shown."""

    def start_tally(
        self, square_name: str, square_area_mm2: float, filling_id: int | None = None
    ) -> int:
        """Begin a count by eye in squares of ``square_area_mm2`` and return its field id.

        ``filling_id`` None: the last filling, or a first one.
        """
        if not 0 < square_area_mm2 < float("inf"):
            raise UsageError(
                f"A square of {square_area_mm2:g} mm² is impossible; type an area above 0."
            )
        target = self._filling_or_last(filling_id)
        _, field_id = self._ledger.free_ids()
        self._do(events.TallyStarted(target, field_id, square_name, square_area_mm2))
        return field_id

    def tally(self, field_id: int, tally_class: str) -> None:
        """Count one more of a class (a stage, or a stage with a state) in the open square."""
        if not tally_class.strip():
            raise UsageError("The key has no class; give it one, like “d-hinge”.")
        self._do(events.KeyTallied(field_id, tally_class))

    def square_done(self, field_id: int) -> None:
        """Close the open square, also with nothing in it, and open the next."""
        self._do(events.SquareDone(field_id))

    def finish_tally(self, field_id: int, *, last_square_done: bool | None = None) -> None:
        """End a tally.

        ``last_square_done``: whether the open square was looked through. None: it was if it holds
        counts or is the only one; an empty square just opened was not.
        """
        squares = tally_of(self.sample, field_id).squares
        if last_square_done is None:
            last_square_done = len(squares) == 1 or bool(squares[-1].counts)
        self._do(events.TallyFinished(field_id, last_square_done))
