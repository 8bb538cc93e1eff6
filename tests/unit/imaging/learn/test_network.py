"""The network and its training, where torch is installed (the extra ``[train]``)."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from counter.imaging.learn.canvas import Textures
from counter.imaging.learn.patches import draw_patch

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


SHIPPED = Path(__file__).parents[4] / "resources" / "model" / "finder.onnx"


def answer_of(net: cv2.dnn.Net, picture: np.ndarray) -> np.ndarray:
    """What OpenCV makes of a picture (1, 3, h, w)."""
    net.setInput(network.blocks(torch.from_numpy(picture)).numpy())
    return np.asarray(net.forward())


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_the_shipped_network_is_read_back_and_written_again_unchanged(tmp_path: Path) -> None:
    """torch gives for a drawn patch what OpenCV gives with the file; so does a second file."""
    rng = np.random.default_rng(5)
    seen = draw_patch(rng, Textures(rng)).seen[:160]
    picture = ((seen / 212.5 - 0.5) * 2).astype(np.float32).transpose(2, 0, 1)[None]
    model = network.restored(SHIPPED)
    with torch.no_grad():
        told = model(torch.from_numpy(picture)).numpy()
    assert np.abs(told - answer_of(cv2.dnn.readNetFromONNX(str(SHIPPED)), picture)).max() < 1e-4
    network.export(model, tmp_path / "again.onnx")
    again = cv2.dnn.readNetFromONNX(str(tmp_path / "again.onnx"))
    assert np.abs(answer_of(again, picture) - told).max() < 1e-4


def test_normalising_changes_no_answer_and_makes_learning_start_from_it() -> None:
    """The same answers at rest; on the same pictures nearly the same while learning."""
    torch.manual_seed(3)
    model = network.restored(SHIPPED)
    pictures = torch.rand(4, 3, 64, 96) * 2 - 1
    with torch.no_grad():
        before = model(pictures)
        network.normalised(model, pictures)
        after = model(pictures)
        learning = model.train()(pictures)
    assert float((after - before).abs().max()) < 1e-3
    assert float((learning - before).abs().max()) < 0.05


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_another_network_is_refused(tmp_path: Path) -> None:
    """A file of other widths is no start."""
    network.export(network.Finder((8, 16, 24, 32, 40)), tmp_path / "other.onnx")
    with pytest.raises(ValueError, match="another build"):
        network.restored(tmp_path / "other.onnx")


def test_the_file_of_a_network_for_crops_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match=r"closer\.onnx holds a network of another build"):
        network.restored(SHIPPED.with_name("closer.onnx"))
