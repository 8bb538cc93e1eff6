"""The sample card: entries are committed when they are left, nonsense is refused in its place."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication

from counter.domain.edges import EdgeRule
from counter.domain.sample import Dilution
from counter.gui.card_field import ChoiceField, TextField
from counter.gui.window import Window
from tests.gui.hands import press, write


def enter(field: TextField, text: str) -> bool:
    """Type a text into a line of the card and leave it; return whether it was taken."""
    field.line.setText(text)
    return field.finish()


def choose(field: ChoiceField, key: str) -> None:
    """Choose an entry as a person does."""
    index = field.box.findData(key)
    assert index >= 0, f"{key} is not offered"
    field.box.setCurrentIndex(index)
    field.box.activated.emit(index)


def test_every_line_commits_what_it_is_for(window: Window) -> None:
    """Each entry ends up in the sample, in the unit of the sample."""
    card = window.card
    assert enter(card.name, "Tank 4, morning")
    assert enter(card.vessel, "20 L")
    assert enter(card.dilution, "1+9")
    assert enter(card.certified, "980 µL")
    assert enter(card.lengths, "50-90")
    assert enter(card.confidence, "90 %")
    assert enter(card.volumes, "vessel ±1 %, chamber 2 %")
    choose(card.edges, "bottom-right")
    sample = window.bench.sample
    assert sample.name == "Tank 4, morning"
    assert sample.vessel_ml == pytest.approx(20_000.0)
    assert sample.dilution == Dilution(1.0, 9.0)
    assert sample.chamber.certified_ul == pytest.approx(980.0)
    assert (sample.target.low_um, sample.target.high_um) == (50.0, 90.0)
    assert sample.confidence == pytest.approx(0.9)
    assert sample.volumes.chamber == pytest.approx(0.02)
    assert sample.volumes.vessel == pytest.approx(0.01 / 3**0.5)
    assert card.volumes.line.text() == "chamber 2 %, vessel ±1 %"
    assert sample.edges is EdgeRule.BOTTOM_RIGHT


@pytest.mark.parametrize(
    ("line", "nonsense", "word"),
    [
        ("vessel", "20", "no unit"),
        ("vessel", "-3 L", "above 0"),
        ("dilution", "1:10", "two ways"),
        ("certified", "much", "chamber volume"),
        ("lengths", "350-60", "makes no sense"),
        ("confidence", "200 %", "confidence"),
        ("volumes", "bucket 1 %", "write the part"),
        ("name", "   ", ""),
    ],
)
def test_nonsense_is_refused_beneath_its_line_and_nothing_is_lost(
    window: Window, line: str, nonsense: str, word: str
) -> None:
    """The reason names the field, the entry stays as typed, the sample as it was."""
    field = getattr(window.card, line)
    before = window.bench.sample
    taken = enter(field, nonsense)
    if line == "name":
        taken = enter(field, "")
    assert not taken
    assert field.is_refused
    assert word in field.error.text()
    assert not field.error.isHidden()
    assert window.bench.sample == before
    assert field.line.text().strip() == nonsense.strip()


def test_a_refused_entry_says_what_stands_meanwhile(window: Window) -> None:
    """A dilution that was refused leaves no doubt which one the total is reckoned with."""
    dilution = window.card.dilution
    enter(dilution, "1+4")
    enter(dilution, "1:10")
    assert "Until then 1+4 stands." in dilution.error.text()
    window.bench.session.undo()
    assert "Until then 1+0 stands." in dilution.error.text()
    assert enter(dilution, "1+9")
    assert dilution.error.isHidden()


def test_a_refused_entry_survives_other_changes_until_it_is_put_right(window: Window) -> None:
    """Another line being committed does not wipe what was typed here."""
    card = window.card
    enter(card.vessel, "20")
    assert enter(card.dilution, "1+4")
    assert card.vessel.line.text() == "20"
    assert card.vessel.is_refused
    assert enter(card.vessel, "20 L")
    assert card.vessel.error.isHidden()


def test_an_emptied_line_means_what_its_hint_says(window: Window) -> None:
    """No vessel: no total; no certificate: the geometry; no lengths: the species' own."""
    card = window.card
    own = window.bench.sample.target
    for line, text in ((card.vessel, "5 L"), (card.certified, "0.9 mL"), (card.lengths, "50-99")):
        enter(line, text)
        enter(line, "")
    sample = window.bench.sample
    assert sample.vessel_ml is None
    assert sample.chamber.certified_ul is None
    assert sample.target == own


def test_eggs_and_species_change_what_is_looked_for(window: Window) -> None:
    """Eggs have one stage; another species brings its own lengths."""
    choose(window.card.kind, "eggs")
    assert window.bench.stages == ("egg",)
    choose(window.card.species, "blue-mussel")
    target = window.bench.sample.target
    assert target.species.key == "blue-mussel"
    assert target.kind.value == "eggs"
    assert (target.low_um, target.high_um) == target.species.egg_um


def test_tab_leaves_a_line_and_commits_it(window: Window) -> None:
    """No button is needed: moving on to the next line is enough."""
    line = window.card.vessel.line
    line.setFocus()
    write(line, "800 mL")
    press(line, Qt.Key.Key_Tab)
    assert window.bench.sample.vessel_ml == pytest.approx(800.0)


def test_closing_commits_the_line_that_is_being_typed(open_window: Callable[[], Window]) -> None:
    """What stands in a line when the window is closed is there again."""
    first = open_window()
    first.card.vessel.line.setFocus()
    write(first.card.vessel.line, "12 L")
    first.close()
    assert open_window().bench.sample.vessel_ml == pytest.approx(12_000.0)


def test_undo_takes_an_entry_back_and_the_card_shows_it(window: Window) -> None:
    """The card follows the sample, whichever way it changes."""
    enter(window.card.dilution, "1+9")
    window.actions_by_name["undo"].trigger()
    assert window.card.dilution.line.text() == "1+0"


def test_the_wheel_does_not_change_a_choice(window: Window) -> None:
    """Scrolling the card must not choose another chamber by accident."""
    before = window.bench.sample
    box = window.card.chamber.box
    box.setFocus()
    event = QWheelEvent(
        QPointF(5, 5),
        QPointF(5, 5),
        QPoint(),
        QPoint(0, -240),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(box, event)
    assert box.currentData() == before.chamber.key


def test_a_new_sample_keeps_the_way_of_counting_and_drops_the_vessel(window: Window) -> None:
    """Chamber, species and borders stay; vessel and dilution belong to the old sample."""
    enter(window.card.vessel, "20 L")
    choose(window.card.edges, "top-right")
    old = window.bench.session.sample_id
    window.desk.new_sample()
    sample = window.bench.sample
    assert window.bench.session.sample_id != old
    assert sample.vessel_ml is None
    assert sample.edges is EdgeRule.TOP_RIGHT
    assert window.card.vessel.line.text() == ""


def test_an_earlier_sample_is_found_by_a_part_of_its_name(window: Window) -> None:
    """The list narrows as one types; the one chosen is opened as it stood."""
    enter(window.card.name, "Tank 7 evening")
    enter(window.card.vessel, "3 L")
    earlier = window.bench.sample
    window.desk.new_sample()
    window.desk.earlier_samples()
    chooser = window.desk.chooser
    assert chooser is not None
    chooser.filter.setText("tank 7")
    chooser.accept()
    assert window.bench.sample == earlier
    assert window.card.name.line.text() == "Tank 7 evening"
