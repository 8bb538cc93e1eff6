"""Writes the demo hatchery: whole, or not at all."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

from counter.commands.hatchery.logbook import Scribe
from counter.commands.hatchery.pictures import plates
from counter.commands.hatchery.story import Story
from counter.errors import CounterError
from counter.records.place import FILE
from counter.records.store import Store

RECORDS = Path("records") / FILE
TO_COUNT = Path("to-count")

_ABOUT = """{hatchery} (invented)

Nothing here is real: the hatchery, its tanks, its people and its larvae were made up, and every
picture was drawn. The numbers may be changed, spoilt and thrown away.

records/      the log book: batch {batch}, tanks {tanks}, a week of counts
pictures/     the pictures of the last counts, one folder a filling of the chamber
to-count/     one more filling of {first}'s last sample that nobody has counted yet
calibration/  a stage micrometer, 1 mm in 100 parts, through the lens “{lens}”
truth/        what was really drawn on each picture
"""


def steps_of(story: Story) -> int:
    """Return how many steps :func:`write_hatchery` reports."""
    return len(plates(story)) + sum(len(tank.counts) for tank in story.tanks)


def write_hatchery(
    folder: Path, story: Story, now: datetime, step: Callable[[str], None] = lambda _: None
) -> None:
    """Write the hatchery of ``story`` into ``folder``, which must be new or empty.

    It is made beside ``folder`` and moved there when it is complete, so that nothing half-made is
    left behind. ``now`` (with time zone) is shortly after the last count. Raises
    :class:`CounterError` for a folder that holds something, and where nothing can be written.
    """
    home = folder.absolute()
    check_free(home)
    making = home.with_name(f"{home.name}.making-{os.getpid()}")
    try:
        making.mkdir(parents=True)
        try:
            _fill(making, home, story, now, step)
            if home.exists():
                home.rmdir()
            making.rename(home)
        finally:
            shutil.rmtree(making, ignore_errors=True)
    except OSError as error:
        raise CounterError(
            f"The demo hatchery cannot be written to {folder} ({error.strerror}); "
            "choose a folder that can be written, with about 10 MB of room."
        ) from error


def check_free(folder: Path) -> None:
    """Raise :class:`CounterError` where ``folder`` is a file or holds something."""
    if folder.exists() and not folder.is_dir():
        raise CounterError(f"{folder} is a file; name a new folder for the demo hatchery.")
    if folder.exists() and any(folder.iterdir()):
        raise CounterError(
            f"{folder} is not empty, and nothing in it is overwritten; name a new folder, or "
            "empty this one."
        )


def _fill(
    making: Path, home: Path, story: Story, now: datetime, step: Callable[[str], None]
) -> None:
    drawn = {}
    for plate in plates(story):
        drawn[plate.path] = plate.write(making)
        step(plate.path.as_posix())
    records = making / RECORDS
    records.parent.mkdir()
    with closing(Store(records)) as store, store.together():
        Scribe(store, story, drawn, making, home, now, step).write()
    about = _ABOUT.format(
        hatchery=story.hatchery,
        batch=story.batch,
        tanks=" and ".join(tank.name for tank in story.tanks),
        first=story.tanks[0].name,
        lens=story.lens,
    )
    (making / "READ-ME.txt").write_text(about, encoding="utf-8")
