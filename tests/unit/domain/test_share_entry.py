"""Reading how many of how many."""

from __future__ import annotations

import pytest

from counter.domain.share_entry import parse_share
from counter.errors import UsageError


@pytest.mark.parametrize("text", ["120/200", " 120 / 200 ", "120 of 200", "120\u00a0/\u00a0200"])
def test_a_share_is_read_as_it_is_written(text: str) -> None:
    """With a stroke or in words, with any spaces."""
    assert parse_share(text, "share") == (120, 200)


@pytest.mark.parametrize("text", ["0/1", "7/7"])
def test_none_and_all_are_shares(text: str) -> None:
    """The ends belong to them."""
    assert parse_share(text, "share") == tuple(int(part) for part in text.split("/"))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        ("  ", "is empty"),
        ("60 %", "does not say of how many"),
        ("120", "is not understood"),
        ("120/200/300", "is not understood"),
        ("-3/20", "“-3” is not a whole number"),
        ("3/-20", "“-20” is not a whole number"),
        ("1.5/20", "“1.5” is not a whole number"),
        ("/20", "“” is not a whole number"),
        ("²/20", "is not a whole number"),
        ("x/20", "“x” is not a whole number"),
        ("210/200", "is more than all"),
        ("0/0", "is of none"),
        ("1/9999999999", "more than anyone can count"),
    ],
)
def test_what_is_no_share_is_refused_by_name(text: str, said: str) -> None:
    """One sentence that names the field and says what is wrong."""
    with pytest.raises(UsageError, match=r"[Tt]he second share") as refused:
        parse_share(text, "second share")
    assert said in str(refused.value)
