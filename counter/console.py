"""A console that lacks a character shows the nearest plain one instead of failing."""

from __future__ import annotations

import codecs
import io
import os
from typing import TextIO

NEAREST = "nearest-plain"
_PLAIN = {
    "\u202f": " ",
    "\u2009": " ",
    "\u00a0": " ",
    "µ": "u",
    "μ": "u",
    "×": "x",
    "÷": "/",
    "χ": "chi",
    "²": "2",
    "³": "3",
    "√": "sqrt",
    "±": "+-",
    "·": "-",
    "“": '"',
    "”": '"',
    "’": "'",
    "–": "-",
    "—": "-",
    "−": "-",
    "…": "...",
}


def nearest_plain(error: UnicodeError) -> tuple[str, int]:
    """Replace what an encoding lacks: an error handler as :mod:`codecs` wants it."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    missing = error.object[error.start : error.end]
    return "".join(_PLAIN.get(character, "?") for character in missing), error.end


def give_up(stream: TextIO | None) -> None:
    """Let what ``stream`` still holds go nowhere, so that leaving the program does not fail."""
    if isinstance(stream, io.TextIOWrapper):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def prepare(*streams: TextIO) -> None:
    """Let ``streams`` (standard output, standard error) show the nearest plain characters."""
    codecs.register_error(NEAREST, nearest_plain)
    for stream in streams:
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=NEAREST)
