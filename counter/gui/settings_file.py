"""What this bench remembers of its user's habits: keys, sounds, the window's size, typed drafts.

Never the counts of a sample: those are in the records.
"""

from __future__ import annotations

import json
from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings

Draft = dict[str, str | list[list[str]]]
"""What is typed in a sheet: lines of text by name, and tables as rows of cells."""


class Habits:
    """A small settings file beside the records.

    ===============  =================================================  =========
    key              meaning                                            default
    ===============  =================================================  =========
    tally/keys       JSON: the key chosen for each class of the tally   our own
    tally/sounds     whether a key of the tally is answered by a tone   false
    waiting/files    JSON: by sample_id, files that wait to be counted  none
    draft/<sheet>    JSON: what is typed in a sheet of the window       empty
    window/geometry  size and place of the window                       by screen
    ===============  =================================================  =========
    """

    def __init__(self, file: Path) -> None:
        self._settings = QSettings(str(file), QSettings.Format.IniFormat)

    @property
    def tally_keys(self) -> dict[str, str]:
        """The key chosen for each class; what is not text is left out."""
        kept = self._read_json("tally/keys")
        return {str(name): key for name, key in kept.items() if isinstance(key, str)}

    @tally_keys.setter
    def tally_keys(self, keys: dict[str, str]) -> None:
        self._settings.setValue("tally/keys", json.dumps(keys, sort_keys=True))

    @property
    def waiting(self) -> dict[str, list[str]]:
        """The files that wait to be counted, by the sample_id that they belong to."""
        kept = self._read_json("waiting/files")
        return {
            str(sample): [file for file in files if isinstance(file, str)]
            for sample, files in kept.items()
            if isinstance(files, list)
        }

    @waiting.setter
    def waiting(self, files: dict[str, list[str]]) -> None:
        self._settings.setValue("waiting/files", json.dumps(files))
        self._settings.sync()

    def draft(self, sheet: str) -> Draft:
        """Return what was typed in a sheet; what is neither text nor a table is left out."""
        kept: Draft = {}
        for name, value in self._read_json(f"draft/{sheet}").items():
            if isinstance(value, str):
                kept[str(name)] = value
            elif isinstance(value, list):
                rows = [row for row in value if isinstance(row, list)]
                kept[str(name)] = [[str(cell) for cell in row] for row in rows]
        return kept

    def keep_draft(self, sheet: str, draft: Draft) -> None:
        """Keep what is typed in a sheet, on the disk at once if it is anything new."""
        if draft != self.draft(sheet):
            self._settings.setValue(f"draft/{sheet}", json.dumps(draft))
            self._settings.sync()

    def _read_json(self, key: str) -> dict[object, object]:
        try:
            kept = json.loads(str(self._settings.value(key, "{}")))
        except json.JSONDecodeError:
            return {}
        return kept if isinstance(kept, dict) else {}

    @property
    def sounds(self) -> bool:
        """Whether a key of the tally is answered by a tone."""
        return str(self._settings.value("tally/sounds", "false")).lower() == "true"

    @sounds.setter
    def sounds(self, wanted: bool) -> None:
        self._settings.setValue("tally/sounds", "true" if wanted else "false")

    @property
    def geometry(self) -> QByteArray | None:
        """The window's size and place when it was closed last."""
        kept = self._settings.value("window/geometry")
        return kept if isinstance(kept, QByteArray) else None

    @geometry.setter
    def geometry(self, geometry: QByteArray) -> None:
        self._settings.setValue("window/geometry", geometry)
