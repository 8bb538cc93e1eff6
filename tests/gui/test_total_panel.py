"""The panel with the total: how many more, and what looks like a slip."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from counter.domain.field import PictureField
from counter.gui.window import Window
from counter.session import Session

NOON = datetime(2031, 5, 6, 12, 0, tzinfo=UTC)


def opened(window: Window, tank_id: int, days: int, vessel_ml: float) -> Session:
    """A new sample of a tank, opened in the window."""
    before = window.bench.session
    session = Session.start(
        before.store,
        target=before.sample.target,
        chamber=before.sample.chamber,
        vessel_ml=vessel_ml,
        tank_id=tank_id,
        taken_at=NOON + timedelta(days=days),
        who="ida",
    )
    window.bench.open(session)
    return session


def test_how_many_more_stands_beside_the_total(window: Window, counted: Window) -> None:
    """Five counted are far from ±10 %; the sentence follows the count."""
    del counted
    panel = window.results.total
    assert panel.effort.isVisible()
    assert "390 more" in panel.effort.text().replace("\u202f", " ")
    window.bench.session.undo()
    first = next(window.bench.sample.picture_fields())
    window.bench.session.remove_marks(first.field_id, list(first.marks))
    assert not panel.effort.isVisible()
    assert panel.effort.text() == ""


def test_the_vessel_is_asked_for_where_the_total_would_stand(counted: Window) -> None:
    """Without its volume the density stands there and a button leads to the line to type it in."""
    panel = counted.results.total
    assert "vessel's volume" in panel.where.text()
    assert "No vessel volume" not in panel.warnings.text()
    panel.ask_vessel.click()
    assert counted.focusWidget() is counted.card.vessel.editor
    counted.bench.session.set_vessel_ml(2_000.0)
    assert panel.ask_vessel.isHidden()
    assert panel.where.text().startswith("in ")


def test_an_empty_sample_raises_no_alarm(window: Window) -> None:
    """Before anything is counted there is a plain word, no method and no warning."""
    panel = window.results.total
    assert panel.where.text() == "Nothing is counted yet."
    assert panel.basis.isHidden()
    assert not panel.warnings.isVisible()


def test_no_word_of_the_total_is_cut_off_on_a_small_screen(counted: Window, qtbot: QtBot) -> None:
    """The panel takes the height that its words need; the table beneath gives way."""
    panel = counted.results.total
    counted.resize(counted.minimumSizeHint())
    qtbot.waitUntil(lambda: counted.width() < 1_000)
    for label in (panel.big, panel.limits, panel.where, panel.basis):
        assert label.height() >= label.heightForWidth(label.width()), label.accessibleName()


def test_a_slip_beside_the_last_sample_is_shown(
    window: Window, counted_once: tuple[Path, PictureField], qtbot: QtBot
) -> None:
    """A vessel ten times smaller than the last one of the tank; it goes once it is put right."""
    store = window.bench.session.store
    batch = store.add_batch("spawn 7", "eastern-oyster", fertilised_at=NOON)
    tank_id = store.add_tank(batch.batch_id, "tank 3").tank_id
    opened(window, tank_id, 2, 20_000.0).add_picture_fields([counted_once[1]])
    today = opened(window, tank_id, 4, 20_000.0)
    warnings = window.results.total.warnings
    today.add_picture_fields([counted_once[1]])
    assert "last time" not in warnings.text()
    today.set_vessel_ml(2_000.0)
    qtbot.waitUntil(lambda: "exactly 10 times less" in warnings.text(), timeout=5_000)
    assert warnings.isVisible()
    today.set_vessel_ml(20_000.0)
    qtbot.waitUntil(lambda: "last time" not in warnings.text(), timeout=5_000)


def test_a_closed_window_asks_its_records_no_more(
    counted: Window, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The moment after the last gesture may come when the window is gone."""
    asked: list[int] = []
    monkeypatch.setattr(counted.results.total, "refresh_slips", lambda: asked.append(1))
    counted.bench.session.set_vessel_ml(5_000.0)
    qtbot.waitUntil(lambda: bool(asked), timeout=5_000)
    asked.clear()
    counted.bench.session.set_vessel_ml(6_000.0)
    counted.hide()
    qtbot.wait(300)
    assert not asked


def test_limits_for_uneven_mixing_stand_beneath_the_others(counted: Window) -> None:
    """Once two fillings can be compared; one filling shows nothing of the mixing."""
    panel = counted.results.total
    assert panel.uneven.isHidden()
    session = counted.bench.session
    first = next(counted.bench.sample.picture_fields())
    session.add_filling()
    (field_id,) = session.add_picture_fields([first])
    assert panel.uneven.isVisible()
    assert panel.uneven.text().startswith("If mixed unevenly: ")
    assert panel.uneven.text() in panel.accessibleDescription()
    session.remove_field(field_id)
    assert panel.uneven.isHidden()
