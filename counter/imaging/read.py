"""Picture files: which there are, and their pages one at a time."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from counter.errors import CounterError, UsageError
from counter.imaging.limits import KINDS, checked_file, reason_of
from counter.imaging.photo import Photo
from counter.imaging.raster import read_raster
from counter.imaging.slide import WHOLE_PX, AnyPhoto
from counter.imaging.tiff import count_tiff_pages, is_tiff, read_tiff_fields, read_tiff_pages

__all__ = [
    "SUFFIXES",
    "Photo",
    "count_pages",
    "picture_files",
    "read_field",
    "read_fields",
    "read_page",
    "read_pages",
]

SUFFIXES = (
    ".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".tif", ".tiff", ".bmp", ".webp", ".jp2", ".j2k",
    ".jpf", ".jpx", ".j2c",
)  # fmt: skip
"""How the names of pictures in a folder end, in any case."""


def read_pages(path: str | os.PathLike[str]) -> Iterator[Photo]:
    """Yield each page of a picture file as a photo, one at a time in memory.

    JPEG, PNG, BMP, WEBP, JPEG 2000 and TIFF (8 and 16 bits, grey, colour, palette, CMYK; several
    pages), told apart by content, not by name. Raises :class:`CounterError` for a missing, empty
    or unreadable file, a folder, what is no picture, is cut short, or is too large to be opened.
    """
    file = checked_file(Path(path))
    if is_tiff(file):
        yield from read_tiff_pages(file, os.fspath(path))
    else:
        yield read_raster(file, os.fspath(path))


def read_fields(
    path: str | os.PathLike[str], whole_px: int | None = None, only: int | None = None
) -> Iterator[AnyPhoto]:
    """Yield each page as :func:`read_pages` does, but a TIFF's page of more than ``whole_px``
    pixels (default: ``WHOLE_PX``) as a slide that is read region by region, where the file is made
    of tiles or strips that allow it. ``only`` that page, counted from 0, if it is given.

    Raises as :func:`read_pages` does; where a slide is damaged may show only as it is read.
    """
    file = checked_file(Path(path))
    if is_tiff(file):
        limit = WHOLE_PX if whole_px is None else whole_px
        yield from read_tiff_fields(file, os.fspath(path), limit, only)
    elif only in (None, 0):
        yield read_raster(file, os.fspath(path))


def read_field(
    path: str | os.PathLike[str], page: int = 0, whole_px: int | None = None
) -> AnyPhoto:
    """Return one page as :func:`read_fields` gives it; raises also where there is no such page."""
    for found in read_fields(path, whole_px, page):
        return found
    raise _no_page(path, page)


def _no_page(path: str | os.PathLike[str], page: int) -> CounterError:
    return CounterError(
        f"{path}: has no page {page + 1}; the file has changed since it was counted."
    )


def read_page(path: str | os.PathLike[str], page: int = 0) -> Photo:
    """Return one page, counted from 0; raises like :func:`read_pages`, and for no such page."""
    file = checked_file(Path(path))
    if is_tiff(file):
        for photo in read_tiff_pages(file, os.fspath(path), only=page):
            return photo
    elif page == 0:
        return read_raster(file, os.fspath(path))
    raise _no_page(path, page)


def count_pages(path: str | os.PathLike[str]) -> int:
    """Return how many pages (fields) a file holds, without decoding them; raises the same."""
    file = checked_file(Path(path))
    return count_tiff_pages(file) if is_tiff(file) else 1


def picture_files(paths: Sequence[str | os.PathLike[str]]) -> list[Path]:
    """Return the files to be read: folders with their sub-folders expanded, nothing twice.

    Names sort as people count (field-2 before field-10), a folder's own before those of its
    sub-folders. Files that are named outright stay,
    whatever their name and whether they exist or not, so that their own error can be told. Hidden
    files are left out of folders. Raises :class:`CounterError` for a folder without pictures and
    :class:`UsageError` where nothing is named.
    """
    if not paths:
        raise UsageError("No picture is named; give at least one picture or folder.")
    found: dict[str, Path] = {}
    for path in map(Path, paths):
        for file in _in_folder(path) if is_folder(path) else [path]:
            found.setdefault(real_path(file), file)
    return list(found.values())


def is_folder(path: str | os.PathLike[str]) -> bool:
    """Say whether ``path`` is a folder; one that cannot be reached, or can't be at all, is none."""
    return os.path.isdir(path)  # noqa: PTH112 - Path.is_dir raises for what may not be looked at


def real_path(path: str | os.PathLike[str]) -> str:
    """Return the path without links, by which one file under two names is known."""
    return os.path.realpath(path)  # Path.resolve raises where links go round in a circle


def _in_folder(folder: Path) -> list[Path]:
    found: list[Path] = []
    try:
        for parent, folders, files in os.walk(folder, onerror=_raise):
            folders[:] = sorted((name for name in folders if name[0] != "."), key=_as_counted)
            pictures = sorted(filter(_is_picture, files), key=_as_counted)
            found.extend(Path(parent, name) for name in pictures)
    except OSError as error:
        raise CounterError(
            f"{folder}: cannot be looked into ({reason_of(error)}); check its permissions."
        ) from None
    if not found:
        raise CounterError(f"{folder}: holds no picture; put {KINDS} files there.")
    return found


def _is_picture(name: str) -> bool:
    return not name.startswith(".") and name.lower().endswith(SUFFIXES)


def _as_counted(name: str) -> list[tuple[int, int, str]]:
    """Return a sorting key by which runs of digits are numbers."""
    parts = re.split(r"(\d+)", name.casefold())
    return [(0, int(part), part) if part.isdecimal() else (1, 0, part) for part in parts if part]


def _raise(error: OSError) -> None:
    raise error
