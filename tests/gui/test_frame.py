"""What surrounds the marks on the picture: the half of a rim that counts, the squares' numbers."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from counter.domain.edges import EdgeRule, Frame
from counter.domain.field import PictureField
from counter.domain.rim import Rim
from counter.domain.ruled import RuledGrid
from counter.gui.style import COUNTS_COLOUR, FORBIDDEN_COLOUR
from counter.gui.window import Window
from tests.gui.hands import settle

RIM = Rim(210.0, 150.0, 120.0, 0.6)


def shown(window: Window, field: PictureField, qtbot: QtBot) -> QImage:
    """The canvas with this field."""
    (field_id,) = window.bench.session.add_picture_fields([field])
    window.bench.show(field_id)
    settle(window, qtbot)
    return window.canvas.grab().toImage()


def colours_near(window: Window, image: QImage, x_px: float, y_px: float) -> set[str]:
    """Names of the colours on the screen about a place of the picture."""
    at = window.canvas.view.to_screen(x_px, y_px).toPoint()
    return {
        QColor(image.pixel(at.x() + dx, at.y() + dy)).name()
        for dx in range(-9, 10)
        for dy in range(-9, 10)
    }


@pytest.mark.parametrize("rule", [EdgeRule.TOP_LEFT, EdgeRule.BOTTOM_RIGHT])
def test_the_half_of_the_rim_that_counts_is_drawn_so(
    window: Window, counted_once: tuple[Path, PictureField], rule: EdgeRule, qtbot: QtBot
) -> None:
    """Solid and dashed, in two colours, and in words; the picture's border has neither."""
    field = counted_once[1]
    window.bench.session.set_edges(rule)
    image = shown(window, replace(field, picture=replace(field.picture, rim=RIM)), qtbot)
    counts, other = QColor(COUNTS_COLOUR).name(), QColor(FORBIDDEN_COLOUR).name()
    upper_left = colours_near(window, image, 210.0 - 84.9, 150.0 - 84.9)
    lower_right = colours_near(window, image, 210.0 + 84.9, 150.0 + 84.9)
    if rule is EdgeRule.BOTTOM_RIGHT:
        upper_left, lower_right = lower_right, upper_left
    assert counts in upper_left
    assert other not in upper_left
    assert other in lower_right
    assert counts not in colours_near(window, image, 0.0, 150.0)


def test_borders_are_drawn_round_what_is_shown_and_not_round_a_strip_of_data(
    window: Window, counted_once: tuple[Path, PictureField], qtbot: QtBot
) -> None:
    """A strip along the lower edge: the border that does not count lies above it."""
    field = counted_once[1]
    frame = Frame(-0.5, -0.5, 419.5, 259.5)
    image = shown(window, replace(field, picture=replace(field.picture, shown=frame)), qtbot)
    other = QColor(FORBIDDEN_COLOUR).name()
    dashes = [colours_near(window, image, x, 259.5) for x in (60.0, 130.0, 290.0, 350.0)]
    assert all(other in colours for colours in dashes)
    assert other not in colours_near(window, image, 290.0, 299.5)
    assert QColor(COUNTS_COLOUR).name() in colours_near(window, image, 290.0, -0.5)


def test_squares_carry_their_numbers_where_the_chamber_has_one_period(
    window: Window, counted_once: tuple[Path, PictureField], qtbot: QtBot
) -> None:
    """And none where nobody knows which squares they are."""
    field = counted_once[1]
    grid = RuledGrid(420, 300, 0.0, 100.0, 0.1, 6, 10.0, 10.0)
    ruled = replace(field, picture=replace(field.picture, grid=grid))
    with_numbers = shown(window, ruled, qtbot)
    chamber = replace(window.bench.sample.chamber, ruling_um=None)
    window.bench.session.set_chamber(chamber)
    settle(window, qtbot)
    assert window.canvas.grab().toImage() != with_numbers
    assert not window.canvas.numbered
