"""Pictures that wait to be counted outlive the window."""

from __future__ import annotations

from PySide6.QtCore import QObject

from counter.gui.bench import Bench
from counter.gui.counting_queue import CountingQueue
from counter.gui.settings_file import Habits


class WaitingFiles(QObject):
    """Remembers the files that wait, and takes up those of a sample when it is opened."""

    def __init__(self, bench: Bench, queue: CountingQueue, habits: Habits, parent: QObject) -> None:
        super().__init__(parent)
        self._bench, self._queue, self._habits = bench, queue, habits
        for signal in (queue.idle, queue.scale_wanted, queue.begun):
            signal.connect(self._keep)
        bench.sample_opened.connect(self.take_up)

    def _keep(self) -> None:
        waiting = self._queue.waiting_files()
        if waiting != self._habits.waiting:
            self._habits.waiting = waiting

    def take_up(self) -> None:
        """Count the files of the open sample that still waited when the window was last closed."""
        files = self._habits.waiting.get(str(self._bench.session.sample_id), [])
        if files:
            self._queue.add(files, again=True)
