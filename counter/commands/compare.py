"""``hingeline compare``: do two counts, or two shares, show a change, and how much of one?"""

from __future__ import annotations

import argparse
from dataclasses import asdict

from counter.commands.typed import Answer, add_level_and_json, put_out
from counter.domain.counts_entry import counts_in_volumes
from counter.domain.sample import Dilution
from counter.domain.share_entry import parse_share
from counter.domain.units import (
    parse_confidence,
    parse_dilution,
    parse_volume_ml,
)
from counter.errors import UsageError
from counter.statistics.audit_last import (
    ALL,
    LIVE,
    dilution_changed,
    live_beside_all,
    vessel_changed,
)
from counter.statistics.comparison_words import Question
from counter.statistics.comparison_working import comparison_working
from counter.statistics.shares import LimitedShare, compare_shares
from counter.statistics.vessels import Vessel, compare_vessels

FORMAT = "hingeline-compare/1"
HELP = "Whether two counts, or two shares, show a change: survival, yield, loss, two readers."
EXAMPLE = """examples:
  hingeline compare --counts 200 --each "1 mL" --with 180

  200 against 180 does not show a change: the second is 0.900 times the first (95 % limits 0.732
  to 1.11). With vessels the totals are compared; the second count has the volumes of the first
  unless its own are given:
  hingeline compare --as survival --counts 112,98,103 --each "0.25 mL" --vessel "760 mL" \\
      --with 88,91 --with-vessel "600 mL"

  It takes the dead for a loss to compare live and dead with the live alone; say what was counted:
  hingeline compare --counts 200 --each "1 mL" --with 150 --with-counted live

  Two shares (fertilised, live, eyed, deformed), each as how many of how many:
  hingeline compare --share 56/70 --with-share 48/80

  80.0 % against 60.0 % shows a change: the second is 20.0 percentage points lower (95 % limits
  5.24 to 33.4 lower).
"""
COUNTS_OR_SHARES = (
    "Give either two counts (--counts, --each and --with) or two shares (--share and --with-share)."
)
_OF_COUNTS = (
    "counts", "each", "vessel", "dilution", "second", "with_each", "with_vessel", "with_dilution",
    "counted", "with_counted"
)  # fmt: skip


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    parser.add_argument(
        "--as",
        dest="question",
        choices=[question.value for question in Question],
        help="what the second count is to the first (default: change)",
    )
    parser.add_argument("--counts", metavar="N,N,...", help="the first counts; a lost one is x")
    parser.add_argument(
        "--each",
        metavar="VOLUME",
        help='volume of each, with unit: one for all ("0.25 mL") or one for each',
    )
    parser.add_argument(
        "--vessel",
        metavar="VOLUME",
        help="vessel of the first, with unit: 20 L; without vessels densities are compared",
    )
    parser.add_argument(
        "--dilution",
        metavar="A+B",
        help="dilution of the first, parts sample + parts water (default: 1+0, undiluted)",
    )
    parser.add_argument(
        "--with",
        dest="second",
        metavar="N,N,...",
        help="the counts that are compared with the first",
    )
    parser.add_argument("--with-each", metavar="VOLUME", help="their volumes (default: --each)")
    parser.add_argument("--with-vessel", metavar="VOLUME", help="their vessel (default: --vessel)")
    parser.add_argument(
        "--with-dilution", metavar="A+B", help="their dilution (default: --dilution)"
    )
    parser.add_argument(
        "--counted",
        choices=(ALL, LIVE),
        help="what the first counts hold: all, the live and the dead (default), or the live alone",
    )
    parser.add_argument(
        "--with-counted", choices=(ALL, LIVE), help="what the others hold (default: --counted)"
    )
    shares = parser.add_argument_group("two shares in place of two counts")
    shares.add_argument(
        "--share",
        metavar="K/N",
        help="the first share, how many of how many: 56/70; alone it is given its limits",
    )
    shares.add_argument("--with-share", metavar="K/N", help="the share compared with it: 48/80")
    parser.add_argument("--working", action="store_true", help="print every step to the limits too")
    add_level_and_json(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print what counts or shares show; return 0. Raises UsageError for what cannot be read."""
    confidence = parse_confidence(arguments.confidence, "confidence level (--confidence)")
    is_shares = arguments.share is not None or arguments.with_share is not None
    answer = _shares if is_shares else _counts
    words, working, found = answer(arguments, confidence)
    asked = {"as": arguments.question or Question.CHANGE.value}
    put_out((words, working, {**asked, **found}), FORMAT, arguments)
    return 0


def _shares(arguments: argparse.Namespace, confidence: float) -> Answer:
    if any(getattr(arguments, name) is not None for name in _OF_COUNTS):
        raise UsageError(COUNTS_OR_SHARES)
    if arguments.question not in (None, Question.CHANGE.value):
        raise UsageError(
            f"“{arguments.question}” (--as) is asked of counts; shares are compared for a change."
        )
    first = parse_share(arguments.share or "", "first share (--share)")
    if arguments.with_share is None:
        alone = LimitedShare.typed(first, confidence)
        words = (alone.sentence(confidence),)
        return words, alone.working(confidence), {"share": asdict(alone)}
    second = parse_share(arguments.with_share, "second share (--with-share)")
    found = compare_shares(first, second, confidence)
    return found.words(), found.working(), {"shares": found.as_json()}


def _counts(arguments: argparse.Namespace, confidence: float) -> Answer:
    if None in (arguments.counts, arguments.each, arguments.second):
        raise UsageError(COUNTS_OR_SHARES)
    first, second = _vessels(arguments)
    compared = compare_vessels(first, second, confidence)
    counted = arguments.counted or ALL
    slips = (
        *vessel_changed(second.volume_ml, first.volume_ml),
        *dilution_changed(second.dilution, first.dilution),
        *live_beside_all(counted, arguments.with_counted or counted),
    )
    question = Question(arguments.question or Question.CHANGE.value)
    words = (*compared.words(question), *(f"Note: {slip}" for slip in slips))
    return words, comparison_working(compared), {"comparison": compared.found.as_json()}


def _vessels(arguments: argparse.Namespace) -> tuple[Vessel, Vessel]:
    if arguments.with_vessel is not None and arguments.vessel is None:
        raise UsageError(
            "Only the second count has a vessel (--with-vessel); give that of the first too "
            "(--vessel)."
        )
    counts, volumes_ml = counts_in_volumes(arguments.counts, arguments.each, "--counts", "--each")
    each = arguments.with_each
    if each is None and len(set(volumes_ml)) > 1:
        raise UsageError(
            "The first counts have different volumes (--each); give those of the second "
            "(--with-each)."
        )
    each = f"{volumes_ml[0]!r} mL" if each is None else each
    later, later_ml = counts_in_volumes(arguments.second, each, "--with", "--with-each")
    vessel, dilution = arguments.with_vessel, arguments.with_dilution
    first = arguments.dilution or "1+0"
    return (
        Vessel(counts, volumes_ml, *_water(first, arguments.vessel, "")),
        Vessel(
            later,
            later_ml,
            *_water(
                first if dilution is None else dilution,
                arguments.vessel if vessel is None else vessel,
                "with-",
            ),
        ),
    )


def _water(dilution: str, vessel: str | None, prefix: str) -> tuple[Dilution, float | None]:
    """Return how the water was diluted, and the vessel's volume in mL as far as it is known."""
    parts = parse_dilution(dilution, f"dilution (--{prefix}dilution)")
    if vessel is None:
        return parts, None
    return parts, parse_volume_ml(vessel, f"vessel volume (--{prefix}vessel)")
