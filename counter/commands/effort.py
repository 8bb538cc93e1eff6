"""``hingeline effort``: how many more to count, which way is cheaper, and when to stop."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from counter.commands.typed import Answer, add_level_and_json, put_out
from counter.domain.counts_entry import counts_in_volumes, whole_number
from counter.domain.units import (
    limits_for_people,
    parse_confidence,
    parse_volume_ml,
    volume_for_people,
)
from counter.errors import UsageError
from counter.statistics.cautions import percent
from counter.statistics.effort import Minutes, effort
from counter.statistics.effort_entry import both_minutes, parse_precision
from counter.statistics.effort_table import table_json, table_lines
from counter.statistics.effort_words import done_so_far, effort_words
from counter.statistics.effort_working import effort_working, inverse_working
from counter.statistics.estimate import estimate_counts
from counter.statistics.plan import NOTHING_COUNTED
from counter.statistics.precision import inverse_sampling

FORMAT = "hingeline-effort/1"
HELP = "How many more to count for narrower limits, which way is cheaper, and when to stop."
EXAMPLE = """examples:
  hingeline effort --counts 112,98,103 --each "0.25 mL" --reach 5%

  For ±5 %: about 1 200 more (12 more fillings like these), another 2.98 mL. With the minutes that
  a filling and a square take, it is said which way is cheaper:
  hingeline effort --counts 40,55,38 --each "50 uL" --squares 50 \\
      --minutes-per-filling 6 --minutes-per-square 0.2

  What counts are worth, by the rule of Lund, Kipling and Le Cren and exactly:
  hingeline effort --table

  Counted until the 100th larva was met, which took 0.43 mL; the density is 99 ÷ 0.43 mL:
  hingeline effort --stopped-at 100 --each "0.43 mL"

  230 (189 to 280) per mL, 95 % limits.
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    counted = parser.add_mutually_exclusive_group(required=True)
    counted.add_argument(
        "--counts", metavar="N,N,...", help="the count of each filling so far; a lost one is x"
    )
    counted.add_argument(
        "--stopped-at",
        metavar="N",
        help="counted until the Nth was met; --each is then the volume up to it",
    )
    counted.add_argument(
        "--table",
        action="store_true",
        help="print how narrow the limits of 4 to 10 000 counted are, and how many it takes",
    )
    parser.add_argument(
        "--each",
        metavar="VOLUME",
        help='volume of each, with unit: one for all ("0.25 mL") or one for each',
    )
    parser.add_argument(
        "--reach",
        default="10%",
        metavar="PERCENT",
        help="how narrow the limits shall be, 1 to 100 %% (default: 10%%)",
    )
    parser.add_argument(
        "--squares",
        metavar="N",
        help="squares looked through in each filling (default: not counted by squares)",
    )
    parser.add_argument(
        "--minutes-per-filling",
        metavar="MIN",
        help="minutes to load, settle and clean a filling (default: not known)",
    )
    parser.add_argument(
        "--minutes-per-square", metavar="MIN", help="minutes to count a square (default: not known)"
    )
    parser.add_argument("--working", action="store_true", help="print every step of the plan too")
    add_level_and_json(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print what counting on would bring; return 0. Raises UsageError for what cannot be read."""
    confidence = parse_confidence(arguments.confidence, "confidence level (--confidence)")
    if arguments.table:
        words, working, found = _table(confidence)
    elif arguments.each is None:
        raise UsageError('The volume of each (--each) is missing; give it, like "0.25 mL".')
    elif arguments.stopped_at is not None:
        words, working, found = _stopped(arguments, confidence)
    else:
        words, working, found = _going_on(arguments, confidence)
    put_out((words, working, {"confidence": confidence, **found}), FORMAT, arguments)
    return 0


def _table(confidence: float) -> Answer:
    return table_lines(confidence), (), {"table": table_json(confidence)}


def _stopped(arguments: argparse.Namespace, confidence: float) -> Answer:
    count = whole_number(arguments.stopped_at, "--stopped-at", least=2)
    volume_ml = parse_volume_ml(arguments.each, "volume counted (--each)")
    found = inverse_sampling(count, volume_ml, confidence)
    assert found.value is not None
    assert found.low is not None
    assert found.high is not None
    words = (
        f"Counted until number {count}, met after {volume_for_people(volume_ml)}: "
        f"({count} − 1) ÷ volume = {limits_for_people(found.value, found.low, found.high)} per mL, "
        f"{percent(confidence)} limits.",
    )
    working = inverse_working(count, volume_ml, found, confidence)
    return words, working, {"inverse_sampling": asdict(found)}


def _going_on(arguments: argparse.Namespace, confidence: float) -> Answer:
    counts, volumes_ml = counts_in_volumes(arguments.counts, arguments.each, "--counts", "--each")
    squares = None
    if arguments.squares is not None:
        squares = whole_number(arguments.squares, "--squares", least=1) * len(counts)
    result = estimate_counts(counts, volumes_ml, confidence=confidence)
    done = done_so_far(result, len(counts), squares)
    minutes = _minutes(arguments)
    precision = parse_precision(arguments.reach, "precision (--reach)")
    found = effort(done, precision, confidence, minutes)
    if found is None:
        return (NOTHING_COUNTED,), (), {"effort": None}
    working = effort_working(found, done, confidence, minutes)
    return effort_words(found, done), working, {"effort": asdict(found)}


def _minutes(arguments: argparse.Namespace) -> Minutes | None:
    minutes = both_minutes(
        arguments.minutes_per_filling,
        arguments.minutes_per_square,
        "minutes (--minutes-per-filling)",
        "minutes (--minutes-per-square)",
    )
    if minutes is not None and arguments.squares is None:
        raise UsageError("The cost of a square needs their number in a filling (--squares).")
    return minutes
