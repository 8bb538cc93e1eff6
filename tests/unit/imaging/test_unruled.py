"""Rulings are found at any angle and taken out."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.imaging.light import Flat
from counter.imaging.shape import Sizes
from counter.imaging.unruled import without_rulings

SIZES = Sizes(16, 90)
SEEN = np.full((420, 560), 255, np.uint8)


def _ruled(angle_deg: float, depth: float, width: int) -> Flat:
    """Two parallel lines and one across on noisy water, and a body beside a line."""
    contrast = np.random.default_rng(6).normal(0, 0.01, SEEN.shape).astype(np.float32)
    line: NDArray[np.uint8] = np.zeros(SEEN.shape, np.uint8)
    turn = np.deg2rad(angle_deg)
    for normal, away in ((turn, -80), (turn, 90), (turn + np.pi / 2, 20)):
        foot = np.array([280, 210]) + away * np.array([np.cos(normal), np.sin(normal)])
        run = 900 * np.array([-np.sin(normal), np.cos(normal)])
        ends = [tuple(int(v) for v in foot + sign * run) for sign in (-1, 1)]
        cv2.line(line, ends[0], ends[1], 255, width, cv2.LINE_AA)
    contrast += depth * line.astype(np.float32) / 255
    cv2.circle(contrast, (300, 60), 20, -0.4, -1)
    return Flat(contrast, 0.01, np.ones(1, np.float32))


@pytest.mark.parametrize("angle_deg", [0.0, 7.0, 33.0, 45.0, 81.0])
@pytest.mark.parametrize(("depth", "width"), [(-0.5, 2), (0.3, 9)])
def test_lines_at_any_angle_are_taken_out(angle_deg: float, depth: float, width: int) -> None:
    """Thin dark lines and wide bright grooves: what is left of them is within the noise."""
    flat = _ruled(angle_deg, depth, width)
    ruled = without_rulings(flat, SEEN, SIZES)
    assert len(ruled.lines) >= 3
    left = np.abs(ruled.flat.contrast[ruled.bands > 0])
    assert float(np.percentile(left, 90)) < 0.05
    body = ruled.flat.contrast[50:70, 290:310][ruled.bands[50:70, 290:310] == 0]
    assert not len(body) or float(np.median(body)) == pytest.approx(-0.4, abs=0.05)


@pytest.mark.parametrize("angle_deg", [0.0, 33.0])
def test_rims_are_hidden_by_a_line_itself_not_by_all_of_its_band(angle_deg: float) -> None:
    """Where the line is drawn, and no further than three pixels from it; a band is wider."""
    ruled = without_rulings(_ruled(angle_deg, -0.5, 5), SEEN, SIZES)
    bare = without_rulings(_ruled(angle_deg, 0.0, 5), SEEN, SIZES)
    line = _ruled(angle_deg, -0.5, 5).contrast - _ruled(angle_deg, 0.0, 5).contrast < -0.4
    around = cv2.dilate(line.astype(np.uint8), np.ones((7, 7), np.uint8)) > 0
    assert (ruled.hiding[line] > 0).mean() > 0.97
    assert (ruled.hiding[~around] > 0).mean() < 0.005
    assert np.count_nonzero(ruled.hiding) < 0.8 * np.count_nonzero(ruled.bands)
    assert not bare.hiding.any()


def test_without_lines_nothing_changes() -> None:
    """Bodies and noise alone are no rulings: the contrast comes back as it was."""
    contrast = np.random.default_rng(8).normal(0, 0.01, SEEN.shape).astype(np.float32)
    for x in range(60, 540, 70):
        cv2.circle(contrast, (x, 200), 20, -0.4, -1)
    flat = Flat(contrast, 0.01, np.ones(1, np.float32))
    ruled = without_rulings(flat, SEEN, SIZES)
    assert ruled.lines == ()
    assert ruled.flat is flat


def test_a_fibre_is_no_ruling() -> None:
    """A straight stroke that does not cross the field stays what it is."""
    contrast = np.random.default_rng(9).normal(0, 0.01, SEEN.shape).astype(np.float32)
    cv2.line(contrast, (200, 150), (330, 220), -0.5, 4)
    ruled = without_rulings(Flat(contrast, 0.01, np.ones(1, np.float32)), SEEN, SIZES)
    assert ruled.lines == ()
