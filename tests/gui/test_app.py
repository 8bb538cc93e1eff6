"""Starting, ending, and what happens to bugs and to records that cannot be opened."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.exceptions import capture_exceptions
from pytestqt.qtbot import QtBot

from counter.errors import CounterError
from counter.gui import app
from counter.gui.bug_dialog import BugDialog
from counter.gui.window import Window


@pytest.fixture
def hooks() -> Iterator[None]:
    """Put the hooks of Python back after the test."""
    before = sys.excepthook, threading.excepthook
    yield
    sys.excepthook, threading.excepthook = before


def raised(error: Exception) -> None:
    """Hand an error to the hook as Python does with one that nobody caught."""
    try:
        raise error
    except Exception as caught:
        sys.excepthook(type(caught), caught, caught.__traceback__)


@pytest.mark.usefixtures("hooks")
def test_a_bug_is_logged_and_shown_word_for_word(
    window: Window, records: str, no_complaint: list[str]
) -> None:
    """The dialog has the traceback, the log file in the data folder too; a second bug is added."""
    app.install_hooks(window)
    raised(ZeroDivisionError("the drawn bug"))
    assert window.guides.bug is not None
    assert "ZeroDivisionError: the drawn bug" in window.guides.bug.text.toPlainText()
    log = (Path(records).parent / app.LOG_FILE).read_text(encoding="utf-8")
    assert "the drawn bug" in log
    raised(KeyError("another"))
    assert "another" in window.guides.bug.text.toPlainText()
    window.guides.bug.close()
    assert no_complaint == []


@pytest.mark.usefixtures("hooks")
def test_an_error_of_the_world_that_nobody_caught_goes_to_the_strip(window: Window) -> None:
    """No traceback for a full disk: a sentence."""
    app.install_hooks(window)
    raised(CounterError("The disk is full; make room and go on."))
    assert "The disk is full" in window.messages.text
    assert window.guides.bug is None


def test_a_bug_in_the_background_is_raised_in_the_window(window: Window, qtbot: QtBot) -> None:
    """A thread's bug is never swallowed: it comes up where the hook sees it."""

    def broken(progress: object) -> None:
        raise ZeroDivisionError(f"in a thread, with {progress is not None}")

    with capture_exceptions() as caught:
        window.jobs.start(broken, lambda _: None, lambda _: None)
        qtbot.waitUntil(lambda: bool(caught), timeout=5000)
    assert caught[0][0] is ZeroDivisionError


def test_the_window_opens_the_paths_it_was_given_and_ends_well(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, records: str, slide: Path
) -> None:
    """``hingeline PATH`` opens the window, counts the path, and returns 0 when it is closed."""
    monkeypatch.setenv("HINGELINE_RECORDS", records)
    monkeypatch.setattr(app, "install_hooks", lambda _window: None)
    seen: list[int] = []

    def look() -> None:
        window = next(w for w in QApplication.topLevelWidgets() if isinstance(w, Window))
        if window.queue.without_scale:
            seen.append(len(window.queue.without_scale))
            window.close()
        else:
            QTimer.singleShot(50, look)

    QTimer.singleShot(0, look)
    assert app.main([str(slide)]) == 0
    assert seen == [1]
    assert qtbot is not None


def test_records_of_a_newer_program_are_refused_with_a_sentence(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The window does not open; standard error and a dialog say what to do; exit code 1."""
    shown: list[str] = []

    def refuse(place: str) -> Window:
        raise CounterError(f"{place}: was written by a newer program; update this one.")

    monkeypatch.setenv("HINGELINE_RECORDS", str(tmp_path / "r.sqlite"))
    monkeypatch.setattr(app, "build_window", refuse)
    monkeypatch.setattr(BugDialog, "exec", lambda self: shown.append(self.text.toPlainText()))
    assert app.main([]) == 1
    assert "newer program" in capsys.readouterr().err
    assert "newer program" in shown[0]


def test_a_folder_that_takes_nothing_is_refused_with_a_sentence(tmp_path: Path) -> None:
    """No traceback where the records' folder cannot be written to: it is named, with a way out."""
    (tmp_path / "full").write_text("a file where the folder should be", encoding="utf-8")
    with pytest.raises(CounterError, match=r"full.*HINGELINE_RECORDS"):
        app.build_window(str(tmp_path / "full" / "hingeline.sqlite"))


def test_a_hatcherys_own_chamber_is_offered(
    open_window: Callable[[], Window], records: str
) -> None:
    """A chambers.toml beside the records adds to the choice."""
    folder = Path(records).parent
    folder.mkdir(parents=True)
    (folder / "chambers.toml").write_text(
        '[bench-tray]\nname = "Bench tray"\narea_mm2 = 100.0\ndepth_mm = 0.5\n', encoding="utf-8"
    )
    window = open_window()
    assert window.card.chamber.box.findData("bench-tray") >= 0


def test_size_and_place_of_the_window_are_remembered(open_window: Callable[[], Window]) -> None:
    """The window comes up as large as it was left."""
    first = open_window()
    first.resize(1200, 700)
    first.close()
    assert open_window().width() == pytest.approx(1200, abs=170)


def test_without_a_screen_one_sentence_says_so() -> None:
    """Qt would abort the process; a platform that was chosen on purpose is let through."""
    with pytest.raises(CounterError, match="hingeline count"):
        app.check_screen({"DISPLAY": ""}, "linux")
    app.check_screen({"QT_QPA_PLATFORM": "offscreen"}, "linux")
    app.check_screen({"WAYLAND_DISPLAY": "wayland-0"}, "linux")
    app.check_screen({}, "darwin")
