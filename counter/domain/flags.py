"""What may be odd about a mark: each flag defined once, with the words a person reads."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Flag:
    """One quality flag.

    ``key`` goes into JSON and records, ``name`` on the screen, ``explanation`` into tooltips.
    """

    key: str
    name: str
    explanation: str


CUT = Flag("cut", "cut by the border", "Crosses the border of the picture; its size is not used.")
SPLIT = Flag("split", "taken apart", "Was touching a neighbour and was separated from it.")
MERGED = Flag("merged", "joined", "Was put together from several parts.")
BLURRED = Flag("blurred", "out of focus", "Its rim is soft; its size is less certain.")
ON_RULING = Flag("on-ruling", "on a ruling", "A line of the chamber crosses it.")
DOUBTFUL = Flag("doubtful", "doubtful", "Might be debris, a bubble or an alga; look at it.")
CLUMP = Flag(
    "clump", "may be several", "Larger than one body should be, or joined; may be a group."
)

FLAGS: tuple[Flag, ...] = (CUT, SPLIT, MERGED, BLURRED, ON_RULING, DOUBTFUL, CLUMP)


def known(keys: Iterable[str]) -> tuple[Flag, ...]:
    """Return the flags with these keys, in the order of :data:`FLAGS`.

    Keys of a newer program that this one does not know are left out.
    """
    wanted = set(keys)
    return tuple(flag for flag in FLAGS if flag.key in wanted)
