"""tifffile kept at arm's length: what it raises and logs becomes a sentence."""

from __future__ import annotations

import logging
import struct
import threading
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import tifffile

from counter.imaging.limits import damaged

DECODING_ERRORS = (
    ValueError,
    RuntimeError,
    OSError,
    ArithmeticError,
    LookupError,
    TypeError,
    AttributeError,
    struct.error,
    zlib.error,
)
"""What tifffile and its decoders raise on damaged files: it trusts the types of tags it reads."""

CHAIN_BROKEN = ("tag list", "offset to page", "page offset", "circular reference")
"""Words in tifffile's log by which the rest of the pages is lost."""


PAGES_LOST = "the list of its pages breaks off"


@contextmanager
def opened(path: Path) -> Iterator[tifffile.TiffFile]:
    """Open a TIFF; raises :class:`~counter.errors.CounterError` where its pages break off."""
    with complaints() as said:
        with library(path):
            tif = tifffile.TiffFile(path)
        try:
            with library(path):
                pages = len(tif.pages)
            if said or pages == 0:
                raise damaged(path, PAGES_LOST if said else "it holds no page")
            yield tif
        finally:
            tif.close()


@contextmanager
def library(path: Path) -> Iterator[None]:
    """Tell what a library raises on damaged data as damage; only library calls belong inside."""
    try:
        yield
    except DECODING_ERRORS as error:
        raise damaged(path, error) from error


@contextmanager
def complaints() -> Iterator[list[str]]:
    """Collect what tifffile logs of broken chains of pages on this thread; print nothing of it."""
    found: list[str] = []
    thread = threading.get_ident()

    def keep(record: logging.LogRecord) -> bool:
        if record.thread != thread:
            return True
        message = record.getMessage()
        if record.levelno >= logging.ERROR and any(word in message for word in CHAIN_BROKEN):
            found.append(message.split("> ", 1)[-1])
        return False

    logger = logging.getLogger("tifffile")
    logger.addFilter(keep)
    try:
        yield found
    finally:
        logger.removeFilter(keep)


def page_of(tif: tifffile.TiffFile, index: int) -> Any:
    """Return a page with all of its tags."""
    page = tif.pages[index]
    return page.aspage() if isinstance(page, tifffile.TiffFrame) else page
