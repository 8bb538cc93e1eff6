"""Build the wheel, install it without extras, count a sample from elsewhere with no display."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SAMPLE = ROOT / "sample_images" / "d-hinge-field.png"
PASSED_ON = ("PATH", "LANG", "PIP_CERT", "PIP_FIND_LINKS", "PIP_INDEX_URL", "SSL_CERT_FILE")


def main() -> int:
    """Return 0 when the installed wheel counts the sample picture as the checkout would."""
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        _run([sys.executable, "-m", "build", "--wheel", "--outdir", str(work), str(ROOT)], work)
        (wheel,) = work.glob("*.whl")
        venv.create(work / "env", with_pip=True)
        scripts = work / "env" / ("Scripts" if os.name == "nt" else "bin")
        _run([str(scripts / "python"), "-m", "pip", "install", "-q", str(wheel)], work)
        result = work / "result.json"
        _run(
            [
                *(str(scripts / "hingeline"), "count", str(SAMPLE), "--um-per-px", "1.3"),
                *("--vessel", "20 L", "--json", str(result)),
            ],
            work,
        )
        estimate = json.loads(result.read_text(encoding="utf-8"))["estimate"]
        print(f"wheel: counted {estimate['counted']} on {SAMPLE.name}")
        return 0 if estimate["counted"] > 0 else 1


def _run(command: list[str], folder: Path) -> None:
    """Run ``command`` in ``folder`` with an environment that has no display."""
    kept = {name: os.environ[name] for name in PASSED_ON if name in os.environ}
    subprocess.run(command, cwd=folder, env={**kept, "HOME": str(folder)}, check=True)


if __name__ == "__main__":
    raise SystemExit(main())
