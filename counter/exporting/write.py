"""Writing a file whole or not at all, with a sentence when the world does not let us."""

from __future__ import annotations

import contextlib
import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, BinaryIO

from counter.domain.chart_note import CHART_KEY, CHART_VALUE
from counter.errors import CounterError, UsageError

STANDARD_OUTPUT = "-"
PICTURE_SIGNATURES = (b"\xff\xd8\xff", b"\x89PNG", b"BM", b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
OWN_CHART = f"{CHART_KEY}\0{CHART_VALUE}".encode("ascii")
NOTE_WITHIN = 4096
"""In so many of its first bytes a chart of ours holds its note."""


def write_whole(path: Path, write: Callable[[BinaryIO], object]) -> None:
    """Let ``write`` fill a new file, and put it in the place of ``path`` once it is complete.

    What stood there before stays whole until then, also when the disk is full or the program is
    killed. Raises :class:`~counter.errors.CounterError` naming ``path`` where it cannot be written,
    and where a picture stands there that is no chart of ours.
    """
    try:
        _check_no_picture(path)
        _write_beside(path, write)
    except OSError as error:
        raise CounterError(
            f"{path} cannot be written ({error.strerror or 'unknown reason'}); choose another "
            "place, or make room there."
        ) from None


def _write_beside(path: Path, write: Callable[[BinaryIO], object]) -> None:
    if path.exists() and not path.is_file():
        _write_into(path, write)
        return
    handle, name = tempfile.mkstemp(prefix=".hingeline-", suffix=".part", dir=path.parent)
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(path.stat().st_mode if path.exists() else 0o666 & ~_umask())
        beside.replace(path)
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            beside.unlink()
        raise


def _write_into(path: Path, write: Callable[[BinaryIO], object]) -> None:
    """Write into what cannot be replaced: a device or a pipe; a folder is refused by opening it."""
    with path.open("wb") as file:
        write(file)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def check_place(path: Path) -> None:
    """Raise :class:`~counter.errors.CounterError` if ``path`` cannot be written; change nothing.

    A picture that is no chart of ours is not written over (:class:`~counter.errors.UsageError`).

    Asked before long work, so that its result is not lost at the end.
    """
    try:
        if path.exists():
            _check_no_picture(path)
            with path.open("ab"):
                return
        with tempfile.TemporaryFile(dir=path.parent):
            return
    except OSError as error:
        raise CounterError(
            f"{path} cannot be written ({error.strerror or 'unknown reason'}); choose another "
            "place, or make room there."
        ) from None


def _check_no_picture(path: Path) -> None:
    """Raise where ``--json *.png`` would put a result in the place of the first picture."""
    if not path.is_file():
        return
    with path.open("rb") as file:
        start = file.read(NOTE_WITHIN)
    if start.startswith(PICTURE_SIGNATURES) and OWN_CHART not in start:
        raise UsageError(
            f"{path} is a picture and would be written over; give the result a name of its own."
        )


def check_name(target: str | None, option: str) -> None:
    """Raise :class:`~counter.errors.UsageError` where ``option`` names a file by nothing."""
    if target == "":
        raise UsageError(f"The file to be written ({option}) has no name; give it one.")


def check_target(target: str | None, option: str) -> None:
    """Check the place that ``option`` names, where it is one; nothing is checked for None and -.

    Raises like :func:`check_name` and :func:`check_place`.
    """
    check_name(target, option)
    if target not in (None, STANDARD_OUTPUT):
        check_place(Path(target))


def write_text(path: Path, text: str) -> None:
    """Write ``text`` as UTF-8; see :func:`write_whole`."""
    write_whole(path, lambda file: file.write(utf8(text)))


def utf8(text: str) -> bytes:
    r"""Return ``text`` as UTF-8; bytes of a name that are no text stay legible, as ``\udcff``.

    That is also how JSON writes them.
    """
    return text.encode("utf-8", "backslashreplace")


def write_json(target: str, document: dict[str, Any]) -> None:
    """Write ``document`` to the file ``target`` as UTF-8, or to standard output for ``-``.

    On standard output, whose encoding is the console's, everything beyond ASCII is escaped. The
    text, which is long where many bodies were counted, is never in memory as a whole.
    """
    if target == STANDARD_OUTPUT:
        for part in _json_parts(document, True, ""):
            sys.stdout.write(part)
        return

    def write(file: BinaryIO) -> None:
        for part in _json_parts(document, False, ""):
            file.write(utf8(part))

    write_whole(Path(target), write)


def _json_parts(value: Any, ascii_only: bool, indent: str) -> Iterator[str]:
    """Yield the text in parts: objects, and lists of them, on lines of their own; lists of values,
    like an outline, on one.
    """
    inner = indent + "  "
    if isinstance(value, dict) and value:
        for number, (key, entry) in enumerate(value.items()):
            yield f"{',' if number else '{'}\n{inner}{_json(str(key), ascii_only)}: "
            yield from _json_parts(entry, ascii_only, inner)
        yield f"\n{indent}}}"
    elif isinstance(value, list | tuple) and any(isinstance(entry, dict) for entry in value):
        for number, entry in enumerate(value):
            yield f"{',' if number else '['}\n{inner}"
            yield from _json_parts(entry, ascii_only, inner)
        yield f"\n{indent}]"
    else:
        yield _json(value, ascii_only)
    if not indent:
        yield "\n"


def _json(value: Any, ascii_only: bool) -> str:
    return json.dumps(value, ensure_ascii=ascii_only, allow_nan=False)
