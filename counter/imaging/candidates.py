"""What the learned finder takes for bodies, before their outlines are followed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from counter.domain.species import Target, TargetKind
from counter.imaging.around import Population
from counter.imaging.cleaving import embryos
from counter.imaging.kinds import FEW, ROUND, by_kind, kind_shares, population_of
from counter.imaging.looked import Looked, look
from counter.imaging.scene import SURE_ENOUGH, Scene
from counter.imaging.sight import Sight

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A body by the network: rough outline (32, 2) in pixels of the picture, how sure it is.

    ``depth`` (0 to 1) is the network's answer in its middle, ``share`` how far the body, if it is
    one, is of the kind looked for, ``length_um`` the rough outline's longest extent, ``classes``
    (4) the shares of the network's classes. ``is_embryo`` says that it was recognised as a cleaving
    egg with waists between its cells, of which ``depth`` and ``classes`` are the surest one's.
    """

    outline: Floats
    depth: float
    share: float
    length_um: float
    classes: Floats
    is_embryo: bool = False


def candidates(
    scene: Scene, target: Target, sight: Callable[[], Sight] | None = None
) -> list[Candidate]:
    """Return what the network sees; arguments and errors as for :func:`looked.look`.

    Where eggs of the species' own lengths are looked for, whole embryos take the place of what the
    network outlined of them.
    """
    looked = look(scene, target, sight)
    known = None if scene.around is None else scene.around.population
    population = known or population_of([looked], target)
    found = [
        Candidate(outline, star.depth, share, longest, star.classes)
        for outline, star, share, longest in zip(
            looked.outlines,
            looked.found,
            kind_shares(looked, target, population),
            looked.ferets_um[:, 0].tolist(),
            strict=True,
        )
    ]
    if not found or target.kind is not TargetKind.EGGS or not by_kind(target):
        return found
    return _with_embryos(found, looked, scene, _egg_um(found, looked, known, target))


def _with_embryos(
    found: list[Candidate], looked: Looked, scene: Scene, egg_um: float | None
) -> list[Candidate]:
    egg_like = np.array([each.share >= SURE_ENOUGH for each in found])
    whole: list[Candidate] = []
    cells: set[int] = set()
    for embryo in embryos(looked.outlines, egg_like, scene, egg_um):
        surest = max((found[cell] for cell in embryo.cells), key=lambda cell: cell.depth)
        placed = replace(surest, outline=embryo.outline, length_um=embryo.length_um)
        whole.append(replace(placed, is_embryo=True))
        cells.update(embryo.cells)
    return [each for number, each in enumerate(found) if number not in cells] + whole


def _egg_um(
    found: list[Candidate], looked: Looked, known: Population | None, target: Target
) -> float | None:
    """The length of a picture's median egg; None where it shows too few.

    Eggs weigh as their volumes, so that two cells of one do not weigh more than it would.
    ``known`` is the population of the larger picture of which it is a block.
    """
    if known is not None:
        return None if known.egg_um is None else max(known.egg_um, target.low_um)
    eggs_um = [
        each.length_um
        for each, (longest, shortest) in zip(found, looked.ferets_um.tolist(), strict=True)
        if min(each.depth, each.share) > SURE_ENOUGH
        and target.low_um <= longest <= target.high_um
        and shortest >= ROUND * longest
    ]
    if len(eggs_um) < FEW:
        return None
    ordered = np.sort(eggs_um)
    weight = np.cumsum(ordered**3)
    return float(ordered[np.searchsorted(weight, weight[-1] / 2)])
