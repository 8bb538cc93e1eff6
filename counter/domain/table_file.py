"""Reading a TOML file that people edit: every complaint names the file and the field."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from counter.errors import CounterError


@dataclass(frozen=True)
class Table:
    """A table of a TOML file, with the name of the file and of its place in it.

    What is read is remembered, so that :meth:`refuse_unread` finds misspelt fields.
    """

    file: str
    place: str
    values: dict[str, Any]
    _read: set[str] = field(default_factory=set, compare=False)

    def has(self, key: str) -> bool:
        """Whether the field is there."""
        return key in self.values

    def text(self, key: str, default: str | None = None) -> str:
        """Return the field's text, not blank; ``default`` where the field is left out."""
        value = self._value(key, default)
        if not isinstance(value, str) or not value.strip():
            raise self.wrong(key, "must be a text in quotation marks")
        return value

    def number(self, key: str, *, zero_too: bool = False) -> float:
        """Return the field's finite number, above 0 (or 0 ``zero_too``)."""
        value = self._value(key, None)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.wrong(key, "must be a number, written with a decimal point")
        if not (0 < value < math.inf or (zero_too and value == 0)):
            raise self.wrong(key, "must be a number " + ("of 0 or more" if zero_too else "above 0"))
        return float(value)

    def optional_number(self, key: str) -> float | None:
        """Return the field's number above 0, or None where it is left out."""
        return self.number(key) if self.has(key) else None

    def table(self, key: str) -> Table:
        """Return the table under ``key``."""
        value = self._value(key, None)
        if not isinstance(value, dict):
            raise self.wrong(key, "must be a table of fields")
        return Table(self.file, self._inside(key), value)

    def tables(self, key: str) -> Iterator[Table]:
        """Yield the tables of the list under ``key``; none where it is left out."""
        value = self._value(key, [])
        if not isinstance(value, list) or not all(isinstance(entry, dict) for entry in value):
            raise self.wrong(key, "must be a list of tables")
        for place, entry in enumerate(value, start=1):
            yield Table(self.file, f"{self._inside(key)} number {place}", entry)

    def refuse_unread(self) -> None:
        """Raise :class:`CounterError` for a field that nothing asked for: it is misspelt."""
        for key in self.values:
            if key not in self._read:
                known = ", ".join(sorted(self._read))
                raise self.wrong(key, f"is not known here; the fields are {known}")

    def wrong(self, key: str, what: str) -> CounterError:
        """Return the error that says what is wrong with the field ``key``."""
        return CounterError(f"{self.file}: {self._inside(key)} {what}.")

    def _inside(self, key: str) -> str:
        return f"{self.place}, {key}" if self.place else key

    def _value(self, key: str, default: object) -> object:
        self._read.add(key)
        value = self.values.get(key, default)
        if value is None:
            raise self.wrong(key, "is missing; add it")
        return value


def read_table(file: Path | Traversable) -> Table:
    """Return the whole TOML file; raises :class:`CounterError` naming the file, and the line."""
    name = str(file) if isinstance(file, Path) else file.name
    try:
        return Table(name, "", tomllib.loads(file.read_text(encoding="utf-8")))
    except OSError as error:
        why = error.strerror or "unknown reason"
        raise CounterError(f"{name} cannot be read ({why}); check that it can be opened.") from None
    except UnicodeDecodeError:
        raise CounterError(f"{name} is not plain text; save it as UTF-8.") from None
    except tomllib.TOMLDecodeError as error:
        raise CounterError(f"{name} is not valid TOML: {error}; correct that place.") from None
