"""Values for tests: an invented hatchery's targets, pictures and marks."""

from __future__ import annotations

from counter.domain.chamber import Chamber, Square
from counter.domain.events import SampleStarted
from counter.domain.field import PictureField
from counter.domain.mark import FOUND, Mark
from counter.domain.picture import Picture
from counter.domain.scale import Scale
from counter.domain.species import Species, StageRange, Target, TargetKind

SPECIES = Species(
    key="test-oyster",
    name="test oyster",
    latin="Ostrea exempli",
    stages=(
        StageRange("d-hinge", 60.0, "invented"),
        StageRange("umbo", 110.0, "invented"),
        StageRange("eyed", 250.0, "invented"),
    ),
    larva_um=(60.0, 350.0),
    egg_um=(40.0, 60.0),
)
LARVAE = Target(TargetKind.LARVAE, SPECIES, 60.0, 350.0)
EGGS = Target(TargetKind.EGGS, SPECIES, 40.0, 60.0)
CHAMBER = Chamber(
    "test-cell", "test cell", 1000.0, 1.0, (Square("1 mm square", 1.0),), ruling_um=1000.0
)
WELL = Chamber("test-well", "test well", None, None)


def started(name: str = "tank 3, day 6", target: Target = LARVAE) -> SampleStarted:
    """Return the start of a sample."""
    return SampleStarted(target=target, chamber=CHAMBER, vessel_ml=20_000.0, name=name)


def mark(
    mark_id: int = 0,
    length_um: float = 72.0,
    x_px: float = 30.0,
    y_px: float = 20.0,
    stage: str = "d-hinge",
    origin: str = FOUND,
) -> Mark:
    """Return a mark: a triangle around (x_px, y_px)."""
    outline = ((x_px - 9.5, y_px - 4.25), (x_px + 9.5, y_px - 4.0), (x_px, y_px + 8.125))
    return Mark(mark_id, x_px, y_px, outline, length_um, 60.0, 3391.0, stage, 0.97, origin)


def picture(
    *marks: Mark, field_id: int = 0, file: str = "field-01.png", um_per_px: float = 1.25
) -> PictureField:
    """Return a counted picture, 160 × 90 pixels, with these marks."""
    scale = Scale(um_per_px, "given")
    area_mm2 = scale.area_mm2(160 * 90)
    shown = Picture(file, 0, 160, 90, scale, area_mm2)
    return PictureField(field_id, shown, {entry.mark_id: entry for entry in marks})
