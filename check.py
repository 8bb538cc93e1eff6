"""The one check: format, lint, types, layers, tests.

``python check.py`` runs all of it; ``python check.py --quick`` leaves the tests out.
"""

from __future__ import annotations

import subprocess
import sys

STEPS = {
    "format": [sys.executable, "-m", "ruff", "format", "--check", "."],
    "lint": [sys.executable, "-m", "ruff", "check", "."],
    "types": [sys.executable, "-m", "mypy"],
    "layers": [
        sys.executable,
        "-c",
        "import sys; sys.path.insert(0, ''); "
        "from importlinter.cli import lint_imports; sys.exit(lint_imports())",
    ],
    "tests": [sys.executable, "-m", "pytest", "-q"],
}


def main(arguments: list[str]) -> int:
    """Run every step, also after one has failed; return 1 if any failed."""
    skipped = {"tests"} if "--quick" in arguments else set()
    failed = []
    for name, command in STEPS.items():
        if name in skipped:
            continue
        print(f"--- {name}", flush=True)
        if subprocess.run(command, check=False).returncode != 0:
            failed.append(name)
    print(f"check: failed: {', '.join(failed)}" if failed else "check: all green", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
