"""Starting the window: records, log file, and what happens to a bug."""

from __future__ import annotations

import logging
import os
import sys
import threading
import traceback
from collections.abc import Mapping
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType

from PySide6.QtWidgets import QApplication

from counter.domain import catalogue
from counter.domain.species import TargetKind, target_of
from counter.errors import CounterError
from counter.gui.bug_dialog import BugDialog
from counter.gui.settings_file import Habits
from counter.gui.window import Catalogue, Window
from counter.records.place import default_path, folder_of
from counter.records.store import Store
from counter.session import Session, open_latest

LOG_FILE = "hingeline.log"
_FIRST_SPECIES, _FIRST_CHAMBER = "eastern-oyster", "sedgewick-rafter"
_log = logging.getLogger("hingeline")


def main(paths: list[str]) -> int:
    """Open the window with the latest sample; count ``paths`` into it. Return the exit code.

    Records that cannot be opened are told on standard error and in a dialog; the code is 1 then.
    """
    check_screen(os.environ, sys.platform)
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    app.setApplicationName("Hingeline")
    app.setDesktopFileName("hingeline")
    place = default_path()
    try:
        window = build_window(place)
    except CounterError as error:
        print(f"hingeline: {error}", file=sys.stderr)
        BugDialog("The records cannot be opened", str(error), leave="Close").exec()
        return 1
    install_hooks(window)
    window.show()
    window.desk.open_paths(paths)
    code = app.exec()
    window.close_records()
    return code


def check_screen(environment: Mapping[str, str], platform: str) -> None:
    """Raise :class:`CounterError` where there is no screen: Qt would abort the whole process."""
    names = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    if platform.startswith("linux") and not any(environment.get(name) for name in names):
        raise CounterError(
            "There is no screen for the window; start it on a desktop, or count without one by "
            "hingeline count."
        )


def build_window(place: str) -> Window:
    """Open the records at ``place`` and return the window on the latest sample.

    Raises :class:`CounterError` where the records, or the hatchery's own lists, can't be read.
    """
    folder = folder_of(place)
    start_log(folder / LOG_FILE)
    store = Store(place)
    own = folder if folder.is_dir() else None
    chambers, species = catalogue.chambers(own), catalogue.species_list(own)
    session = open_latest(store) or Session.start(
        store,
        target=target_of(species[_FIRST_SPECIES], TargetKind.LARVAE),
        chamber=chambers[_FIRST_CHAMBER],
    )
    habits = Habits(folder / "habits.ini")
    window = Window(store, session, Catalogue(chambers, species), habits, place)
    window.waiting.take_up()
    for notice in store.notices:
        window.bench.tell_problem(notice)
    return window


def start_log(file: Path) -> None:
    """Write warnings and bugs to ``file``, at most three files of 1 MB; once for each file.

    Raises :class:`CounterError` where its folder cannot be written to: no count could be kept there
    either.
    """
    known = [h for h in _log.handlers if isinstance(h, RotatingFileHandler)]
    if any(Path(handler.baseFilename) == file.absolute() for handler in known):
        return
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(file, maxBytes=1_000_000, backupCount=2, encoding="utf-8")
    except OSError as error:
        raise CounterError(
            f"{file.parent}: nothing can be written there ({error.strerror}), so no count would be "
            "kept; make the folder writable, or name another with HINGELINE_RECORDS."
        ) from error
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    _log.addHandler(handler)


def install_hooks(window: Window) -> None:
    """Show what nobody caught: a CounterError in the strip, a bug in its dialog and in the log."""

    def on_exception(
        kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        if isinstance(error, CounterError):
            window.bench.tell_problem(str(error))
            return
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
            return
        text = "".join(traceback.format_exception(kind, error, trace))
        _log.error("a bug:\n%s", text)
        window.guides.show_bug(text)

    sys.excepthook = on_exception
    threading.excepthook = lambda args: on_exception(
        args.exc_type, args.exc_value or args.exc_type(), args.exc_traceback
    )
