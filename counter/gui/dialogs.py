"""Asking for files; the only place that opens the system's file dialogs."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from counter.imaging.read import SUFFIXES

_PICTURES = f"Pictures ({' '.join('*' + suffix for suffix in SUFFIXES)});;All files (*)"


def ask_pictures(parent: QWidget, title: str = "Open pictures of this sample") -> list[str]:
    """Ask for pictures; an empty list if the person thought better of it."""
    files, _ = QFileDialog.getOpenFileNames(parent, title, "", _PICTURES)
    return files


def ask_folder(parent: QWidget) -> str:
    """Ask for a folder with pictures; empty if the person thought better of it."""
    return QFileDialog.getExistingDirectory(parent, "Open a folder of pictures")


def ask_where(parent: QWidget, title: str, suggested: str, kinds: str) -> Path | None:
    """Ask where to write a file; the system asks before it replaces one."""
    file, _ = QFileDialog.getSaveFileName(parent, title, suggested, kinds)
    return Path(file) if file else None
