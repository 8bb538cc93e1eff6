"""The row of large buttons above the picture."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources import files

from PySide6.QtCore import QByteArray, QEvent, QSize, Qt
from PySide6.QtGui import QAction, QColor, QGuiApplication, QIcon, QPainter, QPalette, QPixmap
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QToolBar, QToolButton, QWidget

from counter.gui.style import PALETTE_EVENTS, TARGET_PX, named

_SHOWN = (
    "open-pictures", "start-tally", "", "tool-pick", "tool-place", "tool-cut", "tool-outline", "",
    "remove", "join", "reviewed", "", "undo", "redo", "", "zoom-out", "zoom-in", "fit", "",
    "sheet-compare", "sheet-effort", "sheet-method",
)  # fmt: skip
_SHORT = {"sheet-compare": "Compare", "sheet-effort": "Enough?", "sheet-method": "Check"}
"""Words for buttons whose actions are called by more than fits beneath a drawing."""

_ICON_PX = 26


def icon(name: str, palette: QPalette) -> QIcon:
    """Return one of our own drawings from the resources in the colour of the text."""
    text = (files("resources") / "icons" / f"{name}.svg").read_text(encoding="utf-8")
    drawn = QIcon()
    groups = {
        QIcon.Mode.Normal: QPalette.ColorGroup.Active,
        QIcon.Mode.Disabled: QPalette.ColorGroup.Disabled,
    }
    for mode, group in groups.items():
        colour = palette.color(group, QPalette.ColorRole.ButtonText).name()
        renderer = QSvgRenderer(QByteArray(text.replace("currentColor", colour).encode()))
        for size in (_ICON_PX, 2 * _ICON_PX):
            pixmap = QPixmap(size, size)
            pixmap.fill(Qt.GlobalColor.transparent)
            painter = QPainter(pixmap)
            renderer.render(painter)
            painter.end()
            drawn.addPixmap(pixmap, mode)
    return drawn


class ToolBar(QToolBar):
    """The actions that are used most, with a drawing and a word each."""

    def __init__(self, actions: Mapping[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__("Tools", parent)
        self.setObjectName("tools")
        self.setMovable(False)
        self.setIconSize(QSize(_ICON_PX, _ICON_PX))
        self.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
        named(self, "Tools")
        self._ink: QColor | None = None
        self._shown = {name: actions[name] for name in _SHOWN if name}
        for name in _SHOWN:
            if not name:
                self.addSeparator()
                continue
            action = actions[name]
            if name in _SHORT:
                action.setIconText(_SHORT[name])
            self.addAction(action)
            button = self.widgetForAction(action)
            assert isinstance(button, QToolButton)
            button.setMinimumSize(TARGET_PX + 16, TARGET_PX + 16)
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            named(button, action.text().rstrip("…"))
        self._draw_icons()

    def _draw_icons(self) -> None:
        """Draw the icons in the colour of the text, if that has changed."""
        ink = QGuiApplication.palette().color(QPalette.ColorRole.ButtonText)
        if ink == self._ink:
            return
        self._ink = ink
        for name, action in self._shown.items():
            action.setIcon(icon(name, QGuiApplication.palette()))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in PALETTE_EVENTS:
            self._draw_icons()
