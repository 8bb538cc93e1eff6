"""The help window: pages in Markdown, and the page of keys made from the table."""

from __future__ import annotations

from importlib.resources import files

from PySide6.QtCore import QSize
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from counter import __version__
from counter.gui.actions import keys_page
from counter.gui.style import TARGET_PX, named

KEYS = "Keys"


def help_pages() -> dict[str, str]:
    """Return every page by its title (its first line), in the order of their file names."""
    folder = files("resources") / "help"
    pages: dict[str, str] = {}
    for file in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if file.name.endswith(".md"):
            text = file.read_text(encoding="utf-8")
            pages[text.splitlines()[0].lstrip("# ").strip()] = text
    pages[KEYS] = keys_page()
    return pages


def about_text(records: str) -> str:
    """Return what is said about the program, in Markdown."""
    return (
        f"# Hingeline {__version__}\n\n"
        "Counts, sizes and stages bivalve larvae and eggs on a counting chamber, with honest "
        "limits.\n\n"
        f"Records are kept in:\n\n`{records}`\n\n"
        "The number informs; the technician decides."
    )


class HelpWindow(QDialog):
    """A list of pages beside the page that is read."""

    def __init__(self, pages: dict[str, str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pages = pages
        self.setWindowTitle("Help")
        self.resize(900, 620)
        self.titles = QListWidget()
        for title in pages:
            item = QListWidgetItem(title, self.titles)
            item.setSizeHint(QSize(0, TARGET_PX))
        self.titles.setMaximumWidth(240)
        named(self.titles, "Pages of the help")
        self.page = QTextBrowser()
        named(self.page, "Page of the help")
        row = QHBoxLayout()
        row.addWidget(self.titles)
        row.addWidget(self.page, 1)
        layout = QVBoxLayout(self)
        layout.addLayout(row)
        self.titles.currentTextChanged.connect(self._show)
        self.titles.setCurrentRow(0)

    def _show(self, title: str) -> None:
        self.page.setMarkdown(self._pages[title])

    def open_at(self, title: str) -> None:
        """Show this page."""
        self.titles.setCurrentRow(list(self._pages).index(title))
        self.show()
        self.raise_()
