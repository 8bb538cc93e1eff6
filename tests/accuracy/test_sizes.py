"""Sizes against known truth: borders, quantiles, two cohorts."""

from __future__ import annotations

import math

import numpy as np
import pytest

from counter.domain.field import PictureField
from counter.domain.flags import CUT
from counter.domain.mark import Mark
from counter.domain.picture import Picture
from counter.domain.sample import Filling, Sample
from counter.domain.scale import Scale
from counter.statistics.cohorts import CRITICAL, LEVEL, cohorts, dip
from counter.statistics.quantiles import quantile_limits
from counter.statistics.selection import selection
from counter.statistics.sizes import sizes
from tests.hatchery import CHAMBER, LARVAE

WIDTH, HEIGHT = 1200, 900


def shells(draws: np.random.Generator, number: int) -> Sample:
    """Ellipses of two cohorts, about 80 and 300 µm, in all directions over a plane of which the
    picture (1 µm per pixel) is a part."""
    lengths = np.where(
        draws.random(number) < 0.5, draws.normal(80, 6, number), draws.normal(300, 20, number)
    )
    marks = {}
    frame = np.array([WIDTH, HEIGHT])
    for mark_id, length in enumerate(lengths, start=1):
        a, b, turn = length / 2, 0.42 * length, draws.uniform(0, math.pi)
        box = np.array(
            [math.hypot(a * math.cos(turn), b * math.sin(turn)),
             math.hypot(a * math.sin(turn), b * math.cos(turn))]
        )  # fmt: skip
        x, y = centre = draws.uniform(-300, frame + 300)
        if (centre + box < 0).any() or (centre - box > frame).any():
            continue
        cut = bool((centre - box < 0).any() or (centre + box > frame).any())
        noted = frozenset({CUT.key}) if cut else frozenset()
        around = ((x - a, y), (x, y - b), (x + a, y), (x, y + b))
        marks[mark_id] = Mark(
            mark_id, x, y, around, length, 2 * b, math.pi * a * b, "umbo", flags=noted
        )
    scale = Scale(1.0, "given")
    field = PictureField(1, Picture("plane.png", 0, WIDTH, HEIGHT, scale, 1.08), marks)
    return Sample(LARVAE, CHAMBER, fillings=(Filling(1, (field,)),))


def test_border_weights_give_the_mean_of_the_plane() -> None:
    """Half are about 80 µm, half about 300: the mean is 190, but whole on the picture are fewer
    large ones. The plain mean is some 15 µm too small, the corrected one right within 2."""
    sample = shells(np.random.default_rng(41), 30_000)
    found, plain = selection(sample), sizes(sample)
    assert plain is not None
    assert found.corrected is not None
    assert plain.mean < 180
    assert found.corrected.mean == pytest.approx(190, abs=2)
    assert found.corrected.sd is not None
    assert found.corrected.sd == pytest.approx(math.sqrt(110**2 + (6**2 + 20**2) / 2), rel=0.02)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_limits_of_quantiles_hold_the_true_one(share: float) -> None:
    """2 000 seeded samples of 60 skewed lengths: at least 95 % hold it."""
    draws = np.random.default_rng(17)
    truth = math.log(1 / (1 - share))  # of the exponential distribution
    held = 0
    for _ in range(2000):
        low, high = quantile_limits(np.sort(draws.exponential(size=60)), share)
        assert low is not None
        assert high is not None
        held += low <= truth <= high
    assert 0.945 <= held / 2000 <= 0.99


@pytest.mark.parametrize(("number", "point"), [entry for entry in CRITICAL if entry[0] <= 100])
def test_the_critical_dips_come_out_again(number: int, point: float) -> None:
    """600 evenly spread samples of another seed: about 5 % lie beyond the point."""
    draws = np.random.default_rng(number)
    beyond = [dip(draws.random(number)) * math.sqrt(number) > point for _ in range(600)]
    assert sum(beyond) / 600 == pytest.approx(LEVEL, abs=0.025)


def test_one_cohort_raises_hardly_an_alarm() -> None:
    """Bell-shaped, skewed, and graded between two screens: 300 seeded samples of 80 each."""
    draws = np.random.default_rng(29)
    bells = [draws.normal(72, 5, 80) for _ in range(300)]
    skewed = [draws.lognormal(4.4, 0.2, 80) for _ in range(300)]
    wide = [draws.normal(200, 30, 800) for _ in range(300)]
    graded = [lengths[(lengths > 180) & (lengths < 230)][:80] for lengths in wide]
    for samples in (bells, skewed, graded):
        assert sum(cohorts(lengths) is not None for lengths in samples) <= 9


def test_two_cohorts_are_mostly_seen() -> None:
    """80 and 115 µm, standard deviations 6 and 8, 60 to 40, 80 measured: nine of ten."""
    draws = np.random.default_rng(31)
    mixed = (
        np.concatenate([draws.normal(80, 6, 48), draws.normal(115, 8, 32)]) for _ in range(200)
    )
    assert sum(cohorts(lengths) is not None for lengths in mixed) >= 175
