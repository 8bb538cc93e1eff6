"""What ``hingeline calibrate`` does once its options are read."""

from __future__ import annotations

import argparse
import sys
from datetime import date
from typing import Any

from counter.commands.records import opened_records
from counter.domain.numerals import number
from counter.domain.scale import Lens
from counter.domain.scale_checks import beside_earlier
from counter.errors import CounterError, UsageError
from counter.exporting.write import STANDARD_OUTPUT, check_target, write_json
from counter.imaging.calibration import Calibration
from counter.imaging.micrometer import calibrate_micrometer
from counter.imaging.photo import Photo
from counter.imaging.read import read_page
from counter.imaging.scan_rulings import calibrate_rulings


def carry_out(arguments: argparse.Namespace) -> int:
    """Calibrate as the options say, print and write the result; return 0."""
    micrometer = arguments.division_um is not None
    text = arguments.division_um if micrometer else arguments.rulings_um
    option = "--division-um" if micrometer else "--rulings-um"
    distance_um = number(text, f"distance ({option})", may_be_thousands=False)
    if arguments.save_lens is not None and not arguments.save_lens.strip():
        raise UsageError("The lens (--save-lens) has no name; give it one, like 10x.")
    check_target(arguments.json, "--json")
    photo = read_page(arguments.image)
    measure = calibrate_micrometer if micrometer else calibrate_rulings
    try:
        found = measure(photo.grey(), distance_um)
    except UsageError:
        raise
    except CounterError as error:
        raise CounterError(f"{arguments.image}: {error}") from error
    out = sys.stderr if arguments.json == STANDARD_OUTPUT else sys.stdout
    print("\n".join(in_words(found)), file=out)
    if arguments.json is not None:
        write_json(arguments.json, document(found))
    if arguments.save_lens is not None:
        name = arguments.save_lens.strip()
        compared = save_lens(name, found, photo)
        print(f"Kept as the lens “{name}”. {compared}".strip(), file=out)
    return 0


def document(found: Calibration) -> dict[str, Any]:
    """Return the JSON of a calibration."""
    return {
        "um_per_px": found.um_per_px,
        "standard_error": found.standard_error,
        "angle_deg": found.angle_deg,
        "divisions_used": found.divisions_used,
        "warnings": list(found.warnings),
    }


def in_words(found: Calibration) -> list[str]:
    """Return the result as lines for people."""
    return [
        f"{found.um_per_px:.5g} µm per pixel, standard error {found.standard_error:.2g} "
        f"({100 * found.standard_error / found.um_per_px:.2g} %)",
        f"from {found.divisions_used} divisions at an angle of {found.angle_deg:.1f}°",
        *(f"Note: {warning}" for warning in found.warnings),
    ]


def save_lens(name: str, found: Calibration, photo: Photo) -> str:
    """Keep the calibration in the records, with today's date and the size of its picture.

    Return how it compares with earlier ones of this name; empty where there is none.
    """
    lens = Lens(
        name,
        found.um_per_px,
        found.standard_error,
        date.today(),
        photo.width_px,
        photo.height_px,
    )
    with opened_records() as records:
        earlier = records.lens_history(name)
        records.save_lens(lens)
    return beside_earlier(lens, earlier)
