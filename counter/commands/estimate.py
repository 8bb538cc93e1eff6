"""``hingeline estimate``: a total with limits from counts that are typed; no picture needed."""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass, replace
from typing import Any

from counter import __version__
from counter.commands.certainty import add_certainty_arguments, house_of, volumes_of
from counter.commands.typed import add_level, add_vessel
from counter.domain.counts_entry import counts_of_squares, parse_total, volumes_of_counts
from counter.domain.sample import Dilution
from counter.domain.units import (
    parse_confidence,
    parse_counts,
    parse_dilution,
    parse_volume_ml,
    volume_for_people,
)
from counter.errors import UsageError
from counter.exporting.write import STANDARD_OUTPUT, check_name, write_json
from counter.statistics.audit import paper_total, typed_volumes
from counter.statistics.audit_last import far_from_last
from counter.statistics.dispersion import pooled_dispersion
from counter.statistics.estimate import Estimate, estimate_counts
from counter.statistics.squares import Squares, scatter_line
from counter.statistics.total import Conditions
from counter.statistics.working import working_of_counts

FORMAT = "hingeline-estimate/1"
HELP = "The total in a vessel, with limits and the working, from counts that are typed."
EXAMPLE = """example:
  hingeline estimate --counts 112,98,103 --each "0.25 mL" --vessel "760 mL"

  Three fillings of 0.25 mL from a vessel of 760 mL: 317 173 in all, 95 % limits 283 005 to
  354 330. A lost aliquot is written x and never read as 0: --counts 112,x,103

  Counted square by square (1 µL each), in two fillings: whether the squares are even is said too.
  hingeline estimate --squares "9,12,8,11; 10,7,13,9" --each "1 µL" --vessel "20 L"

  40 + 39 counted in 8 µL: 198 million in all, 95 % limits 156 to 246 million.
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    counted = parser.add_mutually_exclusive_group(required=True)
    counted.add_argument(
        "--counts",
        metavar="N,N,...",
        help="the count of each filling, whole numbers; a blank or lost one is x",
    )
    counted.add_argument(
        "--squares",
        metavar="N,N;N,N;...",
        help="or the count of each square, fillings parted by semicolons; --each is then the "
        "volume of one square",
    )
    parser.add_argument(
        "--each",
        required=True,
        metavar="VOLUME",
        help='volume counted, with unit: one for all ("0.25 mL") or one for each '
        '("0.25 mL, 0.3 mL")',
    )
    add_vessel(parser)
    add_level(parser)
    parser.add_argument(
        "--paper-total",
        metavar="N",
        help="the total that stands on paper, to be checked against these counts",
    )
    parser.add_argument(
        "--last-total",
        metavar="N",
        help="the last total of this tank, to be warned of a jump",
    )
    parser.add_argument(
        "--json",
        metavar="FILE",
        help="write the result as JSON; - writes it to standard output, the working to standard "
        "error",
    )
    add_certainty_arguments(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print the working and the total; return 0. Raises UsageError for what cannot be read."""
    check_name(arguments.json, "--json")
    typed = _typed(arguments)
    counts, volumes_ml = typed.counts, typed.volumes_ml
    dilution = parse_dilution(arguments.dilution, "dilution (--dilution)")
    vessel_ml = None
    if arguments.vessel is not None:
        vessel_ml = parse_volume_ml(arguments.vessel, "vessel volume (--vessel)")
    confidence = parse_confidence(arguments.confidence, "confidence level (--confidence)")
    given = Conditions(
        dilution,
        vessel_ml,
        confidence,
        volumes_of(arguments, min(volumes_ml)),
        house_of(arguments),
    )
    result = _estimate(counts, volumes_ml, given)
    result = replace(result, warnings=(*result.warnings, *_slips(arguments, typed, result)))
    working = (
        *typed.lines(),
        *working_of_counts(counts, volumes_ml, dilution, result),
    )
    on_paper = sys.stderr if arguments.json == STANDARD_OUTPUT else sys.stdout
    print("\n".join(working), file=on_paper)
    for warning in result.warnings:
        print(f"Note: {warning}", file=on_paper)
    if arguments.json is not None:
        document = _document(typed, dilution, result, working)
        write_json(arguments.json, document)
    return 0


@dataclass(frozen=True, slots=True)
class _Typed:
    """One count (None: lost) and one volume for each filling; ``squares`` where it was counted
    square by square, ``each_ml`` is what was typed as volumes."""

    counts: tuple[int | None, ...]
    volumes_ml: tuple[float, ...]
    each_ml: tuple[float, ...]
    squares: tuple[tuple[int, ...], ...] = ()

    @property
    def groups(self) -> list[Squares]:
        """The squares of each filling that has some."""
        return [(list(one), [self.each_ml[0]] * len(one)) for one in self.squares if one]

    def lines(self) -> list[str]:
        """Return the lines of the working on the squares; none for counts of whole fillings."""
        sums = [
            f"Filling {number}, {len(one)} square{'' if len(one) == 1 else 's'} of "
            f"{volume_for_people(self.each_ml[0])}: "
            f"{' + '.join(map(str, one))} = {sum(one)}"
            for number, one in enumerate(self.squares, start=1)
            if one
        ]
        return [*sums, *scatter_line("Squares within a filling", self.groups)]


def _typed(arguments: argparse.Namespace) -> _Typed:
    if arguments.squares is None:
        counts = parse_counts(arguments.counts, "counts (--counts)")
        volumes_ml = volumes_of_counts(arguments.each, len(counts), "--each")
        return _Typed(counts, volumes_ml, volumes_ml)
    squares = counts_of_squares(arguments.squares, "--squares")
    each_ml = parse_volume_ml(arguments.each, "volume of a square (--each)")
    return _Typed(
        tuple(sum(one) if one else None for one in squares),
        tuple(each_ml * max(1, len(one)) for one in squares),
        (each_ml,),
        squares,
    )


def _estimate(
    counts: tuple[int | None, ...], volumes_ml: tuple[float, ...], given: Conditions
) -> Estimate:
    """Return the estimate of the counts that are not lost."""
    kept = [
        (number, count, volume)
        for number, (count, volume) in enumerate(zip(counts, volumes_ml, strict=True), start=1)
        if count is not None
    ]
    if not kept:
        raise UsageError("All counts (--counts) are lost; give at least one whole number.")
    return estimate_counts(
        [count for _, count, _ in kept],
        [volume for _, _, volume in kept],
        given.dilution,
        given.vessel_ml,
        given.confidence,
        [number for number, _, _ in kept],
        volumes=given.volumes,
        house=given.house,
    )


def _slips(arguments: argparse.Namespace, typed: _Typed, result: Estimate) -> list[str]:
    """Return what looks like a slip in what was typed."""
    said = typed_volumes(typed.each_ml)
    paper = _total(arguments.paper_total, "total on paper (--paper-total)")
    if paper is not None:
        said += paper_total(paper, result, typed.counts, typed.volumes_ml)
    last = _total(arguments.last_total, "last total (--last-total)")
    if last is not None:
        said += far_from_last(result, last)
    return said


def _total(text: str | None, field: str) -> float | None:
    return None if text is None else parse_total(text, field)


def _document(
    typed: _Typed, dilution: Dilution, result: Estimate, working: tuple[str, ...]
) -> dict[str, Any]:
    scatter = pooled_dispersion(typed.groups)
    return {
        "format": FORMAT,
        "version": __version__,
        "counts": list(typed.counts),
        "volumes_ml": list(typed.volumes_ml),
        "squares": [list(one) for one in typed.squares] or None,
        "among_squares": None if scatter is None else scatter.as_json(),
        "dilution": {"sample_parts": dilution.sample_parts, "water_parts": dilution.water_parts},
        "estimate": result.as_json(),
        "working": list(working),
        "warnings": list(result.warnings),
    }
