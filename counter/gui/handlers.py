"""What each action of the table does: the one place where names meet the window's parts."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from counter.gui.canvas_tools import Tool

if TYPE_CHECKING:
    from counter.gui.window import Window

_WAYS = ("left", "right", "up", "down")
_ZOOM_STEP = 1.25


def handlers_of(window: Window) -> dict[str, Callable[[], object]]:
    """Return a handler for every row of :data:`counter.gui.actions.ACTIONS`."""
    return {
        **_of_sample(window),
        **_of_marks(window),
        **_of_view(window),
        **_of_keyboard(window),
    }


def _of_sample(window: Window) -> dict[str, Callable[[], object]]:
    desk = window.desk
    return {
        "open-pictures": desk.open_pictures,
        "open-folder": desk.open_folder,
        "stop-counting": window.queue.stop,
        "start-tally": window.pages.start_tally,
        "new-filling": desk.new_filling,
        "ask-scale": partial(_ask_scale, window),
        "new-sample": desk.new_sample,
        "earlier-samples": desk.earlier_samples,
        "export-csv": window.exports.csv,
        "export-json": window.exports.json,
        "export-figure": window.exports.figure,
        "quit": window.close,
        "help": window.guides.open_help,
        "help-keys": window.guides.open_keys,
        "about": window.guides.open_about,
    }


def _of_marks(window: Window) -> dict[str, Callable[[], object]]:
    hand, viewer = window.corrections, window.viewer
    tools = {f"tool-{tool.value}": partial(viewer.take_up, tool) for tool in Tool}
    del tools[f"tool-{Tool.RULER.value}"]
    states = {
        "live": "live",
        "dead": "dead",
        "fertilised": "fertilised",
        "unfertilised": "unfertilised",
        "none": None,
    }
    return {
        "undo": window.desk.undo,
        "redo": window.desk.redo,
        **tools,
        "remove": hand.remove,
        "join": hand.join,
        **{f"state-{name}": partial(hand.state, state) for name, state in states.items()},
        "state-accept": hand.accept,
        "state-accept-sure": hand.accept_sure,
        "reviewed": hand.switch_reviewed,
        "recount": window.desk.recount,
        "next-mark": partial(viewer.pick_next, 1),
        "previous-mark": partial(viewer.pick_next, -1),
        "pick-all": lambda: window.bench.pick(window.bench.marks),
        "let-go": partial(_let_go, window),
        **{f"stage-{number}": partial(hand.stage, number) for number in range(1, 9)},
    }


def _ask_scale(window: Window) -> None:
    """A scale is that of a picture: one that is hidden by a sheet is shown first."""
    window.pages.show_field()
    window.scale_panel.ask()


def _let_go(window: Window) -> None:
    """Put the messages away, then let go of what is held on the picture."""
    if window.messages.text:
        window.messages.clear()
    else:
        window.viewer.let_go()


def _of_view(window: Window) -> dict[str, Callable[[], object]]:
    canvas = window.canvas
    return {
        "zoom-in": lambda: canvas.zoom_by(_ZOOM_STEP),
        "zoom-out": lambda: canvas.zoom_by(1 / _ZOOM_STEP),
        "fit": canvas.fit,
        "next-field": partial(_show_next, window, 1),
        "previous-field": partial(_show_next, window, -1),
        "remove-field": window.desk.remove_field,
        "remove-filling": window.desk.remove_filling,
        **{
            f"panel-{name}": partial(window.show_panel, name)
            for name in ("stages", "sizes", "marks", "working", "history")
        },
        **{f"sheet-{name}": partial(window.pages.show_sheet, name) for name in window.pages.sheets},
        "next-part": window.next_part,
    }


def _show_next(window: Window, step: int) -> None:
    """Show another field, also from a sheet that lies over the picture."""
    window.bench.show_next(step)
    window.pages.show_field()


def _of_keyboard(window: Window) -> dict[str, Callable[[], object]]:
    viewer, canvas = window.viewer, window.canvas
    return {
        "press": canvas.press_crosshair,
        "close-outline": canvas.close_outline,
        "place-here": viewer.place_here,
        **{f"crosshair-{way}": partial(viewer.move_crosshair, way, False) for way in _WAYS},
        **{f"crosshair-far-{way}": partial(viewer.move_crosshair, way, True) for way in _WAYS},
        **{f"shift-{way}": partial(viewer.shift_picked, way) for way in _WAYS},
    }
