"""Mix networks: ``python -m counter.imaging.learn.mean FOLDER a/finder.pt b/finder.onnx``.

The mean of the weights of networks that learnt on from the same one is mostly better than each of
them (Wortsman M and others (2022), Model soups, ICML, PMLR 162:23965-23998). ``--shares`` gives
their shares; ``--deeper`` is added to the answer for depth, so that rules made for the depths of
another network mean the same.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import torch
from torch import Tensor, nn

from counter.imaging.learn.canvas import Textures
from counter.imaging.learn.losses import roughened
from counter.imaging.learn.network import Finder, export, normalised, restored
from counter.imaging.learn.patches import draw_patch

PATCHES, AT_ONCE = 192, 64
SEED = 777


def some_patches(count: int, seed: int) -> Tensor:
    """Return newly drawn patches (count, 3, 256, 256) as training shows them, about -1 to 1."""
    torch.manual_seed(seed)
    rng = np.random.default_rng(seed)
    tex = Textures(rng)
    seen = [draw_patch(rng, tex).seen.transpose(2, 0, 1) for _ in range(count)]
    return roughened(torch.from_numpy(np.stack(seen)))


def network_in(path: Path, pictures: Tensor) -> Finder:
    """Return the network in a ``.pt`` or ``.onnx`` file, ready to be mixed with others."""
    if path.suffix == ".onnx":
        model = restored(path)
        normalised(model, pictures)
        return model
    model = Finder().eval()
    model.load_state_dict(torch.load(path, map_location="cpu"))
    return model


def mixed(models: Sequence[Finder], shares: Sequence[float], pictures: Tensor) -> Finder:
    """Return the network of mean weights; ``shares`` need not sum to 1.

    Each normalisation gets the mean and spread of ``pictures`` (n, 3, h, w) as the mixed network
    sees them. Raises :class:`ValueError` where there are not as many shares as networks.
    """
    states = [model.state_dict() for model in models]
    parts = [share / sum(shares) for share in shares]
    made: dict[str, Tensor] = {}
    for name, first in states[0].items():
        made[name] = first.clone()
        if first.is_floating_point():  # the rest counts batches
            made[name].zero_()
            for part, state in zip(parts, states, strict=True):
                made[name] += part * state[name]
    model = Finder()
    model.load_state_dict(made)
    for layer in model.modules():
        if isinstance(layer, nn.BatchNorm2d):
            layer.reset_running_stats()
            layer.momentum = None  # the plain mean of all batches
    model.train()
    with torch.no_grad():
        for first_at in range(0, len(pictures), AT_ONCE):
            model(pictures[first_at : first_at + AT_ONCE])
    model.eval()
    return model


def main() -> None:
    """Read the command line and write ``finder.pt`` and ``finder.onnx``."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("networks", type=Path, nargs="+")
    parser.add_argument("--shares", type=float, nargs="+", default=None)
    parser.add_argument("--deeper", type=float, default=0.0)
    given = parser.parse_args()
    pictures = some_patches(PATCHES, SEED)
    models = [network_in(path, pictures) for path in given.networks]
    model = mixed(models, given.shares or [1.0] * len(models), pictures)
    last = model.head[1]
    assert isinstance(last, nn.Conv2d)
    assert last.bias is not None
    with torch.no_grad():
        last.bias[0] += given.deeper
    given.folder.mkdir(parents=True, exist_ok=True)
    torch.save(model.state_dict(), given.folder / "finder.pt")
    export(model, given.folder / "finder.onnx")


if __name__ == "__main__":
    main()
