"""The facts as forms: every key of every file once, in the groups in which a sailor thinks of them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.inputs.keys import Key, Shape, Table, as_shown, tables_of
from passage.inputs.schemas import MODELS
from passage.inputs.toml import written_key

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from passage.desk.draft import Draft
    from passage.errors import Fault
    from passage.inputs.toml import Document, KeyPath

# Every group and, by file, its tables; None for all that no other group has.
GROUPS: dict[str, tuple[tuple[str, tuple[str, ...] | None], ...]] = {
    "voyage": (("voyage.toml", None), ("track.toml", None)),
    "boat": (("boat.toml", None), ("stores.toml", ("motor", "stowage"))),
    "crew": (("crew.toml", None),),
    "water and food": (
        ("boat.toml", ("water_tank", "emergency_water", "fuel_tank", "fuel")),
        ("stores.toml", None),
    ),
    "electrics": (("electrics.toml", None),),
    "watches": (("watch.toml", None),),
    "gear": (("gear.toml", None),),
    "anchorage": (("anchorage.toml", None),),
    "troubles": (("troubles.toml", None),),
}


class Field(NamedTuple):
    """A key with what stands in the file. path: with numbers; address: the same for the browser; fault: why it cannot
    be so; typed: what was typed and could not be put into the file; remark: what a comment in the file says of it.
    """

    key: Key
    path: KeyPath
    value: str
    fault: str = ""
    typed: str | None = None
    remark: str = ""

    @property
    def id(self) -> str:
        parts = (self.key.file.removesuffix(".toml"), *map(str, self.path))
        return "f-" + "-".join(part.replace("_", "-") for part in parts)

    @property
    def address(self) -> str:
        return json.dumps(list(self.path))

    @property
    def shown(self) -> str:
        return self.value if self.typed is None else self.typed

    @property
    def standing(self) -> bool:
        return bool(self.value or self.fault or self.typed is not None or self.key.needed)

    @property
    def limits(self) -> str:
        """What may be typed and what is taken if nothing is, in a few words."""
        left_out = f"{self.key.default} if left out" if self.key.default and len(self.key.default) < 40 else ""
        return "; ".join(filter(None, (self.key.limits, left_out)))


@dataclass(frozen=True)
class Entry:
    """A table of the file, or one of a list of tables. number: from 0, None for a table that is there once."""

    number: int | None
    title: str
    fields: tuple[Field, ...]

    @property
    def first(self) -> tuple[Field, ...]:
        return tuple(field for field in self.fields if field.standing)

    @property
    def rest(self) -> tuple[Field, ...]:
        return tuple(field for field in self.fields if not field.standing)


@dataclass(frozen=True)
class Section:
    """A table with all its entries. there: whether the file has it."""

    table: Table
    entries: tuple[Entry, ...]
    there: bool
    fault: str = ""


def tables_in(group: str) -> list[Table]:
    """The tables of a group, in the order in which it names them."""
    found: list[Table] = []
    for file, names in GROUPS[group]:
        tables, taken = {table.name: table for table in tables_of(file)}, _taken(file)
        wanted = [name for name in tables if name not in taken] if names is None else names
        found += [tables[name] for name in wanted]
    return found


def _taken(file: str) -> set[str]:
    named = [names for parts in GROUPS.values() for part, names in parts if part == file and names is not None]
    return {name for names in named for name in names}


def group_of(file: str, path: KeyPath) -> str:
    """The group in which a key is found."""
    name = str(path[0]) if path else ""
    for group in GROUPS:
        if any(table.file == file and table.name == name for table in tables_in(group)):
            return group
    return next((group for group, parts in GROUPS.items() if parts[0][0] == file), "voyage")


def sections(draft: Draft, group: str, faults: Sequence[Fault]) -> list[Section]:
    """A group's forms with what stands in the files as changed."""
    documents = {file: draft.document(file) for file in {table.file for table in tables_in(group)}}
    told = _by_key(draft, faults)
    said = {file: draft.remarks(file) for file in documents}
    return [section_of(table, documents[table.file], told, said[table.file]) for table in tables_in(group)]


def section_of(table: Table, document: Document, told: dict[tuple[str, str], str], said: dict[KeyPath, str]) -> Section:
    values = document.values
    if table.many:
        rows = values.get(table.name, [])
        rows = rows if isinstance(rows, list) else []
        entries = tuple(
            _entry(table, row, number, told, said) for number, row in enumerate(rows) if isinstance(row, dict)
        )
        return Section(table, entries, bool(rows), told.get((table.file, table.name), ""))
    row = values.get(table.name, {}) if table.name else values
    row = row if isinstance(row, dict) else {}
    there = table.name in values if table.name else any(key.path[0] in values for key in table.keys)
    return Section(table, (_entry(table, row, None, told, said),), there, told.get((table.file, table.name), ""))


def _entry(
    table: Table,
    row: dict[str, Any],
    number: int | None,
    told: dict[tuple[str, str], str],
    said: dict[KeyPath, str],
) -> Entry:
    fields = tuple(_field(key, row.get(key.path[-1]), number, told, said) for key in table.keys)
    named = next((str(row[name]) for name in ("name", "role", "what", "who") if isinstance(row.get(name), str)), "")
    return Entry(number, named or (f"{table.label} {number + 1}" if number is not None else table.label), fields)


def _field(
    key: Key, value: Any, number: int | None, told: dict[tuple[str, str], str], said: dict[KeyPath, str]
) -> Field:
    path = tuple(number if part == "*" and number is not None else part for part in key.path)
    fault = told.get((key.file, written_key(path)), "")
    return Field(key, path, as_shown(key, value), fault, remark=said.get(path, ""))


def _by_key(draft: Draft, faults: Iterable[Fault]) -> dict[tuple[str, str], str]:
    """What is wrong by file and key; of a key within a value under the key itself too."""
    found: dict[tuple[str, str], str] = {}
    for fault in faults:
        file = fault.file.rsplit("/", 1)[-1]
        words = f"{fault.found}; {fault.wanted}"
        found.setdefault((file, fault.key), words)
    return found


def field_at(draft: Draft, file: str, path: KeyPath, faults: Sequence[Fault], typed: str | None = None) -> Field:
    """One field as it stands. Raises KeyError for a key that no file has."""
    key = key_at(file, path)
    value: Any = draft.document(file).values
    for part in path:
        try:
            value = value[part]
        except (KeyError, IndexError, TypeError):
            value = None
            break
    told = _by_key(draft, faults).get((file, written_key(path)), "")
    return Field(key, path, as_shown(key, value), told, typed, draft.remarks(file).get(path, ""))


def key_at(file: str, path: KeyPath) -> Key:
    """Raises KeyError for a key that no file has."""
    wanted = tuple("*" if isinstance(part, int) else part for part in path)
    if file not in MODELS:
        raise KeyError(file)
    for table in tables_of(file):
        for key in table.keys:
            if key.path == wanted:
                return key
    raise KeyError(path)


def new_entry(table: Table, draft: Draft) -> dict[str, Any]:
    """What a new entry of a list begins with: a name of its own, and whatever must stand there that can be guessed."""
    rows = draft.document(table.file).values.get(table.name, [])
    count = len(rows) if isinstance(rows, list) else 0
    last = rows[-1] if count and isinstance(rows[-1], dict) else {}
    begun: dict[str, Any] = {}
    for key in table.keys:
        name = key.path[-1]
        if not key.needed:
            continue
        if name in ("name", "role", "what"):
            begun[name] = f"{table.label.lower()} {count + 1}"
        elif name in last:
            begun[name] = last[name]
        elif key.shape is Shape.CHOICE:
            begun[name] = key.choices[0]
    return begun
