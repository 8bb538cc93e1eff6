"""Nothing that was shown is ever lost: real processes, really killed."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from counter.domain.ledger import Ledger
from counter.records import files
from counter.records.store import Recorded, Store
from counter.session import open_latest
from tests.records.gestures import digest

ROOT = Path(__file__).parents[2]


@contextmanager
def technician(path: Path, seed: int, number: int = 100_000) -> Iterator[subprocess.Popen[str]]:
    """A process that makes gestures and prints each once it stands; killed at the end."""
    command = [sys.executable, "-m", "tests.records.gestures", str(path), str(seed), str(number)]
    process = subprocess.Popen(
        command,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        yield process
    finally:
        process.kill()
        process.wait()
        assert process.stdout is not None
        process.stdout.close()


def shown(process: subprocess.Popen[str], number: int) -> dict[int, str]:
    """Wait until ``number`` more gestures are shown; return the digest of each seq."""
    assert process.stdout is not None
    lines = [process.stdout.readline() for _ in range(number)]
    assert all(lines), "the process ended by itself"
    return dict(parsed(line) for line in lines)


def rest(process: subprocess.Popen[str]) -> dict[int, str]:
    """Kill the process; return what it had shown up to then, whole lines only."""
    process.kill()
    assert process.stdout is not None
    return dict(parsed(line) for line in process.stdout if line.endswith("\n"))


def parsed(line: str) -> tuple[int, str]:
    seq, name = line.split()
    return int(seq), name


def digests(recorded: tuple[Recorded, ...]) -> dict[int, str]:
    """The digest after each event of a record, folded anew."""
    first, *later = [(entry.seq, entry.event) for entry in recorded]
    ledger = Ledger.of([first])
    found = {first[0]: digest(ledger.sample)}
    for seq, event in later:
        ledger.accept(seq, ledger.prepared(event))
        found[seq] = digest(ledger.sample)
    return found


def test_whatever_was_shown_stands_after_a_kill(tmp_path: Path) -> None:
    """Killed again and again at random moments, on the same sample.

    All that was shown is in the record and folds to the very same sample; at most the one gesture
    that was committed and not yet shown comes on top.
    """
    path, dice = tmp_path / "log.sqlite", random.Random(20310506)
    seen: dict[int, str] = {}
    for seed in range(3):
        with technician(path, seed) as process:
            seen |= shown(process, dice.randint(1, 60))
            time.sleep(dice.uniform(0.0, 0.02))
            seen |= rest(process)
        store = Store(path)
        session = open_latest(store)
        assert session is not None
        kept = digests(store.events(session.sample_id))
        assert {seq: kept[seq] for seq in seen} == seen
        assert max(kept) - max(seen) <= 1
        assert digest(session.sample) == kept[max(kept)]
        assert store.notices == ()
        seen = kept
        store.close()


def test_a_copy_made_while_somebody_counts_is_a_sound_beginning(tmp_path: Path) -> None:
    """Copied by the program, or file by file as one copies to a stick: up to some gesture."""
    path, stick = tmp_path / "log.sqlite", tmp_path / "stick"
    stick.mkdir()
    with technician(path, 7) as process:
        seen = shown(process, 15)
        for ending in ("", "-wal"):
            shutil.copyfile(f"{path}{ending}", stick / f"log.sqlite{ending}")
        copy = files.back_up(path, "midway")
        rest(process)
    for place in (stick / "log.sqlite", copy):
        store = Store(place)
        (entry,) = store.samples()
        kept = digests(store.events(entry.sample_id))
        assert {seq: kept[seq] for seq in seen} == seen
        assert store.notices == ()
        store.close()


def test_two_processes_in_one_file_never_collide(tmp_path: Path) -> None:
    """Two benches count in the same sample: the record stays one line of events."""
    path = tmp_path / "log.sqlite"
    with technician(path, 1) as first:
        shown(first, 5)
        with technician(path, 2) as second:
            seen = shown(second, 20)
            others = shown(first, 20)
    store = Store(path)
    (entry,) = store.samples()
    recorded = store.events(entry.sample_id)
    kept = digests(recorded)
    assert [event.seq for event in recorded] == list(range(1, len(recorded) + 1))
    for watched in (seen, others):
        assert {seq: kept[seq] for seq in watched} == watched
    store.close()
