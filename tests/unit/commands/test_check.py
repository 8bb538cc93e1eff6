"""``hingeline check`` as a technician and as a script uses it."""

from __future__ import annotations

import json

import pytest

from counter.cli import main

SERIES = ["check", "--fractions", "0.1; 0,3; 0.5; 0.7; 1"]
COUNTS = ["--counts", "11,9,12; 29,33,31; 52,47,50; 69,72,x; 100,96,104"]
PAIRS = ["check", "--first", "97,103,x,88", "--second", "99,101,5,90"]


def test_a_series_is_judged(capsys: pytest.CaptureFixture[str]) -> None:
    """In words, and with all numbers in the JSON; a lost count is left out."""
    assert main([*SERIES, *COUNTS, "--json", "-"]) == 0
    captured = capsys.readouterr()
    found = json.loads(captured.out)["series"]
    total = 32 + 93 + 149 + 141 + 300
    assert found["slope"] == pytest.approx(total / (3 * 0.1 + 0.9 + 1.5 + 1.4 + 3))
    assert found["levels"][3]["counts"] == [69, 72]
    assert found["top"]["answer"] == "no change shown"
    assert captured.err.startswith("The counts follow the dilution")


def test_a_series_of_single_counts_is_valid_json(capsys: pytest.CaptureFixture[str]) -> None:
    """What is not defined is null."""
    assert main([*SERIES, "--counts", "11;29;52;69;100", "--json", "-"]) == 0
    found = json.loads(capsys.readouterr().out)["series"]
    assert found["cv"] is found["cv_by_chance"] is None


def test_slides_counted_twice_are_judged(capsys: pytest.CaptureFixture[str]) -> None:
    """A slide that was lost once is left out."""
    assert main([*PAIRS, "--json", "-"]) == 0
    captured = capsys.readouterr()
    assert json.loads(captured.out)["pairs"]["pairs"] == 3
    assert captured.err.startswith("From 3 slides counted twice")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["check"], "either a dilution series"),
        ([*SERIES], "either a dilution series"),
        ([*SERIES, *COUNTS, "--first", "1", "--second", "1"], "either a dilution series"),
        ([*SERIES, "--counts", "1;2"], "5 fractions but 2 levels"),
        ([*SERIES, "--counts", "1;2;3;4;x"], "Each level needs a count"),
        ([*SERIES, "--counts", "0;0;0;0;0"], "some must be above 0"),
        (["check", "--fractions", "1;1", "--counts", "1;2"], "different fractions"),
        (["check", "--fractions", "0.1;10", "--counts", "1;2"], "The fraction “10” (--fractions)"),
        (["check", "--first", "1,2", "--second", "1"], "2 first and 1 second"),
        (["check", "--first", "1,x", "--second", "x,1"], "No slide has both counts"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_remedy(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2 and one sentence."""
    assert main(arguments) == 2
    assert said in capsys.readouterr().err
