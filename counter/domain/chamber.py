"""Counting chambers: volume is area × depth, never a copied factor."""

from __future__ import annotations

from dataclasses import dataclass, replace

from counter.errors import UsageError


@dataclass(frozen=True, slots=True)
class Square:
    """One kind of ruled square of a chamber: ``name`` for people, ``area_mm2`` each."""

    name: str
    area_mm2: float


@dataclass(frozen=True, slots=True)
class Chamber:
    """A counting chamber.

    ``area_mm2`` and ``depth_mm`` are None for a whole-volume well or tray, whose content is
    counted entirely and whose volume is typed. ``certified_ul`` is the volume on a certificate; it
    stands over area × depth. ``ruling_um`` is the period of its main rulings, None if it has none.
    ``source`` says where the geometry was read.
    """

    key: str
    name: str
    area_mm2: float | None
    depth_mm: float | None
    squares: tuple[Square, ...] = ()
    ruling_um: float | None = None
    certified_ul: float | None = None
    source: str = ""

    @property
    def is_whole_volume(self) -> bool:
        """Whether the whole aliquot is counted, so that its volume must be typed."""
        return self.area_mm2 is None or self.depth_mm is None

    @property
    def volume_ul(self) -> float | None:
        """The volume of the whole chamber in µL; None for a whole-volume chamber without one."""
        if self.certified_ul is not None:
            return self.certified_ul
        if self.area_mm2 is None or self.depth_mm is None:
            return None
        return self.area_mm2 * self.depth_mm

    def volume_of_area_ul(self, area_mm2: float) -> float:
        """Return the volume in µL over ``area_mm2`` of the chamber's floor.

        1 mm² × 1 mm is 1 µL. A certified volume is spread evenly over the chamber's area. Raises
        :class:`UsageError` for a whole-volume chamber, which has no depth.
        """
        if self.area_mm2 is None or self.depth_mm is None:
            raise UsageError(
                f"The chamber “{self.name}” has no fixed depth; type the volume of what is in it "
                "(for example: 1 mL)."
            )
        if self.certified_ul is not None:
            return area_mm2 / self.area_mm2 * self.certified_ul
        return area_mm2 * self.depth_mm

    def certified(self, volume_ul: float) -> Chamber:
        """Return this chamber with the volume (µL) of its certificate, or of what was filled in."""
        if not 0 < volume_ul < float("inf"):
            raise UsageError(
                f"A chamber volume of {volume_ul:g} µL is impossible; type the volume on the "
                "certificate, above 0."
            )
        return replace(self, certified_ul=volume_ul)
