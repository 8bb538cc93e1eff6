"""A renderer of our own: pictures of a counting slide with known truth.

Part of the product: the demo hatchery, the sample pictures, the tests and the benchmarks draw
with it. :func:`draw_scene` draws larvae, eggs and litter, :func:`draw_micrometer` and
:func:`draw_rulings` what a lens is calibrated on.
"""

from counter.imaging.draw.gauge import MicrometerSettings, draw_micrometer, draw_rulings
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import (
    EGGS,
    LARVAE,
    LITTER,
    Camera,
    Contrast,
    Group,
    Kind,
    Light,
    Rulings,
    RulingStyle,
    SceneSettings,
)
from counter.imaging.draw.truth import Scene, TruthObject, as_json
from counter.imaging.draw.vary import varied_settings

__all__ = [
    "EGGS",
    "LARVAE",
    "LITTER",
    "Camera",
    "Contrast",
    "Group",
    "Kind",
    "Light",
    "MicrometerSettings",
    "RulingStyle",
    "Rulings",
    "Scene",
    "SceneSettings",
    "TruthObject",
    "as_json",
    "draw_micrometer",
    "draw_rulings",
    "draw_scene",
    "varied_settings",
]
