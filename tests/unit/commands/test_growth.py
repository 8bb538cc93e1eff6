"""``hingeline growth`` as a technician and as a script uses it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from scipy.stats import ttest_ind

from counter.cli import main
from counter.domain.sample import Filling, Sample
from counter.exporting.document import count_document
from counter.exporting.write import write_json
from counter.statistics.growth import growth
from counter.statistics.sizes import sizes
from tests.hatchery import CHAMBER, EGGS, LARVAE, mark, picture

BEFORE, AFTER = (71.0, 75.0, 68.0, 73.0, 70.0, 74.0), (86.0, 91.0, 79.0, 88.0, 84.0, 90.0)
TYPED = [
    "growth", "--before-lengths", "71,75,68,73,70,74", "--after-lengths", "86,91,79,88,84,90"
]  # fmt: skip


def sample_of(lengths: tuple[float, ...]) -> Sample:
    """A sample with a picture of larvae of these lengths."""
    marks = [mark(number, length_um=length) for number, length in enumerate(lengths, start=1)]
    return Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(*marks),)),))


def written(file: Path, sample: Sample) -> str:
    """The file with the JSON of a count."""
    write_json(str(file), count_document(sample))
    return str(file)


def run(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """Run a command that is right; return what it prints, with ordinary spaces."""
    assert main(arguments) == 0
    return capsys.readouterr().out.replace("\u202f", " ")


def test_typed_lengths_have_the_limits_of_welch(capsys: pytest.CaptureFixture[str]) -> None:
    """The same as scipy's test for unequal variances; the sentence is that of the window."""
    document = json.loads(run([*TYPED, "--days", "2", "--json", "-"], capsys))
    limits = ttest_ind(AFTER, BEFORE, equal_var=False).confidence_interval(0.95)
    found = document["growth"]
    assert (found["low"], found["high"]) == pytest.approx((limits.low / 2, limits.high / 2))
    assert document["format"] == "hingeline-growth/1"
    assert document["words"][0] == "Growth 7.2 µm a day (95 % limits 4.8 to 9.7) over 2.0 days."
    assert len(document["working"]) == 5


def test_two_counts_give_what_the_window_shows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Files of two counts, a day and a half apart by their dates: the function of the window."""
    before, after = sample_of(BEFORE), sample_of(AFTER)
    files = [written(tmp_path / "5.json", before), written(tmp_path / "7.json", after)]
    dates = ["--from", "2026-05-04 08:00", "--to", "5.5.2026 20:00"]
    arguments = ["growth", "--before", files[0], "--after", files[1], *dates, "--json", "-"]
    document = json.loads(run(arguments, capsys))
    one, two = sizes(before), sizes(after)
    assert one is not None
    assert two is not None
    expected = growth(one, two, 1.5)
    assert expected is not None
    assert document["growth"] == expected.as_json()


def test_the_working_is_printed_when_it_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    """After the sentence and the caution about grading."""
    plain = run([*TYPED, "--days", "2"], capsys)
    assert "graded off in between did not grow" in plain
    with_working = run([*TYPED, "--days", "2", "--working"], capsys)
    assert with_working.startswith(plain)
    assert "Limits (95 %): (14.5 ± 2.2976 × 2.0989) ÷ 2 = 4.8388 to 9.6612 µm a day" in with_working


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (TYPED, "either --days, or --from and --to"),
        ([*TYPED, "--days", "2", "--from", "2026-05-04"], "either --days, or --from and --to"),
        ([*TYPED, "--days", "0"], "“0” (--days) is no time between"),
        ([*TYPED, "--days", "two"], "days (--days) “two” is not a number"),
        ([*TYPED, "--from", "2026-05-04"], "give both (--from and --to)"),
        ([*TYPED, "--from", "2026-05-04", "--to", "2026-05-04"], "(--to) is not after the first"),
        ([*TYPED, "--from", "5/4/2026", "--to", "2026-05-06"], "first date (--from) “5/4/2026”"),
        ([*TYPED[:2], "71,x", *TYPED[3:], "--days", "2"], "there are 1 before and 6 after"),
        ([*TYPED[:2], "71,5", *TYPED[3:], "--days", "2"], "lengths before (--before-lengths)"),
    ],
)
def test_what_cannot_be_read_is_refused_by_name(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2 and one sentence."""
    assert main(arguments) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert said in captured.err


def test_eggs_do_not_grow_into_larvae(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two counts of different things are refused."""
    larvae = sample_of(BEFORE)
    eggs = Sample(EGGS, CHAMBER, fillings=larvae.fillings)
    files = [written(tmp_path / "eggs.json", eggs), written(tmp_path / "larvae.json", larvae)]
    assert main(["growth", "--before", files[0], "--after", files[1], "--days", "2"]) == 2
    assert "hold eggs of" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (None, "cannot be read"),
        ("no JSON", "is not what “hingeline count --json” writes"),
        ("[]", "is not what"),
        ('{"format": "hingeline-count/1"}', "is not what"),
        ('{"format": "hingeline-count/1", "sizes_um": {"measured": 3}}', "is not what"),
        ('{"format": "hingeline-count/1", "sizes_um": {"measured": 0}}', "nothing was measured"),
    ],
)
def test_a_file_that_is_no_count_is_named(
    text: str | None, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 1 and one sentence."""
    file = tmp_path / "day-5.json"
    if text is not None:
        file.write_text(text, encoding="utf-8")
    assert main(["growth", "--before", str(file), *TYPED[3:], "--days", "2"]) == 1
    error = capsys.readouterr().err
    assert str(file) in error
    assert said in error
