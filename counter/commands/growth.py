"""``hingeline growth``: how much larvae grew between two dates, with limits."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime, timedelta

from counter.commands.typed import add_level_and_json, put_out
from counter.domain.lengths_entry import parse_lengths_um
from counter.domain.moment_entry import parse_moment
from counter.domain.numerals import number
from counter.domain.units import parse_confidence
from counter.errors import UsageError
from counter.exporting.read_back import read_sizes
from counter.statistics.growth import growth, growth_words, growth_working
from counter.statistics.sizes import Sizes, sizes_of

FORMAT = "hingeline-growth/1"
HELP = "How much larvae grew between two dates, in µm a day, with limits."
EXAMPLE = """examples:
  hingeline growth --before-lengths 71,75,68,73,70,74 \\
      --after-lengths 86,91,79,88,84,90 --days 2

  Growth 7.2 µm a day (95 % limits 4.8 to 9.7) over 2.0 days.

  From what “hingeline count --json” wrote, between two dates:
  hingeline growth --before day-5.json --after day-7.json \\
      --from "2026-05-04 09:00" --to "2026-05-06 15:30"
"""
GRADING = "What was graded off in between did not grow: compare like with like."
_DAY = timedelta(days=1)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    for when in ("before", "after"):
        sizes = parser.add_mutually_exclusive_group(required=True)
        sizes.add_argument(
            f"--{when}", metavar="FILE", help=f"the count {when}, as “hingeline count --json” wrote"
        )
        sizes.add_argument(
            f"--{when}-lengths", metavar="UM,UM,...", help=f"or the lengths {when}, in µm"
        )
    parser.add_argument("--days", metavar="N", help="days between the two, above 0")
    parser.add_argument(
        "--from",
        dest="began",
        metavar="DATE",
        help='or when the first was sampled: 2026-05-04 (noon), "2026-05-04 09:00"',
    )
    parser.add_argument("--to", dest="ended", metavar="DATE", help="and when the second was")
    parser.add_argument("--working", action="store_true", help="print every step to the limits too")
    add_level_and_json(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print the growth; return 0. Raises UsageError for what cannot be read or tells nothing."""
    confidence = parse_confidence(arguments.confidence, "confidence level (--confidence)")
    days = _days(arguments)
    before, after = _both(arguments)
    found = growth(before, after, days, confidence)
    if found is None:
        raise UsageError(
            f"Growth needs two lengths or more each time; there are {before.measured} before and "
            f"{after.measured} after. Measure more."
        )
    words = (growth_words(found), GRADING)
    working = growth_working(before, after, found)
    document = {
        "before": _summary(before),
        "after": _summary(after),
        "growth": found.as_json(),
    }
    put_out((words, working, document), FORMAT, arguments)
    return 0


def _summary(one: Sizes) -> dict[str, object]:
    return {"measured": one.measured, "mean": one.mean, "sd": one.sd}


def _both(arguments: argparse.Namespace) -> tuple[Sizes, Sizes]:
    """Return the sizes before and after; UsageError where eggs are beside larvae."""
    files = (arguments.before, arguments.after)
    counted = [None if file is None else read_sizes(file) for file in files]
    if None not in counted:
        kinds = {(entry.target, entry.species) for entry in counted if entry is not None}
        if len(kinds) > 1:
            what = " and ".join(f"{target} of {species}" for target, species in sorted(kinds))
            raise UsageError(
                f"The two files hold {what}; growth is between two counts of the same (--before, "
                "--after)."
            )
    typed = (
        (arguments.before_lengths, "lengths before (--before-lengths)"),
        (arguments.after_lengths, "lengths after (--after-lengths)"),
    )
    one, two = (
        entry.sizes if entry is not None else sizes_of(parse_lengths_um(text or "", field))
        for entry, (text, field) in zip(counted, typed, strict=True)
    )
    assert one is not None
    assert two is not None
    return one, two


def _days(arguments: argparse.Namespace) -> float:
    """Return how many days lie between, above 0."""
    dates = (arguments.began, arguments.ended)
    if (arguments.days is None) == (dates == (None, None)):
        raise UsageError("Say the time between: either --days, or --from and --to.")
    if arguments.days is not None:
        days = number(arguments.days, "days (--days)", may_be_thousands=False)
        if days <= 0:
            raise UsageError(f"“{arguments.days}” (--days) is no time between; it must be above 0.")
        return days
    if None in dates:
        raise UsageError("One date is missing; give both (--from and --to).")
    now = datetime.now(UTC)
    began = parse_moment(arguments.began, "first date (--from)", now)
    ended = parse_moment(arguments.ended, "second date (--to)", now)
    if ended <= began:
        raise UsageError("The second date (--to) is not after the first (--from); check both.")
    return (ended - began) / _DAY
