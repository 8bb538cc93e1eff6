"""Processes that count: what they hear of the keyboard."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

HANGS_AFTER_S = 900
"""Longer than a machine under load takes to load the processes that are then told to stop; that
they stop, not how soon, is what is tested."""


def test_ctrl_c_stops_all_processes_without_a_traceback(tmp_path: Path) -> None:
    """A terminal sends it to all of them, also to one that has only begun to load."""
    if sys.platform == "win32":
        pytest.skip("Windows sends Ctrl-C in another way, which a test cannot do for one program")
    for name in "abc":
        Image.fromarray(np.full((90, 160), 180, np.uint8)).save(tmp_path / f"{name}.png")
    script = (
        "import counter.cli, counter.counting.pool as pool, os, sys, time;"
        "wait = pool.wait;"
        "pool.wait = lambda *a: (os.write(1, b'!'), time.sleep(3600), wait(*a))[2];"
        "sys.exit(counter.cli.main(sys.argv[1:]))"
    )
    command = [sys.executable, "-c", script, "count", str(tmp_path), "--um-per-px", "2"]
    with subprocess.Popen(
        [*command, "--jobs", "2"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.read(1) == b"!", "the processes have been started"
        os.killpg(process.pid, signal.SIGINT)
        _, said = process.communicate(timeout=HANGS_AFTER_S)
    assert process.returncode == 130
    assert said.decode().strip() == "hingeline: stopped."
