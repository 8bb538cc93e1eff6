"""The scale that a file states: believed only where a microscope could have it."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image

from counter.imaging.metadata import of_physical_size, of_resolution
from counter.imaging.read import read_pages

SHAPE = (40, 60)


@pytest.mark.parametrize(
    ("per_unit", "unit_um", "um_per_px"),
    [
        (28_985.5, 10_000.0, 0.345),  # TIFF 6.0 tag 296 = 3 (cm): 0.345 µm is 28,985.5 per cm
        (73_623.2, 25_400.0, 0.345),  # the same in inches: 73,623.2 per inch
        (14_363.426, 10_000.0, 0.6962),  # 1436.3426 px per mm, an open data set of oyster larvae
    ],
)
def test_microscope_resolutions_are_believed(
    per_unit: float, unit_um: float, um_per_px: float
) -> None:
    """Pixels per centimetre or inch that only a microscope has give the scale."""
    stated = of_resolution(per_unit, per_unit, unit_um)
    assert stated.um_per_px == pytest.approx(um_per_px, rel=1e-4)
    assert stated.source == "the file's resolution"


@pytest.mark.practice
@pytest.mark.parametrize("dpi", [1, 72, 96, 150, 300, 600, 1200, 2400, 4800, 9600])
def test_print_and_scan_sizes_are_ignored(dpi: float) -> None:
    """72, 96 or 300 dpi (84.7 µm per pixel) say how large a picture is printed."""
    assert of_resolution(dpi, dpi, 25_400.0).um_per_px is None
    assert of_resolution(dpi / 2.54, dpi / 2.54, 10_000.0).um_per_px is None


@pytest.mark.parametrize("value", [0.0, -5.0, float("nan"), float("inf")])
def test_impossible_resolutions_state_nothing(value: float) -> None:
    """0, negative and endless values are no scale."""
    assert of_resolution(value, value, 25_400.0).um_per_px is None
    assert of_physical_size(value, "µm", 1.0, "µm").um_per_px is None


def test_pixels_that_are_not_square_are_not_used() -> None:
    """Two directions that differ by more than 1 % are told and left out."""
    stated = of_resolution(20_000, 25_000, 10_000.0)
    assert stated.um_per_px is None
    assert "not square" in stated.warnings[0]


@pytest.mark.parametrize(
    ("size", "unit", "um_per_px"),
    [
        (1.24, "µm", 1.24),
        (1240.0, "nm", 1.24),
        (0.00124, "mm", 1.24),
        (1.24e-6, "m", 1.24),
        (12400.0, "Å", 1.24),
    ],
)
def test_ome_units(size: float, unit: str, um_per_px: float) -> None:
    """The OME schema's PhysicalSizeXUnit, default µm, is converted."""
    assert of_physical_size(size, unit, size, unit).um_per_px == pytest.approx(um_per_px)


@pytest.mark.parametrize("unit", ["pixel", "reference frame", "furlong"])
def test_ome_units_without_a_length_state_nothing(unit: str) -> None:
    """A size in pixels is no size."""
    assert of_physical_size(1.24, unit, 1.24, unit).um_per_px is None


def test_ome_sizes_no_microscope_has_are_told() -> None:
    """352.8 µm per pixel (72 dpi, copied by a converter) is left out with a warning."""
    stated = of_physical_size(352.8, "µm", 352.8, "µm")
    assert stated.um_per_px is None
    assert "no microscope" in stated.warnings[0]


def test_exactly_one_is_used_with_a_warning() -> None:
    """1 µm per pixel is often written by programs that do not know."""
    stated = of_physical_size(1.0, "µm", 1.0, "µm")
    assert stated.um_per_px == 1.0
    assert "exactly 1" in stated.warnings[0]


def test_ome_tiff_scale_comes_with_the_photo(tmp_path: Path) -> None:
    """PhysicalSizeX in nm arrives as µm per pixel, with its source in words."""
    path = tmp_path / "field.ome.tif"
    sizes = {"PhysicalSizeX": 620.0, "PhysicalSizeXUnit": "nm"}
    tifffile.imwrite(
        path,
        np.zeros(SHAPE, np.uint8),
        metadata={"axes": "YX", **sizes, "PhysicalSizeY": 0.62, "PhysicalSizeYUnit": "µm"},
    )
    (photo,) = read_pages(path)
    assert photo.metadata_um_per_px == pytest.approx(0.62)
    assert photo.metadata_source == "the file's OME metadata"
    assert photo.um_per_px is None


@pytest.mark.parametrize(("unit", "factor"), [("CENTIMETER", 1e4), ("INCH", 25400.0)])
def test_tiff_resolution_comes_with_the_photo(tmp_path: Path, unit: str, factor: float) -> None:
    """A microscope's resolution in a plain TIFF is offered."""
    path = tmp_path / "field.tif"
    per_unit = factor / 1.24
    tifffile.imwrite(
        path,
        np.zeros(SHAPE, np.uint8),
        resolution=(per_unit, per_unit),
        resolutionunit=unit,
        metadata=None,
    )
    (photo,) = read_pages(path)
    assert photo.metadata_um_per_px == pytest.approx(1.24, rel=1e-5)


@pytest.mark.parametrize("suffix", ["png", "jpg", "tif"])
def test_a_print_size_in_the_file_is_ignored(tmp_path: Path, suffix: str) -> None:
    """300 dpi in any kind of file states no scale and warns of nothing."""
    path = tmp_path / f"field.{suffix}"
    Image.fromarray(np.zeros(SHAPE, np.uint8)).save(path, dpi=(300, 300))
    (photo,) = read_pages(path)
    assert photo.metadata_um_per_px is None
    assert photo.warnings == ()


def test_a_tiff_without_unit_states_nothing(tmp_path: Path) -> None:
    """ResolutionUnit 1 (none) gives only the shape of a pixel."""
    path = tmp_path / "field.tif"
    tifffile.imwrite(
        path, np.zeros(SHAPE, np.uint8), resolution=(8064, 8064), resolutionunit=1, metadata=None
    )
    (photo,) = read_pages(path)
    assert photo.metadata_um_per_px is None


@pytest.mark.parametrize(("per_metre", "um_per_px"), [((5, 5), 2.0), ((118, 2), None)])
def test_a_jpeg_2000_states_the_resolution_of_its_camera(
    tmp_path: Path, per_metre: tuple[int, int], um_per_px: float | None
) -> None:
    """Its capture resolution in pixels per metre as number and power of ten (ISO/IEC 15444-1,
    I.5.3.7.1): 5 × 10⁵ is 2 µm per pixel; 118 × 10² is 300 dots per inch, a print size."""
    path = tmp_path / "field.jp2"
    Image.fromarray(np.zeros(SHAPE, np.uint8)).save(path)
    content = path.read_bytes()
    number, power = per_metre
    capture = struct.pack(">I4s4H2b", 18, b"resc", number, 1, number, 1, power, power)
    box = struct.pack(">I4s", 26, b"res ") + capture
    at = content.index(b"jp2h") - 4
    end = at + int.from_bytes(content[at : at + 4], "big")
    header = struct.pack(">I", end - at + len(box)) + content[at + 4 : end] + box
    path.write_bytes(content[:at] + header + content[end:])
    (photo,) = read_pages(path)
    assert photo.metadata_um_per_px == (um_per_px and pytest.approx(um_per_px))
