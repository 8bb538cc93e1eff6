"""Is what checking three more pictures would gain kept?"""

from __future__ import annotations

import numpy as np
import pytest

from counter.domain.field import Compared
from counter.statistics.checked import Checked, checked
from counter.statistics.proposal import gain

PICTURES, MORE = 20, 3


def looked_through(
    kept: np.ndarray, found: np.ndarray, bodies: np.ndarray, number: int
) -> Checked | None:
    """What the first ``number`` pictures teach."""
    counts = zip(found[:number], kept[:number], bodies[:number], strict=True)
    reviewed = [Compared(*(int(count) for count in one)) for one in counts]
    return checked(reviewed, [int(count) for count in found[number:]])


@pytest.mark.parametrize(
    ("counted", "number", "like"),
    [(300.0, 1, np.inf), (300.0, 2, np.inf), (2000.0, 2, 30.0), (2000.0, 5, 10.0)],
)
def test_the_gain_that_is_promised_is_reached_on_average(
    counted: float, number: int, like: float
) -> None:
    """A machine that finds nine of ten, alike on all pictures or not: the limits of 120 samples
    shrink to what was said, to within a tenth of their width."""
    random = np.random.default_rng(23)
    promised, reached = [], []
    for _ in range(120):
        bodies = random.poisson(counted / PICTURES, PICTURES)
        recall = (
            np.full(PICTURES, 0.9)
            if np.isinf(like)
            else random.beta(0.9 * like, 0.1 * like, PICTURES)
        )
        kept = random.binomial(bodies, recall)
        found = kept + random.poisson(counted / PICTURES / 10, PICTURES)
        now = looked_through(kept, found, bodies, number)
        then = looked_through(kept, found, bodies, number + MORE)
        assert now is not None
        assert then is not None
        if now.is_enough:
            promised.append(gain(now, 1.0, MORE))
            reached.append((then.spread / now.spread) ** 0.5)
    assert np.mean(promised) == pytest.approx(np.mean(reached), abs=0.1)
