"""The window: the sample card, the picture or the tally pad, the strip of fields, the results."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QResizeEvent
from PySide6.QtWidgets import (
    QMainWindow,
    QWidget,
)

from counter.domain.chamber import Chamber
from counter.domain.scale import Lens
from counter.domain.species import Species
from counter.errors import CounterError
from counter.gui import dialogs
from counter.gui.actions import build_actions, fill_menus
from counter.gui.bench import Bench
from counter.gui.canvas import Canvas
from counter.gui.card import SampleCard
from counter.gui.card_entries import CardEntries
from counter.gui.corrections import Corrections
from counter.gui.counting_queue import CountingQueue
from counter.gui.desk import Desk
from counter.gui.exports import Exports
from counter.gui.guides import Guides
from counter.gui.handlers import handlers_of
from counter.gui.jobs import Jobs
from counter.gui.lay_out import shared_out, side_by_side
from counter.gui.learner import Learner
from counter.gui.learnt_row import LearntRow
from counter.gui.messages import MessageStrip
from counter.gui.pages import Pages
from counter.gui.progress_row import ProgressRow
from counter.gui.results import Results
from counter.gui.scale_doubt import ScaleDoubt
from counter.gui.scale_panel import ScalePanel
from counter.gui.settings_file import Habits
from counter.gui.sheets import sheets_of
from counter.gui.shelf import Shelf
from counter.gui.strip import FieldStrip
from counter.gui.style import TARGET_PX
from counter.gui.switches import Switches
from counter.gui.tally_keys_dialog import TallyKeysDialog
from counter.gui.tally_pad import TallyPad
from counter.gui.tally_start import TallyStart
from counter.gui.tones import Tones
from counter.gui.tool_bar import ToolBar
from counter.gui.viewer import Viewer
from counter.gui.waiting_files import WaitingFiles
from counter.records.store import Store
from counter.session import Session
from counter.session.learning import Learning

_WORD_MS = 12_000


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The chambers and species to choose from, by key: those that ship and the hatchery's own."""

    chambers: Mapping[str, Chamber]
    species: Mapping[str, Species]


class Window(QMainWindow):
    """Puts the parts together; what they do is in the parts."""

    def __init__(
        self, store: Store, session: Session, catalogue: Catalogue, habits: Habits, records: str
    ) -> None:
        super().__init__()
        self._store, self._habits = store, habits
        self.setWindowTitle("Hingeline")
        self.setAcceptDrops(True)
        self.bench = Bench(session, self)
        self.jobs = Jobs(self)
        self.shelf = Shelf(self.jobs, self)
        self.learner = Learner(self.bench, self.jobs, self.shelf, Learning(store), self)
        self.queue = CountingQueue(
            self.bench, self.jobs, self.shelf, self._lens, self.learner.rescorer_for, self
        )
        self.corrections = Corrections(self.bench, self.shelf, self)
        self.desk = Desk(self.bench, store, self.queue, self)
        self.exports = Exports(self.bench, self.jobs, self.queue, self)
        self.messages = MessageStrip(self)
        self.bench.told.connect(self._say)
        self.canvas = Canvas()
        self.viewer = Viewer(self.bench, self.shelf, self.jobs, self.canvas, self.corrections)
        self.tally_start = TallyStart(self.bench)
        self.tones = Tones()
        self.tally_pad = TallyPad(self.bench, habits, self.tones)
        self.scale_panel = ScalePanel(
            self.bench, store, self.queue, self.viewer, self.shelf, self.jobs
        )
        self.scale_doubt = ScaleDoubt(self.bench, self.queue)
        self.learnt = LearntRow(self.bench, self.learner)
        self.scale_panel.add_row(self.learnt)
        self.strip = FieldStrip(self.bench, self.shelf)
        self.pages = Pages(
            self.bench,
            self.canvas,
            self.tally_start,
            self.tally_pad,
            sheets_of(self.bench, habits),
            self.strip,
        )
        entries = CardEntries(self.bench, catalogue.chambers, catalogue.species)
        self.card = SampleCard(self.bench, entries, self._lens_names)
        self.results = Results(self.bench, self.jobs)
        self.guides = Guides(records, self)
        self.keys_dialog: TallyKeysDialog | None = None
        self.actions_by_name = build_actions(
            self, [self.canvas, self.results.marks.table], handlers_of(self)
        )
        fill_menus(self.menuBar(), self.actions_by_name)
        self.tools = ToolBar(self.actions_by_name)
        self.addToolBar(self.tools)
        self._lay_out()
        self._connect()
        self._show_name()
        self.pages.field_page.setFocus()

    # --- lay-out

    def _lay_out(self) -> None:
        splitter = side_by_side(
            self.card, (self.scale_doubt, self.scale_panel), self.pages, self.strip, self.results
        )
        self.setCentralWidget(splitter)
        self.statusBar().setMinimumHeight(TARGET_PX + 8)
        self.statusBar().setSizeGripEnabled(False)
        self.statusBar().addPermanentWidget(ProgressRow(self.queue), 1)
        geometry = self._habits.geometry
        if geometry is None or not self.restoreGeometry(geometry):
            self.resize(1366, 740)
        splitter.setSizes(shared_out(self.width()))

    def _connect(self) -> None:
        self.switches = Switches(self.actions_by_name, self.bench, self.queue, self.viewer, self)
        self.bench.sample_changed.connect(self._show_name)
        self.canvas.menu_wanted.connect(lambda at: self.viewer.menu(self.actions_by_name, at))
        self.tally_pad.keys_wanted.connect(self._ask_keys)
        self.bench.sample_opened.connect(self._forget_messages)
        self.waiting = WaitingFiles(self.bench, self.queue, self._habits, self)
        self.pages.picture_shown.connect(self.scale_panel.make_room)
        self.card.scale_wanted.connect(self.scale_panel.ask)
        self.scale_doubt.scale_wanted.connect(self.scale_panel.ask)
        self.results.total.vessel_wanted.connect(self._ask_vessel)
        self.results.stages.accept_wanted.connect(self.corrections.accept_sure)
        self.results.marks.accept_wanted.connect(self.corrections.accept)
        self.scale_panel.micrometer_wanted.connect(self._choose_micrometer)
        self.scale_panel.lenses_changed.connect(self.card.refresh)

    # --- what is shown where

    def _say(self, sentence: str, is_problem: bool) -> None:
        """A problem stays in the strip until it is put away; other words pass at the foot."""
        if is_problem:
            self.messages.say(sentence)
        else:
            self.statusBar().showMessage(sentence, _WORD_MS)

    def _forget_messages(self) -> None:
        """Put away what was said of the sample before."""
        self.messages.clear()
        self.statusBar().clearMessage()

    def _show_name(self) -> None:
        self.setWindowTitle(f"{self.bench.sample.name} – Hingeline")

    def _ask_vessel(self) -> None:
        self.card.ensureWidgetVisible(self.card.vessel)
        self.card.vessel.editor.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_panel(self, name: str) -> None:
        """Show one of the result panels and give it the keyboard."""
        self.results.show_panel(name)

    def next_part(self) -> None:
        """Give the keyboard to the next part of the window, round and round."""
        parts: Sequence[QWidget] = (
            self.pages.shown,
            self.strip,
            self.card.name.editor,
            self.results.current_table(),
        )
        focus = self.focusWidget()
        here = [p for p in parts if focus is not None and (p is focus or p.isAncestorOf(focus))]
        if not here and focus is not None and self.card.isAncestorOf(focus):
            here = [self.card.name.editor]
        at = parts.index(here[0]) if here else -1
        parts[(at + 1) % len(parts)].setFocus(Qt.FocusReason.ShortcutFocusReason)

    # --- the tally

    def _ask_keys(self) -> None:
        self.keys_dialog = TallyKeysDialog(self.tally_pad.keys, self._habits, self)
        self.keys_dialog.accepted.connect(self.tally_pad.rebuild_keys)
        self.keys_dialog.open()

    # --- lenses

    def _choose_micrometer(self) -> None:
        files = dialogs.ask_pictures(self, "Choose a picture of the stage micrometer")
        if files:
            self.scale_panel.find_in_micrometer(files[0])

    def _lens(self, name: str) -> Lens | None:
        """Return a stored lens; None, with a word in the strip, if there is no such."""
        try:
            return self._store.lens(name)
        except CounterError as error:
            self.bench.tell_problem(str(error))
            return None

    def _lens_names(self) -> list[str]:
        return [lens.name for lens in self._store.lenses()]

    # --- the message strip, drops and the end

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.messages.settle()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        urls = event.mimeData().urls()
        self.desk.open_paths([url.toLocalFile() for url in urls if url.isLocalFile()])
        event.acceptProposedAction()

    def close_records(self) -> None:
        """Let go of the records; nothing can be done with the window afterwards."""
        self._store.close()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Commit what is being typed, stop the work in the background, and go."""
        self.card.finish()
        self.pages.finish()
        self.learner.stop()
        self.jobs.stop()
        self.tones.close()
        self._habits.geometry = self.saveGeometry()
        super().closeEvent(event)
