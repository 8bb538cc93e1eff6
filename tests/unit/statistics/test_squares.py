"""How squares and pictures scatter within a filling."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.ruled import RuledGrid
from counter.domain.sample import Filling, Sample
from counter.domain.tally_field import TalliedSquare, TallyField
from counter.statistics.dispersion import Agreement, dispersion
from counter.statistics.squares import (
    among_ruled_squares,
    among_squares,
    ruled_squares_of,
    squares_line,
)
from counter.statistics.working import working
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def tallied(*counts: int, area_mm2: float = 1.0) -> TallyField:
    """Squares that are done, with so many each."""
    squares = tuple(TalliedSquare({"d-hinge": count}) for count in counts)
    return TallyField(1, "1 mm square", area_mm2, squares, finished=True)


def sample(*fillings: Filling) -> Sample:
    """A sample of these fillings."""
    return Sample(LARVAE, CHAMBER, fillings=fillings)


def test_squares_are_compared_within_their_filling() -> None:
    """Two fillings far apart, each even in itself: nothing is clumped within them."""
    scatter = among_squares(
        sample(Filling(1, (tallied(10, 12, 9),)), Filling(2, (tallied(40, 38, 45),)))
    )
    parts = [dispersion(counts, [1.0] * 3) for counts in ((10, 12, 9), (40, 38, 45))]
    assert scatter is not None
    assert scatter.chi2 == pytest.approx(sum(one.chi2 for one in parts if one is not None))
    assert scatter.degrees_of_freedom == 4
    assert scatter.agreement is Agreement.CHANCE


def test_clumped_squares_are_named_with_their_k() -> None:
    """k as scipy's likelihood has its top; by moments 13² ÷ (928 ÷ 7 − 13) = 1.41; too few for the
    chance of χ² say nothing."""
    (line,) = squares_line(sample(Filling(1, (tallied(2, 31, 4, 19, 8, 1, 12, 27),))))
    assert line.endswith(
        "p < 0.0001: clumped (negative binomial, k = 1.24 by maximum likelihood, 1.41 by moments)"
    )
    assert squares_line(sample(Filling(1, (tallied(0, 3, 0, 0, 1),)))) == []


def test_pictures_and_squares_stand_together_by_area() -> None:
    """Each has the count expected of its area; the line is part of the working."""
    marks = [mark(n) for n in range(1, 31)]
    area = picture().area_mm2
    mixed = sample(Filling(1, (picture(*marks), tallied(30, 61, area_mm2=area))))
    scatter = among_squares(mixed)
    assert scatter is not None
    assert scatter.expected == pytest.approx((121 / 3,) * 3)
    assert squares_line(mixed)[0] in working(mixed)


def test_one_square_has_nothing_to_be_compared_with() -> None:
    """Nor have none."""
    assert among_squares(sample()) is None
    assert squares_line(sample(Filling(1, (tallied(9),)), Filling(2, (tallied(8),)))) == []


def test_squares_of_the_rulings_are_compared_where_pictures_show_them_whole() -> None:
    """Their counts scatter, with a line of its own in the working."""
    grid = RuledGrid(160, 90, 0.0, 40.0, 0.1, 8, upright_px=0.0, level_px=5.0)
    places = [(20.0, 25.0)] * 9 + [(60.0, 25.0)] * 2 + [(100.0, 65.0)] + [(141.0, 25.0)]
    marks = [mark(n, x_px=x, y_px=y) for n, (x, y) in enumerate(places, 1)]
    shown = picture(*marks)
    shown = replace(shown, picture=replace(shown.picture, grid=grid))
    whole = sample(Filling(1, (shown,)))
    (filling,) = whole.fillings
    counts, areas = ruled_squares_of(whole, filling)
    assert counts == [9, 2, 0, 0, 0, 1]
    assert areas == pytest.approx([(40 * 1.25e-3) ** 2] * 6)
    scatter = among_ruled_squares(whole)
    assert scatter is not None
    assert scatter.chi2 == pytest.approx((7**2 + 0 + 3 * 2**2 + 1) / 2)
    assert scatter.agreement is Agreement.CLUMPED
    lines = [line for line in working(whole) if "squares of the rulings" in line]
    assert lines[0].startswith(
        "The 6 squares of the rulings that pictures show whole: χ² = 31.0 on 5"
    )
    ambiguous = replace(whole, chamber=replace(CHAMBER, ruling_um=None))
    assert among_ruled_squares(ambiguous) is None
