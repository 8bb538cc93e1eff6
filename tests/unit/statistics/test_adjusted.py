"""That earlier corrections took part is said in a sentence, in the working and in the JSON."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.sample import Filling, Sample
from counter.exporting.document import count_document
from counter.exporting.summary import summary
from counter.statistics.adjusted import adjusted_notes
from counter.statistics.working import working
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def sample(*adjusted_by: int, lens: str | None = "10x") -> Sample:
    """A picture for each number of corrections."""
    fields = []
    for number, corrections in enumerate(adjusted_by, 1):
        entry = picture(mark(1), field_id=number)
        fields.append(replace(entry, picture=replace(entry.picture, adjusted_by=corrections)))
    return Sample(LARVAE, CHAMBER, fillings=(Filling(1, tuple(fields)),), lens=lens)


@pytest.mark.parametrize(
    ("counted", "said"),
    [
        (sample(37, 37), "were adjusted by 37 corrections made before with the lens “10x”."),
        (sample(37, 0, 35), "on 2 of 3 pictures were adjusted by 37 corrections"),
        (sample(1, lens=None), "1 correction made before with the same lens."),
    ],
)
def test_it_is_said_wherever_the_number_stands(counted: Sample, said: str) -> None:
    """The note, the working, the terminal and the JSON, with the number of each picture."""
    (note,) = adjusted_notes(counted)
    assert said in note
    assert note in working(counted)
    assert note in summary(counted)
    document = count_document(counted)
    assert note in document["warnings"]
    pictures = [entry.picture.adjusted_by for entry in counted.picture_fields()]
    assert [field["adjusted_by_corrections"] for field in document["fields"]] == pictures


def test_nothing_is_said_where_nothing_was_adjusted() -> None:
    """Nor where nothing was counted."""
    assert adjusted_notes(sample(0, 0)) == ()
    assert adjusted_notes(Sample(LARVAE, CHAMBER)) == ()
