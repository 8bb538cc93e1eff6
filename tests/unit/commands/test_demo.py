"""``hingeline demo`` says how the hatchery is opened and refuses to overwrite anything."""

from __future__ import annotations

import shlex
from dataclasses import replace
from pathlib import Path

import pytest

from counter.cli import main
from counter.commands import demo
from counter.commands.hatchery.story import STORY
from counter.commands.hatchery.writing import RECORDS
from counter.records.place import default_path

TINY = replace(
    STORY,
    tanks=(replace(STORY.tanks[0], counts=STORY.tanks[0].counts[-1:]),),
    width_px=260,
    height_px=200,
    picture_fillings=1,
    fields=1,
)


def test_the_command_writes_a_hatchery_that_its_last_words_open(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The printed command names the records that were written, by the variable that is read."""
    monkeypatch.setattr(demo, "STORY", TINY)
    folder = tmp_path / "my demo"
    assert main(["demo", str(folder)]) == 0
    said = capsys.readouterr().out
    assert str(folder) in said
    assert (folder / RECORDS).is_file()


def test_the_commands_can_be_pasted_into_a_shell() -> None:
    """Folder and lens with blanks are quoted; the variable leads to the records."""
    folder = Path("/somewhere/my demo")
    lines = demo.farewell(folder, STORY, windows=False).splitlines()
    opened, counted = (shlex.split(line) for line in lines if line.startswith("  "))
    name, _, value = opened[0].partition("=")
    assert opened[1] == "hingeline"
    assert default_path({name: value}) == str(folder / RECORDS)
    assert counted[1:4] == ["hingeline", "count", str(folder / "to-count")]
    assert counted[4:] == ["--lens", STORY.lens, "--vessel", "3 L"]


def test_on_windows_the_variable_is_set_as_powershell_does() -> None:
    """PowerShell sets a variable with $env: and doubles quotes inside quotes."""
    said = demo.farewell(Path("/it's here"), STORY, windows=True)
    assert "$env:HINGELINE_RECORDS = '" in said
    assert "it''s here" in said
    assert "; hingeline" in said


def test_a_folder_that_holds_something_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 1, one sentence that names the folder, nothing overwritten."""
    (tmp_path / "mine.txt").write_text("keep", encoding="utf-8")
    assert main(["demo", str(tmp_path)]) == 1
    assert f"{tmp_path} is not empty" in capsys.readouterr().err


def test_help_names_the_default_and_shows_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    """``--help`` tells the default folder, the units and one worked example."""
    with pytest.raises(SystemExit) as leaving:
        main(["demo", "--help"])
    assert leaving.value.code == 0
    said = capsys.readouterr().out
    assert "hingeline-demo" in said
    assert "hingeline demo my-demo" in said
    assert "µm" in said
