"""The sheet of effort: what makes the limits wide, how many more to count, when to stop."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem

from counter.gui.bench import Bench
from counter.gui.entries import LineEntry
from counter.gui.settings_file import Draft, Habits
from counter.gui.sheet import Sheet
from counter.gui.style import TARGET_PX, named
from counter.statistics.budget_words import HEADS, budget_cells, budget_words, part_lines
from counter.statistics.effort_entry import both_minutes, parse_precision
from counter.statistics.effort_table import table_lines
from counter.statistics.plan import looked_through, plan, plan_working
from counter.statistics.stop_rule import counted_fillings, stop_words
from counter.statistics.working import THE_WORKING

_USUAL = "10 %"
_FRAME_PX = 4


class BudgetTable(QTableWidget):
    """The parts of the uncertainty, the one that matters most at the top."""

    def __init__(self) -> None:
        super().__init__(0, len(HEADS))
        self.setHorizontalHeaderLabels([head.replace(" ", "\n", 1) for head in HEADS])
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(TARGET_PX)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        named(self, "What makes the limits wide", "The parts, the one that matters most first.")

    def show_rows(self, rows: tuple[tuple[str, ...], ...]) -> None:
        """Show these rows, as high as they need; nothing is shown for none."""
        self.setRowCount(len(rows))
        for row, cells in enumerate(rows):
            for column, word in enumerate(cells):
                item = QTableWidgetItem(word[:1].upper() + word[1:])
                if column:
                    item.setTextAlignment(Qt.AlignmentFlag.AlignCenter)
                self.setItem(row, column, item)
        self.setVisible(bool(rows))
        head = max(TARGET_PX, self.horizontalHeader().sizeHint().height())
        self.horizontalHeader().setFixedHeight(head)
        self.setFixedHeight(head + len(rows) * TARGET_PX + _FRAME_PX)


class EffortSheet(Sheet):
    """Plans the counting that is still to be done, in minutes where these are typed."""

    def __init__(self, bench: Bench, habits: Habits) -> None:
        super().__init__(
            bench, habits, "effort", "How many more to count",
            "What makes the limits as wide as they are, and which way to narrower ones is cheaper.",
        )  # fmt: skip
        self.aim = LineEntry("How narrow the limits shall be, ± %", _USUAL, "1 to 100 %.")
        self.per_filling = LineEntry(
            "Minutes for a filling", "not known", "To load it, let it settle and clean it."
        )
        self.per_square = LineEntry(
            "Minutes for a picture or square", "not known", "To count one of them."
        )
        self.table = BudgetTable()
        for column, line in enumerate((self.aim, self.per_filling, self.per_square)):
            self.fields.addWidget(line, 0, column)
        self.column.addWidget(self.table)
        self.rule = self.button("State the stop rule", self._state_rule)
        self.lay_out_answer(self.rule)
        self._rule: int | None = None
        self.setFocusProxy(self.aim.line)
        self._named = (
            ("aim", self.aim), ("filling", self.per_filling), ("square", self.per_square)
        )  # fmt: skip
        kept = self.kept()
        for name, line in self._named:
            line.line.setText(str(kept.get(name, "")))
        self.follow(self.aim, self.per_filling, self.per_square)

    def draft(self) -> Draft:
        return {name: line.line.text() for name, line in self._named}

    def answer(self) -> tuple[str, ...]:
        session = self._bench.session
        self.table.show_rows(budget_cells(session.estimate))
        _, unit = looked_through(session.sample)
        minutes = both_minutes(
            self.per_filling.text or None,
            self.per_square.text or None,
            "minutes for a filling",
            f"minutes for a {unit}",
        )
        precision = parse_precision(self.aim.text or _USUAL, "width")
        found, words = plan(session.sample, session.estimate, precision, minutes)
        more = None if found is None else found.more_fillings
        self._show_rule(more)
        head, rest = words[:2], words[2:]
        stated = filter(None, [stop_words(session.sample)])
        steps = plan_working(session.sample, session.estimate, precision, minutes)
        working = ("", THE_WORKING, *steps) if steps else ()
        table = ("", *table_lines(session.sample.confidence))
        budget = budget_words(session.estimate)
        return (" ".join(head), *stated, *rest, *budget, *working, *table)

    def _show_rule(self, more: int | None) -> None:
        """Offer the plan as a stop rule, or to take back the one that stands."""
        sample = self._bench.sample
        self._rule = counted_fillings(sample) + more if more else None
        stands = sample.stop_after is not None
        words = f"State the stop rule: {self._rule} fillings in all"
        self.rule.setText("Take the stop rule back" if stands else words)
        self.rule.setAccessibleName(self.rule.text())
        self.rule.setVisible(stands or self._rule is not None)

    def _state_rule(self) -> None:
        wanted = self._rule if self._bench.sample.stop_after is None else None
        self._bench.attempt(lambda: self._bench.session.set_stop_after(wanted))
        self.refresh()

    def copied(self) -> tuple[str, ...]:
        return (*super().copied(), *part_lines(self._bench.session.estimate))
