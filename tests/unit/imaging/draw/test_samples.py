"""The sample pictures: small, true, and drawn again from their settings alone."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from PIL import Image

from counter.imaging.draw.files import write_samples
from counter.imaging.draw.samples import SAMPLES, SamplePicture

FOLDER = Path(__file__).parents[4] / "sample_images"
MOST_BYTES = 1_000_000

# Drawn anew in the tests; the others are drawn in the same way and would only take longer.
SMALL = [sample for sample in SAMPLES if sample.file in ("eggs-amber.png", "two-fields.ome.tif")]


def pixels_of(path: Path) -> list[np.ndarray[Any, np.dtype[np.float64]]]:
    """The pages of a picture from 0 to 255, as any reader would see them."""
    if path.suffix == ".tif":
        return [page / 257.0 for page in tifffile.imread(path)]
    with Image.open(path) as image:
        return [np.asarray(image, dtype=float)]


def test_every_sample_lies_in_the_folder_and_nothing_else() -> None:
    """Each picture has its truth beside it; no forgotten file ships."""
    expected = {sample.file for sample in SAMPLES} | {sample.truth_file for sample in SAMPLES}
    assert {path.name for path in FOLDER.iterdir()} == expected | {"README.md"}


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda sample: sample.file)
def test_a_sample_is_small_and_not_square(sample: SamplePicture) -> None:
    """Under 1 MB, wider than high, and its truth tells the size of the picture."""
    path = FOLDER / sample.file
    truth = json.loads((FOLDER / sample.truth_file).read_text(encoding="utf-8"))
    assert path.stat().st_size < MOST_BYTES
    assert (FOLDER / sample.truth_file).stat().st_size < MOST_BYTES
    for picture, page in zip(pixels_of(path), truth["pages"], strict=True):
        height, width = picture.shape[:2]
        assert width > height
        assert (page["width_px"], page["height_px"]) == (width, height)
        assert page["um_per_px"] == sample.um_per_px


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda sample: sample.file)
def test_the_readme_names_each_sample_with_its_scale(sample: SamplePicture) -> None:
    """The table in the README agrees with what is drawn."""
    (row,) = (
        line
        for line in (FOLDER / "README.md").read_text(encoding="utf-8").splitlines()
        if line.startswith(f"| `{sample.file}`")
    )
    truth = json.loads((FOLDER / sample.truth_file).read_text(encoding="utf-8"))
    assert f"| {sample.um_per_px:g} |" in row
    for page in truth["pages"]:
        if sample.target != "calibration":
            assert str(page[sample.target]) in row


@pytest.mark.parametrize("sample", SMALL, ids=lambda sample: sample.file)
def test_a_sample_is_drawn_again_as_it_ships(sample: SamplePicture, tmp_path: Path) -> None:
    """Drawn anew, picture and truth are those in the folder, up to rounding of other libraries."""
    (path,) = write_samples(tmp_path, (sample,))
    for fresh, shipped in zip(pixels_of(path), pixels_of(FOLDER / sample.file), strict=True):
        assert float(np.percentile(np.abs(fresh - shipped), 99.9)) <= 2.0
    fresh_truth = json.loads((tmp_path / sample.truth_file).read_text(encoding="utf-8"))
    shipped_truth = json.loads((FOLDER / sample.truth_file).read_text(encoding="utf-8"))
    assert_alike(fresh_truth, shipped_truth)


def assert_alike(fresh: Any, shipped: Any) -> None:
    """The same values; numbers may differ in their last rounded place."""
    if isinstance(shipped, dict):
        assert fresh.keys() == shipped.keys()
        for key, value in shipped.items():
            assert_alike(fresh[key], value)
    elif isinstance(shipped, list):
        assert len(fresh) == len(shipped)
        for one, other in zip(fresh, shipped, strict=True):
            assert_alike(one, other)
    elif isinstance(shipped, float):
        assert math.isclose(fresh, shipped, rel_tol=1e-4, abs_tol=0.11)
    else:
        assert fresh == shipped
