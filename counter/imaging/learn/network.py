"""The network: small, fully convolutional, of operations that OpenCV runs as torch does.

It is written to the file so that its first convolution, 5 × 5 in steps of 2 over three colours, is
one of 3 × 3 over 2 × 2 blocks of twelve numbers: the same sums, which OpenCV does in two thirds of
the time.
"""

from __future__ import annotations

from pathlib import Path

import torch
from torch import Tensor, nn
from torch.nn import functional

from counter.imaging.learn.again import Layer, layers_of, put_back, settled, weights_in
from counter.imaging.learn.body_looks import BodyClass
from counter.imaging.learn.targets import RAYS

OUTPUTS = 1 + len(BodyClass) + RAYS


def _conv(before: int, after: int, stride: int = 1, kernel: int = 3) -> nn.Sequential:
    return nn.Sequential(
        nn.Conv2d(before, after, kernel, stride, kernel // 2, bias=False),
        nn.BatchNorm2d(after),
        nn.ReLU(inplace=True),
    )


class Residual(nn.Module):
    """Two convolutions around which the input goes on."""

    def __init__(self, width: int) -> None:
        super().__init__()
        self.first = _conv(width, width)
        self.second = nn.Sequential(
            nn.Conv2d(width, width, 3, 1, 1, bias=False), nn.BatchNorm2d(width)
        )

    def forward(self, x: Tensor) -> Tensor:
        """Return the same shape."""
        return torch.relu(x + self.second(self.first(x)))


class Finder(nn.Module):
    """(n, 3, h, w) with h and w multiples of 32 → (n, :data:`OUTPUTS`, h / 4, w / 4).

    Outputs are: how deep inside a body (logit), one logit for each class, and the logarithm of the
    radius in pixels along each ray.
    """

    def __init__(self, widths: tuple[int, int, int, int, int] = (16, 32, 56, 80, 112)) -> None:
        super().__init__()
        a, b, c, d, e = widths
        self.stem = _conv(3, a, 2, 5)
        self.down4 = nn.Sequential(_conv(a, b, 2), Residual(b))
        self.down8 = nn.Sequential(_conv(b, c, 2), Residual(c))
        self.down16 = nn.Sequential(_conv(c, d, 2), Residual(d))
        self.down32 = nn.Sequential(_conv(d, e, 2), Residual(e))
        self.up16 = _conv(e, d, kernel=1)
        self.up8 = _conv(d, c, kernel=1)
        self.up4 = _conv(c, b, kernel=1)
        self.mix16, self.mix8, self.mix4 = _conv(d, d), _conv(c, c), _conv(b, b)
        self.head = nn.Sequential(_conv(b, 64, kernel=1), nn.Conv2d(64, OUTPUTS, 1))
        self.wider = nn.Upsample(scale_factor=2, mode="nearest")
        last = self.head[1]
        assert isinstance(last, nn.Conv2d)
        assert last.bias is not None
        nn.init.constant_(last.bias, 2.3)
        nn.init.constant_(last.bias[:1], -2.0)

    def forward(self, x: Tensor) -> Tensor:
        """Return logits and logarithms of radii."""
        return self.from_stem(self.stem(x))

    def from_stem(self, at2: Tensor) -> Tensor:
        """Go on from the first features, on a grid of 2 pixels."""
        at4 = self.down4(at2)
        at8 = self.down8(at4)
        at16 = self.down16(at8)
        at32 = self.down32(at16)
        at16 = self.mix16(at16 + self.wider(self.up16(at32)))
        at8 = self.mix8(at8 + self.wider(self.up8(at16)))
        at4 = self.mix4(at4 + self.wider(self.up4(at8)))
        out: Tensor = self.head(at4)
        return out


def blocks(picture: Tensor) -> Tensor:
    """(n, 3, h, w) → (n, 12, h / 2, w / 2): number 6 r + 3 c + k is colour k of row r, column c."""
    count, colours, height, width = picture.shape
    cut = picture.reshape(count, colours, height // 2, 2, width // 2, 2).permute(0, 3, 5, 1, 2, 4)
    return cut.reshape(count, 4 * colours, height // 2, width // 2)


class OnBlocks(nn.Module):
    """The same network for :func:`blocks` of a picture."""

    def __init__(self, model: Finder) -> None:
        super().__init__()
        first = model.stem[0]
        assert isinstance(first, nn.Conv2d)
        assert first.kernel_size == (5, 5)
        kernel = functional.pad(first.weight.detach(), (0, 1, 0, 1))
        out, colours = kernel.shape[:2]
        parts = kernel.reshape(out, colours, 3, 2, 3, 2).permute(0, 3, 5, 1, 2, 4)
        self.first = nn.Conv2d(4 * colours, out, 3, 1, 1, bias=False)
        self.first.weight.data = parts.reshape(out, 4 * colours, 3, 3).contiguous()
        self.settle = model.stem[1:]
        self.model = model

    def forward(self, cut: Tensor) -> Tensor:
        """(n, 12, h / 2, w / 2) → the answer of the network."""
        return self.model.from_stem(self.settle(self.first(cut)))


BLOCK_KERNEL = (12, 3, 3)
"""The first kernel in a file, for :func:`blocks` of three colours; any other is of no Finder."""


def restored(path: Path) -> Finder:
    """Return the network that :func:`export` wrote to ``path``: it answers as the file does.

    In the file each batch normalisation is part of the convolution before it; here it is left as
    a shift alone. Before the network learns on, see :func:`normalised`. Raises :class:`ValueError`
    for a file of another network.
    """
    (first, bias), *others = weights_in(path, "Conv")
    if first.shape[1:] == BLOCK_KERNEL:
        first = _unblocked(first)
    model = Finder().eval()
    put_back(_in_order(model), [(first, bias), *others], path)
    return model


def _in_order(model: Finder) -> list[Layer]:
    """Every convolution in the order in which it runs, with the normalisation after it."""
    parts = [model.stem, model.down4, model.down8, model.down16, model.down32]
    for size in ("16", "8", "4"):
        parts += [getattr(model, f"up{size}"), getattr(model, f"mix{size}")]
    return layers_of([each for part in (*parts, model.head) for each in part.modules()])


def _unblocked(parts: Tensor) -> Tensor:
    """Return the 5 × 5 kernel over single pixels of a 3 × 3 one over :func:`blocks`."""
    out, twelve = parts.shape[:2]
    colours = twelve // 4
    kernel = parts.reshape(out, 2, 2, colours, 3, 3).permute(0, 3, 4, 1, 5, 2)
    return kernel.reshape(out, colours, 6, 6)[:, :, :5, :5].contiguous()


def normalised(model: Finder, pictures: Tensor) -> None:
    """Let each normalisation hold the mean and spread of ``pictures`` (n, 3, h, w)."""
    settled(model, _in_order(model), pictures)


def export(model: Finder, path: Path, side: int = 256) -> None:
    """Write the network as ONNX, for :func:`blocks` of any height and width in multiples of 32."""
    model.eval()
    dynamic = {"blocks": {2: "h2", 3: "w2"}, "answer": {2: "h4", 3: "w4"}}
    torch.onnx.export(
        OnBlocks(model).eval(),
        (torch.zeros(1, 12, side // 2, side // 2),),
        str(path),
        input_names=["blocks"],
        output_names=["answer"],
        opset_version=13,
        dynamic_axes=dynamic,
        dynamo=False,
    )
