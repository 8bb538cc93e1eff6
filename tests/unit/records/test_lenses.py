"""Calibrated lenses: the newest is used, none is lost."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest

from counter.domain.scale import Lens
from counter.errors import UsageError
from counter.records.store import Store

LENS = Lens("10x", 1.2402, 0.0004, date(2031, 5, 6), 2592, 1944)


@pytest.fixture
def store() -> Iterator[Store]:
    kept = Store(":memory:")
    yield kept
    kept.close()


def test_a_lens_comes_back_as_it_was(store: Store) -> None:
    """Every field, to the last digit."""
    store.save_lens(LENS)
    assert store.lens("10x") == LENS


def test_a_new_calibration_is_used_and_the_old_one_kept(store: Store) -> None:
    """The one saved last counts, also where its date is earlier."""
    newer = Lens("10x", 1.2433, 0.0003, date(2031, 5, 1), 2592, 1944)
    store.save_lens(LENS)
    store.save_lens(newer)
    store.save_lens(Lens("4x", 3.1, 0.001, date(2031, 5, 6), 2592, 1944))
    assert store.lens("10x") == newer
    assert store.lens_history("10x") == (newer, LENS)
    assert [lens.name for lens in store.lenses()] == ["10x", "4x"]
    assert store.lenses()[0] == newer
    assert store.lens_history("20x") == ()


def test_an_unknown_lens_lists_those_there_are(store: Store) -> None:
    """Or says that there is none yet."""
    with pytest.raises(UsageError, match=r"no lens “10x”\. Calibrate one"):
        store.lens("10x")
    store.save_lens(LENS)
    store.save_lens(Lens("4x", 3.1, 0.001, date(2031, 5, 6), 2592, 1944))
    with pytest.raises(UsageError, match=r"no lens “20x”\. There is: 10x, 4x"):
        store.lens("20x")


def test_a_lens_needs_a_name(store: Store) -> None:
    """A lens without a name could never be asked for."""
    with pytest.raises(UsageError, match="no name"):
        store.save_lens(Lens(" ", 1.0, 0.1, date(2031, 5, 6), 10, 20))
