"""Events ↔ JSON: every kind there and back, and nothing guessed at."""

from __future__ import annotations

import base64
import json
import struct
from dataclasses import replace
from typing import get_args

import pytest

from counter.domain import events
from counter.domain.edges import Frame
from counter.domain.events import Event
from counter.domain.proposed import Proposal
from counter.errors import CounterError
from counter.records import codec
from counter.records.codec import decode, encode
from tests.hatchery import mark, picture, started


def test_every_event_has_a_kind_and_every_kind_is_an_event() -> None:
    """An event without a kind could not be written; two kinds for one could not be told apart."""
    kinds = list(codec.KINDS.values())
    assert len(set(kinds)) == len(kinds)
    assert set(kinds) == set(_all_events())


def _all_events() -> list[type]:
    found: list[type] = []
    for member in get_args(Event):
        found.extend(get_args(member) or [member])
    return found


def test_the_body_is_plain_json_that_a_person_can_read() -> None:
    """The record outlives the program."""
    assert encode(events.MarksStaged(3, (1, 2), "umbo")) == (
        "marks-staged/1",
        '{"field_id":3,"mark_ids":[1,2],"stage":"umbo"}',
    )


def test_a_counted_picture_comes_back_with_all_its_marks() -> None:
    """The order of the marks stands too."""
    event = events.PictureCounted(2, picture(mark(9), mark(4, stage="umbo"), field_id=7))
    again = decode(*encode(event))
    assert again == event
    assert isinstance(again, events.PictureCounted)
    assert list(again.field.marks) == [9, 4]


def test_the_frame_of_what_a_picture_shows_comes_back() -> None:
    """Pictures counted before there was one are read without it."""
    field = picture(mark(1))
    framed = replace(field, picture=replace(field.picture, shown=Frame(-0.5, 9.5, 159.5, 89.5)))
    event = events.PictureCounted(2, framed)
    kind, body = encode(event)
    assert decode(kind, body) == event
    before = json.loads(body)
    del before["field"]["picture"]["shown"]
    assert decode(kind, json.dumps(before)) == events.PictureCounted(2, field)


def test_an_outline_is_packed_to_the_last_bit_and_read_in_plain_json_too() -> None:
    """Outlines are most of a record."""
    outline = ((0.1, 1 / 3), (1e-300, -0.0), (2592.0, 1e17))
    event = events.MarksAdded(1, (replace(mark(1), outline_px=outline),))
    kind, body = encode(event)
    assert decode(kind, body) == event
    fields = json.loads(body)
    packed = fields["marks"][0]["outline_px"]
    assert struct.unpack("<6d", base64.b64decode(packed)) == (
        0.1,
        1 / 3,
        1e-300,
        -0.0,
        2592.0,
        1e17,
    )
    fields["marks"][0]["outline_px"] = [list(point) for point in outline]
    assert decode(kind, json.dumps(fields)) == event
    for damaged in (packed[:-4], packed + "!", packed[:-8] + packed[-4:]):
        fields["marks"][0]["outline_px"] = damaged
        with pytest.raises(CounterError, match="damaged"):
            decode(kind, json.dumps(fields))


def test_a_kind_of_a_newer_program_is_refused_with_a_sentence() -> None:
    """An unknown kind, or a known one with a later version, is never guessed at."""
    for kind in ("larva-weighed/1", "marks-added/3"):
        with pytest.raises(CounterError, match=f"{kind}.*newer version"):
            decode(kind, "{}")


@pytest.mark.parametrize(
    "body",
    [
        "",
        "{",
        "null",
        "[]",
        "7",
        "{}",
        '{"field_id":1}',
        '{"field_id":"one","marks":[]}',
        '{"field_id":1,"marks":3}',
        '{"field_id":1,"marks":[[]]}',
        '{"field_id":1,"marks":[],"weight_ug":2}',
    ],
)
def test_a_damaged_body_is_refused_with_a_sentence(body: str) -> None:
    """Also a body with a field more than this version knows."""
    with pytest.raises(CounterError, match="damaged"):
        decode("marks-added/1", body)


def test_a_damaged_picture_is_refused_with_a_sentence() -> None:
    """Errors inside a field are found too."""
    kind, body = encode(events.PictureCounted(1, picture(mark(1))))
    for damaged in (body.replace('"marks"', '"larks"'), body.replace('"file"', '"while"')):
        with pytest.raises(CounterError, match="damaged"):
            decode(kind, damaged)


def test_a_number_that_json_cannot_hold_is_a_bug() -> None:
    """NaN would be written as something no other program reads."""
    with pytest.raises(ValueError, match="not JSON compliant"):
        encode(events.VesselSet(float("nan")))
    with pytest.raises(ValueError, match="not finite"):
        encode(events.MarksAdded(1, (mark(1, x_px=float("inf")),)))


def test_an_old_kind_is_read_by_its_own_reader(monkeypatch: pytest.MonkeyPatch) -> None:
    """A record of an older program stays readable when an event's fields have changed."""
    monkeypatch.setattr(
        codec, "OLD_KINDS", {"name-set/0": lambda body: events.NameSet(body["title"])}
    )
    assert decode("name-set/0", '{"title":"tank 3"}') == events.NameSet("tank 3")
    with pytest.raises(CounterError, match="damaged"):
        decode("name-set/0", "{}")


def test_the_start_holds_full_values() -> None:
    """A sample stays readable when its species or chamber is edited or gone."""
    kind, body = encode(started())
    assert kind == "sample-started/1"
    for value in ("d-hinge", "Ostrea exempli", "1 mm square", '"depth_mm":1.0'):
        assert value in body


def test_a_proposal_comes_back_with_its_mark() -> None:
    """State, confidence, why there is none, eye spot."""
    told = (Proposal("dead", 0.92, "", False, 0.7), Proposal(reason="blurred"), None)
    marks = tuple(replace(mark(n), proposal=entry) for n, entry in enumerate(told, 1))
    event = events.MarksAdded(1, marks)
    assert decode(*encode(event)) == event


def test_marks_of_the_first_version_are_read_without_a_proposal() -> None:
    """What older programs wrote stays readable for ever."""
    event = events.MarksAdded(1, (mark(1),))
    _, body = encode(event)
    fields = json.loads(body)
    del fields["marks"][0]["proposal"]
    assert decode("marks-added/1", json.dumps(fields)) == event
