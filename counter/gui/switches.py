"""Which actions can be done now, and which switches are on."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction

from counter.gui.actions import ACTIONS, PICTURE_ACTIONS, key_words
from counter.gui.bench import Bench
from counter.gui.canvas_tools import Tool
from counter.gui.counting_queue import CountingQueue
from counter.gui.viewer import Viewer

ROW_OF = {row.name: row for row in ACTIONS}
_MOST_IN_MENU = 60


class Switches(QObject):
    """Follows the sample, the field, the queue and the tool in hand."""

    def __init__(
        self,
        actions: Mapping[str, QAction],
        bench: Bench,
        queue: CountingQueue,
        viewer: Viewer,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._actions, self._bench, self._queue = actions, bench, queue
        for signal in (bench.sample_changed, bench.picked_changed, bench.field_shown, queue.idle):
            signal.connect(self.refresh)
        queue.advanced.connect(lambda *_: self.refresh())
        viewer.tool_changed.connect(self._show_tool)
        self._show_tool(Tool.PICK)
        self.refresh()

    def refresh(self) -> None:
        """Show them as they stand."""
        session, actions, picture = self._bench.session, self._actions, self._bench.picture
        self._say("undo", session.undo_description)
        self._say("redo", session.redo_description)
        actions["reviewed"].setChecked(picture is not None and picture.reviewed)
        actions["stop-counting"].setEnabled(self._queue.is_busy)
        for name in PICTURE_ACTIONS:
            actions[name].setEnabled(picture is not None)

    def _say(self, name: str, what: str | None) -> None:
        """Let the menu and the tip say what would be taken back or done again, if anything."""
        action, row = self._actions[name], ROW_OF[name]
        action.setEnabled(what is not None)
        action.setText(row.title if what is None else f"{row.title}: {_short(what)}")
        action.setIconText(row.title)
        tip = row.tip if what is None else f"{row.title}: {what}."
        action.setToolTip(f"{tip} ({key_words(row.keys)})")

    def _show_tool(self, tool: Tool) -> None:
        for other in Tool:
            action = self._actions.get(f"tool-{other.value}")
            if action is not None:
                action.setChecked(other is tool)


def _short(words: str) -> str:
    """Return words that fit into a menu, in which & would mark a key."""
    fitting = words if len(words) <= _MOST_IN_MENU else f"{words[: _MOST_IN_MENU - 1]}…"
    return fitting.replace("&", "&&")
