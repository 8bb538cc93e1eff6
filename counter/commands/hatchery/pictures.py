"""The demo hatchery's pictures: fields of larvae of an age and a density, and its micrometer."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.random import Generator, default_rng

from counter.commands.hatchery.story import Count, Story, mean_length_um
from counter.imaging.draw import (
    Camera,
    Group,
    Kind,
    Light,
    MicrometerSettings,
    Scene,
    SceneSettings,
    as_json,
    draw_micrometer,
    draw_scene,
)
from counter.imaging.draw.files import write_picture

_DEAD_SHARE = 0.04
_SPREAD = 0.08
_DEPTH_MM = 1.0
_BEYOND_UM = 160.0

# From which length in µm a larva is drawn as what.
_LOOKS = ((0.0, Kind.D_HINGE), (105.0, Kind.UMBO), (276.0, Kind.EYED), (300.0, Kind.PEDIVELIGER))


@dataclass(frozen=True, slots=True)
class Plate:
    """A picture to be drawn: its path under the demo's folder, and its scene."""

    path: Path
    settings: SceneSettings | MicrometerSettings
    seed: int

    def draw(self) -> Scene:
        """Draw it."""
        if isinstance(self.settings, MicrometerSettings):
            return draw_micrometer(self.settings, self.seed)
        return draw_scene(self.settings, self.seed)

    def write(self, folder: Path) -> Scene:
        """Draw it into ``folder``, its truth under ``truth``; return what was drawn."""
        scene = self.draw()
        target = folder / self.path
        target.parent.mkdir(parents=True, exist_ok=True)
        write_picture(target, (scene,))
        truth = folder / "truth" / "-".join(self.path.with_suffix(".json").parts[1:])
        truth.parent.mkdir(parents=True, exist_ok=True)
        truth.write_text(json.dumps(as_json(scene)) + "\n", encoding="utf-8")
        return scene


def sample_folder(tank: str, day: int) -> Path:
    """Return where the pictures of a sample are, under the demo's folder."""
    return Path("pictures") / f"{tank}-day-{day}"


def plates(story: Story) -> list[Plate]:
    """Return every picture of the hatchery: counted ones, one filling still to count, micrometer.

    The filling that is still to be counted is a third one of the first tank's last sample.
    """
    rng = default_rng(story.seed)
    made = [Plate(Path("calibration/stage-micrometer.png"), _micrometer(story), story.seed)]
    for tank in story.tanks:
        for count in tank.counts:
            if count.pictured:
                folder = sample_folder(tank.name, count.day)
                for filling in range(story.picture_fillings):
                    made += _filling(folder / f"filling-{filling + 1}", story, count, rng)
    first = story.tanks[0].counts[-1]
    return made + _filling(Path("to-count") / story.tanks[0].name, story, first, rng)


def _filling(folder: Path, story: Story, count: Count, rng: Generator) -> list[Plate]:
    return [
        Plate(
            folder / f"field-{number + 1}.jpg",
            _field(story, count, rng),
            int(rng.integers(1, 2**31)),
        )
        for number in range(story.fields)
    ]


def _field(story: Story, count: Count, rng: Generator) -> SceneSettings:
    """One picture at the density and the age of ``count``, cut out of a slide that goes on."""
    across_um, down_um = story.width_px * story.um_per_px, story.height_px * story.um_per_px
    area_mm2 = (across_um + 2 * _BEYOND_UM) * (down_um + 2 * _BEYOND_UM) * 1e-6
    expected = count.counted_per_ml * area_mm2 * _DEPTH_MM * 1e-3
    number = int(rng.poisson(expected))
    lengths_um = np.clip(rng.normal(1.0, _SPREAD, number), 0.75, 1.25) * mean_length_um(count.day)
    larvae = [_larva(float(length), rng) for length in lengths_um]
    litter = (
        Group(Kind.DEBRIS, int(rng.poisson(4)), (15.0, 70.0)),
        Group(Kind.ALGA, int(rng.poisson(15)), (5.0, 14.0)),
        Group(Kind.BUBBLE, int(rng.random() < 0.25), (60.0, 140.0)),
    )
    return SceneSettings(
        story.width_px,
        story.height_px,
        story.um_per_px,
        (*larvae, *litter),
        light=Light(uneven=float(rng.uniform(0.08, 0.2))),
        camera=Camera(shot_noise=0.008),
        crowding=0.08,
        beyond_um=_BEYOND_UM,
    )


def _larva(length_um: float, rng: Generator) -> Group:
    if rng.random() < _DEAD_SHARE:
        return Group(Kind.EMPTY_SHELL, 1, (length_um, length_um))
    kind = [look for from_um, look in _LOOKS if from_um <= length_um][-1]
    return Group(kind, 1, (length_um, length_um))


def _micrometer(story: Story) -> MicrometerSettings:
    return MicrometerSettings(
        story.width_px,
        story.height_px,
        story.um_per_px,
        angle_deg=2.5,
        camera=Camera(0.8, 0.004, 0.0015, colour=False),
    )
