"""How often the scores are right: ``python -m tests.benchmarks.reliability [--fields 4]``.

Prints, for drawn fields of either renderer that nothing was fitted on, how many of the marks with
about the same score are bodies, and for several thresholds how many marks would be spare and how
many bodies missed. ``--fit`` prints instead what ``counter/imaging/calibrated.py`` holds for
candidates that are not looked at more closely, fitted on fields 4 to 6 of the project's renderer
and 40 and 41 of the second one; ``--fit-closer`` what it holds for those that are, fitted on those
and on fields 50 to 53 of either.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from multiprocessing import get_context

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import expit

from counter.domain.progress import Silent
from counter.imaging.calibrated import (
    COUNTED_FROM,
    chance_of,
    closer_opinions,
    closer_weights,
    opinions,
)
from counter.imaging.closer import chance_seen_closer
from counter.imaging.learned import weigh
from counter.imaging.scene import prepare
from counter.imaging.weighed import Weighed
from tests.accuracy.matching import Drawn
from tests.benchmarks.fields import Field, drawn_fields, every_kind

Floats = NDArray[np.float64]

FIRST = 100
"""Fields below this number were looked at, or fitted on, while the finder was built."""

FITTED_OWN, FITTED_SECOND = range(4, 7), range(40, 42)
FITTED_CLOSER = range(50, 54)

STEPS = (0.05, 0.2, 0.35, 0.5, 0.65, 0.75, 0.85, 0.95, 0.99, 1.0)
THRESHOLDS = (0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7)
OF_ITS_KIND = 0.9
"""Below this share of the kind looked for, a candidate tells nothing about depth and looks."""


@dataclass(frozen=True, slots=True)
class Scored:
    """A candidate: the network's depth, the judge's opinion, the share, its score, if it is right.

    ``closer`` is the logit of the closer look, None where none was taken. A body without any
    candidate has score and depth 0 and is right.
    """

    depth: float
    judged: float
    share: float
    score: float
    is_right: bool
    closer: float | None = None
    is_cut: bool = False


def scored(field: Field) -> list[Scored]:
    """Weigh the candidates of a field against what was drawn, the surest first.

    Cut bodies take part in the pairing, but do not count where they have no partner; of cut
    candidates without one see :func:`told`.
    """
    scene = prepare(field.photo, field.target, Silent())
    found = sorted(weigh(scene, field.target, Silent()), key=lambda each: -each.score)
    every = field.truth.eggs if field.target.kind == "eggs" else field.truth.larvae
    low_um, high_um = field.target.low_um, field.target.high_um
    left = [body for body in every if low_um <= body.length_um <= high_um]
    rows = []
    for each in found:
        partner = _nearest(each, left, field.um_per_px)
        if partner is not None:
            left.remove(partner)
        share = min(1.0, each.score / max(_chance(each), 1e-9))
        right = partner is not None
        given = (each.depth, each.judged, share, each.score, right, each.closer, each.cut)
        rows.append(Scored(*given))
    return rows + [Scored(0.0, 0.0, 1.0, 0.0, True) for body in left if not body.is_cut]


def told(rows: Sequence[Scored]) -> list[Scored]:
    """The candidates that count: a cut one is neither right nor wrong where nothing was paired."""
    return [each for each in rows if each.is_right or not each.is_cut]


def _chance(each: Weighed) -> float:
    """The chance that the opinions give, before anything else takes of the score."""
    if each.closer is None:
        return chance_of(each.depth, each.judged)
    return chance_seen_closer(each, each.closer)


def _nearest(each: Weighed, left: Sequence[Drawn], um_per_px: float) -> Drawn | None:
    """The nearest body whose middle lies within half its length."""
    x_px, y_px = each.measures.x_px, each.measures.y_px
    shares = [
        np.hypot(body.x_px - x_px, body.y_px - y_px) * um_per_px / body.length_um for body in left
    ]
    nearest = int(np.argmin(shares)) if shares else -1
    return left[nearest] if shares and shares[nearest] < 0.5 else None


def scored_kind(kind: str, numbers: range) -> list[Scored]:
    """The candidates of the fields of one kind."""
    return [each for field in drawn_fields(kind, numbers) for each in scored(field)]


def fitted(rows: Sequence[Scored]) -> Floats:
    """Return the three coefficients of the chance by maximum likelihood: start, depth, looks."""
    rows = [each for each in told(rows) if each.depth > 0 and each.share > OF_ITS_KIND]
    seen = np.array([[1.0, *opinions(each.depth, each.judged)] for each in rows])
    return _likeliest(seen, rows, [0.0, 1.0, 0.5])


def fitted_closer(rows: Sequence[Scored], is_cut: bool) -> Floats:
    """Return start, depth and looks beside the closer look, which weighs what it weighs in use.

    Cut candidates that are no body teach as well, or all of them would be right.
    """
    rows = [
        e for e in rows if e.closer is not None and e.share > OF_ITS_KIND and e.is_cut == is_cut
    ]
    seen = np.array([closer_opinions(e.depth, e.judged, e.closer or 0.0) for e in rows])
    weight = closer_weights(is_cut)[3]
    return _likeliest(seen[:, :3], rows, [0.0, 1.0, 0.5], weight * seen[:, 3])


def _likeliest(
    seen: Floats, rows: Sequence[Scored], start: list[float], known: Floats | float = 0.0
) -> Floats:
    """Return the weights of the columns of ``seen`` that make what is right likeliest.

    ``known`` is added to the logits as it is.
    """
    right = np.array([each.is_right for each in rows], np.float64)

    def unlikely(weights: Floats) -> float:
        logits = seen @ weights + known
        return float((np.logaddexp(0, logits) - right * logits).sum())

    return np.asarray(minimize(unlikely, np.array(start)).x, np.float64)


def refitted(rows: Sequence[Scored], weights: Floats) -> list[Scored]:
    """The same candidates with the scores that these coefficients give."""
    return [
        Scored(
            each.depth,
            each.judged,
            each.share,
            float(expit(weights @ [1.0, *opinions(each.depth, each.judged)])) * each.share
            if each.depth > 0
            else 0.0,
            each.is_right,
            each.closer,
            each.is_cut,
        )
        for each in rows
    ]


def print_diagram(name: str, rows: Sequence[Scored]) -> None:
    """Print the reliability table and what each threshold would bring."""
    rows = told(rows)
    score = np.array([each.score for each in rows])
    right = np.array([each.is_right for each in rows])
    print(f"{name}: {right.sum()} bodies\n  score          marks  mean score  right  95 % limits")
    for low, high in pairwise(STEPS):
        inside = (score >= low) & ((score < high) | (high == 1.0))
        count, hits = int(inside.sum()), int(right[inside].sum())
        if count:
            least, most = _wilson(hits, count)
            line = f"  {low:.2f} to {high:.2f} {count:9d} {score[inside].mean():11.3f}"
            print(f"{line} {hits / count:6.3f}  {least:.3f} to {most:.3f}")
    print("  threshold  spare  missed  count off  expected spare  expected missed")
    lost = int((right & (score == 0)).sum())
    for limit in THRESHOLDS:
        over = score >= limit
        spare, missed = int((over & ~right).sum()), int((~over & right).sum())
        more, fewer = float((1 - score[over]).sum()), lost + float(score[~over].sum())
        mark = "  <- in use" if limit == COUNTED_FROM else ""
        off = 100 * (spare - missed) / max(1, int(right.sum()))
        print(f"  {limit:9.2f}{spare:7d}{missed:8d}{off:9.2f} %{more:16.1f}{fewer:17.1f}{mark}")


def _wilson(hits: int, count: int) -> tuple[float, float]:
    """Wilson's 95 % limits of a share (Wilson EB (1927), J. Am. Stat. Assoc. 22:209-212)."""
    z = 1.959964
    middle = (hits + z * z / 2) / (count + z * z)
    half = z * np.sqrt(hits * (count - hits) / count + z * z / 4) / (count + z * z)
    return max(0.0, middle - float(half)), min(1.0, middle + float(half))


def gathered(kinds: Sequence[str], numbers: range, jobs: int) -> list[Scored]:
    """The candidates of the fields of several kinds."""
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
        parts = pool.map(partial(scored_kind, numbers=numbers), kinds)
        return [each for part in parts for each in part]


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fields", type=int, default=4, help="fields of each kind (default 4)")
    parser.add_argument("--jobs", type=int, default=2, help="processes (default 2)")
    parser.add_argument("--fit", action="store_true", help="fit on other fields instead")
    parser.add_argument("--fit-closer", action="store_true", help="fit the closer look instead")
    given = parser.parse_args()
    own = [kind for kind in every_kind() if not kind.startswith("slide:")]
    second = [kind for kind in every_kind() if kind.startswith("slide:")]
    if given.fit:
        rows = gathered(own, FITTED_OWN, given.jobs)
        rows += gathered(second, FITTED_SECOND, given.jobs)
        weights = fitted(rows)
        print("start {:.3f}, by depth {:.3f}, by judge {:.3f}".format(*weights))
        print_diagram("fitted on", refitted(rows, weights))
        return
    if given.fit_closer:
        rows = gathered(own, FITTED_OWN, given.jobs) + gathered(second, FITTED_SECOND, given.jobs)
        rows += gathered([*own, *second], FITTED_CLOSER, given.jobs)
        for is_cut, what in ((False, "whole"), (True, "cut")):
            weights = fitted_closer(rows, is_cut)
            number = sum(each.closer is not None and each.is_cut == is_cut for each in rows)
            print(
                f"{number} {what} ones looked at closer:", *(f"{weight:.3f}" for weight in weights)
            )
        print_diagram("with the numbers in use", rows)
        return
    numbers = range(FIRST, FIRST + given.fields)
    print_diagram("the project's renderer", gathered(own, numbers, given.jobs))
    print_diagram("the second renderer", gathered(second, numbers, given.jobs))


if __name__ == "__main__":
    main()
