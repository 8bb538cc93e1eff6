"""The store of training patches: drawn by worker processes, kept on the accelerator."""

from __future__ import annotations

import contextlib
import multiprocessing
import queue
from collections.abc import Callable
from pathlib import Path

import numpy as np
import torch
from torch import Tensor

from counter.imaging.learn.targets import RAYS, STRIDE

Arrays = tuple[np.ndarray, ...]


def draw(seed: int, outs: list[multiprocessing.Queue[Arrays]], size: int) -> None:
    """Worker: draw patches for ever, ``size`` at a time, and hand them to every training."""
    import cv2

    from counter.imaging.learn.canvas import Textures
    from counter.imaging.learn.patches import draw_patch

    cv2.setNumThreads(1)
    rng = np.random.default_rng(seed)
    tex = Textures(rng)
    while True:
        some = [draw_patch(rng, tex) for _ in range(size)]
        learn = [patch.learn for patch in some]
        arrays = (
            np.stack([patch.seen.transpose(2, 0, 1) for patch in some]),
            np.stack([one.near for one in learn]),
            np.stack([one.weight for one in learn]),
            np.stack([one.kind for one in learn]),
            np.stack([one.radius for one in learn]),
        )
        for out in outs:
            with contextlib.suppress(queue.Full):
                out.put(arrays, timeout=10)


class Store:
    """Patches on the device; the oldest make room for new ones."""

    def __init__(self, room: int, side: int, device: str) -> None:
        cells = side // STRIDE
        half = {"dtype": torch.float16, "device": device}
        byte = {"dtype": torch.uint8, "device": device}
        self.parts = (
            torch.empty((room, 3, side, side), **byte),
            torch.empty((room, cells, cells), **half),
            torch.empty((room, cells, cells), **half),
            torch.empty((room, cells, cells), **byte),
            torch.empty((room, RAYS, cells, cells), **half),
        )
        self.wrong = torch.ones(room, device=device)
        self.room, self.seen = room, 0

    def add(self, arrays: Arrays) -> None:
        """Keep these patches."""
        at = torch.arange(self.seen, self.seen + len(arrays[0])) % self.room
        for part, array in zip(self.parts, arrays, strict=True):
            part[at.to(part.device)] = torch.from_numpy(array).to(part.device)
        self.wrong[at.to(self.wrong.device)] = 1.0
        self.seen += len(arrays[0])

    def some(self, count: int, hard: float) -> Tensor:
        """Return the numbers of ``count`` patches: by chance, ``hard`` of them by what is wrong."""
        filled = min(self.seen, self.room)
        by_wrong = int(hard * count)
        at = torch.randint(filled, (count - by_wrong,), device=self.wrong.device)
        if not by_wrong:
            return at
        chance = self.wrong[:filled] + 0.1
        return torch.cat([at, torch.multinomial(chance, by_wrong, replacement=True)])

    def save(self, path: Path) -> None:
        """Write what is kept, for another training in the same place."""
        filled = min(self.seen, self.room)
        torch.save((self.seen, [part[:filled].cpu() for part in self.parts]), path)

    def load(self, path: Path) -> None:
        """Take in what :meth:`save` of a store with as much room wrote."""
        seen, parts = torch.load(path)
        for part, kept in zip(self.parts, parts, strict=True):
            part[: len(kept)] = kept.to(part.device)
        self.seen = seen

    def take(self, at: Tensor) -> tuple[Tensor, ...]:
        """Return the patches of these numbers."""
        return tuple(part[at] for part in self.parts)


def fill(store: Store, out: multiprocessing.Queue[Arrays], wait: Callable[[], bool]) -> None:
    """Put what was drawn into ``store``: what is there, and while ``wait()`` more of it."""
    while True:
        try:
            store.add(out.get(timeout=0.5 if wait() else 0.0005))
        except queue.Empty:
            if not wait():
                return
        else:
            if not wait() and out.empty():
                return
