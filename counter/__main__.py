"""``python -m counter`` and the command ``hingeline``."""

from __future__ import annotations

import sys

from counter.cli import main as run


def main() -> int:
    """Run the command line with the arguments of this process; return the exit code."""
    return run(sys.argv[1:])


if __name__ == "__main__":
    raise SystemExit(main())
