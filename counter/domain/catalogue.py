"""The chambers and species that ship with the program, and the hatchery's own.

A hatchery keeps its own in a folder with a ``chambers.toml`` and ``species/*.toml``, written like
the files in ``resources``. One with a key that is known already replaces it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from importlib.resources import files
from importlib.resources.abc import Traversable
from itertools import pairwise
from pathlib import Path
from typing import TypeVar

from counter.domain.chamber import Chamber, Square
from counter.domain.species import Species, StageRange
from counter.domain.table_file import Table, read_table
from counter.errors import UsageError

Entry = TypeVar("Entry")
OWN = "the hatchery's own file"


def chambers(extra: Path | None = None) -> dict[str, Chamber]:
    """Return all chambers by key; the hatchery's own, from the folder ``extra``, stand over ours.

    A folder or file that is not there holds nothing of its own. Raises
    :class:`~counter.errors.CounterError`, naming file and field, for one that cannot be read.
    """
    found = _chambers_of(files("resources") / "chambers.toml")
    if extra is not None and (own := extra / "chambers.toml").exists():
        found |= _chambers_of(own)
    return found


def chamber(key: str, extra: Path | None = None) -> Chamber:
    """Return the chamber ``key``; raises :class:`UsageError` listing what there is."""
    return _one_of(chambers(extra), key, "chamber")


def species_list(extra: Path | None = None) -> dict[str, Species]:
    """Return all species by key, which is the file's name; see :func:`chambers` for ``extra``."""
    found = _species_in((files("resources") / "species").iterdir())
    if extra is not None and (own := extra / "species").is_dir():
        found |= _species_in(own.iterdir())
    return found


def species(key: str, extra: Path | None = None) -> Species:
    """Return the species ``key``; raises :class:`UsageError` listing what there is."""
    return _one_of(species_list(extra), key, "species")


def _one_of(entries: Mapping[str, Entry], key: str, what: str) -> Entry:
    if key in entries:
        return entries[key]
    raise UsageError(f"The {what} “{key}” is not known; there is {', '.join(sorted(entries))}.")


def _chambers_of(file: Path | Traversable) -> dict[str, Chamber]:
    whole = read_table(file)
    return {key: _chamber(key, whole.table(key)) for key in whole.values}


def _chamber(key: str, table: Table) -> Chamber:
    area = _area_mm2(table)
    depth = table.optional_number("depth_mm")
    if (area is None) != (depth is None):
        raise table.wrong("depth_mm", "and the area belong together; give both or neither")
    read = Chamber(
        key=key,
        name=table.text("name"),
        area_mm2=area,
        depth_mm=depth,
        squares=tuple(_square(entry) for entry in table.tables("squares")),
        ruling_um=table.optional_number("ruling_um"),
        certified_ul=table.optional_number("certified_ul"),
        source=table.text("source", default=OWN),
    )
    table.refuse_unread()
    return read


def _square(table: Table) -> Square:
    area = _area_mm2(table)
    if area is None:
        raise table.wrong("area_mm2", "is missing; give it, or length_mm and width_mm")
    read = Square(table.text("name"), area)
    table.refuse_unread()
    return read


def _area_mm2(table: Table) -> float | None:
    """Return the area given in one of three ways, None where it is left out."""
    area, diameter = table.optional_number("area_mm2"), table.optional_number("diameter_mm")
    length, width = table.optional_number("length_mm"), table.optional_number("width_mm")
    if (length is None) != (width is None):
        raise table.wrong("length_mm", "and width_mm belong together; give both")
    ways = [
        area,
        None if length is None or width is None else length * width,
        None if diameter is None else math.pi / 4 * diameter**2,
    ]
    given = [way for way in ways if way is not None]
    if len(given) > 1:
        raise table.wrong("area_mm2", "is given in more than one way; keep one of them")
    return given[0] if given else None


def _species_in(folder: Iterable[Path | Traversable]) -> dict[str, Species]:
    tables = sorted((file for file in folder if file.name.endswith(".toml")), key=lambda f: f.name)
    return {key: _species(key, file) for file in tables for key in [file.name[: -len(".toml")]]}


def _species(key: str, file: Path | Traversable) -> Species:
    table = read_table(file)
    read = Species(
        key=key,
        name=table.text("name"),
        latin=table.text("latin"),
        stages=_stages(table),
        larva_um=_limits_um(table.table("larva")),
        egg_um=_limits_um(table.table("egg")),
    )
    table.refuse_unread()
    return read


def _stages(table: Table) -> tuple[StageRange, ...]:
    stages = tuple(_stage(entry) for entry in table.tables("stages"))
    if not stages:
        raise table.wrong("stages", "are missing; give at least one, from the smallest on")
    if len({entry.stage for entry in stages}) < len(stages):
        raise table.wrong("stages", "name a stage twice; give each its own name")
    starts = [entry.from_um for entry in stages]
    if any(later <= earlier for earlier, later in pairwise(starts)):
        raise table.wrong("stages", "must grow in from_um, from the smallest on")
    return stages


def _stage(table: Table) -> StageRange:
    read = StageRange(
        stage=table.text("stage"),
        from_um=table.number("from_um", zero_too=True),
        source=table.text("source", default=OWN),
    )
    table.refuse_unread()
    return read


def _limits_um(table: Table) -> tuple[float, float]:
    low, high = table.number("low_um"), table.number("high_um")
    if low >= high:
        raise table.wrong("high_um", "must be above low_um")
    table.text("source", default=OWN)
    table.refuse_unread()
    return low, high
