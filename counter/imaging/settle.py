"""Bodies seen on several overlapping blocks, each kept once, none lost.

Of what overlaps across blocks, one block's word is taken: that in whose own area the middle of it
lies. So a body on a seam, whose centre differs a little from block to block, is neither counted
twice nor by nobody, and a group that one block parts and another does not is told by one of them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain.mark import Mark
from counter.imaging.blocks import Block

Floats = NDArray[np.float64]
Points = NDArray[np.float32]

SAME_BODY = 0.35
"""Outlines that share more than this of the smaller one's area are of one body, or of one group."""

CELL_PX = 512.0


@dataclass(frozen=True, slots=True)
class Seen:
    """A mark, and the number of the block that saw it; coordinates are those of all blocks."""

    block: int
    mark: Mark


def settled(seen: Sequence[Seen], blocks: Sequence[Block]) -> list[Mark]:
    """Return each body once. Marks that a border between blocks cuts must not be among ``seen``.

    The result does not depend on the order of ``seen``, except for the order of the marks.
    """
    outlines = [np.array(each.mark.outline_px, np.float32) for each in seen]
    boxes = np.array([(*o.min(axis=0), *o.max(axis=0)) for o in outlines]).reshape(-1, 4)
    groups = _groups(seen, outlines, boxes)
    kept: list[int] = []
    for group in groups:
        low, high = boxes[group, :2].min(axis=0), boxes[group, 2:].max(axis=0)
        x, y = (float(value) for value in (low + high) / 2)
        kept += [index for index in group if blocks[seen[index].block].owns(x, y)]
    return [seen[index].mark for index in sorted(kept)]


def _groups(seen: Sequence[Seen], outlines: Sequence[Points], boxes: Floats) -> list[list[int]]:
    """Put together what overlaps across blocks: connected components."""
    root = list(range(len(seen)))

    def find(index: int) -> int:
        while root[index] != index:
            root[index] = root[root[index]]
            index = root[index]
        return index

    for one, other in _pairs(seen, boxes):
        if find(one) != find(other) and _share(outlines[one], outlines[other]) > SAME_BODY:
            root[max(find(one), find(other))] = min(find(one), find(other))
    groups: dict[int, list[int]] = defaultdict(list)
    for index in range(len(seen)):
        groups[find(index)].append(index)
    return list(groups.values())


def _pairs(seen: Sequence[Seen], boxes: Floats) -> Iterator[tuple[int, int]]:
    """Marks of different blocks whose boxes overlap, each pair at least once."""
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    first = np.floor(boxes[:, :2] / CELL_PX).astype(int).tolist()
    last = np.floor(boxes[:, 2:] / CELL_PX).astype(int).tolist()
    for index, ((x0, y0), (x1, y1)) in enumerate(zip(first, last, strict=True)):
        for cell in ((x, y) for x in range(x0, x1 + 1) for y in range(y0, y1 + 1)):
            cells[cell].append(index)
    for inside in cells.values():
        if len({seen[index].block for index in inside}) > 1:
            yield from _overlapping(np.array(inside), seen, boxes)


def _overlapping(
    inside: NDArray[np.int64], seen: Sequence[Seen], boxes: Floats
) -> Iterator[tuple[int, int]]:
    own = np.array([seen[index].block for index in inside])
    low, high = boxes[inside, :2], boxes[inside, 2:]
    for at, index in enumerate(inside):
        meets = (low[at + 1 :] < high[at]).all(axis=1) & (high[at + 1 :] > low[at]).all(axis=1)
        for other in inside[at + 1 :][meets & (own[at + 1 :] != own[at])]:
            yield int(index), int(other)


def _share(one: Points, other: Points) -> float:
    """How much of the smaller of two outlines' hulls lies in the other, 0 to 1."""
    origin = one.min(axis=0)
    hulls = [cv2.convexHull((each - origin).astype(np.float32)) for each in (one, other)]
    both = cv2.intersectConvexConvex(hulls[0], hulls[1])[0]
    return float(both) / max(1e-6, min(cv2.contourArea(hull) for hull in hulls))
