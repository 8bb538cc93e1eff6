"""Which command, which exit code."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from counter import __version__, cli
from counter.errors import CounterError, UsageError


def fake_command(error: Exception | None) -> SimpleNamespace:
    """A command that raises ``error``, or does its work when there is none."""

    def run(args: argparse.Namespace) -> int:
        del args
        if error is not None:
            raise error
        return 0

    return SimpleNamespace(HELP="h", EXAMPLE="e", add_arguments=lambda _: None, run=run)


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (None, 0),
        (CounterError("the disk is full; free some space."), 1),
        (UsageError("a volume needs a unit; write 20 L."), 2),
        (KeyboardInterrupt(), 130),
    ],
)
def test_each_kind_of_end_has_its_exit_code(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    error: Exception | None,
    code: int,
) -> None:
    """Done is 0, the world's fault 1, a command that is wrong 2; the message is one line."""
    monkeypatch.setattr("importlib.import_module", lambda _: fake_command(error))
    assert cli.main(["estimate"]) == code
    printed = capsys.readouterr().err
    assert "Traceback" not in printed
    if isinstance(error, CounterError):
        assert printed == f"hingeline: {error}\n"


def test_a_bug_is_not_dressed_up_as_a_message(monkeypatch: pytest.MonkeyPatch) -> None:
    """An error that is not the world's fault goes through, so that it is seen as a bug."""
    monkeypatch.setattr("importlib.import_module", lambda _: fake_command(ZeroDivisionError()))
    with pytest.raises(ZeroDivisionError):
        cli.main(["estimate"])


def test_a_mistyped_command_is_refused_with_the_commands_named(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A word that is neither a command nor a file is exit 2 and names what there is."""
    assert cli.main(["cuont", "somewhere.png"]) == 2
    assert ", ".join(cli.COMMANDS) in capsys.readouterr().err


def test_without_a_command_the_window_opens_with_the_files(
    monkeypatch: pytest.MonkeyPatch, tmp_path: object
) -> None:
    """No command: the window opens with the paths that were given."""
    opened: list[list[str]] = []

    def main(paths: list[str]) -> int:
        opened.append(paths)
        return 0

    monkeypatch.setattr("importlib.import_module", lambda _: SimpleNamespace(main=main))
    assert cli.main([]) == 0
    assert cli.main([str(tmp_path)]) == 0
    assert opened == [[], [str(tmp_path)]]


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    """--version prints the version."""
    with pytest.raises(SystemExit) as stop:
        cli.main(["--version"])
    assert stop.value.code == 0
    assert capsys.readouterr().out == f"hingeline {__version__}\n"


@pytest.mark.parametrize("name", cli.COMMANDS)
def test_help_of_each_command_shows_a_worked_example(
    capsys: pytest.CaptureFixture[str], name: str
) -> None:
    """--help on each command names its options and ends with an example to copy."""
    with pytest.raises(SystemExit) as stop:
        cli.main([name, "--help"])
    assert stop.value.code == 0
    printed = capsys.readouterr().out
    assert f"hingeline {name} " in printed.split("options:")[-1]


def test_the_command_line_imports_neither_qt_nor_pyplot() -> None:
    """The command line runs on a machine without display: no Qt, no interactive plotting."""
    script = (
        "import sys, contextlib\n"
        "from counter import cli\n"
        "with contextlib.suppress(SystemExit):\n"
        "    cli.main(['--help'])\n"
        "bad = [m for m in sys.modules if m.startswith(('PySide6', 'matplotlib.pyplot'))]\n"
        "sys.exit(repr(bad) if bad else 0)\n"
    )
    subprocess.run([sys.executable, "-c", script], check=True, capture_output=True)


def test_a_count_loads_nothing_slow_that_it_does_not_use() -> None:
    """Every start, and every process of a pool, would pay for it: half a second each."""
    script = (
        "import sys\n"
        "from counter import cli\n"
        "assert cli.main(['count', sys.argv[1], '--um-per-px', '1.3']) == 0\n"
        "slow = {'scipy.signal', 'scipy.stats', 'scipy.optimize', 'skimage', 'matplotlib'}\n"
        "loaded = slow & set(sys.modules)\n"
        "sys.exit(repr(loaded) if loaded else 0)\n"
    )
    picture = Path(__file__).parents[2] / "sample_images" / "d-hinge-field.png"
    done = subprocess.run(
        [sys.executable, "-c", script, str(picture)], check=False, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr


ESTIMATE = [sys.executable, "-m", "counter", "estimate", "--counts", "1,2", "--each", "1 mL"]


def test_a_reader_that_leaves_early_is_no_bug() -> None:
    """As behind ``| head -1``: the code of a closed pipe, and not a word on standard error."""
    read_end, write_end = os.pipe()
    os.close(read_end)
    done = subprocess.run(ESTIMATE, stdout=write_end, stderr=subprocess.PIPE, check=False)
    os.close(write_end)
    assert (done.returncode, done.stderr) == (cli.EXIT_UNHEARD, b"")


def test_a_full_disk_behind_standard_output_is_told() -> None:
    """One sentence and exit 1; nothing more at the very end of the process."""
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("this system has no device that is always full (/dev/full)")
    with full.open("wb") as out:
        done = subprocess.run(ESTIMATE, stdout=out, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 1
    assert done.stderr.decode().strip() == f"hingeline: {cli.FULL_OUTPUT}"


@pytest.mark.parametrize("word", ["", "nothing-of-this-name"])
def test_the_window_is_not_opened_on_what_is_no_file(
    word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """An empty name is not the current folder."""
    assert cli.main([word]) == 2
    assert "neither a file nor a command" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("compare --share -3/20", "In the first share (--share) “-3/20”, “-3” is not a whole"),
        ("compare --share 3/20 --with-share -1/9", "In the second share (--with-share) “-1/9”"),
        ("estimate --counts -3,4 --each 1mL", "In the counts (--counts), entry 1 “-3”"),
        ("effort --counts 9 --each 1mL --reach -5%", "The precision (--reach) “-5%”"),
        ("estimate --counts 9 --each", "--each stands without its value"),
        ("estimate --counts 9", "What is missing: --each."),
        ("check --working=3 --first 1", "--working takes no value like “3”."),
        ("estimate --counts 9 --squares 3 --each 1mL", "exclude each other; give one."),
        ("estimate --each 1mL", "One of these is missing: --counts --squares."),
        ("estimate --counts 9 --each 1mL --vesel 3", "Not understood: --vesel 3."),
    ],
)
def test_what_is_wrong_with_a_command_is_said_in_a_sentence_that_names_the_option(
    capsys: pytest.CaptureFixture[str], typed: str, said: str
) -> None:
    """A number with a minus belongs to the option before it; no list of options is printed."""
    assert cli.main(typed.split()) == 2
    printed = capsys.readouterr().err
    assert said in printed
    assert len(printed.splitlines()) == 1
