"""How often the limits hold the truth: ``python -m tests.benchmarks.coverage [REPEATS]``.

Exact limits are enumerated, all others simulated with fixed seeds, through the code that the
program uses. Prints one table, then every cell that does not hold what it should: exact limits at
least 95 %, combined ones between 94 and 97 %. Without a history two pairs of limits are shown, and
both are measured: those that stand first, exact as long as fillings agree, and those for a vessel
that is mixed unevenly. A simulated share is only as good as its repeats: a cell is named when it is
outside by more than two standard errors.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.stats import poisson

from counter.domain.field import Compared
from counter.domain.house import House
from counter.domain.sample import Dilution
from counter.domain.uncertainty import UNKNOWN_VOLUMES, VolumeUncertainty
from counter.statistics.basis import Basis, Counts, basis_of, review_of
from counter.statistics.poisson import garwood, mid_p
from counter.statistics.replicates import Replicate
from counter.statistics.total import Conditions, estimated

REPEATS = 1000
COUNTED = (0.5, 3.0, 10.0, 30.0, 100.0, 300.0, 2000.0)
SCATTER = (1.0, 1.5, 2.8, 10.0)
FILLINGS = (2, 3, 4, 6, 12)
VOLUME_ERRORS = (0.01, 0.02, 0.05, 0.1, 0.2)
RATES = (0.8, 0.9, 1.0)
CHECKED_SHARES = (0.1, 0.25, 0.5, 1.0)
PICTURES = 20
EARLIER_SAMPLES = 20
"""Of three fillings each: the history that is drawn anew for each repeat."""
VESSEL_ML = 1e6
FIRST, UNEVEN = "fillings, no history, as shown first", "fillings, no history, if mixed unevenly"
SHOWN = ((FIRST, False, False), (UNEVEN, False, True), ("fillings, a history", True, False))
"""Name, whether there is a history, and which of the limits."""


Limits = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: how often its limits held the truth, and how often they should."""

    table: str
    row: str
    column: str
    held: float
    low: float
    high: float
    repeats: int

    @property
    def fails(self) -> bool:
        """Whether it is outside by more than the simulation can be wrong."""
        noise = 2 * (self.held * (1 - self.held) / self.repeats) ** 0.5 if self.repeats else 0.0
        return not self.low - noise <= self.held <= self.high + noise


def exact_cells() -> Iterator[Cell]:
    """Garwood's limits, and the shorter mid-P ones beside them, by enumeration."""
    for mean in COUNTED:
        counts = np.arange(int(mean + 12 * mean**0.5 + 30))
        chances = poisson.pmf(counts, mean)
        for name, limits, least in (("exact", garwood, 0.95), ("mid-P", mid_p, 0.0)):
            inside = [low <= mean <= high for low, high in (limits(int(n)) for n in counts)]
            held = float(chances[np.array(inside)].sum())
            yield Cell("one filling", f"{mean:g} counted", name, held, least, 1.0, 0)


def scatter_cells(repeats: int, random: np.random.Generator) -> Iterator[Cell]:
    """Fillings that scatter ``index`` times as chance, without a history and with one."""
    for counted in COUNTED:
        for index in SCATTER:
            for fillings in FILLINGS:
                for name, history, uneven in SHOWN:
                    held = held_by_fillings(
                        counted, index, fillings, history, repeats, random, uneven=uneven
                    )
                    yield Cell(
                        name,
                        f"{counted:g} counted, scatter {index:g}",
                        f"{fillings}",
                        held,
                        0.94 if index > 1 else 0.95,
                        0.97 if index > 1 else 1.0,
                        repeats,
                    )


def volume_cells(repeats: int, random: np.random.Generator) -> Iterator[Cell]:
    """One filling, and a volume that is off by its standard uncertainty."""
    for counted in COUNTED:
        counts = random.poisson(counted, repeats)
        for relative in VOLUME_ERRORS:
            volumes = VolumeUncertainty(vessel=relative)
            true = counted * random.normal(1.0, relative, repeats)
            held = sum(
                holds((int(count),), truth, volumes=volumes)
                for count, truth in zip(counts, true, strict=True)
            )
            yield Cell(
                "volumes",
                f"{counted:g} counted",
                f"{relative:.0%}",
                held / repeats,
                0.94,
                0.97 if counted >= 30 else 1.0,
                repeats,
            )


def checking_cells(repeats: int, random: np.random.Generator) -> Iterator[Cell]:
    """Pictures of which a share was looked through, by recall and precision of the machine."""
    for counted in (10.0, 30.0, 100.0, 300.0, 2000.0):
        for recall in RATES:
            for precision in RATES:
                for share in CHECKED_SHARES:
                    held = sum(
                        holds_by_checking(counted, recall, precision, share, random)
                        for _ in range(repeats)
                    )
                    yield Cell(
                        "checking",
                        f"{counted:g} counted, recall {recall:g}, precision {precision:g}",
                        f"{share:.0%}",
                        held / repeats,
                        0.94 if share < 1 else 0.95,
                        0.97 if share < 1 and counted >= 30 else 1.0,
                        repeats,
                    )


def uneven_cells(repeats: int, random: np.random.Generator) -> Iterator[Cell]:
    """A machine that finds 85 % on average, on some pictures more than on others."""
    for counted in (300.0, 2000.0):
        for like in (100.0, 30.0, 10.0):
            spread = (0.85 * 0.15 / (like + 1)) ** 0.5
            for share in CHECKED_SHARES:
                held = sum(
                    holds_by_checking(counted, 0.85, 0.9, share, random, like)
                    for _ in range(repeats)
                )
                yield Cell(
                    "checking, recall changes by picture",
                    f"{counted:g} counted, recall 0.85 ± {spread:.2f}",
                    f"{share:.0%}",
                    held / repeats,
                    0.94,
                    0.97,
                    repeats,
                )


def alike_cells(repeats: int, random: np.random.Generator) -> Iterator[Cell]:
    """Pictures that differ, on each of which the machine takes as much for a body that is none."""
    for counted in (300.0, 2000.0):
        for wrong in (0.1, 0.3):
            for like in (np.inf, 30.0):
                for share in CHECKED_SHARES[1:-1]:
                    held = sum(
                        holds_by_checking(counted, 0.9, 0.9, share, random, like, wrong)
                        for _ in range(repeats)
                    )
                    recall = "0.9" if np.isinf(like) else "0.9 ± 0.05"
                    yield Cell(
                        "checking, as much wrong on every picture",
                        f"{counted:g} counted, {wrong:.0%} wrong, recall {recall}",
                        f"{share:.0%}",
                        held / repeats,
                        0.94,
                        0.97,
                        repeats,
                    )


def together_cells(repeats: int, random: np.random.Generator) -> Iterator[Cell]:
    """Scatter with a history and an uncertain volume at once."""
    for counted in (30.0, 300.0, 2000.0):
        for index in SCATTER:
            for relative in (0.02, 0.1):
                volumes = VolumeUncertainty(vessel=relative)
                held = 0
                for counts in fillings_of(counted, index, 3, repeats, random):
                    house = history_of(index, random)
                    truth = counted * random.normal(1.0, relative)
                    held += holds(tuple(counts.tolist()), truth, house=house, volumes=volumes)
                yield Cell(
                    "3 fillings, a history, volumes",
                    f"{counted:g} counted, scatter {index:g}",
                    f"{relative:.0%}",
                    held / repeats,
                    0.94,
                    0.97,
                    repeats,
                )


def fillings_of(
    counted: float, index: float, fillings: int, repeats: int, random: np.random.Generator
) -> NDArray[np.int64]:
    """Return counts, shape (repeats, fillings), with ``index`` times the variance of chance."""
    mean, size = counted / fillings, (repeats, fillings)
    if index == 1.0:
        return random.poisson(mean, size)
    return random.negative_binomial(mean / (index - 1.0), 1.0 / index, size)


def history_of(index: float, random: np.random.Generator) -> House:
    """Return what earlier samples of three fillings each would show."""
    degrees = 2 * EARLIER_SAMPLES
    return House(index * float(random.chisquare(degrees)), degrees, EARLIER_SAMPLES)


def held_by_fillings(
    counted: float,
    index: float,
    fillings: int,
    history: bool,
    repeats: int,
    random: np.random.Generator,
    *,
    uneven: bool = False,
) -> float:
    held = 0
    for counts in fillings_of(counted, index, fillings, repeats, random):
        house = history_of(index, random) if history else None
        held += holds(tuple(counts.tolist()), counted, house=house, uneven=uneven)
    return held / repeats


@lru_cache(maxsize=100_000)
def _limits(
    counts: tuple[int, ...], house: House | None, volumes: VolumeUncertainty
) -> tuple[Limits, Limits]:
    size = len(counts)
    basis = Basis(counts, (1.0,) * size, tuple(range(1, size + 1)), sum(counts), float(size))
    return _in_counted(basis, house, volumes)


def _in_counted(
    basis: Basis, house: House | None, volumes: VolumeUncertainty
) -> tuple[Limits, Limits]:
    """Return the limits of the total as a number in the volume that was counted: those that are
    shown first, and those for uneven mixing (the same where there are no others)."""
    result = estimated(basis, Conditions(Dilution(), VESSEL_ML, 0.95, volumes, house))
    back = basis.volume_ml / VESSEL_ML
    shown = []
    for one in (result, result.uneven or result):
        assert one.low is not None
        assert one.high is not None
        shown.append((one.low * back, one.high * back))
    return shown[0], shown[1]


def holds(
    counts: tuple[int, ...],
    truth: float,
    house: House | None = None,
    volumes: VolumeUncertainty = UNKNOWN_VOLUMES,
    *,
    uneven: bool = False,
) -> bool:
    low, high = _limits(counts, house, volumes)[uneven]
    return low <= truth <= high


def holds_by_checking(
    counted: float,
    recall: float,
    precision: float,
    share: float,
    random: np.random.Generator,
    like: float = np.inf,
    alike: float | None = None,
) -> bool:
    """One sample of :data:`PICTURES` pictures with ``counted`` bodies on average.

    ``like`` is how much alike the machine counts on all of them: its recall on a picture is drawn
    from a beta distribution whose two parameters add up to it (infinite: the same on all).
    ``alike``: pictures differ by a gamma distribution whose standard deviation is its mean, and
    this share of a mean picture is wrongly found on each; ``precision`` is not used then.
    """
    mean = counted / PICTURES
    there = np.full(PICTURES, mean) if alike is None else random.exponential(mean, PICTURES)
    counted = float(there.sum())
    bodies = random.poisson(there)
    rates = np.full(PICTURES, recall)
    if np.isfinite(like):
        rates = random.beta(recall * like, (1 - recall) * like, PICTURES)
    kept = random.binomial(bodies, rates)
    rate = recall * (1 - precision) / precision if alike is None else alike
    wrong = random.poisson(mean * rate, PICTURES)
    found = kept + wrong
    looked = round(share * PICTURES)
    reviewed = tuple(
        Compared(int(f), int(k), int(b))
        for f, k, b in zip(found[:looked], kept[:looked], bodies[:looked], strict=True)
    )
    others = tuple(int(f) for f in found[looked:])
    seen, unseen = sum(one.counted for one in reviewed), sum(others)
    whole = seen + unseen
    entry = Replicate(
        1,
        {"all": whole},
        1.0,
        {"all": unseen},
        others,
        reviewed,
        {"all": seen},
        looked / PICTURES,
    )
    counts: list[Counts] = [{None: number} for number in (whole, unseen, seen)]
    basis = basis_of([entry], review_of([entry]), counts[:1], counts[1:2], counts[2:], None)
    low, high = _in_counted(basis, None, UNKNOWN_VOLUMES)[0]
    return low <= counted <= high


_SIMULATED = (
    scatter_cells,
    volume_cells,
    checking_cells,
    uneven_cells,
    alike_cells,
    together_cells,
)


def all_cells(repeats: int = REPEATS, seed: int = 20) -> Iterator[Cell]:
    """Yield every cell of the table."""
    yield from exact_cells()
    for number, cells in enumerate(_SIMULATED):
        yield from cells(repeats, np.random.default_rng([seed, number]))


def table(cells: list[Cell]) -> list[str]:
    """Return the lines of the table; a cell that does not hold what it should is starred."""
    lines = []
    for name in dict.fromkeys(cell.table for cell in cells):
        part = [cell for cell in cells if cell.table == name]
        columns = list(dict.fromkeys(cell.column for cell in part))
        lines.append(f"\n{name:<46}" + "".join(f"{column:>8}" for column in columns))
        for row in dict.fromkeys(cell.row for cell in part):
            shown = {cell.column: cell for cell in part if cell.row == row}
            held = (f"{shown[c].held * 100:7.1f}{'*' if shown[c].fails else ' '}" for c in columns)
            lines.append(f"{row:<46}" + "".join(held))
    return lines


def main(arguments: list[str]) -> int:
    """Print the table in per cent, then the cells that fail."""
    cells = list(all_cells(int(arguments[0]) if arguments else REPEATS))
    print("\n".join(table(cells)))
    failing = [cell for cell in cells if cell.fails]
    print(f"\n{len(failing)} of {len(cells)} cells do not hold what they should (*).")
    for words, too_often in (("less often", False), ("more often", True)):
        for name in dict.fromkeys(cell.table for cell in failing):
            named = [
                cell
                for cell in failing
                if cell.table == name and (cell.held > cell.high) is too_often
            ]
            if named:
                print(f"\n{name}: {len(named)} hold the truth {words} than they should:")
            for cell in named:
                print(f"  {cell.row}; {cell.column}: {cell.held * 100:.1f} %")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
