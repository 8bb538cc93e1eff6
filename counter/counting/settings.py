"""What a count is told before it starts."""

from __future__ import annotations

from dataclasses import dataclass

from counter.domain.chamber import Chamber
from counter.domain.edges import EdgeRule
from counter.domain.house import House
from counter.domain.sample import Dilution
from counter.domain.scale import Lens, checked_um_per_px
from counter.domain.species import Target
from counter.domain.uncertainty import UNKNOWN_VOLUMES, VolumeUncertainty
from counter.errors import UsageError
from counter.imaging.rescore import Rescorer

UNDILUTED = Dilution()


@dataclass(frozen=True, slots=True)
class CountSettings:
    """What is counted, in which chamber, and where the scale comes from.

    The scale is the first of: ``um_per_px`` (given), ``lens``, the chamber's own rulings where
    ``use_rulings``, the picture's metadata. ``aliquot_ul`` is the volume that each filling of a
    whole-volume chamber holds. ``volumes`` is how well the volumes are known, ``house`` how the
    fillings of earlier samples scatter, ``age_days`` how old the batch is. ``rescorer`` is what was
    learnt with the lens, None: use the finder as it ships. Raises :class:`UsageError` where the
    aliquot, or the rulings, are missing, and for a scale that no microscope has.
    """

    target: Target
    chamber: Chamber
    edges: EdgeRule = EdgeRule.TOP_LEFT
    dilution: Dilution = UNDILUTED
    vessel_ml: float | None = None
    confidence: float = 0.95
    um_per_px: float | None = None
    lens: Lens | None = None
    use_rulings: bool = False
    aliquot_ul: float | None = None
    name: str = ""
    volumes: VolumeUncertainty = UNKNOWN_VOLUMES
    house: House | None = None
    age_days: float | None = None
    rescorer: Rescorer | None = None

    def __post_init__(self) -> None:
        if self.um_per_px is not None:
            checked_um_per_px(self.um_per_px)
        if self.use_rulings and self.chamber.ruling_um is None:
            raise UsageError(
                f"The chamber “{self.chamber.name}” has no rulings of one known period; give the "
                "scale or a lens instead."
            )
        if self.chamber.is_whole_volume and self.aliquot_ul is None:
            if self.chamber.volume_ul is None:
                raise UsageError(
                    f"The chamber “{self.chamber.name}” has no fixed volume; give the volume that "
                    "was put in (for example: 1 mL)."
                )
        elif self.aliquot_ul is not None and not self.chamber.is_whole_volume:
            raise UsageError(
                f"The chamber “{self.chamber.name}” holds a known volume of its own, so an aliquot "
                "has no meaning; leave it out, or type the chamber's certified volume."
            )
