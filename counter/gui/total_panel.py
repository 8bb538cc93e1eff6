"""The total with its limits, always in sight, large enough to read from the stool."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QColor, QPalette, QResizeEvent
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QVBoxLayout, QWidget

from counter.domain.sample import Sample
from counter.domain.units import limits_for_people, volume_for_people, whole_for_people
from counter.gui.bench import Bench
from counter.gui.scrolled_label import ScrolledLabel
from counter.gui.style import (
    TonedLabel,
    easy_to_hit,
    enlarged,
    named,
    plain_colour,
    problem_colour,
    quiet_colour,
)
from counter.statistics.cautions import NO_VESSEL, NOTHING_LOOKED_AT
from counter.statistics.estimate import Estimate
from counter.statistics.method import method_for_people, mixing_for_people, uneven_for_people

NOTHING_YET = "Nothing is counted yet."
SAID_OTHERWISE = frozenset({NOTHING_LOOKED_AT, NO_VESSEL})
"""Warnings of the estimate that the panel says in its own way."""


def total_words(estimate: Estimate) -> tuple[str, str, str]:
    """Return the large number, its limits, and what it is of, as a person reads them.

    Without a vessel's volume the density stands in; before anything was looked at, a dash.
    """
    sure = f"{estimate.confidence * 100:g} % limits"
    if estimate.total is not None and estimate.low is not None and estimate.high is not None:
        big, limits = _parted(estimate.total, estimate.low, estimate.high)
        assert estimate.vessel_ml is not None
        return big, f"{limits}  ·  {sure}", f"in {volume_for_people(estimate.vessel_ml)}"
    density = density_words(estimate)
    if density is None:
        return "–", "", NOTHING_YET
    return density[0], f"{density[1]}  ·  {sure}", "per mL; the total needs the vessel's volume"


def density_words(estimate: Estimate) -> tuple[str, str] | None:
    """Return the density per mL and its limits; None before anything was looked at."""
    values = (
        estimate.density_per_ml,
        estimate.density_low_per_ml,
        estimate.density_high_per_ml,
    )
    if values[0] is None or values[1] is None or values[2] is None:
        return None
    return _parted(values[0], values[1], values[2])


def _parted(value: float, low: float, high: float) -> tuple[str, str]:
    """Return the number and its limits apart, rounded together."""
    first, _, rest = limits_for_people(value, low, high).partition(" (")
    return first, rest.rstrip(")")


def basis_words(sample: Sample, estimate: Estimate) -> str:
    """Return what the number rests on, in a few short lines; nothing while there is none."""
    lines = []
    density = density_words(estimate)
    if density is None:
        return ""
    if estimate.total is not None:
        lines.append(f"{density[0]} per mL ({density[1]})")
    volume = volume_for_people(float(f"{estimate.volume_counted_ml:.4g}"))
    lines.append(f"{whole_for_people(estimate.counted)} counted in {volume}")
    borders = sample.edges.value.replace("-", " and ")
    lines.append(f"{method_for_people(estimate)}  ·  {borders} borders count")
    lines += filter(None, [mixing_for_people(estimate)])
    return "\n".join(lines)


_SOON_MS = 120
_MOST_OF_WARNINGS_PX = 150


class TotalPanel(QFrame):
    """Shows the estimate; it is redrawn in the same turn as the gesture that changed it.

    What looks like a slip beside the tank's last sample follows a moment after the last of several
    gestures.
    """

    vessel_wanted = Signal()
    """The vessel's volume is about to be typed on the sample card."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self.big = self._label("Total", 2.9, bold=True)
        self.limits = self._label("Limits of the total", 1.3)
        self.uneven = self._label("Limits if the vessel is mixed unevenly", 1.1)
        self.where = self._label("What the total is of", 1.1)
        self.ask_vessel = QPushButton("Type the vessel's volume…")
        easy_to_hit(self.ask_vessel)
        named(
            self.ask_vessel,
            "Type the vessel's volume",
            "Goes to its line on the sample card; the total then stands here.",
        )
        self.ask_vessel.clicked.connect(self.vessel_wanted)
        self.basis = self._label("What the total rests on", 1.0, quiet_colour)
        self.effort = self._label("How many more to count", 1.0, quiet_colour)
        self.warnings = self._label("Warnings", 1.0, problem_colour, bold=True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 8, 10, 8)
        layout.setSpacing(2)
        layout.addWidget(self.big)
        layout.addWidget(self.limits)
        layout.addWidget(self.uneven)
        layout.addWidget(self.where)
        layout.addWidget(self.ask_vessel, 0, Qt.AlignmentFlag.AlignLeft)
        for label in (self.basis, self.effort):
            layout.addWidget(label)
        self._scrolled = ScrolledLabel(self.warnings, _MOST_OF_WARNINGS_PX)
        layout.addWidget(self._scrolled)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        named(self, "Total with limits")
        self._slips: tuple[str, ...] = ()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_SOON_MS)
        self._soon.timeout.connect(self._refresh_slips_on_screen)
        bench.sample_changed.connect(self.refresh)
        bench.sample_changed.connect(self._soon.start)
        bench.sample_opened.connect(self.refresh_slips)
        self.refresh()
        self.refresh_slips()

    def _label(
        self,
        name: str,
        size: float,
        tone: Callable[[QPalette], QColor] = plain_colour,
        bold: bool = False,
    ) -> QLabel:
        label = TonedLabel(tone)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        enlarged(label, size, bold)
        named(label, name)
        return label

    def refresh(self) -> None:
        """Show the estimate as it stands."""
        estimate = self._bench.session.estimate
        big, limits, where = total_words(estimate)
        self.big.setText(big)
        self.limits.setText(limits)
        self.limits.setVisible(bool(limits))
        uneven = uneven_for_people(estimate)
        self.uneven.setText(uneven)
        self.uneven.setVisible(bool(uneven))
        self.where.setText(where)
        self.where.setVisible(bool(where))
        self.ask_vessel.setVisible(estimate.vessel_ml is None)
        basis = basis_words(self._bench.sample, estimate)
        self.basis.setText(basis)
        self.basis.setVisible(bool(basis))
        effort = self._bench.session.effort
        self.effort.setText(effort)
        self.effort.setVisible(bool(effort))
        self._show_warnings()
        self.setAccessibleDescription(" ".join(filter(None, (big, where, limits, uneven))))

    def _keep_whole(self) -> None:
        """Take the height that the words need, so that none is cut off on a small screen."""
        self.setMinimumHeight(self.heightForWidth(self.width()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._keep_whole()

    def _refresh_slips_on_screen(self) -> None:
        """Leave the records alone once the window is closed."""
        if self.window().isVisible():
            self.refresh_slips()

    def refresh_slips(self) -> None:
        """Show what looks like a slip, above the warnings of the estimate."""
        session = self._bench.session
        self._slips = session.cautions[len(session.estimate.warnings) :]
        self._show_warnings()

    def _show_warnings(self) -> None:
        warnings = [
            warning
            for warning in (*self._slips, *self._bench.session.estimate.warnings)
            if warning not in SAID_OTHERWISE
        ]
        self._scrolled.set_text("\n".join(f"⚠ {warning}" for warning in warnings))
        self._keep_whole()
