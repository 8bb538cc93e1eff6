"""Every action of the window in one table: its name, its keys, and what it does in one line.

Menus, tool buttons, tooltips, names for screen readers and the help page of keys all come from
here. The keys of the tally pad are in :mod:`counter.gui.tally_keys`: a person may choose them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenuBar, QWidget

EVERYWHERE = "everywhere"
ON_PICTURE = "on the picture"


@dataclass(frozen=True, slots=True)
class ActionRow:
    """One action.

    ``keys`` are in Qt's portable spelling. ``where`` says where the keys work: everywhere in the
    window, or only while the picture or the table of marks has the focus, so that a letter typed
    into the sample card never changes a count. ``menu`` is empty for what only has keys.
    """

    name: str
    menu: str
    title: str
    keys: tuple[str, ...]
    tip: str
    where: str = EVERYWHERE
    is_switch: bool = False


def _row(name: str, menu: str, title: str, keys: str, tip: str, where: str = EVERYWHERE,
         is_switch: bool = False) -> ActionRow:  # fmt: skip
    return ActionRow(name, menu, title, tuple(keys.split()), tip, where, is_switch)


_P = ON_PICTURE

ACTIONS: tuple[ActionRow, ...] = (
    _row("open-pictures", "Sample", "Open pictures…", "Ctrl+O",
         "Choose pictures of this sample; they are counted in the background."),
    _row("open-folder", "Sample", "Open a folder…", "Ctrl+Shift+O",
         "Count every picture of a folder; the folder is one filling of the chamber."),
    _row("stop-counting", "Sample", "Stop counting", "Ctrl+.",
         "Stop what is being counted in the background; what is counted stays."),
    _row("start-tally", "Sample", "Tally by eye", "Ctrl+T",
         "Count at the eyepiece with a key for each class."),
    _row("new-filling", "Sample", "Chamber loaded anew", "Ctrl+F",
         "What follows is another filling of the chamber; fillings are the replicates."),
    _row("ask-scale", "Sample", "Scale of the pictures…", "Ctrl+L",
         "Say how many µm a pixel is: type it, choose a lens, or measure it."),
    _row("new-sample", "Sample", "New sample", "Ctrl+N",
         "Start another sample; this one is kept as it stands."),
    _row("earlier-samples", "Sample", "Earlier samples…", "Ctrl+E",
         "Open a sample that was counted before."),
    _row("export-csv", "Sample", "Save a table (CSV)…", "Ctrl+S",
         "Write one line for each mark, for a spreadsheet."),
    _row("export-json", "Sample", "Save everything (JSON)…", "Ctrl+Shift+S",
         "Write the whole count with its limits and warnings."),
    _row("export-figure", "Sample", "Save the size histogram…", "Ctrl+Shift+H",
         "Write the histogram as PNG, SVG or PDF."),
    _row("quit", "Sample", "Close", "Ctrl+Q",
         "Close the window; everything is kept already."),
    _row("undo", "Correct", "Undo", "Ctrl+Z", "Take back the last step, also one of last week."),
    _row("redo", "Correct", "Redo", "Ctrl+Shift+Z Ctrl+Y", "Do again what was taken back."),
    _row("tool-pick", "Correct", "Pick and move", "P",
         "Press a mark to pick it; drag it to move it.", _P, True),
    _row("tool-place", "Correct", "Add", "I",
         "Press on each body that was missed.", _P, True),
    _row("tool-cut", "Correct", "Cut apart", "X",
         "Draw a line between two bodies that were found as one.", _P, True),
    _row("tool-outline", "Correct", "Draw round", "R",
         "Draw the outline anew: of the mark picked, or of a body that was missed.", _P, True),
    _row("remove", "Correct", "Remove", "Delete Backspace",
         "Remove the marks picked.", _P),
    _row("join", "Correct", "Join", "J", "Make one mark of those picked.", _P),
    _row("state-live", "Correct", "Alive", "V", "Say that the marks picked are alive.", _P),
    _row("state-dead", "Correct", "Dead", "D", "Say that the marks picked are dead.", _P),
    _row("state-fertilised", "Correct", "Fertilised", "F",
         "Say that the eggs picked are fertilised.", _P),
    _row("state-unfertilised", "Correct", "Not fertilised", "U",
         "Say that the eggs picked are not fertilised.", _P),
    _row("state-accept", "Correct", "Accept what is proposed", "Y",
         "Say of the marks picked what the machine proposes for each.", _P),
    _row("state-accept-sure", "Correct", "Accept the sure proposals of this field", "Shift+Y",
         "Accept each proposal that is at least 80 % sure; doubtful ones are left to you.", _P),
    _row("state-none", "Correct", "No state", "0", "Take back what was said of them.", _P),
    _row("reviewed", "Correct", "Looked through", "L",
         "Say that you have looked through this field, or take it back.", _P, True),
    _row("next-mark", "Correct", "Next mark", "N",
         "Go to the next mark; the doubtful ones come first.", _P),
    _row("previous-mark", "Correct", "Mark before", "B", "Go to the mark before.", _P),
    _row("pick-all", "Correct", "Pick all", "Ctrl+A", "Pick every mark of this field.", _P),
    _row("let-go", "Correct", "Let go", "Escape",
         "Drop the message, then what is half drawn, the marks picked, the tool.", _P),
    _row("zoom-in", "View", "Closer", "+ =", "Zoom in.", _P),
    _row("zoom-out", "View", "Further", "-", "Zoom out.", _P),
    _row("fit", "View", "Whole picture", "Home", "Show the whole picture.", _P),
    _row("next-field", "View", "Next field", "Ctrl+PgDown", "Show the next field."),
    _row("previous-field", "View", "Field before", "Ctrl+PgUp", "Show the field before."),
    _row("recount", "Correct", "Count this picture again", "Ctrl+R",
         "Look for bodies anew with the scale and the lengths of now; undo brings the old back."),
    _row("remove-field", "View", "Remove this field", "Ctrl+Delete",
         "Take this field out of the sample; undo brings it back."),
    _row("remove-filling", "View", "Remove this filling", "Ctrl+Shift+Delete",
         "Take every field of this filling out of the sample; undo brings them back."),
    _row("panel-stages", "View", "Stages", "Ctrl+1", "Show the count of each stage."),
    _row("panel-sizes", "View", "Sizes", "Ctrl+2", "Show the size histogram."),
    _row("panel-marks", "View", "Marks", "Ctrl+3", "Show the marks of this field as a table."),
    _row("panel-working", "View", "Working", "Ctrl+4", "Show the sum line by line."),
    _row("panel-history", "View", "History", "Ctrl+5", "Show what was done to this sample."),
    _row("sheet-compare", "Number", "Compare two counts", "Ctrl+6",
         "Whether this sample and another count show a change: survival, yield, loss, readers."),
    _row("sheet-effort", "Number", "How many more to count", "Ctrl+7",
         "What makes the limits wide, which way to narrower ones is cheaper, when to stop."),
    _row("sheet-method", "Number", "Check the way of counting", "Ctrl+8",
         "A dilution series and its proportionality, or the same slides counted twice."),
    _row("next-part", "View", "Next part of the window", "F6",
         "Go round: picture, fields, sample card, results."),
    _row("help", "Help", "Help", "F1", "How to count, correct, tally and calibrate."),
    _row("help-keys", "Help", "Keys", "Shift+F1", "Every key of the window."),
    _row("about", "Help", "About Hingeline", "", "The version, and where records are kept."),
    _row("press", "", "Press at the crosshair", "Return Enter",
         "Do at the crosshair what the pointer would do there.", _P),
    _row("close-outline", "", "Close the outline", "Shift+Return Shift+Enter",
         "Close the outline that is being drawn.", _P),
    _row("place-here", "", "Add at the crosshair", "Insert",
         "Add a mark where the crosshair is, whatever the tool.", _P),
    *(_row(f"crosshair-{way}", "", f"Crosshair {way}", way.title(),
           "Move the crosshair.", _P) for way in ("left", "right", "up", "down")),
    *(_row(f"crosshair-far-{way}", "", f"Crosshair far {way}", f"Shift+{way.title()}",
           "Move the crosshair in long steps.", _P) for way in ("left", "right", "up", "down")),
    *(_row(f"shift-{way}", "", f"Move marks {way}", f"Ctrl+{way.title()}",
           "Move the marks picked by one pixel of the screen.", _P)
      for way in ("left", "right", "up", "down")),
    *(_row(f"stage-{digit}", "", f"Stage {digit}", str(digit),
           "Give the marks picked this stage; the stage table shows its number.", _P)
      for digit in range(1, 9)),
)  # fmt: skip

PICTURE_ACTIONS = tuple(
    row.name
    for row in ACTIONS
    if row.where == ON_PICTURE and row.menu == "Correct" and row.name != "let-go"
)
"""What can only be done while a picture is shown."""

MENUS = ("Sample", "Correct", "Number", "View", "Help")


def build_actions(
    owner: QWidget,
    picture_widgets: Sequence[QWidget],
    handlers: Mapping[str, Callable[[], object]],
) -> dict[str, QAction]:
    """Return a QAction for each row, on ``owner``; each calls its handler of the same name.

    Keys that only work on the picture are tied to ``picture_widgets``. Raises KeyError for a row
    without a handler.
    """
    actions: dict[str, QAction] = {}
    for row in ACTIONS:
        action = QAction(row.title, owner)
        action.setObjectName(row.name)
        action.setShortcuts([QKeySequence(key) for key in row.keys])
        action.setCheckable(row.is_switch)
        keys = key_words(row.keys)
        action.setToolTip(f"{row.tip} ({keys})" if keys else row.tip)
        action.setStatusTip(row.tip)
        handler = handlers[row.name]
        action.triggered.connect(lambda _checked=False, run=handler: run())
        if row.where == ON_PICTURE:
            action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            for widget in picture_widgets:
                widget.addAction(action)
        else:
            owner.addAction(action)
        actions[row.name] = action
    return actions


def fill_menus(bar: QMenuBar, actions: Mapping[str, QAction]) -> None:
    """Put the actions into menus, in the order of the table."""
    for title in MENUS:
        menu = bar.addMenu(f"&{title}")
        menu.setToolTipsVisible(True)
        for row in ACTIONS:
            if row.menu == title:
                menu.addAction(actions[row.name])


def key_words(keys: Sequence[str]) -> str:
    """Return keys as this machine spells them: ``Ctrl+Shift+Z or Ctrl+Y``."""
    native = QKeySequence.SequenceFormat.NativeText
    return " or ".join(QKeySequence(key).toString(native) for key in keys)


def keys_page() -> str:
    """Return the help page of all keys, in Markdown."""
    lines = ["# Keys", "", "Letters work while the picture or the table of marks has the focus."]
    for menu in (*MENUS, ""):
        lines += ["", f"## {menu or 'The crosshair and the stages'}", ""]
        lines += ["| Key | Does | In words |", "| --- | --- | --- |"]
        for row in ACTIONS:
            if row.menu == menu and row.keys:
                lines.append(f"| {key_words(row.keys)} | {row.title} | {row.tip} |")
    return "\n".join(lines) + "\n"
