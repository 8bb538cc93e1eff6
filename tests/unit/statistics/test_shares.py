"""What two shares say of each other."""

from __future__ import annotations

import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from counter.statistics.comparison import Answer
from counter.statistics.shares import SharesCompared, compare_shares

COUNTED = st.integers(1, 400).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))


def said(found: SharesCompared) -> str:
    """All that is said, with ordinary spaces."""
    return " ".join(found.words()).replace("\u202f", " ")


@given(COUNTED, COUNTED)
def test_turned_round_the_difference_changes_its_sign(
    first: tuple[int, int], second: tuple[int, int]
) -> None:
    """And the answer its direction; the limits hold the difference and stay within -1 and 1."""
    one, other = compare_shares(first, second), compare_shares(second, first)
    assert one.difference == pytest.approx(-other.difference)
    assert (one.low, one.high) == pytest.approx((-other.high, -other.low))
    assert -1 <= one.low <= one.difference <= one.high <= 1
    turned = {Answer.LESS: Answer.MORE, Answer.MORE: Answer.LESS}
    assert other.answer is turned.get(one.answer, one.answer)


@given(COUNTED, COUNTED)
def test_the_limits_nest_with_the_level(first: tuple[int, int], second: tuple[int, int]) -> None:
    """What 80 % limits hold, 99 % limits hold too."""
    inner, outer = compare_shares(first, second, 0.8), compare_shares(first, second, 0.99)
    assert outer.low <= inner.low <= inner.high <= outer.high


@given(COUNTED, COUNTED)
def test_the_working_comes_out_on_paper(first: tuple[int, int], second: tuple[int, int]) -> None:
    """The numbers as they are printed, to two decimals, give the limit to within their rounding."""
    found = compare_shares(first, second)
    assume(found.difference - found.low > 0.005)
    line = next(line for line in found.working() if line.startswith("Lower limit"))
    numbers = [float(text.replace("−", "-")) for text in re.findall(r"−?\d+\.\d\d", line)]
    difference, one, low, high, other, limit = numbers
    assert difference - ((one - low) ** 2 + (high - other) ** 2) ** 0.5 == pytest.approx(
        limit, abs=0.03
    )


def test_the_sentence_says_which_way() -> None:
    """Lower, higher, the same; limits on both sides of none name both."""
    lower = said(compare_shares((56, 70), (48, 80)))
    assert lower.startswith(
        "80.0 % against 60.0 % shows a change: the second is 20.0 percentage points lower (95 % "
        "limits 5.24 to 33.4 lower)."
    )
    assert "To be fairly sure" not in lower
    assert "20.0 percentage points higher (95 % limits 5.24 to 33.4 higher)" in said(
        compare_shares((48, 80), (56, 70))
    )
    open_ = said(compare_shares((62, 100), (50, 100)))
    assert "62.0 % against 50.0 % does not show a change" in open_
    assert "(95 % limits 1.72 higher to 25.1 lower)" in open_
    assert "a difference of 10 percentage points, look at about 380 each time" in open_
    assert "the second is the same (95 % limits 16.1 higher to 27.8 lower)" in said(
        compare_shares((0, 10), (0, 20))
    )


def test_a_limit_close_to_none_keeps_its_side() -> None:
    """120 of 200 against 90 of 180 just fails to show it: no 0.00 stands there."""
    found = compare_shares((120, 200), (90, 180))
    assert found.answer is Answer.NOT_SHOWN
    assert "limits less than 0.01 higher to 19.7 lower" in said(found)


def test_a_share_of_none_is_a_bug() -> None:
    """The entry refuses it before."""
    with pytest.raises(ValueError, match="none"):
        compare_shares((0, 0), (1, 2))
