"""Which pictures to look through next."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from counter.domain.field import Compared, PictureField
from counter.domain.sample import Filling, Sample
from counter.statistics.checked import checked
from counter.statistics.estimate import estimate
from counter.statistics.proposal import gain, lot_seed, to_check
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def sample(reviewed: list[bool], first: str = "a-1.png", marks: int = 20) -> Sample:
    """One picture for each entry."""
    fields = []
    for number, looked in enumerate(reviewed, start=1):
        name = first if number == 1 else f"a-{number}.png"
        field = picture(*[mark(n) for n in range(1, marks + 1)], field_id=number, file=name)
        fields.append(replace(field, found=field.marks, reviewed=looked))
    return Sample(LARVAE, CHAMBER, vessel_ml=20_000.0, fillings=(Filling(1, tuple(fields)),))


def ids(fields: tuple[PictureField, ...]) -> list[int]:
    """Their field ids."""
    return [field.field_id for field in fields]


@given(st.lists(st.booleans(), min_size=1, max_size=12), st.integers(0, 5))
def test_only_pictures_that_nobody_looked_through_are_drawn(
    reviewed: list[bool], most: int
) -> None:
    """As many as are asked for, while there are any; each once."""
    drawn = ids(to_check(sample(reviewed), most))
    assert len(drawn) == len(set(drawn)) == min(most, reviewed.count(False))
    assert not any(reviewed[number - 1] for number in drawn)


def test_looking_through_one_leaves_the_order_of_the_others() -> None:
    """The lot was drawn before anything was looked at."""
    order = ids(to_check(sample([False] * 8), 8))
    seen = [number == order[0] for number in range(1, 9)]
    assert ids(to_check(sample(seen), 8)) == order[1:]
    assert ids(to_check(sample([False] * 9), 9)) != sorted(order)


def test_the_lot_depends_on_the_sample_and_is_even() -> None:
    """Over many samples every one of five pictures comes first about as often."""
    first = [ids(to_check(sample([False] * 5, f"tank-{n}.png"), 1))[0] for n in range(400)]
    assert lot_seed(sample([False], "x.png")) != lot_seed(sample([False], "y.png"))
    assert all(50 <= first.count(number) <= 115 for number in range(1, 6))


def test_nobody_looked_is_said_with_what_to_do() -> None:
    """Three are named with the seed; a single picture needs no lot; all looked through, no word."""
    (said,) = estimate(sample([False] * 5)).warnings
    assert said.startswith("Nobody has looked through any of the pictures")
    assert f"seed {lot_seed(sample([False]))}" in said
    (single,) = estimate(sample([False])).warnings
    assert "Look through a-1.png, and correct" in single
    assert estimate(sample([True, True])).warnings == ()


def test_what_more_checking_would_gain_is_said() -> None:
    """In per cent of the number, before and after."""
    (said,) = estimate(sample([True, False, False, False, False, False])).warnings
    assert "1 of 6 pictures were looked through" in said
    assert "would change the limits from ±" in said


def test_checking_everything_leaves_the_limits_of_chance() -> None:
    """Then the width is that of the count alone; with scattering fillings less is gained."""
    seen = checked([Compared(40, 36, 44)], [40, 40, 40])
    assert seen is not None
    assert gain(seen, 1.0, 3) == (1 / seen.index) ** 0.5
    assert gain(seen, 1.0, 1) > gain(seen, 1.0, 3)
    assert gain(seen, 3.0, 3) > gain(seen, 1.0, 3)


def test_too_little_looked_through_gains_most() -> None:
    """Three of the machine's marks on one of four pictures: four times the variance of chance."""
    seen = checked([Compared(3, 3, 4)], [4, 2, 3])
    assert seen is not None
    assert seen.spread == 4.0
    assert gain(seen, 1.0, 3) == 0.5
