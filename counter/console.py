"""A console that lacks a character shows the nearest plain one instead of failing."""

from __future__ import annotations

import codecs
import io
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


def prepare(*streams: TextIO) -> None:
    """Let ``streams`` (standard output, standard error) show the nearest plain characters."""
    codecs.register_error(NEAREST, nearest_plain)
    for stream in streams:
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=NEAREST)
