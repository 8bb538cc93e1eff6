"""What a lens is calibrated on: stage micrometers, and chamber rulings without anything on them."""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.random import SeedSequence, default_rng
from PIL import Image, ImageDraw, ImageFont

from counter.domain.scale import checked_um_per_px
from counter.errors import UsageError
from counter.imaging.draw.camera import exposed
from counter.imaging.draw.ground import empty_field
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Camera, Contrast, Light, Rulings, SceneSettings
from counter.imaging.draw.shape import Layer
from counter.imaging.draw.truth import Scene

_LETTER_PX = 40


@dataclass(frozen=True, slots=True)
class MicrometerSettings:
    """A stage micrometer: ``divisions`` of ``division_um``, longer lines at every 5th and 10th.

    The default is 1 mm in 100 parts. ``angle_deg`` turns it clockwise as seen on the screen (y
    down). ``middle_px`` is where the middle of the scale lies, None for the middle of the picture.
    ``line_um`` is the width of a line, ``tick_um`` the length of a plain, a 5th and a 10th line.
    ``numbered`` writes a number at every 10th line.
    """

    width_px: int = 1600
    height_px: int = 1200
    um_per_px: float = 1.24
    division_um: float = 10.0
    divisions: int = 100
    angle_deg: float = 0.0
    middle_px: tuple[float, float] | None = None
    line_um: float = 2.0
    tick_um: tuple[float, float, float] = (50.0, 75.0, 100.0)
    darkness: float = 0.8
    numbered: bool = True
    light: Light = field(default_factory=Light)
    camera: Camera = field(default_factory=Camera)

    def __post_init__(self) -> None:
        checked_um_per_px(self.um_per_px)
        if self.divisions < 1 or not self.division_um > 0:
            raise UsageError(
                f"A micrometer of {self.divisions} divisions of {self.division_um:g} µm cannot be "
                "drawn; give at least one division above 0 µm."
            )


def draw_micrometer(settings: MicrometerSettings, seed: int) -> Scene:
    """Draw a stage micrometer; the scene's truth is empty, its scale is ``um_per_px``."""
    lamp, sensor = (default_rng(child) for child in SeedSequence(seed).spawn(2))
    scene = SceneSettings(
        settings.width_px, settings.height_px, settings.um_per_px, (), settings.light
    )
    slide = empty_field(scene, lamp)
    ink = np.clip(_ticks(settings) + _numbers(settings), 0, 1) * np.float32(settings.darkness)
    if settings.light.contrast is Contrast.DARK_FIELD:
        slide += ink[:, :, None]
    else:
        slide *= (1 - ink)[:, :, None]
    area_px = settings.width_px * settings.height_px
    return Scene(
        pixels=exposed(slide, settings.camera, sensor),
        um_per_px=settings.um_per_px,
        truth=(),
        visible_mm2=area_px * settings.um_per_px**2 * 1e-6,
    )


def draw_rulings(
    rulings: Rulings,
    seed: int,
    width_px: int = 1600,
    height_px: int = 1200,
    um_per_px: float = 1.24,
) -> Scene:
    """Draw the chamber's rulings with nothing lying on them; the truth is empty."""
    settings = SceneSettings(width_px, height_px, um_per_px, (), rulings=rulings)
    return draw_scene(settings, seed)


def _axes(settings: MicrometerSettings) -> tuple[Layer, Layer]:
    """Every pixel's place along the scale (0 at its first line) and across it, in µm."""
    middle = settings.middle_px or ((settings.width_px - 1) / 2, (settings.height_px - 1) / 2)
    turn = np.radians(settings.angle_deg)
    y, x = np.ogrid[: settings.height_px, : settings.width_px]
    x, y = x - middle[0], y - middle[1]
    along = (x * np.cos(turn) + y * np.sin(turn)) * settings.um_per_px
    across = (y * np.cos(turn) - x * np.sin(turn)) * settings.um_per_px
    length_um = settings.division_um * settings.divisions
    return (along + length_um / 2).astype(np.float32), across.astype(np.float32)


def _ticks(settings: MicrometerSettings) -> Layer:
    """The lines (0 to 1), each pixel by the share of it that a line covers."""
    along, across = _axes(settings)
    line = np.clip(np.round(along / settings.division_um), 0, settings.divisions)
    away = np.abs(along - line * np.float32(settings.division_um))
    plain, fifth, tenth = settings.tick_um
    reach = np.where(line % 10 == 0, tenth, np.where(line % 5 == 0, fifth, plain))
    thick = _overlap(away, settings.line_um / 2, settings.um_per_px)
    high = np.clip((reach / 2 - np.abs(across + reach / 2)) / settings.um_per_px + 0.5, 0, 1)
    return np.asarray(thick * high, dtype=np.float32)


def _overlap(away_um: Layer, half_um: float, pixel_um: float) -> Layer:
    """The share of a pixel at ``away_um`` that lies within ``half_um`` of a line's middle."""
    upper = np.minimum(away_um + pixel_um / 2, half_um)
    lower = np.maximum(away_um - pixel_um / 2, -half_um)
    return np.asarray(np.clip(upper - lower, 0, None) / pixel_um, dtype=np.float32)


def _numbers(settings: MicrometerSettings) -> Layer:
    """The number of each 10th line, written beyond its end."""
    along, across = _axes(settings)
    ink = np.zeros_like(along)
    if not settings.numbered:
        return ink
    tall_um = 3.2 * settings.division_um
    for line in range(0, settings.divisions + 1, 10):
        letters = _written(str(line // 10))
        scale = np.float32(_LETTER_PX / tall_um)
        x = (along - line * settings.division_um) * scale + (letters.shape[1] - 1) / 2
        y = (across + settings.tick_um[2] + 1.6 * tall_um) * scale
        ink += cv2.remap(
            letters, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=0
        )
    return np.asarray(ink, dtype=np.float32)


def _written(text: str) -> Layer:
    """``text`` (h, w) with capitals about ``_LETTER_PX`` high, 0 to 1, with room around it."""
    font = ImageFont.load_default(size=_LETTER_PX * 1.35)
    left, top, right, bottom = font.getbbox(text)
    page = Image.new("L", (round(right - left) + 12, round(bottom - top) + 12))
    ImageDraw.Draw(page).text((6 - left, 6 - top), text, fill=255, font=font)
    return np.asarray(page, dtype=np.float32) / np.float32(255)
