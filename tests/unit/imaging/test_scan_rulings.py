"""The scale from the rulings of a slide: the same as from the whole picture."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import tifffile

from counter.errors import CounterError
from counter.imaging.draw.gauge import draw_rulings
from counter.imaging.draw.settings import Rulings
from counter.imaging.photo import Photo
from counter.imaging.read import read_field
from counter.imaging.scan_rulings import scale_from_rulings
from counter.imaging.slide import AnyPhoto


def slide_of(tmp_path: Path, pixels: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> AnyPhoto:
    """The picture as a tiled file, opened as a slide."""
    kind = "rgb" if pixels.ndim == 3 else "minisblack"
    tifffile.imwrite(tmp_path / "ruled.tif", pixels, photometric=kind, metadata=None, tile=(64, 96))
    return read_field(tmp_path / "ruled.tif", whole_px=0)


@pytest.mark.parametrize("most_px", [8_000_000, 60_000])
def test_a_slide_tells_the_scale_of_the_whole_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, most_px: int
) -> None:
    """Measured on its overview, at full size or a fourth of it."""
    monkeypatch.setattr("counter.imaging.overview.OVERVIEW_PX", most_px)
    pixels = draw_rulings(Rulings(period_um=250), 3, 700, 520, 2.0).pixels
    whole = scale_from_rulings(Photo(pixels), 250.0)
    found = scale_from_rulings(slide_of(tmp_path, np.asarray(pixels, np.uint8)), 250.0)
    assert whole.um_per_px == pytest.approx(2.0, rel=0.003)
    assert found.um_per_px == pytest.approx(2.0, rel=0.003)


def test_a_slide_without_rulings_says_so(tmp_path: Path) -> None:
    """Neither its overview nor its middle shows any."""
    noise = np.random.default_rng(1).normal(190, 4, (300, 420)).astype(np.uint8)
    with pytest.raises(CounterError, match="rulings"):
        scale_from_rulings(slide_of(tmp_path, noise), 250.0)
