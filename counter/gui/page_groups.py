"""Which pages the files and folders hold that somebody opens; runs off the window's thread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from counter.domain.progress import Progress
from counter.errors import CounterError
from counter.gui.shelf import PageKey
from counter.imaging.read import count_pages, picture_files


@dataclass(frozen=True, slots=True)
class Group:
    """Pages that belong to one filling, or the reason why there are none."""

    keys: tuple[PageKey, ...]
    is_folder: bool
    problem: str = ""
    path: str = ""


def pages_of(paths: Sequence[str], progress: Progress) -> list[Group]:
    """Return the pages of these files and folders, each folder with pictures a group."""
    groups: list[Group] = []
    loose: list[PageKey] = []
    for path in paths:
        try:
            files = picture_files([path])
        except CounterError as error:
            groups.append(Group((), True, str(error), path))
            continue
        if not Path(path).is_dir():
            loose += _pages(files, groups, progress)
            continue
        for folder in dict.fromkeys(file.parent for file in files):
            inside = [file for file in files if file.parent == folder]
            groups.append(Group(tuple(_pages(inside, groups, progress)), True))
    return [*([Group(tuple(loose), False)] if loose else []), *groups]


def _pages(files: Sequence[Path], groups: list[Group], progress: Progress) -> list[PageKey]:
    keys: list[PageKey] = []
    for file in files:
        progress.report(0.0, f"looking into {file.name}")
        try:
            keys += [(str(file.absolute()), page) for page in range(count_pages(file))]
        except CounterError as error:
            groups.append(Group((), False, str(error), str(file)))
    return keys
