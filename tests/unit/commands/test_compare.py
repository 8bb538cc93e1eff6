"""``hingeline compare`` as a technician and as a script uses it."""

from __future__ import annotations

import json

import pytest

from counter.cli import main

PAIR = ["compare", "--counts", "200", "--each", "1 mL", "--with", "180"]


def shown(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """Run a command that is right; return what it prints, with ordinary spaces."""
    assert main(arguments) == 0
    return capsys.readouterr().out.replace("\u202f", " ")


def test_the_answer_is_a_plain_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    """200 against 180 shows nothing."""
    assert shown(PAIR, capsys).startswith("200 against 180 does not show a change")


def test_a_survival_compares_totals(capsys: pytest.CaptureFixture[str]) -> None:
    """The vessel was drained to 600 mL between the two counts; x is left out."""
    arguments = ["compare", "--as", "survival", "--counts", "112,x,98,103", "--each", "0,25 mL"]
    arguments += ["--vessel", "760 mL", "--with", "88,91", "--with-vessel", "600 mL", "--json", "-"]
    document = json.loads(shown(arguments, capsys))
    assert document["format"] == "hingeline-compare/1"
    assert document["comparison"]["first"] == 313
    expected = (179 / 0.5 * 600) / (313 / 0.75 * 760)
    assert document["comparison"]["ratio"] == pytest.approx(expected)
    assert document["words"][0].startswith("Survival 67.7 %")


def test_the_second_may_have_a_volume_and_dilution_of_its_own(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Ten times thinner and half the volume."""
    arguments = [*PAIR, "--with-each", "500 uL", "--with-dilution", "1+9", "--json", "-"]
    document = json.loads(shown(arguments, capsys))
    assert document["comparison"]["ratio"] == pytest.approx(180 / 0.5 * 10 / 200)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--vessel", "1 L", "--with-vessel", "10 L"], "exactly 10 times more; a zero or a unit?"),
        (["--dilution", "1+9", "--with-dilution", "1+10"], "“1:10” is read both as 1+9 and as"),
    ],
)
def test_a_volume_or_dilution_that_changed_like_a_slip_is_named(
    more: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A note at the end; the comparison is made all the same."""
    last = shown([*PAIR, *more], capsys).splitlines()[-1].replace("\u202f", " ")
    assert last.startswith("Note: ")
    assert said in last


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--with-vessel", "20 L"], "that of the first too"),
        (["--with", "x"], "All counts (--with) are lost"),
        (["--with-each", "0.5"], "volume counted (--with-each) “0.5” has no unit"),
        (["--counts", "1,2", "--each", "1 mL, 2 mL"], "different volumes (--each)"),
        (["--with-dilution", "1:10"], "dilution (--with-dilution) “1:10” can be read in two ways"),
        (["--json", ""], "(--json) has no name"),
        (["--with-each", "1 mL, 1 mL"], "1 counts but 2 volumes (--with-each)"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_remedy(
    more: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2 and one sentence that names the option."""
    assert main([*PAIR, *more]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert said in captured.err
