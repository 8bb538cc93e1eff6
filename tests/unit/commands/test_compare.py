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


@pytest.mark.parametrize(
    ("first", "second", "difference", "limits"),
    [
        ("56/70", "48/80", 0.2000, (0.0524, 0.3339)),
        ("9/10", "3/10", 0.6000, (0.1705, 0.8090)),
        ("6/7", "2/7", 0.5714, (0.0582, 0.8062)),
        ("5/56", "0/29", 0.0893, (-0.0381, 0.1926)),
        ("0/10", "0/20", 0.0000, (-0.1611, 0.2775)),
        ("10/10", "0/20", 1.0000, (0.6791, 1.0000)),
    ],
)
def test_two_shares_have_the_published_limits(
    first: str,
    second: str,
    difference: float,
    limits: tuple[float, float],
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Newcombe RG (1998), Stat. Med. 17:873-890, method 10, to its four decimals."""
    arguments = ["compare", "--share", first, "--with-share", second, "--json", "-"]
    document = json.loads(shown(arguments, capsys))
    found = document["shares"]
    assert found["difference"] == pytest.approx(difference, abs=0.5001e-4)
    assert (found["low"], found["high"]) == pytest.approx(limits, abs=0.5001e-4)
    assert found["method"] == "newcombe-hybrid-score"
    assert f"{found['first']['counted']}/{found['first']['of']}" == first
    assert (found["answer"] == "no change shown") == (limits[0] <= 0)
    assert len(document["working"]) == 9  # five of the difference, two of each share's limits


def test_a_single_share_shows_its_working(capsys: pytest.CaptureFixture[str]) -> None:
    """On demand; the JSON holds it in any case."""
    alone = ["compare", "--share", "56/70"]
    assert "Wilson's limits (95 %): (0.8 + 1.96²" in shown([*alone, "--working"], capsys)
    assert len(json.loads(shown([*alone, "--json", "-"], capsys))["working"]) == 3


def test_the_working_is_printed_when_it_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    """Of shares and of counts; without the option only the answer stands there."""
    for pair in (PAIR, ["compare", "--share", "56/70", "--with-share", "48/80"]):
        plain = shown(pair, capsys)
        with_working = shown([*pair, "--working"], capsys)
        assert with_working.startswith(plain)
        assert "Limits (95 %): " in with_working or "Lower limit (Newcombe 1998" in with_working


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--share", "210/200", "--with-share", "1/2"], "first share (--share) “210/200” is more"),
        (["--share", "1/2", "--with-share", "0/0"], "second share (--with-share) “0/0” is of none"),
        (["--share=-3/20", "--with-share", "1/2"], "first share (--share) “-3/20”, “-3” is not"),
        (["--share", "1.5/20", "--with-share", "1/2"], "“1.5” is not a whole number"),
        (["--share", " ", "--with-share", "1/2"], "The first share (--share) is empty"),
        (["--share", "1/2", "--with-share", ""], "The second share (--with-share) is empty"),
        (["--with-share", "1/2"], "The first share (--share) is empty"),
        (
            ["--share", "1/2", "--with-share", "1/3", "--as", "survival"],
            "(--as) is asked of counts",
        ),
        (["--share", "1/2", "--with-share", "1/3", "--counts", "3"], "either two counts"),
        (["--counts", "3", "--each", "1 mL"], "either two counts (--counts, --each and --with)"),
        ([], "or two shares (--share and --with-share)"),
    ],
)
def test_a_share_that_cannot_be_read_is_refused_by_name(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2 and one sentence."""
    assert main(["compare", *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert said in captured.err


def test_a_share_alone_has_its_limits(capsys: pytest.CaptureFixture[str]) -> None:
    """187 of 200: Wilson's 0.8920-0.9616, Clopper and Pearson's 0.8914-0.9649 (computed)."""
    document = json.loads(shown(["compare", "--share", "187/200", "--json", "-"], capsys))
    found = document["share"]
    assert (found["low"], found["high"]) == pytest.approx((0.8920, 0.9616), abs=0.51e-4)
    exact = (found["exact_low"], found["exact_high"])
    assert exact == pytest.approx((0.8914, 0.9649), abs=0.51e-4)
    assert document["words"] == [
        "187 of 200: 93.5 % (95 % limits 89.2 % to 96.2 %; exact ones 89.1 % to 96.5 %)."
    ]


def test_live_beside_live_and_dead_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """Only where the two differ; the second are like the first unless said otherwise."""
    said = shown([*PAIR, "--with-counted", "live"], capsys)
    assert "Note: The second counts are of the live alone, the first ones of the live and" in said
    said = shown([*PAIR, "--counted", "live", "--with-counted", "all"], capsys)
    assert "Note: The first counts are of the live alone" in said
    assert "live alone" not in shown([*PAIR, "--counted", "live"], capsys)
