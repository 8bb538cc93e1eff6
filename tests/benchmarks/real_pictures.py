"""Real pictures with somebody else's truth; none of them trained anything.

Coral embryos and haemocytometer tiles lie beside the repository (``../shared/real``, with their
sources); the coins are a picture of scikit-image; the nuclei and their mask are data that the
package stardist carries (``pip install --no-deps stardist``; only the data is read). What is not
there is named in the table, never left out in silence.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
from numpy.typing import NDArray
from skimage import data
from skimage.measure import regionprops

from counter.domain.catalogue import species
from counter.domain.mark import Point
from counter.domain.species import Target, TargetKind, target_of
from counter.imaging.photo import Photo
from counter.imaging.read import read_page
from tests.accuracy.matching import Found
from tests.benchmarks.fields import WAYS, Field

REAL = Path(__file__).parents[3] / "shared" / "real"
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Thing:
    """One body of somebody else's truth, of which a box or a mask is known."""

    x_px: float
    y_px: float
    length_um: float
    outline_px: tuple[Point, ...] = ()
    is_cut: bool = False


@dataclass(frozen=True, slots=True)
class Things:
    """Bodies on a picture; all of them are looked for as larvae."""

    um_per_px: float
    larvae: tuple[Thing, ...]
    eggs: tuple[Thing, ...] = ()


def _target(low_um: float, high_um: float) -> Target:
    return target_of(species("eastern-oyster"), TargetKind.LARVAE, (low_um, high_um))


def _field(kind: str, photo: Photo, lengths_um: tuple[float, float], truth: Things) -> Field:
    return Field(kind, photo.pixels, truth.um_per_px, _target(*lengths_um), truth)


def nuclei() -> Field | None:
    """512 × 512 pixels of bright nuclei with 125 labels; one pixel is taken for 4 µm."""
    package = find_spec("stardist")
    if package is None or package.origin is None:
        return None
    folder = Path(package.origin).parent / "data" / "images"
    mask = np.asarray(read_page(folder / "mask2d.tif").pixels)
    things = [
        Thing(
            x_px=float(region.centroid[1]),
            y_px=float(region.centroid[0]),
            length_um=4.0 * float(region.feret_diameter_max),
            is_cut=min(region.bbox[:2]) == 0 or max(region.bbox[2:]) == len(mask),
        )
        for region in regionprops(mask.astype(np.int32))  # type: ignore[no-untyped-call]
    ]
    truth = Things(4.0, tuple(things))
    return _field("nuclei", read_page(folder / "img2d.tif"), (48.0, 180.0), truth)


def tiles() -> Iterator[Field]:
    """Tiles of a haemocytometer; one pixel is taken for 1 µm, cells are 12 to 40 pixels long."""
    for file in sorted((REAL / "haemocytometer").glob("*.png")):
        root = ElementTree.parse(file.with_suffix(".xml")).getroot()
        photo = read_page(file)
        things = [_boxed(box, photo) for box in map(_box, root.iter("bndbox"))]
        yield _field("haemocytometer", photo, (12.0, 40.0), Things(1.0, tuple(things)))


def _box(entry: ElementTree.Element) -> Box:
    left, top, right, bottom = (float(entry.findtext(f"{side}", "nan")) for side in SIDES)
    return left, top, right, bottom


SIDES = ("xmin", "ymin", "xmax", "ymax")


def _boxed(box: Box, photo: Photo) -> Thing:
    left, top, right, bottom = box
    cut = left <= 2 or top <= 2 or right >= photo.width_px - 2 or bottom >= photo.height_px - 2
    long = float(np.clip(max(right - left, bottom - top), 12.0, 40.0))
    return Thing((left + right) / 2, (top + bottom) / 2, long, is_cut=cut)


def coins() -> tuple[Field, int]:
    """24 coins on uneven ground; one pixel is taken for 5 µm."""
    pixels: NDArray[np.uint8] = np.asarray(data.coins(), np.uint8)  # type: ignore[no-untyped-call]
    return _field("coins", Photo(pixels), (150.0, 400.0), Things(5.0, ())), 24


def embryos() -> Iterator[tuple[str, Field, int]]:
    """Coral embryos in dark field with an expert's count: name, field, count."""
    folder = REAL / "coral_embryos"
    if not folder.is_dir():
        return
    for entry in json.loads((folder / "truth.json").read_text(encoding="utf-8")):
        photo, truth = read_page(folder / entry["file"]), Things(entry["um_per_px"], ())
        field = _field("coral", photo, (130.0, 700.0), truth)
        yield entry["file"], field, int(entry["expert_count"])


def found_by_each(field: Field) -> dict[str, list[Found]]:
    """What each way of finding makes of a field."""
    return {way: work(field) for way, work in WAYS.items()}
