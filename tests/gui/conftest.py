"""The window under test: records of its own, and no Qt warning or logged error goes unseen."""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QMessageLogContext, QtMsgType, qInstallMessageHandler
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from counter.domain.catalogue import species_list
from counter.domain.field import PictureField
from counter.domain.progress import Silent
from counter.domain.scale import Scale
from counter.domain.species import TargetKind, target_of
from counter.gui import app
from counter.gui.page_job import count_page
from counter.gui.window import Window
from tests.gui.hands import PLACES, UM_PER_PX, draw_slide, settle

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

_HARMLESS = ("This plugin does not support",)


@pytest.fixture(autouse=True)
def no_complaint(caplog: pytest.LogCaptureFixture) -> Iterator[list[str]]:
    """Fail a test during which Qt warned or an error was logged.

    A test that expects a complaint takes it out of the list.
    """
    heard: list[str] = []

    def hear(kind: QtMsgType, context: QMessageLogContext, message: str) -> None:
        del context
        quiet = (QtMsgType.QtDebugMsg, QtMsgType.QtInfoMsg)
        if kind not in quiet and not message.startswith(_HARMLESS):
            heard.append(message)

    before = qInstallMessageHandler(hear)
    yield heard
    qInstallMessageHandler(before)
    heard += [r.getMessage() for r in caplog.records if r.levelno >= logging.ERROR]
    assert not heard, f"Qt or the log complained: {heard}"


@pytest.fixture
def slide(tmp_path: Path) -> Path:
    """A picture with five larvae, well apart, at 2 µm per pixel."""
    return draw_slide(tmp_path / "slide-01.png", PLACES)


@pytest.fixture
def records(tmp_path: Path) -> str:
    """Where the records of this test are."""
    return str(tmp_path / "records" / "hingeline.sqlite")


@pytest.fixture
def open_window(qtbot: QtBot, records: str) -> Iterator[Callable[[], Window]]:
    """Open the window on this test's records, as often as wanted."""
    opened: list[Window] = []

    def open_one() -> Window:
        window = app.build_window(records)
        qtbot.addWidget(window)
        window.resize(1366, 740)
        window.show()
        window.activateWindow()
        qtbot.waitExposed(window)
        opened.append(window)
        return window

    yield open_one
    for window in opened:
        window.close()


@pytest.fixture
def window(open_window: Callable[[], Window]) -> Window:
    """The window on empty records."""
    return open_window()


@pytest.fixture(scope="session")
def counted_once(
    tmp_path_factory: pytest.TempPathFactory, qapp: QApplication
) -> tuple[Path, PictureField]:
    """A slide with five larvae in a folder that outlives the tests, counted once for all."""
    del qapp
    file = draw_slide(tmp_path_factory.mktemp("slides") / "slide-01.png", PLACES)
    target = target_of(species_list()["eastern-oyster"], TargetKind.LARVAE)
    scale = Scale(UM_PER_PX, "given")
    outcome = count_page((str(file), 0), target, scale, Silent())
    assert outcome.field is not None
    assert len(outcome.field.marks) == len(PLACES)
    return file, outcome.field


@pytest.fixture
def counted(window: Window, counted_once: tuple[Path, PictureField], qtbot: QtBot) -> Window:
    """The window with the slide counted and shown."""
    (field_id,) = window.bench.session.add_picture_fields([counted_once[1]])
    window.bench.show(field_id)
    settle(window, qtbot)
    return window
