"""One page of a TIFF read in parts: only the tiles or strips under a region are decoded.

TIFF 6.0, sections 3 and 15: a page is cut into strips (full rows) or tiles, each compressed by
itself. tifffile knows how to decode one; which ones a region needs, and where they go, stands here.
"""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, BinaryIO

import cv2
import numpy as np

from counter.errors import CounterError
from counter.imaging.limits import BREAKS_OFF, damage_of, damaged, reason_of
from counter.imaging.photo import Pixels
from counter.imaging.pixels import AnyPixels
from counter.imaging.tiff_library import DECODING_ERRORS, library
from counter.imaging.tiff_pixels import Colours

MOST_PART_BYTES = 256_000_000
"""The most that one tile or strip may take when decoded; larger ones are not read in parts."""

KEPT_BYTES = 48_000_000
"""How much of decoded tiles is kept, so that neighbouring regions need not decode them again."""

JPEG = 7
UNCOMPRESSED = 1
END_OF_JPEG = b"\xff\xd9"
MOST_THREADS = 4


class PageParts:
    """The pixels of one page, read region by region; the file is open only while it is read."""

    def __init__(self, path: Path, page: Any, end: int) -> None:
        """Take down where everything is; ``page`` is tifffile's, its file ``end`` bytes long.

        Raises :class:`CounterError` where the page is cut short or of a kind that is not read.
        """
        self._path = path
        with library(path):
            self.width_px, self.height_px = int(page.imagewidth), int(page.imagelength)
            self.is_tiled = bool(page.is_tiled)
            width = int(page.tilewidth) if self.is_tiled else self.width_px
            height = int(page.tilelength) if self.is_tiled else int(page.rowsperstrip)
            self.part_width_px, self.part_height_px = width, max(1, min(height, self.height_px))
            self._across = -(-self.width_px // width)
            self._down = -(-self.height_px // self.part_height_px)
            self._offsets = np.array(page.dataoffsets, np.int64)
            self._counts = np.array(page.databytecounts, np.int64)
            self._separate = int(page.planarconfig) == 2
            self._samples = int(page.samplesperpixel)
            self._dtype = np.dtype(page.dtype)
            self._nodata = page.nodata
            self._decode: Callable[..., Any] = page.decode
            self._is_jpeg = int(page.compression) == JPEG
            self._tables = {"jpegtables": page.jpegtables, "jpegheader": page.jpegheader}
            self._rows = _rows_dtype(page)
            self._colours = Colours.of(path, page)
            depth = int(page.imagedepth)
        self._check(end, depth)
        self._lock = threading.Lock()
        self._kept: OrderedDict[int, AnyPixels | None] = OrderedDict()
        self._kept_bytes = 0
        self._spread: tuple[float, float] | None = None

    def _check(self, end: int, depth: int) -> None:
        planes = self._samples if self._separate else 1
        wanted = self._across * self._down * planes
        counted = min(len(self._offsets), len(self._counts))
        is_blank = (self._counts == 0) & (self._offsets == 0)
        is_whole = is_blank | ((self._counts > 0) & (self._offsets + self._counts <= end))
        if counted < wanted or depth != 1 or not is_whole[:wanted].all():
            raise damaged(self._path, BREAKS_OFF)
        if is_blank[:wanted].all() or (is_blank[:wanted].any() and not self.is_tiled):
            raise damaged(self._path, BREAKS_OFF)

    @property
    def part_bytes(self) -> int:
        """How many bytes one tile or strip takes when decoded."""
        samples = 1 if self._separate else self._samples
        pixels = self.part_width_px * self.part_height_px
        return int(pixels * samples * self._dtype.itemsize)

    @property
    def can_be_parted(self) -> bool:
        """Whether a region can be read without decoding much more than it."""
        return self._rows is not None or self.part_bytes <= MOST_PART_BYTES

    @property
    def is_row_wise(self) -> bool:
        """Whether a part is a full row, so that wide regions cost least."""
        return not self.is_tiled and self._rows is None

    def read(self, left: int, top: int, right: int, bottom: int) -> Pixels:
        """Return the region's pixels, columns ``left`` to ``right`` - 1 of the page and so on.

        Raises :class:`CounterError`, naming the file, where a part cannot be read or decoded.
        """
        raw = self._raw(left, top, right, bottom)
        if self._spread is None:
            self._spread = self._find_spread() if self._colours.needs_spread else (0.0, 0.0)
        return self._colours.seen(raw, self._spread)

    def _find_spread(self) -> tuple[float, float]:
        """The least and the greatest number on the whole page, for kinds without a white."""
        low, high = math.inf, -math.inf
        rows = max(1, 16_000_000 // max(1, self.width_px))
        for top in range(0, self.height_px, rows):
            bottom = min(self.height_px, top + rows)
            levels = self._colours.levelled(self._raw(0, top, self.width_px, bottom))
            values = levels[np.isfinite(levels)] if levels.dtype.kind == "f" else levels
            if values.size:
                low, high = min(low, float(values.min())), max(high, float(values.max()))
        return (low, high) if low <= high else (0.0, 0.0)

    def _raw(self, left: int, top: int, right: int, bottom: int) -> AnyPixels:
        try:
            with self._path.open("rb") as file:
                if self._rows is not None:
                    raw = self._row_by_row(file, left, top, right, bottom)
                else:
                    raw = self._assembled(file, left, top, right, bottom)
        except OSError as error:
            raise CounterError(
                f"{self._path}: cannot be read any further ({reason_of(error)}); check the disk "
                "or the network, then count it again."
            ) from error
        return raw[..., 0] if self._samples == 1 else raw

    # --- rows that lie in the file as they are

    def _row_by_row(
        self, file: BinaryIO, left: int, top: int, right: int, bottom: int
    ) -> AnyPixels:
        assert self._rows is not None
        pixel = self._samples * self._rows.itemsize
        out = np.empty((bottom - top, right - left, self._samples), self._rows)
        for row in range(top, bottom):
            strip, within = divmod(row, self.part_height_px)
            at = int(self._offsets[strip]) + (within * self.width_px + left) * pixel
            file.seek(at)
            data = file.read((right - left) * pixel)
            if len(data) != (right - left) * pixel:
                raise damaged(self._path, BREAKS_OFF)
            out[row - top] = np.frombuffer(data, self._rows).reshape(-1, self._samples)
        return out.astype(self._dtype, copy=False)

    # --- compressed tiles and strips

    def _assembled(self, file: BinaryIO, left: int, top: int, right: int, bottom: int) -> AnyPixels:
        out = np.empty((bottom - top, right - left, self._samples), self._dtype)
        for index, part in self._decoded(file, self._indices(left, top, right, bottom)):
            plane, place = divmod(index, self._across * self._down)
            row, column = divmod(place, self._across)
            x, y = column * self.part_width_px, row * self.part_height_px
            x0, y0 = max(left, x), max(top, y)
            x1 = min(right, x + self.part_width_px, self.width_px)
            y1 = min(bottom, y + self.part_height_px, self.height_px)
            samples = slice(plane, plane + 1) if self._separate else slice(None)
            target = out[y0 - top : y1 - top, x0 - left : x1 - left, samples]
            target[...] = self._nodata if part is None else part[y0 - y : y1 - y, x0 - x : x1 - x]
        return out

    def _indices(self, left: int, top: int, right: int, bottom: int) -> list[int]:
        rows = range(top // self.part_height_px, -(-bottom // self.part_height_px))
        columns = range(left // self.part_width_px, -(-right // self.part_width_px))
        planes = range(self._samples if self._separate else 1)
        return [
            (plane * self._down + row) * self._across + column
            for plane in planes
            for row in rows
            for column in columns
        ]

    def _decoded(
        self, file: BinaryIO, indices: list[int]
    ) -> Iterator[tuple[int, AnyPixels | None]]:
        """Yield each part, (h, w, samples) or None for a blank one, from memory where it is."""
        missing = []
        for index in indices:
            with self._lock:
                known = index in self._kept
                part = self._kept.get(index)
            if known:
                yield index, part
            else:
                missing.append(index)
        threads = min(MOST_THREADS, cv2.getNumThreads(), len(missing))
        if threads <= 1:
            for index in missing:
                yield index, self._keep(index, self._one(index, self._bytes(file, index)))
            return
        with ThreadPoolExecutor(threads) as pool:
            for start in range(0, len(missing), 4 * threads):
                some = missing[start : start + 4 * threads]
                data = [self._bytes(file, index) for index in some]
                for index, part in zip(some, pool.map(self._one, some, data), strict=True):
                    yield index, self._keep(index, part)

    def _bytes(self, file: BinaryIO, index: int) -> bytes | None:
        count = int(self._counts[index])
        if count == 0:
            return None
        file.seek(int(self._offsets[index]))
        data = file.read(count)
        if len(data) != count:
            raise damaged(self._path, BREAKS_OFF)
        return data

    def _one(self, index: int, data: bytes | None) -> AnyPixels | None:
        if data is None:
            return None
        if self._is_jpeg and END_OF_JPEG not in data[-4096:]:
            raise self._damaged(index, "it breaks off before its end")
        tables = self._tables if self._is_jpeg else {}
        try:
            part = self._decode(data, index, **tables)[0]
        except DECODING_ERRORS as error:
            raise self._damaged(index, error) from error
        whole: AnyPixels = np.asarray(part).reshape(-1, *np.shape(part)[-2:])
        width = min(self.part_width_px, self.width_px - self._left(index))
        height = min(self.part_height_px, self.height_px - self._top(index))
        if whole.shape[0] < height or whole.shape[1] < width:
            raise self._damaged(index, "it is smaller than it should be")
        return whole

    def _left(self, index: int) -> int:
        return index % self._across * self.part_width_px

    def _top(self, index: int) -> int:
        return index // self._across % self._down * self.part_height_px

    def _damaged(self, index: int, error: Exception | str) -> CounterError:
        what = error if isinstance(error, str) else damage_of(error)
        return damaged(self._path, f"the part at {self._left(index)}, {self._top(index)}: {what}")

    def _keep(self, index: int, part: AnyPixels | None) -> AnyPixels | None:
        with self._lock:
            if index not in self._kept:
                self._kept[index] = part
                self._kept_bytes += 0 if part is None else part.nbytes
            while self._kept_bytes > KEPT_BYTES and self._kept:
                _, oldest = self._kept.popitem(last=False)
                self._kept_bytes -= 0 if oldest is None else oldest.nbytes
        return part


def _rows_dtype(page: Any) -> np.dtype[Any] | None:
    """The kind of number, in the file's byte order, of rows that lie there as they are, or None."""
    dtype = np.dtype(page.dtype)
    plain = int(page.compression) == UNCOMPRESSED and int(page.predictor) == 1
    whole_bytes = int(page.bitspersample) == 8 * dtype.itemsize and int(page.fillorder) == 1
    one_after_another = not page.is_tiled and int(page.planarconfig) == 1
    if plain and whole_bytes and one_after_another and not page.is_subsampled:
        as_stored: np.dtype[Any] = dtype.newbyteorder(page.parent.byteorder)
        return as_stored
    return None
