"""What is behind the measured lengths."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.flags import CUT
from counter.domain.sample import Filling, Sample
from counter.statistics.selection import Selection, selection, two_groups
from counter.statistics.sizes import sizes
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def test_large_larvae_weigh_more_since_borders_cut_them_more_often() -> None:
    """On a small picture the corrected mean is larger; the plain one keeps its meaning."""
    marks = [mark(1, length_um=60.0), mark(2, length_um=60.0), mark(3, length_um=120.0)]
    sample = Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(*marks),)),))
    found, plain = selection(sample), sizes(sample)
    assert found.corrected is not None
    assert plain is not None
    assert plain.mean == pytest.approx(80.0)
    heavy = (200 - 60) * (112.5 - 60) / ((200 - 90) * (112.5 - 90))  # picture of 200 × 112.5 µm
    assert found.corrected.mean == pytest.approx((2 * 60 + heavy * 120) / (2 + heavy))
    assert found.corrected.sd is not None
    assert found.corrected.p10 == 60.0
    assert found.corrected.median > plain.median


def test_two_groups_of_lengths_are_said() -> None:
    """Two cohorts: their lengths and shares in one sentence; one group needs none."""
    lengths = [75.0 + number / 2 for number in range(20)] + [150.0 + number for number in range(20)]
    marks = [mark(number, length_um=length) for number, length in enumerate(lengths, start=1)]
    found = selection(Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(*marks),)),)))
    (said,) = two_groups(found)
    assert "two groups, about 80 µm (50 %) and 160 µm (50 %)" in said
    assert two_groups(replace(found, cohorts=None)) == []


def test_nothing_measured_has_nothing_behind_it() -> None:
    """An empty sample, and one whose only larva is cut; a single one has no scatter."""
    cut = replace(mark(1, x_px=0.0), flags=frozenset({CUT.key}))
    for fields in ((), (picture(),), (picture(cut),)):
        sample = Sample(LARVAE, CHAMBER, fillings=(Filling(1, fields),))
        assert selection(sample) == Selection(None, None)
    one = selection(Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(mark(1)),)),)))
    assert one.corrected is not None
    assert one.corrected.sd is None
    assert one.corrected.mean == one.corrected.median == 72.0
