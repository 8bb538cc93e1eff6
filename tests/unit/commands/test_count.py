"""``hingeline count``: options, exit codes, what is printed and written."""

from __future__ import annotations

import csv
import functools
import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from numpy.typing import NDArray
from PIL import Image

from counter.cli import main
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings

SCALE = ["--um-per-px", "2"]
AREA_MM2 = 240 * 180 * 4e-6


@functools.cache
def drawn(count: int) -> NDArray[Any]:
    """Return a small drawn field with ``count`` D-hinge larvae wholly inside."""
    settings = SceneSettings(
        width_px=240,
        height_px=180,
        um_per_px=2.0,
        population=(Group(Kind.D_HINGE, count),),
        keep_inside=True,
    )
    return draw_scene(settings, 1).pixels


@pytest.fixture(autouse=True)
def records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep records out of the user's own folder."""
    path = tmp_path / "records" / "hingeline.sqlite"
    path.parent.mkdir()
    monkeypatch.setenv("HINGELINE_RECORDS", str(path))
    return path


def save(path: Path, count: int = 2) -> str:
    """Write a drawn field and return its path."""
    Image.fromarray(drawn(count)).save(path)
    return str(path)


def test_a_count_is_printed_and_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Total with limits for people; JSON, CSV and chart for programs; exit 0."""
    outputs = {name: str(tmp_path / f"out.{name}") for name in ("json", "csv", "svg")}
    written = ["--json", outputs["json"], "--csv", outputs["csv"], "--plot", outputs["svg"]]
    volumes = ["--vessel", "20 L", "--dilution", "1+9"]
    code = main(["count", save(tmp_path / "a.png"), *SCALE, *volumes, *written])
    out = capsys.readouterr().out
    document = json.loads(Path(outputs["json"]).read_text(encoding="utf-8"))
    assert code == 0
    assert document["estimate"]["counted"] == 2
    assert document["estimate"]["total"] == pytest.approx(2 / (AREA_MM2 / 1000) * 10 * 20_000)
    assert document["fields"][0]["volume_ul"] == pytest.approx(AREA_MM2)
    assert document["fields"][0]["scale_source"] == "given"
    assert len(Path(outputs["csv"]).read_text(encoding="utf-8-sig").splitlines()) == 3
    assert "<svg" in Path(outputs["svg"]).read_text(encoding="utf-8")
    assert "Total in 20" in out
    assert ": 2 310 million (" in out.replace("\u202f", " ")
    assert "borders top-left" in out
    assert "Garwood" in out


def test_every_step_is_printed_where_it_is_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same lines stand in the JSON, in any case."""
    file = str(tmp_path / "out.json")
    command = ["count", save(tmp_path / "a.png"), *SCALE, "--vessel", "20 L", "--json", file]
    assert main(command) == 0
    assert "Counted water" not in capsys.readouterr().out
    assert main([*command, "--working"]) == 0
    printed = [line.strip() for line in capsys.readouterr().out.splitlines()]
    steps = json.loads(Path(file).read_text(encoding="utf-8"))["working"]
    assert any(line.startswith("Counted water: 2 ÷ ") for line in steps)
    assert all(line in printed for line in steps)


@pytest.mark.parametrize("option", ["--json", "--csv"])
def test_a_dash_is_standard_output_and_the_words_go_aside(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], option: str
) -> None:
    """A pipe gets the data alone."""
    assert main(["count", save(tmp_path / "a.png"), *SCALE, option, "-"]) == 0
    out, err = capsys.readouterr()
    if option == "--json":
        assert json.loads(out)["format"] == "hingeline-count/1"
    else:
        assert len(list(csv.DictReader(io.StringIO(out)))) == 2
    assert "Density" in err


def test_one_bad_file_is_named_and_the_others_are_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 1; the failure stands on standard error and in the JSON."""
    save(tmp_path / "good.png")
    (tmp_path / "bad.jpg").write_bytes(b"\xff\xd8\xff nothing")
    gone = str(tmp_path / "gone.png")
    target = tmp_path / "out.json"
    code = main(["count", str(tmp_path), gone, *SCALE, "--json", str(target), "--jobs", "1"])
    err = capsys.readouterr().err
    document = json.loads(target.read_text(encoding="utf-8"))
    assert code == 1
    assert "bad.jpg" in err
    assert "gone.png: there is no such file" in err
    assert {Path(entry["file"]).name for entry in document["failed"]} == {"bad.jpg", "gone.png"}
    assert document["estimate"]["counted"] == 2


def test_nothing_readable_is_written_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A document without fields, exit 1."""
    target = tmp_path / "out.json"
    code = main(["count", str(tmp_path / "gone.png"), *SCALE, "--json", str(target)])
    assert code == 1
    assert json.loads(target.read_text(encoding="utf-8"))["fields"] == []
    assert "Nothing was counted" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ([], "hingeline calibrate"),
        (["--um-per-px", "0"], "above 0"),
        (["--um-per-px", "-1"], "above 0"),
        (["--um-per-px", "100"], "not plausible"),
        (["--um-per-px", "0.001"], "not plausible"),
        (["--um-per-px", "wide"], "--um-per-px"),
        ([*SCALE, "--vessel", "20"], "no unit"),
        ([*SCALE, "--vessel", "0 L"], "above 0"),
        ([*SCALE, "--dilution", "1:10"], "1+9"),
        ([*SCALE, "--length-um", "350-60"], "shortest length first"),
        ([*SCALE, "--species", "unicorn"], "eastern-oyster"),
        ([*SCALE, "--chamber", "bucket"], "sedgewick-rafter"),
        ([*SCALE, "--chamber", "whole-volume"], "volume that was put in"),
        ([*SCALE, "--aliquot", "1 mL"], "no meaning"),
        ([*SCALE, "--chamber-volume", "2"], "no unit"),
        ([*SCALE, "--confidence", "1.5"], "--confidence"),
        ([*SCALE, "--jobs", "0"], "whole number from 1"),
        ([*SCALE, "--jobs", "many"], "whole number from 1"),
        ([*SCALE, "--plot", "sizes.jpg"], ".png, .svg or .pdf"),
        ([*SCALE, "--plot", "-"], "goes to a file"),
        ([*SCALE, "--json", "-", "--csv", "-"], "one place"),
        (["--lens", "nowhere"], "no lens"),
        (["--rulings", "--chamber", "palmer-maloney"], "no rulings"),
    ],
)
def test_what_makes_no_sense_is_exit_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], options: list[str], words: str
) -> None:
    """One sentence that names the field and says what to write."""
    assert main(["count", save(tmp_path / "a.png", 0), *options]) == 2
    out, err = capsys.readouterr()
    assert words in err
    assert err.startswith("hingeline: ")
    assert len(err.strip().splitlines()) == 1
    assert out == ""


@pytest.mark.parametrize("options", [["--edges", "middle"], ["--target", "fish"]])
def test_unknown_choices_are_exit_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], options: list[str]
) -> None:
    """The choices are named."""
    assert main(["count", save(tmp_path / "a.png", 0), *SCALE, *options]) == 2
    assert "choose from" in capsys.readouterr().err


def test_a_place_that_cannot_be_written_is_told_before_the_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No picture is read for a result that could not be kept."""
    target = str(tmp_path / "no" / "out.json")
    assert main(["count", str(tmp_path / "gone.png"), *SCALE, "--json", target]) == 1
    assert "out.json cannot be written" in capsys.readouterr().err


def test_a_disk_that_fills_up_costs_one_output_only(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other outputs and the printed result still come; exit 1; nothing half-written."""

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    picture = save(tmp_path / "a.png")
    monkeypatch.setattr("os.fsync", full)
    code = main(["count", picture, *SCALE, "--csv", str(tmp_path / "out.csv"), "--json", "-"])
    out, err = capsys.readouterr()
    assert code == 1
    assert json.loads(out)["estimate"]["counted"] == 2
    assert "out.csv cannot be written (No space left on device)" in err
    assert "Density" in err
    assert not (tmp_path / "out.csv").exists()


def test_a_certified_volume_stands_over_area_times_depth(tmp_path: Path) -> None:
    """1.05 mL instead of 1 mL: the volume of each field grows by 5 %."""
    target = tmp_path / "out.json"
    options = ["--chamber-volume", "1.05 mL", "--json", str(target)]
    main(["count", save(tmp_path / "a.png", 0), *SCALE, *options])
    document = json.loads(target.read_text(encoding="utf-8"))
    assert document["fields"][0]["volume_ul"] == pytest.approx(AREA_MM2 * 1.05)
    assert document["chamber_volume_ul"] == pytest.approx(1050)


def test_how_well_the_vessel_is_known_goes_into_the_limits(tmp_path: Path) -> None:
    """The count and the density stay, the limits of the total widen; nobody has looked, it says."""
    target, picture = tmp_path / "out.json", save(tmp_path / "a.png", 2)
    found = []
    for known in ((), ("--vessel-uncertainty", "20 %")):
        main(["count", picture, *SCALE, "--vessel", "20 L", *known, "--json", str(target)])
        found.append(json.loads(target.read_text(encoding="utf-8")))
    plain, wide = (document["estimate"] for document in found)
    assert (plain["method"], wide["method"]) == ("poisson-exact", "poisson-exact+volumes")
    assert plain["total"] == wide["total"]
    assert wide["low"] < plain["low"]
    assert wide["high"] > plain["high"]
    assert plain["density_high_per_ml"] == wide["density_high_per_ml"]
    assert any("Nobody has looked through" in said for said in found[0]["warnings"])


def test_eggs_and_lengths_of_ones_own(tmp_path: Path) -> None:
    """``--target eggs`` with a length range finds bodies of that range and calls them eggs."""
    target = tmp_path / "out.json"
    options = ["--target", "eggs", "--length-um", "50-90", "--json", str(target)]
    main(["count", save(tmp_path / "a.png", 2), *SCALE, *options])
    document = json.loads(target.read_text(encoding="utf-8"))
    assert document["target"] == "eggs"
    assert document["length_um"] == [50.0, 90.0]
    assert {entry["stage"] for entry in document["fields"][0]["larvae"]} == {"egg"}


def test_the_hatcherys_own_chamber_is_known(tmp_path: Path, records: Path) -> None:
    """A chambers.toml beside the records adds a chamber."""
    (records.parent / "chambers.toml").write_text(
        '[tray]\nname = "Our tray"\nlength_mm = 30.0\nwidth_mm = 20.0\ndepth_mm = 2.0\n'
        'source = "measured"\n',
        encoding="utf-8",
    )
    target = tmp_path / "out.json"
    options = ["--chamber", "tray", "--json", str(target)]
    assert main(["count", save(tmp_path / "a.png", 0), *SCALE, *options]) == 0
    document = json.loads(target.read_text(encoding="utf-8"))
    assert document["fields"][0]["volume_ul"] == pytest.approx(AREA_MM2 * 2)


def test_help_names_units_and_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    """--help stands for the manual at the bench."""
    with pytest.raises(SystemExit) as caught:
        main(["count", "--help"])
    text = capsys.readouterr().out
    assert caught.value.code == 0
    for word in ("µm per pixel", "20 L", "1+9", "default: top-left", "example:"):
        assert word in text


def test_the_command_itself_needs_no_screen_and_no_graphics(tmp_path: Path) -> None:
    """A real process: exit 0, and neither Qt nor pyplot nor SQLAlchemy was ever imported."""
    script = (
        "import sys; from counter.cli import main; code = main(sys.argv[1:]); "
        "heavy = [m for m in ('PySide6', 'matplotlib.pyplot', 'sqlalchemy') if m in sys.modules]; "
        "print(heavy, file=sys.stderr); sys.exit(code)"
    )
    arguments = ["count", save(tmp_path / "a.png"), *SCALE, "--plot", str(tmp_path / "a.svg")]
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr.strip() == "[]"
    assert "Counted 2 larvae" in done.stdout


@pytest.mark.parametrize(
    ("name", "options", "code"),
    [("gone.png", SCALE, 1), ("a.png", ["--um-per-px", "0"], 2)],
)
def test_exit_codes_of_the_real_command(
    tmp_path: Path, name: str, options: list[str], code: int
) -> None:
    """0 all counted (above), 1 some input could not be read, 2 the command is wrong."""
    save(tmp_path / "a.png", 0)
    done = subprocess.run(
        [sys.executable, "-m", "counter", "count", str(tmp_path / name), *options],
        capture_output=True,
        check=False,
    )
    assert done.returncode == code
    assert b"Traceback" not in done.stderr


def test_the_scale_of_another_objective_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing fits at a quarter of the scale, and there is a word about it in print and JSON."""
    file = str(tmp_path / "out.json")
    code = main(["count", save(tmp_path / "a.png", 7), "--um-per-px", "0.5", "--json", file])
    document = json.loads(Path(file).read_text(encoding="utf-8"))
    assert code == 0
    assert document["estimate"]["counted"] <= 1
    (words,) = [said for said in document["warnings"] if "objective" in said]
    assert "too small for Eastern oyster larvae" in words
    assert "4 times larger they would fit. Wrong objective or scale?" in words
    assert words in capsys.readouterr().out


def test_sizes_are_held_against_the_age_where_it_is_given(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Larvae of 70 µm look 175 µm long at 2.5 times the scale; no age, no word."""
    file = save(tmp_path / "a.png", 7)
    assert main(["count", file, "--um-per-px", "5", "--age-days", "2"]) == 0
    assert "too long for day 2" in capsys.readouterr().out
    assert main(["count", file, "--um-per-px", "5"]) == 0
    assert "too long" not in capsys.readouterr().out
    assert main(["count", file, *SCALE, "--age-days", "-1"]) == 2
    assert "--age-days" in capsys.readouterr().err
