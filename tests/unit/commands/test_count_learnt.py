"""``hingeline count --lens``: what was taught to the lens is used and said, or left out."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from counter.cli import main
from counter.domain import catalogue
from counter.domain.events import SampleStarted
from counter.domain.lesson import Lesson, Taught
from counter.domain.progress import Silent
from counter.domain.scale import Lens
from counter.domain.species import TargetKind, target_of
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.photo import Photo
from counter.imaging.prospects import survey
from counter.imaging.rescore import network_version
from counter.records.store import Store

SLIDE = SceneSettings(
    width_px=240, height_px=180, um_per_px=2.0, population=(Group(Kind.D_HINGE, 2),),
    keep_inside=True,
)  # fmt: skip
LARVAE = target_of(catalogue.species("eastern-oyster"), TargetKind.LARVAE)
NOTE = "adjusted by 16 corrections made before with the lens “10x”"


@pytest.fixture
def slide(tmp_path: Path) -> str:
    path = tmp_path / "a.png"
    Image.fromarray(draw_scene(SLIDE, 1).pixels).save(path)
    return str(path)


@pytest.fixture
def records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Records with a lens that was taught, on two fields, that nothing here is a larva."""
    path = tmp_path / "records" / "hingeline.sqlite"
    monkeypatch.setenv("HINGELINE_RECORDS", str(path))
    store = Store(path)
    store.save_lens(Lens("10x", 2.0, 0.001, date(2031, 5, 6), 240, 180))
    chamber = catalogue.chamber("sedgewick-rafter")
    sample_id = store.new_sample(SampleStarted(LARVAE, chamber, name="day 6", lens="10x"))
    teach(store, sample_id, network_version())
    store.close()
    return path


def teach(store: Store, sample_id: int, network: str) -> None:
    """Say on two fields that what is seen on the slide, eight times over, is no larva."""
    photo = Photo(draw_scene(SLIDE, 1).pixels).with_scale(2.0)
    seen = survey(photo, LARVAE, Silent())
    two = sorted(seen.prospects, key=lambda each: each.score)[-2:]
    taught_by = replace(seen, network=network, prospects=tuple(two * 4))
    wrong = tuple(Taught(n, False, True, 3) for n in range(8))
    store.save_lessons([Lesson(sample_id, field, "10x", taught_by, wrong) for field in (1, 2)])


def counted(slide: str, tmp_path: Path, *options: str) -> dict[str, Any]:
    target = tmp_path / "out.json"
    assert main(["count", slide, "--lens", "10x", *options, "--json", str(target)]) == 0
    document: dict[str, Any] = json.loads(target.read_text(encoding="utf-8"))
    return document


@pytest.mark.usefixtures("records")
def test_what_the_lens_was_taught_is_used_and_said(
    slide: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sure larvae stay, as the change is bounded; their scores are lower, and it is said."""
    adjusted = counted(slide, tmp_path)
    said = capsys.readouterr()
    shipped = counted(slide, tmp_path, "--without-learnt")
    assert NOTE in said.out
    assert said.err == ""
    assert any(NOTE in warning for warning in adjusted["warnings"])
    assert adjusted["fields"][0]["adjusted_by_corrections"] == 16
    assert shipped["fields"][0]["adjusted_by_corrections"] == 0
    assert not any("adjusted" in warning for warning in shipped["warnings"])
    assert "adjusted" not in capsys.readouterr().out
    assert shipped["estimate"]["counted"] == 2
    higher = max(mark["score"] for mark in shipped["fields"][0]["larvae"])
    assert all(mark["score"] < higher for mark in adjusted["fields"][0]["larvae"])


def test_a_lens_that_is_switched_off_is_said_and_not_used(
    slide: str, tmp_path: Path, records: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On standard error, so that it is not among the data."""
    store = Store(records)
    store.use_lessons("10x", False)
    store.close()
    assert counted(slide, tmp_path)["fields"][0]["adjusted_by_corrections"] == 0
    assert "switched off" in capsys.readouterr().err


def test_what_taught_another_finder_rests_and_is_said(
    slide: str, tmp_path: Path, records: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The network was trained again since."""
    store = Store(records)
    teach(store, 1, "earlier/1")
    store.close()
    assert counted(slide, tmp_path)["fields"][0]["adjusted_by_corrections"] == 0
    assert "16 corrections taught another version of the finder" in capsys.readouterr().err
