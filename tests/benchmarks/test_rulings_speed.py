"""What a scale from rulings costs, in turnings of the whole picture: no time of any machine."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from counter.imaging.draw.gauge import draw_rulings
from counter.imaging.draw.settings import Rulings
from counter.imaging.photo import Photo
from counter.imaging.rulings import find_rulings
from counter.imaging.straight import turned_to


def best_of(times: int, job: Callable[[], object]) -> float:
    """The least processor time of a few runs, in seconds."""
    spent = []
    for _ in range(times):
        start = time.process_time()
        job()
        spent.append(time.process_time() - start)
    return min(spent)


def test_a_scale_costs_less_than_a_few_turnings_of_the_picture() -> None:
    """Measuring at full resolution in each direction would turn the picture a dozen times."""
    grey = Photo(draw_rulings(Rulings(angle_deg=2.0), 4, 2048, 1536, 1.6).pixels).grey()
    seen = np.ones(grey.shape, bool)
    found = best_of(3, lambda: find_rulings(grey))
    turned = best_of(3, lambda: turned_to(grey, seen, 2.0))
    print(f"rulings {found:.2f} s, one turning {turned:.3f} s: {found / turned:.1f} times")
    assert found < 15 * turned
