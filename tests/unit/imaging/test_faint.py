"""Glimmers: what is far fainter than the bodies of its picture."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.detect import detect
from counter.imaging.faint import are_faint
from counter.imaging.judge import Traits
from counter.imaging.measure import Measures
from counter.imaging.photo import Photo
from counter.imaging.weighed import Weighed

MEASURES = Measures(150.0, 140.0, 16000.0, 0.0, 0.0)
TRAITS = Traits(40.0, 0.93, 0.9, 1.0, 0.6, 0.7, 0.1, 0.4, 0.0, 0.0, 1.0)
BODY = Weighed(np.zeros((72, 2)), False, 3.0, MEASURES, TRAITS, 0.95, np.full(4, 0.25), 0.9, 0.98)


def body(strong: float, depth: float = 0.95) -> Weighed:
    """A candidate whose rim, middle and inside differ this much from the empty field."""
    seen = replace(TRAITS, rim=strong, core=-0.7 * strong, fill=0.8 * strong)
    return replace(BODY, traits=seen, depth=depth)


def test_what_has_a_sixth_of_the_bodies_contrast_is_faint_and_a_fifth_is_none() -> None:
    """Whatever its score; out of focus or clear bodies keep more than a third."""
    found = are_faint([body(0.8), body(-0.9), body(1.0), body(0.15), body(0.18), body(0.33)])
    assert found.tolist() == [False, False, False, True, False, False]


def test_it_is_told_by_whatever_differs_most() -> None:
    """A clear shell has a faint inside and a strong rim; a lit ball the other way round."""
    shell = replace(BODY, traits=replace(TRAITS, rim=-0.5, core=0.02, fill=0.05))
    ball = replace(BODY, traits=replace(TRAITS, rim=0.02, core=0.5, fill=0.3))
    assert not are_faint([body(0.9), body(0.9), body(0.9), shell, ball]).any()


def test_too_few_sure_bodies_tell_nothing() -> None:
    """Two sure ones beside a doubtful one, or none at all."""
    assert not are_faint([body(0.9), body(0.9), body(0.9, depth=0.5), body(0.05, depth=0.5)]).any()
    assert are_faint([]).shape == (0,)


def embryos_in_the_dark(glimmers: float) -> Photo:
    """Six bright embryos in a dark field, and eight blurred ones of this share of their light."""
    draws = np.random.default_rng(8)
    light = np.zeros((420, 640))
    y, x = np.mgrid[0:420, 0:640]
    for number in range(6):
        away = np.hypot(x - (70 + 100 * number), y - (90 + 15 * (number % 2)))
        light += 0.7 * np.clip(30 - away, 0, 1) * (0.7 + 0.3 * (away / 30) ** 2)
    for number in range(8):
        away = np.hypot(x - (50 + 77 * number), y - (250 + 90 * (number % 2)))
        light += 0.7 * glimmers * np.clip((16 - away) / 6, 0, 1)
    noisy = cv2.GaussianBlur(light, (0, 0), 1.0) + draws.normal(0, 0.002, light.shape)
    return Photo(np.asarray(np.clip(8 + 230 * noisy, 0, 255), np.uint8)).with_scale(3.4)


@pytest.mark.parametrize("glimmers", [0.04, 0.08])
def test_glimmers_beside_embryos_in_a_dark_field_do_not_count(glimmers: float) -> None:
    """With lengths that a person gave: any body of that length would count."""
    target = target_of(species("eastern-oyster"), TargetKind.EGGS, (80.0, 400.0))
    found = detect(embryos_in_the_dark(glimmers), target, Silent())
    assert len(found.marks) == 6
    assert all(mark.y_px < 150 for mark in found.marks)
