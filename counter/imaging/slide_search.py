"""A large picture searched block by block, each body kept once, in memory of about one block."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, replace

import numpy as np

from counter.domain import flags
from counter.domain.mark import Mark
from counter.domain.progress import Part, Progress
from counter.domain.ruled import RuledGrid
from counter.domain.species import Target
from counter.imaging.around import Around
from counter.imaging.blocks import (
    BLOCK_PX,
    WIDE_BLOCK_PX,
    Block,
    Reduction,
    blocks_of,
    margin_px,
    reduction_for,
)
from counter.imaging.finders import Finding, find_on
from counter.imaging.photo import Photo
from counter.imaging.rescore import Rescorer
from counter.imaging.scene import prepare
from counter.imaging.settle import Seen, settled
from counter.imaging.sight import Sight, looking
from counter.imaging.slide import AnyPhoto, Slide
from counter.imaging.survey import Survey, survey

SURVEY_SHARE = 0.12
"""How much of the progress is looking the picture over."""


@dataclass(frozen=True, slots=True)
class SlideFinding:
    """What was found on a large picture, which share of it shows no field, and its rulings."""

    found: Finding
    hidden_share: float
    grid: RuledGrid | None = None


def search_in_blocks(
    picture: AnyPhoto,
    target: Target,
    progress: Progress,
    rescorer: Rescorer | None = None,
    block: tuple[int, int] | None = None,
) -> SlideFinding:
    """Find the bodies of ``target`` on a picture of any size.

    ``picture`` must have ``um_per_px``. ``block`` is the width and height of a block in pixels;
    bodies longer than a fourth of it make it larger. A body whose middle lies where the picture
    shows no field, like beyond the scanned area, is none of the field's. Marks are numbered from
    1 from top to bottom. Nothing found gives no marks, never an error.

    Raises :class:`~counter.errors.CounterError` where a part of the picture cannot be read: then
    nothing of it is counted; and :class:`~counter.errors.Cancelled` when ``progress`` says so.
    """
    reduction = reduction_for(picture, target.low_um, target.high_um)
    known = survey(reduction, target, Part(progress, 0.0, SURVEY_SHARE))
    margin = margin_px(target.high_um, target.low_um, reduction.um_per_px)
    size = block or _block_size(picture)
    blocks = blocks_of(reduction.width, reduction.height, size, margin)
    seen: list[Seen] = []
    warnings: dict[str, None] = dict.fromkeys(known.view.warnings)
    adjusted = 0
    searched = Part(progress, SURVEY_SHARE, 1.0)
    for index, photo, around, sight in _looking_ahead(blocks, reduction, known, target):
        step = Part(searched, index / len(blocks), (index + 1) / len(blocks), _name(index, blocks))
        scene = prepare(photo, target, step, around)
        found = find_on(scene, target, step, rescorer, sight)
        seen += [Seen(index, mark) for mark in _shifted(found, blocks[index], reduction)]
        warnings.update(dict.fromkeys(found.warnings))
        adjusted = max(adjusted, found.adjusted_by)
    progress.report(1.0, "putting the blocks together")
    in_field = [mark for mark in settled(seen, blocks) if known.shows(mark.x_px, mark.y_px)]
    marks = _numbered(in_field, reduction)
    return SlideFinding(
        Finding(marks, tuple(warnings), adjusted), known.view.hidden_share, known.grid
    )


def _block_size(picture: AnyPhoto) -> tuple[int, int]:
    if isinstance(picture, Slide) and picture.source.is_row_wise:
        return WIDE_BLOCK_PX
    return (BLOCK_PX, BLOCK_PX)


def _name(index: int, blocks: Sequence[Block]) -> str:
    return f"part {index + 1} of {len(blocks)}"


def _looking_ahead(
    blocks: Sequence[Block], reduction: Reduction, known: Survey, target: Target
) -> Iterator[tuple[int, Photo, Around, Callable[[], Sight]]]:
    """Yield of each block that shows the field number, pixels, what lies around it, and its sight.

    The network looks at the next one meanwhile: a block's outlines, which are followed when it has
    looked, keep one core busy and no more.
    """
    held: tuple[int, Photo, Around, Callable[[], Sight]] | None = None
    with ExitStack() as looked:
        for index, photo in _read_ahead(blocks, reduction, known):
            around = known.around(blocks[index])
            with ExitStack() as ahead:
                sight = ahead.enter_context(looking(photo, target, around.light))
                if held is not None:
                    yield held
                looked.close()
                looked.callback(ahead.pop_all().close)
            held = index, photo, around, sight
        if held is not None:
            yield held


def _read_ahead(
    blocks: Sequence[Block], reduction: Reduction, known: Survey
) -> Iterator[tuple[int, Photo]]:
    """Yield number and pixels of each block that shows the field; the next is read meanwhile."""
    shown = [
        index
        for index, block in enumerate(blocks)
        if known.seen(block.left, block.top, block.right, block.bottom).any()
    ]

    def read(index: int) -> Photo:
        block = blocks[index]
        return reduction.part(block.left, block.top, block.right, block.bottom)

    with ThreadPoolExecutor(1) as pool:
        ahead: Future[Photo] | None = None
        for place, index in enumerate(shown):
            photo = read(index) if ahead is None else ahead.result()
            following = shown[place + 1 : place + 2]
            ahead = pool.submit(read, following[0]) if following else None
            yield index, photo


def _shifted(found: Finding, block: Block, reduction: Reduction) -> Iterator[Mark]:
    """The marks in searched pixels of the whole picture, without those that a seam cuts."""
    sides = (block.left, block.top, block.right, block.bottom)
    borders = (0, 0, reduction.width, reduction.height)
    for mark in found.marks:
        if flags.CUT.key in mark.flags and _is_cut_by_seam(mark, block, sides, borders):
            continue
        yield mark.moved(block.left, block.top)


def _is_cut_by_seam(
    mark: Mark, block: Block, sides: tuple[int, ...], borders: tuple[int, ...]
) -> bool:
    """Whether one of the block's borders that is not the picture's cuts a mark."""
    outline = np.array(mark.outline_px)
    low, high = outline.min(axis=0), outline.max(axis=0)
    width, height = block.right - block.left, block.bottom - block.top
    touched = (low[0] <= -0.5, low[1] <= -0.5, high[0] >= width - 0.5, high[1] >= height - 0.5)
    return any(
        is_touched and side != border
        for is_touched, side, border in zip(touched, sides, borders, strict=True)
    )


def _numbered(marks: Sequence[Mark], reduction: Reduction) -> tuple[Mark, ...]:
    """Number the marks from top to bottom, in pixels of the picture."""
    ordered = sorted(marks, key=lambda mark: (mark.y_px, mark.x_px))
    return tuple(
        replace(reduction.placed(mark), mark_id=number)
        for number, mark in enumerate(ordered, start=1)
    )
