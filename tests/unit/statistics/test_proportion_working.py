"""The working of a share comes out on paper."""

from __future__ import annotations

import math

import pytest

from counter.statistics.proportion_working import exact_line, share_working, wilson_line


def test_wilsons_formula_comes_out_as_published() -> None:
    """81 of 263: 0.2553 to 0.3662 (Newcombe 1998a, Stat. Med. 17:857-872, table I), as printed."""
    line = wilson_line(81, 263)
    assert line == (
        "Wilson's limits (95 %): (0.30798 + 1.96² ÷ (2 × 263) ± 1.96 × √(0.30798 × 0.69202 ÷ 263 "
        "+ (1.96 ÷ (2 × 263))²)) ÷ (1 + 1.96² ÷ 263) = 0.25529 to 0.36621"
    )
    half = 1.96 * math.sqrt(0.30798 * 0.69202 / 263 + (1.96 / (2 * 263)) ** 2)
    by_hand = [
        (0.30798 + 1.96**2 / (2 * 263) + way * half) / (1 + 1.96**2 / 263) for way in (-1, 1)
    ]
    assert by_hand == pytest.approx([0.25527, 0.3662], abs=2e-5)


def test_the_exact_limits_say_what_makes_them() -> None:
    """81 of 263: 0.2527 to 0.3676 (Newcombe 1998a, table I); none and all have one reason."""
    line = exact_line(81, 263)
    assert "0.25274 to 0.36762: if the share were 0.25274, 81 or more of 263; if it were" in line
    assert line.endswith("81 or fewer of 263 would have a probability of 2.5 %")
    assert exact_line(0, 20).endswith(
        ": 0 to 0.16843: if it were 0.16843, 0 or fewer of 20 would have a probability of 2.5 %"
    )
    assert pytest.approx(0.025, abs=1e-5) == (1 - 0.16843) ** 20
    assert "or fewer" not in exact_line(20, 20)


def test_a_share_of_none_has_no_working() -> None:
    """Nor is it an error."""
    assert share_working(0, 0) == ()
    assert share_working(3, 12)[0] == "Share: 3 ÷ 12 = 0.25"
