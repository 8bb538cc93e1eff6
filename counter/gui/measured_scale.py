"""Scales that are measured on a picture, with the words that a person reads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from counter.domain.mark import Point
from counter.domain.scale import Lens, Scale
from counter.errors import CounterError
from counter.gui.shelf import PageKey
from counter.imaging.calibration import Calibration, two_clicks
from counter.imaging.read import read_field, read_page
from counter.imaging.slide import AnyPhoto

CLICKS, MICROMETER, RULINGS = "clicks", "micrometer", "rulings"
_LEAST_DECIMALS, _MOST_DECIMALS = 2, 5


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured scale, and the size of the picture that it was measured on."""

    calibration: Calibration
    source: str
    width_px: int
    height_px: int

    @property
    def scale(self) -> Scale:
        """The scale in use."""
        return self.calibration.scale(self.source)

    @property
    def words(self) -> str:
        """The scale with its standard error, as a person reads it."""
        found = self.calibration
        words = scale_words(found.um_per_px, found.standard_error)
        number = found.divisions_used
        over = {MICROMETER: f", {number} divisions", RULINGS: f", over {number} squares"}
        return words + over.get(self.source, "")

    def as_lens(self, name: str, day: date) -> Lens:
        """Return the lens that remembers this scale."""
        found = self.calibration
        size = self.width_px, self.height_px
        return Lens(name, found.um_per_px, found.standard_error, day, *size)


def scale_words(um_per_px: float, standard_error: float) -> str:
    """Return a scale in µm per pixel as far as its standard error lets it be known.

    At least two and at most five decimals; an error too small for those is said in words.
    """
    if standard_error < 0.5 * 10.0**-_MOST_DECIMALS:
        least = f"{10.0**-_MOST_DECIMALS:.{_MOST_DECIMALS}f}"
        return f"{um_per_px:.{_MOST_DECIMALS}f} µm per pixel, ± less than {least}"
    needed = math.ceil(-math.log10(standard_error))
    decimals = min(max(needed, _LEAST_DECIMALS), _MOST_DECIMALS)
    return f"{um_per_px:.{decimals}f} ± {standard_error:.{decimals}f} µm per pixel"


def from_two_points(a: Point, b: Point, length_um: float, size: tuple[int, int]) -> Measured:
    """Return the scale at which a and b are ``length_um`` apart; ``size`` is the picture's."""
    return Measured(two_clicks(a, b, length_um), CLICKS, *size)


def from_micrometer(file: str, division_um: float) -> Measured:
    """Return the scale of a picture of a stage micrometer; runs off the window's thread.

    Raises :class:`CounterError`, naming the file, where no regular lines are found.
    """
    from counter.imaging.micrometer import (
        calibrate_micrometer,
    )  # late: scipy.signal is slow to load

    photo = read_page(file)
    try:
        found = calibrate_micrometer(photo.grey(), division_um)
    except CounterError as error:
        raise type(error)(f"{Path(file).name}: {error}") from None
    return _measured(found, MICROMETER, photo)


def from_rulings(key: PageKey, photo: AnyPhoto | None, period_um: float) -> Measured:
    """Return the scale of a picture that shows the chamber's rulings, ``period_um`` apart.

    ``photo`` is the picture if it is in memory, else it is read. Runs off the window's thread.
    Raises :class:`CounterError`, naming the file, where no rulings are found.
    """
    from counter.imaging.scan_rulings import scale_from_rulings  # late: scipy.signal is slow

    photo = photo or read_field(*key)
    try:
        found = scale_from_rulings(photo, period_um)
    except CounterError as error:
        raise type(error)(f"{Path(key[0]).name}: {error}") from None
    return _measured(found, RULINGS, photo)


def _measured(found: Calibration, source: str, photo: AnyPhoto) -> Measured:
    return Measured(found, source, photo.width_px, photo.height_px)
