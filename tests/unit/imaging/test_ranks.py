"""Medians and percentiles against numpy's own."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from numpy.typing import NDArray

from counter.imaging.ranks import median_of_sorted, middle, percentile

KINDS = st.sampled_from([np.uint8, np.int8, np.uint16, np.float32, np.float64])
SHAPES = arrays.array_shapes(max_dims=3, max_side=9)


def _numbers(kind: type) -> st.SearchStrategy[NDArray[np.generic]]:
    if issubclass(kind, np.floating):
        return arrays.arrays(kind, SHAPES, elements=st.floats(-1000, 1000, width=32))
    return arrays.arrays(kind, SHAPES)


@given(KINDS.flatmap(_numbers), st.floats(0, 100))
def test_a_percentile_is_numpys(values: NDArray[np.uint8], percent: float) -> None:
    """Of any kind and shape; numpy rounds a mean of single precision to that."""
    wanted = np.percentile(values.astype(np.float64), percent)
    assert percentile(values, percent) == pytest.approx(float(wanted), rel=1e-9, abs=1e-9)


@given(KINDS.flatmap(_numbers))
def test_the_middle_is_the_median(values: NDArray[np.uint8]) -> None:
    """Also of an even number of values, and where they are in order already."""
    wanted = float(np.median(values.astype(np.float64)))
    assert middle(values) == pytest.approx(wanted, rel=1e-12, abs=1e-12)
    assert median_of_sorted(np.sort(values.ravel())) == pytest.approx(wanted, rel=1e-12, abs=1e-12)


def test_values_stay_in_their_order() -> None:
    """What is looked at is not sorted in place."""
    values = np.array([3.0, 1.0, 2.0, 5.0])
    assert middle(values) == 2.5
    assert values.tolist() == [3.0, 1.0, 2.0, 5.0]


def test_nothing_has_no_middle() -> None:
    """No values: an error, not a number."""
    with pytest.raises(ValueError, match="no values"):
        middle(np.zeros(0))
