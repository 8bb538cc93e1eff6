"""What ``hingeline count`` does once its options are read."""

from __future__ import annotations

import argparse
import logging
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TextIO

from counter.commands.bar import Bar
from counter.commands.certainty import house_of, volumes_of
from counter.commands.records import opened_records
from counter.counting import Counted, CountSettings, count_pictures
from counter.domain import catalogue
from counter.domain.edges import EdgeRule
from counter.domain.numerals import number
from counter.domain.scale import Lens
from counter.domain.species import Target, TargetKind, target_of
from counter.domain.units import (
    parse_confidence,
    parse_dilution,
    parse_length_range_um,
    parse_um_per_px,
    parse_volume_ml,
)
from counter.errors import CounterError, UsageError
from counter.exporting.document import count_document
from counter.exporting.summary import summary
from counter.exporting.tables import write_csv
from counter.exporting.write import STANDARD_OUTPUT, check_target, write_json
from counter.imaging.rescore import Rescorer
from counter.records.place import own_folder

MOST_DAYS = 200.0
"""No bivalve is a larva for longer."""


def carry_out(arguments: argparse.Namespace) -> int:
    """Count, print the result and write what was asked for; return 0, or 1 if anything failed.

    Raises :class:`UsageError` for what cannot be understood, before any picture is read.
    """
    settings = _settings(arguments)
    jobs = _jobs(arguments.jobs)
    writers = _writers(arguments)
    with Bar() as bar:
        counted = count_pictures(arguments.paths, settings, bar, jobs)
    for failure in counted.failed:
        print(f"hingeline: {failure.file}: {failure.reason}", file=sys.stderr)
    unwritten = [trouble for write in writers if (trouble := _trouble(write, counted))]
    said = summary(counted.sample, counted.warnings, with_working=arguments.working)
    print(said, file=_for_people(arguments))
    for trouble in unwritten:
        print(f"hingeline: {trouble}", file=sys.stderr)
    return 1 if counted.failed or unwritten else 0


def _settings(arguments: argparse.Namespace) -> CountSettings:
    own = own_folder()
    length_um = None
    if arguments.length_um is not None:
        length_um = parse_length_range_um(arguments.length_um, "length range (--length-um)")
    kind = TargetKind(arguments.target)
    target = target_of(catalogue.species(arguments.species, own), kind, length_um)
    chamber = catalogue.chamber(arguments.chamber, own)
    volume_ml = _volume_ml(arguments.chamber_volume, "chamber volume (--chamber-volume)")
    if volume_ml is not None:
        chamber = chamber.certified(volume_ml * 1000.0)
    aliquot_ml = _volume_ml(arguments.aliquot, "aliquot (--aliquot)")
    lens, rescorer = _lens(arguments, target)
    um_per_px = None
    if arguments.um_per_px is not None:
        um_per_px = parse_um_per_px(arguments.um_per_px, "scale (--um-per-px)")
    return CountSettings(
        target=target,
        chamber=chamber,
        edges=EdgeRule(arguments.edges),
        dilution=parse_dilution(arguments.dilution, "dilution (--dilution)"),
        vessel_ml=_volume_ml(arguments.vessel, "vessel volume (--vessel)"),
        confidence=parse_confidence(arguments.confidence, "confidence level (--confidence)"),
        um_per_px=um_per_px,
        lens=lens,
        use_rulings=arguments.rulings,
        aliquot_ul=None if aliquot_ml is None else aliquot_ml * 1000.0,
        volumes=volumes_of(arguments, aliquot_ml),
        house=house_of(arguments),
        age_days=_age_days(arguments.age_days),
        rescorer=rescorer,
    )


def _age_days(text: str | None) -> float | None:
    if text is None:
        return None
    age_days = number(text, "age (--age-days)", may_be_thousands=False)
    if not 0 <= age_days <= MOST_DAYS:
        raise UsageError(
            f"An age (--age-days) of {text} days cannot be; give the days since fertilisation, "
            f"0 to {MOST_DAYS:g}."
        )
    return age_days


def _volume_ml(text: str | None, field: str) -> float | None:
    return None if text is None else parse_volume_ml(text, field)


def _lens(arguments: argparse.Namespace, target: Target) -> tuple[Lens | None, Rescorer | None]:
    """Return the lens from the records, and what it was taught if that is to be used.

    What it was taught and cannot be used is said on standard error.
    """
    if arguments.lens is None:
        return None, None
    from counter.session.learning import Learning  # late: it loads the database's library

    with opened_records() as records:
        lens = records.lens(arguments.lens)
        if arguments.without_learnt:
            return lens, None
        learning = Learning(records)
        told = learning.told(lens.name, target)
        if told.corrections and not told.is_used:
            print(f"hingeline: {told.words}", file=sys.stderr)
        return lens, learning.rescorer(lens.name, target)


def _jobs(text: str | None) -> int | None:
    if text is None:
        return None
    if not text.strip().isdecimal() or not 1 <= int(text) <= 1024:
        raise UsageError(
            f"The number of processes (--jobs) “{text}” must be a whole number from 1."
        )
    return int(text)


Writer = Callable[[Counted], None]


def _writers(arguments: argparse.Namespace) -> list[Writer]:
    """Return what writes each output, standard output last: whoever reads it may leave early.

    Raises, before the work, where one cannot be written.
    """
    targets = [t for t in (arguments.json, arguments.csv, arguments.plot) if t is not None]
    places = [t if t == STANDARD_OUTPUT else os.path.abspath(t) for t in targets]  # noqa: PTH100
    if len(set(places)) < len(places):
        raise UsageError("Two outputs go to one place; give each of them its own file.")
    writers: list[Writer] = []
    if arguments.plot is not None:
        writers.append(_plotter(arguments.plot))
    for option in ("json", "csv", "plot"):
        check_target(getattr(arguments, option), f"--{option}")
    if arguments.csv is not None:
        writers.append(lambda counted: write_csv(arguments.csv, counted.sample))
    if arguments.json is not None:
        writers.append(lambda counted: write_json(arguments.json, _document(counted)))
    return writers[::-1] if arguments.csv == STANDARD_OUTPUT else writers


def _plotter(target: str) -> Writer:
    """Return what draws and writes the histogram; matplotlib is loaded only here."""
    if target == STANDARD_OUTPUT:
        raise UsageError("A chart (--plot) goes to a file; give it a name like sizes.png.")
    logging.getLogger("matplotlib").setLevel(logging.ERROR)  # it speaks of its cache at home
    from counter.exporting import figures

    figures.checked_suffix(Path(target))
    return lambda counted: figures.save(figures.size_histogram(counted.sample), target)


def _document(counted: Counted) -> dict[str, object]:
    failed = [(failure.file, failure.reason) for failure in counted.failed]
    return count_document(counted.sample, failed, counted.warnings)


def _trouble(write: Writer, counted: Counted) -> str | None:
    """Write one output; return what went wrong, so that the others are still written."""
    try:
        write(counted)
    except CounterError as error:
        return str(error)
    return None


def _for_people(arguments: argparse.Namespace) -> TextIO:
    """Return where the readable result goes: not among the data on standard output."""
    taken = STANDARD_OUTPUT in (arguments.json, arguments.csv)
    return sys.stderr if taken else sys.stdout
