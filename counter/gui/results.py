"""The right side: the total, always in sight, and beneath it one of the panels."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QTabWidget, QVBoxLayout, QWidget

from counter.gui.bench import Bench
from counter.gui.jobs import Jobs
from counter.gui.lines_panel import HistoryPanel, WorkingPanel
from counter.gui.marks_panel import MarksPanel
from counter.gui.sizes_panel import SizesPanel
from counter.gui.stages_panel import StagesPanel
from counter.gui.style import named
from counter.gui.total_panel import TotalPanel


class Tabs(QTabWidget):
    """Panels of which each can be lower than its words would like: they scroll.

    Otherwise the words beneath the stages would push the panel over the total.
    """

    def hasHeightForWidth(self) -> bool:
        return False


class Results(QWidget):
    """What the count says, and from what."""

    def __init__(self, bench: Bench, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.total = TotalPanel(bench)
        self.stages = StagesPanel(bench)
        self.sizes = SizesPanel(bench, jobs)
        self.marks = MarksPanel(bench)
        self.working = WorkingPanel(bench)
        self.history = HistoryPanel(bench)
        self.panels: dict[str, QWidget] = {
            "stages": self.stages,
            "sizes": self.sizes,
            "marks": self.marks,
            "working": self.working,
            "history": self.history,
        }
        self.tabs = Tabs()
        self.tabs.setUsesScrollButtons(False)
        named(self.tabs, "Results")
        for name, panel in self.panels.items():
            self.tabs.addTab(panel, name.capitalize())
        self.tabs.tabBar().setFocusPolicy(Qt.FocusPolicy.TabFocus)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(4, 4, 4, 4)
        layout.addWidget(self.total)
        layout.addWidget(self.tabs, 1)

    def show_panel(self, name: str) -> None:
        """Show this panel and give it the keyboard."""
        self.tabs.setCurrentWidget(self.panels[name])
        self.current_table().setFocus(Qt.FocusReason.ShortcutFocusReason)

    def current_table(self) -> QWidget:
        """Return the table, list or text of the panel that is shown."""
        names = {
            self.stages: self.stages.table,
            self.sizes: self.sizes.picture,
            self.marks: self.marks.table,
            self.working: self.working.text,
            self.history: self.history.list,
        }
        return names[self.tabs.currentWidget()]
