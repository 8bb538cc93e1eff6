"""Events ↔ JSON, by cattrs. Every kind carries a version: ``marks-added/1``.

A change of an event's fields makes a new version of its kind: raise the number in :data:`KINDS`
and add a reader of the old body to :data:`OLD_KINDS`. A kind that this program does not know comes
from a newer one and is refused with a sentence, never guessed at.
"""

from __future__ import annotations

import json
import math
import struct
from binascii import a2b_base64, b2a_base64
from collections.abc import Callable, Mapping
from itertools import chain
from typing import Any

import cattrs
import cattrs.errors
from cattrs.gen import make_dict_structure_fn, make_dict_unstructure_fn, override

from counter.domain import events
from counter.domain.events import Event
from counter.domain.field import PictureField
from counter.domain.mark import Mark, Point
from counter.domain.picture import Picture
from counter.errors import CounterError

KINDS: Mapping[str, type[Event]] = {
    "sample-started/1": events.SampleStarted,
    "name-set/1": events.NameSet,
    "vessel-set/1": events.VesselSet,
    "dilution-set/1": events.DilutionSet,
    "chamber-set/1": events.ChamberSet,
    "edges-set/1": events.EdgesSet,
    "confidence-set/1": events.ConfidenceSet,
    "volumes-known/1": events.VolumesKnown,
    "stop-rule-set/1": events.StopRuleSet,
    "earlier-known/1": events.EarlierKnown,
    "target-set/1": events.TargetSet,
    "lens-set/1": events.LensSet,
    "filling-added/1": events.FillingAdded,
    "aliquot-set/1": events.AliquotSet,
    "filling-removed/1": events.FillingRemoved,
    "picture-counted/2": events.PictureCounted,
    "picture-recounted/2": events.PictureRecounted,
    "field-removed/1": events.FieldRemoved,
    "field-reviewed/1": events.FieldReviewed,
    "scale-changed/1": events.ScaleChanged,
    "marks-added/2": events.MarksAdded,
    "marks-removed/1": events.MarksRemoved,
    "mark-moved/2": events.MarkMoved,
    "mark-reshaped/2": events.MarkReshaped,
    "mark-split/2": events.MarkSplit,
    "marks-joined/2": events.MarksJoined,
    "marks-staged/1": events.MarksStaged,
    "state-set/1": events.StateSet,
    "proposals-accepted/1": events.ProposalsAccepted,
    "tally-started/1": events.TallyStarted,
    "key-tallied/1": events.KeyTallied,
    "square-done/1": events.SquareDone,
    "tally-finished/1": events.TallyFinished,
    "undone/1": events.Undone,
    "redone/1": events.Redone,
}
_WITHOUT_PROPOSALS: tuple[type[Event], ...] = (
    events.PictureCounted,
    events.PictureRecounted,
    events.MarksAdded,
    events.MarkMoved,
    events.MarkReshaped,
    events.MarkSplit,
    events.MarksJoined,
)
"""What holds marks: in its first version marks had no proposal of their state."""

_POINT = struct.Struct("<dd")
_KIND_OF = {made: kind for kind, made in KINDS.items()}


def _as_now(made: type[Event]) -> Callable[[Any], Event]:
    """A reader of bodies whose fields are all fields of now; what is new gets its default."""

    def read(fields: Any) -> Event:
        event: Event = _CONVERTER.structure(fields, made)
        return event

    return read


OLD_KINDS: Mapping[str, Callable[[Any], Event]] = {
    _KIND_OF[made].replace("/2", "/1"): _as_now(made) for made in _WITHOUT_PROPOSALS
}
"""Readers of bodies that older programs wrote, by kind."""


_UNREADABLE = (
    cattrs.BaseValidationError,
    cattrs.errors.ForbiddenExtraKeysError,
    ValueError,
    TypeError,
    KeyError,
    AttributeError,
)
"""What reading a body of the wrong shape raises."""


def encode(event: Event) -> tuple[str, str]:
    """Return (kind, body): the kind with its version, and the event's fields as JSON text."""
    body = _CONVERTER.unstructure(event)
    return _KIND_OF[type(event)], json.dumps(
        body, ensure_ascii=False, allow_nan=False, separators=(",", ":")
    )


def kind_of(event: type[Event]) -> str:
    """Return the kind, with its version, that such events are written as."""
    return _KIND_OF[event]


def decode(kind: str, body: str) -> Event:
    """Return the event that :func:`encode` turned into ``kind`` and ``body``.

    Raises :class:`~counter.errors.CounterError` for a kind of a newer program and for a body that
    cannot be read.
    """
    if kind not in KINDS and kind not in OLD_KINDS:
        raise CounterError(
            f"The record holds “{kind}”, which this version of Hingeline does not know; open it "
            "with the newer version that wrote it."
        )
    try:
        fields = json.loads(body)
        if kind in OLD_KINDS:
            return OLD_KINDS[kind](fields)
        event: Event = _CONVERTER.structure(fields, KINDS[kind])
    except _UNREADABLE as error:
        raise CounterError(
            f"An event “{kind}” of the record cannot be read; the file is damaged: open one of "
            "the copies kept beside it."
        ) from error
    return event


def _converter() -> cattrs.Converter:
    converter = cattrs.Converter(forbid_extra_keys=True, detailed_validation=False)
    converter.register_unstructure_hook(
        Mark,
        make_dict_unstructure_fn(
            Mark,
            converter,
            outline_px=override(unstruct_hook=_packed),
            flags=override(unstruct_hook=sorted),
        ),
    )
    converter.register_structure_hook(
        Mark,
        make_dict_structure_fn(
            Mark,
            converter,
            _cattrs_forbid_extra_keys=True,
            outline_px=override(struct_hook=_outline),
            flags=override(struct_hook=_flags),
        ),
    )
    converter.register_unstructure_hook(PictureField, _field_out(converter))
    converter.register_structure_hook(PictureField, _field_in(converter))
    return converter


def _packed(outline: tuple[Point, ...]) -> str:
    """Outlines are most of a record: x, y, x, y … as little-endian doubles, in base64.

    Exact like JSON's decimals, half as long and many times as fast.
    """
    flat = list(chain.from_iterable(outline))
    if not all(map(math.isfinite, flat)):
        raise ValueError("an outline holds a number that is not finite")
    return b2a_base64(struct.pack(f"<{len(flat)}d", *flat), newline=False).decode("ascii")


def _outline(raw: Any, _: object) -> tuple[Point, ...]:
    """Read a packed outline, or a plain list of pairs."""
    if not isinstance(raw, str):
        return tuple((float(x), float(y)) for x, y in raw)
    packed = a2b_base64(raw, strict_mode=True)
    if len(packed) % _POINT.size:
        raise ValueError("an outline ends in the middle of a point")
    return tuple(_POINT.iter_unpack(packed))


def _flags(raw: Any, _: object) -> frozenset[str]:
    return frozenset(str(key) for key in raw)


def _field_out(converter: cattrs.Converter) -> Callable[[PictureField], dict[str, Any]]:
    """A field's marks are a list in JSON: every mark knows its id."""

    def out(field: PictureField) -> dict[str, Any]:
        return {
            "field_id": field.field_id,
            "picture": converter.unstructure(field.picture),
            "marks": [converter.unstructure(mark) for mark in field.marks.values()],
            "reviewed": field.reviewed,
        }

    return out


def _field_in(converter: cattrs.Converter) -> Callable[[Any, object], PictureField]:
    def read(raw: Any, _: object) -> PictureField:
        marks = converter.structure(raw["marks"], tuple[Mark, ...])
        return PictureField(
            field_id=converter.structure(raw["field_id"], int),
            picture=converter.structure(raw["picture"], Picture),
            marks={mark.mark_id: mark for mark in marks},
            reviewed=converter.structure(raw["reviewed"], bool),
        )

    return read


_CONVERTER = _converter()
