"""``python -m counter.imaging.draw`` in one place: what it prints, and its exit codes."""

from __future__ import annotations

from pathlib import Path

import pytest

from counter.imaging.draw.__main__ import main


def test_the_command_says_how_it_is_used(capsys: pytest.CaptureFixture[str]) -> None:
    """Without a folder it prints its usage and exits with 2."""
    assert main([]) == 2
    assert "FOLDER" in capsys.readouterr().err


def test_the_command_reports_what_cannot_be_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A folder that cannot be made is a sentence and exit code 1."""
    blocked = tmp_path / "blocked"
    blocked.write_text("in the way", encoding="utf-8")
    assert main([str(blocked)]) == 1
    assert "blocked" in capsys.readouterr().err
