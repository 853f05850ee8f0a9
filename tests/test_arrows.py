"""The rooms may know only what stands below them; every import is read, lazy and type-only ones included."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

PACKAGE = Path(__file__).parents[1] / "passage"

# Rooms from the ground up. A room may import rooms on lower floors only; rooms on one floor are strangers.
FLOORS: list[set[str]] = [
    {"disk", "errors", "hidden", "positions", "shipped", "steps"},
    {"content"},
    {"units", "tell"},
    {"inputs", "sailings"},
    {"crossings", "reanalysis"},
    {"consequences", "ground"},
    {"sailed"},
    {"follows"},
    {"road"},
    {"journal", "near_land", "offered", "tracks", "troubles", "departures", "real_years", "verify", "mate", "kept"},
    {"choosing", "draw"},
    {"beginning", "checking", "comparing", "seasons", "weighing"},
    {"plan"},
    {"api", "logbook"},
    {"desk", "fleets"},
    {"cli"},
    {"__main__"},
]
FLOOR = {room: level for level, rooms in enumerate(FLOORS) for room in rooms}
STRANGE_FILES = {"consequences"}  # rooms whose files may not import each other
FACE = "__init__"  # the public names: may import anything, nothing may import it but for the version


def room_of(module: str) -> str:
    return module.split(".")[1] if "." in module else FACE


def module_of(path: Path) -> str:
    parts = ("passage", *path.relative_to(PACKAGE).with_suffix("").parts)
    return ".".join(part for part in parts if part != "__init__")


def imports_of(path: Path, source: str) -> list[str]:
    """Every passage module that the file names, wherever in the file the import stands."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: imports are absolute"
            base = node.module or ""
            found += [f"{base}.{alias.name}" if base == "passage" else base for alias in node.names]
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", getattr(node.func, "id", "")) in {
            "import_module",
            "__import__",
        }:
            found += [arg.value for arg in node.args if isinstance(arg, ast.Constant)]
    return [name for name in found if name == "passage" or name.startswith("passage.")]


def broken_arrows(files: dict[Path, str]) -> list[str]:
    broken = []
    for path, source in files.items():
        here = module_of(path)
        room = room_of(here)
        if room == FACE:
            continue
        if room not in FLOOR:
            broken.append(f"{here}: unknown room '{room}'")
            continue
        for target in imports_of(path, source):
            there = room_of(target)
            if there in (FACE, "__version__"):
                continue
            if there not in FLOOR:
                broken.append(f"{here} imports {target}: unknown room '{there}'")
            elif there == room:
                if room in STRANGE_FILES and target.split(".")[:3] != here.split(".")[:3]:
                    broken.append(f"{here} imports {target}: files of '{room}' are strangers")
            elif FLOOR[there] >= FLOOR[room]:
                broken.append(f"{here} imports {target}: '{room}' may not know '{there}'")
    return broken


def tree() -> dict[Path, str]:
    return {path: path.read_text(encoding="utf-8") for path in sorted(PACKAGE.rglob("*.py"))}


def test_every_import_points_down() -> None:
    assert [] == broken_arrows(tree())


@pytest.mark.parametrize(
    ("file", "source"),
    [
        ("sailings/x.py", "from passage.inputs.boat import Boat"),
        ("crossings/x.py", "def f():\n    import passage.plan.document"),
        ("inputs/x.py", "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from passage import road"),
        ("consequences/x.py", "from passage.consequences.y import z"),
        ("attic/x.py", "import passage.errors"),
        ("units.py", "from importlib import import_module\nimport_module('passage.cli')"),
    ],
)
def test_a_wrong_arrow_is_caught(file: str, source: str) -> None:
    assert len(broken_arrows({PACKAGE / file: source})) == 1


def test_the_commands_use_the_library_and_nothing_beside_it() -> None:
    """What they do is the library's, what they print the plan's; the rest is how a program talks and waits."""
    below = {"api", "logbook", "desk", "fleets", "plan", "tell", "steps", "mate", "kept", "errors", "units", "hidden"}
    known = {*below, "cli", FACE, "__version__"}
    used = {
        (path.name, room)
        for path, source in tree().items()
        if room_of(module_of(path)) == "cli"
        for target in imports_of(path, source)
        if (room := room_of(target)) not in known
    }
    assert set() == used


def test_the_rooms_exist() -> None:
    rooms = {room_of(module_of(path)) for path in tree()} - {FACE}
    assert {"errors", "units", "inputs", "sailings", "crossings", "consequences", "road", "plan", "cli"} <= rooms


DEEPEST = 11  # modules that load one another, one above the other; a limit to be lowered, never raised


def at_once(body: list[ast.stmt]) -> Iterator[ast.stmt]:
    """What is run when a module is loaded: not in functions, nor under TYPE_CHECKING."""
    for node in body:
        if isinstance(node, ast.If):
            for_types = isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"
            yield from at_once(node.orelse if for_types else [*node.body, *node.orelse])
        elif isinstance(node, (ast.Try, ast.With)):
            yield from at_once(node.body)
        else:
            yield node


def loaded_by(sources: dict[str, str]) -> dict[str, set[str]]:
    """The modules of ours that each module loads at once."""

    def targets(source: str) -> Iterator[str]:
        for node in at_once(ast.parse(source).body):
            if isinstance(node, ast.Import):
                yield from (alias.name for alias in node.names)
            elif isinstance(node, ast.ImportFrom) and node.module:
                whole = [f"{node.module}.{alias.name}" for alias in node.names]
                yield from (each if each in sources else node.module for each in whole)

    return {name: {each for each in targets(source) if each in sources} - {name} for name, source in sources.items()}


def chain_from(module: str, loaded: dict[str, set[str]], known: dict[str, list[str]]) -> list[str]:
    """The longest chain of modules that begins here, this one first."""
    if module not in known:
        known[module] = [
            module,
            *max((chain_from(each, loaded, known) for each in loaded[module]), key=len, default=[]),
        ]
    return known[module]


def longest_chain(sources: dict[str, str]) -> list[str]:
    loaded, known = loaded_by(sources), dict[str, list[str]]()
    return max((chain_from(module, loaded, known) for module in sorted(sources)), key=len)


def test_no_chain_of_modules_that_load_one_another_is_long() -> None:
    chain = longest_chain({module_of(path): source for path, source in tree().items()})
    assert len(chain) <= DEEPEST, chain


def test_a_chain_is_counted_by_what_is_loaded_at_once() -> None:
    lazy = "def f():\n    import b\nif TYPE_CHECKING:\n    import b"
    assert ["a"] == longest_chain({"a": lazy, "b": ""})
    assert ["a", "b", "c.d"] == longest_chain({"a": "import b", "b": "from c import d", "c.d": "x = 1", "c": ""})
