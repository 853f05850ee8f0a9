"""The Zarr store of a fleet: written block by block, each once, the same bytes whatever befalls.

Zarr makes the bytes, in memory; each file comes to the disk whole or not at all. A block counts as sailed when its key
stands there, which is written last and holds a digest of its other files: what a kill, a full disk or a cut of power
left half done or torn is sailed again, to the same bytes. So nobody waits for the disk to say that it has each file.
Nothing in the store tells when or in what order it was made.
"""

from __future__ import annotations

import hashlib
import zlib
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from passage import __version__
from passage.content import LETTERS
from passage.disk import Disk, Unhurried, write_whole
from passage.errors import Fault, InputFaults
from passage.fleets.schema import (
    CELL,
    KEY,
    LONGEST_REFUSAL,
    REFUSED,
    VARIABLES,
    Variable,
    attributes,
    block_shape,
    coordinates,
    sizes,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from passage.fleets.cell import Values
    from passage.fleets.table import Block, Fleet

FORMAT: Literal[2] = 2  # of Zarr, which every reader knows
LEVEL = 6  # of zlib
TEXTS = (
    (REFUSED, LONGEST_REFUSAL, "why the cell was not sailed; empty where it was"),
    (KEY, 2 * LETTERS, "key of what the block was sailed from, and of its figures; empty where it is to be sailed"),
)
LAST = ".zmetadata"  # of the files that stand there before any block
LEFT_OVER = ".new-*"  # by a process that was killed


class Store:
    """A fleet's store in a folder. Raises OSError that names the file wherever the disk refuses."""

    def __init__(self, folder: Path, fleet: Fleet, disk: Disk | None = None) -> None:
        self.folder, self._fleet, self._disk = folder, fleet, disk or Unhurried()
        self._made: dict[str, Any] = {}  # what Zarr has made and no disk has yet
        self._arrays = _laid_out(fleet, self._made)
        self._plan = {name: bytes(buffer.to_bytes()) for name, buffer in self._made.items()}
        self._made.clear()

    @contextmanager
    def opened(self) -> Iterator[None]:
        """Begun, or gone on with, while nobody else writes in it. Raises InputFaults where the folder holds something
        else, TimeoutError's sentence where another run is at it.
        """
        self._refuse_another()
        self.folder.mkdir(parents=True, exist_ok=True)
        try:
            with self._disk.alone(self.folder):
                for left in sorted(self.folder.rglob(LEFT_OVER)):
                    self._disk.remove(left)
                for name, content in sorted(self._plan.items(), key=lambda each: each[0] == LAST):
                    self._write(name, content)
                yield
        except TimeoutError:
            found, wanted = "another run is writing there", "wait for it, or name another folder"
            raise InputFaults([Fault(str(self.folder), 0, "", found, wanted)]) from None

    def _refuse_another(self) -> None:
        there = self.folder / LAST
        other = there.read_bytes() != self._plan[LAST] if there.is_file() else _holds_others(self.folder, self._plan)
        other = other or any(_differs(self.folder / name, content) for name, content in self._plan.items())
        if other:
            found = "it holds something else: another fleet, or other boats, days or crossings of this one"
            raise InputFaults([Fault(str(self.folder), 0, "", found, "name another folder, or take this one away")])

    def whole(self) -> bool:
        """Whether nothing is left to be sailed. Raises InputFaults where the folder holds something else."""
        self._refuse_another()
        kept = self.keys() if all((self.folder / name).is_file() for name in self._plan) else {}
        return all(kept.get(block.number) == self._fleet.key(block) for block in self._fleet.blocks())

    def keys(self) -> dict[tuple[int, int, int, int], str]:
        """Of the blocks that are sailed and stand there as they were written, by their number."""
        found = {}
        for block in self._fleet.blocks():
            names = self._names(block)
            said = _first_text(_read(self.folder / names.pop(KEY)))
            if said and said[LETTERS:] == _digest(_read(self.folder / name) for name in names.values()):
                found[block.number] = said[:LETTERS]
        return found

    def write(self, block: Block, key: str, cells: Sequence[Values | str]) -> int:
        """All figures of a block, its key last; how many bytes. cells: in the order of ``block.cells``."""
        refused = [each if isinstance(each, str) else "" for each in cells]
        for variable in VARIABLES:
            self._arrays[variable.name][block.where] = _together(variable, block, cells, self._fleet)
        self._arrays[REFUSED][block.where] = _as_texts(refused, block, LONGEST_REFUSAL)
        names = self._names(block)
        last = names.pop(KEY)
        made = {name: self._taken(name) for name in names.values()}
        self._arrays[KEY][block.where] = _as_texts([key + _digest(made.values())] * len(cells), block, 2 * LETTERS)
        made[last] = self._taken(last)
        for name, content in made.items():
            self._write(name, content)
        return sum(map(len, made.values()))

    def _names(self, block: Block) -> dict[str, str]:
        """Files of a block by variable."""
        number = ".".join(map(str, block.number))
        beside = {variable.name: len(variable.beside) for variable in VARIABLES} | {REFUSED: 0, KEY: 0}
        return {name: f"{name}/{number}{'.0' * many}" for name, many in beside.items()}

    def _taken(self, name: str) -> bytes:
        return bytes(self._made.pop(name).to_bytes())

    def _write(self, name: str, content: bytes) -> None:
        path = self.folder / name
        if not _differs(path, content) and path.is_file():
            return
        path.parent.mkdir(exist_ok=True)
        write_whole(path, content, disk=self._disk)


def _differs(path: Path, content: bytes) -> bool:
    return path.is_file() and path.read_bytes() != content


def _holds_others(folder: Path, plan: Mapping[str, bytes]) -> bool:
    """Whether a folder in which no store was begun to the end holds what no beginning of this one does."""
    if not folder.exists():
        return False
    if not folder.is_dir():
        return True
    there = (path for path in folder.rglob("*") if path.is_file() and not path.match(LEFT_OVER))
    return any(path.relative_to(folder).as_posix() not in plan for path in there)


def _laid_out(fleet: Fleet, made: dict[str, Any]) -> dict[str, Any]:
    """Every array of the store, by name; ``made`` takes the bytes of its metadata and coordinates."""
    import numcodecs
    import zarr

    store = zarr.storage.MemoryStore(made)
    about = {
        "Conventions": "CF-1.11",
        "title": f"{fleet.name}: simulated crossings; not a forecast",
        "source": f"passage {__version__}",
        "crossings": fleet.crossings,
        "seed": fleet.seed,
    }
    group = zarr.create_group(store, zarr_format=FORMAT, attributes=about)
    packed = numcodecs.Zlib(LEVEL)

    def array(name: str, dims: Sequence[str], dtype: str, chunks: Sequence[int], more: Mapping[str, Any]) -> Any:
        shape = tuple(lengths[each] for each in dims)
        return group.create_array(
            name,
            shape=shape,
            chunks=tuple(max(each, 1) for each in chunks),
            dtype=dtype,
            compressors=packed,
            fill_value=np.nan if dtype == "<f8" else None if dtype == "<i8" else "",
            attributes={"_ARRAY_DIMENSIONS": list(dims), **more},
            config={"write_empty_chunks": True},
        )

    lengths = sizes(fleet)
    for name, (values, more) in coordinates(fleet).items():
        array(name, (name,), values.dtype.str, values.shape, more)[:] = values
    arrays = {
        each.name: array(each.name, (*CELL, *each.beside), "<f8", block_shape(each, fleet), attributes(each, fleet))
        for each in VARIABLES
    }
    for name, letters, meaning in TEXTS:
        chunks = block_shape(Variable(name, (), "", meaning), fleet)
        arrays[name] = array(name, CELL, f"<U{letters}", chunks, {"long_name": meaning})
    zarr.consolidate_metadata(store, zarr_format=FORMAT)
    return arrays


def _together(variable: Variable, block: Block, cells: Sequence[Values | str], fleet: Fleet) -> NDArray[np.float64]:
    """A variable of every cell, as the block lies in the store; not a number where a cell is refused."""
    beside = tuple(sizes(fleet)[name] for name in variable.beside)
    nothing = np.full(beside, np.nan)
    values = [nothing if isinstance(each, str) else each[variable.name] for each in cells]
    return np.reshape(values, (1, 1, len(block.departures), len(block.climates), *beside))


def _as_texts(texts: Sequence[str], block: Block, letters: int) -> NDArray[np.str_]:
    short = [text if len(text) <= letters else f"{text[: letters - 1]}…" for text in texts]
    return np.reshape(np.array(short, dtype=f"<U{letters}"), (1, 1, len(block.departures), len(block.climates)))


def _read(path: Path) -> bytes:
    """Nothing where nothing can be read."""
    try:
        return path.read_bytes()
    except OSError:
        return b""


def _digest(contents: Iterable[bytes]) -> str:
    digest = hashlib.sha256()
    for content in contents:
        digest.update(hashlib.sha256(content).digest())
    return digest.hexdigest()[:LETTERS]


def _first_text(packed: bytes) -> str:
    """The first text in a block of keys; none where the bytes are not what was written."""
    try:
        return zlib.decompress(packed)[: 4 * 2 * LETTERS].decode("utf-32-le").rstrip("\0")
    except (zlib.error, UnicodeDecodeError):
        return ""
