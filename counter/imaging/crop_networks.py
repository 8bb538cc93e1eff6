"""Small networks that look at crops of single bodies and answer each with one logit."""

from __future__ import annotations

import threading
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.networks import read_network

Floats = NDArray[np.float32]

_AT_ONCE = 64
_TURN = threading.Lock()


@lru_cache(maxsize=4)
def load_crop_network(name: str) -> cv2.dnn.Net:
    """Return the network of ``resources/model/{name}.onnx``.

    Raises :class:`OSError` where the file cannot be read and :class:`cv2.error` where it holds no
    network.
    """
    return read_network(f"{name}.onnx")


def logits_of(net: cv2.dnn.Net, given: Floats) -> Floats:
    """Return the network's logit (n,) of each crop (n, 2, side, side); n is at least 1."""
    parts = [given[at : at + _AT_ONCE] for at in range(0, len(given), _AT_ONCE)]
    return np.concatenate([_forward(net, part) for part in parts])


def _forward(net: cv2.dnn.Net, part: Floats) -> Floats:
    """Run the network; one thread at a time, as OpenCV asks."""
    with _TURN:
        net.setInput(np.ascontiguousarray(part))
        return np.array(net.forward(), dtype=np.float32).ravel()
