"""Where the parts of the window lie: the card, the picture between scale and strip, the results."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QSizePolicy, QSplitter, QVBoxLayout, QWidget

CARD_WIDTH, RESULTS_WIDTH = 252, 372
RESULTS_SHARE = 0.26
LEAST_CARD_WIDTH = 190


def side_by_side(
    card: QWidget, above: Sequence[QWidget], pages: QWidget, strip: QWidget, results: QWidget
) -> QSplitter:
    """Return them in a row whose borders can be moved; none can be pushed out of sight.

    ``above`` lie above the pages, and ``strip`` beneath.
    """
    middle = QWidget()
    column = QVBoxLayout(middle)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(0)
    for part in above:
        column.addWidget(part)
    column.addWidget(pages, 1)
    column.addWidget(strip)
    row = QSplitter(Qt.Orientation.Horizontal)
    for part in (card, middle, results):
        row.addWidget(part)
    row.setStretchFactor(1, 1)
    row.setChildrenCollapsible(False)
    card.setMinimumWidth(LEAST_CARD_WIDTH)
    for part in above:  # may be cut off; the total may not
        part.setSizePolicy(QSizePolicy.Policy.Ignored, part.sizePolicy().verticalPolicy())
    return row


def shared_out(width: int) -> list[int]:
    """Return how wide card, picture and results are in a window of ``width`` pixels."""
    results = max(RESULTS_WIDTH, round(width * RESULTS_SHARE))
    return [CARD_WIDTH, width - CARD_WIDTH - results, results]
