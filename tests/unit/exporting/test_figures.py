"""The size histogram: right bars, every stage told apart without colour, three kinds of file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from counter.domain.sample import Filling, Sample
from counter.errors import CounterError, UsageError
from counter.exporting.figures import save, size_histogram
from counter.imaging.read import read_page
from tests.hatchery import CHAMBER, EGGS, LARVAE, mark, picture


def sample(lengths: dict[float, str]) -> Sample:
    """Return marks of these lengths and stages on one picture."""
    marks = [
        mark(number, length, stage=stage)
        for number, (length, stage) in enumerate(lengths.items(), start=1)
    ]
    field = picture(*marks, field_id=1)
    return Sample(LARVAE, CHAMBER, fillings=(Filling(1, (field,)),), name="tank 3, day 6")


MIXED = sample({70.0: "d-hinge", 72.0: "d-hinge", 74.5: "d-hinge", 150.0: "umbo", 260.0: "eyed"})


def test_each_measured_larva_is_in_a_bar() -> None:
    """The heights of all bars sum to the number measured, and stages differ in hatching."""
    (axes,) = size_histogram(MIXED).axes
    assert sum(bar.get_height() for stack in axes.containers for bar in stack) == 5
    hatches = {stack[0].get_hatch() for stack in axes.containers}
    assert len(hatches) == 3
    legend = axes.get_legend()
    assert legend is not None
    labels = [text.get_text() for text in legend.get_texts()]
    assert labels == ["d-hinge (3)", "umbo (1)", "eyed (1)", "median 74.5 µm"]
    assert "tank 3, day 6: 5 measured" in axes.get_title(loc="left")
    assert "µm" in axes.get_xlabel()


@pytest.mark.parametrize("lengths", [{70.0: "d-hinge"}, {70.0: "d-hinge", 70.0001: "odd"}])
def test_few_or_equal_lengths_make_a_figure(lengths: dict[float, str]) -> None:
    """One larva, or a stage that the species does not know."""
    (axes,) = size_histogram(sample(lengths)).axes
    assert sum(bar.get_height() for stack in axes.containers for bar in stack) == len(lengths)


def test_nothing_measured_says_so() -> None:
    """An empty sample is a figure with words, not an error."""
    for empty in (replace(MIXED, fillings=()), replace(MIXED, fillings=(), target=EGGS)):
        (axes,) = size_histogram(empty).axes
        assert axes.get_title(loc="left") == f"No {empty.target.kind} measured"


@pytest.mark.parametrize(
    ("suffix", "start"),
    [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF"), ("PNG", b"\x89")],
)
def test_three_kinds_of_file(tmp_path: Path, suffix: str, start: bytes) -> None:
    """By the end of the name, in any case."""
    path = tmp_path / f"sizes.{suffix}"
    save(size_histogram(MIXED), path)
    assert path.read_bytes().startswith(start)
    assert list(tmp_path.iterdir()) == [path]


def test_another_kind_of_file_is_refused(tmp_path: Path) -> None:
    """A chart in a .jpg would be counted as a picture one day."""
    with pytest.raises(UsageError, match=r"\.png, \.svg or \.pdf"):
        save(size_histogram(MIXED), tmp_path / "sizes.jpg")


def test_a_place_that_is_not_there(tmp_path: Path) -> None:
    """Told with the path."""
    with pytest.raises(CounterError, match="cannot be written"):
        save(size_histogram(MIXED), tmp_path / "no" / "sizes.png")


def test_a_chart_is_not_counted_as_a_picture(tmp_path: Path) -> None:
    """A histogram saved among the pictures is refused when the folder is counted again."""
    path = tmp_path / "sizes.png"
    save(size_histogram(MIXED), path)
    with pytest.raises(CounterError, match="chart that Hingeline wrote"):
        read_page(path)
