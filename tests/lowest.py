"""The lowest of everything that pyproject.toml asks for, and the newest on every Python there is: the demonstration is
sailed and printed with it, in an environment of its own.

    python -m tests.lowest            the lowest, on this Python
    python -m tests.lowest --newest   the newest, on each of 3.11 to 3.14 that is found
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]
PYTHONS = ("python3.11", "python3.12", "python3.13", "python3.14")
DEMO = ROOT / "routes" / "cape-town-st-helena"


def lowest() -> list[str]:
    """Every dependency at its lower bound."""
    asked = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    return [pinned(each) for each in asked]


def pinned(asked: str) -> str:
    """``pint>=0.24.4`` -> ``pint==0.24.4``. Raises ValueError where no lower bound is given."""
    found = re.fullmatch(r"([A-Za-z0-9_.-]+)>=([0-9.]+)", asked)
    if found is None:
        raise ValueError(f"{asked} names no lower bound alone")
    return f"{found[1]}=={found[2]}"


def runs(python: str) -> bool:
    """Whether there is such a Python, and no mere name of one."""
    return shutil.which(python) is not None and subprocess.run([python, "-c", ""], capture_output=True).returncode == 0


def holds(python: str, packages: list[str], place: Path) -> bool:
    """Whether the demonstration is printed and every published figure holds with these packages on this Python."""
    ours = str(place / ("Scripts" if sys.platform == "win32" else "bin") / "python")
    pip = [ours, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    plan = ["plan", str(DEMO), "--crossings", "200", "--out", str(place / "plan.pdf")]
    steps = (
        [python, "-m", "venv", str(place)],
        [*pip, *packages, str(ROOT)],
        [ours, "-P", "-m", "passage", *plan],
        [ours, "-P", "-m", "passage", "verify"],
    )
    return all(subprocess.run(step, cwd=place.parent, stdout=subprocess.DEVNULL).returncode == 0 for step in steps)


def main() -> int:
    newest = "--newest" in sys.argv[1:]
    pythons = [each for each in PYTHONS if runs(each)] if newest else [sys.executable]
    bad = 0
    for python in pythons:
        with tempfile.TemporaryDirectory() as place:
            good = holds(python, [] if newest else lowest(), Path(place) / "environment")
        bad += not good
        print(
            f"{'the newest' if newest else 'the lowest'} on {python}: {'holds' if good else 'DOES NOT HOLD'}",
            flush=True,
        )
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
