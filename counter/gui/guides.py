"""The windows that explain: help, keys, about; and the one that shows a bug."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from counter.gui.bug_dialog import BugDialog
from counter.gui.help import KEYS, HelpWindow, about_text, help_pages

_ABOUT = "About Hingeline"


class Guides:
    """Opens them above ``owner``; ``records`` is the place that the page about says."""

    def __init__(self, records: str, owner: QWidget) -> None:
        self._records, self._owner = records, owner
        self.help: HelpWindow | None = None
        self.bug: BugDialog | None = None

    def _help_window(self) -> HelpWindow:
        if self.help is None:
            pages = {**help_pages(), _ABOUT: about_text(self._records)}
            self.help = HelpWindow(pages, self._owner)
        return self.help

    def open_help(self) -> None:
        """Show the help."""
        self._help_window().show()

    def open_keys(self) -> None:
        """Show the page of keys."""
        self._help_window().open_at(KEYS)

    def open_about(self) -> None:
        """Show the version and where the records are."""
        self._help_window().open_at(_ABOUT)

    def show_bug(self, text: str) -> None:
        """Show a bug; another one is added to the dialog that is open."""
        if self.bug is not None and self.bug.isVisible():
            self.bug.add(text)
        else:
            self.bug = BugDialog("Something went wrong in the program", text, self._owner)
            self.bug.open()
