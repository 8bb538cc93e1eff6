"""Sizes: only whole larvae that count."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.flags import CUT
from counter.domain.sample import Filling, Sample
from counter.domain.tally_field import TalliedSquare, TallyField
from counter.statistics.sizes import lengths_um, sizes
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def test_sizes_are_those_of_the_lengths() -> None:
    """Mean, standard deviation (n - 1) and percentiles of ten lengths, worked by hand."""
    marks = [mark(number, length_um=60.0 + 10 * number) for number in range(1, 11)]
    found = sizes(Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(*marks),)),)))
    assert found is not None
    assert found.measured == 10
    assert found.mean == pytest.approx(115.0)
    assert found.sd == pytest.approx((8250 / 9) ** 0.5)
    assert (found.p10, found.median, found.p90) == pytest.approx((79.0, 115.0, 151.0))
    assert {"measured", "mean", "sd", "p10", "median", "p90"} < set(found.as_json())


def test_limits_stand_beside_mean_and_percentiles() -> None:
    """Student's for the mean, order statistics for the rest; open where too few were measured."""
    marks = [mark(number, length_um=60.0 + 10 * number) for number in range(1, 11)]
    found = sizes(Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(*marks),)),)))
    assert found is not None
    half = 2.262157 * (8250 / 9 / 10) ** 0.5
    assert found.mean_limits == pytest.approx((115 - half, 115 + half), rel=1e-6)
    assert found.median_limits == (80.0, 150.0)
    assert found.p10_limits == (None, 100.0)
    assert found.p90_limits == (130.0, None)


def test_a_larva_that_the_border_cuts_is_not_measured() -> None:
    """It may count, but its length means nothing."""
    cut = replace(mark(1, length_um=30.0, x_px=0.0, y_px=40.0), flags=frozenset({CUT.key}))
    whole = mark(2, length_um=80.0, y_px=40.0)
    sample = Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(cut, whole),)),))
    assert lengths_um(sample).tolist() == [80.0]


def test_a_single_length_has_no_standard_deviation() -> None:
    """One larva has a mean, no scatter."""
    found = sizes(Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(mark(1)),)),)))
    assert found is not None
    assert found.sd is None
    assert found.mean == found.median == 72.0


def test_nothing_measured_is_none() -> None:
    """A tally has no sizes, nor has an empty sample."""
    tally = TallyField(1, "square", 1.0, (TalliedSquare({"umbo": 3}),), finished=True)
    assert sizes(Sample(LARVAE, CHAMBER, fillings=(Filling(1, (tally,)),))) is None
    assert sizes(Sample(LARVAE, CHAMBER)) is None
