"""Which key of the tally pad stands for which class."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from counter.domain.classes import DEAD, class_of, stage_and_state
from counter.domain.sample import Sample
from counter.domain.species import EGG, TargetKind
from counter.errors import UsageError
from counter.gui.style import stage_name

_HOME_ROW = "ASDFGHJKL"
_RESERVED = " \t\r\n"


def classes_of(sample: Sample) -> tuple[str, ...]:
    """Return the classes that are tallied: the species' stages and what is dead, or kinds of egg.

    A class is a stage, or a stage with a state: ``egg, fertilised``.
    """
    if sample.target.kind is TargetKind.EGGS:
        return (EGG, class_of(EGG, "fertilised"), class_of(EGG, "unfertilised"))
    return tuple(entry.stage for entry in sample.target.species.stages)


def with_dead(tally_class: str) -> str:
    """Return the class of a body of this class that is dead: what Shift and its key mean."""
    stage, _ = stage_and_state(tally_class)
    return class_of(stage, DEAD)


def class_words(tally_class: str) -> str:
    """Return a class's name for people."""
    return stage_name(tally_class)


def keys_for(classes: Sequence[str], chosen: Mapping[str, str]) -> dict[str, str]:
    """Return the key of each class: the one chosen, else the next free one of the home row.

    Every class also has its digit, on either side of the keyboard. Keys are single capitals.
    """
    keys: dict[str, str] = {}
    for name in classes:
        key = chosen.get(name, "").upper()
        if len(key) == 1 and key not in keys.values() and not key.isdigit():
            keys[name] = key
    free = [key for key in _HOME_ROW if key not in keys.values()]
    for name in classes:
        if name not in keys:
            keys[name] = free.pop(0) if free else ""
    return {name: keys[name] for name in classes}


def checked_keys(keys: Mapping[str, str]) -> dict[str, str]:
    """Return keys that a person chose, as capitals.

    Raises :class:`UsageError` for one that is not a single sign, is a digit (those stand for the
    classes in order), ends a square, or stands for two classes.
    """
    found: dict[str, str] = {}
    for name, key in keys.items():
        plain = key.strip().upper()
        if len(plain) != 1 or plain in _RESERVED or plain.isdigit():
            raise UsageError(
                f"The key “{key}” for {class_words(name)} cannot be used; choose one letter or "
                "sign, not a digit or a space."
            )
        if plain in found.values():
            raise UsageError(
                f"The key {plain} stands for two classes; give {class_words(name)} another."
            )
        found[name] = plain
    return found


def class_of_key(text: str, keys: Mapping[str, str]) -> str | None:
    """Return the class that a pressed sign stands for: its key, or its digit in order."""
    sign = text.upper()
    for name, key in keys.items():
        if key and key == sign:
            return name
    if sign.isdigit() and 1 <= int(sign) <= len(keys):
        return list(keys)[int(sign) - 1]
    return None
