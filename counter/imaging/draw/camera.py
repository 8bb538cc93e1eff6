"""From light on the sensor to the numbers of a file: blur, noise, compression, bits."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.random import Generator

from counter.imaging.draw.settings import Camera
from counter.imaging.draw.shape import Layer
from counter.imaging.draw.truth import Pixels


def exposed(light: Layer, camera: Camera, rng: Generator) -> Pixels:
    """Return the picture (H, W, 3) or (H, W), uint8 or uint16, of ``light`` (H, W, 3; 1 white)."""
    image = light
    if camera.blur_px > 0:
        image = np.asarray(cv2.GaussianBlur(image, (0, 0), camera.blur_px), dtype=np.float32)
    if not camera.colour:
        image = image @ np.array([0.299, 0.587, 0.114], np.float32)
    noise = rng.standard_normal(image.shape, dtype=np.float32)
    spread = np.sqrt(camera.shot_noise**2 * np.clip(image, 0, None) + camera.read_noise**2)
    image = np.clip(image + noise * spread.astype(np.float32), 0, 1)
    if camera.jpeg_quality is not None:
        image = _through_jpeg(image, camera.jpeg_quality)
    if camera.bits == 16:
        return np.round(image * 65535).astype(np.uint16)
    return np.round(image * 255).astype(np.uint8)


def _through_jpeg(image: Layer, quality: int) -> Layer:
    """The picture after it was saved as a JPEG file, still from 0 to 1."""
    eight = np.round(image * 255).astype(np.uint8)
    swapped = np.ascontiguousarray(eight[:, :, ::-1]) if eight.ndim == 3 else eight
    _, packed = cv2.imencode(".jpg", swapped, [cv2.IMWRITE_JPEG_QUALITY, quality])
    back = cv2.imdecode(packed, cv2.IMREAD_UNCHANGED)
    assert back is not None
    back = back[:, :, ::-1] if back.ndim == 3 else back
    return np.asarray(back, dtype=np.float32) / 255.0
