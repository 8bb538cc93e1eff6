"""Looking over a large picture before its blocks are searched: what must hold for all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain.progress import Part, Progress, Silent
from counter.domain.ruled import RuledGrid
from counter.domain.species import Target
from counter.imaging.around import Around, Population
from counter.imaging.blank import blank_areas
from counter.imaging.blocks import Block, Reduction
from counter.imaging.kinds import population_of
from counter.imaging.light import Tone, factor_for, flatten, reduced, tone_of
from counter.imaging.looked import Looked, look
from counter.imaging.net import PX_ACROSS_SMALLEST, NoNetworkError, brightest_of, scaled
from counter.imaging.overview import overview_of
from counter.imaging.photo import Photo, Pixels
from counter.imaging.ruled import ruled_grid
from counter.imaging.scene import prepare
from counter.imaging.shape import Sizes
from counter.imaging.slide import Overview
from counter.imaging.unruled import without_rulings
from counter.imaging.view import SOFT_PX, View, view_of_slide

WINDOWS = 24
"""The picture is looked at closely on about so many windows, spread evenly over it."""

WINDOW_PX = 1280
"""How wide and high each of them is, in searched pixels."""

OVERVIEW_SHARE = 0.6
"""How much of the progress of looking over a picture is its overview."""

Bytes = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class Survey:
    """What holds for a whole picture; see :class:`~counter.imaging.around.Around`.

    ``view`` is the picture's field at ``factor`` searched pixels for one of its own (a fraction
    where the overview is finer), ``grid`` its regular rulings in pixels of the picture. The rest is
    None where nothing of the field was seen.
    """

    view: View
    factor: float
    grid: RuledGrid | None = None
    top: float | None = None
    light: float | None = None
    tone: Tone | None = None
    population: Population | None = None

    def seen(self, left: int, top: int, right: int, bottom: int) -> Bytes:
        """Return 255 where a region, given in searched pixels, shows the field."""
        rows = self._places(top, bottom, self.view.mask.shape[0])
        columns = self._places(left, right, self.view.mask.shape[1])
        return np.ascontiguousarray(self.view.mask[np.ix_(rows, columns)])

    def shows(self, x: float, y: float) -> bool:
        """Whether a place, given in searched pixels, lies in the field."""
        rows, columns = self.view.mask.shape
        row = min(rows - 1, max(0, int((y + 0.5) / self.factor)))
        column = min(columns - 1, max(0, int((x + 0.5) / self.factor)))
        return bool(self.view.mask[row, column])

    def _places(self, start: int, stop: int, length: int) -> NDArray[np.int64]:
        count = max(1, -(-(stop - start) // max(1, int(self.factor // 2))))
        middles = start + (np.arange(count) + 0.5) * (stop - start) / count
        return np.clip((middles / self.factor).astype(np.int64), 0, length - 1)

    def around(self, block: Block) -> Around:
        """Return what a block must know of the picture."""
        seen = self.seen(block.left, block.top, block.right, block.bottom)
        return Around(seen, self.top, self.light, self.tone, self.population)


def survey(reduction: Reduction, target: Target, progress: Progress) -> Survey:
    """Look over a picture: its field on an overview, the rest on windows spread over the field.

    Raises :class:`~counter.errors.CounterError` where it cannot be read and
    :class:`~counter.errors.Cancelled` when ``progress`` says so.
    """
    overview = overview_of(reduction.picture, Part(progress, 0.0, OVERVIEW_SHARE))
    view = _view(overview, reduction, target)
    grid = _grid(overview, view, reduction, target)
    start = Survey(view, overview.factor / reduction.factor, grid)
    windows = []
    boxes = [box for box in _boxes(reduction) if _share(start.seen(*box)) > 0.5]
    for index, box in enumerate(boxes):
        done = OVERVIEW_SHARE + (1 - OVERVIEW_SHARE) * index / len(boxes)
        progress.report(done, "looking over the picture")
        windows.append((reduction.part(*box), start.seen(*box)))
    if not windows:
        return start
    return _survey_of(windows, start, target)


def _view(overview: Overview, reduction: Reduction, target: Target) -> View:
    um_per_px = reduction.um_per_px / reduction.factor
    step_um = um_per_px * overview.factor
    blank = blank_areas(overview, target.high_um / step_um)
    soft_um = SOFT_PX * um_per_px * factor_for(um_per_px, target.low_um)
    soft_px = max(1, round(soft_um / step_um))
    return view_of_slide(overview.pixels, overview.plain, blank, soft_px)


def _grid(overview: Overview, view: View, reduction: Reduction, target: Target) -> RuledGrid | None:
    """The rulings that the overview shows, in pixels of the picture."""
    um_per_px = reduction.um_per_px / reduction.factor * overview.factor
    factor = factor_for(um_per_px, target.low_um)
    copy = reduced(overview.pixels, factor)
    seen = _fitted(view.mask, copy.pixels)
    sizes = Sizes(target.low_um / (um_per_px * factor), target.high_um / (um_per_px * factor))
    flat = flatten(copy, seen, sizes.high_px)
    lines = without_rulings(flat, seen, sizes).lines
    size = (overview.pixels.shape[1], overview.pixels.shape[0])
    found = ruled_grid(lines, flat, seen, sizes.low_px, copy, size) if lines else None
    if found is None:
        return None
    picture = reduction.picture
    return found.enlarged(overview.factor, picture.width_px, picture.height_px)


def _boxes(reduction: Reduction) -> list[tuple[int, int, int, int]]:
    """Windows spread evenly over the picture: left, top, right, bottom in searched pixels."""
    width, height = reduction.width, reduction.height
    side_x, side_y = min(WINDOW_PX, width), min(WINDOW_PX, height)
    across = round(np.sqrt(WINDOWS * width / height))
    across = int(np.clip(across, 1, min(WINDOWS, -(-width // side_x))))
    down = int(np.clip(WINDOWS // across, 1, -(-height // side_y)))
    boxes = []
    for row in range(down):
        for column in range(across):
            left = round((width - side_x) * (column + 0.5) / across)
            top = round((height - side_y) * (row + 0.5) / down)
            boxes.append((left, top, left + side_x, top + side_y))
    return boxes


def _share(seen: Bytes) -> float:
    return float(np.count_nonzero(seen)) / max(1, seen.size)


def _survey_of(windows: Sequence[tuple[Photo, Bytes]], start: Survey, target: Target) -> Survey:
    um_per_px = windows[0][0].um_per_px
    assert um_per_px is not None
    factor = factor_for(um_per_px, target.low_um)
    top = _brightest([reduced(photo.pixels, factor, 1.0).pixels for photo, _ in windows], windows)
    copies = [(reduced(photo.pixels, factor, top), seen) for photo, seen in windows]
    masked = [(copy, _fitted(seen, copy.pixels)) for copy, seen in copies]
    tone = tone_of(masked, target.high_um / (um_per_px * factor))
    net_factor = target.low_um / PX_ACROSS_SMALLEST / um_per_px
    small = [scaled(photo.pixels, net_factor) for photo, _ in windows]
    light = brightest_of(
        [part[_fitted(seen, part) > 0][::9] for part, (_, seen) in zip(small, windows, strict=True)]
    )
    arounds = [Around(seen, top, light, tone) for _, seen in windows]
    population = _population([photo for photo, _ in windows], arounds, target)
    return replace(start, top=top, light=light, tone=tone, population=population)


def _brightest(parts: Sequence[Pixels], windows: Sequence[tuple[Photo, Bytes]]) -> float:
    shown = [
        part[_fitted(seen, part) > 0][::5] for part, (_, seen) in zip(parts, windows, strict=True)
    ]
    return float(np.percentile(np.concatenate([each.ravel() for each in shown]), 99.5))


def _fitted(seen: Bytes, like: NDArray[np.generic]) -> Bytes:
    size = (like.shape[1], like.shape[0])
    return np.asarray(cv2.resize(seen, size, interpolation=cv2.INTER_NEAREST), np.uint8)


def _population(
    photos: Sequence[Photo], arounds: Sequence[Around], target: Target
) -> Population | None:
    """What the bodies on the windows are; None where the network cannot be read."""
    looked = []
    try:
        for photo, around in zip(photos, arounds, strict=True):
            seen = look(prepare(photo, target, Silent(), around), target)
            looked.append(_whole_bodies(seen, photo))
    except NoNetworkError:
        return None
    return population_of(looked, target)


def _whole_bodies(looked: Looked, photo: Photo) -> Looked:
    """Those that the window's border does not cut."""
    last = np.array([photo.width_px, photo.height_px]) - 1.5
    inside = np.asarray((looked.outlines > 0.5) & (looked.outlines < last))
    inner = np.asarray(inside.all(axis=(1, 2)))
    return Looked(
        [star for star, is_whole in zip(looked.found, inner, strict=True) if is_whole],
        looked.outlines[inner],
        looked.ferets_um[inner],
    )
