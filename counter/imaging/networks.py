"""The program's own networks, read for the quicker of the two ways in which OpenCV runs them.

OpenCV 5 has two engines. Only the older one runs convolutions of 3 × 3 with fewer products than
they are written with (Lavin A, Gray S (2016), Fast algorithms for convolutional neural networks,
CVPR, pp. 4013-4021), which takes a sixth to a fifth off the time; their answers differ by rounding
alone. It takes a network from a file with a path, but not one from memory.
"""

from __future__ import annotations

from contextlib import suppress
from importlib import resources

import cv2
import numpy as np


def read_network(name: str) -> cv2.dnn.Net:
    """Return the network of ``resources/model/{name}``.

    Raises :class:`OSError` where the file cannot be read and :class:`cv2.error` where it holds no
    network.
    """
    file = resources.files("resources").joinpath(f"model/{name}")
    data = file.read_bytes()
    engine = getattr(cv2.dnn, "ENGINE_CLASSIC", None)
    if engine is not None:
        # on some systems OpenCV cannot open every path that Python can
        with resources.as_file(file) as path, suppress(cv2.error):
            return cv2.dnn.readNetFromONNX(str(path), engine)
    return cv2.dnn.readNetFromONNX(np.frombuffer(data, np.uint8))
