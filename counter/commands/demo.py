"""``hingeline demo``: an invented hatchery, pictures and records, ready to open."""

from __future__ import annotations

import argparse
import shlex
import sys
from datetime import UTC, datetime
from pathlib import Path

from tqdm import tqdm

from counter.commands.hatchery.story import STORY, Story
from counter.commands.hatchery.writing import (
    RECORDS,
    TO_COUNT,
    check_free,
    steps_of,
    write_hatchery,
)
from counter.records.place import VARIABLE

DEFAULT = "hingeline-demo"
HELP = "Write an invented hatchery, pictures and records, to a folder, ready to open."
EXAMPLE = """example:
  hingeline demo my-demo

  Draws larvae through a microscope that does not exist, counts them, and keeps a week of counts of
  two tanks. Lengths are in µm, volumes in mL. Your own records are not touched.
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    parser.add_argument(
        "folder",
        nargs="?",
        default=DEFAULT,
        metavar="DIR",
        help=f"a new or empty folder (default: {DEFAULT} in the current folder)",
    )


def run(arguments: argparse.Namespace) -> int:
    """Write the hatchery and say how it is opened; return 0.

    Raises :class:`~counter.errors.CounterError` for a folder that holds something already.
    """
    folder = Path(arguments.folder).expanduser().absolute()
    check_free(folder)
    unseen = True if sys.stderr is None else None  # None: where it is no terminal
    with tqdm(total=steps_of(STORY), unit="step", disable=unseen, file=sys.stderr) as bar:

        def step(what: str) -> None:
            bar.set_postfix_str(what, refresh=False)
            bar.update()

        write_hatchery(folder, STORY, datetime.now(UTC).astimezone(), step)
    print(farewell(folder, STORY, sys.platform == "win32"))
    return 0


def farewell(folder: Path, story: Story, windows: bool) -> str:
    """Return what is said at the end: where it is, and the commands that open and count it."""
    records, pictures = str(folder / RECORDS), str(folder / TO_COUNT)
    vessel = f"{story.tanks[0].counts[-1].vessel_ml / 1000:g} L"
    count = f"hingeline count {_quoted(pictures, windows)} --lens {_quoted(story.lens, windows)}"
    count += f" --vessel {_quoted(vessel, windows)}"
    return f"""An invented hatchery is in {folder}.

Open it:
  {_with_records("hingeline", records, windows)}
Count the filling that nobody has counted yet:
  {_with_records(count, records, windows)}"""


def _with_records(command: str, records: str, windows: bool) -> str:
    """``command`` with the demo's records in place of the hatchery's own."""
    if windows:
        return f"$env:{VARIABLE} = {_quoted(records, windows)}; {command}"
    return f"{VARIABLE}={_quoted(records, windows)} {command}"


def _quoted(text: str, windows: bool) -> str:
    return "'" + text.replace("'", "''") + "'" if windows else shlex.quote(text)
