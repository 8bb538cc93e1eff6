"""What counting on would bring, in sentences."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.uncertainty import VolumeUncertainty
from counter.statistics.checked import Checked
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
    """What widens the limits multiplies what is needed; the sentence fits the limits shown."""
    even = done_so_far(estimate_counts([76, 76, 76], [1.0] * 3), 3)
    scattered = estimate_counts([88, 58, 82], [1.0] * 3)
    clumped = done_so_far(scattered, 3, squares=60)
    assert even.index == 1.0
    assert clumped.index_with(0, 0.95) == pytest.approx(scattered.widening.factor(0.95))
    assert clumped.index_with(30, 0.95) < 0.7 * clumped.index_with(0, 0.95)
    assert clumped.squares == 60
    half = (scattered.count_high - scattered.count_low) / 2 / 228
    assert effort_sentence(clumped, 0.95).startswith(f"±{100 * half:.2g} % now")


def test_volumes_that_are_badly_known_set_a_floor() -> None:
    """A pipette of 3 % standard uncertainty leaves room for ±10 %, one of 6 % does not."""
    fair, poor = (
        estimate_counts([300], [1.0], vessel_ml=1e4, volumes=VolumeUncertainty(pipette=relative))
        for relative in (0.03, 0.06)
    )
    done = done_so_far(fair, 1)
    assert done.fixed == pytest.approx(0.03)
    assert fair.low is not None
    assert fair.high is not None
    assert fair.total is not None
    found = effort(done)
    assert found is not None
    assert found.now == pytest.approx((fair.high - fair.low) / 2 / fair.total, rel=0.02)
    more = found.more_larvae
    assert more is not None
    then = estimate_counts(
        [300 + more], [1.0], vessel_ml=1e4, volumes=VolumeUncertainty(pipette=0.03)
    )
    assert then.low is not None
    assert then.high is not None
    assert then.total is not None
    assert (then.high - then.low) / 2 / then.total == pytest.approx(0.1, rel=0.02)
    assert "out of reach by counting: the volumes are not known well enough" in effort_sentence(
        done_so_far(poor, 1), 0.95
    )


def test_pictures_that_nobody_checked_widen_what_is_needed() -> None:
    """The limits on the count say what the variance is multiplied with."""
    plain = estimate_counts([400], [1.0])
    middle, half = 400.0, (plain.count_high - plain.count_low) / 2
    wide = replace(
        plain,
        count_low=middle - 2 * half,
        count_high=middle + 2 * half,
        checked=Checked(6, 2, 100, 4, 5, 300),
    )
    assert done_so_far(wide, 1).index == pytest.approx(4.0)


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
