"""What is known of the marks of a field, carried over a correction of a few of them.

Counting ten thousand marks again for each gesture would be felt.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Callable, Collection, Hashable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias, TypeVar

from counter.domain.mark import Mark

Key = TypeVar("Key", bound=Hashable)
if TYPE_CHECKING:
    Lengths: TypeAlias = array[float]
else:  # an array takes no parameter before Python 3.12, and annotations are read when records are
    Lengths = array


@dataclass(frozen=True, slots=True)
class Change:
    """Marks that are ``gone``, by number; which counted before and do not now (``taken``), and
    which count now and are new or different (``put``), by one edge rule."""

    gone: Collection[int]
    taken: tuple[Mark, ...]
    put: tuple[Mark, ...]

    def of_counts(self, counts: Mapping[Key, int], key_of: Callable[[Mark], Key]) -> dict[Key, int]:
        """Return how many there are of each key after the change; no key with none."""
        total = Counter(counts)
        total.subtract(key_of(mark) for mark in self.taken)
        total.update(key_of(mark) for mark in self.put)
        return {key: count for key, count in total.items() if count}

    def of_lengths(self, lengths: Lengths) -> Lengths:
        """Return the lengths of what no border cuts, from the shortest on, after the change."""
        now = lengths[:]
        for mark in self.taken:
            if not mark.is_cut:
                del now[bisect_left(now, mark.length_um)]
        for mark in self.put:
            if not mark.is_cut:
                insort(now, mark.length_um)
        return now

    def of_marks(self, counted: Mapping[int, Mark], put: Mapping[int, Mark]) -> dict[int, Mark]:
        """Return the marks that count after the change; ``put`` are all that are new or different.

        Their order is that of all marks where each of ``put`` that was there already did count.
        """
        now = dict(counted)
        for mark_id in self.gone:
            now.pop(mark_id, None)
        counting = {mark.mark_id for mark in self.put}
        for mark_id, mark in put.items():
            if mark.mark_id in counting:
                now[mark_id] = mark
            else:
                now.pop(mark_id, None)
        return now
