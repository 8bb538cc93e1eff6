"""Measured scales in words."""

from __future__ import annotations

import pytest

from counter.gui.measured_scale import scale_words


@pytest.mark.parametrize(
    ("um_per_px", "error", "words"),
    [
        (1.05271, 0.0021, "1.053 ± 0.002 µm per pixel"),
        (2.05012, 0.0004, "2.0501 ± 0.0004 µm per pixel"),
        (1.24, 6e-6, "1.24000 ± 0.00001 µm per pixel"),
        (1.24, 1e-9, "1.24000 µm per pixel, ± less than 0.00001"),
        (1.24, 0.0, "1.24000 µm per pixel, ± less than 0.00001"),
        (12.3, 0.4, "12.30 ± 0.40 µm per pixel"),
    ],
)
def test_a_scale_has_the_decimals_that_its_error_allows(
    um_per_px: float, error: float, words: str
) -> None:
    """Never a power of ten with an e, never more digits than are known."""
    assert scale_words(um_per_px, error) == words
