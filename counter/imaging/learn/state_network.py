"""The network that proposes states: a few convolutions over one crop, three answers."""

from __future__ import annotations

import copy
from pathlib import Path

import torch
from torch import Tensor, nn

from counter.imaging.closer import SIDE as CLOSER_SIDE
from counter.imaging.learn.again import layers_of, put_back, settled, weights_in
from counter.imaging.state_crops import CLOSE_SIDE, SIDE

ANSWERS = ("shells", "eggs", "eyes", "closer")
"""What is learnt, in the order of the logits: dead, fertilised, eye spot, whether it is a body at
all; each has its file."""

OUTPUTS = len(ANSWERS)


def _conv(before: int, after: int, stride: int = 1, kernel: int = 3, groups: int = 1) -> nn.Module:
    return nn.Sequential(
        nn.Conv2d(before, after, kernel, stride, kernel // 2, groups=groups, bias=False),
        nn.BatchNorm2d(after),
        nn.ReLU(inplace=True),
    )


def _apart(before: int, after: int, stride: int = 1) -> nn.Module:
    """A convolution in two steps: each channel by itself, then all of them at each place."""
    alone = nn.Sequential(
        nn.Conv2d(before, before, 3, stride, 1, groups=before, bias=False),
        nn.BatchNorm2d(before),
    )
    return nn.Sequential(alone, _conv(before, after, kernel=1))


class States(nn.Module):
    """(n, 2, side, side) → (n, :data:`OUTPUTS`) logits."""

    side = SIDE

    def __init__(self, widths: tuple[int, int, int, int] = (16, 28, 48, 96)) -> None:
        super().__init__()
        a, b, c, d = widths
        self.body = nn.Sequential(
            _conv(2, a, 2),
            _apart(a, b, 2),
            _apart(b, b),
            _apart(b, c, 2),
            _apart(c, c),
            _apart(c, c),
            _apart(c, d, 2),
            _apart(d, d),
        )
        self.mean, self.most = nn.AvgPool2d(self.side // 16), nn.MaxPool2d(self.side // 16)
        self.drop = nn.Dropout(0.1)
        self.last = nn.Linear(2 * d, OUTPUTS)

    def forward(self, x: Tensor) -> Tensor:
        """Return the logits."""
        x = self.body(x)
        x = torch.cat([self.mean(x), self.most(x)], 1).flatten(1)
        out: Tensor = self.last(self.drop(x))
        return out


class Wide(States):
    """The same with whole convolutions: slower, to see what the steps apart cost."""

    def __init__(self, widths: tuple[int, int, int, int] = (16, 24, 40, 64)) -> None:
        super().__init__(widths)
        a, b, c, d = widths
        self.body = nn.Sequential(
            _conv(2, a, 2), _conv(a, b, 2), _conv(b, b), _conv(b, c, 2), _conv(c, c),
            _conv(c, d, 2), _conv(d, d),
        )  # fmt: skip


class Close(Wide):
    """For crops of :data:`CLOSE_SIDE`; the spot is looked for before the crop is made coarse."""

    side = CLOSE_SIDE

    def __init__(self, widths: tuple[int, int, int, int] = (16, 32, 48, 64)) -> None:
        super().__init__(widths)
        a, b, c, d = widths
        self.body = nn.Sequential(
            _conv(2, a, 2), _conv(a, a), _conv(a, b, 2), _conv(b, b), _conv(b, c, 2), _conv(c, c),
            _conv(c, d, 2), _conv(d, d),
        )  # fmt: skip


class Closer(Wide):
    """For the closer look at candidates: of any kind, with room for what lies around them."""

    side = CLOSER_SIDE

    def __init__(self, widths: tuple[int, int, int, int] = (20, 36, 64, 96)) -> None:
        super().__init__(widths)


def begin_again(model: States, path: Path, given: Tensor) -> None:
    """Put back what :func:`export` wrote to a file named for its answer, ready to learn on.

    ``given`` (n, 2, side, side) are crops as training shows them. The other answers stay as they
    are. Raises :class:`ValueError` for a file of another network or name.
    """
    layers = layers_of(list(model.body.modules()))
    put_back(layers, weights_in(path, "Conv"), path)
    ((weight, bias),) = weights_in(path, "Gemm")
    with torch.no_grad():
        model.last.weight[ANSWERS.index(path.stem)] = weight[0].to(model.last.weight.device)
        model.last.bias[ANSWERS.index(path.stem)] = bias[0].to(model.last.bias.device)
    settled(model, layers, given)


def export(model: States, answer: int, path: Path) -> None:
    """Write the network with one of its answers as ONNX, for any number of crops."""
    alone = copy.deepcopy(model).float().cpu().eval()
    last = nn.Linear(alone.last.in_features, 1)
    with torch.no_grad():
        last.weight.copy_(alone.last.weight[answer : answer + 1])
        last.bias.copy_(alone.last.bias[answer : answer + 1])
    alone.last = last
    torch.onnx.export(
        alone,
        (torch.zeros(1, 2, alone.side, alone.side),),
        str(path),
        input_names=["crops"],
        output_names=["logit"],
        opset_version=13,
        dynamic_axes={"crops": {0: "n"}, "logit": {0: "n"}},
        dynamo=False,
    )
