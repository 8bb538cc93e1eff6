"""Pan, zoom and the half pixel of the canvas."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPointF

from counter.gui.canvas_view import MOST_ZOOM, CanvasView, picture_rect

VIEW = CanvasView(900.0, 610.0, 2592, 1944).fitted()


def test_the_frame_of_a_picture_lies_half_a_pixel_outside_its_outer_centres() -> None:
    """The centre of the top-left pixel is (0, 0); the picture reaches half a pixel beyond."""
    frame = picture_rect(2592, 1944)
    assert (frame.left(), frame.top(), frame.right(), frame.bottom()) == (
        -0.5, -0.5, 2591.5, 1943.5,
    )  # fmt: skip


def test_a_fitted_picture_is_centred_and_wholly_seen() -> None:
    """All four corners of the frame are on the canvas, equally far from its sides."""
    frame = picture_rect(2592, 1944)
    top_left = VIEW.to_screen(frame.left(), frame.top())
    bottom_right = VIEW.to_screen(frame.right(), frame.bottom())
    assert top_left.x() >= 0
    assert top_left.y() >= 0
    assert top_left.x() == pytest.approx(900.0 - bottom_right.x())
    assert top_left.y() == pytest.approx(610.0 - bottom_right.y())


@given(x=st.floats(-50, 2700), y=st.floats(-50, 2000), zoom=st.floats(0.1, 40))
def test_screen_and_picture_coordinates_are_each_others_inverse(
    x: float, y: float, zoom: float
) -> None:
    """There and back again, by the formulas and by the transform that paints."""
    view = VIEW.zoomed(zoom / VIEW.zoom, QPointF(300.0, 200.0))
    at = view.to_screen(x, y)
    assert view.to_picture(at) == pytest.approx((x, y), abs=1e-6)
    painted = view.transform.map(QPointF(x, y))
    assert (painted.x(), painted.y()) == pytest.approx((at.x(), at.y()), abs=1e-6)


@given(
    factor=st.floats(0.2, 30.0),
    across=st.floats(0.25, 0.75),
    down=st.floats(0.25, 0.75),
)
def test_zooming_in_holds_the_place_under_the_pointer(
    factor: float, across: float, down: float
) -> None:
    """What lies under the pointer stays there; the zoom stays within its limits."""
    about = QPointF(900.0 * across, 610.0 * down)
    view = VIEW.zoomed(factor, about)
    assert view.to_picture(about) == pytest.approx(VIEW.to_picture(about), abs=1e-6)
    assert 0 < view.zoom <= MOST_ZOOM


def test_some_of_the_picture_always_stays_in_sight() -> None:
    """However far it is dragged, the middle of the canvas stays on the picture."""
    view = VIEW.zoomed(8.0, QPointF(10.0, 10.0))
    for dx, dy in ((1e6, 1e6), (-1e6, 3.0), (5.0, -1e6)):
        moved = view.panned(dx, dy)
        x, y = moved.to_picture(QPointF(450.0, 305.0))
        assert 0 <= x <= 2592
        assert 0 <= y <= 1944


def test_showing_a_place_pans_no_further_than_needed() -> None:
    """A place in sight moves nothing; one out of sight comes to the margin."""
    view = VIEW.zoomed(10.0, QPointF(450.0, 305.0))
    assert view.showing(*view.to_picture(QPointF(450.0, 305.0))) == view
    shown = view.showing(0.0, 0.0)
    at = shown.to_screen(0.0, 0.0)
    assert 0 <= at.x() <= 900
    assert 0 <= at.y() <= 610


def test_a_fitted_picture_stays_fitted_when_the_window_grows() -> None:
    """A picture that was zoomed keeps its zoom instead."""
    assert VIEW.resized(1200.0, 800.0) == CanvasView(1200.0, 800.0, 2592, 1944).fitted()
    zoomed = VIEW.zoomed(3.0, QPointF(450.0, 305.0))
    assert zoomed.resized(1200.0, 800.0).zoom == zoomed.zoom
