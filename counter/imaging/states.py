"""Proposes states: live or dead, fertilised or not, an eye spot seen or not.

Three small networks (``resources/model/shells.onnx``, ``eggs.onnx`` and ``eyes.onnx``; see
STATES.md there) look at one crop of each body, closer where they look for an eye spot. Nothing is
proposed for a body that is cut by the border, out of focus, or too few pixels across, nor where the
answer is not sure enough; the proposal then says why. A stage is never changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import chain

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain import flags
from counter.domain.mark import Mark
from counter.domain.proposed import DEAD, FERTILISED, LIVE, UNFERTILISED, Proposal
from counter.domain.species import Target, TargetKind
from counter.errors import CounterError
from counter.imaging.crop_networks import load_crop_network, logits_of
from counter.imaging.photo import Photo, white_level
from counter.imaging.slide import AnyPhoto
from counter.imaging.state_crops import CLOSE_SIDE, SIDE, SPAN, crop, stacked

__all__ = ["NoStatesError", "looked_at", "proposed"]

Floats = NDArray[np.float32]

LEAST_EGG_PX, LEAST_LARVA_PX, LEAST_EYED_PX = 25.0, 20.0, 60.0
"""A body must be this long on the picture to show a polar body, a gut, or an eye spot."""

UNSURE, UNSURE_EYE = 0.6, 0.84
"""An answer that is less sure than this is none; for eye spots, the second. On crops drawn for
training but held out from it, 95 % of what is then said of eye spots is right."""

SUREST = 0.99
"""The networks learnt from drawings: they are not believed to be surer than this."""

BRIGHT, SUREST_DARK_FIELD = 0.4, 0.75
"""A body that is brighter than what lies around it by more than the first share of its own
root mean square difference lies in a dark field: its rim and gut shine, and the rest of it is as
dark as an empty shell. There nothing is proposed ``dead`` more surely than the second, so that it
is looked at: on pictures of a renderer that nothing was set on, 35 of 288 live larvae were."""

EYED_FROM = 0.85
"""Eye spots are looked for from this share of the length at which larvae are staged ``eyed``."""

EYED = "eyed"

DRAWN_IN = {"eggs": 0.96}
"""An egg's outline is shown this much smaller: the finder's runs smoothly round an embryo's cells,
and what stands out over it then shows as lobes do. Chosen on drawn scenes that train nothing."""

ACROSS = {"eyes": CLOSE_SIDE}
"""How many pixels wide a network's crops are, where not :data:`SIDE`."""


class NoStatesError(CounterError):
    """A network's file is missing or damaged."""


def proposed(photo: Photo, marks: Sequence[Mark], target: Target) -> list[Mark]:
    """Return ``marks`` with what is proposed of each.

    ``photo`` must have ``um_per_px``; lengths and outlines of the marks are in its scale and
    pixels. No marks give none. Raises :class:`NoStatesError` when a network cannot be read.
    """
    if not marks:
        return []
    if photo.um_per_px is None:
        raise ValueError("a photo needs a scale before states are proposed")
    eggs = target.kind is TargetKind.EGGS
    least_px = LEAST_EGG_PX if eggs else LEAST_LARVA_PX
    reasons = [_reason(mark, least_px, photo.um_per_px) for mark in marks]
    chosen = [number for number, reason in enumerate(reasons) if not reason]
    name, words = ("eggs", (FERTILISED, UNFERTILISED)) if eggs else ("shells", (DEAD, LIVE))
    answers = _answers(name, photo, [marks[number] for number in chosen])
    made = [Proposal(reason=reason) for reason in reasons]
    for number, (chance, shine) in zip(chosen, answers, strict=True):
        most = SUREST_DARK_FIELD if words[0] == DEAD and shine > BRIGHT else SUREST
        made[number] = _answer(chance, words, most)
    if not eggs:
        made = _with_eyes(made, photo, marks, chosen, target)
    return [replace(mark, proposal=each) for mark, each in zip(marks, made, strict=True)]


def looked_at(photo: AnyPhoto, mark: Mark, target: Target) -> Mark:
    """Return one mark with what is proposed of it; only its surroundings are read.

    ``photo`` must have ``um_per_px``. Where its pixels, or a network, cannot be read, the mark
    comes back as it is: nobody should be kept from correcting by that.
    """
    if photo.um_per_px is None:
        raise ValueError("a photo needs a scale before states are proposed")
    reach = int(SPAN * mark.length_um / photo.um_per_px) + 2
    left, top = max(0, int(mark.x_px) - reach), max(0, int(mark.y_px) - reach)
    try:
        part = photo.part(left, top, left + 2 * reach + 1, top + 2 * reach + 1)
        outline = tuple((x - left, y - top) for x, y in mark.outline_px)
        here = replace(mark, x_px=mark.x_px - left, y_px=mark.y_px - top, outline_px=outline)
        (found,) = proposed(part.with_scale(photo.um_per_px), [here], target)
    except CounterError:
        return mark
    return replace(mark, proposal=found.proposal)


def _reason(mark: Mark, least_px: float, um_per_px: float) -> str:
    """Why nothing can be said of a mark; empty where something can."""
    if mark.is_cut:
        return "cut"
    if flags.BLURRED.key in mark.flags:
        return "blurred"
    return "small" if mark.length_um / um_per_px < least_px else ""


def _answer(chance: float, words: tuple[str, str], most: float) -> Proposal:
    """The likelier of two words; of the first nothing is surer than ``most``."""
    sure = max(chance, 1 - chance)
    if sure < UNSURE:
        return Proposal(reason="unsure")
    if chance > 0.5:
        return Proposal(words[0], min(sure, most))
    return Proposal(words[1], min(sure, SUREST))


def _with_eyes(
    made: list[Proposal],
    photo: Photo,
    marks: Sequence[Mark],
    chosen: Sequence[int],
    target: Target,
) -> list[Proposal]:
    """Add what is seen of eye spots to live larvae that are old enough to have one."""
    eyed = [entry.from_um for entry in target.species.stages if entry.stage == EYED]
    if not eyed or photo.um_per_px is None:
        return made
    least_um = max(EYED_FROM * eyed[0], LEAST_EYED_PX * photo.um_per_px)
    old = [n for n in chosen if marks[n].length_um >= least_um and made[n].state != DEAD]
    answers = _answers("eyes", photo, [marks[number] for number in old])
    for number, (chance, _) in zip(old, answers, strict=True):
        sure = max(chance, 1 - chance)
        if sure >= UNSURE_EYE:
            made[number] = replace(
                made[number], eye_spot=chance > 0.5, eye_spot_score=min(sure, SUREST)
            )
    return made


def _answers(name: str, photo: Photo, marks: Sequence[Mark]) -> list[tuple[float, float]]:
    """Return the network's answer (0 to 1) for each mark, and how much brighter it is than what
    lies around it, in units of its root mean square difference from that."""
    if not marks or photo.um_per_px is None:
        return []
    crops, share, across = [], DRAWN_IN.get(name, 1.0), ACROSS.get(name, SIDE)
    for mark in marks:
        middle = np.array((mark.x_px, mark.y_px))
        flat = np.fromiter(chain.from_iterable(mark.outline_px), np.float64)
        outline = middle + (flat.reshape(-1, 2) - middle) * share
        length_px = mark.length_um / photo.um_per_px
        crops.append(crop(photo.pixels, (mark.x_px, mark.y_px), length_px, outline, across))
    given = stacked(crops, float(white_level(photo.pixels)))
    chances = 1 / (1 + np.exp(-logits_of(_load(name), given)))
    light, inside = given[:, 0], given[:, 1]
    shines = (light * inside).sum(axis=(1, 2)) / np.maximum(inside.sum(axis=(1, 2)), 1e-3)
    return [(float(chance), float(shine)) for chance, shine in zip(chances, shines, strict=True)]


def _load(name: str) -> cv2.dnn.Net:
    try:
        return load_crop_network(name)
    except (OSError, cv2.error) as error:
        raise NoStatesError(
            f"The file resources/model/{name}.onnx cannot be read, so no states are proposed; "
            "install the program again to get it back."
        ) from error
