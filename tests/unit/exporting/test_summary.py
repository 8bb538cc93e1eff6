"""A counted sample in words."""

from __future__ import annotations

from dataclasses import replace

from counter.domain.sample import Filling, Sample
from counter.exporting.summary import summary
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def counted(*counts: int) -> Sample:
    """One filling with one picture for each count, lengths from 61 µm on."""
    fillings = []
    for number, count in enumerate(counts, start=1):
        marks = [mark(n, length_um=60.0 + n) for n in range(1, count + 1)]
        shown = replace(picture(*marks, field_id=number), reviewed=True)
        fillings.append(Filling(number, (shown,)))
    return Sample(LARVAE, CHAMBER, vessel_ml=760.0, fillings=tuple(fillings))


def test_nothing_counted_is_one_sentence() -> None:
    """No empty headings."""
    assert summary(Sample(LARVAE, CHAMBER)) == "Nothing was counted."


def test_sizes_have_their_limits() -> None:
    """Mean and median of 21 lengths, 61 to 81 µm; two lengths leave the median's open."""
    lines = summary(counted(21)).splitlines()
    (limits,) = [line.strip() for line in lines if "limits in µm" in line]
    assert limits == "95 % limits in µm: median 66.0 to 76.0, mean 68.2 to 73.8."
    (limits,) = [line for line in summary(counted(2)).splitlines() if "limits in µm" in line]
    assert "median" not in limits


def test_limits_for_uneven_mixing_stand_under_the_total() -> None:
    """Two fillings that agree; one shows nothing of the mixing."""
    assert "If mixed unevenly: " in summary(counted(21, 22))
    assert "If mixed unevenly" not in summary(counted(21))


def test_each_stage_has_its_limits_for_uneven_mixing_beside_it() -> None:
    """In its own line, where there are any."""
    (line,) = [line for line in summary(counted(21, 22)).splitlines() if "d-hinge" in line]
    assert "; if mixed unevenly: " in line
    (line,) = [line for line in summary(counted(21)).splitlines() if "d-hinge" in line]
    assert "mixed" not in line


def test_the_working_is_printed_on_demand() -> None:
    """Every step, before the total."""
    assert "Counted water" not in summary(counted(21, 22))
    text = summary(counted(21, 22), with_working=True)
    assert text.index("Counts: 21 + 22 = 43") < text.index("Total in 760")
