"""An empty shell that lies open like a book: two valves side by side, and yet one body.

When the soft parts are gone, nothing holds a shell shut: the ligament opens it, and both valves lie
flat with the hinge between them, one the mirror image of the other. The finder sees two empty
shells. They are one where they look empty, are nearly equally long, touch, and one mirrored at the
line between them covers the other; that line runs along the valves, for so does the hinge. Of a
shell that the border cuts one valve must be whole. Common practice, no source: so does a technician
count such a pair as one dead larva.

Two that are mirror images in every way, as the pages of an open book are, lie so by no chance: they
are one shell whatever else they look like, unless both surely look alive.

The limits were set on drawn slides of open shells: 80 pairs of whole valves were 0.96 as long, 0.74
mirrored and 9° askew at worst, with 0.045 of the length between them. Among 612 closed or ajar ones
of about one length, four in five laid against another, 9 pairs were joined by chance.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain import flags
from counter.domain.mark import Mark
from counter.domain.proposed import DEAD, LIVE, SURE, Proposal
from counter.imaging.measure import measure
from counter.imaging.photo import Photo
from counter.imaging.polygon import inside_picture, united

Floats = NDArray[np.float64]

NEAREST = 0.35
"""How far the valves' middles are apart at least, as a share of the length: less is one body seen
twice."""

TOUCHING = 0.05
"""Valves touch where less than this share of the length is between them: outlines run smoothly
past the umbones, which is where round valves touch."""


@dataclass(frozen=True, slots=True)
class _Limits:
    """What two valves of one shell keep to.

    The shorter is at least ``as_long`` as a share of the longer; their middles are ``farthest``
    apart, as a share of the length; ``mirrored`` of what both cover is covered twice when one is
    mirrored on the other; and the hinge runs along both, askew by at most ``askew`` in degrees.
    """

    as_long: float
    farthest: float
    mirrored: float
    askew: float


EMPTY_VALVES = _Limits(as_long=0.94, farthest=1.05, mirrored=0.72, askew=20.0)
"""For two of which one looks empty and neither surely alive."""

BOOK = _Limits(as_long=0.985, farthest=0.72, mirrored=0.87, askew=10.0)
"""For any others. Of 2,119 larvae, most of them crowded or touching, by three renderers no two lie
so; the nearest are as long to 0.967, or askew by 18°."""

CELLS = 160
"""How many cells of a grid the longer side of two outlines spans when they are compared."""


@dataclass(frozen=True, slots=True)
class _Valve:
    """What may be a valve: its outline (n, 2), its middle, length, and the way it is long (unit),
    in pixels."""

    outline: Floats
    middle: Floats
    length: float
    along: Floats
    is_cut: bool


def with_open_shells_whole(marks: Sequence[Mark], photo: Photo) -> list[Mark]:
    """Return ``marks`` with the two valves of each open empty shell as one mark.

    States must have been proposed, and ``photo`` must have a scale. The joined mark has the outline
    round both valves, the larger score, the stage of the longer valve (the shell is as old as
    that), and flags that call for a look. The others come back as they are; ids are 1..n from top
    to bottom.
    """
    pairs = _paired(marks, photo)
    if not pairs:
        return list(marks)
    gone = {number for pair in pairs for number in pair}
    kept = [mark for number, mark in enumerate(marks) if number not in gone]
    kept += [_joined(marks[one], marks[other], photo) for one, other in pairs]
    kept.sort(key=lambda mark: (mark.y_px, mark.x_px))
    return [replace(mark, mark_id=number) for number, mark in enumerate(kept, 1)]


def _paired(marks: Sequence[Mark], photo: Photo) -> list[tuple[int, int]]:
    """The numbers of the valves of each open shell; each valve has one partner, the most alike."""
    used: set[int] = set()
    pairs = []
    for _, one, other in sorted(_alike(marks, photo), key=lambda each: (-each[0], each[1:])):
        if used.isdisjoint((one, other)):
            used |= {one, other}
            pairs.append((one, other))
    return pairs


def _alike(marks: Sequence[Mark], photo: Photo) -> Iterator[tuple[float, int, int]]:
    """Pairs of valves that are open shells, with how well one mirrors the other."""
    numbers = [number for number, mark in enumerate(marks) if mark.proposal is not None]
    middles = np.array([(marks[n].x_px, marks[n].y_px) for n in numbers]).reshape(-1, 2)
    reach_um = EMPTY_VALVES.farthest * np.array([marks[n].length_um for n in numbers])
    for at, number in enumerate(numbers):
        away_um = np.hypot(*(middles[at + 1 :] - middles[at]).T) * _um_per_px(photo)
        near = np.flatnonzero(away_um < np.maximum(reach_um[at + 1 :], reach_um[at])) + at + 1
        for other in (numbers[index] for index in near.tolist()):
            one, two = marks[number], marks[other]
            limits = _limits_of(one, two)
            if limits is not None:
                share = _mirrored(_valve(one, photo), _valve(two, photo), photo, limits)
                if share >= limits.mirrored:
                    yield share, number, other


def _limits_of(one: Mark, other: Mark) -> _Limits | None:
    """What two must keep to if they are one shell; None where they are two in any case."""
    may_be = [_may_be_valve(mark) for mark in (one, other)]
    if all(may_be) and _look_empty(one, other):
        return EMPTY_VALVES
    return BOOK if any(may_be) and not (one.is_cut or other.is_cut) else None


def _may_be_valve(mark: Mark) -> bool:
    """Whether it does not surely look alive; of what the border cuts nothing is said."""
    told = mark.proposal
    return told is not None and not (told.state == LIVE and told.score >= SURE)


def _look_empty(one: Mark, other: Mark) -> bool:
    """Whether one of two does, and not both are cut by the border."""
    return DEAD in (one.proposed_state, other.proposed_state) and not (one.is_cut and other.is_cut)


def _valve(mark: Mark, photo: Photo) -> _Valve:
    outline = np.array(mark.outline_px, np.float64)
    middle = np.array([mark.x_px, mark.y_px])
    spread = cv2.moments((outline - middle).astype(np.float32)[:, None])
    turn = 0.5 * np.arctan2(2 * spread["mu11"], spread["mu20"] - spread["mu02"])
    along = np.array([np.cos(turn), np.sin(turn)])
    return _Valve(outline, middle, mark.length_um / _um_per_px(photo), along, mark.is_cut)


def _mirrored(one: _Valve, other: _Valve, photo: Photo, limits: _Limits) -> float:
    """How well two valves mirror each other at the line where they touch; 0 for no such pair.

    Of two whole valves that line lies half-way between their middles. One that the border cuts must
    be what is seen of the whole one's mirror image.
    """
    if one.is_cut:
        one, other = other, one
    length = max(one.length, other.length)
    between = other.middle - one.middle
    away = float(np.hypot(*between))
    if away < NEAREST * length:
        return 0.0
    hinge = np.array([-between[1], between[0]]) / away
    if not other.is_cut and not _fit(one, other, hinge, away, limits):
        return 0.0
    touching = _touching(one.outline, other.outline, TOUCHING * length)
    if not len(touching):
        return 0.0
    if other.is_cut:
        image = _image(one.outline, touching.mean(axis=0), one.along)
        seen, _ = inside_picture(image, photo.width_px, photo.height_px)
        return _shared(seen, other.outline) if len(seen) >= 3 else 0.0
    return _shared(_image(one.outline, (one.middle + other.middle) / 2, hinge), other.outline)


def _fit(one: _Valve, other: _Valve, hinge: Floats, away: float, limits: _Limits) -> bool:
    """Whether two whole valves are as long as each other, near, and along the hinge (unit)."""
    shorter, longer = sorted((one.length, other.length))
    along = min(abs(float(valve.along @ hinge)) for valve in (one, other))
    return (
        shorter >= limits.as_long * longer
        and away <= limits.farthest * longer
        and along >= np.cos(np.radians(limits.askew))
    )


def _touching(one: Floats, other: Floats, near_px: float) -> Floats:
    """The points of two outlines that lie within the other or near it (n, 2)."""
    return np.array(
        [
            point
            for points, rest in ((one, other), (other, one))
            for point in points.tolist()
            if cv2.pointPolygonTest(rest.astype(np.float32)[:, None], point, True) > -near_px
        ]
    ).reshape(-1, 2)


def _image(outline: Floats, place: Floats, along: Floats) -> Floats:
    """An outline (n, 2) mirrored at the line through ``place`` along ``along`` (unit)."""
    across = np.array([-along[1], along[0]])
    return np.asarray(outline - 2 * ((outline - place) @ across)[:, None] * across)


def _shared(one: Floats, other: Floats) -> float:
    """How much of the area that two outlines cover both cover, 0 to 1."""
    every = np.concatenate([one, other])
    low, side = every.min(axis=0), max(float(np.ptp(every, axis=0).max()), 1e-6)
    covered = np.zeros((2, CELLS + 1, CELLS + 1), np.uint8)
    for grid, outline in zip(covered, (one, other), strict=True):
        cv2.fillPoly(grid, [np.round((outline - low) * (CELLS / side)).astype(np.int32)], 1)
    return float((covered.min(axis=0)).sum() / max(1, covered.max(axis=0).sum()))


def _joined(one: Mark, other: Mark, photo: Photo) -> Mark:
    """One mark round both valves; it says that it may be two."""
    longer, shorter = sorted((one, other), key=lambda mark: -mark.length_um)
    surer = max(one, other, key=lambda mark: _sureness(mark))
    near_px = TOUCHING * longer.length_um / _um_per_px(photo)
    outline = united([np.array(mark.outline_px) for mark in (longer, shorter)], near_px)
    found = measure(outline, _um_per_px(photo))
    both = one.flags | other.flags
    doubt = {flags.DOUBTFUL.key} - (one.flags & other.flags)
    return replace(
        longer,
        x_px=found.x_px,
        y_px=found.y_px,
        outline_px=tuple((float(x), float(y)) for x, y in outline),
        length_um=found.length_um,
        width_um=found.width_um,
        area_um2=found.area_um2,
        score=max(one.score, other.score),
        flags=(both - doubt) | {flags.MERGED.key, flags.CLUMP.key},
        proposal=surer.proposal if _sureness(surer) else Proposal(reason="unsure"),
    )


def _sureness(mark: Mark) -> float:
    """How surely a mark is proposed to be dead."""
    told = mark.proposal
    return told.score if told is not None and told.state == DEAD else 0.0


def _um_per_px(photo: Photo) -> float:
    if photo.um_per_px is None:
        raise ValueError("a photo needs a scale before valves are compared")
    return photo.um_per_px
