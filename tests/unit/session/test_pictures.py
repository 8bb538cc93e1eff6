"""Gestures on fillings and pictures."""

from __future__ import annotations

import math

import pytest

from counter.domain.scale import Scale
from counter.errors import CounterError, UsageError
from counter.records.store import Store
from counter.session import Session
from tests.hatchery import mark, picture


def test_pictures_go_into_the_last_filling_with_ids_of_their_own(session: Session) -> None:
    """The first picture makes the first filling."""
    assert session.add_picture_fields([picture(mark(1)), picture(file="b.png")]) == (1, 2)
    second = session.add_filling()
    assert session.add_picture_fields([picture(field_id=1)]) == (3,)
    assert session.add_picture_fields([picture()], filling_id=1) == (4,)
    layout = [(f.filling_id, [e.field_id for e in f.fields]) for f in session.sample.fillings]
    assert layout == [(1, [1, 2, 4]), (second, [3])]
    with pytest.raises(CounterError, match="Filling 9 is no longer"):
        session.add_picture_fields([picture()], filling_id=9)


def test_undo_does_not_take_a_picture_out_but_removing_it_can_be_undone(session: Session) -> None:
    """Pictures arrive by themselves; a person takes them out, and undoes that."""
    (field_id,) = session.add_picture_fields([picture(mark(1))])
    assert session.undo_description is None
    session.remove_field(field_id)
    assert session.estimate.counted == 0
    with pytest.raises(CounterError, match="Field 1 is no longer"):
        session.remove_field(field_id)
    assert session.undo() == "removed field-01.png"
    assert session.estimate.counted == 1


def test_a_filling_is_removed_with_all_its_fields(session: Session) -> None:
    """And comes back with them."""
    session.add_picture_fields([picture(mark(1))])
    session.add_filling()
    session.add_picture_fields([picture(mark(1))])
    before = session.sample
    session.remove_filling(1)
    assert [filling.filling_id for filling in session.sample.fillings] == [2]
    assert session.undo() == "removed filling 1"
    assert session.sample == before


def test_the_volume_of_a_filling_is_typed(session: Session, store: Store) -> None:
    """For a well or tray; a volume that cannot be is refused."""
    filling_id = session.add_filling(aliquot_ul=250.0)
    session.set_aliquot_ul(filling_id, 300.0)
    written = len(store.events(session.sample_id))
    session.set_aliquot_ul(filling_id, 300.0)
    assert len(store.events(session.sample_id)) == written
    assert session.sample.fillings[0].aliquot_ul == 300.0
    assert session.undo() == "set filling 1 to 300 µL"
    session.set_aliquot_ul(filling_id, None)
    assert session.undo() == "took the volume of filling 1 away"
    for wrong in (0.0, -1.0, math.inf, math.nan):
        with pytest.raises(UsageError, match="above 0"):
            session.set_aliquot_ul(filling_id, wrong)
        with pytest.raises(UsageError, match="above 0"):
            session.add_filling(wrong)


def test_a_new_scale_measures_all_marks_anew(session: Session) -> None:
    """Lengths grow with the scale, areas with its square, stages follow, pixels stay."""
    (field_id,) = session.add_picture_fields([picture(mark(1, length_um=80.0), mark(2))])
    session.stage_marks(field_id, [2], "eyed")
    (before,) = session.sample.picture_fields()
    session.set_scale(field_id, Scale(2.5, "clicks", 0.01))
    (after,) = session.sample.picture_fields()
    assert after.picture.scale == Scale(2.5, "clicks", 0.01)
    assert after.area_mm2 == pytest.approx(160 * 90 * 2.5**2 * 1e-6)
    old, new = before.marks[1], after.marks[1]
    assert new.length_um == 160.0
    assert new.width_um == pytest.approx(2 * old.width_um)
    assert new.area_um2 == pytest.approx(4 * old.area_um2)
    assert (new.stage, after.marks[2].stage) == ("umbo", "eyed")
    assert (new.outline_px, new.x_px) == (old.outline_px, old.x_px)
    assert session.undo() == "set the scale of field-01.png to 2.5 µm per pixel"
    assert next(session.sample.picture_fields()) == before


def test_a_picture_is_reviewed(session: Session, store: Store) -> None:
    """Saying it twice writes it once."""
    (field_id,) = session.add_picture_fields([picture()])
    session.set_reviewed(field_id)
    session.set_reviewed(field_id)
    assert next(session.sample.picture_fields()).reviewed
    assert len(store.events(session.sample_id)) == 3
    session.set_reviewed(field_id, False)
    assert session.undo() == "asked for another look at field-01.png"
    assert session.undo() == "reviewed field-01.png"


def test_a_new_count_of_a_picture_can_be_undone(session: Session) -> None:
    """What a person had corrected comes back; its marks are other marks."""
    (field_id,) = session.add_picture_fields([picture(mark(1), mark(2))])
    session.stage_marks(field_id, [1], "eyed")
    corrected = session.sample
    session.recount(field_id, picture(mark(1), mark(2), mark(3)))
    (field,) = session.sample.picture_fields()
    assert list(field.marks) == [3, 4, 5]
    assert [number for number, entry in field.marks.items() if entry.mark_id != number] == []
    assert field.field_id == field_id
    assert session.undo() == "counted field-01.png again: 3 larvae"
    assert session.sample == corrected
