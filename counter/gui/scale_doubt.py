"""A strip above the picture where the chamber's rulings contradict the scale in use."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QWidget

from counter.domain.field import PictureField
from counter.domain.picture_doubts import scale_of_rulings
from counter.domain.scale_checks import rulings_doubt
from counter.gui.bench import Bench
from counter.gui.counting_queue import CountingQueue
from counter.gui.style import TonedLabel, easy_to_hit, named, problem_colour


class ScaleDoubt(QFrame):
    """Says what the rulings say, and takes their scale in one press; nothing waits for it.

    Put away, it stays away from that picture as long as the doubt is the same.
    """

    scale_wanted = Signal()
    """Another lens, or another scale, is to be chosen."""

    def __init__(self, bench: Bench, queue: CountingQueue, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench, self._queue = bench, queue
        self._put_away: set[tuple[int, int, str]] = set()
        self.words = TonedLabel(problem_colour)
        named(self.words, "What the rulings say of the scale")
        self.take = QPushButton()
        self.other = QPushButton("Another lens…")
        self.leave = QPushButton("Leave it")
        named(self.take, "Take the scale of the rulings")
        named(self.other, "Choose another lens or scale")
        named(self.leave, "Leave the scale as it is")
        layout = QHBoxLayout(self)
        layout.setContentsMargins(12, 4, 8, 4)
        layout.addWidget(self.words, 1)
        for button in (self.take, self.other, self.leave):
            easy_to_hit(button)
            layout.addWidget(button)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        named(self, "The rulings contradict the scale")
        self.take.clicked.connect(self._take)
        self.other.clicked.connect(self.scale_wanted)
        self.leave.clicked.connect(self._leave)
        bench.sample_changed.connect(self.refresh)
        bench.field_shown.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the doubt of the picture that is shown; hide where there is none."""
        picture = self._bench.picture
        sentence = self._doubt(picture)
        if picture is None or not sentence or self._key(picture, sentence) in self._put_away:
            self.hide()
            return
        scale = scale_of_rulings(self._bench.sample, picture)
        assert scale is not None
        self.words.setText(f"⚠ {sentence}")
        self.take.setText(f"Take {scale.um_per_px:.3g} from the rulings")
        self.show()

    def _doubt(self, picture: PictureField | None) -> str:
        if picture is None:
            return ""
        sample, shown = self._bench.sample, picture.picture
        return rulings_doubt(shown.grid, sample.chamber.ruling_um, shown.scale, sample.lens)

    def _key(self, picture: PictureField, sentence: str) -> tuple[int, int, str]:
        return self._bench.session.sample_id, picture.field_id, sentence

    def _leave(self) -> None:
        picture = self._bench.picture
        if picture is not None:
            self._put_away.add(self._key(picture, self._doubt(picture)))
        self.refresh()

    def _take(self) -> None:
        """Give each doubted picture the scale of its own rulings and count it again.

        One that a person has corrected keeps its marks: they are measured anew.
        """
        kept = 0
        for field in list(self._bench.sample.picture_fields()):
            scale = scale_of_rulings(self._bench.sample, field)
            if scale is None or not self._doubt(field):
                continue
            set_scale = partial(self._bench.session.set_scale, field.field_id, scale)
            if not self._bench.attempt(set_scale):
                return
            if field.is_corrected or field.reviewed:
                kept += 1
            else:
                self._count_again(field.field_id)
        words = "Taken from the rulings; the pictures are counted again. Ctrl+Z takes it back."
        if kept:
            words = (
                "Taken from the rulings. Pictures that you corrected keep their marks, measured "
                "anew; Ctrl+R counts the one that is shown again."
            )
        self._bench.tell(words)

    def _count_again(self, field_id: int) -> None:
        for field in self._bench.sample.picture_fields():
            if field.field_id == field_id:
                self._queue.recount(field)
