"""From a body to what the camera's sensor receives: focus, halos, dark field, phase contrast.

Out of focus a thin body is pictured through the contrast transfer of a partly coherent microscope:
at a height z, structure of spatial frequency k shows its absorption times cos(π λ z k²) and its
phase times 2 sin(π λ z k²), both under an envelope that the width of the condenser's light sets
(Reimer & Kohl, Transmission Electron Microscopy, chapter 6, for the same transfer with electrons;
the weak-object form). This gives the dark-bright-dark rings over and under the focus.
"""

from __future__ import annotations

import numpy as np
from scipy import fft

from counter.imaging.draw.grid import Body
from counter.imaging.draw.settings import Contrast
from counter.imaging.draw.shape import Layer

_WAVE_UM = 0.55 / 1.34
_CONDENSER = 0.085
_HALO_UM = 9.0


def margin_um(height_um: float, contrast: Contrast) -> float:
    """Return how far outside its outline an object still changes the light, in µm."""
    halo = 2.2 * _HALO_UM if contrast is Contrast.PHASE else 0.0
    return 10.0 + halo + 0.6 * abs(height_um)


def passed(body: Body, step_um: float, height_um: float, contrast: Contrast) -> Layer:
    """Return what an object at ``height_um`` over the focus does to the light, (h, w, 3).

    ``step_um`` is the distance between two samples. In bright field and phase contrast the answer
    is the factor by which the light is multiplied. In dark field it is light that is added, where
    1 is the full white of the camera.
    """
    if contrast is Contrast.DARK_FIELD:
        return _scattered(body, step_um, height_um)
    dark = _focused(body, step_um, height_um)
    if contrast is Contrast.PHASE:
        dark = dark * 0.6 + 0.30 * _ringed(body.phase, step_um)
    return _pixels(np.exp(-np.clip(dark, -0.55, 6.0)))


def _pixels(planes: Layer) -> Layer:
    """(3, h, w) to (h, w, 3)."""
    return np.ascontiguousarray(np.moveaxis(planes, 0, 2), dtype=np.float32)


def _frequencies(shape: tuple[int, int], step_um: float) -> Layer:
    """Squared spatial frequencies (1/µm²) of the real transform of ``shape``."""
    rows = fft.fftfreq(shape[0], step_um)[:, None]
    columns = fft.rfftfreq(shape[1], step_um)[None, :]
    return np.asarray(rows**2 + columns**2, dtype=np.float32)


def _filtered(layer: Layer, transfer: Layer) -> Layer:
    back = fft.irfft2(fft.rfft2(layer) * transfer, s=layer.shape)
    return np.asarray(back, dtype=np.float32)


def _focused(body: Body, step_um: float, height_um: float) -> Layer:
    square = _frequencies(body.phase.shape, step_um)
    turn = np.pi * _WAVE_UM * height_um * square
    envelope = np.exp(-((np.pi * _CONDENSER * height_um) ** 2) * square)
    halo = _filtered(body.phase, 2 * np.sin(turn) * envelope)
    sharp = np.cos(turn) * envelope
    return np.stack([_filtered(plane, sharp) - halo for plane in body.absorb])


def _ringed(phase: Layer, step_um: float) -> Layer:
    """The phase less its own surroundings: a Zernike plate's picture with its bright halo."""
    square = _frequencies(phase.shape, step_um)
    return phase - _filtered(phase, np.exp(-2 * (np.pi * _HALO_UM) ** 2 * square))


def _scattered(body: Body, step_um: float, height_um: float) -> Layer:
    """Light that edges and granules turn into the lens; what is nearly black turns none."""
    down, right = np.gradient(body.phase, step_um)
    edge = 1 - np.exp(-1.6 * np.hypot(down, right))
    edge *= np.clip(np.abs(body.phase) / 0.5, 0, 1)  # an edge shines within its body only
    grey = np.clip(body.absorb.mean(axis=0), 0, None)
    inner = 1.8 * grey * np.exp(-1.2 * grey)
    tint = np.exp(-0.75 * np.clip(body.absorb - body.absorb.min(axis=0), 0, 3))
    cold = np.array([0.86, 0.95, 1.0], np.float32)[:, None, None]
    light = 0.75 * edge * cold * tint + 0.62 * inner * tint
    square = _frequencies(grey.shape, step_um)
    soft = np.exp(-((np.pi * _CONDENSER * height_um) ** 2 + 0.6) * square)
    return np.clip(_pixels(np.stack([_filtered(plane, soft) for plane in light])), 0, None)
