"""A page that waits to be counted, and how its field goes into the sample."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from counter.domain.field import PictureField
from counter.domain.scale import Scale
from counter.gui.shelf import PageKey
from counter.session import Session


@dataclass(slots=True, eq=False)
class Place:
    """The filling that pages opened together go into; None until the first of them is counted."""

    is_folder: bool
    filling_id: int | None


@dataclass(frozen=True, slots=True)
class Waiting:
    """One page that is to be counted into a session; ``field_id``: instead of that field."""

    key: PageKey
    session: Session
    place: Place
    scale: Scale | None = None
    field_id: int | None = None

    @property
    def name(self) -> str:
        """The page's name for people."""
        file, page = self.key
        return Path(file).name if page == 0 else f"{Path(file).name} · page {page + 1}"


def kept_in_sample(entry: Waiting, field: PictureField) -> tuple[int, ...]:
    """Commit a field into its filling, which is begun by the first field that needs it."""
    session, place = entry.session, entry.place
    if entry.field_id is not None:
        session.recount(entry.field_id, field)
        return (entry.field_id,)
    fillings = session.sample.fillings
    if place.filling_id not in {filling.filling_id for filling in fillings}:
        place.filling_id = None
    if place.filling_id is None and fillings:
        is_empty = not fillings[-1].fields
        place.filling_id = fillings[-1].filling_id if is_empty else session.add_filling()
    ids = session.add_picture_fields([field], place.filling_id)
    place.filling_id = next(
        filling.filling_id
        for filling in session.sample.fillings
        if any(entry.field_id in ids for entry in filling.fields)
    )
    return ids


def resolved(key: PageKey) -> PageKey:
    """Return the page by the file that its path leads to."""
    return str(Path(key[0]).resolve()), key[1]


def keys_in(session: Session) -> set[PageKey]:
    """Return the pages that are in a sample already."""
    return {
        resolved((field.picture.file, field.picture.page))
        for field in session.sample.picture_fields()
    }
