"""Where the picture lies on the screen: pan, zoom and the half pixel, without any painting.

Picture coordinates are those of the contract: x to the right, y down, the centre of the top-left
pixel is (0, 0). The pixmap's own corner lies half a pixel up and left of that; this is the one
place that knows.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QTransform

MOST_ZOOM = 40.0
LEAST_ZOOM_OF_FIT = 0.4
FIT_MARGIN_PX = 24.0


def picture_rect(width_px: int, height_px: int) -> QRectF:
    """Return the picture's area in picture coordinates: half a pixel outside its outer centres."""
    return QRectF(-0.5, -0.5, width_px, height_px)


@dataclass(frozen=True, slots=True)
class CanvasView:
    """A view: ``zoom`` screen pixels for each picture pixel, ``centre`` in picture coordinates.

    ``width`` and ``height`` are the canvas's size in (device-independent) screen pixels.
    """

    width: float = 1.0
    height: float = 1.0
    picture_width_px: int = 1
    picture_height_px: int = 1
    zoom: float = 1.0
    centre_x_px: float = 0.0
    centre_y_px: float = 0.0

    def to_screen(self, x_px: float, y_px: float) -> QPointF:
        """Return where a picture coordinate lies on the canvas."""
        return QPointF(
            (x_px - self.centre_x_px) * self.zoom + self.width / 2,
            (y_px - self.centre_y_px) * self.zoom + self.height / 2,
        )

    def to_picture(self, point: QPointF) -> tuple[float, float]:
        """Return the picture coordinate under a point of the canvas."""
        return (
            (point.x() - self.width / 2) / self.zoom + self.centre_x_px,
            (point.y() - self.height / 2) / self.zoom + self.centre_y_px,
        )

    @property
    def transform(self) -> QTransform:
        """The transform from picture coordinates to the canvas."""
        origin = self.to_screen(0.0, 0.0)
        return QTransform(self.zoom, 0.0, 0.0, self.zoom, origin.x(), origin.y())

    @property
    def seen(self) -> QRectF:
        """The part of the picture's plane that the canvas shows, in picture coordinates."""
        left, top = self.to_picture(QPointF(0.0, 0.0))
        return QRectF(left, top, self.width / self.zoom, self.height / self.zoom)

    @property
    def fit_zoom(self) -> float:
        """The zoom at which the whole picture is seen, with a margin."""
        across = max(1.0, self.width - 2 * FIT_MARGIN_PX) / self.picture_width_px
        down = max(1.0, self.height - 2 * FIT_MARGIN_PX) / self.picture_height_px
        return min(across, down)

    def fitted(self) -> CanvasView:
        """Return the view of the whole picture."""
        return replace(
            self,
            zoom=self.fit_zoom,
            centre_x_px=(self.picture_width_px - 1) / 2,
            centre_y_px=(self.picture_height_px - 1) / 2,
        )

    def zoomed(self, factor: float, about: QPointF) -> CanvasView:
        """Return the view zoomed by ``factor`` with the point ``about`` of the canvas held."""
        x_px, y_px = self.to_picture(about)
        zoom = min(MOST_ZOOM, max(self.fit_zoom * LEAST_ZOOM_OF_FIT, self.zoom * factor))
        moved = replace(self, zoom=zoom)
        now = moved.to_screen(x_px, y_px)
        return moved.panned(about.x() - now.x(), about.y() - now.y())

    def panned(self, dx: float, dy: float) -> CanvasView:
        """Return the view moved by screen pixels; some of the picture always stays in sight."""
        x_px = self.centre_x_px - dx / self.zoom
        y_px = self.centre_y_px - dy / self.zoom
        return replace(
            self,
            centre_x_px=min(max(x_px, 0.0), float(self.picture_width_px)),
            centre_y_px=min(max(y_px, 0.0), float(self.picture_height_px)),
        )

    def showing(self, x_px: float, y_px: float, margin: float = 40.0) -> CanvasView:
        """Return the view, panned just so far that this picture coordinate is in sight."""
        at = self.to_screen(x_px, y_px)
        dx = max(margin - at.x(), 0.0) or min(self.width - margin - at.x(), 0.0)
        dy = max(margin - at.y(), 0.0) or min(self.height - margin - at.y(), 0.0)
        return self.panned(dx, dy)

    def resized(self, width: float, height: float) -> CanvasView:
        """Return the view in a canvas of another size; a fitted picture stays fitted."""
        was_fitted = abs(self.zoom - self.fit_zoom) < 1e-9
        view = replace(self, width=max(1.0, width), height=max(1.0, height))
        return view.fitted() if was_fitted else view
