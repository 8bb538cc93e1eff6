"""``python -m counter.imaging.draw FOLDER`` draws the sample pictures and their truth again."""

from __future__ import annotations

import sys
from pathlib import Path

from counter.errors import CounterError
from counter.imaging.draw.files import write_samples


def main(arguments: list[str]) -> int:
    """Write the sample pictures to the folder named; return 0, 1 (unwritable) or 2 (usage)."""
    if len(arguments) != 1:
        print("usage: python -m counter.imaging.draw FOLDER", file=sys.stderr)
        return 2
    try:
        for path in write_samples(Path(arguments[0])):
            print(path)
    except CounterError as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
