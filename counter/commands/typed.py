"""What several commands read from the command line: counts with their volumes."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from typing import Any

from counter.domain.units import parse_counts, parse_volumes_ml
from counter.errors import UsageError
from counter.exporting.write import STANDARD_OUTPUT, check_name, write_json


def add_vessel(parser: argparse._ActionsContainer) -> None:
    """Add the options for the vessel and for how its water was diluted, to a parser or a group."""
    parser.add_argument(
        "--vessel",
        metavar="VOLUME",
        help="volume sampled from, with unit: 20 L, 800 mL; without it there is no total",
    )
    parser.add_argument(
        "--dilution",
        default="1+0",
        metavar="A+B",
        help="A parts sample plus B parts water: 1+9 is tenfold (default: 1+0, undiluted)",
    )


def add_level(parser: argparse._ActionsContainer) -> None:
    """Add the option for the confidence level of the limits, to a parser or a group."""
    parser.add_argument(
        "--confidence",
        default="0.95",
        metavar="SHARE",
        help="confidence level of the limits, 0.5 to 0.9999 (default: 0.95)",
    )


def add_level_and_json(parser: argparse.ArgumentParser) -> None:
    """Add the options for the confidence level of the limits and for the JSON."""
    add_level(parser)
    parser.add_argument(
        "--json", metavar="FILE", help="write the result as JSON; - for standard output"
    )


def volumes_of_counts(text: str, counts: int, option: str) -> tuple[float, ...]:
    """Return one volume in mL for each of ``counts`` counts from one volume, or from one each.

    Raises UsageError, naming ``option``, for what is not a volume and for another number of them.
    """
    volumes_ml = parse_volumes_ml(text, f"volume counted ({option})")
    if len(volumes_ml) == 1:
        return volumes_ml * counts
    if len(volumes_ml) != counts:
        raise UsageError(
            f"There are {counts} counts but {len(volumes_ml)} volumes ({option}); give one volume "
            "for all counts or one for each, also for a lost one."
        )
    return volumes_ml


def counts_in_volumes(
    counts_text: str, each_text: str, counts_option: str, each_option: str
) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """Return the counts that are not lost and the volume in mL of each.

    Raises UsageError for what cannot be read and where all are lost.
    """
    counts = parse_counts(counts_text, f"counts ({counts_option})")
    volumes_ml = volumes_of_counts(each_text, len(counts), each_option)
    kept = [
        (count, volume)
        for count, volume in zip(counts, volumes_ml, strict=True)
        if count is not None
    ]
    if not kept:
        raise UsageError(f"All counts ({counts_option}) are lost; give at least one whole number.")
    return tuple(count for count, _ in kept), tuple(volume for _, volume in kept)


def put_out(lines: Iterable[str], document: dict[str, Any], json_file: str | None) -> None:
    """Print ``lines``; write ``document`` where ``--json`` says.

    With ``-`` the JSON goes to standard output and the lines to standard error. UsageError, before
    anything is printed, where the file has no name.
    """
    check_name(json_file, "--json")
    on_paper = sys.stderr if json_file == STANDARD_OUTPUT else sys.stdout
    print("\n".join(lines), file=on_paper)
    if json_file is not None:
        write_json(json_file, document)
