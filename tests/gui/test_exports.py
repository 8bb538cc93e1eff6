"""Files written from the window say the same as the screen."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QSize
from pytestqt.qtbot import QtBot

from counter.exporting.document import count_document
from counter.gui import dialogs
from counter.gui.exports import file_name
from counter.gui.scrolled_label import ScrolledLabel
from counter.gui.sizes_panel import Room, drawn_histogram, sizes_words
from counter.gui.window import Window
from tests.gui.hands import PLACES, count, settle

Answer = Callable[[Path | None], None]


@pytest.fixture
def answer(monkeypatch: pytest.MonkeyPatch) -> Answer:
    """Answer the question where to write."""

    def answer_with(file: Path | None) -> None:
        monkeypatch.setattr(dialogs, "ask_where", lambda *_: file)

    return answer_with


def test_json_is_the_document_of_the_sample(
    counted: Window, answer: Answer, tmp_path: Path, qtbot: QtBot
) -> None:
    """The file holds what the command line would write, with the numbers of the screen."""
    answer(tmp_path / "count.json")
    counted.actions_by_name["export-json"].trigger()
    settle(counted, qtbot)
    written = json.loads((tmp_path / "count.json").read_text(encoding="utf-8"))
    assert written == json.loads(json.dumps(count_document(counted.bench.sample)))
    assert written["estimate"]["counted"] == counted.bench.session.estimate.counted
    assert "count.json" in counted.statusBar().currentMessage()


def test_json_names_what_could_not_be_counted(
    window: Window, slide: Path, answer: Answer, tmp_path: Path, qtbot: QtBot
) -> None:
    """A broken file stands in ``failed`` with its reason."""
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(b"just words")
    count(window, qtbot, broken, slide)
    answer(tmp_path / "count.json")
    window.actions_by_name["export-json"].trigger()
    settle(window, qtbot)
    (failed,) = json.loads((tmp_path / "count.json").read_text(encoding="utf-8"))["failed"]
    assert failed["file"] == str(broken)
    assert failed["reason"]


def test_csv_has_a_line_for_each_mark(
    counted: Window, answer: Answer, tmp_path: Path, qtbot: QtBot
) -> None:
    """A name without an ending gets the usual one."""
    answer(tmp_path / "count")
    counted.actions_by_name["export-csv"].trigger()
    settle(counted, qtbot)
    with (tmp_path / "count.csv").open(encoding="utf-8-sig", newline="") as file:
        assert len(list(csv.DictReader(file))) == len(PLACES)


@pytest.mark.parametrize("suffix", [".png", ".svg", ".pdf"])
def test_the_histogram_is_written_in_three_kinds(
    counted: Window, answer: Answer, tmp_path: Path, qtbot: QtBot, suffix: str
) -> None:
    """The kind follows the end of the name."""
    file = tmp_path / f"sizes{suffix}"
    answer(file)
    counted.actions_by_name["export-figure"].trigger()
    settle(counted, qtbot)
    starts = {".png": b"\x89PNG", ".svg": b"<?xml", ".pdf": b"%PDF"}
    assert file.read_bytes().startswith(starts[suffix])


def test_what_cannot_be_written_is_said(
    counted: Window, answer: Answer, tmp_path: Path, qtbot: QtBot
) -> None:
    """A folder that is not there and a kind that is not known: a sentence, nothing lost."""
    before = counted.bench.sample
    answer(tmp_path / "nowhere" / "count.csv")
    counted.actions_by_name["export-csv"].trigger()
    settle(counted, qtbot)
    assert "cannot be written" in counted.messages.text
    answer(tmp_path / "sizes.bmp")
    counted.actions_by_name["export-figure"].trigger()
    settle(counted, qtbot)
    assert ".png, .svg or .pdf" in counted.messages.text
    assert counted.bench.sample == before


def test_thinking_better_of_it_writes_nothing(
    counted: Window, answer: Answer, tmp_path: Path
) -> None:
    """No file, no word."""
    answer(None)
    for name in ("export-csv", "export-json", "export-figure"):
        counted.actions_by_name[name].trigger()
    assert list(tmp_path.glob("*.*")) == []
    assert counted.jobs.under_way == 0


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Tank 4, morning", "Tank 4- morning.csv"),
        ("2026-05-04 08:15", "2026-05-04 08-15.csv"),
        ("../x/y", "x-y.csv"),
        ("???", "count.csv"),
    ],
)
def test_a_file_name_is_one_that_every_system_takes(name: str, expected: str) -> None:
    """Slashes, colons and question marks are not part of a file's name."""
    assert file_name(name, ".csv") == expected


def test_the_histogram_panel_draws_and_says_the_sizes(counted: Window, qtbot: QtBot) -> None:
    """The figure fills its room; its numbers stand beneath it in words."""
    counted.show_panel("sizes")
    panel = counted.results.sizes
    qtbot.waitUntil(lambda: not panel.picture.pixmap().isNull(), timeout=20_000)
    found = counted.bench.session.sizes
    assert found is not None
    assert f"median {found.median:.1f} µm" in panel.words.text()
    assert panel.picture.accessibleDescription() == panel.words.text()
    assert "limits in µm: mean" in panel.words.text()


def test_the_figure_is_drawn_again_when_its_room_shrinks(counted: Window, qtbot: QtBot) -> None:
    """Nothing of it is cut off when the words beneath it grow."""
    counted.show_panel("sizes")
    picture = counted.results.sizes.picture

    def shown() -> QSize:
        return picture.pixmap().deviceIndependentSize().toSize()

    qtbot.waitUntil(lambda: shown() == picture.size(), timeout=20_000)
    before = picture.height()
    words = counted.results.sizes.findChild(ScrolledLabel)
    assert isinstance(words, ScrolledLabel)
    words.set_text("one more line\n" * 12)
    qtbot.waitUntil(lambda: picture.height() < before)
    qtbot.waitUntil(lambda: shown() == picture.size(), timeout=20_000)


def test_the_figure_has_the_size_and_dots_of_the_screen(counted: Window) -> None:
    """On a screen with two dots a pixel the figure has twice as many."""
    image = drawn_histogram(counted.bench.sample, Room(330, 210, 2.0))
    assert (image.width(), image.height()) == (660, 420)
    assert image.devicePixelRatio() == 2.0
    assert sizes_words(None).startswith("Nothing")
