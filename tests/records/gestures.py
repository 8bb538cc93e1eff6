"""Random gestures on a session, and a child process that makes them until it is killed.

``python -m tests.records.gestures FILE SEED NUMBER`` opens the last sample of FILE (or begins one),
makes NUMBER gestures and prints ``seq digest`` after each, when it is committed and shown.
"""

from __future__ import annotations

import hashlib
import random
import sys
from dataclasses import replace

from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.proposed import Proposal
from counter.domain.sample import Dilution, Sample
from counter.domain.scale import Scale
from counter.domain.tally_field import TallyField
from counter.domain.uncertainty import VolumeUncertainty
from counter.errors import CounterError
from counter.records.store import Store
from counter.session import Session, open_latest
from tests.hatchery import CHAMBER, EGGS, LARVAE, mark, picture

STAGES = ("d-hinge", "umbo", "eyed")


def digest(sample: Sample) -> str:
    """Return a short name of everything in ``sample``."""
    return hashlib.sha256(repr(sample).encode()).hexdigest()[:16]


def random_gesture(session: Session, dice: random.Random) -> None:
    """Make one gesture; one that cannot be done just now is passed over."""
    kind = dice.choice((_picture, _marks, _marks, _marks, _tally, _tally, _card, _undo, _undo))
    try:
        kind(session, dice)
    except CounterError:
        return


def _picture(session: Session, dice: random.Random) -> None:
    pictures = [entry.field_id for entry in session.sample.picture_fields()]
    what = dice.randrange(8)
    if what < 2 or not pictures:
        session.add_picture_fields([picture(*(mark(n) for n in range(1, dice.randint(1, 5))))])
    elif what == 2:
        session.add_filling(dice.choice((None, 250.0)))
    elif what == 3:
        session.set_scale(dice.choice(pictures), Scale(dice.uniform(0.5, 4.0), "clicks"))
    elif what == 4:
        session.set_reviewed(dice.choice(pictures), dice.random() < 0.7)
    elif what == 5:
        session.recount(dice.choice(pictures), picture(mark(1), mark(2)))
    elif dice.random() < 0.3:
        fields = [entry for filling in session.sample.fillings for entry in filling.fields]
        session.remove_field(dice.choice(fields).field_id)
    else:
        session.set_aliquot_ul(1, dice.choice((None, 250.0, 300.0)))


def _marks(session: Session, dice: random.Random) -> None:
    pictures = list(session.sample.picture_fields())
    if not pictures:
        return
    field: PictureField = dice.choice(pictures)
    ids = list(field.marks)
    new = mark(x_px=dice.uniform(10, 150), length_um=dice.uniform(60, 300), stage="umbo")
    if dice.random() < 0.5:
        new = replace(new, proposal=Proposal(dice.choice(("live", "dead")), dice.uniform(0.6, 1)))
    some = dice.sample(ids, min(len(ids), dice.randint(1, 3)))
    what = dice.randrange(8)
    if what < 2 or not ids:
        session.add_mark(field.field_id, new)
    elif what == 2:
        session.remove_marks(field.field_id, some)
    elif what == 3:
        session.move_mark(field.field_id, some[0], new)
    elif what == 4:
        session.reshape_mark(field.field_id, some[0], replace(new, width_um=50.0))
    elif what == 5:
        session.split_mark(field.field_id, some[0], (new, replace(new, y_px=40.0)))
    elif what == 6:
        session.join_marks(field.field_id, some, new)
    else:
        _say(session, dice, field.field_id, some)


def _say(session: Session, dice: random.Random, field_id: int, some: list[int]) -> None:
    """Say something of marks: their stage, their state, or what is proposed of it."""
    what = dice.randrange(3)
    if what == 0:
        session.accept_proposals(field_id, some)
    elif what == 1:
        session.stage_marks(field_id, some, dice.choice(STAGES))
    else:
        session.set_state(field_id, some, dice.choice(("live", "dead", None)))


def _tally(session: Session, dice: random.Random) -> None:
    tallies = [
        entry.field_id
        for filling in session.sample.fillings
        for entry in filling.fields
        if isinstance(entry, TallyField) and not entry.finished
    ]
    if not tallies:
        session.start_tally("1 mm square", 1.0)
    elif dice.random() < 0.7:
        session.tally(tallies[0], dice.choice(STAGES))
    elif dice.random() < 0.8:
        session.square_done(tallies[0])
    else:
        session.finish_tally(tallies[0])


def _card(session: Session, dice: random.Random) -> None:
    what = dice.randrange(8)
    if what == 7:
        session.set_stop_after(dice.choice((None, 99)))
    elif what == 0:
        session.set_name(f"tank {dice.randint(1, 9)}")
    elif what == 1:
        session.set_vessel_ml(dice.choice((None, 800.0, 20_000.0)))
    elif what == 2:
        session.set_dilution(Dilution(1.0, float(dice.randint(0, 9))))
    elif what == 3:
        session.set_chamber(CHAMBER.certified(dice.uniform(900, 1100)))
    elif what == 4:
        session.set_edges(dice.choice(list(EdgeRule)))
    elif what == 7:
        share = dice.choice((0.0, 0.01, 0.05))
        session.set_volumes(VolumeUncertainty(vessel=share, sources=(f"vessel: {share:g}",)))
    elif what == 5:
        session.set_confidence(dice.choice((0.9, 0.95, 0.99)))
    else:
        session.set_target(dice.choice((EGGS, LARVAE)))


def _undo(session: Session, dice: random.Random) -> None:
    for _ in range(dice.randint(1, 4)):
        if dice.random() < 0.6:
            session.undo()
        else:
            session.redo()


def main(path: str, seed: str, number: str) -> None:
    """Make gestures and print each one's seq and digest once it stands."""
    store = Store(path)
    session = open_latest(store) or Session.start(store, target=LARVAE, chamber=CHAMBER, name="t")

    def show() -> None:
        print(session.last_seq, digest(session.sample), flush=True)

    session.add_listener(show)
    dice = random.Random(int(seed))
    for _ in range(int(number)):
        random_gesture(session, dice)


if __name__ == "__main__":
    main(*sys.argv[1:])
