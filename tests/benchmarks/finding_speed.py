"""How long a 12-megapixel JPEG takes against decoding it and against the textbook baseline.

``python -m tests.benchmarks.finding_speed`` prints it, and where the time goes, step by step; the
network alone apart, which works beside the first steps. Also the peak memory of a 20-megapixel
picture, the picture itself included.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable

import cv2
import imagecodecs
import numpy as np
from numpy.typing import NDArray

from counter.domain.progress import Silent
from counter.domain.species import Target
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.photo import Photo
from counter.imaging.sight import sight_of
from tests.accuracy.scenes import KINDS, target_for
from tests.benchmarks.textbook import textbook

LARGE = SceneSettings(
    width_px=4000,
    height_px=3000,
    population=(
        Group(Kind.D_HINGE, 60),
        Group(Kind.UMBO, 25),
        Group(Kind.ALGA, 60),
        Group(Kind.DEBRIS, 10),
    ),
)


def large_jpeg() -> NDArray[np.uint8]:
    """A drawn field of 12 megapixels as the bytes of a JPEG file."""
    drawn = draw_scene(LARGE, 3)
    done, code = cv2.imencode(".jpg", drawn.pixels[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 92])
    assert done
    return np.asarray(code, np.uint8)


def decoded(code: NDArray[np.uint8]) -> Photo:
    """Decode the file at full size."""
    blue_first = np.asarray(cv2.imdecode(code, cv2.IMREAD_COLOR), np.uint8)
    colours = cv2.cvtColor(blue_first, cv2.COLOR_BGR2RGB)
    return Photo(np.asarray(colours, np.uint8)).with_scale(LARGE.um_per_px)


def times_s(work: Callable[[], object], times: int = 7) -> list[float]:
    """How many seconds each of several runs took."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return taken


class Stopwatch:
    """A progress that notes when each step begins.

    Before the first report the picture is reduced for the network; the last step is the rest.
    """

    def __init__(self) -> None:
        self.began = [("reducing it for the network", time.perf_counter())]

    def report(self, fraction: float, what: str = "") -> None:
        """Note the time."""
        del fraction
        self.began.append((what, time.perf_counter()))

    def steps_s(self) -> dict[str, float]:
        """How many seconds each step took, up to now."""
        ends = [at for _, at in self.began[1:]] + [time.perf_counter()]
        steps = zip(self.began, ends, strict=True)
        return {what.replace("done", "states"): end - at for (what, at), end in steps}


def steps_s(photo: Photo, target: Target) -> dict[str, float]:
    """How many seconds each step of a count takes: the median of seven runs."""
    runs = []
    for _ in range(7):
        watch = Stopwatch()
        detect(photo, target, watch)
        runs.append(watch.steps_s())
    return {what: statistics.median(run[what] for run in runs) for what in runs[0]}


def speed() -> str:
    """Return the ratios in words (the best and the median of seven runs of each), and the steps."""
    code = large_jpeg()
    target = target_for(KINDS["d-hinge"])
    photo = decoded(code)
    decoding = times_s(lambda: decoded(code))
    finding = times_s(lambda: detect(photo, target, Silent()))
    plain = min(times_s(lambda: textbook(photo, target), 2))
    best = 1 + min(finding) / min(decoding)
    middle = 1 + statistics.median(finding) / statistics.median(decoding)
    alone = statistics.median(times_s(lambda: sight_of(photo, target)))
    faster = statistics.median(times_s(lambda: imagecodecs.jpeg8_decode(code.tobytes())))
    usual = statistics.median(decoding)
    steps = ", ".join(f"{what} {_ms(taken)}" for what, taken in steps_s(photo, target).items())
    return (
        f"12-megapixel JPEG, decoding and finding ÷ decoding: best {best:.2f}, median {middle:.2f} "
        f"(goal 1.5); textbook ÷ finder {plain / min(finding):.1f} (goal 20)\n"
        f"  decoding {_ms(usual)} (as the program does it {_ms(faster)}); "
        f"the network alone {_ms(alone)}, {alone / usual:.1f} times decoding\n"
        f"  {steps}"
    )


def _ms(seconds: float) -> str:
    return f"{1e3 * seconds:.0f} ms"


def memory() -> str:
    """Return the peak memory of one process that finds on 20 megapixels (read on Linux only)."""
    program = (
        "import numpy as np\n"
        "from pathlib import Path\n"
        "from counter.domain.progress import Silent\n"
        "from counter.imaging.detect import detect\n"
        "from counter.imaging.photo import Photo\n"
        "from tests.accuracy.scenes import KINDS, scene, target_for\n"
        "part = scene('d-hinge', 1).pixels\n"
        "pixels = np.tile(part, (6, 6, 1))[:3880, :5184].copy()\n"
        "detect(Photo(pixels).with_scale(1.24), target_for(KINDS['d-hinge']), Silent())\n"
        "status = Path('/proc/self/status').read_text()\n"
        "print(status.split('VmHWM:')[1].split()[0])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], check=True, capture_output=True, text=True
    )
    return f"20 megapixels: peak memory {float(done.stdout) / 1024:.0f} MB (goal 600)"


if __name__ == "__main__":
    print(speed(), memory(), sep="\n")
