"""Every figure of the finder in one table: ``python -m tests.benchmarks.eye [--fields 4]``.

Drawn fields of 58 kinds by two renderers that nothing was trained on, each kind apart; real
pictures with somebody else's truth; then speed and memory. Each line compares the finder with the
classical one and with the textbook baseline. A goal that is missed is marked.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context

from tests.accuracy.matching import Found, compared
from tests.benchmarks import real_pictures
from tests.benchmarks.fields import NOTHING, WAYS, Field, Tally, every_kind, measured
from tests.benchmarks.finding_speed import memory, speed

FIRST = 100
"""Fields below this number were looked at while the finder was built; these were not."""

DIRT_ALONE = ("dirt_only", "slide:dirt alone")
OVERLAPPED = ("overlapping", "slide:overlapped")


@dataclass(frozen=True, slots=True)
class Goal:
    """A figure to reach: its name, how it is read off a tally, and what is good enough."""

    name: str
    of: Callable[[Tally], float]
    is_reached: Callable[[float], bool]


WHOLE = (
    Goal("F1 >= 0.98", lambda each: each.outcome.f1, lambda value: value >= 0.98),
    Goal("count within 1 %", lambda each: 100 * each.outcome.count_error, lambda v: abs(v) <= 1),
    Goal("length bias within 0.5 %", lambda each: 100 * each.outcome.bias, lambda v: abs(v) <= 0.5),
    Goal("length error <= 2 %", lambda each: 100 * each.outcome.mean_error, lambda v: v <= 2),
    Goal(
        "border rule right >= 99 %",
        lambda each: 100 * each.border_right / max(1, each.border),
        lambda value: value >= 99,
    ),
)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fields", type=int, default=4, help="fields of each kind (default 4)")
    parser.add_argument("--jobs", type=int, default=2, help="processes (default 2)")
    parser.add_argument("--drawn-only", action="store_true", help="leave out photographs and speed")
    given = parser.parse_args()
    drawn(range(FIRST, FIRST + given.fields), given.jobs)
    if not given.drawn_only:
        real()
        print(speed(), memory(), sep="\n")


def drawn(numbers: range, jobs: int) -> None:
    """Print a row for each kind of drawn field and the goals of the whole set."""
    kinds = every_kind()
    whole = {way: Tally() for way in WAYS}
    print(f"{len(kinds)} kinds, {len(numbers)} fields each")
    print(f"{'kind':24}{'bodies':>7}{'F1':>8}{'classical':>10}{'textbook':>9}", end="")
    print(f"{'count %':>9}{'bias %':>8}{'error %':>8}{'border':>9}")
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
        work = partial(measured, numbers=numbers)
        for kind, found in zip(kinds, pool.map(work, kinds), strict=True):
            print(row(kind, found), flush=True)
            whole = {way: whole[way] + each for way, each in found.items()}
    print(row("all", whole))
    for way, tally in whole.items():
        figures = ", ".join(said(goal, tally) for goal in WHOLE)
        print(f"{way}: {figures}")


def row(kind: str, found: dict[str, Tally]) -> str:
    """One line: the finder's figures, the F1 of the others beside them."""
    own = found["finder"]
    outcome = own.outcome
    bodies = outcome.paired + outcome.missed
    f1 = "".join(
        f"{found[way].outcome.f1:{wide}.3f}" for way, wide in zip(WAYS, (8, 10, 9), strict=True)
    )
    figures = f"{100 * outcome.count_error:+9.1f}{100 * outcome.bias:+8.2f}"
    border = f"{own.border_right}/{own.border}"
    line = f"{kind:24}{bodies:7d}{f1}{figures}{100 * outcome.mean_error:8.2f}{border:>9}"
    return f"{line}  {' '.join(missed_goals(kind, own))}".rstrip()


def missed_goals(kind: str, tally: Tally) -> list[str]:
    """The goals for one kind that are not reached, in words."""
    outcome = tally.outcome
    if kind in DIRT_ALONE:
        spare = 10 * outcome.spare / tally.area_mm2
        words = f"{outcome.spare} false on {tally.area_mm2:.1f} mm² ({spare:.1f} in 10 mm²)"
        return [words + ("" if spare <= 1 else " MISSED")]
    least = 0.95 if kind in OVERLAPPED else 0.93
    found = [f"F1 < {least} MISSED"] if outcome.f1 < least else []
    return found + (["count MISSED"] if abs(outcome.count_error) > 0.05 else [])


def said(goal: Goal, tally: Tally) -> str:
    """A goal, the figure and whether it is reached."""
    value = goal.of(tally)
    return f"{goal.name}: {value:.3f}{'' if goal.is_reached(value) else ' MISSED'}"


def real() -> None:
    """Print what each way finds on real pictures."""
    field, count = real_pictures.coins()
    print(f"coins, {count}: {_counts(real_pictures.found_by_each(field))}")
    embryos = list(real_pictures.embryos())
    for name, field, count in embryos:
        print(f"coral {name}, {count}: {_counts(real_pictures.found_by_each(field))}")
    if not embryos:
        print("coral embryos: not there")
    nuclei = real_pictures.nuclei()
    if nuclei is None:
        print("nuclei: not there (pip install --no-deps stardist)")
    else:
        print(f"nuclei, {len(nuclei.truth.larvae)}: {_matched([nuclei])}")
    print(f"haemocytometer tiles: {_matched(list(real_pictures.tiles())) or 'not there'}")


def _counts(found: dict[str, list[Found]]) -> str:
    return ", ".join(f"{way} {len(marks)}" for way, marks in found.items())


def _matched(fields: list[Field]) -> str:
    """The F1 of each way over some fields whose bodies are known one by one."""
    whole = dict.fromkeys(WAYS, NOTHING)
    for field in fields:
        for way, marks in real_pictures.found_by_each(field).items():
            whole[way] += compared(field.truth, marks, field.target)
    if not fields:
        return ""
    return ", ".join(
        f"{way} F1 {each.f1:.3f} ({each.paired} right, {each.spare} spare, {each.missed} missed)"
        for way, each in whole.items()
    )


if __name__ == "__main__":
    main()
