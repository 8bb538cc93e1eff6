"""All pictures of a sample: counted, grouped into fillings, each failure named."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from counter.counting.cautions import cautions
from counter.counting.pool import Outcome, outcome_of, outcomes
from counter.counting.scaling import NoScaleError
from counter.counting.settings import CountSettings
from counter.domain.progress import Part, Progress
from counter.domain.sample import Filling, Sample
from counter.errors import CounterError, UsageError
from counter.imaging.read import is_folder, picture_files, real_path

PathName = str | os.PathLike[str]


@dataclass(frozen=True, slots=True)
class Failure:
    """A file (its path as given) that was not counted, and why: a sentence without the path."""

    file: str
    reason: str


@dataclass(frozen=True, slots=True)
class Counted:
    """The sample as far as it could be counted, what could not be, and warnings about the whole."""

    sample: Sample
    failed: tuple[Failure, ...] = ()
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Entry:
    """A file and the filling that it belongs to: its folder, or None if it was named outright."""

    path: Path
    folder: Path | None


def count_pictures(
    paths: Sequence[PathName], settings: CountSettings, progress: Progress, jobs: int | None = None
) -> Counted:
    """Count all pictures in ``paths`` (files and folders) as one sample.

    A folder is one filling of the chamber, each of its sub-folders another, files that are named
    outright together one more; fillings and fields are numbered from 1. What cannot be read is
    named in ``failed`` and the others are counted. ``jobs`` processes are used for several
    pictures (default: as many as there are cores), none for one.

    Raises :class:`UsageError` where nothing is named, or nothing could be counted and some picture
    lacks nothing but a scale, and :class:`~counter.errors.Cancelled` when ``progress`` says so.
    """
    entries, failed = _entries(paths)
    done: dict[int, Outcome] = {}
    for outcome in _outcomes([entry.path for entry in entries], settings, progress, jobs):
        done[outcome.index] = outcome
    results = [done[index] for index in range(len(entries))]
    for entry, result in zip(entries, results, strict=True):
        if result.reason is not None:
            failed.append(Failure(os.fspath(entry.path), result.reason))
    without_scale = [result.index for result in results if result.lacks_scale]
    if without_scale and not any(result.fields for result in results):
        first = without_scale[0]
        raise NoScaleError(f"{entries[first].path}: {results[first].reason}")
    sample = _sample(entries, results, settings)
    digests = {
        os.fspath(entry.path): result.digest for entry, result in zip(entries, results, strict=True)
    }
    said = cautions(sample, digests, len(failed), settings.age_days)
    return Counted(sample, tuple(failed), said)


def _entries(paths: Sequence[PathName]) -> tuple[list[_Entry], list[Failure]]:
    """Return the files to be counted, nothing twice, and the folders that hold none."""
    if not paths:
        raise UsageError("No picture is named; give at least one picture or folder.")
    found: dict[str, _Entry] = {}
    failed: list[Failure] = []
    for path in paths:
        if not os.fspath(path):
            raise UsageError("A picture's name is empty; leave it out, or write . for this folder.")
        try:
            files = picture_files([path])
        except CounterError as error:
            failed.append(Failure(os.fspath(path), str(error).removeprefix(f"{Path(path)}: ")))
            continue
        for file in files:
            found.setdefault(
                real_path(file), _Entry(file, file.parent if is_folder(path) else None)
            )
    return list(found.values()), failed


def _outcomes(
    files: Sequence[Path], settings: CountSettings, progress: Progress, jobs: int | None
) -> Iterator[Outcome]:
    """Yield the outcome of each file, in any order, reporting how many are done."""
    workers = min(len(files), jobs if jobs is not None else os.cpu_count() or 1)
    share = 1.0 / max(1, len(files))
    if workers <= 1:
        for index, file in enumerate(files):
            part = Part(progress, index * share, (index + 1) * share, file.name)
            yield outcome_of(index, file, settings, part)
            progress.report((index + 1) * share, file.name)
        return
    done, latest = 0, f"{len(files)} pictures"

    def tell() -> None:
        progress.report(done * share, latest)

    tell()
    for outcome in outcomes(list(enumerate(files)), settings, workers, tell):
        yield outcome
        done, latest = done + 1, files[outcome.index].name
        tell()


def _sample(
    entries: Sequence[_Entry], results: Sequence[Outcome], settings: CountSettings
) -> Sample:
    by_folder: dict[Path | None, list[Outcome]] = {}
    for entry, result in zip(entries, results, strict=True):
        by_folder.setdefault(entry.folder, []).append(result)
    fillings: list[Filling] = []
    number = 0
    for group in by_folder.values():
        fields = []
        for field in (field for result in group for field in result.fields):
            number += 1
            fields.append(replace(field, field_id=number))
        if fields:
            fillings.append(Filling(len(fillings) + 1, tuple(fields), settings.aliquot_ul))
    return Sample(
        target=settings.target,
        chamber=settings.chamber,
        edges=settings.edges,
        dilution=settings.dilution,
        vessel_ml=settings.vessel_ml,
        confidence=settings.confidence,
        fillings=tuple(fillings),
        name=settings.name,
        volumes=settings.volumes,
        house=settings.house,
        lens=None if settings.lens is None else settings.lens.name,
    )
