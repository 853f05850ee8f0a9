"""The voyage's files as they are being changed: what stood in them, each change, and the difference, until it is saved.

Changes are kept as changes and not as texts, so that they can be made again on a file that was changed by another hand
meanwhile. They are written beside the voyage after each one, whole or not at all: whatever befalls, nothing typed is
lost, and no file of the voyage is touched before the crew says so.
"""

from __future__ import annotations

import json
import os
import tomllib
from contextlib import suppress
from dataclasses import dataclass, field
from difflib import unified_diff
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.disk import write_whole
from passage.errors import Fault, InputFaults
from passage.inputs.editing import NotATable, as_toml, with_entry, with_keys, without_entry
from passage.inputs.folder import read_folder
from passage.inputs.home import BOAT_KEY, HERS, VOYAGE_FILE, Home, home_of
from passage.inputs.parting import PARTED
from passage.inputs.schemas import MODELS
from passage.inputs.text import read_text, unsaved
from passage.inputs.toml import Document, document_of
from passage.inputs.toml_lines import TooDeep, remarks

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from passage.inputs.folder import Facts
    from passage.inputs.toml import KeyPath

DRAFT_FILE = ".desk-draft.json"  # beside the voyage, while something is not saved
MOST_CHANGES = 5000


class Edit(NamedTuple):
    """One change of one file. what: ``set`` a key, ``add`` an entry of a list of tables, ``remove`` one; value: of the
    key, None to take it away, or the new entry's keys and values. together: changes with one number are undone as one.
    """

    file: str
    hers: bool  # in the boat's folder
    what: str
    key: KeyPath
    value: Any
    together: int


class ChangedMeanwhile(Exception):
    """Files were changed by another hand since they were read; ``names`` them."""

    def __init__(self, names: list[str]) -> None:
        self.names = names
        super().__init__(", ".join(names))


@dataclass
class Draft:
    """A voyage's folder, the texts in it as last read, and the changes made since."""

    folder: Path
    base: dict[Path, str] = field(default_factory=dict)
    changes: list[Edit] = field(default_factory=list)
    texts: dict[Path, str] = field(default_factory=dict)
    lost: list[str] = field(default_factory=list)  # changes that a file changed meanwhile has no place for
    kept: bool = True  # whether the changes are beside the voyage too

    # ---------------------------------------------------------------- reading

    @classmethod
    def of(cls, folder: Path) -> Draft:
        """The folder as it stands, with what was not saved the last time."""
        draft = cls(folder)
        draft.changes = _kept(folder)
        draft.read_again()
        return draft

    def read_again(self) -> None:
        """Take up the files as they stand now, and make the changes on them again."""
        self.base = {path: text for path in self._files() if (text := _text_at(path)) is not None}
        changes, self.changes, self.lost = self.changes, [], []
        self.texts = dict(self.base)
        for change in changes:
            try:
                self._make(change)
            except ValueError:  # its place is gone from the file
                self.lost.append(told(change))
        self._keep()

    def _files(self) -> Iterator[Path]:
        """The files that are there, the voyage's and the boat's."""
        home = self.home
        for name in MODELS:
            yield from (path for path in home.paths(name) if path.is_file())

    @property
    def home(self) -> Home:
        """Where the files lie, by the voyage file as changed; her own folder alone where that cannot be read."""
        path = self.folder / VOYAGE_FILE
        try:
            return home_of(self.folder, document_of(self.texts[path] if path in self.texts else read_text(path), path))
        except InputFaults:
            return Home(self.folder)

    def facts(self) -> Facts:
        """The voyage as changed. Raises InputFaults."""
        with unsaved(self.texts):
            return read_folder(self.folder)

    def document(self, name: str, *, saved: bool = False) -> Document:
        """A file as changed, or as saved, the voyage's laid over the boat's; an empty one where it cannot be read."""
        texts = {**dict.fromkeys(self.texts, ""), **self.base} if saved else self.texts
        try:
            with unsaved(texts):
                home = home_of(
                    self.folder, document_of(read_text(self.folder / VOYAGE_FILE), self.folder / VOYAGE_FILE)
                )
                return home.document(name)
        except InputFaults:
            return Document(name, self.folder, {}, {})

    def remarks(self, name: str) -> dict[KeyPath, str]:
        """What the comments in a file as changed say of its keys, the voyage's laid over the boat's."""
        said: dict[KeyPath, str] = {}
        for path in reversed(self.home.paths(name)):
            with suppress(ValueError, TooDeep):  # of a file that is not TOML the check tells
                said |= remarks(self.texts.get(path, ""))
        return said

    # ---------------------------------------------------------------- changing

    def set(self, file: str, key: KeyPath, value: Any, together: int = 0) -> bool:
        """Set a key, or take it away; whether that changes anything. Raises ValueError in words."""
        return self._changed(Edit(file, self._is_hers(file, key), "set", key, value, together or self._next()))

    def add(self, file: str, key: KeyPath, values: dict[str, Any], together: int = 0) -> bool:
        """Put in one more of a list of tables: its name and the number that it is to have."""
        return self._changed(Edit(file, self._is_hers(file, key), "add", key, values, together or self._next()))

    def remove(self, file: str, key: KeyPath, together: int = 0) -> bool:
        """Take one of a list of tables out."""
        return self._changed(Edit(file, self._is_hers(file, key), "remove", key, None, together or self._next()))

    def _next(self) -> int:
        return self.changes[-1].together + 1 if self.changes else 1

    def _changed(self, change: Edit) -> bool:
        if len(self.changes) >= MOST_CHANGES:
            raise ValueError("so many changes are not saved yet; save them first")
        did = self._make(change)
        self._keep()
        return did

    def _make(self, change: Edit) -> bool:
        """Make a change on the texts. Raises ValueError, nothing changed."""
        path = self._path(change)
        before = self.texts.get(path, "")
        try:
            after = _changed_text(before, change)
            document_of(after, path)
        except NotATable:
            raise ValueError("the file has this in a form of its own; change it there") from None
        except InputFaults as faults:
            raise ValueError(faults.faults[0].found) from None
        if after == before:
            return False
        self.texts[path] = after
        self.changes.append(change)
        if change.key == BOAT_KEY:
            self._take_in()
        return True

    def _take_in(self) -> None:
        """The files of a boat that is named now and was not before."""
        for path in self._files():
            if path not in self.texts and (text := _text_at(path)) is not None:
                self.base[path] = self.texts[path] = text

    def _path(self, change: Edit) -> Path:
        home = self.home
        folder = home.boat if change.hers and home.boat else home.folder
        return folder / change.file

    def _is_hers(self, file: str, key: KeyPath) -> bool:
        """Whether a key has its place in the boat's folder: where it stands, or where such a key belongs."""
        home = self.home
        if home.boat is None:
            return False
        if self._stands(home.folder / file, key):
            return False
        if self._stands(home.boat / file, key):
            return True
        return key[0] not in PARTED[file] if file in PARTED else file in HERS

    def _stands(self, path: Path, key: KeyPath) -> bool:
        """Whether a file has the key, or of a list of tables any."""
        try:
            values = document_of(self.texts.get(path, ""), path).values
        except InputFaults:
            return False
        value = values.get(str(key[0]))
        if isinstance(value, dict) and len(key) > 1:
            return key[1] in value
        return value is not None

    def undo(self) -> bool:
        """Take the last change back; whether there was one."""
        if not self.changes:
            return False
        last = self.changes[-1].together
        changes = [change for change in self.changes if change.together != last]
        self._made_again(changes)
        return True

    def undo_all(self) -> None:
        """Back to what is saved."""
        self._made_again([])

    def _made_again(self, changes: list[Edit]) -> None:
        self.changes, self.texts = [], dict(self.base)
        for change in changes:
            self._make(change)
        self._keep()

    # ---------------------------------------------------------------- saving

    @property
    def changed_files(self) -> list[Path]:
        return [path for path, text in self.texts.items() if self.base.get(path, "") != text]

    def diff(self) -> str:
        """What saving would change, unified; empty for nothing."""
        home = self.home
        lines: list[str] = []
        for path in self.changed_files:
            called = home.called(path)
            before, after = self.base.get(path, ""), self.texts[path]
            lines += unified_diff(before.splitlines(True), after.splitlines(True), called, f"{called} as changed", n=1)
        return "".join(line if line.endswith("\n") else f"{line}\n" for line in lines)

    def meanwhile(self) -> list[str]:
        """Files that another hand changed since they were read."""
        paths = {**self.base, **dict.fromkeys(self.changed_files, "")}
        return [self.home.called(path) for path in paths if (_text_at(path) or "") != self.base.get(path, "")]

    def save(self) -> list[str]:
        """Write what was changed, each file whole or not at all, read back before it gets its name; the names of the
        files come back. Raises ChangedMeanwhile, nothing written, and OSError.
        """
        if names := self.meanwhile():
            raise ChangedMeanwhile(names)
        written = []
        for path in self.changed_files:
            write_whole(path, self.texts[path].encode(), _reads)
            self.base[path] = self.texts[path]
            written.append(self.home.called(path))
        self.changes = []
        self._keep()
        return written

    def _keep(self) -> None:
        """The changes beside the voyage; a folder that cannot be written is no reason to stop."""
        path = self.folder / DRAFT_FILE
        try:
            if self.changes:
                write_whole(path, json.dumps([_as_json(change) for change in self.changes]).encode())
            else:
                path.unlink(missing_ok=True)
            self.kept = True
        except OSError:
            self.kept = False


def _changed_text(text: str, change: Edit) -> str:
    if change.what == "set":
        return with_keys(text, {change.key: change.value})
    name, at = str(change.key[0]), int(change.key[1])
    return with_entry(text, name, at, change.value) if change.what == "add" else without_entry(text, name, at)


def _reads(path: Path) -> None:
    """Raises where what was written is not what can be read again."""
    document_of(path.read_text(encoding="utf-8"), path)


def _text_at(path: Path) -> str | None:
    """None for what cannot be read; whoever reads the voyage is told why."""
    try:
        return read_text(path)
    except InputFaults:
        return None


def told(change: Edit) -> str:
    """A change in a few words."""
    key = ".".join(str(part + 1) if isinstance(part, int) else part for part in change.key)
    return f"{change.file}: {key} {'=' if change.what == 'set' else change.what} {change.value or ''}".strip()


def _as_json(change: Edit) -> list[Any]:
    value = None if change.value is None else as_toml(change.value)
    return [change.file, change.hers, change.what, list(change.key), value, change.together]


def _back(value: str | None) -> Any:
    return None if value is None else tomllib.loads(f"value = {value}")["value"]


def _kept(folder: Path) -> list[Edit]:
    """What was not saved the last time; nothing where it cannot be read."""
    try:
        rows = json.loads((folder / DRAFT_FILE).read_bytes()[:LARGEST])
        return [Edit(file, hers, what, tuple(key), _back(value), at) for file, hers, what, key, value, at in rows]
    except (OSError, ValueError, TypeError, KeyError):
        return []


LARGEST = 4_000_000  # bytes of changes that are read back


def contained(root: Path, path: Path) -> bool:
    """Whether a path, links followed, lies in a folder."""
    return os.path.commonpath([os.path.realpath(root), os.path.realpath(path)]) == os.path.realpath(root)


def refused(found: str, wanted: str) -> InputFaults:
    """One fault of no file."""
    return InputFaults([Fault("desk", 0, "", found, wanted)])
