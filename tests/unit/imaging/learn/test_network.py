"""The network and its training, where torch is installed (the extra ``[train]``)."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

torch = pytest.importorskip("torch", reason="torch is not installed: the extra [train] brings it")
network = pytest.importorskip("counter.imaging.learn.network", exc_type=ImportError)


@pytest.mark.filterwarnings("ignore::DeprecationWarning")  # torch's tracing exporter says it is old
def test_opencv_runs_the_network_as_torch_does(tmp_path: Path) -> None:
    """The file takes 2 × 2 blocks and gives what the network gives for the picture, not square."""
    torch.manual_seed(1)
    model = network.Finder().eval()
    network.export(model, tmp_path / "net.onnx")
    picture = np.random.default_rng(2).standard_normal((1, 3, 64, 96)).astype(np.float32)
    net = cv2.dnn.readNetFromONNX(str(tmp_path / "net.onnx"))
    net.setInput(network.blocks(torch.from_numpy(picture)).numpy())
    with torch.no_grad():
        expected = model(torch.from_numpy(picture)).numpy()
    assert np.abs(net.forward() - expected).max() < 1e-4


def test_the_network_stays_small() -> None:
    """Well under a million weights."""
    assert sum(weight.numel() for weight in network.Finder().parameters()) < 800_000
