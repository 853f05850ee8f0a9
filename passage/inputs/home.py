"""Where the files of a voyage lie: in her own folder and, where voyage.toml names one, in the boat's.

What the voyage's folder says overrules what the boat's says, key by key; a list of tables is taken whole, and so is a
table of figures (CSV).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from passage.errors import Fault, InputFaults
from passage.inputs.text import is_file, is_there
from passage.inputs.toml import Document, KeyPath, read_document
from passage.units import shown

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

VOYAGE_FILE, SEASON_FILE = "voyage.toml", "season.toml"
HERS = ("boat.toml", "crew.toml", "electrics.toml", "gear.toml", "watch.toml", "stores.toml")
BOAT_KEY: KeyPath = ("voyage", "boat")


@dataclass(frozen=True)
class Home:
    """``boat``: the folder of the boat that the voyage names, and ``named`` as it names it; None and "" without.
    ``in_place``: another boat in place of the voyage's own; ``lent``: of one whose files stand in the voyage's own
    folder, which are then not read.
    """

    folder: Path
    boat: Path | None = None
    named: str = ""
    lent: bool = False
    in_place: bool = False

    def paths(self, name: str) -> tuple[Path, ...]:
        """The files of that name that are there: the voyage's own, then the boat's."""
        own = () if self.lent and name in HERS else (self.folder,)
        folders = (*own, self.boat) if self.boat else own
        return tuple(folder / name for folder in folders if is_there(folder / name))

    def path(self, name: str) -> Path:
        """The file that counts where files are taken whole; the voyage's own where there is none."""
        return next(iter(self.paths(name)), self.folder / name)

    def boats_path(self, name: str) -> Path:
        """The boat's own file, in which what is learned of her is kept."""
        return next(iter(reversed(self.paths(name))), self.folder / name)

    def has(self, name: str) -> bool:
        return bool(self.paths(name))

    def called(self, path: Path) -> str:
        """A file as a fault names it: the boat's with her folder, as the voyage file has it."""
        return path.name if self.boat is None or path.parent != self.boat else f"{self.named.rstrip('/')}/{path.name}"

    def must(self, name: str) -> Document:
        """A TOML file that must stand in one of the two. Raises InputFaults."""
        return self.document(name) if self.has(name) else read_document(self.folder / name)

    def document(self, name: str) -> Document:
        """A TOML file, the voyage's laid over the boat's; an empty one where there is none. Raises InputFaults."""
        laid: Document | None = None
        for path in reversed(self.paths(name)):
            try:
                one = replace(read_document(path), file=self.called(path))
            except InputFaults as told:
                raise InputFaults([fault._replace(file=self.called(path)) for fault in told.faults]) from None
            laid = one if laid is None else _laid_over(laid, one)
        return laid or Document(name, self.folder, {}, {})


def home_of(folder: Path, voyage_file: Document | None) -> Home:
    """The folder, and the boat's that the voyage file names. Raises InputFaults where no such folder stands."""
    named = _named(voyage_file)
    if voyage_file is None or named is None:
        return Home(folder)
    boat = folder / named
    if not _is_folder(boat):
        found = f"{shown(named)} is a file" if is_file(boat) else f"no folder {shown(named)} stands there"
        wanted = 'name the folder of the boat as seen from this one, such as "../my-boat"'
        raise InputFaults([voyage_file.fault(BOAT_KEY, found, wanted)])
    if boat.resolve() == folder.resolve():
        raise InputFaults([voyage_file.fault(BOAT_KEY, f"{shown(named)} is this folder", "leave the key out")])
    return Home(folder, boat, named)


def _named(voyage_file: Document | None) -> str | None:
    table = voyage_file.values.get("voyage") if voyage_file else None
    named = table.get("boat") if isinstance(table, dict) else None
    return named if isinstance(named, str) and named.strip() and named.isprintable() else None


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError, RuntimeError):  # a name too long, or links that lead round in a ring
        return False


def _laid_over(below: Document, above: Document) -> Document:
    """One file of what two say. Faults keep their place: what stands in ``above`` is told of there."""
    values: dict[str, Any] = dict(below.values)
    taken: set[KeyPath] = set()
    for key, value in above.values.items():
        beneath = values.get(key)
        if isinstance(value, dict) and isinstance(beneath, dict):
            taken |= {(key, inner) for inner in value}
            values[key] = {**beneath, **value}
        else:
            taken.add((key,))
            values[key] = value
    lines = {path: line for path, line in below.lines.items() if not any(path[: len(key)] == key for key in taken)}
    return replace(below, values=values, lines=lines, above=above)


def renamed(home: Home, path: Path, told: InputFaults) -> Iterator[Fault]:
    """Faults of a file that tells them by its bare name, told of the boat's where it is hers."""
    for fault in told.faults:
        yield fault._replace(file=home.called(path)) if fault.file == path.name else fault
