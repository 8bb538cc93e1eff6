"""Figures, by matplotlib's objects and without its global state; on screen and in files alike."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from counter.domain.chart_note import CHART_KEY, CHART_VALUE
from counter.domain.rounding import for_people
from counter.domain.sample import Sample
from counter.domain.species import TargetKind
from counter.errors import UsageError
from counter.exporting.write import write_whole
from counter.statistics.sizes import sizes

SUFFIXES = (".png", ".svg", ".pdf")
FILLS = (
    ("#b3cde8", ""),
    ("#1f5a91", "////"),
    ("#f2c46d", "...."),
    ("#9c4a1a", "\\\\\\\\"),
    ("#5d5d5d", "xxxx"),
    ("#cfcfcf", "----"),
)
"""Colour and hatching of the stages in growing order: light and dark in turn, so that they can be
told apart without colour."""

BIN_WIDTHS_UM = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500)
WANTED_BINS = 24
DOTS_PER_INCH = 160


def size_histogram(sample: Sample) -> Figure:
    """Return the histogram of the lengths that :func:`~counter.statistics.sizes.sizes` describes.

    One stack a bin, by stage; the median is a dashed line. Where nothing was measured the figure
    says so.
    """
    figure = Figure(figsize=(7.2, 4.2), layout="constrained")
    axes = figure.add_subplot()
    what = "egg" if sample.target.kind is TargetKind.EGGS else "shell"
    axes.set_xlabel(f"longest dimension of the {what} (µm)")
    axes.set_ylabel(f"number of {sample.target.kind} measured")
    axes.spines[["top", "right"]].set_visible(False)
    summary = sizes(sample)
    if summary is None:
        axes.set_title(f"No {sample.target.kind} measured", loc="left")
        axes.set_xlim(sample.target.low_um, sample.target.high_um)
        axes.set_yticks([])
        return figure
    _draw_stacks(axes, sample)
    axes.axvline(
        summary.median,
        color="black",
        linestyle="--",
        linewidth=1.2,
        label=f"median {for_people(summary.median)} µm",
    )
    name = f"{sample.name}: " if sample.name else ""
    axes.set_title(
        f"{name}{summary.measured} measured, 10th to 90th percentile "
        f"{for_people(summary.p10)} to {for_people(summary.p90)} µm",
        loc="left",
        fontsize="medium",
    )
    axes.yaxis.set_major_locator(MaxNLocator(integer=True))
    axes.legend(frameon=False)
    return figure


def save(figure: Figure, path: Path | str) -> None:
    """Write ``figure`` as PNG, SVG or PDF, by the end of the name; whole or not at all.

    Raises :class:`UsageError` for another kind and :class:`~counter.errors.CounterError` where the
    file cannot be written.
    """
    kind = checked_suffix(Path(path))
    notes: dict[str, Any] = {"Title": "Hingeline", "CreationDate": None}
    if kind == "png":
        notes = {CHART_KEY: CHART_VALUE}
    elif kind == "svg":
        notes = {"Title": "Hingeline", "Date": None}
    with mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": "hingeline"}):
        write_whole(
            Path(path),
            lambda file: figure.savefig(file, format=kind, dpi=DOTS_PER_INCH, metadata=notes),
        )


def checked_suffix(path: Path) -> str:
    """Return ``png``, ``svg`` or ``pdf``; raises :class:`UsageError` for any other ending."""
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        raise UsageError(
            f"{path}: a chart is written as .png, .svg or .pdf; give the file such a name."
        )
    return suffix[1:]


def _draw_stacks(axes: Any, sample: Sample) -> None:
    lengths: dict[str, list[float]] = {}
    for mark in sample.counted_marks():
        if not mark.is_cut:
            lengths.setdefault(mark.stage, []).append(mark.length_um)
    order = [stage.stage for stage in sample.target.species.stages]
    stages = sorted(lengths, key=lambda name: order.index(name) if name in order else len(order))
    fills = [FILLS[(order.index(s) if s in order else 0) % len(FILLS)] for s in stages]
    _, _, stacks = axes.hist(
        [lengths[stage] for stage in stages],
        bins=_edges([length for some in lengths.values() for length in some]),
        stacked=True,
        color=[colour for colour, _ in fills],
        edgecolor="white",
        linewidth=0.8,
        label=[f"{stage} ({len(lengths[stage])})" for stage in stages],
    )
    for stack, (_, hatch) in zip(stacks if len(stages) > 1 else [stacks], fills, strict=True):
        for bar in stack:
            bar.set_hatch(hatch)


def _edges(lengths: list[float]) -> NDArray[np.float64]:
    """Return the edges of about 24 bins of a round width, at least three of them."""
    low, high = min(lengths), max(lengths)
    width = next(
        (step for step in BIN_WIDTHS_UM if (high - low) / step <= WANTED_BINS), BIN_WIDTHS_UM[-1]
    )
    first = math.floor(low / width) - 1
    last = math.floor(high / width) + 2
    return np.arange(first, last + 1, dtype=np.float64) * width
