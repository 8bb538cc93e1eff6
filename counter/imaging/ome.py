"""Which pages of an OME-TIFF belong to one field, and the scale that its XML states.

After the OME-TIFF specification (OME model, schema 2016-06): an ``Image`` is a position on the
slide, its planes are numbered by Z (focus), C (channel) and T (time) in ``DimensionOrder``, and
``TiffData`` says which page holds which plane.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from counter.imaging.metadata import StatedScale, of_physical_size

Plane = tuple[int, int, int]
"""(z, c, t)"""


@dataclass(frozen=True, slots=True)
class OmeField:
    """One field: pages by ``[focus][channel]``, and the scale that is stated for them."""

    pages: tuple[tuple[int, ...], ...]
    stated: StatedScale


def ome_fields(xml: str, page_count: int) -> tuple[OmeField, ...]:
    """Return the fields that an OME-XML text describes, in order of image and time.

    ``page_count`` is how many pages the file holds; a field with a plane in another file or
    beyond the last page is left out. Empty where the text is not OME-XML or describes no field
    that is here.
    """
    try:
        root = ElementTree.fromstring(xml.encode())
        images = [_Image(element) for element in root.iter() if _tag(element) == "Pixels"]
    except (ElementTree.ParseError, ValueError, OverflowError):
        return ()
    found: list[OmeField] = []
    first_page = 0
    for image in images:
        planes = image.planes(first_page, page_count)
        first_page += image.plane_count
        found.extend(image.fields(planes, page_count))
    return tuple(found)


class _Image:
    """The ``Pixels`` element of one image."""

    def __init__(self, element: ElementTree.Element) -> None:
        self.element = element
        self.order = element.get("DimensionOrder", "XYZCT")
        if sorted(self.order) != sorted("XYZCT"):
            raise ValueError(self.order)
        samples = [
            int(child.get("SamplesPerPixel", 1)) for child in element if _tag(child) == "Channel"
        ]
        channels = int(element.get("SizeC", 1)) // max(samples, default=1)
        self.size = {
            "Z": int(element.get("SizeZ", 1)),
            "C": max(1, channels),
            "T": int(element.get("SizeT", 1)),
        }
        self.plane_count = math.prod(self.size.values())

    def planes(self, first_page: int, page_count: int) -> dict[Plane, int]:
        """Return the page of each plane; by order where no ``TiffData`` says it."""
        if not 0 < self.plane_count <= page_count:
            return {}
        blocks = [child for child in self.element if _tag(child) == "TiffData"]
        found: dict[Plane, int] = {}
        for block in blocks:
            found.update(self._planes_of(block, page_count))
        if not blocks:
            found = {self._plane(i): first_page + i for i in range(self.plane_count)}
        return found

    def _planes_of(
        self, block: ElementTree.Element, page_count: int
    ) -> Iterator[tuple[Plane, int]]:
        attributes = block.attrib
        page = int(attributes.get("IFD", 0))
        count = int(attributes.get("PlaneCount", 1 if "IFD" in attributes else self.plane_count))
        start = self._index({axis: int(attributes.get(f"First{axis}", 0)) for axis in "ZCT"})
        for i in range(min(count, self.plane_count - start, page_count - page)):
            yield self._plane(start + i), page + i

    def fields(self, planes: dict[Plane, int], page_count: int) -> Iterator[OmeField]:
        """Yield a field for each time whose planes are all in this file."""
        for t in range(self.size["T"] if planes else 0):
            pages = tuple(
                tuple(planes.get((z, c, t), page_count) for c in range(self.size["C"]))
                for z in range(self.size["Z"])
            )
            if all(0 <= page < page_count for focus in pages for page in focus):
                yield OmeField(pages, self._stated())

    def _plane(self, index: int) -> Plane:
        at: dict[str, int] = {}
        for axis in self.order.replace("X", "").replace("Y", ""):
            index, at[axis] = divmod(index, self.size[axis])
        return at["Z"], at["C"], at["T"]

    def _index(self, at: dict[str, int]) -> int:
        index, step = 0, 1
        for axis in self.order.replace("X", "").replace("Y", ""):
            index += at[axis] * step
            step *= self.size[axis]
        return index

    def _stated(self) -> StatedScale:
        get: Any = self.element.get
        x = get("PhysicalSizeX")
        if x is None:
            return StatedScale()
        unit = get("PhysicalSizeXUnit", "µm")
        y, y_unit = get("PhysicalSizeY", x), get("PhysicalSizeYUnit", unit)
        return of_physical_size(float(x), unit, float(y), y_unit)


def _tag(element: ElementTree.Element) -> str:
    return element.tag.rsplit("}", 1)[-1]
