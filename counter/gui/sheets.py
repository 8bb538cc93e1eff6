"""Every sheet of the window by its name."""

from __future__ import annotations

from counter.gui.bench import Bench
from counter.gui.compare_sheet import CompareSheet
from counter.gui.effort_sheet import EffortSheet
from counter.gui.method_sheet import MethodSheet
from counter.gui.settings_file import Habits
from counter.gui.sheet import Sheet


def sheets_of(bench: Bench, habits: Habits) -> dict[str, Sheet]:
    """Make the sheets, in the order of their keys."""
    return {
        "compare": CompareSheet(bench, habits),
        "effort": EffortSheet(bench, habits),
        "method": MethodSheet(bench, habits),
    }
