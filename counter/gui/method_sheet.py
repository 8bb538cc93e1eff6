"""The sheet of the way of counting: a dilution series, or the same slides counted twice."""

from __future__ import annotations

from PySide6.QtWidgets import QStackedWidget

from counter.domain.units import parse_counts
from counter.errors import UsageError
from counter.gui.bench import Bench
from counter.gui.entries import ChoiceEntry
from counter.gui.method_table import MethodTable, Rows
from counter.gui.settings_file import Draft, Habits
from counter.gui.sheet import Sheet
from counter.statistics.method_entry import pairs_of, series_of
from counter.statistics.method_words import proportionality_words, repeatability_words
from counter.statistics.method_working import proportionality_working, repeatability_working
from counter.statistics.working import THE_WORKING

SERIES, TWICE = "series", "twice"
_HEADS = {
    SERIES: ("Fraction, 0 to 1", "Counts: 11,9,x"),
    TWICE: ("First count", "Second count"),
}
_NAMES = {SERIES: "Dilution series", TWICE: "Slides counted twice"}
_HINTS = {
    SERIES: "Type each fraction of sample (0.1 for 1+9) with its counts; a lost count is x.",
    TWICE: "Type both counts of each slide, a row for each; a lost count is x.",
}
_LEAST_TABLE_PX = 150


def series_words(rows: Rows, confidence: float) -> tuple[str, ...]:
    """Return what a dilution series says, and the way there.

    UsageError, naming the column, for what is none.
    """
    filled = [row for row in rows if any(row)]
    if any(not all(row) for row in filled):
        raise UsageError(
            "A row lacks its fraction of sample or its counts; fill both, or empty it."
        )
    parts, counts = zip(*filled, strict=True)
    fields = ("fraction of sample", "counts")
    found = series_of(parts, counts, confidence, fields)
    return (*proportionality_words(found), "", THE_WORKING, *proportionality_working(found))


def pairs_words(rows: Rows, confidence: float) -> tuple[str, ...]:
    """Return what slides counted twice say, and the way there; an empty cell is a lost count."""
    filled = [row for row in rows if any(row)]
    first, second = (
        [_one(row[column], name) for row in filled]
        for column, name in ((0, "first count"), (1, "second count"))
    )
    found = pairs_of(first, second, confidence)
    return (*repeatability_words(found), "", THE_WORKING, *repeatability_working(found))


def _one(text: str, field: str) -> int | None:
    found = parse_counts(text or "x", field)
    if len(found) != 1:
        raise UsageError(f"The {field} “{text}” is more than one number; give each slide a row.")
    return found[0]


class MethodSheet(Sheet):
    """Two tables to type into, one for each kind of check; both are kept."""

    def __init__(self, bench: Bench, habits: Habits) -> None:
        super().__init__(
            bench, habits, "method", "Is the way of counting sound?",
            "Once a season, and with every new person, lens or chamber. Two readers count the same "
            "slides; what each counted stands in a column.",
        )  # fmt: skip
        self.kind = ChoiceEntry(
            "What was done", "A series of known dilutions, or slides counted twice.",
            [
                (SERIES, "a dilution series of one sample"),
                (TWICE, "the same slides twice: one person, or two readers"),
            ],
        )  # fmt: skip
        self.tables = {kind: MethodTable(_NAMES[kind], _HEADS[kind]) for kind in (SERIES, TWICE)}
        self.stack = QStackedWidget()
        self.stack.setMinimumHeight(_LEAST_TABLE_PX)
        for table in self.tables.values():
            self.stack.addWidget(table)
        self.fields.addWidget(self.kind, 0, 0)
        self.column.addWidget(self.stack, 2)
        self._emptied: dict[str, Rows] = {}
        self.empty = self.button("Empty the table", self._empty)
        self.lay_out_answer(self.empty)
        self.setFocusProxy(self.kind.box)
        self._take_draft()
        self.follow(self.kind)
        self.kind.box.currentIndexChanged.connect(lambda _index: self._show_kind())
        for table in self.tables.values():
            table.typed.connect(self._on_typed)
        self._show_kind()

    @property
    def table(self) -> MethodTable:
        """The table that is shown."""
        return self.tables[self.kind.key]

    # --- what is typed

    def draft(self) -> Draft:
        rows = {kind: [list(row) for row in table.rows()] for kind, table in self.tables.items()}
        return {"kind": self.kind.key, **rows}

    def _take_draft(self) -> None:
        kept = self.kept()
        self.kind.choose(str(kept.get("kind", "")))
        for kind, table in self.tables.items():
            rows = kept.get(kind)
            if isinstance(rows, list):
                table.set_rows(rows)

    def _on_typed(self) -> None:
        if self.table.rows():
            self._emptied.pop(self.kind.key, None)
        self._show_empty()
        self._soon.start()

    def _empty(self) -> None:
        """Empty the table that is shown, or bring back what was emptied last."""
        kind = self.kind.key
        before = self._emptied.pop(kind, None)
        if before is None:
            self._emptied[kind] = self.table.rows()
        self.table.set_rows(before or [])
        self.refresh()

    def _show_kind(self) -> None:
        self.stack.setCurrentWidget(self.table)
        self._show_empty()

    def _show_empty(self) -> None:
        is_back = self.kind.key in self._emptied
        words = "Bring the table back" if is_back else "Empty the table"
        self.empty.setText(words)
        self.empty.setAccessibleName(words)
        self.empty.setEnabled(is_back or bool(self.table.rows()))

    # --- the answer

    def answer(self) -> tuple[str, ...]:
        kind, rows = self.kind.key, self.table.rows()
        if not rows:
            return (_HINTS[kind],)
        confidence = self._bench.sample.confidence
        return series_words(rows, confidence) if kind == SERIES else pairs_words(rows, confidence)

    def copied(self) -> tuple[str, ...]:
        heads = _HEADS[self.kind.key]
        typed = ("\t".join(heads), *("\t".join(row) for row in self.table.rows()))
        return (*super().copied(), "", *typed)
