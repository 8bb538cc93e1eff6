"""A short tone for each key of the tally pad; silent where there is no sound device."""

from __future__ import annotations

import importlib
import math
import struct
import wave
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

_RATE_HZ = 22_050
_LENGTH_S = 0.07
_LOWEST_HZ = 392.0
_STEP = 2 ** (3 / 12)


def tone_bytes(place: int) -> bytes:
    """Return a tone as 16-bit mono samples at 22.05 kHz: the higher the class, the higher it is.

    Classes are three semitones apart, from g′ (392 Hz) on; ends are faded so that none clicks.
    """
    hertz = _LOWEST_HZ * _STEP**place
    total = int(_RATE_HZ * _LENGTH_S)
    values = []
    for step in range(total):
        fade = min(1.0, step / 150, (total - step) / 600)
        values.append(int(9000 * fade * math.sin(2 * math.pi * hertz * step / _RATE_HZ)))
    return struct.pack(f"<{total}h", *values)


class Tones:
    """Plays a tone for each class; :attr:`available` is False where nothing can be heard."""

    def __init__(self) -> None:
        self._effects: dict[int, Any] = {}
        self._folder: TemporaryDirectory[str] | None = None
        self._multimedia = _multimedia()

    @property
    def available(self) -> bool:
        """Whether this machine has Qt's sound and a device to play it on."""
        return self._multimedia is not None

    def play(self, place: int) -> None:
        """Play the tone of the class in this place; do nothing where nothing can be heard."""
        if self._multimedia is None:
            return
        if place not in self._effects:
            self._effects[place] = self._effect(place)
        self._effects[place].play()

    def close(self) -> None:
        """Let go of the sounds and of their files."""
        self._effects.clear()
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None

    def _effect(self, place: int) -> Any:
        core = importlib.import_module("PySide6.QtCore")
        if self._folder is None:
            self._folder = TemporaryDirectory(prefix="hingeline-tones-")
        file = Path(self._folder.name) / f"tone-{place}.wav"
        with wave.open(str(file), "wb") as sound:
            sound.setnchannels(1)
            sound.setsampwidth(2)
            sound.setframerate(_RATE_HZ)
            sound.writeframes(tone_bytes(place))
        assert self._multimedia is not None
        effect = self._multimedia.QSoundEffect()
        effect.setSource(core.QUrl.fromLocalFile(str(file)))
        return effect


def _multimedia() -> Any:
    """Return QtMultimedia if it can be loaded and finds a device to play on."""
    try:
        module = importlib.import_module("PySide6.QtMultimedia")
    except ImportError:
        return None
    return module if module.QMediaDevices.audioOutputs() else None
