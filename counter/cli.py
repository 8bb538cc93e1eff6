"""The command line: which command, which exit code. No Qt unless the window is opened."""

from __future__ import annotations

import argparse
import errno
import importlib
import os
import sys
from types import ModuleType

from counter import __version__, console
from counter.errors import CounterError, UsageError

COMMANDS = ("count", "calibrate", "estimate", "compare", "effort", "growth", "check", "demo")
EXIT_FAILED = 1
EXIT_USAGE = 2
EXIT_STOPPED = 128 + 2
"""Ctrl-C, as shells say it: 128 and the number of the signal."""

EXIT_UNHEARD = 128 + 13
"""Nobody reads standard output any more, as after ``| head -1``."""

DISK_FULL = (errno.ENOSPC, errno.EDQUOT)
FULL_OUTPUT = "The result cannot be printed: the disk that takes it is full; make room there."


def main(arguments: list[str]) -> int:
    """Run ``hingeline`` with ``arguments``; return 0 (done), 1 (the world failed) or 2 (usage).

    Without a command the window opens, with the files that are named.
    """
    console.prepare(sys.stdout, sys.stderr)
    try:
        if not arguments or (arguments[0] not in COMMANDS and not arguments[0].startswith("-")):
            return _open_window(arguments)
        return _run(arguments)
    except UsageError as error:
        return _complain(error, EXIT_USAGE)
    except CounterError as error:
        return _complain(error, EXIT_FAILED)
    except KeyboardInterrupt:
        print("hingeline: stopped.", file=sys.stderr)
        return EXIT_STOPPED
    except BrokenPipeError:
        console.give_up(sys.stdout)
        return EXIT_UNHEARD
    except OSError as error:
        if error.errno not in DISK_FULL or error.filename is not None:
            raise
        console.give_up(sys.stdout)
        return _complain(CounterError(FULL_OUTPUT), EXIT_FAILED)


def _run(arguments: list[str]) -> int:
    """Run the command and see all that it printed out of the process."""
    try:
        parsed = _parser(arguments[0]).parse_args(arguments)
        command: ModuleType = parsed.command
        return int(command.run(parsed))
    finally:
        if sys.stdout is not None:
            sys.stdout.flush()


def _complain(error: CounterError, code: int) -> int:
    print(f"hingeline: {error}", file=sys.stderr)
    return code


def _commands_for(first: str) -> tuple[str, ...]:
    """Which commands must be loaded, where loading one costs half a second."""
    if first == "--version":
        return ()
    return (first,) if first in COMMANDS else COMMANDS


def _parser(first: str) -> argparse.ArgumentParser:
    """Return the parser; the command named by ``first`` (or all for ``--help``) is loaded."""
    parser = argparse.ArgumentParser(
        prog="hingeline",
        description="Counts, sizes and stages bivalve larvae and eggs on a counting chamber. "
        "Without a command the window opens.",
    )
    parser.add_argument("--version", action="version", version=f"hingeline {__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", required=True)
    for name in _commands_for(first):
        command = importlib.import_module(f"counter.commands.{name}")
        sub = commands.add_parser(
            name,
            help=command.HELP,
            description=command.HELP,
            epilog=command.EXAMPLE,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        command.add_arguments(sub)
        sub.set_defaults(command=command)
    return parser


def _open_window(paths: list[str]) -> int:
    """Open the window on ``paths``; a word that is neither command nor file is a usage error."""
    for path in paths:
        if not path or not os.path.lexists(path):
            raise UsageError(
                f"“{path}” is neither a file nor a command; the commands are "
                f"{', '.join(COMMANDS)} (see hingeline --help)."
            )
    app = importlib.import_module("counter.gui.app")
    return int(app.main(paths))
