"""``hingeline effort`` as a technician and as a script uses it."""

from __future__ import annotations

import json

import pytest

from counter.cli import main

ROW = ["effort", "--counts", "112,98,x,103", "--each", "0.25 mL"]


def test_it_says_how_many_more_and_when_to_stop(capsys: pytest.CaptureFixture[str]) -> None:
    """For ±5 %: 1 244 more than the 313 counted, of 1 557."""
    assert main([*ROW, "--reach", "5%", "--json", "-"]) == 0
    captured = capsys.readouterr()
    document = json.loads(captured.out)
    assert document["effort"]["more_larvae"] == 1557 - 313
    assert document["effort"]["more_fillings"] == 12
    assert "Decide before you go on: count 12 more fillings" in captured.err


def test_squares_and_minutes_say_what_is_cheaper(capsys: pytest.CaptureFixture[str]) -> None:
    """50 squares a filling, 6 minutes to load one, 0.2 minutes a square."""
    costs = ["--squares", "50", "--minutes-per-filling", "6", "--minutes-per-square", "0,2"]
    assert main([*ROW, *costs]) == 0
    assert "More squares are cheaper" in capsys.readouterr().out


def test_counting_until_a_number_has_its_own_formula(capsys: pytest.CaptureFixture[str]) -> None:
    """(100 - 1)/0.43 mL."""
    assert main(["effort", "--stopped-at", "100", "--each", "430 uL", "--json", "-"]) == 0
    captured = capsys.readouterr()
    assert json.loads(captured.out)["inverse_sampling"]["value"] == pytest.approx(99 / 0.43)
    assert "(100 − 1) ÷ volume = 230 (189 to 280) per mL" in captured.err


def test_nothing_counted_gives_no_plan(capsys: pytest.CaptureFixture[str]) -> None:
    """It is said, and is no error."""
    assert main(["effort", "--counts", "0,0", "--each", "1 mL"]) == 0
    assert "None was counted yet" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--reach", "0.1"], "not usable; write it like 10%"),
        (["--reach", "wide"], "is not a number"),
        (["--squares", "2.5"], "(--squares) is not a whole number of 1 or more"),
        (["--minutes-per-filling", "5"], "give both kinds"),
        (["--minutes-per-filling", "5", "--minutes-per-square", "0"], "are impossible"),
        (["--minutes-per-filling", "5", "--minutes-per-square", "1"], "(--squares)"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_remedy(
    more: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2 and one sentence that names the option."""
    assert main([*ROW, *more]) == 2
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("number", ["1", "-5", "ten", "²"])
def test_a_number_to_stop_at_is_two_or_more(
    number: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Anything else is refused."""
    assert main(["effort", f"--stopped-at={number}", "--each", "1 mL"]) == 2
    assert "not a whole number of 2 or more" in capsys.readouterr().err


def test_the_table_needs_nothing_counted(capsys: pytest.CaptureFixture[str]) -> None:
    """The rule of Lund, Kipling and Le Cren beside the exact limits, in words and JSON."""
    assert main(["effort", "--table", "--json", "-"]) == 0
    captured = capsys.readouterr()
    assert "Lund, Kipling and Le Cren" in captured.err
    rows = json.loads(captured.out)["table"]["counted"]
    assert [row["rule"] for row in rows if row["counted"] == 400] == [0.1]


def test_counts_without_their_volume_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence that names the option."""
    assert main(["effort", "--counts", "112,98"]) == 2
    assert "volume of each (--each) is missing" in capsys.readouterr().err
