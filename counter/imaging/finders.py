"""The finder that is used on a prepared scene: the learned one, or the older one without it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.species import Target, TargetKind
from counter.imaging import learned, states
from counter.imaging.gaping import with_open_shells_whole
from counter.imaging.kinds import by_kind
from counter.imaging.rescore import Rescorer, as_shipped
from counter.imaging.scene import Scene
from counter.imaging.sight import Sight


@dataclass(frozen=True, slots=True)
class Finding:
    """Marks with ids 1..n, warnings in words; ``adjusted_by`` corrections took part in scores."""

    marks: tuple[Mark, ...]
    warnings: tuple[str, ...] = ()
    adjusted_by: int = 0


def find_on(
    scene: Scene,
    target: Target,
    progress: Progress,
    rescorer: Rescorer | None,
    sight: Callable[[], Sight] | None = None,
) -> Finding:
    """Search a scene and propose states for what is found.

    ``sight`` is given where the network was asked to look beforehand. The older finder where the
    network's file cannot be read; it says so.
    """
    try:
        used = rescorer if rescorer is not None and rescorer.fits(target) else None
        weighed = learned.weigh(scene, target, progress, sight)
    except learned.NoNetworkError as error:
        from counter.imaging import classical  # late: skimage is slow to load

        marks = classical.search(scene, target, progress)
        said = f"{error} The older finder was used instead; look at its marks."
        return _with_states(Finding(tuple(marks), (said,)), scene, target)
    adjusted = as_shipped(weighed) if used is None else used.adjusted(weighed, scene)
    marks = learned.accepted(weighed, adjusted.scores, scene, target)
    progress.report(1.0, "done")
    found = Finding(tuple(marks), adjusted.warnings, adjusted.by)
    return _with_states(found, scene, target)


def _with_states(found: Finding, scene: Scene, target: Target) -> Finding:
    try:
        marks = states.proposed(scene.photo, found.marks, target)
    except states.NoStatesError as error:
        return replace(found, warnings=(*found.warnings, str(error)))
    if target.kind is TargetKind.LARVAE and by_kind(target):
        marks = with_open_shells_whole(marks, scene.photo)
    return replace(found, marks=tuple(marks))
