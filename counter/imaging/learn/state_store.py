"""Crops with known states: drawn by workers, kept on the device that trains."""

from __future__ import annotations

import multiprocessing
import queue

import numpy as np
import torch
from torch import Tensor

from counter.imaging.learn.state_network import OUTPUTS

Made = tuple[np.ndarray, np.ndarray, np.ndarray]
"""Crops (n, 2, side, side), labels (n, 4), traits (n, 2): length in pixels, blur."""


def draw(seed: int, out: multiprocessing.Queue[Made], size: int, name: str) -> None:
    """Worker: draw crops for the network of this name for ever, ``size`` or more at a time."""
    import cv2

    from counter.imaging.learn.canvas import Textures
    from counter.imaging.learn.closer_patches import draw_closer
    from counter.imaging.learn.state_patches import CLOSE, WHOLE, StatePatch, draw_state

    cv2.setNumThreads(1)
    rng = np.random.default_rng(seed)
    tex, view = Textures(rng), CLOSE if name == "close" else WHOLE
    while True:
        some: list[StatePatch] = []
        while len(some) < size:
            some += draw_closer(rng, tex) if name == "closer" else [draw_state(rng, tex, view)]
        out.put(
            (
                np.stack([patch.given for patch in some]).astype(np.float16),
                np.stack([patch.labels for patch in some]),
                np.array([(patch.length_px, patch.blur) for patch in some], np.float32),
            )
        )


class Store:
    """Crops on the device; the oldest make room for new ones."""

    def __init__(self, room: int, device: str, side: int) -> None:
        self.given = torch.empty((room, 2, side, side), dtype=torch.float16, device=device)
        self.labels = torch.empty((room, OUTPUTS), dtype=torch.int8, device=device)
        self.traits = torch.empty((room, 2), dtype=torch.float32, device=device)
        self.room, self.seen = room, 0

    def add(self, made: Made) -> None:
        """Keep these crops."""
        at = torch.arange(self.seen, self.seen + len(made[0])) % self.room
        for part, array in zip((self.given, self.labels, self.traits), made, strict=True):
            part[at.to(part.device)] = torch.from_numpy(array).to(part.device)
        self.seen += len(made[0])

    def fill(self, out: multiprocessing.Queue[Made], until: int) -> None:
        """Take what is drawn; wait until ``until`` crops were."""
        while True:
            try:
                self.add(out.get(timeout=0.5 if self.seen < until else 0.0005))
            except queue.Empty:
                if self.seen >= until:
                    return
            else:
                if self.seen >= until and out.empty():
                    return

    def some(self, count: int) -> tuple[Tensor, Tensor]:
        """Return ``count`` crops by chance, with their labels."""
        at = torch.randint(min(self.seen, self.room), (count,), device=self.given.device)
        return self.given[at].float(), self.labels[at]
