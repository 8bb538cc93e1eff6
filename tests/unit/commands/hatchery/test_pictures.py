"""The demo's pictures show the density and the age that the story tells."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from counter.commands.hatchery.pictures import plates
from counter.commands.hatchery.story import STORY, mean_length_um
from counter.imaging.draw import LARVAE, SceneSettings


def test_the_pictures_hold_as_many_larvae_as_the_density_says() -> None:
    """Over many fields the mean number is density × area × 1 mm (within 4 standard errors).

    The area is that from which larvae are drawn, which goes beyond the picture.
    """
    story = replace(STORY, tanks=STORY.tanks[:1], fields=40)
    count = story.tanks[0].counts[-1]
    numbers, lengths, area_mm2 = [], [], 0.0
    for plate in plates(story):
        if isinstance(plate.settings, SceneSettings):
            groups = [g for g in plate.settings.population if g.kind in LARVAE]
            numbers.append(len(groups))
            lengths += [g.lengths_um[0] for g in groups]
            beyond_px = 2 * plate.settings.beyond_um / story.um_per_px
            across_px, down_px = story.width_px + beyond_px, story.height_px + beyond_px
            area_mm2 = across_px * down_px * story.um_per_px**2 * 1e-6
    expected = count.counted_per_ml * area_mm2 / 1000
    error = np.sqrt(expected / len(numbers))
    assert np.mean(numbers) == pytest.approx(expected, abs=4 * error)
    assert np.mean(lengths) == pytest.approx(mean_length_um(count.day), rel=0.03)


def test_each_picture_has_a_place_and_a_seed_of_its_own() -> None:
    """No two pictures share a file or a seed, and each is written with its truth."""
    made = plates(STORY)
    assert len({plate.path for plate in made}) == len(made)
    assert len({plate.seed for plate in made}) == len(made)


def test_a_plate_is_written_with_its_truth(tmp_path: Path) -> None:
    """The picture lies at its path and its truth under ``truth``."""
    plate = plates(replace(STORY, width_px=120, height_px=90, um_per_px=20.0))[0]
    plate.write(tmp_path)
    assert (tmp_path / "calibration" / "stage-micrometer.png").is_file()
    assert (tmp_path / "truth" / "stage-micrometer.json").is_file()
