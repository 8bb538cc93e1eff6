"""The numbers of the sample as it stands, each computed once a state and only when asked for."""

from __future__ import annotations

from functools import cached_property

from counter.domain.sample import Sample
from counter.session.core import SessionCore
from counter.statistics.estimate import (
    Estimate,
    StageEstimate,
    StateEstimate,
    by_stage,
    by_state,
    estimate,
)
from counter.statistics.proposal import to_check
from counter.statistics.sizes import Sizes, sizes
from counter.statistics.states import StateShare, state_shares, states_to_check
from counter.statistics.whole_working import whole_working


class SampleNumbers:
    """What :mod:`counter.statistics` says of one sample."""

    def __init__(self, sample: Sample) -> None:
        self.sample = sample

    @cached_property
    def estimate(self) -> Estimate:
        """Density and total with limits, all stages together."""
        return estimate(self.sample)

    @cached_property
    def stages(self) -> tuple[StageEstimate, ...]:
        """Every stage that was counted, with limits of its own."""
        return by_stage(self.sample)

    @cached_property
    def states(self) -> tuple[StateEstimate, ...]:
        """Live, dead … with limits of their own; nothing where no state was said."""
        return by_state(self.sample)

    @cached_property
    def to_check(self) -> tuple[int, ...]:
        """The ids of the pictures to look through next, drawn by lot."""
        return tuple(entry.field_id for entry in to_check(self.sample))

    @cached_property
    def state_shares(self) -> tuple[StateShare, ...]:
        """The share of the dead or of the fertilised with limits, and who says so."""
        return state_shares(self.sample)

    @cached_property
    def states_to_check(self) -> tuple[tuple[int, int], ...]:
        """(field_id, mark_id) of the marks whose proposed state is doubtful, worst first."""
        return states_to_check(self.sample)

    @cached_property
    def sizes(self) -> Sizes | None:
        """Lengths in µm; None where nothing was measured."""
        return sizes(self.sample)

    @cached_property
    def working(self) -> tuple[str, ...]:
        """The way to every number, line by line as on paper."""
        return whole_working(self.sample, self.estimate)


class NumberedSession(SessionCore):
    """The numbers of an open sample; they follow every gesture."""

    _numbers: SampleNumbers | None = None

    @property
    def numbers(self) -> SampleNumbers:
        """All the numbers of the sample as it stands."""
        if self._numbers is None or self._numbers.sample is not self.sample:
            self._numbers = SampleNumbers(self.sample)
        return self._numbers

    @property
    def estimate(self) -> Estimate:
        """Density and total with limits, all stages together."""
        return self.numbers.estimate

    @property
    def stages(self) -> tuple[StageEstimate, ...]:
        """Every stage that was counted, with limits of its own."""
        return self.numbers.stages

    @property
    def states(self) -> tuple[StateEstimate, ...]:
        """Live, dead … with limits of their own; nothing where no state was said."""
        return self.numbers.states

    @property
    def to_check(self) -> tuple[int, ...]:
        """The ids of the pictures to look through next, drawn by lot; empty once all were."""
        return self.numbers.to_check

    @property
    def state_shares(self) -> tuple[StateShare, ...]:
        """The share of the dead or of the fertilised with limits, and who says so."""
        return self.numbers.state_shares

    @property
    def states_to_check(self) -> tuple[tuple[int, int], ...]:
        """(field_id, mark_id) of the marks whose proposed state is doubtful, worst first."""
        return self.numbers.states_to_check

    @property
    def sizes(self) -> Sizes | None:
        """Lengths in µm; None where nothing was measured."""
        return self.numbers.sizes

    @property
    def working(self) -> tuple[str, ...]:
        """The way to the total, line by line as on paper."""
        return self.numbers.working
