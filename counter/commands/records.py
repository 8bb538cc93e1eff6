"""The records, opened for one command: what is odd about them is said on standard error."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from counter.records.place import default_path

if TYPE_CHECKING:
    from counter.records.store import Store


@contextmanager
def opened_records() -> Iterator[Store]:
    """Open the records in use and close them after; SQLAlchemy is loaded only here.

    Notices, such as that a damaged file was set aside, are printed on standard error. Raises
    :class:`~counter.errors.CounterError` where the records cannot be opened.
    """
    from counter.records.store import Store

    records = Store(default_path())
    try:
        for notice in records.notices:
            print(f"hingeline: {notice}", file=sys.stderr)
        yield records
    finally:
        records.close()
