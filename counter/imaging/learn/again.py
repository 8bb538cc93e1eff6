"""Networks from their ONNX files, made ready to learn on.

In a file each batch normalisation is part of the convolution before it.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import torch
from torch import Tensor, nn

Layer = tuple[nn.Conv2d, nn.BatchNorm2d | None]
"""A convolution and the normalisation after it."""


def weights_in(path: Path, kind: str) -> list[tuple[Tensor, Tensor]]:
    """Return weights and biases of every step of a kind ("Conv", "Gemm") in the order of a file."""
    import onnx
    from onnx import numpy_helper

    graph = onnx.load(str(path)).graph
    values = {each.name: numpy_helper.to_array(each) for each in graph.initializer}
    for node in graph.node:  # equal numbers are stored once
        if node.op_type == "Identity" and node.input[0] in values:
            values[node.output[0]] = values[node.input[0]]
    names = [node.input[1:3] for node in graph.node if node.op_type == kind]
    found = [[torch.from_numpy(values[each].copy()) for each in pair] for pair in names]
    return [(weight, bias) for weight, bias in found]


def layers_of(modules: Sequence[nn.Module]) -> list[Layer]:
    """Return the convolutions among ``modules``, in their order, with what normalises each."""
    found: list[Layer] = []
    for at, each in enumerate(modules):
        if isinstance(each, nn.Conv2d):
            after = modules[at + 1] if at + 1 < len(modules) else None
            found.append((each, after if isinstance(after, nn.BatchNorm2d) else None))
    return found


@torch.no_grad()
def put_back(layers: Sequence[Layer], weights: Sequence[tuple[Tensor, Tensor]], path: Path) -> None:
    """Put weights and biases into layers, each normalisation left as a shift alone.

    Before the network learns on, see :func:`settled`. Raises :class:`ValueError` where they, which
    came from ``path``, are of another build.
    """
    if [each.weight.shape for each, _ in layers] != [weight.shape for weight, _ in weights]:
        raise ValueError(f"{path} holds a network of another build")
    for (layer, norm), (weight, bias) in zip(layers, weights, strict=True):
        layer.weight.copy_(weight)
        if norm is None:
            assert layer.bias is not None
            layer.bias.copy_(bias)
        else:
            assert norm.running_var is not None
            norm.bias.copy_(bias)
            norm.running_var.fill_(1 - norm.eps)


@torch.no_grad()
def settled(model: nn.Module, layers: Sequence[Layer], given: Tensor) -> None:
    """Let each normalisation hold the mean and spread of what ``model`` makes of ``given``.

    The answers stay the same: what a normalisation now takes away, its own scale and shift give
    back. Only then does learning on, which normalises by each batch, go on from the same network.
    """
    model.eval()
    both = [(layer, norm) for layer, norm in layers if norm is not None]
    seen: dict[nn.Module, tuple[Tensor, Tensor]] = {}

    def note(layer: nn.Module, _: object, out: Tensor) -> None:
        seen[layer] = (out.mean((0, 2, 3)), out.var((0, 2, 3), correction=0))

    hooks = [layer.register_forward_hook(note) for layer, _ in both]
    model(given)
    for hook in hooks:
        hook.remove()
    for layer, norm in both:
        mean, spread = seen[layer]
        assert norm.running_mean is not None
        assert norm.running_var is not None
        scale = norm.weight / torch.sqrt(norm.running_var + norm.eps)
        shift = norm.bias - norm.running_mean * scale
        norm.weight.copy_(scale * torch.sqrt(spread + norm.eps))
        norm.bias.copy_(shift + mean * scale)
        norm.running_mean.copy_(mean)
        norm.running_var.copy_(spread)
