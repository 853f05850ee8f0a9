"""A verdict on a change before the kettle boils: lint, and the test files of what is touched, as many as time allows.

make quick

What is touched is what differs from the last commit, or from ``--since``. Test files that import a changed source file
are run two at a time, those named like it first; what was not reached in time is said, and is no verdict.
"""

from __future__ import annotations

import argparse
import ast
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from time import monotonic

from tests.shared import FOLDER

ROOT = Path(__file__).parents[1]
BUDGET_S = 36.0
ALWAYS = ["tests/test_arrows.py", "tests/test_sizes.py"]


@cache
def _imports(file: Path) -> frozenset[str]:
    """Modules that a test file imports, those that its helpers import with them."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    helpers = {ROOT / f"{name.replace('.', '/')}.py" for name in found if name.startswith("tests.")}
    return frozenset(found.union(*(_imports(helper) for helper in helpers if helper.is_file())))


def files_for(file: str) -> list[str]:
    """The test files that import a source file, the quick to read first; for a file that none imports those of its
    folder's.
    """
    module = file.removesuffix(".py").replace("/", ".").removesuffix(".__init__")
    tests = [test for test in sorted((ROOT / "tests").glob("test_*.py")) if "bench" not in test.name]
    chosen = [test for test in tests if module in _imports(test)]
    while not chosen and "." in module:
        module = module.rpartition(".")[0]
        chosen = [test for test in tests if any(name.startswith(module) for name in _imports(test))]
    named = Path(file).stem
    chosen.sort(key=lambda test: (named not in test.stem, test.stat().st_size))
    return [test.relative_to(ROOT).as_posix() for test in chosen]


def touched(since: str) -> list[str]:
    """Files that differ from a commit, new ones among them."""
    told = [
        subprocess.run(["git", *command], cwd=ROOT, capture_output=True, text=True, check=True).stdout
        for command in (["diff", "--name-only", since], ["ls-files", "--others", "--exclude-standard"])
    ]
    return sorted({name for names in told for name in names.splitlines() if (ROOT / name).is_file()})


def chosen(files: list[str]) -> list[str]:
    """The test files for a change: those changed, then for each source file in turn the next of its own."""
    changed = [file for file in files if Path(file).name.startswith("test_") and file.endswith(".py")]
    of_each = [files_for(file) for file in files if file.startswith("passage/") and file.endswith(".py")]
    of_each += [users_of(file) for file in files if file.startswith("tests/") and file not in changed]
    in_turn = [tests[at] for at in range(max(map(len, of_each), default=0)) for tests in of_each if at < len(tests)]
    return list(dict.fromkeys([*ALWAYS, *changed, *in_turn]))


def users_of(helper: str) -> list[str]:
    """The test files that import a helper of the tests."""
    module = helper.removesuffix(".py").replace("/", ".")
    tests = sorted((ROOT / "tests").glob("test_*.py"))
    return [test.relative_to(ROOT).as_posix() for test in tests if module in _imports(test)]


def _verdict(test: str, ends: float) -> str | None:
    """What is wrong, "" for nothing, None where there was no time to say."""
    left_s = ends - monotonic()
    if left_s <= 1.0:
        return None
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-n0", test]
    try:
        ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=left_s, check=False)
    except subprocess.TimeoutExpired:
        return None
    return "" if ended.returncode in (0, 5) else ended.stdout


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--since", default="HEAD", help="the commit that the change began from")
    ends = monotonic() + BUDGET_S
    files = touched(parser.parse_args().since)
    lint = [
        subprocess.run([sys.executable, "-m", "ruff", *command], cwd=ROOT, check=False).returncode
        for command in (["check", "--quiet", "."], ["format", "--quiet", "--check", "."])
    ]
    tests = chosen(files)
    with TemporaryDirectory(prefix="passage-tests-") as folder, ThreadPoolExecutor(2) as pool:
        os.environ[FOLDER] = folder
        found = dict(zip(tests, pool.map(lambda test: _verdict(test, ends), tests), strict=True))
    for told in filter(None, found.values()):
        print(told)
    late = [test for test, told in found.items() if told is None]
    wrong = [test for test, told in found.items() if told]
    print(f"{len(files)} files touched; {len(tests) - len(late)} of {len(tests)} test files run, {len(wrong)} fail")
    print(*[f"not reached: {test}" for test in late], sep="\n", end="\n" if late else "")
    return 1 if wrong or any(lint) else 0


if __name__ == "__main__":
    sys.exit(main())
