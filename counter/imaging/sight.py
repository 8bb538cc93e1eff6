"""What the network sees on a picture, looked at while the picture is made ready for the rest.

The network asks nothing of what :func:`counter.imaging.scene.prepare` finds out, and takes longer
than that. So both go on at once, where this process may use more than one core. Before, the picture
is made as small as the network wants it: that is many short calls, which would wait for their turn
to speak Python again and again, while the network's answer is a single one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from counter.domain.species import Target
from counter.imaging.net import PX_ACROSS_SMALLEST, Answer, ask, load, seen_by_net
from counter.imaging.photo import Photo
from counter.imaging.threads import is_one_thread


@dataclass(frozen=True, slots=True, eq=False)
class Sight:
    """A picture as the network was given it (h, w, 3), and its answer."""

    seen: NDArray[np.float32]
    answer: Answer


def sight_of(photo: Photo, target: Target, light: float | None = None) -> Sight:
    """Look at a photo, which must have a scale.

    ``light`` is given for a block of a larger picture: its brightest places as the network sees
    them. Raises :class:`~counter.imaging.net.NoNetworkError` when the network cannot be read.
    """
    return _answered(_seen(photo, target, light))


def _seen(photo: Photo, target: Target, light: float | None) -> NDArray[np.float32]:
    if photo.um_per_px is None:
        raise ValueError("a photo needs a scale before it is searched")
    factor = target.low_um / PX_ACROSS_SMALLEST / photo.um_per_px
    return seen_by_net(photo.pixels, factor, light)


def _answered(seen: NDArray[np.float32]) -> Sight:
    return Sight(seen, ask(load(), seen))


@contextmanager
def looking(
    photo: Photo, target: Target, light: float | None = None
) -> Iterator[Callable[[], Sight]]:
    """Look at a photo in a thread of its own; who calls what is handed out waits for the sight.

    Arguments and errors are those of :func:`sight_of`; that the network cannot be read is raised
    where the sight is asked for. Where one thread is enough for this process, it is looked at only
    then. Leaving waits until the network has done.
    """
    if is_one_thread():
        yield lambda: sight_of(photo, target, light)
        return
    with ThreadPoolExecutor(1, "network") as pool:
        yield pool.submit(_answered, _seen(photo, target, light)).result
