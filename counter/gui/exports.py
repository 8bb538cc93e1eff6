"""Writing the count to files, in the same words and numbers as the command line."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from counter.domain.sample import Sample
from counter.errors import CounterError
from counter.exporting.document import count_document
from counter.exporting.tables import write_csv
from counter.exporting.write import write_json
from counter.gui import dialogs
from counter.gui.bench import Bench
from counter.gui.counting_queue import CountingQueue
from counter.gui.jobs import Jobs

_FIGURES = "PNG (*.png);;SVG (*.svg);;PDF (*.pdf)"


def file_name(sample_name: str, suffix: str) -> str:
    """Return a file name that every system takes, from the name of a sample."""
    plain = re.sub(r"[^\w.\- ]+", "-", sample_name).strip(" .-")
    return f"{plain or 'count'}{suffix}"


class Exports(QObject):
    """Asks where to write and has it written in the background."""

    def __init__(self, bench: Bench, jobs: Jobs, queue: CountingQueue, window: QWidget) -> None:
        super().__init__(window)
        self._bench, self._jobs, self._queue, self._window = bench, jobs, queue, window

    def csv(self) -> None:
        """Write one line for each mark."""
        sample = self._bench.sample
        file = self._ask("Save a table for a spreadsheet", ".csv", "CSV (*.csv)")
        if file is not None:
            self._write(file, lambda: write_csv(str(file), sample))

    def json(self) -> None:
        """Write the whole count, with what could not be counted."""
        sample = self._bench.sample
        failed = self._queue.failed(self._bench.session)
        file = self._ask("Save everything", ".json", "JSON (*.json)")
        if file is not None:
            self._write(file, lambda: write_json(str(file), count_document(sample, failed)))

    def figure(self) -> None:
        """Write the size histogram."""
        sample = self._bench.sample
        file = self._ask("Save the size histogram", ".png", _FIGURES)
        if file is not None:
            self._write(file, lambda: _save_figure(sample, file))

    def _ask(self, title: str, suffix: str, kinds: str) -> Path | None:
        """Ask where to write; a name without an ending gets the usual one."""
        suggested = file_name(self._bench.sample.name, suffix)
        file = dialogs.ask_where(self._window, title, suggested, kinds)
        if file is None:
            return None
        return file if file.suffix else file.with_suffix(suffix)

    def _write(self, file: Path, write: Callable[[], None]) -> None:
        def failed(error: CounterError) -> None:
            self._bench.tell_problem(str(error))

        self._jobs.start(
            lambda progress: write(),  # noqa: ARG005 - one short step
            lambda _: self._bench.tell(f"Written: {file}"),
            failed,
        )


def _save_figure(sample: Sample, file: Path) -> None:
    from counter.exporting.figures import save, size_histogram  # late: matplotlib is slow to load

    save(size_histogram(sample), file)
