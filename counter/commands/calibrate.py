"""``hingeline calibrate``: µm per pixel from a stage micrometer or the chamber's own rulings."""

from __future__ import annotations

import argparse

HELP = "Measure µm per pixel on a picture of a stage micrometer, or of the chamber's rulings."
EXAMPLE = """example:
  hingeline calibrate micrometer-10x.tif --division-um 10 --save-lens 10x

  The picture shows a stage micrometer of 1 mm in 100 parts (10 µm each), taken with the objective,
  zoom and picture size that the larvae are counted with. The result is in µm per pixel and is kept
  as the lens 10x, for hingeline count --lens 10x.
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    parser.add_argument("image", metavar="IMAGE", help="a picture of the lines, in focus")
    kind = parser.add_mutually_exclusive_group(required=True)
    kind.add_argument(
        "--division-um",
        metavar="D",
        help="a stage micrometer: µm between neighbouring lines (10 for 1 mm in 100 parts)",
    )
    kind.add_argument(
        "--rulings-um",
        metavar="P",
        help="chamber rulings: µm between neighbouring lines (1000 for a Sedgewick-Rafter square)",
    )
    parser.add_argument(
        "--save-lens", metavar="NAME", help="keep the result in the records under this name"
    )
    parser.add_argument(
        "--json",
        metavar="FILE",
        help="write the result as JSON; - writes it to standard output, the words to standard "
        "error",
    )


def run(arguments: argparse.Namespace) -> int:
    """Calibrate, print the result and keep it where that was asked for; return 0.

    Raises :class:`~counter.errors.CounterError` where no regular lines are found, and
    :class:`~counter.errors.UsageError` for a distance that cannot be.
    """
    from counter.commands.calibrating import carry_out  # so that --help need not load the eye

    return carry_out(arguments)
