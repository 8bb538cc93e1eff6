"""Does a picture fit the scale that is about to be used on it? Doubts, in words."""

from __future__ import annotations

from collections.abc import Sequence

from counter.domain.ruled import RuledGrid
from counter.domain.scale import LEAST_UM_PER_PX, MOST_UM_PER_PX, Lens, Scale

AGREE_WITHIN = 0.03
"""Scales that differ by less (3 %) are taken for the same."""

OBJECTIVE_STEPS = (2.0, 2.5, 4.0, 5.0, 6.25, 10.0, 20.0)
"""How many times stronger one usual objective (2×, 4×, 10×, 20×, 25×, 40×) is than another."""


def lens_warnings(
    lens: Lens, width_px: int, height_px: int, metadata_um_per_px: float | None = None
) -> tuple[str, ...]:
    """Return what is odd about using ``lens`` on a picture of this size and stated scale.

    Empty where the size is that of the calibration (upright or turned) and the file states the
    same scale, or none.
    """
    said = [_size_doubt(lens, width_px, height_px)]
    said.append(_doubt(f"The lens “{lens.name}” says", lens.um_per_px, metadata_um_per_px))
    return tuple(filter(None, said))


def beside_earlier(lens: Lens, earlier: Sequence[Lens]) -> str:
    """Return how a new calibration compares with those of the same name, the last one first.

    Empty where there is none. More than 3 % off is another objective, zoom or picture size.
    """
    if not earlier:
        return ""
    last, times = earlier[0], "once" if len(earlier) == 1 else f"{len(earlier)} times"
    said = (
        f"Calibrated {times} before, last on {last.calibrated_on} with {last.um_per_px:.5g} µm per "
        "pixel"
    )
    off = lens.um_per_px / last.um_per_px - 1
    if abs(off) <= AGREE_WITHIN:
        return f"{said}: {abs(100 * off):.2g} % {'less' if off < 0 else 'more'} now."
    ratio = max(1 + off, 1 / (1 + off))
    return (
        f"{said}: {ratio:.3g} times {'less' if off < 0 else 'more'} now. If objective, zoom or "
        "picture size are others, keep them as a lens of their own; pictures counted before keep "
        "the scale that they were counted with."
    )


def given_scale_warnings(
    um_per_px: float, metadata_um_per_px: float | None, subject: str = "The scale given says"
) -> tuple[str, ...]:
    """Return what is odd about a scale that was typed or measured, where the file states another.

    ``subject`` begins the sentence: who says ``um_per_px``.
    """
    return tuple(filter(None, [_doubt(subject, um_per_px, metadata_um_per_px)]))


def rulings_doubt(
    grid: RuledGrid | None, ruling_um: float | None, scale: Scale, lens: str | None = None
) -> str:
    """Return what is odd about ``scale`` beside the rulings of the chamber; empty: nothing.

    ``grid`` is what was found on the picture and ``ruling_um`` the period of the chamber's rulings;
    None of either says nothing. They agree within 3 % and three standard errors. ``lens`` names
    the lens that the scale comes from.
    """
    if grid is None or ruling_um is None or scale.source == "rulings":
        return ""
    told = grid.um_per_px(ruling_um)
    if not LEAST_UM_PER_PX <= told <= MOST_UM_PER_PX:
        return ""  # no microscope has it: these are not the rulings of this chamber
    ratio = max(told / scale.um_per_px, scale.um_per_px / told)
    if ratio - 1.0 <= AGREE_WITHIN + 3.0 * grid.error_px / grid.period_px:
        return ""
    who = f"the lens “{lens}”" if scale.source == "lens" and lens else _SUBJECTS[scale.source]
    off = f"{ratio:.3g} times"
    small = told > scale.um_per_px
    return (
        f"The rulings say {told:.3g} µm per pixel, {who} {scale.um_per_px:.3g}: "
        f"{'wrong objective' if _step(ratio) else 'wrong zoom, binning or lens'}, or another "
        f"chamber than the one chosen? Lengths would be {off} too {'short' if small else 'long'}, "
        f"numbers {ratio**2:.3g} times too {'high' if small else 'low'}."
    )


_SUBJECTS = {
    "given": "the scale given",
    "lens": "the lens",
    "metadata": "the picture's own file",
    "clicks": "the distance drawn",
    "micrometer": "the stage micrometer",
}


def _step(ratio: float) -> float | None:
    """Return the step between usual objectives that a ratio (1 or more) is; None if it is none."""
    return next((s for s in OBJECTIVE_STEPS if abs(ratio / s - 1.0) <= AGREE_WITHIN), None)


def _size_doubt(lens: Lens, width_px: int, height_px: int) -> str:
    calibrated, shown = sorted((lens.width_px, lens.height_px)), sorted((width_px, height_px))
    if calibrated == shown:
        return ""
    sizes = f"{width_px} × {height_px} px, but the lens “{lens.name}” was calibrated at "
    sizes += f"{lens.width_px} × {lens.height_px} px"
    short, long = shown[0] / calibrated[0], shown[1] / calibrated[1]
    if abs(long - short) * calibrated[0] <= 2.0:
        other = lens.um_per_px / long
        return (
            f"The picture is {sizes}: it was resized or binned, and then a pixel is {other:.4g} µm "
            f"instead of {lens.um_per_px:.4g}; use the camera's own file or calibrate at this size."
        )
    return (
        f"The picture is {sizes}: it was cropped, or comes from another camera; if it was cropped "
        "the scale holds, else calibrate again."
    )


def _doubt(subject: str, um_per_px: float, stated: float | None) -> str:
    if stated is None or abs(stated / um_per_px - 1.0) <= AGREE_WITHIN:
        return ""
    ratio = max(stated / um_per_px, um_per_px / stated)
    said = (
        f"{subject} {um_per_px:.4g} µm per pixel, the picture's own file {stated:.4g} "
        f"({ratio:.3g} times {'more' if stated > um_per_px else 'less'})"
    )
    step = _step(ratio)
    if step is not None:
        return (
            f"{said}: another objective, zoom or binning (a step of {step:g})? Lengths would "
            f"be {ratio:.3g} times off and the total {ratio**2:.3g} times."
        )
    return f"{said}; check which one belongs to this objective and zoom."
