"""What happened in the demo hatchery: one spawn, two tanks, a week. All of it is invented.

Lengths follow common practice for the eastern oyster (day 2, 60-70 µm; day 6, 160-180 µm; day 9,
250-275 µm); the losses are ordinary ones. The hatchery, its tanks and its people don't exist.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from counter.domain.sample import Dilution

UNDILUTED = Dilution()
HALVED = Dilution(1.0, 1.0)

# Age in days and mean length in µm.
_GROWTH = ((1.0, 60.0), (2.0, 65.0), (4.0, 108.0), (6.0, 170.0), (9.0, 262.0))


@dataclass(frozen=True, slots=True)
class Count:
    """A count of one tank on one day.

    ``alive`` is how many there really are, in a vessel of ``vessel_ml``. ``shares`` are the stages
    seen at the eyepiece. ``pictured`` counts are photographed, the others tallied.
    """

    day: int
    alive: float
    vessel_ml: float
    shares: Mapping[str, float]
    dilution: Dilution = UNDILUTED
    pictured: bool = False

    @property
    def counted_per_ml(self) -> float:
        """How many are in 1 mL of what is put into the chamber."""
        return self.alive / self.vessel_ml / self.dilution.factor


@dataclass(frozen=True, slots=True)
class TankStory:
    """A tank and its counts, in order of days; ``reviewed``: its pictures were looked through."""

    name: str
    volume_ml: float
    who: str
    counts: tuple[Count, ...]
    reviewed: bool = False


@dataclass(frozen=True, slots=True)
class Story:
    """The hatchery. ``fillings`` and ``squares``: how much is tallied of every sample.

    A pictured sample has ``picture_fillings`` of ``fields`` pictures each, ``width_px`` ×
    ``height_px`` through the lens ``lens``, which ``um_per_px`` belongs to.
    """

    hatchery: str
    batch: str
    parents: str
    tanks: tuple[TankStory, ...]
    lens: str = "bench 4x"
    um_per_px: float = 1.92
    width_px: int = 1280
    height_px: int = 960
    fillings: int = 3
    squares: int = 2
    picture_fillings: int = 2
    fields: int = 2
    seed: int = 20261103

    @property
    def last_day(self) -> int:
        """The age in days at the last count."""
        return max(count.day for tank in self.tanks for count in tank.counts)


def mean_length_um(day: float) -> float:
    """Return the mean shell length at an age in days, between the trade's own figures."""
    days, lengths = zip(*_GROWTH, strict=True)
    return float(np.interp(day, days, lengths))


_EGGS = {"egg": 1.0}
_HATCHED = {"d-hinge": 0.9, "trochophore": 0.1}
_SHELLED = {"d-hinge": 1.0}
_RISING = {"umbo": 0.88, "d-hinge": 0.12}
_GROWN = {"umbo": 1.0}

STORY = Story(
    hatchery="Wickerby Flats Hatchery",
    batch="WF-26-07",
    parents="9 females, 6 males of the Thimble line",
    tanks=(
        TankStory(
            "A1",
            1_000_000.0,
            "mw",
            (
                Count(0, 12.6e6, 20_000.0, _EGGS),
                Count(1, 10.3e6, 10_000.0, _HATCHED),
                Count(3, 9.4e6, 5_000.0, _SHELLED, HALVED),
                Count(5, 8.8e6, 5_000.0, _RISING, HALVED),
                Count(7, 8.3e6, 3_000.0, _GROWN, pictured=True),
            ),
            reviewed=True,
        ),
        TankStory(
            "A2",
            1_000_000.0,
            "tk",
            (
                Count(0, 12.4e6, 20_000.0, _EGGS),
                Count(1, 9.6e6, 10_000.0, _HATCHED),
                Count(3, 8.1e6, 5_000.0, _SHELLED, HALVED),
                Count(5, 6.3e6, 5_000.0, _RISING, HALVED),
                Count(7, 5.1e6, 3_000.0, _GROWN, pictured=True),
            ),
        ),
    ),
)
