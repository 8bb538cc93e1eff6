"""What is odd about a picture of a sample, as its scale, chamber and target stand now.

Unlike the warnings that reading and counting left on the picture, these go when their cause goes:
when the scale is put right, or another chamber is chosen.
"""

from __future__ import annotations

from counter.domain.field import PictureField
from counter.domain.naming import picture_names
from counter.domain.rim import rim_words
from counter.domain.sample import Sample
from counter.domain.scale import LEAST_UM_PER_PX, MOST_UM_PER_PX, Scale
from counter.domain.scale_checks import rulings_doubt


def notes(sample: Sample, field: PictureField) -> tuple[str, ...]:
    """Return what a reader of the result must know of ``field``: its doubts, and a rule of its own.

    They stand beside the warnings that reading and counting left on the picture.
    """
    own_rule = () if field.picture.rim is None else (rim_words(sample.edges),)
    return (*field.picture.warnings, *own_rule, *doubts(sample, field))


def doubts(sample: Sample, field: PictureField) -> tuple[str, ...]:
    """Return what is odd about ``field``, a sentence each, with its cause and what to do."""
    picture = field.picture
    said = (rulings_doubt(picture.grid, sample.chamber.ruling_um, picture.scale, sample.lens),)
    return tuple(filter(None, said))


def picture_doubts(sample: Sample) -> tuple[str, ...]:
    """Return the doubts of all pictures; what several have in common stands once."""
    called = picture_names(sample.picture_fields())
    names: dict[str, list[str]] = {}
    for field in sample.picture_fields():
        for sentence in doubts(sample, field):
            names.setdefault(sentence, []).append(called[field.field_id])
    said = []
    for sentence, pictures in names.items():
        more = f" and {len(pictures) - 1} more" if len(pictures) > 1 else ""
        said.append(f"{pictures[0]}{more}: {sentence}")
    return tuple(said)


def scale_of_rulings(sample: Sample, field: PictureField) -> Scale | None:
    """Return the scale that the rulings on a picture tell; None where they tell none."""
    grid, ruling_um = field.picture.grid, sample.chamber.ruling_um
    if grid is None or ruling_um is None:
        return None
    um_per_px = grid.um_per_px(ruling_um)
    if not LEAST_UM_PER_PX <= um_per_px <= MOST_UM_PER_PX:
        return None
    return Scale(um_per_px, "rulings", um_per_px * grid.error_px / grid.period_px)
