"""Mutants: the code broken on purpose in one place at a time, and whether any test notices.

make mutants

A sample of a fixed seed over the models, drawn by each place's own words: a change of the code elsewhere leaves it as
it was. Each mutant is tried, in a copy of the tree, on the quick ones of the test files that import its source file. Of
what these do not notice it is asked whether it changes a figure on paper: the whole plan of the demonstrations and a
found track are worked out again; where it does, whether the others notice, and last the golden plans. Each is
followed to its end before the next. Own and small, for the well-known tools either run every test for every mutant or
keep books of their own; this one stops when its time is up and says how far it came. It needs a tree whose tests pass.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
import os
import shutil
import sys
from collections import Counter
from contextlib import contextmanager
from functools import cached_property
from importlib import import_module
from itertools import takewhile
from pathlib import Path
from tempfile import TemporaryDirectory
from time import monotonic
from typing import TYPE_CHECKING, NamedTuple, NoReturn

from tests.quick import ROOT, files_for
from tests.shared import FOLDER

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

ROOMS = ("crossings", "sailings", "consequences")
PIN = "tests/test_golden.py"
MOST_FILES = 6  # that a mutant is tried on at first: what every test imports would take hours
QUICK_S, SLOW_S = 15.0, 60.0  # test files slower than the first are asked later, than the second hardly ever
LONGEST_S = 120  # longer than any test file: a mutant that takes more of the processor's time hangs, and is noticed
READ_BEFORE = (
    *("numpy", "scipy.interpolate", "scipy.optimize", "scipy.sparse.csgraph", "pandas", "pint", "shapely"),
    *("pyproj", "pytest", "pydantic", "click", "skyfield.api", "tomlkit"),
)
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
import json
from datetime import date
from pathlib import Path
from passage.api import read, track
from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.plan.document import plan_tables
from passage.plan.sheets.track import table as track_table
from passage.road import walk
from passage.tell.records import as_json
plans = []
for route in sorted(Path("routes").iterdir()):
    facts = read_folder(route, date(2026, 11, 25))
    outcome = walk(facts, lay_ground(facts), Luck(1, 40), facts.voyage.departure.depart)
    plans.append({name: as_json(table) for name, table in plan_tables(outcome).items()})
facts = read("routes/lagos-azores")
plans.append(as_json(track_table(track(facts, crossings=40), facts.limits)))
told.write_text(json.dumps(plans, default=str))
"""


class Mutant(NamedTuple):
    """One place: file from the root, line, where the text begins and ends in it (bytes), and what stands there."""

    file: str
    line: int
    begin: int
    end: int
    was: str
    becomes: str
    words: str  # of the line

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
        words = source[lines[line - 1] : lines[line]].decode().strip()
        return Mutant(name, line, begin, end, source[begin:end].decode(), becomes, words)

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


@contextmanager
def _sharing() -> Iterator[None]:
    """What one test file has sailed with a mutant the others of the same mutant read."""
    with TemporaryDirectory(prefix="passage-tests-") as folder:
        os.environ[FOLDER] = folder
        yield


class Ended(NamedTuple):
    """How a forked child came to its end: not well where the code is broken, or after LONGEST_S, which is a hang."""

    well: bool
    cpu_s: float


class Trials:
    """Mutants tried in a copy of the tree, each in a child of this process, which read the big libraries before."""

    def __init__(self, tree: Path) -> None:
        self.tree = tree
        self.took_s: dict[str, float] = {}  # CPU time of a test file that ran to its end

    def noticed_by(self, mutant: Mutant) -> str:
        """Who notices: a few quick tests, the one of its name mostly first; where a figure changes in print, the others
        that import its source file.
        """
        with broken(mutant, self.tree), _sharing():
            who = self._first_to_notice(mutant)
        if who.startswith("tests/") and who not in self.took_s:
            assert not self._fails(who), f"{who} does not pass on the unbroken tree"
        return who

    def _first_to_notice(self, mutant: Mutant) -> str:
        own = [test for test in files_for(mutant.file) if test != PIN]
        quick = [test for test in own[:MOST_FILES] if self.took_s.get(test, 0.0) < QUICK_S]
        for test in filter(self._fails, quick):
            return test
        if self.printed() == self.whole:
            return "nothing in print changes"
        others = [test for test in own if test not in quick and self.took_s.get(test, 0.0) < SLOW_S]
        for test in filter(self._fails, others):
            return test
        return "the pin alone" if self._fails(PIN) else "nobody, IN PRINT"

    @cached_property
    def whole(self) -> bytes:
        """What the unbroken tree prints."""
        return self.printed()

    def printed(self) -> bytes:
        """The whole plans of the demonstrations, as far as they can be made."""
        told = self.tree / "told.json"
        told.unlink(missing_ok=True)
        self._child(lambda: exec(PRINTED, {"told": told}))
        return told.read_bytes() if told.exists() else b""

    def _fails(self, test: str) -> bool:
        ended = self._child(lambda: _tested(test))
        if ended.well:
            self.took_s[test] = ended.cpu_s
        return not ended.well

    def _child(self, work: Callable[[], int | None]) -> Ended:
        """Time is counted as the processor's own: a busy machine makes no mutant hang."""
        child = os.fork()
        if not child:
            self._be_child(work)
        _, status, used = os.wait4(child, 0)
        return Ended(status == 0, used.ru_utime + used.ru_stime)

    def _be_child(self, work: Callable[[], int | None]) -> NoReturn:
        import resource

        resource.setrlimit(resource.RLIMIT_CPU, (LONGEST_S, LONGEST_S))
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        os.chdir(self.tree)
        os.environ["PYTHONPATH"] = sys.path[0] = str(self.tree)
        for name in [name for name in sys.modules if name.partition(".")[0] == "tests"]:
            del sys.modules[name]
        try:
            os._exit(work() or 0)
        except BaseException:
            os._exit(1)


def drawn(every: Iterable[Mutant], seed: int) -> list[Mutant]:
    """The places in an order of chance that hangs on the seed and each place's own words alone, not on where it stands:
    a line added above, or another file, moves none of the others.
    """
    met = Counter[tuple[str, ...]]()
    lots = {}
    for mutant in every:
        words = (mutant.file, mutant.words, mutant.was, mutant.becomes)
        met[words] += 1
        lots[mutant] = hashlib.sha256(repr((seed, *words, met[words])).encode()).digest()
    return sorted(lots, key=lots.__getitem__)


def _tested(test: str) -> int:
    """Stops at the first that fails, and hypothesis looks for no simpler example of it."""
    import pytest

    asked = ["-x", "-q", "-p", "no:xdist", "--hypothesis-profile", "first failure", test]
    ended = pytest.main(asked)
    return 0 if ended in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED) else 1


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sample", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=180.0, help="after which no more is begun")
    parser.add_argument("--skip", type=int, default=0, help="the first so many of the sample, tried before")
    parser.add_argument("--most", type=int, help="how many of the sample are tried now")
    asked = parser.parse_args()
    os.environ |= {"OMP_NUM_THREADS": "1", "PYTHONDONTWRITEBYTECODE": "1"}
    for name in READ_BEFORE:
        import_module(name)
    files = [file for room in ROOMS for file in sorted((ROOT / "passage" / room).rglob("*.py"))]
    every = [mutant for file in files for mutant in mutants_of(file)]
    sample = drawn(every, asked.seed)[: asked.sample][asked.skip :][: asked.most]
    ends, found = monotonic() + 60.0 * asked.minutes, Counter[str]()
    with TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        shutil.copytree(ROOT, tree, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache", "*.pdf"))
        trials = Trials(tree)
        assert trials.whole, "the plans of the unbroken tree cannot be made"
        for mutant in takewhile(lambda _: monotonic() < ends, sample):
            who = trials.noticed_by(mutant)
            found["tests" if who.startswith("tests/") else who] += 1
            print(f"{who}: {mutant}", flush=True)
    print(f"{found.total()} of {len(every)} places: {dict(found)}")


if __name__ == "__main__":
    main()
