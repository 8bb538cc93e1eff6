"""Many pictures become one sample: fillings, failures, warnings, stopping."""

from __future__ import annotations

import functools
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from numpy.typing import NDArray
from PIL import Image

from counter.counting import Counted, CountSettings, count_one, count_pictures
from counter.domain.catalogue import chamber
from counter.domain.progress import Cancellable, Silent
from counter.errors import Cancelled, UsageError
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from tests.hatchery import CHAMBER, LARVAE, WELL

UM_PER_PX = 2.0


@functools.cache
def drawn(count: int, seed: int) -> NDArray[Any]:
    """Return a small drawn field with ``count`` D-hinge larvae wholly inside."""
    settings = SceneSettings(
        width_px=240,
        height_px=180,
        um_per_px=UM_PER_PX,
        population=(Group(Kind.D_HINGE, count),),
        keep_inside=True,
    )
    return draw_scene(settings, seed).pixels


def save(path: Path, count: int = 2, seed: int = 1) -> Path:
    """Write a drawn field to ``path``."""
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.fromarray(drawn(count, seed)).save(path)
    return path


class Noting:
    """A progress that notes what it is told."""

    def __init__(self) -> None:
        self.told: list[float] = []

    def report(self, fraction: float, what: str = "") -> None:
        """Note the fraction."""
        del what
        self.told.append(fraction)


def settings(**changes: Any) -> CountSettings:
    """Return settings for the drawn fields."""
    return replace(CountSettings(LARVAE, CHAMBER, um_per_px=UM_PER_PX), **changes)


def run(paths: list[Path], jobs: int = 1, **changes: Any) -> Counted:
    """Count without a display."""
    return count_pictures(paths, settings(**changes), Silent(), jobs)


def numbers(counted: Counted) -> list[list[tuple[int, str, int]]]:
    """Return (field id, name, marks) by filling."""
    return [
        [(f.field_id, f.picture.name, len(f.marks)) for f in filling.fields]  # type: ignore[union-attr]
        for filling in counted.sample.fillings
    ]


def test_a_picture_becomes_a_field_with_its_area(tmp_path: Path) -> None:
    """Two larvae in 240 × 180 px at 2 µm: 0.1728 mm² and that many µL in a 1 mm deep chamber."""
    counted = run([save(tmp_path / "a.png", 2)])
    (filling,) = counted.sample.fillings
    assert filling.count(counted.sample.edges) == 2
    assert filling.volume_ul(CHAMBER) == pytest.approx(240 * 180 * 4e-6)
    (field,) = counted.sample.picture_fields()
    assert field.picture.file == str(tmp_path / "a.png")
    assert field.picture.scale.source == "given"
    assert counted.failed == ()
    assert counted.warnings == ()


def test_folders_are_fillings_and_loose_files_one_more(tmp_path: Path) -> None:
    """Each folder and sub-folder is a loading of the chamber; fields are numbered through."""
    loose = [save(tmp_path / "x" / "l-1.png", 1), save(tmp_path / "y" / "l-2.png", 2, 2)]
    save(tmp_path / "all" / "f-1.png", 1, 3)
    save(tmp_path / "all" / "second" / "f-1.png", 0, 4)
    counted = run([loose[0], tmp_path / "all", loose[1]])
    assert numbers(counted) == [
        [(1, "l-1.png", 1), (2, "l-2.png", 2)],
        [(3, "f-1.png", 1)],
        [(4, "f-1.png", 0)],
    ]
    assert [filling.filling_id for filling in counted.sample.fillings] == [1, 2, 3]


def test_each_failure_is_named_and_the_others_are_counted(tmp_path: Path) -> None:
    """Broken, missing and empty folder: three failures; the good picture stands."""
    good, bad = save(tmp_path / "good.png"), tmp_path / "bad.png"
    bad.write_bytes(good.read_bytes()[:400])
    (tmp_path / "none").mkdir()
    counted = run([tmp_path / "none", bad, tmp_path / "gone.png", good])
    assert [len(filling.fields) for filling in counted.sample.fillings] == [1]
    reasons = {Path(failure.file).name: failure.reason for failure in counted.failed}
    assert set(reasons) == {"none", "bad.png", "gone.png"}
    assert "holds no picture" in reasons["none"]
    assert "damaged" in reasons["bad.png"]
    assert reasons["gone.png"].startswith("there is no such file")


def test_processes_count_the_same_as_one(tmp_path: Path) -> None:
    """A pool gives the same fields in the same order, the same failures, and grows to all."""
    files = [save(tmp_path / f"{i}.png", i, i) for i in range(3)]
    files[1].write_text("no picture")
    progress = Noting()
    alone, pooled = run(files, jobs=1), count_pictures(files, settings(), progress, 2)
    assert alone == pooled
    assert progress.told == sorted(progress.told)
    assert progress.told[-1] == pytest.approx(1.0)
    assert numbers(pooled) == [[(1, "0.png", 0), (2, "2.png", 2)]]


def test_pages_are_fields(tmp_path: Path) -> None:
    """A TIFF of two pages gives two fields of one file."""
    path = tmp_path / "pages.tif"
    tifffile.imwrite(path, np.stack([drawn(1, 1), drawn(2, 2)]), photometric="rgb")
    fields = count_one(path, settings(), Silent())
    assert [field.picture.page for field in fields] == [0, 1]
    assert [len(field.marks) for field in fields] == [1, 2]


def test_nothing_named_and_no_scale_at_all(tmp_path: Path) -> None:
    """Both are the command's fault; the sentence says how to calibrate."""
    with pytest.raises(UsageError, match="No picture is named"):
        run([])
    with pytest.raises(UsageError, match="hingeline calibrate") as caught:
        run([save(tmp_path / "a.png")], um_per_px=None)
    assert str(tmp_path / "a.png") in str(caught.value)


def test_a_picture_without_scale_beside_one_with_metadata_is_a_failure(tmp_path: Path) -> None:
    """The one that states its scale is counted."""
    tifffile.imwrite(
        tmp_path / "stated.ome.tif",
        drawn(1, 1),
        photometric="rgb",
        metadata={"axes": "YXS", "PhysicalSizeX": UM_PER_PX, "PhysicalSizeY": UM_PER_PX},
    )
    counted = run([tmp_path / "stated.ome.tif", save(tmp_path / "a.png")], um_per_px=None)
    (field,) = counted.sample.picture_fields()
    assert (field.picture.scale.um_per_px, field.picture.scale.source) == (UM_PER_PX, "metadata")
    assert [Path(failure.file).name for failure in counted.failed] == ["a.png"]


def test_the_same_picture_twice_is_told(tmp_path: Path) -> None:
    """A copy under another name narrows the limits without cause."""
    save(tmp_path / "a.png")
    save(tmp_path / "a copy.png")
    (said,) = run([tmp_path]).warnings
    assert "same picture" in said
    assert said.endswith("remove one.")
    save(tmp_path / "a third.png")
    (said,) = run([tmp_path]).warnings
    assert "2 others" in said
    assert said.endswith("remove all but one.")


def test_an_empty_folder_is_named_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also where its path is written in a longer way."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "none").mkdir()
    (failure,) = count_pictures(["./none"], settings(), Silent(), 1).failed
    assert failure.reason.startswith("holds no picture")


def test_different_scales_in_one_sample_are_told(tmp_path: Path) -> None:
    """A changed objective between two pictures."""
    for name, scale in (("a", 2.0), ("b", 4.0)):
        tifffile.imwrite(
            tmp_path / f"{name}.ome.tif",
            drawn(0, 1),
            photometric="rgb",
            metadata={"axes": "YXS", "PhysicalSizeX": scale, "PhysicalSizeY": scale},
        )
    warnings = run([tmp_path], um_per_px=None).warnings
    assert any("different scales (2 to 4" in said for said in warnings)


def test_more_area_than_the_chamber_has_is_told(tmp_path: Path) -> None:
    """Overlapping pictures or a wrong scale."""
    small = CHAMBER.__class__("tiny", "tiny", 0.1, 1.0)
    (said,) = run([save(tmp_path / "a.png", 0)], chamber=small).warnings
    assert "more than the chamber" in said


def test_a_whole_volume_chamber_needs_the_volume(tmp_path: Path) -> None:
    """Without it: what to type. With it: the aliquot is the volume, whatever the pictures show."""
    with pytest.raises(UsageError, match="volume that was put in"):
        CountSettings(LARVAE, WELL)
    counted = run([save(tmp_path / "a.png", 2)], chamber=WELL, aliquot_ul=250.0)
    (filling,) = counted.sample.fillings
    assert filling.volume_ul(WELL) == 250.0


def test_a_missing_part_of_a_whole_volume_is_told(tmp_path: Path) -> None:
    """A picture that failed leaves part of the well uncounted."""
    (tmp_path / "bad.png").write_text("no picture")
    save(tmp_path / "good.png")
    counted = run([tmp_path], chamber=WELL, aliquot_ul=250.0)
    assert any("too low" in said for said in counted.warnings)


def test_an_aliquot_has_no_meaning_in_a_chamber_of_known_volume() -> None:
    """It would be forgotten silently."""
    with pytest.raises(UsageError, match="no meaning"):
        settings(aliquot_ul=1000.0)


def test_rulings_need_a_chamber_that_has_some() -> None:
    """A Palmer-Maloney disc has no rulings."""
    with pytest.raises(UsageError, match="no rulings"):
        settings(chamber=chamber("palmer-maloney"), use_rulings=True)


@pytest.mark.parametrize("jobs", [1, 2])
def test_stopping(tmp_path: Path, jobs: int) -> None:
    """A cancelled count raises Cancelled, alone as well as with processes."""
    files = [save(tmp_path / f"{i}.png", 0, i) for i in range(3)]
    progress = Cancellable()
    progress.cancel()
    with pytest.raises(Cancelled):
        count_pictures(files, settings(), progress, jobs)


def test_progress_grows_from_nothing_to_all(tmp_path: Path) -> None:
    """Reports never go back and end at 1."""
    progress = Noting()
    count_pictures([save(tmp_path / f"{i}.png", 0, i) for i in range(2)], settings(), progress, 1)
    assert progress.told == sorted(progress.told)
    assert progress.told[-1] == pytest.approx(1.0)


def test_names_that_lead_nowhere_cost_themselves_only(tmp_path: Path) -> None:
    """A link to itself, a dangling one and a name too long for any disk; the good one is counted.

    A folder that holds a link back to itself is walked through once.
    """
    good, circle, dangling = save(tmp_path / "good.png", 0), tmp_path / "c.png", tmp_path / "d.png"
    circle.symlink_to("c.png")
    dangling.symlink_to("nowhere")
    (tmp_path / "up").symlink_to(tmp_path, target_is_directory=True)
    counted = run([tmp_path, tmp_path / ("x" * 400 + ".png")])
    assert [Path(field.picture.file) for field in counted.sample.picture_fields()] == [good]
    assert len(counted.failed) == 3
    assert all(failure.reason for failure in counted.failed)


def test_an_empty_name_is_not_this_folder() -> None:
    """As from a shell variable that is not set."""
    with pytest.raises(UsageError, match="is empty"):
        run([Path("a.png"), ""])  # type: ignore[list-item]
