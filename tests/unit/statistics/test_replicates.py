"""Fillings as replicates."""

from __future__ import annotations

import pytest

from counter.domain.sample import Filling, Sample
from counter.statistics.replicates import replicates
from tests.hatchery import CHAMBER, LARVAE, WELL, mark, picture


def test_each_filling_that_was_looked_at_is_one_replicate() -> None:
    """It keeps its number among all fillings; volumes are in mL."""
    field = picture(mark(1), mark(2, stage="umbo"))
    fillings = (Filling(4), Filling(7, (field, field)))
    found, missing = replicates(Sample(LARVAE, CHAMBER, fillings=fillings))
    (one,) = found
    assert (one.number, one.count, dict(one.counts)) == (2, 4, {"d-hinge": 2, "umbo": 2})
    assert one.volume_ml == pytest.approx(2 * field.area_mm2 / 1000)
    assert missing == ()


def test_a_missing_volume_is_said_once() -> None:
    """Two wells without a volume need one sentence."""
    fillings = (Filling(1, (picture(),)), Filling(2, (picture(),)))
    found, missing = replicates(Sample(LARVAE, WELL, fillings=fillings))
    assert found == ()
    assert len(missing) == 1
