"""Drawn pictures are written as any reader expects them, the same bytes every time."""

from __future__ import annotations

from pathlib import Path

import pytest
import tifffile

from counter.errors import CounterError
from counter.imaging.draw import Group, Kind, MicrometerSettings, Scene, SceneSettings
from counter.imaging.draw.files import truth_json, write_samples
from counter.imaging.draw.samples import SAMPLES, SamplePicture

FOLDER = Path(__file__).parents[4] / "sample_images"


def test_the_same_machine_writes_the_same_bytes(tmp_path: Path) -> None:
    """Two runs give the same files, byte for byte, in every format."""
    tiny = SceneSettings(60, 44, 1.5, population=(Group(Kind.D_HINGE, 1),))
    samples = (
        SamplePicture("tiny.png", "a tiny slide", "larvae", (tiny,), 3),
        SamplePicture("tiny.jpg", "a tiny slide", "larvae", (tiny,), 3),
        SamplePicture("tiny.ome.tif", "two tiny slides", "larvae", (tiny, tiny), 3),
    )
    first = write_samples(tmp_path / "one", samples)
    second = write_samples(tmp_path / "two", samples)
    for one, two in zip(first, second, strict=True):
        assert one.read_bytes() == two.read_bytes()


def test_the_scale_is_in_the_ome_file() -> None:
    """The OME-XML tells µm per pixel, and the file has one page a field."""
    with tifffile.TiffFile(FOLDER / "two-fields.ome.tif") as file:
        assert file.is_ome
        assert 'PhysicalSizeX="1.5"' in (file.ome_metadata or "")
        assert len(file.pages) == 2


def test_truth_holds_what_a_reader_needs() -> None:
    """The truth of a micrometer has a scale and no objects."""
    sample = SamplePicture(
        "m.png", "a micrometer", "calibration", (MicrometerSettings(80, 60, 10.0),), 1
    )
    scenes: tuple[Scene, ...] = sample.draw()
    page = truth_json(sample, scenes)["pages"][0]
    assert page["um_per_px"] == 10.0
    assert page["objects"] == []


def test_an_unwritable_folder_is_a_clear_error(tmp_path: Path) -> None:
    """A file in the way is named, with what to do."""
    blocked = tmp_path / "blocked"
    blocked.write_text("in the way", encoding="utf-8")
    with pytest.raises(CounterError, match="blocked"):
        write_samples(blocked, SAMPLES[:1])
