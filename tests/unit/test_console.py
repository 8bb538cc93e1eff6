"""Consoles with a narrow encoding."""

from __future__ import annotations

import io

import pytest

from counter.console import nearest_plain, prepare


@pytest.mark.parametrize(
    ("encoding", "shown"),
    [
        ("ascii", '317 173 uL x 2 chi2 "tank" ?'),
        ("cp1252", "317 173 µL × 2 chi² “tank” ?"),
        ("utf-8", "317\u202f173 µL × 2 χ² “tank” \u2603"),
    ],
)
def test_what_a_console_lacks_is_shown_as_the_nearest_plain_character(
    encoding: str, shown: str
) -> None:
    """Nothing fails to print; what the encoding has is left as it is."""
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding=encoding)
    prepare(stream, io.StringIO())
    stream.write("317\u202f173 µL × 2 χ² “tank” \u2603")
    stream.flush()
    assert raw.getvalue().decode(encoding) == shown


def test_bytes_that_cannot_be_read_are_not_its_business() -> None:
    """An error of decoding goes through."""
    with pytest.raises(UnicodeDecodeError):
        nearest_plain(UnicodeDecodeError("ascii", b"\xff", 0, 1, "no"))
