"""Mutants: the code broken on purpose in one place at a time, and whether any test notices.

make mutants

A sample of a fixed seed over the models. Each mutant is tried, in a copy of the tree, on the test files that import its
source file, and last on the golden plans. Of those that nothing notices it is asked whether they would change a figure
on paper: the whole plan of the demonstrations is worked out again. Own and small, for the well-known tools either run
every test for every mutant or keep books of their own; this one stops when its time is up and says how far it came.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
from collections import Counter
from contextlib import contextmanager
from itertools import takewhile
from pathlib import Path
from tempfile import TemporaryDirectory
from time import monotonic
from typing import TYPE_CHECKING, NamedTuple

from tests.quick import ROOT, files_for

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOMS = ("crossings", "sailings", "consequences")
PIN = "tests/test_golden.py"
MOST_FILES = 6  # that a mutant is tried on: what every test imports would take hours
LONGEST_S = 240  # a mutant that takes longer hangs, and that is noticed
SWAPPED: dict[type[ast.AST], tuple[str, str]] = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.Lt: ("<", "<="),
    ast.LtE: ("<=", "<"),
    ast.Gt: (">", ">="),
    ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.And: ("and", "or"),
    ast.Or: ("or", "and"),
}
PRINTED = """
import json, sys
from datetime import date
from pathlib import Path
from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.plan.document import plan_tables
from passage.road import walk
from passage.tell.records import as_json
for route in sorted(Path("routes").iterdir()):
    facts = read_folder(route, date(2026, 11, 25))
    outcome = walk(facts, lay_ground(facts), Luck(1, 40), facts.voyage.departure.depart)
    print(json.dumps({name: as_json(table) for name, table in plan_tables(outcome).items()}, default=str))
"""


class Mutant(NamedTuple):
    """One place: file from the root, line, where the text begins and ends in it (bytes), and what stands there."""

    file: str
    line: int
    begin: int
    end: int
    was: str
    becomes: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.was} -> {self.becomes}"


def mutants_of(file: Path, root: Path = ROOT) -> Iterator[Mutant]:
    """Every place of a source file that may be broken: arithmetic, comparisons, logic and numbers; not annotations,
    imports for types or texts.
    """
    source = file.read_bytes()
    lines = [0]
    for line in source.splitlines(keepends=True):
        lines.append(lines[-1] + len(line))
    name = file.relative_to(root).as_posix()

    def mutant(begin: int, end: int, line: int, becomes: str) -> Mutant:
        return Mutant(name, line, begin, end, source[begin:end].decode(), becomes)

    for node in _living(ast.parse(source)):
        for left, operator, right in _operations(node):
            begin, end = lines[left.end_lineno - 1] + left.end_col_offset, lines[right.lineno - 1] + right.col_offset
            was, becomes = SWAPPED[type(operator)]
            between = source[begin:end].decode()
            if between.count(was) == 1 and "#" not in between:
                at = begin + between.encode().index(was.encode())
                yield mutant(at, at + len(was), left.end_lineno, becomes)
        if isinstance(node, ast.Constant) and type(node.value) in (int, float):
            place = lines[node.lineno - 1] + node.col_offset
            yield mutant(place, lines[node.end_lineno - 1] + node.end_col_offset, node.lineno, _other(node.value))


def _operations(node: ast.AST) -> Iterator[tuple[ast.expr, ast.AST, ast.expr]]:
    """Operand, operator, operand."""
    if isinstance(node, ast.BinOp) and type(node.op) in SWAPPED:
        yield node.left, node.op, node.right
    elif isinstance(node, ast.Compare) and type(node.ops[0]) in SWAPPED:
        yield node.left, node.ops[0], node.comparators[0]
    elif isinstance(node, ast.BoolOp):
        yield node.values[0], node.op, node.values[1]


def _other(value: float) -> str:
    """A number near enough to be a slip of the pen."""
    if isinstance(value, int):
        return str(value + 1)
    return repr(value * 1.1) if value else "1.0"


def _living(tree: ast.AST) -> Iterator[ast.AST]:
    """The nodes that are run: without annotations and what stands under TYPE_CHECKING."""
    for name, child in ast.iter_fields(tree):
        if name in ("annotation", "returns", "format_spec") or (isinstance(tree, ast.If) and _for_types(tree)):
            continue
        for node in child if isinstance(child, list) else [child]:
            if isinstance(node, ast.AST):
                yield node
                yield from _living(node)


def _for_types(node: ast.If) -> bool:
    return isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"


@contextmanager
def broken(mutant: Mutant, tree: Path) -> Iterator[None]:
    """The tree with this mutant in it."""
    file = tree / mutant.file
    whole = file.read_bytes()
    file.write_bytes(whole[: mutant.begin] + mutant.becomes.encode() + whole[mutant.end :])
    try:
        yield
    finally:
        file.write_bytes(whole)


def noticed_by(mutant: Mutant, tree: Path) -> str:
    """ "tests", the "pin" alone, or "nobody"."""
    with broken(mutant, tree):
        own = [test for test in files_for(mutant.file)[:MOST_FILES] if test != PIN]
        if any(_fails(tree, test) for test in own):
            return "tests"
        return "pin" if _fails(tree, PIN) else "nobody"


def _run(tree: Path, *arguments: str, longest_s: float = LONGEST_S) -> subprocess.CompletedProcess[bytes] | None:
    """None where it does not end."""
    environment = {**os.environ, "PYTHONPATH": str(tree), "OMP_NUM_THREADS": "1", "PYTHONDONTWRITEBYTECODE": "1"}
    command = [sys.executable, *arguments]
    try:
        return subprocess.run(command, cwd=tree, env=environment, capture_output=True, timeout=longest_s, check=False)
    except subprocess.TimeoutExpired:
        return None


def _fails(tree: Path, test: str) -> bool:
    ended = _run(tree, "-m", "pytest", "-x", "-q", "-n0", test)
    return ended is None or ended.returncode not in (0, 5)


def printed(tree: Path) -> bytes | None:
    """The whole plans of the demonstrations; None where they cannot be made."""
    ended = _run(tree, "-c", PRINTED, longest_s=5 * LONGEST_S)
    return ended.stdout if ended is not None and ended.returncode == 0 else None


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sample", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=180.0, help="after which no more is begun")
    parser.add_argument("--skip", type=int, default=0, help="the first so many of the sample, tried before")
    asked = parser.parse_args()
    files = [file for room in ROOMS for file in sorted((ROOT / "passage" / room).rglob("*.py"))]
    every = [mutant for file in files for mutant in mutants_of(file)]
    sample = random.Random(asked.seed).sample(every, asked.sample)[asked.skip :]
    ends, found = monotonic() + 60.0 * asked.minutes, dict[Mutant, str]()
    with TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        shutil.copytree(ROOT, tree, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache", "*.pdf"))
        for mutant in takewhile(lambda _: monotonic() < ends, sample):
            found[mutant] = noticed_by(mutant, tree)
            print(f"{found[mutant]:8}{mutant}", flush=True)
        alive = [mutant for mutant, who in found.items() if who == "nobody"]
        before = printed(tree) if alive else None
        assert before is not None or not alive, "the plans of the unbroken tree cannot be made"
        for mutant in alive:
            with broken(mutant, tree):
                found[mutant] = (
                    "nobody, and nothing in print changes" if printed(tree) == before else "nobody, IN PRINT"
                )
            print(f"{found[mutant]}: {mutant}", flush=True)
    print(f"{len(found)} of {len(every)} places: {dict(Counter(found.values()))}")


if __name__ == "__main__":
    main()
