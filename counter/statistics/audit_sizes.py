"""Sizes that cannot be: for the batch's age, beside the other pictures, or for the animal at all.

The likely cause is a scale that belongs to another objective: usual ones (4, 10, 20, 40 times) lie
2, 2.5 or 4 apart. Each is a sentence with that cause and what to do; nothing here blocks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median, quantiles

from counter.domain.naming import picture_names
from counter.domain.rounding import for_people, quantity_for_people
from counter.domain.sample import Sample
from counter.domain.species import Species, Target, TargetKind
from counter.statistics.sizes import Sizes

LEAST_MEASURED = 5
FASTEST_UM_PER_DAY = 25.0
"""No source has larvae grow faster: 20.6 µm a day in Ostrea edulis at 30 °C (Robert et al. 2017),
19.1 in Crassostrea gigas at 32 °C (Rico-Villa et al. 2009)."""
SHELLED_AFTER_DAYS = 2.0
TOO_SHORT = 0.9
"""A median may lie this much below the shortest shelled larva: outlines differ."""
NEAR_LOW, NEAR_HIGH = 1.1, 0.92
"""A median below so many times the shortest length that is looked for, or above so many times the
longest one, is too near the limit: common practice, no source. No stage of the species here has
its median there."""
OBJECTIVES = (2.0, 2.5, 4.0, 5.0, 10.0)
"""How many times one usual objective (4, 10, 20, 40 ×) magnifies more than another."""
NEIGHBOURS = (2.0, 2.5, 4.0)
NEAR_STEP = 1.12
LEAST_SEEN = 5
TIMES_MORE = 2
"""So many times as many of another size as were counted must be seen before it is said."""


def of_sizes(sample: Sample, found: Sizes | None, age_days: float | None) -> list[str]:
    """Return what is odd about the sizes of a sample.

    ``found`` are its sizes and ``age_days`` the age of its batch; None where they are not known.
    """
    own = _of_age(sample, found, age_days) or _of_limits(sample, found)
    return [*own, *_of_pictures(sample), *_of_other_size(sample)]


def _of_limits(sample: Sample, found: Sizes | None) -> list[str]:
    """Say it when half of the bodies are hardly longer, or shorter, than what is looked for.

    So do the lengths look of a population of which the rest lies beyond the limit, and is missed.
    Only where the limits are the species' own.
    """
    target = sample.target
    eggs = target.kind is TargetKind.EGGS
    own = target.species.egg_um if eggs else target.species.larva_um
    if found is None or found.measured < LEAST_MEASURED or (target.low_um, target.high_um) != own:
        return []
    if found.median < NEAR_LOW * target.low_um:
        beyond, limit_um, missed = "hardly longer than the shortest", target.low_um, "shorter"
    elif found.median > NEAR_HIGH * target.high_um:
        beyond, limit_um, missed = "hardly shorter than the longest", target.high_um, "longer"
    else:
        return []
    return [
        f"Half of the {target.kind.value} are {beyond} that are looked for "
        f"({quantity_for_people(limit_um)} µm), and {missed} ones are not counted. Wrong objective "
        "or scale? See which lens belongs to these pictures."
    ]


def _of_other_size(sample: Sample) -> list[str]:
    """Say it when hardly any body was found, but many that have another size."""
    fields = list(sample.picture_fields())
    seen = [
        (entry.picture.other_size, entry.picture.scale.um_per_px)
        for entry in fields
        if entry.picture.other_size is not None
    ]
    small = [pair for pair in seen if pair[0].times > 1]
    large = [pair for pair in seen if pair[0].times < 1]
    counted = sum(len(entry.counted(sample.edges)) for entry in fields)
    for group in (small, large):
        bodies = sum(size.bodies for size, _ in group)
        if bodies >= max(LEAST_SEEN, TIMES_MORE * counted):
            lengths = [size.median_px * scale for size, scale in group for _ in range(size.bodies)]
            return [_other_size_words(bodies, median(lengths), sample.target)]
    return []


def _other_size_words(bodies: int, length_um: float, target: Target) -> str:
    kind = f"{target.species.name} {target.kind.value}"
    range_um = f"{quantity_for_people(target.low_um)} to {quantity_for_people(target.high_um)} µm"
    seen = f"{bodies} bodies of {for_people(length_um, 2)} µm (median) are seen"
    if target.low_um <= length_um <= target.high_um:
        return (
            f"{seen} that had another size when the pictures were counted and fit now; count the "
            "pictures again."
        )
    small = length_um < target.low_um
    fitting = [
        step
        for step in NEIGHBOURS
        if target.low_um <= (length_um * step if small else length_um / step) <= target.high_um
    ]
    steps = " or ".join(f"{step:g}" for step in fitting) or "4"
    return (
        f"{seen}, too {'small' if small else 'large'} for {kind} ({range_um}): {steps} times "
        f"{'larger' if small else 'smaller'} they would fit. Wrong objective or scale? See which "
        "lens belongs to these pictures, and count again."
    )


def _of_pictures(sample: Sample) -> list[str]:
    """Say which picture's larvae are 2, 2.5 or 4 times as long as those of all the others."""
    measured = [(entry, entry.lengths_um(sample.edges)) for entry in sample.picture_fields()]
    measured = [(entry, lengths) for entry, lengths in measured if len(lengths) >= LEAST_MEASURED]
    if len(measured) < 2:
        return []
    odd = [
        (entry, lengths, others)
        for entry, lengths in measured
        if (others := [x for other, part in measured if other is not entry for x in part])
        and _is_step_apart(lengths, others)
    ]
    if len(measured) == 2:  # nobody knows which of two is the odd one: the later is named
        odd = odd[1:]
    called = picture_names(sample.picture_fields())
    return [_odd_picture_words(called[entry.field_id], *both) for entry, *both in odd]


def _is_step_apart(lengths: Sequence[float], others: Sequence[float]) -> bool:
    """Whether two sets of lengths lie a step between objectives apart, and hardly mix."""
    small, large = sorted((lengths, others), key=median)
    ratio = median(large) / median(small)
    near = any(max(ratio / step, step / ratio) <= NEAR_STEP for step in NEIGHBOURS)
    return near and quantiles(small, n=10)[8] < quantiles(large, n=10)[0]


def _odd_picture_words(name: str, lengths: Sequence[float], others: Sequence[float]) -> str:
    here, there = median(lengths), median(others)
    times = for_people(max(here, there) / min(here, there), 2)
    which = "longer" if here > there else "shorter"
    return (
        f"{name}: the bodies are {times} times {which} (median "
        f"{for_people(here, 2)} µm) than on the other pictures ({for_people(there, 2)} µm); was "
        "another objective on the microscope? Give this picture its own scale."
    )


def expected_um(species: Species, age_days: float) -> tuple[float, float]:
    """Return the shortest and longest length in µm that larvae of this age may have.

    From the first stage with a shell up to the next one's length, and from day 2 on as much more
    as the fastest larvae in print grow.
    """
    shelled = [entry.from_um for entry in species.stages if entry.from_um > 0]
    low = shelled[0] if shelled else species.larva_um[0]
    high = shelled[1] if len(shelled) > 1 else species.larva_um[1]
    return low, high + FASTEST_UM_PER_DAY * max(0.0, age_days - SHELLED_AFTER_DAYS)


def _of_age(sample: Sample, found: Sizes | None, age_days: float | None) -> list[str]:
    """Say it when larvae of this age (days, None: not known) cannot be as long as measured."""
    if found is None or age_days is None or age_days < 0 or found.measured < LEAST_MEASURED:
        return []
    if sample.target.kind is not TargetKind.LARVAE:
        return []
    low, high = expected_um(sample.target.species, age_days)
    if age_days >= SHELLED_AFTER_DAYS and found.median < TOO_SHORT * low:
        return [
            f"The larvae are {quantity_for_people(round(found.median))} µm long (median), too "
            f"short for day {math.floor(age_days)} (from {quantity_for_people(low)} µm); "
            f"{other_objective(found.median, low, high)}"
        ]
    if found.median <= high:
        return []
    return [
        f"The larvae are {quantity_for_people(round(found.median))} µm long (median), too long "
        f"for day {math.floor(age_days)} ({quantity_for_people(low)} to "
        f"{quantity_for_people(high)} µm); {other_objective(found.median, low, high)}"
    ]


def fits_objective(median_um: float, low_um: float, high_um: float) -> bool:
    """Whether another objective explains a median that should lie between two lengths."""
    return bool(_fitting(median_um, low_um, high_um))


def other_objective(median_um: float, low_um: float, high_um: float) -> str:
    """Return the likely cause of a median that should lie between ``low_um`` and ``high_um``."""
    fitting = _fitting(median_um, low_um, high_um)
    if not fitting:
        return "check the scale of the pictures and the age of the batch."
    middle = math.log(low_um * high_um) / 2
    times = min(fitting, key=lambda entry: abs(math.log(fitting[entry]) - middle))
    return (
        f"was another objective on the microscope than the scale says? {times:g} times "
        f"{'shorter' if median_um > high_um else 'longer'} they would be "
        f"{for_people(fitting[times], 2)} µm."
    )


def _fitting(median_um: float, low_um: float, high_um: float) -> dict[float, float]:
    """Return the median that each other objective would give, where it fits."""
    lengths = {
        times: median_um / times if median_um > high_um else median_um * times
        for times in OBJECTIVES
    }
    return {times: length for times, length in lengths.items() if low_um <= length <= high_um}
