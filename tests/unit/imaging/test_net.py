"""The learned finder's network, run by OpenCV."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from counter.imaging import net


@pytest.fixture
def fresh() -> None:
    """Forget a network loaded before, now and afterwards."""
    net.load.cache_clear()


def pattern(height: int, width: int) -> net.Floats:
    """A smooth picture with a few dark discs, the same on every machine."""
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    seen = 0.55 + 0.05 * np.sin(x / 40)
    for at_x, at_y, radius in ((40, 40, 12), (100, 60, 20), (60, 110, 9)):
        seen -= 0.5 * (np.hypot(x - at_x, y - at_y) < radius)
    return np.repeat(seen[:, :, None], 3, axis=2).astype(np.float32)


def test_the_shipped_network_answers_as_when_it_was_shipped() -> None:
    """Whatever version of OpenCV runs it, the answer to a small picture is the stored one."""
    answer = net.ask(net.load(), pattern(128, 160))
    stored = np.load(Path(__file__).parent / "net_answer.npy")
    assert answer.depth.shape == (32, 40)
    assert np.abs(answer.depth - stored).max() < 1e-3


def test_any_size_is_brought_to_the_networks_grain() -> None:
    """Sides become the nearest multiples of 32, never 0; grey becomes three alike channels."""
    for height, width in ((70, 333), (5, 9), (257, 64)):
        seen = net.seen_by_net(np.full((height, width), 90, np.uint8), 1.0)
        assert seen.shape[0] % 32 == 0
        assert seen.shape[1] % 32 == 0
        assert min(seen.shape[:2]) >= 32
        assert np.array_equal(seen[..., 0], seen[..., 2])


def test_gain_and_bit_depth_make_no_difference() -> None:
    """A 12-bit camera's file, and a darker copy, look the same to the network."""
    rng = np.random.default_rng(3)
    light = rng.uniform(0.2, 1.0, (64, 96, 3))
    bytes_ = net.seen_by_net((light * 250).astype(np.uint8), 1.0)
    darker = net.seen_by_net((light * 125).astype(np.uint8), 1.0)
    twelve = net.seen_by_net((light * 4000).astype(np.uint16), 1.0)
    assert np.abs(bytes_ - darker).max() < 0.02
    assert np.abs(bytes_ - twelve).max() < 0.02


def test_tiles_agree_with_the_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """A large picture is cut into overlapping tiles; no seam shows."""
    seen = np.tile(pattern(128, 160), (4, 4, 1))
    whole = net.ask(net.load(), seen)
    monkeypatch.setattr(net, "LARGEST_SIDE", 448)
    monkeypatch.setattr(net, "OVERLAP", 128)
    tiled = net.ask(net.load(), seen)
    assert tiled.depth.shape == whole.depth.shape
    assert np.abs(tiled.depth - whole.depth).max() < 0.15
    assert np.abs(tiled.depth - whole.depth).mean() < 0.002


@pytest.mark.usefixtures("fresh")
def test_a_missing_or_damaged_file_is_said_in_words(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The error names the file and what to do."""
    monkeypatch.setattr("counter.imaging.networks.resources.files", lambda _: tmp_path)
    with pytest.raises(net.NoNetworkError, match=r"finder\.onnx.*install"):
        net.load()
    (tmp_path / "model").mkdir()
    (tmp_path / "model" / "finder.onnx").write_bytes(b"not a network")
    with pytest.raises(net.NoNetworkError, match=r"finder\.onnx.*install"):
        net.load()
    net.load.cache_clear()


def test_the_network_gets_the_picture_in_blocks() -> None:
    """Each 2 × 2 pixels become twelve numbers: by row, by column, then by colour."""
    seen = np.arange(32 * 64 * 3, dtype=np.float32).reshape(32, 64, 3)
    cut = net.blocks(seen)
    assert cut.shape == (1, 12, 16, 32)
    assert cut[0, :, 5, 7].tolist() == seen[10:12, 14:16].ravel().tolist()
