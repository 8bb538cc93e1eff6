"""Counts as typed beside the volumes that they were counted in."""

from __future__ import annotations

import pytest

from counter.domain.counts_entry import counts_in_volumes, volumes_of_counts, whole_number
from counter.errors import UsageError


def test_one_volume_stands_for_all_counts() -> None:
    """A lost count is left out together with its volume."""
    counts, volumes_ml = counts_in_volumes("112,x,103", "0.25 mL", "now", "each")
    assert counts == (112, 103)
    assert volumes_ml == (0.25, 0.25)


def test_each_count_may_have_its_own_volume() -> None:
    """A lost one takes its own volume with it."""
    found = counts_in_volumes("112,x,103", "0.25 mL; 0.5 mL; 1 mL", "now", "each")
    assert found == ((112, 103), (0.25, 1.0))


def test_the_field_is_named_where_it_cannot_be_read() -> None:
    """No unit, another number of volumes, all lost."""
    with pytest.raises(UsageError, match="each"):
        volumes_of_counts("0.25", 3, "each")
    with pytest.raises(UsageError, match="3 counts but 2 volumes"):
        volumes_of_counts("1 mL; 2 mL", 3, "each")
    with pytest.raises(UsageError, match="All counts"):
        counts_in_volumes("x,x", "1 mL", "now", "each")


@pytest.mark.parametrize("text", ["1", "2.5", "many", "", "-3", "²"])
def test_a_number_below_the_least_or_not_whole_is_refused(text: str) -> None:
    """The field is named."""
    with pytest.raises(UsageError, match="squares"):
        whole_number(text, "squares", least=2)


def test_a_whole_number_is_read() -> None:
    """Spaces around it do not matter."""
    assert whole_number(" 50 ", "squares", least=1) == 50
