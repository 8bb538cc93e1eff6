"""Proposed states against drawn truth over the whole range of slides, and what their scores mean.

``python -m tests.benchmarks.states_table [FIELDS]`` draws as many fields of eggs, of larvae and of
late larvae (default 20 each) by the renderer that trains nothing, finds and looks at the bodies as
a count does, and prints for each kind how many are right, wrong and open, why nothing is said of
the open ones, and the reliability of the scores. About two seconds a field.
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np

from counter.domain.catalogue import species
from counter.domain.mark import Mark
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import EGGS, LARVAE, Group, Kind, SceneSettings
from counter.imaging.draw.truth import TruthObject
from counter.imaging.draw.vary import VARIED, varied_settings
from counter.imaging.photo import Photo

OYSTER = species("eastern-oyster")
STATE = {
    Kind.EGG: "unfertilised",
    **dict.fromkeys(EGGS[1:], "fertilised"),
    Kind.EMPTY_SHELL: "dead",
}
EYED = (Kind.EYED, Kind.PEDIVELIGER)
LATE = (Group(Kind.UMBO, 4, (238.0, 270.0)), Group(Kind.EYED, 4), Group(Kind.PEDIVELIGER, 2))
BINS = (0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 1.0)


def settings(what: str, seed: int) -> SceneSettings:
    """One field of the whole range of light, contrast, camera, crowding, focus and litter."""
    if what == "eggs":
        return varied_settings(seed + 9300, 560, 420, EGGS)
    if what == "larvae":
        larvae = tuple(kind for kind in VARIED if kind in LARVAE)
        return varied_settings(seed + 7300, 560, 420, larvae)
    late = varied_settings(seed + 5300, 640, 480, EYED)
    um_per_px = float(np.random.default_rng(seed).uniform(1.8, 3.4))
    return replace(late, um_per_px=um_per_px, population=LATE, crowding=0.0)


def pairs(what: str, seed: int) -> Iterator[tuple[TruthObject, Mark]]:
    """Every whole drawn body that was found, with its mark."""
    scene = draw_scene(settings(what, seed), seed)
    kind = TargetKind.EGGS if what == "eggs" else TargetKind.LARVAE
    photo = Photo(scene.pixels).with_scale(scene.um_per_px)
    marks = detect(photo, target_of(OYSTER, kind), Silent()).marks
    for entry in scene.truth:
        if entry.is_cut or entry.kind not in (*EGGS, *LARVAE) or not marks:
            continue
        away = [float(np.hypot(m.x_px - entry.x_px, m.y_px - entry.y_px)) for m in marks]
        nearest = int(np.argmin(away))
        if away[nearest] < entry.length_um / scene.um_per_px / 4:
            yield entry, marks[nearest]


def main(fields: int) -> None:
    """Print both tables."""
    told: dict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    scores: dict[str, list[tuple[float, bool]]] = defaultdict(list)
    why: dict[str, Counter[str]] = defaultdict(Counter)
    for what in ("eggs", "larvae", "late"):
        for seed in range(fields):
            for entry, mark in pairs(what, seed):
                given = mark.proposal
                if given is None:
                    continue
                is_right = given.state == STATE.get(entry.kind, "live")
                _note(told[what, entry.kind.value], given.state is not None, is_right)
                if given.state is None:
                    why[what][given.reason] += 1
                if given.state is not None:
                    scores["eggs" if what == "eggs" else "larvae"].append((given.score, is_right))
                if what == "late":
                    sees = given.eye_spot == (entry.kind in EYED)
                    _note(told["eye spot", entry.kind.value], given.eye_spot is not None, sees)
                    if given.eye_spot is not None:
                        scores["eye spot"].append((given.eye_spot_score, sees))
    _print(told, scores)
    print("\nnothing said because")
    for what, reasons in why.items():
        print(f"{what:9s} {', '.join(f'{reason} {n}' for reason, n in reasons.most_common())}")


def _note(counts: Counter[str], is_said: bool, is_right: bool) -> None:
    counts["open" if not is_said else "right" if is_right else "wrong"] += 1


def _print(
    told: dict[tuple[str, str], Counter[str]], scores: dict[str, list[tuple[float, bool]]]
) -> None:
    print(f"{'':9s} {'kind':16s} {'right':>6s} {'wrong':>6s} {'open':>6s}  right of those said")
    for (what, kind), counts in told.items():
        said = counts["right"] + counts["wrong"]
        share = f"{counts['right'] / said:.3f}" if said else "-"
        print(f"{what:9s} {kind:16s} {counts['right']:6d} {counts['wrong']:6d} "
              f"{counts['open']:6d}  {share}")  # fmt: skip
    print("\nreliability: said, right, how many")
    for what, entries in scores.items():
        score, right = np.array([e[0] for e in entries]), np.array([e[1] for e in entries])
        for low, high in pairwise(BINS):
            chosen = (score >= low) & (score < high + 1e-9 * (high == 1.0))
            if chosen.any():
                print(f"{what:9s} {score[chosen].mean():.2f} {right[chosen].mean():.2f} "
                      f"{int(chosen.sum()):5d}")  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
