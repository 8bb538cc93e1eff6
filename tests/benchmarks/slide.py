"""A scanned slide of a gigapixel: ``python -m tests.benchmarks.slide [--across 20 --down 10]``.

Draws four fields of 2560 × 2048 pixels, lays them out ``across`` × ``down`` times in a tiled
BigTIFF (20 × 10: 51,200 × 20,480 pixels at 1 µm, a Sedgewick-Rafter cell of 50 × 20 mm) and counts
it with the command line in a process of its own. Prints its megapixels, seconds, peak memory
(Linux), what was found of what was drawn, and what became of the bodies that lie on a seam between
blocks.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import tifffile
from numpy.typing import NDArray
from scipy.spatial import KDTree

from counter.domain.catalogue import species
from counter.domain.species import Target, TargetKind, target_of
from counter.imaging.blocks import BLOCK_PX, blocks_of, margin_px
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, Light, SceneSettings
from counter.imaging.draw.truth import Scene

TILE = 512
FIELD = SceneSettings(
    width_px=2560,
    height_px=2048,
    um_per_px=1.0,
    population=(
        Group(Kind.D_HINGE, 40),
        Group(Kind.UMBO, 10),
        Group(Kind.DEBRIS, 10),
        Group(Kind.ALGA, 20),
    ),
    light=Light(uneven=0.0, vignette=0.0),
    keep_inside=True,
)
OYSTER = "eastern-oyster"

COUNT = """
import sys
from pathlib import Path
from counter.cli import main
code = main(sys.argv[1:])
status = Path("/proc/self/status")
if status.exists():
    print(status.read_text().split("VmHWM:")[1].split()[0], file=sys.stderr)
sys.exit(code)
"""
"""The command line, which then says its peak memory in kB."""


@dataclass(frozen=True, slots=True)
class Laid:
    """Fields laid out: which of the ``scenes`` lies where (down, across)."""

    scenes: tuple[Scene, ...]
    places: NDArray[np.int64]

    @property
    def shape(self) -> tuple[int, int, int]:
        """Height, width and colours of the whole."""
        down, across = self.places.shape
        return down * FIELD.height_px, across * FIELD.width_px, 3

    def bodies(self) -> NDArray[np.float64]:
        """Where the larvae lie and how long they are in µm, (n, 3)."""
        rows = [
            (
                body.x_px + column * FIELD.width_px,
                body.y_px + row * FIELD.height_px,
                body.length_um,
            )
            for (row, column), kind in np.ndenumerate(self.places)
            for body in self.scenes[kind].larvae
        ]
        return np.array(rows)


def laid_out(across: int, down: int) -> Laid:
    """Draw the fields and say where each lies."""
    scenes = tuple(draw_scene(FIELD, 100 + number) for number in range(4))
    places = np.random.default_rng(5).integers(0, len(scenes), (down, across))
    return Laid(scenes, places)


def write(file: Path, laid: Laid) -> None:
    """Write the slide as tiles in JPEG; each tile of each field is compressed once."""
    across = FIELD.width_px // TILE
    ready = [[_jpeg(tile) for tile in _tiles(scene.pixels)] for scene in laid.scenes]

    def tiles() -> Iterator[bytes]:
        height, width, _ = laid.shape
        for row, column in np.ndindex(height // TILE, width // TILE):
            field = laid.places[row * TILE // FIELD.height_px, column * TILE // FIELD.width_px]
            inside = row % (FIELD.height_px // TILE) * across + column % across
            yield ready[field][inside]

    compressed: Any = tiles()
    tifffile.imwrite(
        file,
        compressed,
        shape=laid.shape,
        dtype="uint8",
        tile=(TILE, TILE),
        compression="jpeg",
        photometric="rgb",
        bigtiff=True,
        metadata=None,
    )


def _tiles(pixels: NDArray[Any]) -> Iterator[NDArray[Any]]:
    for top in range(0, pixels.shape[0], TILE):
        for left in range(0, pixels.shape[1], TILE):
            yield np.ascontiguousarray(pixels[top : top + TILE, left : left + TILE])


def _jpeg(tile: NDArray[Any]) -> bytes:
    return bytes(imagecodecs.jpeg8_encode(tile, level=90, colorspace="rgb", outcolorspace="rgb"))


@dataclass(frozen=True, slots=True)
class Run:
    """One count: how long it took, its peak memory (None where it cannot be read), its marks."""

    seconds: float
    peak_mb: float | None
    marks: NDArray[np.float64]


def counted(file: Path, folder: Path) -> Run:
    """Count a slide with the command line, in a process of its own."""
    out = folder / "count.json"
    command = ["count", str(file), "--species", OYSTER, "--um-per-px", "1", "--json", str(out)]
    command += ["--chamber", "sedgewick-rafter"]
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", COUNT, *command], capture_output=True, text=True, check=False
    )
    seconds = time.perf_counter() - start
    if done.returncode:
        raise SystemExit(done.stderr)
    last = done.stderr.split()[-1:] or [""]
    peak = float(last[0]) / 1024 if last[0].isdecimal() else None
    larvae = json.loads(out.read_text())["fields"][0]["larvae"]
    return Run(seconds, peak, np.array([(mark["x_px"], mark["y_px"]) for mark in larvae]))


@dataclass(frozen=True, slots=True)
class Score:
    """How many bodies were found once, more than once, not at all, and what was no body."""

    once: int
    doubled: int
    lost: int
    false: int

    def __str__(self) -> str:
        return f"{self.once} found once, {self.doubled} doubled, {self.lost} lost"


def scored(bodies: NDArray[np.float64], marks: NDArray[np.float64]) -> Score:
    """Match each mark with the nearest body, if it lies within half its length."""
    found = KDTree(bodies[:, :2]).query(marks)
    apart, nearest = np.asarray(found[0], np.float64), np.asarray(found[1], np.int64)
    hit = apart < bodies[nearest, 2] / 2
    times = np.bincount(nearest[hit], minlength=len(bodies))
    return Score(
        int((times == 1).sum()), int((times > 1).sum()), int((times == 0).sum()), int((~hit).sum())
    )


def on_seams(bodies: NDArray[np.float64], laid: Laid, target: Target) -> NDArray[np.bool_]:
    """Which bodies a seam between two blocks runs through."""
    height, width, _ = laid.shape
    margin = margin_px(target.high_um, target.low_um, 1.0)
    blocks = blocks_of(width, height, (BLOCK_PX, BLOCK_PX), margin)
    on = np.zeros(len(bodies), bool)
    for axis, name in ((0, "own_left"), (1, "own_top")):
        for seam in {getattr(block, name) for block in blocks}:
            on |= np.abs(bodies[:, axis] - seam) < bodies[:, 2] / 2
    return on


def main() -> None:
    """Draw, count, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--across", type=int, default=20, help="fields side by side (default 20)")
    parser.add_argument("--down", type=int, default=10, help="fields below each other (default 10)")
    given = parser.parse_args()
    laid = laid_out(given.across, given.down)
    target = target_of(species(OYSTER), TargetKind.LARVAE)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "slide.tif")
        write(file, laid)
        size_mb = file.stat().st_size / 1e6
        run = counted(file, Path(folder))
    height, width, _ = laid.shape
    bodies = laid.bodies()
    seams = on_seams(bodies, laid, target)
    megapixels = height * width / 1e6
    whole = scored(bodies, run.marks)
    print(f"{width} × {height} pixels, {megapixels:.0f} megapixels, {size_mb:.0f} MB of JPEG tiles")
    print(f"{run.seconds:.0f} s, {megapixels / run.seconds:.1f} megapixels a second")
    peak = "not known" if run.peak_mb is None else f"{run.peak_mb:.0f} MB"
    print(f"peak memory {peak} (goal: under 1000 MB)")
    print(f"{len(bodies)} larvae drawn: {whole}; {whole.false} marks on what is no larva")
    print(f"{seams.sum()} of them on a seam: {scored(bodies[seams], run.marks)}")


if __name__ == "__main__":
    main()
