"""The working of stages, states and shares: the way to each number beside the total."""

from __future__ import annotations

from counter.domain.rounding import on_paper, quantity_for_people, whole_for_people
from counter.domain.sample import Sample
from counter.statistics.estimate import PartBehind, stages_behind, states_behind
from counter.statistics.method import CHECKED_ONLY
from counter.statistics.proportion_working import share_working
from counter.statistics.replicates import replicates
from counter.statistics.states import state_shares
from counter.statistics.working import to_total


def parts_working(sample: Sample) -> tuple[str, ...]:
    """Return the lines on each stage, each state that was said, and the shares of states."""
    return (
        *(line for one in stages_behind(sample) for line in _part("Stage", one, sample)),
        *(line for one in states_behind(sample) for line in _part("State", one, sample)),
        *(line for share in state_shares(sample) for line in share.working()),
    )


def _part(kind: str, behind: PartBehind, sample: Sample) -> list[str]:
    name = f"{kind} {behind.name or 'not said'}"
    counted = whole_for_people(behind.counted)
    shares = share_working(behind.counted, behind.whole, sample.confidence)
    if behind.counted == behind.whole:
        return [f"{name}: all {counted}, so its numbers are those of the total", *shares]
    sums = " + ".join(map(whole_for_people, behind.counts))
    volumes_ml = [entry.volume_ml for entry in replicates(sample)[0]]
    return [
        f"{name}: {sums} = {counted}" if len(behind.counts) > 1 else f"{name}: {counted} counted",
        *shares,
        *_checked(behind),
        *to_total(behind.result, volumes_ml, sample.dilution, with_check=False),
    ]


def _checked(behind: PartBehind) -> list[str]:
    """Return how pictures that nobody looked through are corrected; nothing where all were."""
    result, seen = behind.result, behind.result.checked
    if seen is None:
        return []
    count = quantity_for_people(result.count)
    if result.method.startswith(CHECKED_ONLY):
        return [f"From what was looked through alone, as if all were like it: {count}"]
    return [
        f"With those not looked through set right: {whole_for_people(behind.counted)} + "
        f"{behind.unchecked} × ({on_paper(seen.ratio)} − 1) = {count}"
    ]
