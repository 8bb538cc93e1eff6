"""``hingeline calibrate``: the scale in words, in JSON and as a lens; never a guess."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from counter.cli import main
from counter.imaging.draw.gauge import MicrometerSettings, draw_micrometer
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, Rulings, SceneSettings


@pytest.fixture(autouse=True)
def records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep records out of the user's own folder."""
    monkeypatch.setenv("HINGELINE_RECORDS", str(tmp_path / "records.sqlite"))


@pytest.fixture(scope="module")
def micrometer(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the path of a drawn stage micrometer at 2 µm per pixel."""
    settings = MicrometerSettings(width_px=400, height_px=240, um_per_px=2.0, angle_deg=2.0)
    path = tmp_path_factory.mktemp("lines") / "micrometer.png"
    Image.fromarray(draw_micrometer(settings, 1).pixels).save(path)
    return str(path)


def test_a_lens_that_is_calibrated_again_is_compared(
    micrometer: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first time it is only kept; after that the last calibration stands beside it."""
    kept = ["calibrate", micrometer, "--division-um", "10", "--save-lens", "4x"]
    assert main(kept) == 0
    assert capsys.readouterr().out.endswith("Kept as the lens “4x”.\n")
    assert main([*kept[:3], "20", *kept[4:]]) == 0
    assert "Calibrated once before, last on " in (said := capsys.readouterr().out)
    assert "2 times more now" in said


def test_the_contracts_json(
    micrometer: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All five names, with their types and the drawn scale; the words on standard output."""
    target = tmp_path / "scale.json"
    assert main(["calibrate", micrometer, "--division-um", "10", "--json", str(target)]) == 0
    document = json.loads(target.read_text(encoding="utf-8"))
    assert set(document) == {
        "um_per_px",
        "standard_error",
        "angle_deg",
        "divisions_used",
        "warnings",
    }
    assert document["um_per_px"] == pytest.approx(2.0, rel=1e-3)
    assert 0 < document["standard_error"] < 0.002
    assert document["angle_deg"] == pytest.approx(2.0, abs=0.3)
    assert isinstance(document["divisions_used"], int)
    assert document["warnings"] == []
    assert "µm per pixel, standard error" in capsys.readouterr().out


def test_a_dash_puts_the_json_alone_on_standard_output(
    micrometer: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """For a pipe."""
    assert main(["calibrate", micrometer, "--division-um", "10", "--json", "-"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["um_per_px"] == pytest.approx(2.0, rel=1e-3)
    assert "µm per pixel" in err


def test_a_lens_is_kept_and_counted_with(
    micrometer: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """``--save-lens`` and then ``count --lens``, which tells that the picture has another size."""
    main(["calibrate", micrometer, "--division-um", "10", "--save-lens", "10x"])
    assert "lens “10x”" in capsys.readouterr().out
    field = tmp_path / "field.png"
    scene = draw_scene(SceneSettings(200, 120, 4.0, population=(Group(Kind.D_HINGE, 0),)), 1)
    Image.fromarray(scene.pixels).save(field)
    assert main(["count", str(field), "--lens", "10x", "--json", "-"]) == 0
    document = json.loads(capsys.readouterr().out)
    (entry,) = document["fields"]
    assert document["lens"] == "10x"
    assert entry["scale_source"] == "lens"
    assert entry["um_per_px"] == pytest.approx(2.0, rel=1e-3)
    assert any("resized or binned" in said for said in entry["warnings"])


def test_rulings_on_the_command_line_and_in_a_count(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """``--rulings-um 1000`` and ``count --rulings`` give the same scale."""
    settings = SceneSettings(
        640, 460, 4.0, population=(), rulings=Rulings(offset_um=(260.0, 410.0))
    )
    path = tmp_path / "rulings.png"
    Image.fromarray(draw_scene(settings, 1).pixels).save(path)
    assert main(["calibrate", str(path), "--rulings-um", "1000", "--json", "-"]) == 0
    alone = json.loads(capsys.readouterr().out)["um_per_px"]
    assert main(["count", str(path), "--rulings", "--json", "-"]) == 0
    (field,) = json.loads(capsys.readouterr().out)["fields"]
    assert alone == pytest.approx(4.0, rel=2e-3)
    assert field["um_per_px"] == alone
    assert field["scale_source"] == "rulings"


@pytest.mark.parametrize("option", ["--division-um", "--rulings-um"])
def test_a_picture_without_lines_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], option: str
) -> None:
    """Exit 1, the file is named, nothing is written."""
    path, target = tmp_path / "empty.png", tmp_path / "scale.json"
    Image.fromarray(np.full((120, 200), 180, np.uint8)).save(path)
    assert main(["calibrate", str(path), option, "10", "--json", str(target)]) == 1
    err = capsys.readouterr().err
    assert "empty.png: no regular" in err
    assert not target.exists()


def test_a_count_with_rulings_that_are_not_there_fails_for_that_picture(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 1 with the reason; the metadata is not used in place of what was asked for."""
    path = tmp_path / "empty.png"
    Image.fromarray(np.full((120, 200), 180, np.uint8)).save(path)
    assert main(["count", str(path), "--rulings"]) == 1
    assert "no regular rulings" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--division-um", "0"], "impossible"),
        (["--division-um", "ten"], "--division-um"),
        (["--division-um", "0.01"], "really"),
        (["--division-um", "10", "--save-lens", " "], "no name"),
    ],
)
def test_what_makes_no_sense_is_exit_2(
    micrometer: str, capsys: pytest.CaptureFixture[str], options: list[str], words: str
) -> None:
    """One sentence."""
    assert main(["calibrate", micrometer, *options]) == 2
    assert words in capsys.readouterr().err


@pytest.mark.parametrize("options", [[], ["--division-um", "10", "--rulings-um", "1000"]])
def test_one_kind_of_lines_must_be_named(
    micrometer: str, capsys: pytest.CaptureFixture[str], options: list[str]
) -> None:
    """It is said which options there are."""
    assert main(["calibrate", micrometer, *options]) == 2
    assert "--rulings-um" in capsys.readouterr().err


def test_help_has_units_and_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    """--help stands for the manual at the bench."""
    with pytest.raises(SystemExit):
        main(["calibrate", "--help"])
    text = capsys.readouterr().out
    assert "10 for 1 mm in 100 parts" in " ".join(text.split())
    assert "example:" in text
