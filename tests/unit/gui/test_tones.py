"""Tones of the tally pad, and the habits that are remembered."""

from __future__ import annotations

import struct
from itertools import pairwise
from pathlib import Path

import pytest

from counter.gui import tones
from counter.gui.settings_file import Habits
from counter.gui.tones import Tones, tone_bytes


def turns(samples: tuple[int, ...]) -> int:
    """How often the wave goes through zero upwards."""
    return sum(a < 0 <= b for a, b in pairwise(samples))


def test_later_classes_sound_higher_and_tones_end_in_silence() -> None:
    """Each class turns more often than the one before; no click at either end."""
    counts = []
    for place in range(5):
        raw = tone_bytes(place)
        samples = struct.unpack(f"<{len(raw) // 2}h", raw)
        counts.append(turns(samples))
        assert abs(samples[0]) < 200
        assert abs(samples[-1]) < 200
        assert max(samples) < 32_000
    assert counts == sorted(set(counts))


def test_without_a_sound_device_nothing_is_played_and_nothing_fails(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The desk works in silence."""
    monkeypatch.setattr(tones, "_multimedia", lambda: None)
    silent = Tones()
    assert not silent.available
    silent.play(0)


def test_with_a_device_each_class_has_its_own_sound(monkeypatch: pytest.MonkeyPatch) -> None:
    """A tone is made once and played each time."""
    played: list[str] = []

    class Effect:
        def setSource(self, url: object) -> None:
            self.source = str(url)

        def play(self) -> None:
            played.append(self.source)

    class Multimedia:
        QSoundEffect = Effect

    monkeypatch.setattr(tones, "_multimedia", Multimedia)
    sounding = Tones()
    for place in (0, 1, 0):
        sounding.play(place)
    sounding.close()
    assert len(played) == 3
    assert played[0] == played[2] != played[1]


def test_habits_come_back_and_nonsense_in_the_file_is_no_trouble(tmp_path: Path) -> None:
    """Keys and sounds are kept; a file that somebody spoilt gives the defaults."""
    file = tmp_path / "habits.ini"
    habits = Habits(file)
    assert habits.tally_keys == {}
    assert not habits.sounds
    habits.tally_keys = {"d-hinge": "K"}
    habits.sounds = True
    del habits
    again = Habits(file)
    assert again.tally_keys == {"d-hinge": "K"}
    assert again.sounds
    for nonsense in ("{not json", "[1, 2]", '{"d-hinge": 7}'):
        again._settings.setValue("tally/keys", nonsense)
        assert again.tally_keys == {}
