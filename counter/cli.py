"""The command line: which command, which exit code. No Qt unless the window is opened."""

from __future__ import annotations

import argparse
import importlib
import sys
from pathlib import Path
from types import ModuleType

from counter import __version__, console
from counter.errors import CounterError, UsageError

COMMANDS = ("count", "calibrate", "estimate", "compare", "effort", "check", "demo")
EXIT_FAILED = 1
EXIT_USAGE = 2


def main(arguments: list[str]) -> int:
    """Run ``hingeline`` with ``arguments``; return 0 (done), 1 (the world failed) or 2 (usage).

    Without a command the window opens, with the files that are named.
    """
    console.prepare(sys.stdout, sys.stderr)
    try:
        if not arguments or (arguments[0] not in COMMANDS and not arguments[0].startswith("-")):
            return _open_window(arguments)
        parsed = _parser(arguments[0]).parse_args(arguments)
        command: ModuleType = parsed.command
        return int(command.run(parsed))
    except UsageError as error:
        return _complain(error, EXIT_USAGE)
    except CounterError as error:
        return _complain(error, EXIT_FAILED)
    except KeyboardInterrupt:
        print("hingeline: stopped.", file=sys.stderr)
        return 130


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
        if not Path(path).exists():
            raise UsageError(
                f"“{path}” is neither a file nor a command; the commands are "
                f"{', '.join(COMMANDS)} (see hingeline --help)."
            )
    app = importlib.import_module("counter.gui.app")
    return int(app.main(paths))
