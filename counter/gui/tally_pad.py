"""The tally pad: one key for each class, squares, the running sum; made for eyes at the eyepiece.

The keys work wherever the pad has the focus. A key that is held down counts once.
"""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from counter.domain.tally_field import TallyField
from counter.gui.bench import Bench
from counter.gui.key_cap import KeyCap
from counter.gui.settings_file import Habits
from counter.gui.squares_table import SquaresTable
from counter.gui.style import TonedLabel, easy_to_hit, enlarged, named, problem_colour
from counter.gui.tally_keys import class_of_key, class_words, classes_of, keys_for, with_dead
from counter.gui.tones import Tones

_CAPS_IN_A_ROW = 5
_NEXT_KEYS = (Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter)


class TallyPad(QWidget):
    """Counts into the tally that is shown."""

    keys_wanted = Signal()

    def __init__(
        self, bench: Bench, habits: Habits, tones: Tones, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._bench, self._habits, self._tones = bench, habits, tones
        self.caps: dict[str, KeyCap] = {}
        self.headline = QLabel()
        enlarged(self.headline, 1.5, bold=True)
        named(self.headline, "Square being counted")
        self.sum = QLabel()
        enlarged(self.sum, 1.2)
        named(self.sum, "Sum of the tally")
        self._caps_box = QGridLayout()
        self._caps_box.setSpacing(8)
        self.squares = SquaresTable(bench)
        self._buttons = QHBoxLayout()
        self.undo = self._button("Undo (Backspace)", self._undo)
        self.next = self._button("Next square (Space or Enter)", self.next_square)
        self.finish = self._button("Finish (Ctrl+Enter)", self.finish_tally)
        self.keys_button = self._button("Keys…", self.keys_wanted.emit)
        self.sound = self._button("Sounds", self._switch_sounds)
        self.sound.setCheckable(True)
        self.deaf = TonedLabel(problem_colour, "⚠ The keys don't count now: press here to go on.")
        enlarged(self.deaf, 1.3, bold=True)
        named(self.deaf, "Whether the keys count")
        hint = QLabel("Shift with a letter: dead. A key held down counts once.")
        hint.setWordWrap(True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(16, 10, 16, 10)
        layout.addWidget(self.headline)
        layout.addWidget(self.sum)
        layout.addWidget(self.deaf)
        layout.addLayout(self._caps_box, 3)
        layout.addWidget(hint)
        layout.addLayout(self._buttons)
        layout.addWidget(self.squares, 2)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        named(self, "Tally pad")
        self._show_sounds()
        self.rebuild_keys()
        bench.sample_changed.connect(self.refresh)
        bench.field_shown.connect(self.refresh)
        bench.sample_opened.connect(self.rebuild_keys)

    def _button(self, words: str, run: object) -> QPushButton:
        button = QPushButton(words)
        easy_to_hit(button)
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        named(button, words)
        button.clicked.connect(run)
        self._buttons.addWidget(button)
        return button

    # --- keys

    @property
    def keys(self) -> Mapping[str, str]:
        """The key of each class."""
        return keys_for(classes_of(self._bench.sample), self._habits.tally_keys)

    def rebuild_keys(self) -> None:
        """Lay the key caps out anew: for another species, or for other keys."""
        for cap in self.caps.values():
            self._caps_box.removeWidget(cap)
            cap.deleteLater()
        self.caps = {}
        for place, (name, key) in enumerate(self.keys.items()):
            cap = KeyCap(key, str(place + 1), class_words(name))
            cap.clicked.connect(lambda _checked=False, name=name: self.count(name))
            self._caps_box.addWidget(cap, place // _CAPS_IN_A_ROW, place % _CAPS_IN_A_ROW)
            self.caps[name] = cap
        self.refresh()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.isAutoRepeat():
            event.accept()
            return
        control = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        key = event.key()
        if key in _NEXT_KEYS:
            self.finish_tally() if control else self.next_square()
        elif key == Qt.Key.Key_Backspace:
            self._undo()
        elif control or not self._count_key(event):
            super().keyPressEvent(event)

    def _count_key(self, event: QKeyEvent) -> bool:
        """Count the class of the key that was pressed; return False if it has none."""
        key = event.key()
        is_letter = Qt.Key.Key_A <= key <= Qt.Key.Key_Z
        name = class_of_key(chr(key) if is_letter else event.text(), self.keys)
        if name is None:
            return False
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        self.count(name, dead=shift and is_letter)
        return True

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._show_deaf()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._show_deaf()

    def _show_deaf(self) -> None:
        """Say loudly when the keys go elsewhere: the eyes are at the eyepiece."""
        tally = self._bench.tally
        self.deaf.setVisible(tally is not None and not tally.finished and not self.hasFocus())

    # --- what the keys do

    def count(self, name: str, dead: bool = False) -> None:
        """Count one more of a class in the open square."""
        self.setFocus()
        tally = self._bench.tally
        if tally is None or tally.finished:
            self._bench.tell_problem("This tally is finished; start another with Ctrl+T.")
            return
        wanted = with_dead(name) if dead else name
        done = self._bench.attempt(lambda: self._bench.session.tally(tally.field_id, wanted))
        if done and self._habits.sounds:
            self._tones.play(list(self.caps).index(name))

    def next_square(self) -> None:
        """Close this square, also an empty one, and begin the next."""
        tally = self._bench.tally
        if tally is not None and not tally.finished:
            self._bench.attempt(lambda: self._bench.session.square_done(tally.field_id))

    def finish_tally(self) -> None:
        """End the tally; an empty square that was just begun is left out."""
        tally = self._bench.tally
        if tally is not None and not tally.finished:
            self._bench.attempt(lambda: self._bench.session.finish_tally(tally.field_id))

    def _undo(self) -> None:
        self._bench.attempt(self._bench.session.undo)

    def _switch_sounds(self) -> None:
        self._habits.sounds = not self._habits.sounds
        self._show_sounds()

    def _show_sounds(self) -> None:
        self.sound.setEnabled(self._tones.available)
        self.sound.setChecked(self._habits.sounds and self._tones.available)
        words = "A tone for each key" if self._tones.available else "No sound device was found"
        self.sound.setToolTip(words)

    # --- what is shown

    def refresh(self) -> None:
        """Show the counts as they stand."""
        if set(self.keys) != set(self.caps):
            self.rebuild_keys()
            return
        tally = self._bench.tally
        if tally is None:
            return
        counts = tally.squares[-1].counts
        for name, cap in self.caps.items():
            dead = counts.get(with_dead(name), 0)
            cap.show_count(counts.get(name, 0) + dead, dead)
            cap.setEnabled(not tally.finished)
        self.next.setEnabled(not tally.finished)
        self.finish.setEnabled(not tally.finished)
        self.headline.setText(headline(tally))
        self.sum.setText(sum_words(tally))
        self._show_deaf()


def headline(tally: TallyField) -> str:
    """Return which square is being counted, in words."""
    if tally.finished:
        return f"Tally finished: {len(tally.counted_squares)} × {tally.square_name}"
    here = sum(tally.squares[-1].counts.values())
    return f"Square {len(tally.squares)} ({tally.square_name}): {here}"


def sum_words(tally: TallyField) -> str:
    """Return the sum of the squares that are done, and of all, in words."""
    done = sum(sum(square.counts.values()) for square in tally.counted_squares)
    number = len(tally.counted_squares)
    squares = "square" if number == 1 else "squares"
    words = f"{done} in {number} {squares} done"
    if tally.finished:
        words += "  ·  Ctrl+T starts the next tally"
    else:
        words += f"  ·  {done + sum(tally.squares[-1].counts.values())} with this one"
    return words
