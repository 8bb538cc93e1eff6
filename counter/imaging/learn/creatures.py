"""Small animals that do not count: ciliates of many builds, rotifers, nauplii."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn import outlines
from counter.imaging.learn.body_looks import any_colour, brownish
from counter.imaging.learn.canvas import Crop, Floats, Textures, band, crop_around, lay
from counter.imaging.learn.outlines import ANGLES, Radii

Place = tuple[float, float]
_THETA = np.arange(ANGLES) * 2 * np.pi / ANGLES


def slipper(rng: np.random.Generator) -> Radii:
    """Long, one end blunter, often a little bent."""
    blunt = 1 + rng.uniform(0, 0.16) * np.cos(_THETA) + rng.uniform(0, 0.06) * np.cos(3 * _THETA)
    bent = 1 + rng.uniform(-0.12, 0.12) * np.sin(_THETA)
    base = outlines.ellipse(rng.uniform(1.9, 4.5), rng.uniform(1.7, 2.5))
    return outlines.scaled(base * blunt * bent)


def oblong(rng: np.random.Generator) -> Radii:
    """Oval to egg-shaped, up to twice as long as wide."""
    lean = 1 + rng.uniform(0, 0.22) * np.cos(_THETA) + rng.uniform(-0.05, 0.05) * np.sin(_THETA)
    base = outlines.ellipse(rng.uniform(1.4, 2.2), rng.uniform(1.8, 2.7))
    return outlines.scaled(base * lean * outlines.wobble(rng, rng.uniform(0, 0.03)))


def drawn_out(rng: np.random.Generator) -> Radii:
    """A drop or pear with one pointed end."""
    tip = rng.uniform(0.25, 1.1) * np.exp(-np.square(_off(np.pi) / rng.uniform(0.2, 0.6)))
    base = outlines.ellipse(rng.uniform(1.1, 1.8)) * (1 + tip)
    return outlines.scaled(base)


def bell(rng: np.random.Generator) -> Radii:
    """A bell or a vase: cut off straight at its mouth, narrowing to the other end."""
    base = outlines.ellipse(rng.uniform(0.9, 1.6), rng.uniform(1.7, 2.3))
    base = base * (1 + rng.uniform(0.05, 0.4) * np.exp(-np.square(_off(np.pi) / 0.5)))
    rise = np.cos(_THETA)
    mouth = np.where(rise > 1e-3, rng.uniform(0.45, 0.85) / np.maximum(rise, 1e-3), np.inf)
    flare = 1 + rng.uniform(0, 0.3) * np.exp(-np.square((np.abs(_off(0)) - 0.9) / 0.25))
    return outlines.scaled(np.minimum(base * flare, mouth))


def _off(middle: float) -> NDArray[np.float64]:
    return (_THETA - middle + np.pi) % (2 * np.pi) - np.pi


BUILDS = (slipper, slipper, oblong, oblong, drawn_out, bell)


def ciliate(
    canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A granular animal without a shell: food vacuoles, a clear vacuole, a fringe of cilia."""
    size = max(size, 4.0)
    build = BUILDS[int(rng.integers(len(BUILDS)))]
    turn = rng.uniform(0, 2 * np.pi)
    radii = outlines.turned(build(rng) * np.float32(size), turn)
    if build is bell and rng.random() < 0.6:
        _stalk(canvas, at, size, turn, rng)
    hair = max(1.2, size * rng.uniform(0.03, 0.22))
    blur = abs(rng.normal(0, 0.05)) * size if rng.random() < 0.3 else 0.0
    crop = crop_around(len(canvas), at, radii, hair + 3 + 3 * blur)
    if crop is None:
        return
    plasm = _plasm(crop, size, rng, tex)
    colour = any_colour(rng, 0.1) if rng.random() < 0.6 else brownish(rng)
    layer = plasm[:, :, None] * colour
    layer = layer + _vacuoles(crop, size, rng)
    strong = rng.random() < 0.7 or build is oblong
    fringe = cilia(crop, hair, rng) * np.float32(rng.uniform(0.12, 0.6) if strong else 0.05)
    layer = layer + fringe[:, :, None] * any_colour(rng, 0.05)
    opaque = crop.inside * np.float32(rng.uniform(0, 0.9)) if rng.random() < 0.3 else 0
    cone = float(rng.uniform(0, 1))
    lay(canvas, crop, np.asarray(layer, np.float32), opaque, blur, cone)


def _plasm(crop: Crop, size: float, rng: np.random.Generator, tex: Textures) -> Floats:
    """The body's own substance: pale to nearly black, granular, thicker in its middle or flat."""
    inside = crop.inside
    amount = float(np.exp(rng.uniform(np.log(0.06), np.log(1.1))))
    fine = tex.cut(rng, crop.shape, rng.uniform(0.8, 3))
    coarse = tex.cut(rng, crop.shape, max(1.0, rng.uniform(0.08, 0.3) * size))
    rough = 1 + rng.uniform(0.2, 0.9) * fine + rng.uniform(0, 0.6) * coarse
    dome = np.sqrt(np.clip(1 - np.square(crop.reach), 0, 1)) ** np.float32(rng.uniform(0.2, 1.5))
    plasm = amount * dome * np.clip(rough, 0, 3) * inside
    plasm = plasm + rng.uniform(-0.15, 0.5) * band(crop.distance, -0.8, rng.uniform(0.5, 1.2))
    if rng.random() < 0.3:
        turn = rng.uniform(0, np.pi)
        across = crop.x * np.float32(np.cos(turn)) + crop.y * np.float32(np.sin(turn))
        rows = np.cos(across * np.float32(2 * np.pi / max(3.0, size * rng.uniform(0.06, 0.25))))
        plasm = plasm + rng.uniform(0.02, 0.25) * amount * rows * inside
    return np.asarray(plasm, np.float32)


def _vacuoles(crop: Crop, size: float, rng: np.random.Generator) -> Floats:
    """Dark food, clear water, droplets: discs at places inside."""
    layer = np.zeros((*crop.shape, 3), np.float32)
    green = np.array([1.2, 0.6, 1.2], np.float32)
    food = green if rng.random() < 0.4 else brownish(rng)
    reach = rng.uniform(0.2, 0.7)
    for _ in range(int(rng.integers(0, 9))):
        radius = max(0.9, size * rng.uniform(0.04, 0.2))
        turn, out = rng.uniform(0, 2 * np.pi), np.sqrt(rng.random()) * reach
        far = out * _reach_of(crop, turn)
        away = np.hypot(crop.x - far * np.cos(turn), crop.y - far * np.sin(turn)) - radius
        disc = np.clip(0.5 - away / max(0.7, 0.2 * radius), 0, 1) * crop.inside
        clear = rng.random() < 0.3
        colour = np.float32(-rng.uniform(0.05, 0.3)) * np.ones(3, np.float32) if clear else food
        layer += disc[:, :, None] * colour * np.float32(1 if clear else rng.uniform(0.1, 1.2))
        if clear:
            layer += (rng.uniform(0, 0.4) * band(away, 0, 0.7) * crop.inside)[:, :, None]
    return layer


def _reach_of(crop: Crop, turn: float) -> float:
    """How far the outline is from the centre along ``turn``, from the crop's own maps."""
    near = np.abs(np.cos(crop.theta - np.float32(turn)) - 1) < 0.01
    near &= np.hypot(crop.x, crop.y) > 2
    if not near.any():
        return 0.0
    away = np.hypot(crop.x[near], crop.y[near])
    return float(np.median(away / np.maximum(crop.reach[near], 1e-3)))


def cilia(crop: Crop, hair_px: float, rng: np.random.Generator) -> Floats:
    """Hairs that stand off the outline, along some of it or all around; about 0 to 1."""
    count = rng.uniform(24, 160)
    wave = np.cos(_THETA * round(count) + 3 * np.cos(_THETA * rng.integers(2, 9)))
    noise = cv2.GaussianBlur(rng.standard_normal((1, ANGLES)).astype(np.float32), (0, 0), 1.5)[0]
    hairs = np.clip(0.55 + 0.35 * wave + rng.uniform(0.2, 1.2) * noise * 2, 0, 1.6)
    if rng.random() < 0.4:
        hairs = hairs * np.clip(np.cos(_off(rng.uniform(0, 2 * np.pi))) + rng.uniform(0, 1), 0, 1)
    index = (crop.theta * np.float32(ANGLES / (2 * np.pi))).astype(np.int32) % ANGLES
    out = np.clip(crop.distance / np.float32(hair_px), 0, None)
    fall = np.exp(-0.5 * np.square(out * 1.6)) * (1 - crop.inside)
    return np.asarray(hairs.astype(np.float32)[index] * fall, np.float32)


def _stalk(canvas: Floats, at: Place, size: float, turn: float, rng: np.random.Generator) -> None:
    """The thread on which a bell animal stands."""
    steps = np.linspace(0.9, rng.uniform(2, 5), 24) * size
    sway = rng.uniform(0, 0.4) * size * np.sin(steps / size * rng.uniform(1, 6)) * (steps > size)
    back = turn + np.pi
    along, beside = np.array([np.cos(back), np.sin(back)]), np.array([-np.sin(back), np.cos(back)])
    line = np.array(at) + steps[:, None] * along + sway[:, None] * beside
    stroke(canvas, line, rng.uniform(1, 3), rng.uniform(0.1, 0.7))


def stroke(
    canvas: Floats, line: NDArray[np.float64], width_px: float, amount: float, soft: float = 0.6
) -> None:
    """Draw an open line (points, 2) in canvas pixels, in grey, in its own box only."""
    pad = width_px + 4
    low = np.clip(np.floor(line.min(axis=0) - pad), 0, len(canvas)).astype(int)
    high = np.clip(np.ceil(line.max(axis=0) + pad), 0, len(canvas)).astype(int)
    if (high - low < 2).any():
        return
    mask = np.zeros((high[1] - low[1], high[0] - low[0]), np.uint8)
    points = np.round((line - low) * 16).astype(np.int32)
    cv2.polylines(mask, [points], False, 255, max(1, round(width_px)), cv2.LINE_AA, 4)
    body = cv2.GaussianBlur(mask, (0, 0), soft).astype(np.float32) * np.float32(amount / 255)
    canvas[low[1] : high[1], low[0] : high[0]] += body[:, :, None]


def bare(canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures) -> None:
    """A ciliate at low power: granular, clearly longer than wide, neither a shell nor hairs to see.

    Beside shelled larvae it does not count. Alone it could be a body: it is only drawn beside them.
    """
    base = outlines.ellipse(rng.uniform(1.4, 2.4), rng.uniform(1.8, 2.6))
    lean = 1 + rng.uniform(0, 0.25) * np.cos(_THETA) + rng.uniform(-0.06, 0.06) * np.sin(_THETA)
    tip = 1 + rng.uniform(0, 0.3) * np.exp(-np.square(_off(np.pi) / rng.uniform(0.2, 0.5)))
    radii = outlines.scaled(base * lean * tip) * np.float32(max(size, 4.0))
    crop = crop_around(len(canvas), at, outlines.turned(radii, rng.uniform(0, 2 * np.pi)), 4)
    if crop is None:
        return
    layer = _plasm(crop, size, rng, tex)[:, :, None]
    layer = layer * (any_colour(rng, 0.08) if rng.random() < 0.7 else brownish(rng))
    if rng.random() < 0.4:
        layer = layer + _vacuoles(crop, size, rng)
    blur = abs(rng.normal(0, 0.05)) * size if rng.random() < 0.4 else 0.0
    lay(canvas, crop, np.asarray(layer, np.float32), 0, blur, float(rng.uniform(0, 1)))


def rotifer(
    canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A wheel animal: a clear vase, a wreath of cilia, a chewing spot, a ringed foot with toes."""
    size = max(size, 12.0)
    turn = rng.uniform(0, 2 * np.pi)
    shape = bell(rng) if rng.random() < 0.5 else drawn_out(rng)
    radii = outlines.turned(shape * np.float32(size), turn)
    ahead = np.array([np.cos(turn), np.sin(turn)])
    beside = np.array([-ahead[1], ahead[0]])
    foot = np.array(at) - ahead * size * 0.8
    end = foot - (ahead + beside * rng.normal(0, 0.4)) * size * rng.uniform(0.5, 1.2)
    width, dark = size * rng.uniform(0.08, 0.2), rng.uniform(0.1, 0.5)
    stroke(canvas, np.array([foot, end]), width, dark, 0.8)
    for side in (-1, 1):
        toe = end - (ahead - side * 0.5 * beside) * size * 0.2
        stroke(canvas, np.array([end, toe]), max(1.0, 0.3 * width), dark)
    crop = crop_around(len(canvas), at, radii, 0.4 * size)
    if crop is None:
        return
    plasm = _plasm(crop, size, rng, tex)
    along = crop.x * np.float32(ahead[0]) + crop.y * np.float32(ahead[1])
    wreath = cilia(crop, 0.2 * size, rng) * (along > 0.45 * size)
    away = np.hypot(crop.x - 0.3 * size * ahead[0], crop.y - 0.3 * size * ahead[1])
    jaws = np.clip(0.12 * size - away, 0, 1) * rng.uniform(0.2, 1.2)
    layer = (plasm + rng.uniform(0.3, 0.9) * wreath + jaws)[:, :, None] * any_colour(rng, 0.08)
    lay(canvas, crop, np.asarray(layer + _vacuoles(crop, size, rng), np.float32), 0)


def nauplius(
    canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A young crustacean: an oval body, three pairs of limbs with bristles, one dark eye."""
    size = max(size, 12.0)
    turn = rng.uniform(0, 2 * np.pi)
    radii = outlines.turned(drawn_out(rng) * np.float32(size), turn)
    ahead = np.array([np.cos(turn), np.sin(turn)])
    beside = np.array([-ahead[1], ahead[0]])
    dark = rng.uniform(0.15, 0.8)
    for pair, place in enumerate((0.5, 0.3, 0.05)):
        long = size * rng.uniform(0.5, 1.3)
        for side in (-1, 1):
            root = np.array(at) + ahead * place * size + side * beside * 0.35 * size
            lean = rng.normal(0.5 - 0.5 * pair, 0.35)
            tip = root + (side * beside + lean * ahead) * long
            stroke(canvas, np.array([root, tip]), size * rng.uniform(0.06, 0.16), dark, 0.8)
            for _ in range(int(rng.integers(2, 5))):
                hair = tip + (side * beside * 0.5 + ahead * rng.normal(0, 0.5)) * long * 0.5
                stroke(canvas, np.array([tip, hair]), 1.0, 0.6 * dark)
    crop = crop_around(len(canvas), at, radii, 5)
    if crop is None:
        return
    layer = _plasm(crop, size, rng, tex)
    away = np.hypot(crop.x - 0.6 * size * ahead[0], crop.y - 0.6 * size * ahead[1])
    layer = layer + np.clip(0.07 * size + 0.8 - away, 0, 1) * rng.uniform(0.5, 2)
    lay(canvas, crop, np.asarray(layer[:, :, None] * any_colour(rng, 0.1), np.float32), 0)
