"""The records as a command opens them."""

from __future__ import annotations

from pathlib import Path

import pytest

from counter.commands.records import opened_records


def test_what_is_odd_about_the_records_is_said_on_standard_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Damaged records are set aside, and the person learns that and where they are."""
    place = tmp_path / "hatchery.sqlite"
    place.write_bytes(b"no records at all" * 300)
    monkeypatch.setenv("HINGELINE_RECORDS", str(place))
    with opened_records() as records:
        assert records.lenses() == ()
    said = capsys.readouterr()
    assert said.err.startswith("hingeline: ")
    assert "damaged" in said.err
    assert said.out == ""


def test_sound_records_say_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """New and unharmed records open without a word."""
    monkeypatch.setenv("HINGELINE_RECORDS", str(tmp_path / "hatchery.sqlite"))
    for _ in range(2):
        with opened_records() as records:
            assert records.samples() == ()
    assert capsys.readouterr().err == ""
