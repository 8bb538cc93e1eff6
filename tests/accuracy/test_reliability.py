"""What fits and tells how often the scores are right, on invented candidates."""

from __future__ import annotations

import numpy as np
import pytest

from counter.imaging.calibrated import opinions
from tests.benchmarks.reliability import Scored, fitted, print_diagram, refitted

TRUE = np.array([-0.8, 1.4, 0.5])


def candidates(count: int) -> list[Scored]:
    """Candidates whose chance to be right is known."""
    rng = np.random.default_rng(8)
    rows = []
    for depth, judged, luck in rng.uniform(0.0, 1.0, (count, 3)) * (0.96, 0.96, 1) + (
        0.02,
        0.02,
        0,
    ):
        chance = 1 / (1 + np.exp(-(TRUE @ [1.0, *opinions(depth, judged)])))
        rows.append(Scored(float(depth), float(judged), 1.0, float(chance), bool(luck < chance)))
    return rows


def test_the_fit_finds_the_coefficients_that_made_the_candidates() -> None:
    """Maximum likelihood on 6000 candidates comes within 0.15 of each."""
    rows = candidates(6000)
    assert fitted(rows) == pytest.approx(TRUE, abs=0.15)
    again = refitted(rows, TRUE)
    assert [each.score for each in again] == pytest.approx([each.score for each in rows])


def test_the_table_shows_right_scores_as_right(capsys: pytest.CaptureFixture[str]) -> None:
    """Each line's share lies near its mean score; the threshold in use is marked."""
    print_diagram("invented", [*candidates(4000), Scored(0.0, 0.0, 1.0, 0.0, True)])
    lines = capsys.readouterr().out.splitlines()
    shares = [line.split() for line in lines if " to " in line and "limits" not in line]
    assert len(shares) == 9
    for cells in shares:
        assert float(cells[5]) == pytest.approx(float(cells[4]), abs=0.08)
    assert sum("<- in use" in line for line in lines) == 1
