"""What must hold of comparisons and plans whatever was counted."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from counter.statistics.comparison import Side, compare
from counter.statistics.comparison_words import Question, comparison_words
from counter.statistics.effort import Done, effort
from counter.statistics.ratio import METHOD

FILLINGS = st.lists(st.tuples(st.integers(0, 3000), st.floats(1e-4, 100)), min_size=1, max_size=5)


def side(fillings: list[tuple[int, float]]) -> Side:
    """Fillings as one side of a comparison."""
    return Side([count for count, _ in fillings], [volume for _, volume in fillings])


@given(FILLINGS, FILLINGS, st.floats(0.5, 0.999))
def test_the_limits_hold_the_ratio_and_the_answer_fits_them(
    first: list[tuple[int, float]], second: list[tuple[int, float]], level: float
) -> None:
    """low ≤ ratio ≤ high; p lies between 0 and 1."""
    found = compare(side(first), side(second), level)
    assert 0 <= found.p_value <= 1
    if found.ratio is not None:
        assert found.low <= found.ratio * (1 + 1e-9)
        assert found.ratio <= found.high * (1 + 1e-9)


@given(FILLINGS, FILLINGS)
def test_turned_round_the_comparison_turns_round(
    first: list[tuple[int, float]], second: list[tuple[int, float]]
) -> None:
    """The same p value, and inverse limits where they are exact."""
    one, two = compare(side(first), side(second)), compare(side(second), side(first))
    assert one.p_value == pytest.approx(two.p_value, rel=1e-6, abs=1e-12)
    assert one.method == two.method
    if one.method == METHOD and one.first and one.second:
        assert one.low == pytest.approx(1 / two.high, rel=1e-6)
        assert one.high == pytest.approx(1 / two.low, rel=1e-6)


@settings(max_examples=60)
@given(FILLINGS, FILLINGS, st.sampled_from(list(Question)))
def test_every_comparison_has_a_sentence_without_infinite_numbers(
    first: list[tuple[int, float]], second: list[tuple[int, float]], question: Question
) -> None:
    """Whatever was counted; more than all is never called a survival, a yield or a loss."""
    found = compare(side(first), side(second))
    words = comparison_words(found, question)
    assert words
    assert all(bad not in sentence for sentence in words for bad in (" inf", "nan", "unlimited"))
    if found.ratio is not None and found.ratio > 1 and question is not Question.CHANGE:
        assert not words[0].startswith(("Survival", "Yield", "Loss"))


@given(
    st.integers(1, 5000),
    st.integers(1, 12),
    st.floats(1, 20),
    st.floats(1, 50),
    st.floats(0, 0.1),
    st.floats(0.02, 0.5),
)
def test_a_plan_is_kept_by_what_it_asks_for(
    counted: int, fillings: int, index: float, degrees: float, fixed: float, precision: float
) -> None:
    """Counting what is asked for, in as many fillings, reaches the precision."""
    done = Done(counted, 1.0, fillings, None, index, degrees, fixed)
    found = effort(done, precision)
    assert found is not None
    if found.more_fillings is None or found.more_larvae is None:
        assert found.volumes_forbid or precision < 0.05
        return
    more = found.more_fillings
    whole = counted + more * counted / fillings
    then = effort(
        Done(math.ceil(whole), 1.0, fillings + more, None, index, degrees + more, fixed), precision
    )
    assert then is not None
    assert then.now <= precision * 1.02
    assert found.is_reached is (found.now <= precision)
