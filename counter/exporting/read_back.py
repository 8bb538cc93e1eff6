"""Reading back what the JSON of ``hingeline count`` says."""

from __future__ import annotations

import json
from dataclasses import dataclass
from dataclasses import fields as fields_of
from pathlib import Path
from typing import Any

from counter.errors import CounterError
from counter.exporting.document import FORMAT
from counter.statistics.sizes import Sizes


@dataclass(frozen=True, slots=True)
class CountedSizes:
    """The sizes in a file, and what was counted there: ``larvae`` or ``eggs``, of which species."""

    target: str
    species: str
    sizes: Sizes


def read_sizes(file: str) -> CountedSizes:
    """Return the sizes that ``hingeline count --json`` wrote to ``file``.

    Raises :class:`~counter.errors.CounterError`, naming the file, where it cannot be read, is none
    of ours, or holds no length.
    """
    document = _document(file)
    try:
        said = document["sizes_um"]
        if not said["measured"]:
            raise CounterError(f"In {file} nothing was measured; count it with its scale first.")
        names = [field.name for field in fields_of(Sizes)]
        sizes = Sizes(**{name: _value(said[name]) for name in names})
        return CountedSizes(str(document["target"]), str(document["species"]), sizes)
    except (KeyError, TypeError, ValueError):
        raise _not_ours(file) from None


def _document(file: str) -> dict[str, Any]:
    try:
        document = json.loads(Path(file).read_bytes())
    except OSError as error:
        raise CounterError(
            f"{file} cannot be read ({error.strerror or 'unknown reason'}); check its name."
        ) from None
    except ValueError:
        raise _not_ours(file) from None
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise _not_ours(file)
    return document


def _not_ours(file: str) -> CounterError:
    return CounterError(
        f"{file} is not what “hingeline count --json” writes; count the pictures again with it."
    )


def _value(said: Any) -> Any:
    """Return a number, a pair of limits, or None as it stands; TypeError for anything else."""
    if isinstance(said, list):
        low, high = said
        return _value(low), _value(high)
    if said is not None and (isinstance(said, bool) or not isinstance(said, int | float)):
        raise TypeError(f"{said!r} is no number")
    return said
