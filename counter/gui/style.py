"""How things look: colours, dashes and letters of the stages, sizes of type and of what is hit.

A stage is always told by three things at once: a letter, a dash pattern and a colour. The colours
are the eight of Okabe M and Ito K (2008), Color Universal Design, which people with the common
colour deficiencies can tell apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QFont, QGuiApplication, QPalette
from PySide6.QtWidgets import QLabel, QWidget

from counter.domain.species import EGG, Target, TargetKind

TARGET_PX = 34
"""The least height and width of anything that a wet finger should hit."""

COUNTS_COLOUR = "#009e73"
FORBIDDEN_COLOUR = "#d55e00"
LEFT_OUT_COLOUR = "#b8b8b8"

_COLOURS = ("#56b4e9", "#f0e442", "#e69f00", "#cc79a7", "#2fc79a", "#ff8a47", "#9db4ff", "#ffffff")
_DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (6.0, 2.5),
    (2.0, 2.0),
    (8.0, 2.0, 2.0, 2.0),
    (4.0, 4.0),
    (10.0, 3.0),
    (2.0, 4.0),
    (6.0, 2.0, 2.0, 2.0, 2.0, 2.0),
)


@dataclass(frozen=True, slots=True)
class StageLook:
    """How one stage is drawn: its letter, its colour (#rrggbb) and its dashes (pen widths)."""

    stage: str
    letter: str
    colour: str
    dashes: tuple[float, ...]


def stage_looks(stages: Iterable[str]) -> Mapping[str, StageLook]:
    """Return a look for each stage, in the order given; no two share a letter.

    The letter is the first of the stage's name that is still free, then the first free letter of
    the alphabet. Colours and dashes repeat after eight stages; letters after twenty-six.
    """
    looks: dict[str, StageLook] = {}
    taken: set[str] = set()
    for index, stage in enumerate(dict.fromkeys(stages)):
        wanted = [char for char in stage.upper() if char.isalpha()]
        free = [char for char in [*wanted, *map(chr, range(65, 91))] if char not in taken]
        letter = free[0] if free else "*"
        taken.add(letter)
        looks[stage] = StageLook(
            stage, letter, _COLOURS[index % len(_COLOURS)], _DASHES[index % len(_DASHES)]
        )
    return looks


def stages_of(target: Target) -> tuple[str, ...]:
    """Return the stages that a mark can be given, in the order of growing: eggs, or the species'.

    The order does not depend on what is on the pictures, so that a stage keeps its letter and key.
    """
    if target.kind is TargetKind.EGGS:
        return (EGG,)
    return tuple(entry.stage for entry in target.species.stages)


def stage_name(stage: str) -> str:
    """Return a stage's name for people: ``d-hinge`` becomes ``D-hinge``."""
    return stage[:1].upper() + stage[1:]


def is_dark(palette: QPalette) -> bool:
    """Whether the system's palette is a dark one."""
    window = palette.color(QPalette.ColorRole.Window)
    return window.lightness() < palette.color(QPalette.ColorRole.WindowText).lightness()


def plain_colour(palette: QPalette) -> QColor:
    """The colour of text."""
    return palette.color(QPalette.ColorRole.WindowText)


def problem_colour(palette: QPalette) -> QColor:
    """The colour of a sentence that says what is wrong: readable on the window's ground."""
    return QColor("#ff9d7a") if is_dark(palette) else QColor("#a32a00")


def quiet_colour(palette: QPalette) -> QColor:
    """The colour of a sentence that explains: quieter than the text, still 4.5 to 1."""
    return QColor("#b9c0c6") if is_dark(palette) else QColor("#4d555c")


PALETTE_EVENTS = (QEvent.Type.ApplicationPaletteChange, QEvent.Type.PaletteChange)
"""Either tells a widget that the system went from light to dark or back."""


class TonedLabel(QLabel):
    """A wrapping label whose colour comes from the system's palette, light or dark, by ``tone``."""

    def __init__(self, tone: Callable[[QPalette], QColor], text: str = "") -> None:
        super().__init__(text)
        self._tone = tone
        self.setWordWrap(True)
        self._apply()

    def _apply(self) -> None:
        wanted = self._tone(QGuiApplication.palette())
        if self.palette().color(QPalette.ColorRole.WindowText) != wanted:
            palette = QPalette()
            palette.setColor(QPalette.ColorRole.WindowText, wanted)
            self.setPalette(palette)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in PALETTE_EVENTS:
            self._apply()


def enlarged(widget: QWidget, factor: float, bold: bool = False) -> None:
    """Set the type of ``widget`` to ``factor`` times the system's size."""
    font = QFont(widget.font())
    font.setPointSizeF(max(6.0, font.pointSizeF() * factor))
    font.setBold(bold)
    widget.setFont(font)


def easy_to_hit(widget: QWidget) -> None:
    """Make ``widget`` at least :data:`TARGET_PX` high and wide, and reachable by Tab."""
    widget.setMinimumHeight(TARGET_PX)
    if widget.sizeHint().width() < TARGET_PX:
        widget.setMinimumWidth(TARGET_PX)
    widget.setFocusPolicy(Qt.FocusPolicy.StrongFocus)


def named(widget: QWidget, name: str, description: str = "") -> None:
    """Give ``widget`` the name (and description) that a screen reader says."""
    widget.setAccessibleName(name)
    if description:
        widget.setAccessibleDescription(description)
        widget.setToolTip(description)
