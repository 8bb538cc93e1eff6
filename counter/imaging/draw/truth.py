"""What was drawn: the truth beside a picture, to sub-pixel, and its JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from counter.domain.mark import Point
from counter.imaging.draw.settings import EGGS, LARVAE, Kind
from counter.imaging.draw.shape import Floats, area_and_centre, feret

LIVE = "live"
DEAD = "dead"

Pixels = NDArray[np.uint8] | NDArray[np.uint16]

EMPTY = (Kind.EMPTY_SHELL, Kind.OPEN_SHELL)

# A larva on its edge or an empty shell has no stage of its own; this length parts the two.
_UMBO_FROM_UM = 105.0
_EYED_FROM_UM = 276.0
_OUTLINE_POINTS = 180


@dataclass(frozen=True, slots=True)
class TruthObject:
    """One drawn object; lengths in µm, places in pixels (centre of the top-left pixel is 0, 0).

    ``stage`` is None for what is not counted (debris, algae, ciliates, bubbles, fibres). The
    outline is whole, also where the border cuts the picture of it (``is_cut``); length, width and
    area are the whole outline's. ``height_um`` is how far it lies over (+) or under the focus.
    """

    kind: Kind
    stage: str | None
    state: str | None
    x_px: float
    y_px: float
    outline_px: tuple[Point, ...]
    length_um: float
    width_um: float
    area_um2: float
    angle_deg: float
    height_um: float
    is_cut: bool

    @property
    def is_larva(self) -> bool:
        """Whether it is a larva, alive or dead."""
        return self.kind in LARVAE

    @property
    def is_egg(self) -> bool:
        """Whether it is an egg or an embryo."""
        return self.kind in EGGS


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawn picture: ``pixels`` (H, W, 3) or (H, W), uint8 or uint16, and what is on it.

    ``visible_mm2`` is the area that is not black: all of it, or the round field of view.
    """

    pixels: Pixels
    um_per_px: float
    truth: tuple[TruthObject, ...]
    visible_mm2: float

    @property
    def larvae(self) -> tuple[TruthObject, ...]:
        """The larvae."""
        return tuple(entry for entry in self.truth if entry.is_larva)

    @property
    def eggs(self) -> tuple[TruthObject, ...]:
        """The eggs and embryos."""
        return tuple(entry for entry in self.truth if entry.is_egg)


def stage_of(kind: Kind, length_um: float) -> str | None:
    """Return the stage that a drawn object shows; None for what is not counted."""
    if kind in EGGS:
        return "egg"
    if kind in (Kind.ON_SIDE, *EMPTY):
        if length_um < _UMBO_FROM_UM:
            return Kind.D_HINGE.value
        return Kind.UMBO.value if length_um < _EYED_FROM_UM else Kind.EYED.value
    return kind.value if kind in LARVAE else None


def state_of(kind: Kind) -> str | None:
    """Return ``live`` or ``dead`` for a larva, None for anything else."""
    if kind not in LARVAE:
        return None
    return DEAD if kind in EMPTY else LIVE


def truth_of(
    kind: Kind,
    outline_px: Floats,
    um_per_px: float,
    angle_deg: float,
    height_um: float,
    is_cut: bool,
) -> TruthObject:
    """Return the truth of an object with this outline (n, 2) in pixels."""
    area_px, x_px, y_px = area_and_centre(outline_px)
    length_px, width_px = feret(outline_px)
    step = max(1, len(outline_px) // _OUTLINE_POINTS)
    length_um = length_px * um_per_px
    return TruthObject(
        kind=kind,
        stage=stage_of(kind, length_um),
        state=state_of(kind),
        x_px=x_px,
        y_px=y_px,
        outline_px=tuple((float(x), float(y)) for x, y in outline_px[::step]),
        length_um=length_um,
        width_um=width_px * um_per_px,
        area_um2=area_px * um_per_px**2,
        angle_deg=angle_deg,
        height_um=height_um,
        is_cut=is_cut,
    )


def as_json(scene: Scene) -> Mapping[str, Any]:
    """Return the truth of a scene as values for a JSON file, rounded to what means something."""
    return {
        "width_px": int(scene.pixels.shape[1]),
        "height_px": int(scene.pixels.shape[0]),
        "um_per_px": scene.um_per_px,
        "visible_mm2": round(scene.visible_mm2, 6),
        "larvae": len(scene.larvae),
        "eggs": len(scene.eggs),
        "objects": [_object_json(entry) for entry in scene.truth],
    }


def _object_json(entry: TruthObject) -> Mapping[str, Any]:
    return {
        "kind": entry.kind.value,
        "stage": entry.stage,
        "state": entry.state,
        "x_px": round(entry.x_px, 2),
        "y_px": round(entry.y_px, 2),
        "length_um": round(entry.length_um, 2),
        "width_um": round(entry.width_um, 2),
        "area_um2": round(entry.area_um2, 1),
        "height_um": round(entry.height_um, 1),
        "cut": entry.is_cut,
        "outline_px": [[round(x, 1), round(y, 1)] for x, y in entry.outline_px[::3]],
    }
