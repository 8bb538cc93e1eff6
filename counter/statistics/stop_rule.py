"""The rule when to stop, stated before counting on, and how far the count is with it.

A number of fillings fixed before is a rule that the counts cannot bend. Who goes on, or stops, for
what has been seen so far pulls the number towards what was hoped for.
"""

from __future__ import annotations

from counter.domain.sample import Sample
from counter.statistics.replicates import replicates


def counted_fillings(sample: Sample) -> int:
    """Return how many fillings were looked at."""
    return len(replicates(sample)[0])


def stop_words(sample: Sample) -> str:
    """Return the rule and how far the count is, in a sentence or two; empty without a rule."""
    rule = sample.stop_after
    if rule is None:
        return ""
    done = counted_fillings(sample)
    stated = f"Stop rule: {rule} filling{'' if rule == 1 else 's'} in all"
    if done < rule:
        return f"{stated}; {done} counted, {rule - done} to go."
    if done == rule:
        return f"{stated}, all counted: stop here."
    return (
        f"{stated}; {done} are counted. If the number itself made you go on, it is biased: the "
        f"first {rule} stand."
    )
