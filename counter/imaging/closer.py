"""A closer look at candidates of which the finder is not quite sure: are they bodies at all?

The finder sees the smallest body a dozen pixels across, and all of a picture at once. A small
network of its own (``resources/model/closer.onnx``, see CLOSER.md there) sees one candidate at a
time, at the picture's own resolution, with what lies around it. It learnt larvae, empty shells and
eggs, against what the finder takes for them on drawn slides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.calibrated import chance_of, closer_chance_of
from counter.imaging.crop_networks import load_crop_network, logits_of
from counter.imaging.kinds import LARVA
from counter.imaging.net import NoNetworkError
from counter.imaging.photo import Photo, white_level
from counter.imaging.state_crops import crop, stacked
from counter.imaging.weighed import Weighed

SIDE = 64
"""Crops are this many pixels wide and high."""

SPAN = 2.0
"""A crop shows this many times the candidate's length: a bubble's rim stands around its middle."""

SURE_DEPTH = 0.97
"""Candidates into which the network sees deeper than this are not looked at: on drawn fields 50 to
57 of two renderers, 5 of 1,177 of them are no bodies."""


NARROW, FAIRLY_SURE_DEPTH = 0.65, 0.65
"""Of what is narrower than the first share of its length, and seen as deep as the second, the
closer look may only make surer: among what it learnt were few larvae on their side, and pointed
ones it takes for litter. The same goes for embryos whose cells just touch, which it did not
learn."""


FIRM_NO, KEPT = -4.5, 0.1
"""Below this logit a candidate keeps only this share of its score, however sure the finder is: on
drawn fields 50 to 57 of two renderers, and on pictures of a third, no whole body is seen so."""


SURE_LARVA, QUITE_DEEP, AT_LEAST = 0.97, 0.9, 0.6
"""What the network takes for a larva, and sees as deep as this, keeps at least this chance: on
drawn fields 50 to 57 and on pictures of a third renderer four whole candidates that the other
opinions refused were so, all of them larvae with a velum or grain across their rim."""


def crop_of(each: Weighed, photo: Photo) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
    """Return what is shown of a candidate: the grey crop and its mask, both (64, 64).

    ``photo`` must have a scale.
    """
    if photo.um_per_px is None:
        raise ValueError("a photo needs a scale before candidates are looked at")
    middle = (each.measures.x_px, each.measures.y_px)
    length_px = each.measures.length_um / photo.um_per_px
    return crop(photo.pixels, middle, length_px, each.outline, SIDE, SPAN)


def is_narrow(each: Weighed) -> bool:
    """Whether a candidate is as narrow as a larva on its side, and the finder fairly sure of it."""
    is_fairly_sure = each.depth >= FAIRLY_SURE_DEPTH
    return is_fairly_sure and each.measures.width_um < NARROW * each.measures.length_um


def chance_seen_closer(each: Weighed, logit: float) -> float:
    """Return how often such a candidate, on which the closer look says this, is a body, 0 to 1."""
    chance = closer_chance_of(each.depth, each.judged, logit, each.cut)
    if each.cut:
        return chance
    is_sure = each.depth >= QUITE_DEEP and float(each.classes[LARVA]) >= SURE_LARVA
    if is_sure:
        chance = max(chance, AT_LEAST)
    if is_narrow(each) or (each.is_embryo and logit >= FIRM_NO):
        return max(chance, chance_of(each.depth, each.judged))
    return KEPT * chance if logit < FIRM_NO and not is_sure else chance


def looked_closer(weighed: Sequence[Weighed], photo: Photo) -> list[Weighed]:
    """Return the candidates with the closer look's opinion in their scores, where one was taken.

    None is taken of the surest.

    Raises :class:`~counter.imaging.net.NoNetworkError` when the network cannot be read.
    """
    found = list(weighed)
    chosen = [number for number, each in enumerate(found) if each.depth < SURE_DEPTH]
    if not chosen:
        return found
    crops = [crop_of(found[number], photo) for number in chosen]
    logits = logits_of(_load(), stacked(crops, float(white_level(photo.pixels))))
    for number, logit in zip(chosen, logits.tolist(), strict=True):
        each = found[number]
        share = each.score / max(chance_of(each.depth, each.judged), 1e-9)
        chance = chance_seen_closer(each, logit)
        found[number] = replace(each, score=min(1.0, share) * chance, closer=logit)
    return found


def _load() -> cv2.dnn.Net:
    try:
        return load_crop_network("closer")
    except (OSError, cv2.error) as error:
        raise NoNetworkError(
            "The learned finder's file resources/model/closer.onnx cannot be read; install the "
            "program again to get it back."
        ) from error
