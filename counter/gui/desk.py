"""What is done to samples as a whole: opening, beginning, undoing, writing to files."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from counter.domain.field import PictureField
from counter.domain.lookup import filling_of_field
from counter.gui import dialogs
from counter.gui.bench import Bench
from counter.gui.counting_queue import CountingQueue
from counter.gui.samples import SampleChooser
from counter.records.store import Store
from counter.session import Session


class Desk(QObject):
    """Opens pictures and samples, and writes results where the person wants them."""

    def __init__(self, bench: Bench, store: Store, queue: CountingQueue, window: QWidget) -> None:
        super().__init__(window)
        self._bench, self._store, self._queue, self._window = bench, store, queue, window
        self.chooser: SampleChooser | None = None

    # --- pictures

    def open_pictures(self) -> None:
        """Ask for pictures and count them."""
        self.open_paths(dialogs.ask_pictures(self._window))

    def open_folder(self) -> None:
        """Ask for a folder and count what is in it."""
        folder = dialogs.ask_folder(self._window)
        self.open_paths([folder] if folder else [])

    def open_paths(self, paths: Sequence[str]) -> None:
        """Count these files and folders into the open sample."""
        if paths:
            self._queue.add(list(paths))

    def new_filling(self) -> None:
        """Begin another filling of the chamber."""

        def begin() -> None:
            fillings = self._bench.sample.fillings
            if fillings and not fillings[-1].fields:
                self._bench.tell(f"Filling {len(fillings)} is still empty; it is used next.")
                return
            self._bench.session.add_filling()
            self._bench.tell(
                f"Filling {len(self._bench.sample.fillings)} begins; what follows belongs to it."
            )

        self._bench.attempt(begin)

    def recount(self) -> None:
        """Count the picture that is shown again, with the settings of now."""
        field = self._bench.picture
        if field is None:
            self._bench.tell("No picture is shown.")
        else:
            self._queue.recount(field)

    def remove_field(self) -> None:
        """Take the field that is shown out of the sample."""
        field = self._bench.field
        if field is None:
            self._bench.tell("No field is shown.")
            return
        name = field.picture.name if isinstance(field, PictureField) else "The tally"
        if self._bench.attempt(lambda: self._bench.session.remove_field(field.field_id)):
            self._bench.tell(f"{name} is out of the sample; Ctrl+Z brings it back.")

    def remove_filling(self) -> None:
        """Take the filling of the field that is shown out of the sample, with all its fields."""
        field, sample = self._bench.field, self._bench.sample
        if field is None:
            self._bench.tell("No field is shown.")
            return
        filling = filling_of_field(sample, field.field_id)
        number, fields = sample.fillings.index(filling) + 1, len(filling.fields)
        if self._bench.attempt(lambda: self._bench.session.remove_filling(filling.filling_id)):
            held = "its field" if fields == 1 else f"its {fields} fields"
            self._bench.tell(
                f"Filling {number} with {held} is out of the sample; Ctrl+Z brings it back."
            )

    # --- steps back and forth

    def undo(self) -> None:
        """Take the last step back and say which."""
        self._step(back=True)

    def redo(self) -> None:
        """Do again what was taken back and say what."""
        self._step(back=False)

    def _step(self, back: bool) -> None:
        def run() -> None:
            session = self._bench.session
            what = session.undo() if back else session.redo()
            if what is None:
                self._bench.tell("There is nothing to take back." if back else "Nothing to redo.")
            else:
                self._bench.tell(f"Taken back: {what}." if back else f"Done again: {what}.")

        self._bench.attempt(run)

    # --- samples

    def new_sample(self) -> None:
        """Begin another sample, counted the same way; vessel and dilution are asked anew."""
        now = self._bench.sample

        def begin() -> None:
            session = Session.start(
                self._store,
                target=now.target,
                chamber=now.chamber,
                edges=now.edges,
                confidence=now.confidence,
                lens=now.lens,
            )
            self._bench.open(session)
            self._bench.tell(f"A new sample, {session.sample.name}. The one before is kept.")

        self._bench.attempt(begin)

    def earlier_samples(self) -> None:
        """Show the list of samples."""

        def show() -> None:
            current = self._bench.session.sample_id
            self.chooser = SampleChooser(self._store, current, self._window)
            self.chooser.chosen.connect(self.open_sample)
            self.chooser.open()

        self._bench.attempt(show)

    def open_sample(self, sample_id: int) -> None:
        """Go over to another sample."""
        if sample_id != self._bench.session.sample_id:
            self._bench.attempt(lambda: self._bench.open(Session(self._store, sample_id)))
