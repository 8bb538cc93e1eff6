"""``--working`` of the commands that print it after the answer."""

from __future__ import annotations

import json

import pytest

from counter.cli import main

SERIES = ["check", "--fractions", "0.1; 0.3; 0.5; 0.7; 1"]
COUNTS = ["--counts", "11,9,12; 29,33,31; 52,47,50; 69,72,x; 100,96,104"]


@pytest.mark.parametrize(
    "typed",
    [
        [*SERIES, *COUNTS],
        ["check", "--first", "97,103,x,88", "--second", "99,101,5,90"],
        ["effort", "--counts", "112,98,103", "--each", "0.25 mL"],
        ["effort", "--stopped-at", "100", "--each", "430 uL"],
        ["compare", "--share", "56/70"],
    ],
)
def test_the_working_is_printed_when_it_is_asked_for(
    capsys: pytest.CaptureFixture[str], typed: list[str]
) -> None:
    """After the answer; the JSON holds it in any case."""
    assert main(typed) == 0
    answer = capsys.readouterr().out
    assert main([*typed, "--working", "--json", "-"]) == 0
    captured = capsys.readouterr()
    steps = json.loads(captured.out)["working"]
    assert captured.err == answer + "".join(f"{line}\n" for line in steps)
    assert len(steps) >= 2
