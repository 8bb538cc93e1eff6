"""How long finding takes; ``pytest --benchmark-enable tests/benchmarks`` prints the times."""

from __future__ import annotations

from pytest_benchmark.fixture import BenchmarkFixture

from counter.domain.progress import Silent
from counter.imaging.detect import detect
from counter.imaging.photo import Photo
from tests.accuracy.matching import compared
from tests.accuracy.scenes import KINDS, scene, target_for
from tests.benchmarks.textbook import textbook

NAME = "d-hinge"


def test_the_finder(benchmark: BenchmarkFixture) -> None:
    """One small field of D-hinge larvae: everything found."""
    drawn, target = scene(NAME, 11), target_for(KINDS[NAME])
    photo = Photo(drawn.pixels).with_scale(drawn.um_per_px)
    found = benchmark(lambda: detect(photo, target, Silent()))
    assert compared(drawn, found.marks, target).f1 == 1.0


def test_the_textbook_baseline(benchmark: BenchmarkFixture) -> None:
    """The same field: the baseline is a fair one and finds nearly everything too."""
    drawn, target = scene(NAME, 11), target_for(KINDS[NAME])
    photo = Photo(drawn.pixels).with_scale(drawn.um_per_px)
    found = benchmark(lambda: textbook(photo, target))
    assert compared(drawn, found, target).f1 > 0.9


def test_the_finder_beats_the_baseline_among_litter() -> None:
    """Where bubbles lie about the baseline counts them; the finder does not."""
    drawn, target = scene("bubbles", 11), target_for(KINDS["bubbles"])
    photo = Photo(drawn.pixels).with_scale(drawn.um_per_px)
    own = compared(drawn, detect(photo, target, Silent()).marks, target)
    assert own.f1 > compared(drawn, textbook(photo, target), target).f1
