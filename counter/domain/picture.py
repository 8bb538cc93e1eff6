"""A picture of a field: what its file, its scale and the finder say of it as a whole."""

from __future__ import annotations

from dataclasses import dataclass, replace

from counter.domain import flags
from counter.domain.edges import Frame, picture_frame
from counter.domain.mark import Mark
from counter.domain.rim import Rim
from counter.domain.ruled import RuledGrid
from counter.domain.scale import Scale
from counter.domain.second_look import OtherSize


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture of a field.

    ``file`` is its path as given, ``page`` counts from 0 in a file of several. ``area_mm2`` is the
    area that can be seen: less than width × height where a round field of view has black corners,
    whose ``rim`` it is then. ``grid`` is the chamber's rulings, where they were found;
    ``other_size`` what of another size is there, where hardly anything of the right one is.
    ``adjusted_by`` is how many corrections made before with the same lens took part in the scores.
    ``shown`` is the part inside bands along the borders that show no picture (a strip of data, a
    white page); None where there are none.
    """

    file: str
    page: int
    width_px: int
    height_px: int
    scale: Scale
    area_mm2: float
    warnings: tuple[str, ...] = ()
    grid: RuledGrid | None = None
    rim: Rim | None = None
    other_size: OtherSize | None = None
    adjusted_by: int = 0
    shown: Frame | None = None

    @property
    def frame(self) -> Frame:
        """The counting frame: the border of the picture, or of the part that shows one."""
        return self.shown or picture_frame(self.width_px, self.height_px)

    @property
    def name(self) -> str:
        """The file's name for people, with the page of a file that has several."""
        base = self.file.replace("\\", "/").rsplit("/", 1)[-1]
        return base if self.page == 0 else f"{base} · page {self.page + 1}"

    def cut_at_rim(self, mark: Mark) -> Mark:
        """Return the mark, flagged as cut where the rim of a round view or a band cuts it."""
        if mark.is_cut or not self._is_cut(mark):
            return mark
        return replace(mark, flags=mark.flags | {flags.CUT.key})

    def _is_cut(self, mark: Mark) -> bool:
        if self.rim is not None and self.rim.cuts(mark.outline_px):
            return True
        return self.shown is not None and not all(map(self.shown.holds, mark.outline_px))
