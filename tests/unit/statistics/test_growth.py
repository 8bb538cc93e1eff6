"""Growth between two samples."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from scipy.stats import ttest_ind

from counter.statistics.growth import growth, growth_words, growth_working
from counter.statistics.sizes import Sizes


def measured(values: list[float]) -> Sizes:
    """The sizes of these lengths, as far as growth needs them."""
    lengths = np.array(values)
    sd = float(lengths.std(ddof=1)) if lengths.size > 1 else None
    mean = float(lengths.mean())
    return Sizes(lengths.size, mean, sd, mean, mean, mean)


DRAWS = np.random.default_rng(8)
DAY_5 = DRAWS.normal(102.5, 8, 30).tolist()
DAY_7 = DRAWS.normal(123.5, 14, 24).tolist()


def test_growth_has_the_limits_of_welch() -> None:
    """The same as scipy's test for unequal variances."""
    found = growth(measured(DAY_5), measured(DAY_7), 2.0)
    assert found is not None
    limits = ttest_ind(DAY_7, DAY_5, equal_var=False).confidence_interval(0.95)
    assert (found.low, found.high) == pytest.approx((limits.low / 2, limits.high / 2))
    assert found.um_per_day == pytest.approx((np.mean(DAY_7) - np.mean(DAY_5)) / 2)
    assert found.is_shown
    assert growth_words(found).startswith("Growth ")
    assert "µm a day (95 % limits" in growth_words(found)


def test_growth_that_the_limits_do_not_show_is_said() -> None:
    """The same larvae after a day."""
    found = growth(measured(DAY_5), measured(DAY_5[:20]), 1.0)
    assert found is not None
    assert not found.is_shown
    assert growth_words(found).startswith("No growth is shown: ")


def test_smaller_than_last_time_points_to_grading() -> None:
    """Larvae do not shrink."""
    found = growth(measured(DAY_7), measured(DAY_5), 2.0)
    assert found is not None
    assert "graded off?" in growth_words(found)


def test_one_length_or_no_time_gives_no_growth() -> None:
    """None instead of a number."""
    assert growth(measured(DAY_5[:1]), measured(DAY_7), 2.0) is None
    assert growth(measured(DAY_5), measured(DAY_7[:1]), 2.0) is None
    for days in (0.0, -1.0, math.inf):
        assert growth(measured(DAY_5), measured(DAY_7), days) is None


def test_lengths_without_scatter_have_limits_of_no_width() -> None:
    """Rounded lengths may all be alike."""
    found = growth(measured([80.0] * 5), measured([90.0] * 5), 2.0)
    assert found is not None
    assert (found.low, found.um_per_day, found.high) == (5.0, 5.0, 5.0)


def test_the_working_comes_out_on_paper() -> None:
    """Each line reckoned again from the numbers that it prints."""
    before, after = measured(DAY_5), measured(DAY_7)
    found = growth(before, after, 2.5, 0.9)
    assert found is not None
    *_, error, limits = growth_working(before, after, found)
    one, two = (
        float(sd) ** 2 / int(number) for sd, number in re.findall(r"([\d.]+)² ÷ (\d+)", error)
    )
    printed = float(error.split(" = ")[1].split()[0])
    assert math.sqrt(one + two) == pytest.approx(printed, rel=1e-4)
    difference, t, printed, days, low, high = (
        float(text) for text in re.findall(r"[\d.]+", limits.removeprefix("Limits (90 %)"))
    )
    assert (difference - t * printed) / days == pytest.approx(low, rel=1e-3)
    assert (difference + t * printed) / days == pytest.approx(high, rel=1e-3)
    assert (low, high) == pytest.approx((found.low, found.high), rel=1e-4)


def test_the_json_holds_no_infinity() -> None:
    """Lengths without scatter have degrees of freedom without end: null."""
    alike = growth(measured([80.0] * 5), measured([90.0] * 5), 2.0)
    assert alike is not None
    assert alike.as_json()["degrees_of_freedom"] is None
    assert growth_working(measured([80.0] * 5), measured([90.0] * 5), alike)[3].endswith("1.96")
