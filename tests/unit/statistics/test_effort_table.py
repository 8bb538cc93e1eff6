"""The table of what counts are worth."""

from __future__ import annotations

import pytest

from counter.statistics.effort_table import (
    counted_rows,
    needed_rows,
    rule_words,
    table_json,
    table_lines,
)

# counted, ± percent by the rule of Lund, Kipling & Le Cren 1958, Hydrobiologia 11:143-170 (from
# memory)
LUND = {4: 100, 16: 50, 25: 40, 50: 28.3, 100: 20, 200: 14.1, 400: 10, 1000: 6.3, 1600: 5}
LUND[10_000] = 2
# ± percent, how many for it at z = 1.96 (computed)
NEEDED = {5: 1537, 10: 384, 15: 171, 20: 96, 25: 61, 30: 43, 50: 15}


def test_every_row_of_the_published_table_is_there() -> None:
    """With its number; the exact limits stand on both sides of the rule."""
    rows = {row.counted: row for row in counted_rows()}
    assert set(rows) == set(LUND)
    for counted, percent in LUND.items():
        row = rows[counted]
        assert 100 * row.rule == pytest.approx(percent, abs=0.05 if percent % 1 else 0.5)
        assert row.below < row.rule < row.above or counted == 10_000


def test_every_precision_has_its_number() -> None:
    """By the rule, and a few more by the exact limits."""
    rows = {round(100 * row.precision): row for row in needed_rows()}
    assert {percent: round(row.by_rule) for percent, row in rows.items()} == NEEDED
    assert all(row.by_rule < row.exact <= row.by_rule + 21 for row in rows.values())


def test_words_and_json_say_the_same() -> None:
    """A line for each row under two heads."""
    lines = [line.replace("\u202f", " ") for line in table_lines(0.95)]
    assert "400 counted: ±10 %; −9.56 % to +10.3 %" in lines
    assert "±5 %: 1 537; 1 557" in lines
    document = table_json(0.95)
    assert len(lines) == 2 + len(document["counted"]) + len(document["needed"])
    assert document["needed"][0]["exact"] == 1557
    assert "by (2.58 ÷ x)²" in table_lines(0.99)[len(LUND) + 1]


def test_the_rule_stands_beside_a_plan() -> None:
    """313 counted: ±11.3 % by 2/√n, 400 for ±10 %."""
    words = rule_words(313, 0.1)
    assert "±11.3 % now, 400 in all for ±10 %." in words
