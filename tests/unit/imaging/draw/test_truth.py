"""Truth: stage, state, size and the JSON of it."""

from __future__ import annotations

import json

import numpy as np
import pytest

from counter.imaging.draw import Kind, Scene, as_json
from counter.imaging.draw.shape import THETA
from counter.imaging.draw.truth import stage_of, state_of, truth_of

CIRCLE = np.stack([40 + 20 * np.cos(THETA), 30 + 20 * np.sin(THETA)], axis=1)


def test_the_truth_of_a_circle() -> None:
    """Diameter, area and centre in the right units."""
    truth = truth_of(Kind.UMBO, CIRCLE, 2.5, 10.0, -3.0, False)
    assert truth.length_um == pytest.approx(100.0, rel=1e-3)
    assert truth.width_um == pytest.approx(100.0, rel=1e-3)
    assert truth.area_um2 == pytest.approx(np.pi * 2500, rel=1e-3)
    assert (truth.x_px, truth.y_px) == pytest.approx((40.0, 30.0))
    assert truth.is_larva
    assert not truth.is_egg


@pytest.mark.parametrize(
    ("kind", "length_um", "stage", "state"),
    [
        (Kind.EGG, 50.0, "egg", None),
        (Kind.EIGHT_CELLS, 50.0, "egg", None),
        (Kind.TROCHOPHORE, 58.0, "trochophore", "live"),
        (Kind.D_HINGE, 70.0, "d-hinge", "live"),
        (Kind.ON_SIDE, 70.0, "d-hinge", "live"),
        (Kind.ON_SIDE, 160.0, "umbo", "live"),
        (Kind.EMPTY_SHELL, 290.0, "eyed", "dead"),
        (Kind.PEDIVELIGER, 310.0, "pediveliger", "live"),
        (Kind.BUBBLE, 100.0, None, None),
    ],
)
def test_stage_and_state(
    kind: Kind, length_um: float, stage: str | None, state: str | None
) -> None:
    """A kind is its stage; on its edge or empty, the length tells; empty shells are dead."""
    assert stage_of(kind, length_um) == stage
    assert state_of(kind) == state


def test_the_json_counts_larvae_and_eggs_apart() -> None:
    """The file holds size, scale and objects, and can be read back."""
    kinds = (Kind.EGG, Kind.UMBO, Kind.DEBRIS)
    truth = tuple(truth_of(kind, CIRCLE, 2.0, 0.0, 0.0, True) for kind in kinds)
    scene = Scene(np.zeros((60, 80, 3), np.uint8), 2.0, truth, 0.0192)
    read = json.loads(json.dumps(as_json(scene)))
    assert (read["width_px"], read["height_px"], read["um_per_px"]) == (80, 60, 2.0)
    assert (read["larvae"], read["eggs"], len(read["objects"])) == (1, 1, 3)
    assert read["objects"][1]["stage"] == "umbo"
    assert read["objects"][1]["cut"] is True
    assert len(read["objects"][1]["outline_px"]) >= 40
