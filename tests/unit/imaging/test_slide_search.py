"""Searching block by block finds what searching the whole picture finds, seams or no seams."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache
from itertools import count
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import tifffile
from numpy.typing import NDArray

from counter.domain.progress import Silent
from counter.domain.species import Species, StageRange, Target, TargetKind
from counter.errors import Cancelled, CounterError
from counter.imaging import learned, slide_search
from counter.imaging.detect import Detection, detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, Light, Rulings, SceneSettings
from counter.imaging.finders import Finding, find_on
from counter.imaging.photo import Photo
from counter.imaging.read import read_field
from counter.imaging.sight import Sight, looking
from counter.imaging.slide_search import SlideFinding, search_in_blocks

SPECIES = Species(
    "test", "test", "test", (StageRange("d-hinge", 0, ""), StageRange("umbo", 150, "")),
    (60, 160), (40, 80),
)  # fmt: skip
TARGET = Target(TargetKind.LARVAE, SPECIES, 60, 160)
UM_PER_PX = 2.0
BLOCK = (400, 380)
WIDTH, HEIGHT = 660, 560


@cache
def drawn(
    kind: Kind = Kind.D_HINGE, count: int = 36, length_um: tuple[float, float] = (64, 100)
) -> NDArray[Any]:
    """A drawn field of 660 × 560 pixels, bodies also cut by its border."""
    settings = SceneSettings(
        width_px=WIDTH,
        height_px=HEIGHT,
        um_per_px=UM_PER_PX,
        population=(Group(kind, count, length_um), Group(Kind.ALGA, 8)),
        light=Light(uneven=0.1, vignette=0.0),
    )
    return draw_scene(settings, 4).pixels


def photo(pixels: NDArray[Any]) -> Photo:
    """The picture at its scale."""
    return Photo(pixels).with_scale(UM_PER_PX)


def in_blocks(pixels: NDArray[Any], target: Target = TARGET) -> SlideFinding:
    """Search it in small blocks."""
    return search_in_blocks(photo(pixels), target, Silent(), block=BLOCK)


@cache
def base() -> SlideFinding:
    """What is found on the drawn field."""
    return in_blocks(drawn())


@cache
def whole() -> Detection:
    """What is found on it without blocks."""
    return detect(photo(drawn()), TARGET, Silent())


def places(found: SlideFinding) -> NDArray[np.float64]:
    """Where the marks are, (n, 2)."""
    return np.array([(mark.x_px, mark.y_px) for mark in found.found.marks]).reshape(-1, 2)


def one_to_one(ones: NDArray[np.float64], others: NDArray[np.float64], within: float) -> bool:
    """Whether each of one set has exactly one of the other near it."""
    near = np.hypot(*(ones[:, None] - others[None]).transpose(2, 0, 1)) < within
    return bool((near.sum(axis=0) == 1).all() and (near.sum(axis=1) == 1).all())


def test_the_blocks_together_find_what_the_whole_finds() -> None:
    """The same bodies, measured alike, with the same border cut; numbered from top to bottom."""
    ours = places(base())
    theirs = np.array([(mark.x_px, mark.y_px) for mark in whole().marks])
    assert len(theirs) > 25
    assert one_to_one(ours, theirs, 6.0)
    assert [mark.mark_id for mark in base().found.marks] == list(range(1, len(ours) + 1))
    assert ours[:, 1].tolist() == sorted(ours[:, 1])
    for mark, place in zip(base().found.marks, ours, strict=True):
        other = whole().marks[int(np.hypot(*(theirs - place).T).argmin())]
        assert mark.is_cut == other.is_cut
        assert mark.length_um == pytest.approx(other.length_um, rel=0.05)


def test_a_mirrored_picture_has_mirrored_marks() -> None:
    """Seams do not lean to one side."""
    pixels = drawn()
    plain, mirrored = places(base()), places(in_blocks(np.fliplr(pixels)))
    mirrored[:, 0] = pixels.shape[1] - 1 - mirrored[:, 0]
    assert one_to_one(plain, mirrored, 6.0)


def lone_body(x: int, y: int) -> NDArray[np.uint8]:
    """One dark body on water with noise, 520 × 300 pixels."""
    grey = np.full((300, 520), 190, np.float32)
    cv2.ellipse(grey, (x, y), (26, 20), 30.0, 0, 360, 110.0, -1, cv2.LINE_AA)
    grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), 1.2), np.float32)
    grey += np.random.default_rng(1).normal(0, 3, grey.shape)
    return np.clip(grey, 0, 255).astype(np.uint8)


@pytest.mark.parametrize("offset", range(-54, 55, 18))
def test_a_body_on_a_seam_is_found_once_at_every_offset(offset: int) -> None:
    """The seam runs beside it, through it, and where its neighbour's block begins."""
    pixels = lone_body(260 + offset, 150)
    (mark,) = search_in_blocks(photo(pixels), TARGET, Silent(), block=(300, 300)).found.marks
    assert mark.x_px == pytest.approx(260 + offset, abs=2)
    assert mark.y_px == pytest.approx(150, abs=2)
    assert not mark.is_cut
    assert mark.length_um == pytest.approx(52 * UM_PER_PX, rel=0.03)


def test_the_classical_finder_searches_in_blocks_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the network's file; that is said once, not for each block."""

    def missing() -> None:
        raise learned.NoNetworkError("The network is missing.")

    monkeypatch.setattr("counter.imaging.sight.load", missing)
    found, at_once = in_blocks(drawn()), detect(photo(drawn()), TARGET, Silent())
    assert len(found.found.warnings) == 1
    assert len(found.found.marks) == pytest.approx(len(at_once.marks), abs=3)


@pytest.fixture
def course(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What happens to the blocks from now on, in order: seen, found, and left."""
    base()  # whose blocks are not meant
    happened: list[str] = []
    numbers = count()

    @contextmanager
    def watched(*given: Any) -> Iterator[Callable[[], Sight]]:
        number = next(numbers)
        happened.append(f"looked at {number}")
        try:
            with looking(*given) as sight:
                yield sight
        finally:
            happened.append(f"left {number}")

    def found(*given: Any) -> Finding:
        happened.append("found")
        return find_on(*given)

    monkeypatch.setattr(slide_search, "looking", watched)
    monkeypatch.setattr(slide_search, "find_on", found)
    return happened


def test_the_network_looks_at_the_next_block_meanwhile(course: list[str]) -> None:
    """And each block is left before the one after the next is begun."""
    assert in_blocks(drawn()).found.marks == base().found.marks
    found = [place for place, step in enumerate(course) if step == "found"]
    assert len(found) > 3
    for number, place in enumerate(found):
        assert course.index(f"looked at {number}") < place < course.index(f"left {number}")
    for number, place in enumerate(found[:-1]):
        assert course.index(f"looked at {number + 1}") < place
    for number in range(len(found) - 2):
        assert course.index(f"left {number}") < course.index(f"looked at {number + 2}")


def test_all_blocks_are_left_where_somebody_cancels(course: list[str]) -> None:
    """Both the one that is searched and the one that is looked at."""
    with pytest.raises(Cancelled):
        search_in_blocks(photo(drawn()), TARGET, Stopping(0.6), block=BLOCK)
    looked = sum(step.startswith("looked") for step in course)
    assert looked > 2
    assert sum(step.startswith("left") for step in course) == looked


@pytest.mark.parametrize("fill", [0, 255])
def test_what_was_not_scanned_is_no_field(fill: int) -> None:
    """Black or white round the slide: its area is not counted, nothing is found on its edge."""
    pixels = np.full((HEIGHT + 200, WIDTH + 300, 3), fill, np.uint8)
    pixels[90 : 90 + HEIGHT, 170 : 170 + WIDTH] = drawn()
    found = in_blocks(pixels)
    field = HEIGHT * WIDTH / (pixels.shape[0] * pixels.shape[1])
    assert found.hidden_share == pytest.approx(1 - field, abs=0.01)
    here, known = places(found) - (170, 90), places(base())
    assert one_to_one(here[inner(here)], known[inner(known)], 6.0)
    assert ((here > -1) & (here < (WIDTH, HEIGHT))).all()
    assert "shows no field" in found.found.warnings[0]


def inner(points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which places lie well inside the drawn field."""
    return np.asarray(((points > 25) & (points < (WIDTH - 25, HEIGHT - 25))).all(axis=1))


def test_water_burned_out_to_white_is_field() -> None:
    """Bodies lie in it, so it was scanned."""
    pixels = np.clip(drawn().astype(np.int16) + 70, 0, 255).astype(np.uint8)
    assert (pixels == 255).mean() > 0.5
    found = in_blocks(pixels)
    assert found.hidden_share == 0
    assert len(found.found.marks) > 20


def test_an_empty_slide_has_no_marks_and_all_of_its_area() -> None:
    """Blocks of nothing but water find nothing; noise does not become bodies."""
    noise = np.random.default_rng(2).normal(200, 2, (HEIGHT, WIDTH))
    found = in_blocks(np.clip(noise, 0, 255).astype(np.uint8))
    assert found.found.marks == ()
    assert found.hidden_share == 0


def test_empty_blocks_do_not_invent_bodies_beside_crowded_ones() -> None:
    """Half of the slide holds bodies, half only water and a little dust."""
    rng = np.random.default_rng(7)
    water = np.median(drawn().reshape(-1, 3), axis=0)
    noise = rng.normal(0, 2.5, (HEIGHT, 2 * WIDTH - 100, 3))
    pixels = np.clip(noise + water, 0, 255).astype(np.uint8)
    for x, y in rng.integers(20, HEIGHT - 20, (25, 2)):
        cv2.circle(pixels, (int(x) + WIDTH, int(y)), 2, (90, 90, 90), -1)
    pixels[:, :WIDTH] = drawn()
    found = places(in_blocks(pixels))
    assert (found[:, 0] < WIDTH + 5).all()
    assert len(found) == pytest.approx(len(places(base())), abs=2)


def test_eggs_on_one_half_stay_eggs_on_the_other() -> None:
    """Whether round bodies without a shell are meant is judged for the whole slide, not by block.

    Blocks with eggs alone would take them for trochophores; beside larvae they are eggs.
    """
    eggs, larvae = drawn(Kind.EGG, 14, (63, 70)), drawn(Kind.UMBO, 20, (110, 150))
    eggs, larvae = eggs[:, :400], larvae[:, :400]
    found = places(in_blocks(np.concatenate([eggs, larvae], axis=1)))
    assert len(places(in_blocks(eggs))) > 5
    assert (found[:, 0] < 390).sum() <= 1
    assert (found[:, 0] > 400).sum() > 6


def test_the_rulings_of_a_slide_are_known_in_its_own_pixels(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Period, lean and place as drawn, though they are seen on an overview a fourth as fine."""
    monkeypatch.setattr("counter.imaging.overview.OVERVIEW_PX", 70_000)
    ruled = SceneSettings(
        width_px=1100,
        height_px=900,
        um_per_px=UM_PER_PX,
        population=(Group(Kind.D_HINGE, 10),),
        rulings=Rulings(period_um=500, angle_deg=3, width_um=12, offset_um=(120, 76)),
    )
    grid = search_in_blocks(photo(draw_scene(ruled, 1).pixels), TARGET, Silent()).grid
    assert grid is not None
    assert (grid.width_px, grid.height_px) == (1100, 900)
    assert grid.um_per_px(500) == pytest.approx(UM_PER_PX, rel=0.003)
    assert grid.angle_deg == pytest.approx(3, abs=0.1)
    assert grid.upright_px is not None
    assert grid.level_px is not None
    assert (grid.upright_px - 60 + 125) % 250 == pytest.approx(125, abs=1.5)
    assert (grid.level_px - 38 + 125) % 250 == pytest.approx(125, abs=1.5)


class Stopping:
    """A progress that stops the work at a fraction, and counts what is reported afterwards."""

    def __init__(self, at: float) -> None:
        self.at, self.after = at, 0
        self.words: list[str] = []

    def report(self, fraction: float, what: str = "") -> None:
        """Note the step; stop from the fraction on."""
        self.words.append(what)
        if fraction >= self.at:
            self.after += 1
            raise Cancelled("Stopped.")


@pytest.mark.parametrize("at", [0.0, 0.1, 0.4])
def test_it_stops_within_a_block(at: float) -> None:
    """At the first report after the hand is on the brake."""
    progress = Stopping(at)
    with pytest.raises(Cancelled):
        search_in_blocks(photo(drawn()), TARGET, progress, block=BLOCK)
    assert progress.after == 1


def test_progress_names_the_part_and_never_goes_back() -> None:
    """From looking over the picture to the last part."""
    progress = Stopping(2.0)
    search_in_blocks(photo(drawn()), TARGET, progress, block=BLOCK)
    assert progress.words[0] == "looking over the picture"
    assert any(words.startswith("part 1 of ") for words in progress.words)


def whole_places(found: SlideFinding) -> NDArray[np.float64]:
    """Where the marks are that no border cuts, (n, 2): a sliver may be seen or not."""
    whole = [mark for mark in found.found.marks if not mark.is_cut]
    return np.array([(mark.x_px, mark.y_px) for mark in whole]).reshape(-1, 2)


def test_very_long_bodies_are_searched_reduced(monkeypatch: pytest.MonkeyPatch) -> None:
    """And their marks are given in pixels of the picture."""
    monkeypatch.setattr("counter.imaging.blocks.MOST_MARGIN_PX", 60)
    small = drawn()[:340, :420]
    large = cv2.resize(small, None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC)
    found = search_in_blocks(
        Photo(np.asarray(large, np.uint8)).with_scale(UM_PER_PX / 2), TARGET, Silent(), block=BLOCK
    )
    assert one_to_one(whole_places(found), whole_places(in_blocks(small)) * 2 + 0.5, 8.0)
    cut = [mark for mark in found.found.marks if mark.is_cut]
    assert cut
    for mark in cut:
        xs, ys = zip(*mark.outline_px, strict=True)
        assert min(xs) == -0.5 or max(xs) == 839.5 or min(ys) == -0.5 or max(ys) == 679.5


def test_a_tiled_file_is_counted_like_the_picture_in_memory(tmp_path: Path) -> None:
    """Through the whole way: opened as a slide, searched, measured; area and all."""
    tifffile.imwrite(
        tmp_path / "slide.tif", drawn(), photometric="rgb", tile=(128, 128), compression="zlib"
    )
    slide = read_field(tmp_path / "slide.tif", whole_px=0).with_scale(UM_PER_PX)
    found = detect(slide, TARGET, Silent())
    assert len(found.marks) == len(whole().marks)
    assert found.area_mm2 == pytest.approx(whole().area_mm2)


def test_a_damaged_tile_fails_the_whole_count(tmp_path: Path) -> None:
    """A part that is missing must not be reported as a whole field."""
    path = tmp_path / "hurt.tif"
    tifffile.imwrite(path, drawn(), photometric="rgb", tile=(128, 128), compression="zlib")
    with tifffile.TiffFile(path) as tif:
        page: Any = tif.pages[0]
        offset, length = page.dataoffsets[-3], page.databytecounts[-3]
    data = bytearray(path.read_bytes())
    data[offset : offset + length] = bytes(length)
    path.write_bytes(bytes(data))
    slide = read_field(path, whole_px=0).with_scale(UM_PER_PX)
    with pytest.raises(CounterError, match=r"hurt\.tif: is damaged"):
        detect(slide, TARGET, Silent())


def test_a_large_photo_is_searched_in_blocks_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """A JPEG of a stitched slide is in memory, but not its contrast, light and network's copies."""
    asked = []

    def noted(*given: Any, **named: Any) -> SlideFinding:
        asked.append(given)
        return search_in_blocks(*given, **named)

    monkeypatch.setattr("counter.imaging.detect.search_in_blocks", noted)
    monkeypatch.setattr("counter.imaging.detect.WHOLE_PX", 300_000)
    monkeypatch.setattr(slide_search, "BLOCK_PX", 300)
    found = detect(photo(drawn()), TARGET, Silent())
    assert len(asked) == 1
    small = replace(photo(drawn()), pixels=drawn()[:300, :300])
    detect(small, TARGET, Silent())
    assert len(asked) == 1
    assert len(found.marks) == len(places(base()))
