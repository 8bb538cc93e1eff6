"""Which actions can be done now, and which switches are on."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction

from counter.gui.actions import PICTURE_ACTIONS
from counter.gui.bench import Bench
from counter.gui.canvas_tools import Tool
from counter.gui.counting_queue import CountingQueue
from counter.gui.viewer import Viewer


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
        actions["undo"].setEnabled(session.can_undo)
        actions["redo"].setEnabled(session.can_redo)
        actions["reviewed"].setChecked(picture is not None and picture.reviewed)
        actions["stop-counting"].setEnabled(self._queue.is_busy)
        for name in PICTURE_ACTIONS:
            actions[name].setEnabled(picture is not None)

    def _show_tool(self, tool: Tool) -> None:
        for other in Tool:
            action = self._actions.get(f"tool-{other.value}")
            if action is not None:
                action.setChecked(other is tool)
