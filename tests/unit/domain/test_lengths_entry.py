"""Lengths as they are typed."""

from __future__ import annotations

import pytest

from counter.domain.lengths_entry import parse_lengths_um
from counter.errors import UsageError


@pytest.mark.parametrize(
    ("text", "lengths"),
    [
        ("71,75,68", (71.0, 75.0, 68.0)),
        ("71, 75, 68", (71.0, 75.0, 68.0)),
        ("71.5,75,x,68", (71.5, 75.0, 68.0)),
        ("71,5; 75,2", (71.5, 75.2)),
        ("71,5 75,2\n68", (71.5, 75.2, 68.0)),
        ("71;75; -", (71.0, 75.0)),
        ("71", (71.0,)),
    ],
)
def test_lengths_are_read_as_people_write_them(text: str, lengths: tuple[float, ...]) -> None:
    """Commas separate, or are decimal where something else separates; x is lost."""
    assert parse_lengths_um(text, "lengths") == lengths


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "hold no length"),
        ("x,x,x", "hold no length"),
        ("71,5", "one length or two; write 71.5 or 71; 5"),
        ("71,many,70", "“many” is not a number"),
        ("71,,70", "“” is not a number"),
        ("71,-75,70", "“-75” is no length of a larva"),
        ("71,2,70", "“2” is no length"),
        ("71 9000", "“9000” is no length"),
        ("nan 70", "is not a finite number"),
    ],
)
def test_what_is_no_length_is_refused_by_name(text: str, said: str) -> None:
    """One sentence that names the field."""
    with pytest.raises(UsageError, match="lengths before") as refused:
        parse_lengths_um(text, "lengths before")
    assert said in str(refused.value)
