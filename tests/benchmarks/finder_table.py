"""The finder's figures in one table: ``python -m tests.benchmarks.finder_table [seed ...]``.

For every kind of drawn scene the F1, length bias and mean absolute error of the finder and of the
textbook baseline; then the time of a 12-megapixel JPEG against decoding it and against the
baseline, and the peak memory of a 20-megapixel picture, the picture itself included.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain.progress import Silent
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.photo import Photo
from tests.accuracy.matching import Outcome, compared
from tests.accuracy.scenes import KINDS, scene, target_for
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
NOTHING = Outcome(0, 0, 0, ())


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


def fastest_s(work: Callable[[], object], times: int = 3) -> float:
    """The shortest of several runs in seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def accuracy(seeds: list[int]) -> None:
    """Print a row for each kind of scene."""
    print(f"{'kind':16}{'finder':>30}{'textbook':>34}")
    print(f"{'':16}{'F1':>8}{'bias %':>10}{'error %':>12}{'F1':>12}{'bias %':>10}{'error %':>12}")
    whole = [NOTHING, NOTHING]
    for name, setting in KINDS.items():
        own, plain = NOTHING, NOTHING
        target = target_for(setting)
        for seed in seeds:
            drawn = scene(name, seed)
            photo = Photo(drawn.pixels).with_scale(drawn.um_per_px)
            own += compared(drawn, detect(photo, target, Silent()).marks, target)
            plain += compared(drawn, textbook(photo, target), target)
        whole = [whole[0] + own, whole[1] + plain]
        print(_row(name, own, plain), flush=True)
    print(_row("all", *whole))


def _row(name: str, own: Outcome, plain: Outcome) -> str:
    cells = [
        f"{each.f1:12.3f}{100 * each.bias:10.2f}{100 * each.mean_error:12.2f}"
        for each in (own, plain)
    ]
    return f"{name:12}{''.join(cells)}"


def speed() -> None:
    """Print the time of a 12-megapixel JPEG as ratios."""
    code = large_jpeg()
    target = target_for(KINDS["d-hinge"])
    photo = decoded(code)
    decoding = fastest_s(lambda: decoded(code), 5)
    finding = fastest_s(lambda: detect(photo, target, Silent()), 5)
    plain = fastest_s(lambda: textbook(photo, target), 1)
    print(f"12 megapixels: decoding 1, finding {finding / decoding:.2f}, ", end="")
    print(f"both {1 + finding / decoding:.2f}; textbook takes {plain / finding:.1f} × finding")


def memory() -> None:
    """Print the peak memory of one process that finds on 20 megapixels (read on Linux only)."""
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
    print(f"20 megapixels: peak memory {float(done.stdout) / 1024:.0f} MB")


if __name__ == "__main__":
    accuracy([int(seed) for seed in sys.argv[1:]] or [11, 12])
    speed()
    memory()
