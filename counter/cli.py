"""The command line: which command, which exit code. No Qt unless the window is opened."""

from __future__ import annotations

import argparse
import errno
import importlib
import os
import re
import sys
from types import ModuleType
from typing import NoReturn

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
        parsed = _parser(arguments[0]).parse_args(with_negatives(arguments))
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


def with_negatives(arguments: list[str]) -> list[str]:
    """Return ``arguments`` with ``-3/20`` tied to the option before it, as its value.

    Otherwise it would be taken for an option of its own, and nobody would say which number is
    wrong.
    """
    tied: list[str] = []
    for argument in arguments:
        before = tied[-1] if tied else ""
        if _NEGATIVE.match(argument) and before.startswith("--") and "=" not in before:
            tied[-1] = f"{before}={argument}"
        else:
            tied.append(argument)
    return tied


class Parser(argparse.ArgumentParser):
    """Says what is wrong with a command in our own words."""

    def error(self, message: str) -> NoReturn:
        """Raise UsageError: what is wrong, naming the option, and where help stands."""
        raise UsageError(f"{_in_our_words(message)} (See {self.prog} --help.)")


def _in_our_words(message: str) -> str:
    for pattern, words in _OUR_WORDS:
        if found := re.fullmatch(pattern, message):
            return found.expand(words)
    return f"{message[:1].upper()}{message[1:].rstrip('.')}."


_NEGATIVE = re.compile(r"-[.,]?\d")
_OUR_WORDS = (
    (r"argument (.+): expected one argument", r"\1 stands without its value; write it after it."),
    (
        r"argument (.+): ignored explicit argument '(.*)'",
        r"\1 takes no value like “\2”.",
    ),
    (r"the following arguments are required: (.+)", r"What is missing: \1."),
    (r"one of the arguments (.+) is required", r"One of these is missing: \1."),
    (r"argument (.+): not allowed with argument (.+)", r"\1 and \2 exclude each other; give one."),
    (r"unrecognized arguments: (.+)", r"Not understood: \1."),
)


def _parser(first: str) -> argparse.ArgumentParser:
    """Return the parser; the command named by ``first`` (or all for ``--help``) is loaded."""
    parser = Parser(
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
