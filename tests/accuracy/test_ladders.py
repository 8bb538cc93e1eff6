"""Ladders: how far overlap and defocus may go before bodies are lost."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.classical import search
from counter.imaging.detect import detect
from counter.imaging.photo import Photo
from counter.imaging.scene import prepare

TARGET = target_of(species("eastern-oyster"), TargetKind.LARVAE)


def _pictured(*ellipses: tuple[float, float, float, float], blur: float = 1.0) -> Photo:
    """Discs of one tone with a darker rim, at (x, y) with half axes (a, b), 2 µm a pixel."""
    grey = np.full((300, 430), 185.0, np.float32)
    for x, y, a, b in ellipses:
        box = ((x * 16, y * 16), (a * 16, b * 16))
        centre, axes = (tuple(round(v) for v in pair) for pair in box)
        body: NDArray[np.uint8] = np.zeros(grey.shape, np.uint8)
        cv2.ellipse(body, centre, axes, 0, 0, 360, 255, -1, cv2.LINE_AA, 4)
        grey *= 1 - 0.35 * body / 255
    soft = np.asarray(cv2.GaussianBlur(grey, (0, 0), blur), np.float32)
    soft += np.random.default_rng(3).normal(0, 2, soft.shape)
    return Photo(soft.clip(0, 255).astype(np.uint8)).with_scale(2.0)


@pytest.mark.parametrize("overlap", [0.0, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3])
def test_two_overlapping_discs_come_apart(overlap: float) -> None:
    """Up to three tenths of the diameter: two bodies, each of its own length within 4 %."""
    apart = 60 * (1 - overlap)
    found = detect(_pictured((150, 140, 30, 30), (150 + apart, 140, 30, 30)), TARGET, Silent())
    assert len(found.marks) == 2
    for mark in found.marks:
        assert mark.length_um == pytest.approx(121, rel=0.04)


@pytest.mark.parametrize("count", [3, 4, 5])
def test_a_row_and_a_ring_of_touching_discs_come_apart(count: int) -> None:
    """As many bodies as there are discs; the water that a ring encloses is none."""
    turn = np.arange(count) * 2 * np.pi / count
    radius = 25 / np.sin(np.pi / count)
    ring = [(210 + radius * np.cos(t), 145 + radius * np.sin(t), 25.0, 25.0) for t in turn]
    row = [(60 + 49 * k, 150.0, 25.0, 25.0) for k in range(count)]
    for group in (ring, row):
        assert len(detect(_pictured(*group), TARGET, Silent()).marks) == count


@pytest.mark.parametrize("blur", [0.7, 1.5, 3.5])
def test_blur_does_not_change_the_length(blur: float) -> None:
    """The steepest place of a blurred edge is the edge: within 3 %; strong blur is flagged."""
    marks = detect(_pictured((200, 150, 40, 32), blur=blur), TARGET, Silent()).marks
    assert len(marks) == 1
    assert marks[0].length_um == pytest.approx(162, rel=0.03)
    assert ("blurred" in marks[0].flags) == (blur >= 3.0)


@pytest.mark.parametrize("blur", [5.0, 7.0])
def test_without_the_network_even_stronger_blur_does_not(blur: float) -> None:
    """The older finder finds what the network takes for a ghost, within 3 %, and flags it."""
    photo = _pictured((200, 150, 40, 32), blur=blur)
    (mark,) = search(prepare(photo, TARGET, Silent()), TARGET, Silent())
    assert mark.length_um == pytest.approx(162, rel=0.03)
    assert "blurred" in mark.flags


@pytest.mark.parametrize("coarser", [1, 2, 3])
def test_the_scale_of_the_picture_does_not_change_the_length(coarser: int) -> None:
    """The same slide at a half and a third of the resolution: within 2.5 %."""
    photo = _pictured((200, 150, 60, 48))
    small = cv2.resize(photo.pixels, (430 // coarser, 300 // coarser), interpolation=cv2.INTER_AREA)
    pixels = np.asarray(small, np.uint8)
    marks = detect(Photo(pixels).with_scale(2.0 * coarser), TARGET, Silent()).marks
    assert len(marks) == 1
    assert marks[0].length_um == pytest.approx(242, rel=0.025)
