"""``hingeline check``: is a way of counting sound? A dilution series, or slides counted twice."""

from __future__ import annotations

import argparse
import math
from dataclasses import asdict
from typing import Any

from counter.commands.typed import Answer, add_level_and_json, put_out
from counter.domain.units import parse_confidence, parse_counts
from counter.errors import UsageError
from counter.statistics.method_entry import pairs_of, series_of
from counter.statistics.method_words import proportionality_words, repeatability_words
from counter.statistics.method_working import proportionality_working, repeatability_working
from counter.statistics.proportionality import Proportionality

FORMAT = "hingeline-check/1"
HELP = "Whether a way of counting is sound: a dilution series, or the same slides counted twice."
EXAMPLE = """examples:
  A series of five fractions, three counts of each; a lost one is x:
  hingeline check --fractions "0.1; 0.3; 0.5; 0.7; 1" \\
      --counts "11,9,12; 29,33,31; 52,47,50; 69,72,x; 100,96,104"

  The counts follow the dilution: proportionality index 1.06 %, R² 0.9996, p = 0.99.

  The same slides counted twice, by one person or by two:
  hingeline check --first 97,103,88,110 --second 99,101,90,112

  From 4 slides counted twice: standard deviation of one count 1.4 larvae (1.4 % of 100).
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    parser.add_argument(
        "--fractions",
        metavar="F;F;...",
        help="the part of the undiluted sample in each level, above 0 to 1, with semicolons",
    )
    parser.add_argument(
        "--counts",
        metavar="N,N;N,N;...",
        help="the counts of each level with commas, the levels with semicolons",
    )
    parser.add_argument(
        "--first", metavar="N,N,...", help="one count of each slide; a lost one is x"
    )
    parser.add_argument("--second", metavar="N,N,...", help="the other count, in the same order")
    parser.add_argument("--working", action="store_true", help="print every step too")
    add_level_and_json(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print what the series or the pairs say; return 0. Raises UsageError for bad input."""
    confidence = parse_confidence(arguments.confidence, "confidence level (--confidence)")
    series = (arguments.fractions, arguments.counts)
    pairs = (arguments.first, arguments.second)
    if None not in series and pairs == (None, None):
        answer = _series(*series, confidence)
    elif None not in pairs and series == (None, None):
        answer = _pairs(*pairs, confidence)
    else:
        raise UsageError(
            "Give either a dilution series (--fractions and --counts) or slides counted twice "
            "(--first and --second)."
        )
    put_out(answer, FORMAT, arguments)
    return 0


def _series(fractions_text: str, counts_text: str, confidence: float) -> Answer:
    fields = ("--fractions", "--counts")
    found = series_of(fractions_text.split(";"), counts_text.split(";"), confidence, fields)
    words = proportionality_words(found)
    return words, proportionality_working(found), {"series": _series_json(found)}


def _series_json(found: Proportionality) -> dict[str, Any]:
    plain = asdict(found) | {"top": found.top.as_json()}
    return {key: None if _is_undefined(value) else value for key, value in plain.items()}


def _is_undefined(value: object) -> bool:
    return isinstance(value, float) and not math.isfinite(value)


def _pairs(first_text: str, second_text: str, confidence: float) -> Answer:
    first = parse_counts(first_text, "first counts (--first)")
    second = parse_counts(second_text, "second counts (--second)")
    found = pairs_of(first, second, confidence)
    return repeatability_words(found), repeatability_working(found), {"pairs": asdict(found)}
