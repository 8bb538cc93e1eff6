"""The sheet of two counts: the open sample beside another one, or beside counts typed here.

Two shares (fertilised, live, eyed) can be typed as well; of these the open sample is none.
"""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from counter.domain.logbook import SampleEntry
from counter.gui.bench import Bench
from counter.gui.compare_model import (
    QUESTIONS,
    TYPE_COUNTS,
    TYPED_NAME,
    Other,
    Typed,
    compared,
    paper_compared,
    shares_compared,
)
from counter.gui.entries import ChoiceEntry, LineEntry
from counter.gui.samples import SampleChooser, entry_words, tank_names
from counter.gui.settings_file import Draft, Habits
from counter.gui.sheet import Sheet
from counter.session.other import sample_of
from counter.statistics.comparison_words import Question
from counter.statistics.vessels import Vessel

_BEFORE, _AFTER = "before", "after"
_TYPED, _SHARES, _PAPER, _CHOOSE = "typed", "shares", "paper", "choose"
_TYPED_NAMES = ("counts", "each", "dilution", "vessel")
_SHARE_NAMES = ("first share", "second share")
_PAPER_NAME = "total on paper"
_MOST_OF_TANK = 8


class CompareSheet(Sheet):
    """Proposes the tank's last sample; any other one, or typed counts, may stand in its place."""

    def __init__(self, bench: Bench, habits: Habits) -> None:
        super().__init__(
            bench, habits, "compare", "Compare two counts",
            "Do two counts show a change, or only chance? The open sample is one of them, "
            "unless two shares (fertilised, live, eyed) are typed.",
        )  # fmt: skip
        self.chooser: SampleChooser | None = None
        self._entries: dict[str, SampleEntry] = {}
        self._chosen: SampleEntry | None = None
        self._proposed_for = -1
        self._against = ""
        self._make_fields()
        self._lay_out()
        self.setFocusProxy(self.against.box)
        self._take_draft()
        self.follow(self.question, self.order, *self.typed_lines, *self.share_lines, self.paper)
        self.against.box.activated.connect(self._on_against)

    def _make_fields(self) -> None:
        self.against = ChoiceEntry("Compared with", "A sample of the records, or typed counts.")
        self.question = ChoiceEntry(
            "What is asked", "What the second count is to the first.",
            [(question.value, words) for question, words in QUESTIONS.items()],
        )  # fmt: skip
        self.order = ChoiceEntry(
            "The other one was counted", "Which of the two is the first.",
            [(_BEFORE, "before this sample"), (_AFTER, "after this sample")],
        )  # fmt: skip
        self.counts = LineEntry("Other counts", "112,98,x", "One for each filling; x is lost.")
        self.each = LineEntry("Volume of each, mL or µL", "0.25 mL", "With its unit.")
        self.water = LineEntry("Other dilution, sample + water", "1+0", "Empty: undiluted.")
        self.vessel = LineEntry(
            "Other vessel, L or mL", "not known", "With its unit; empty: densities are compared."
        )
        self.typed_lines = (self.counts, self.each, self.water, self.vessel)
        self.share_lines = (
            LineEntry("First share, how many of how many", "56/70", "Like 56/70."),
            LineEntry("Second share, how many of how many", "48/80", "Like 48/80."),
        )

        self.paper = LineEntry("Total on paper", "317 000", "As it was worked out by hand.")

    def _lay_out(self) -> None:
        places: list[tuple[QWidget, int, int, int]] = [
            (self.against, 0, 0, 2),
            (self.counts, 1, 0, 1),
            (self.each, 1, 1, 1),
            (self.water, 2, 0, 1),
            (self.vessel, 2, 1, 1),
            (self.question, 3, 0, 1),
            (self.order, 3, 1, 1),
            (self.share_lines[0], 4, 0, 1),
            (self.share_lines[1], 4, 1, 1),
            (self.paper, 5, 0, 1),
        ]
        for widget, row, column, span in places:
            self.fields.addWidget(widget, row, column, 1, span)
        self.lay_out_answer()

    # --- what is typed

    def draft(self) -> Draft:
        typed = {name: line.line.text() for name, line in self._named_lines()}
        return {"question": self.question.key, **typed}

    def _take_draft(self) -> None:
        kept = self.kept()
        for name, line in self._named_lines():
            line.line.setText(str(kept.get(name, "")))
        self.question.choose(str(kept.get("question", "")))

    def _named_lines(self) -> list[tuple[str, LineEntry]]:
        names = (*_TYPED_NAMES, *_SHARE_NAMES, _PAPER_NAME)
        lines = (*self.typed_lines, *self.share_lines, self.paper)
        return list(zip(names, lines, strict=True))

    # --- what it is compared with

    def ready(self) -> None:
        """Propose the tank's last sample when another sample was opened."""
        now = self._bench.session
        is_new = now.sample_id != self._proposed_for
        if is_new:
            self._chosen, self._proposed_for = None, now.sample_id
        self._offer()
        if is_new:
            self._propose()

    def _offer(self) -> None:
        session = self._bench.session
        tanks = tank_names(session.store)
        entries = list(session.store.earlier_samples(session.sample_id, _MOST_OF_TANK))
        if self._chosen is not None and self._chosen not in entries:
            entries.append(self._chosen)
        self._entries = {str(entry.sample_id): entry for entry in entries}
        before = self._against
        self.against.offer(
            [
                *((key, entry_words(entry, tanks)) for key, entry in self._entries.items()),
                (_TYPED, "counts typed here"),
                (_SHARES, "no sample: two shares typed here"),
                (_PAPER, "a total worked out on paper"),
                (_CHOOSE, "another sample of the records…"),
            ]
        )
        self._set_against(before if self.against.box.findData(before) >= 0 else _TYPED)

    def _propose(self) -> None:
        last = self._bench.session.last
        self._set_against(_TYPED if last is None else str(last.entry.sample_id))
        self._propose_order()

    def _set_against(self, key: str) -> None:
        self._against = key
        self.against.choose(key)
        for line in self.typed_lines:
            line.setVisible(key == _TYPED)
        for line in self.share_lines:
            line.setVisible(key == _SHARES)
        self.paper.setVisible(key == _PAPER)
        for choice in (self.question, self.order):
            choice.setVisible(key not in (_SHARES, _PAPER))

    def _propose_order(self) -> None:
        entry = self._entries.get(self._against)
        session = self._bench.session
        now = session.store.sample_entry(session.sample_id)
        later = entry is not None and entry.taken_at > now.taken_at
        self.order.choose(_AFTER if later else _BEFORE)

    def _on_against(self, _index: int) -> None:
        if self.against.key == _CHOOSE:
            self.against.choose(self._against)
            self._ask_sample()
            return
        self._set_against(self.against.key)
        self._propose_order()
        self.refresh()

    def _ask_sample(self) -> None:
        session = self._bench.session
        self.chooser = SampleChooser(
            session.store, session.sample_id, self.window(), "Compare with", "Compare with it"
        )
        self.chooser.chosen.connect(lambda sample_id: self._bench.attempt(
            lambda: self.compare_with(sample_id)
        ))  # fmt: skip
        self.chooser.open()

    def compare_with(self, sample_id: int) -> None:
        """Compare the open sample with this one of the records."""
        self._chosen = self._bench.session.store.sample_entry(sample_id)
        self._offer()
        self._set_against(str(sample_id))
        self._propose_order()
        self.refresh()

    # --- the answer

    def answer(self) -> tuple[str, ...]:
        is_first = self.order.key == _BEFORE
        session = self._bench.session
        if self._against == _SHARES:
            first, second = (line.text for line in self.share_lines)
            return shares_compared(first, second, session.sample.confidence)
        if self._against == _PAPER:
            return paper_compared(session.sample, session.estimate, self.paper.text)
        if self._against == _TYPED:
            typed = Typed(*(line.text for line in self.typed_lines))
            if not typed.is_begun:
                return (TYPE_COUNTS,)
            other = Other(TYPED_NAME, typed.read(), is_first)
        else:
            entry = self._entries[self._against]
            sample = sample_of(session.store, entry.sample_id)
            other = Other(entry.name, Vessel.of(sample), is_first, sample)
        return compared(session.sample, other, Question(self.question.key))
