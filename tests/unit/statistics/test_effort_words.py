"""What counting on would bring, in sentences."""

from __future__ import annotations

from counter.statistics.effort import Done, Minutes, effort
from counter.statistics.effort_words import done_so_far, effort_sentence, effort_words
from counter.statistics.estimate import estimate_counts


def plain(text: str) -> str:
    """The text with ordinary spaces."""
    return text.replace("\u202f", " ")


def test_the_short_sentence_fits_beside_the_total() -> None:
    """How narrow now, how many more for ±10 %; nothing while none was counted."""
    assert (
        effort_sentence(Done(105, 0.25, 1), 0.95)
        == "±20 % now: about 290 more (3 more fillings like these) for ±10 %."
    )
    assert effort_sentence(Done(400, 1.0, 4), 0.95) == "Within ±10 % (±9.9 %)."
    assert effort_sentence(Done(0, 1.0, 1), 0.95) == ""
    assert "out of reach" in effort_sentence(Done(100, 1.0, 1), 0.95, 1e-5)


def test_clumped_fillings_take_more() -> None:
    """The index of dispersion of fillings that disagree multiplies what is needed."""
    even = done_so_far(estimate_counts([76, 76, 76], [1.0] * 3), 3)
    clumped = done_so_far(estimate_counts([88, 58, 82], [1.0] * 3), 3, squares=60)
    assert even.index == 1.0
    assert clumped.index > 3
    assert clumped.squares == 60
    assert "1 100 more" in plain(effort_sentence(clumped, 0.95))


def words(done: Done, minutes: Minutes | None = None, precision: float = 0.1) -> str:
    """The whole plan as one text."""
    found = effort(done, precision, minutes=minutes)
    assert found is not None
    return plain("\n".join(effort_words(found, done)))


def test_the_plan_names_both_ways_and_the_stop_rule() -> None:
    """Larvae, fillings, volume, squares; decided before going on."""
    plan = words(Done(313, 0.75, 3, squares=600), Minutes(5.0, 0.1))
    assert "The limits are ±11 % now." in plan
    assert "about 82 more (1 more filling like these), another 0.196 mL." in plan
    assert "Or 158 more squares of the fillings that are loaded." in plan
    assert "More squares are cheaper: new fillings take about 25 min, more squares about 16" in plan
    assert "count 1 more filling and stop, whatever they hold" in plan
    assert "(N − 1) ÷ volume" in plan


def test_fillings_that_differ_need_new_fillings() -> None:
    """And the best number of squares in each is said."""
    plan = words(Done(313, 0.75, 3, squares=600, index=3.0), Minutes(5.0, 0.1))
    assert "More squares of the same fillings cannot do it" in plan
    assert "New fillings take about 220 min." in plan
    assert "about 71 squares of each filling" in plan


def test_squares_and_minutes_are_left_out_where_they_are_not_known() -> None:
    """Only larvae, fillings, volume, and the stop rule."""
    plan = words(Done(313, 0.75, 3))
    assert "squares of" not in plan
    assert "min" not in plan


def test_a_plan_that_is_reached_or_out_of_reach_is_short() -> None:
    """One line, or two."""
    assert words(Done(500, 1.0, 2)) == "The limits are ±8.9 %: ±10 % is reached."
    assert words(Done(100, 1.0, 1), precision=1e-5).endswith("is out of reach by counting.")
