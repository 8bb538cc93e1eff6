"""The network that proposes states and its training, where torch is installed (``[train]``)."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

torch = pytest.importorskip("torch", reason="torch is not installed: the extra [train] brings it")
network = pytest.importorskip("counter.imaging.learn.state_network", exc_type=ImportError)
train = pytest.importorskip("counter.imaging.learn.state_train", exc_type=ImportError)


@pytest.mark.filterwarnings("ignore::DeprecationWarning")  # torch's tracing exporter says it is old
@pytest.mark.parametrize("made", ["States", "Wide", "Close"])
def test_one_answer_is_exported_for_any_number_of_crops(made: str, tmp_path: Path) -> None:
    """OpenCV gives what torch gives for that answer, on batches of several sizes."""
    torch.manual_seed(1)
    model = getattr(network, made)().eval()
    network.export(model, 1, tmp_path / "net.onnx")
    net = cv2.dnn.readNetFromONNX(str(tmp_path / "net.onnx"))
    for count in (1, 5):
        crops = np.random.default_rng(count).standard_normal((count, 2, model.side, model.side))
        crops = crops.astype(np.float32)
        net.setInput(crops)
        with torch.no_grad():
            expected = model(torch.from_numpy(crops)).numpy()[:, 1]
        assert np.abs(np.ravel(net.forward()) - expected).max() < 1e-4


def test_a_network_begins_again_from_its_file() -> None:
    """The shipped closer look answers as its file does, also once its normalisations are filled."""
    file = Path(__file__).parents[4] / "resources" / "model" / "closer.onnx"
    crops = np.random.default_rng(3).random((12, 2, 64, 64)).astype(np.float32)
    model = network.Closer()
    network.begin_again(model, file, torch.from_numpy(crops))
    net = cv2.dnn.readNetFromONNX(str(file))
    net.setInput(crops)
    model.eval()
    with torch.no_grad():
        answers = model(torch.from_numpy(crops)).numpy()[:, network.ANSWERS.index("closer")]
    assert np.abs(np.ravel(net.forward()) - answers).max() < 1e-3
    norms = [each for each in model.modules() if isinstance(each, torch.nn.BatchNorm2d)]
    assert max(float(each.running_mean.abs().max()) for each in norms) > 0.01


def test_another_networks_file_is_refused() -> None:
    file = Path(__file__).parents[4] / "resources" / "model" / "closer.onnx"
    with pytest.raises(ValueError, match="another build"):
        network.begin_again(network.Wide(), file, torch.zeros(4, 2, 64, 64))


def test_the_networks_stay_small() -> None:
    """Under a hundred thousand weights each; a little more where the crop is closer."""
    for made, most in (
        (network.States, 100_000),
        (network.Wide, 100_000),
        (network.Close, 120_000),
    ):
        assert sum(weight.numel() for weight in made().parameters()) < most


def test_labels_that_are_not_known_cost_nothing() -> None:
    """An egg says nothing of empty shells."""
    labels = torch.tensor([[1, -1, 0], [-1, 1, -1]], dtype=torch.int8)
    right = torch.tensor([[20.0, -20.0, -20.0], [20.0, 20.0, 20.0]])
    assert float(train.loss_of(right, labels)) < 1e-6
    assert float(train.loss_of(-right, labels)) > 10


def test_calibration_brings_overconfident_answers_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """Logits three times too large come out with a temperature of about three."""
    torch.manual_seed(0)
    held = train.Store(4000, "cpu", 16)
    truth = torch.randn(4000)
    held.labels[:] = -1
    held.labels[:, 0] = (torch.rand(4000) < torch.sigmoid(truth)).to(torch.int8)
    monkeypatch.setattr(
        train, "logits_of", lambda *_: torch.stack([truth * 3] * network.OUTPUTS, 1)
    )
    model = network.States()
    before = model.last.weight[0].detach().clone()
    train.calibrated(model, held)
    assert float((model.last.weight[0].detach() / before).mean()) == pytest.approx(1 / 3, rel=0.2)
