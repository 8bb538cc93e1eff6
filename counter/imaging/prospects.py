"""The narrow entrance for learning: all that the finder sees on a picture, marks or not."""

from __future__ import annotations

from counter.domain.lesson import Prospect, Survey
from counter.domain.progress import Progress
from counter.domain.species import Target
from counter.imaging.learned import weigh
from counter.imaging.looks import features
from counter.imaging.photo import Photo
from counter.imaging.rescore import network_version
from counter.imaging.scene import prepare
from counter.imaging.sight import looking


def survey(photo: Photo, target: Target, progress: Progress) -> Survey:
    """Return every prospect of ``target`` on ``photo``, which must have a scale.

    Raises :class:`~counter.imaging.net.NoNetworkError` where the network cannot be read and
    :class:`~counter.errors.Cancelled` when ``progress`` says so.
    """
    with looking(photo, target) as sight:
        scene = prepare(photo, target, progress)
        weighed = weigh(scene, target, progress, sight)
    looks = features(weighed, scene)
    return Survey(
        network=network_version(),
        kind=target.kind,
        low_um=target.low_um,
        high_um=target.high_um,
        um_per_px=scene.um_per_px,
        prospects=tuple(
            Prospect(
                x_px=each.measures.x_px,
                y_px=each.measures.y_px,
                length_um=each.measures.length_um,
                is_cut=each.cut,
                score=each.score,
                features=tuple(row.tolist()),
            )
            for each, row in zip(weighed, looks, strict=True)
        ),
    )
