"""``hingeline estimate`` as a technician and as a script uses it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from counter.cli import main

ROW = ["estimate", "--counts", "112,98,103", "--each", "0.25 mL", "--vessel", "760 mL"]


def plain(text: str) -> str:
    """The text with ordinary spaces, so that the tests can be read."""
    return text.replace("\u202f", " ")


def refused(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """Run a command that is wrong; return what it says on standard error."""
    assert main(["estimate", *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    return captured.err


def test_the_working_is_printed_as_on_paper(capsys: pytest.CaptureFixture[str]) -> None:
    """Every step from the counts to the total and its limits has its line.

    The row is from open data (Spencer et al. 2021), which prints the same total.
    """
    assert main(ROW) == 0
    assert plain(capsys.readouterr().out).splitlines() == [
        "Filling 1: 112 in 0.25 mL",
        "Filling 2: 98 in 0.25 mL",
        "Filling 3: 103 in 0.25 mL",
        "Counts: 112 + 98 + 103 = 313",
        "Volumes: 0.25 mL + 0.25 mL + 0.25 mL = 0.75 mL",
        "Counted water: 313 ÷ 0.75 mL = 417.333 per mL",
        "Vessel: 313 ÷ 0.75 mL × 760 mL = 317 173",
        "Agreement: χ² = 0.965 on 2 degrees of freedom, p = 0.62: as chance would have it",
        "Limits: 95 %, exact Poisson limits (Garwood 1936): 279.28 to 349.67 for the count, "
        "283 005 to 354 330 in all",
        "Allowing for uneven mixing: (χ² 0.965 + 0.19 × 2.8, a guess) ÷ (2 + 0.19) = 0.685 times "
        "the variance of chance, × (3.96 ÷ 1.96)² by Student's t = 2.80: 258.51 to 377.56 for the "
        "count",
        "Upper limit: clumps scatter more the more there are, so it goes towards the mirror image "
        "of the lower limit, 378.98: 376.66 × (378.98 ÷ 376.66)^0.389 = 377.56",
        "Total: 317 000 (283 000 to 354 000), 95 % limits",
        "If mixed unevenly: 262 000 to 383 000",
        "The first limits rely on even mixing, which no earlier samples show. Count another "
        "filling; samples on record tell too.",
    ]


def test_the_json_holds_full_precision(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The numbers of the JSON are not rounded, and its working is the one that is printed."""
    file = tmp_path / "out.json"
    assert main([*ROW, "--dilution", "1+9", "--confidence", "90 %", "--json", str(file)]) == 0
    document = json.loads(file.read_text(encoding="utf-8"))
    assert document["format"] == "hingeline-estimate/1"
    assert document["counts"] == [112, 98, 103]
    assert document["volumes_ml"] == [0.25, 0.25, 0.25]
    assert document["working"] == capsys.readouterr().out.splitlines()
    numbers = document["estimate"]
    assert numbers["counted"] == 313
    assert numbers["total"] == pytest.approx(313 / 0.75 * 10 * 760, rel=1e-12)
    assert numbers["dilution_factor"] == 10
    assert numbers["confidence"] == 0.9
    assert numbers["method"] == "poisson-exact"
    assert numbers["low"] < numbers["total"] < numbers["high"]


def test_json_alone_goes_to_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    """With ``--json -`` a script reads nothing but JSON; the working goes to standard error."""
    assert main([*ROW, "--json", "-"]) == 0
    captured = capsys.readouterr()
    assert json.loads(captured.out)["estimate"]["counted"] == 313
    assert "Total: " in captured.err


def test_a_lost_aliquot_is_left_out_with_its_volume(capsys: pytest.CaptureFixture[str]) -> None:
    """x is missing: the two others make the density, and keep their numbers."""
    arguments = ["--counts", "x,98,103", "--each", "0.5 mL; 0.25 mL; 250 µL", "--json", "-"]
    assert main(["estimate", *arguments]) == 0
    captured = capsys.readouterr()
    document = json.loads(captured.out)
    assert document["counts"] == [None, 98, 103]
    assert document["estimate"]["density_per_ml"] == pytest.approx(201 / 0.5)
    assert document["estimate"]["total"] is None
    assert "Filling 1: lost; left out with its 0.5 mL" in plain(captured.err)
    assert "no total" in captured.err


def test_a_slip_is_named_by_its_number_as_typed(capsys: pytest.CaptureFixture[str]) -> None:
    """A lost count before it does not change what the odd one is called."""
    assert main(["estimate", "--counts", "x,97,97,959", "--each", "0,2 mL"]) == 0
    assert "Filling 4 (959 in 0.2 mL) holds about 9.9 times more" in plain(capsys.readouterr().out)


def test_a_count_of_zero_shows_what_may_still_be_there(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Zero counted has an upper limit, and the note says which one."""
    assert main(["estimate", "--counts", "0,0,0", "--each", "1 mL", "--vessel", "1 m³"]) == 0
    shown = plain(capsys.readouterr().out)
    assert "Total: 0 (0 to 1.23 million), 95 % limits" in shown
    assert "two-sided upper limit at 95 %" in shown


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--counts", "112.5,98,103", "entry 1 “112.5” is not a whole number"),
        ("--counts", "x,x", "are lost"),
        ("--counts", "", "are empty"),
        ("--each", "0.25", "volume counted (--each) “0.25” has no unit"),
        ("--each", "0.25 mL, 0.3 mL", "3 counts but 2 volumes"),
        ("--vessel", "0 L", "vessel volume (--vessel) “0 L” is impossible"),
        ("--vessel", "760", "has no unit"),
        ("--dilution", "1:10", "write 1+9 (1 in 10 altogether) or 1+10"),
        ("--confidence", "95", "between 0.5 and 0.9999"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_remedy(
    option: str, value: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2 and one sentence that names the field."""
    assert said in refused([*ROW[1:], option, value], capsys)


def test_an_output_that_cannot_be_written_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 1; the working was printed all the same."""
    assert main([*ROW, "--json", str(tmp_path / "nowhere" / "out.json")]) == 1
    captured = capsys.readouterr()
    assert "cannot be written" in captured.err
    assert "Total: " in captured.out


def test_it_runs_without_any_picture_or_window_library() -> None:
    """The command loads neither Qt nor OpenCV nor matplotlib, so that it starts at once."""
    script = (
        "import sys; from counter.cli import main; main(sys.argv[1:]); "
        "print([m for m in ('PySide6', 'cv2', 'matplotlib', 'sqlalchemy') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, *ROW],
        capture_output=True,
        encoding="utf-8",
        env={"PYTHONUTF8": "1", "PYTHONPATH": str(Path(__file__).parents[3])},
        check=True,
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_a_total_on_paper_and_the_last_one_are_held_against_the_counts(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Both slips are notes, in the JSON too; nothing is blocked."""
    arguments = [*ROW, "--paper-total", "31,717.3", "--last-total", "1 000 000", "--json", "-"]
    assert main(arguments) == 0
    captured = capsys.readouterr()
    wrong, jump = json.loads(captured.out)["warnings"]
    assert "it is 10 times less, a digit or a unit" in wrong
    assert "about 3.2 times less than the last total" in jump
    assert f"Note: {wrong}" in captured.err
    assert main([*ROW, "--paper-total", "317173", "--last-total", "400000"]) == 0
    assert "Note:" not in capsys.readouterr().out


def test_microlitres_for_millilitres_are_a_note(capsys: pytest.CaptureFixture[str]) -> None:
    """0.25 µL is less than a pipette delivers."""
    assert main(["estimate", "--counts", "112", "--each", "0.25 uL"]) == 0
    assert "was 0.25 mL meant?" in plain(capsys.readouterr().out)


@pytest.mark.parametrize("option", ["--paper-total", "--last-total"])
def test_a_total_that_cannot_be_is_refused(option: str, capsys: pytest.CaptureFixture[str]) -> None:
    """0 and words; the option is named."""
    assert option in refused([*ROW[1:], option, "0"], capsys)
    assert option in refused([*ROW[1:], option, "many"], capsys)


def test_what_is_known_of_volumes_and_mixing_goes_into_the_limits(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The total stays, the limits are wider than those of the count alone; the JSON holds the parts
    and what was taken as the scatter."""
    known = ["--vessel-uncertainty", "+-10 %", "--pipette-uncertainty", "1000 µL"]
    assert main([*ROW, *known, "--house-scatter", "1.5", "--json", "-"]) == 0
    captured = capsys.readouterr()
    result = json.loads(captured.out)["estimate"]
    assert result["method"] == "quasi-poisson+volumes"
    assert result["total"] == pytest.approx(317_173, abs=0.5)
    assert result["low"] < 265_000
    assert result["high"] > 380_000
    assert result["history"] == {"index": 1.5, "degrees_of_freedom": 40, "samples": 0}
    parts = [line["part"] for line in result["budget"]]
    assert parts[:2] == ["count", "vessel"]
    assert sum(line["share"] for line in result["budget"]) == pytest.approx(1.0)
    assert "Part: vessel 5.77 %" in captured.err


def test_without_those_options_the_json_says_that_nothing_was_added(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The limits are those of the count alone."""
    assert main([*ROW, "--json", "-"]) == 0
    result = json.loads(capsys.readouterr().out)["estimate"]
    assert result["method"] == "poisson-exact"
    assert result["budget"] is result["history"] is result["checked"] is None


def test_an_uncertainty_that_makes_no_sense_is_refused(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """With how it is written."""
    said = refused([*ROW[1:], "--vessel-uncertainty", "10"], capsys)
    assert "like 1 % (standard uncertainty) or ±1 % (tolerance)" in said
    said = refused([*ROW[1:], "--pipette-uncertainty", "200 µL"], capsys)
    assert "cannot measure 250 µL in one stroke" in said


def test_squares_are_added_up_and_compared_within_their_filling(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Two fillings, a lost square: the total is that of the sums; how the squares scatter is said
    and stands in the JSON."""
    squares = ["estimate", "--squares", "9,12,x,11; 10,7,13,9", "--each", "1 µL"]
    assert main([*squares, "--vessel", "20 L", "--json", "-"]) == 0
    captured = capsys.readouterr()
    document = json.loads(captured.out)
    assert document["squares"] == [[9, 12, 11], [10, 7, 13, 9]]
    assert document["counts"] == [32, 39]
    assert document["volumes_ml"] == pytest.approx([0.003, 0.004])
    assert document["estimate"]["total"] == pytest.approx(71 / 0.007 * 20_000)
    first = sum((n - 32 / 3) ** 2 for n in (9, 12, 11)) / (32 / 3)
    second = sum((n - 39 / 4) ** 2 for n in (10, 7, 13, 9)) / (39 / 4)
    assert document["among_squares"]["chi2"] == pytest.approx(first + second)
    assert document["among_squares"]["degrees_of_freedom"] == 5
    lines = plain(captured.err).splitlines()
    assert lines[0] == "Filling 1, 3 squares of 1 µL: 9 + 12 + 11 = 32"
    assert lines[2].startswith("Squares within a filling: χ² = 2.36 on 5")


def test_clumped_squares_are_named_with_their_k(capsys: pytest.CaptureFixture[str]) -> None:
    """Of one filling; the limits stay those of the filling."""
    assert main(["estimate", "--squares", "2,31,4,19,8,1,12,27", "--each", "1 µL"]) == 0
    assert "clumped (negative binomial, k = 1.24 by maximum" in plain(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--squares", "9,12;", "--each", "1 µL"], "squares of filling 2 (--squares) are empty"),
        (["--squares", "9,1.5", "--each", "1 µL"], "squares of filling 1 (--squares), entry 2"),
        (["--squares", "x;x", "--each", "1 µL"], "All squares (--squares) are lost"),
        (["--squares", "3,4", "--each", "1"], "volume of a square (--each) “1” has no unit"),
    ],
)
def test_squares_that_cannot_be_read_are_refused_by_name(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the filling."""
    assert said in refused(arguments, capsys)


def test_a_filling_whose_squares_are_all_lost_is_lost(capsys: pytest.CaptureFixture[str]) -> None:
    """It is left out, never 0."""
    assert main(["estimate", "--squares", "9,12; x,x", "--each", "1 µL", "--json", "-"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["counts"] == [21, None]
    assert document["estimate"]["volume_counted_ml"] == pytest.approx(0.002)
