"""The text of a TOML file with something in it changed: every other comment, blank line and order of keys stays.

Keys are set by tomlkit; whole tables are put in and taken out by line, so that remarks stay beside what they are about.
"""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from passage.inputs.toml import key_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from passage.inputs.toml import KeyPath

TAKEN_AWAY = None  # the value of a key that is not to stand there any more


class NotATable(ValueError):
    """What is to be changed stands in the file in another form than tables and keys of their own."""


def with_keys(text: str, values: Mapping[KeyPath, Any]) -> str:
    """The text with every key set, or taken away where its value is ``TAKEN_AWAY``. Raises NotATable."""
    from tomlkit import dumps, parse

    document = parse(text)
    for key, value in values.items():
        _change(document, key, value)
    return _same_ends(dumps(document), text)


def _change(document: Any, key: KeyPath, value: Any) -> None:
    table = document
    for part in key[:-1]:
        if isinstance(part, str) and part not in table:
            if value is TAKEN_AWAY:
                return
            _begin_table(table, part)
        try:
            table = table[part]
        except (IndexError, TypeError):
            raise NotATable(str(part)) from None
    if value is TAKEN_AWAY:
        if key[-1] in table:
            table.remove(str(key[-1]))
    else:
        _set(table, str(key[-1]), value)


def _begin_table(table: Any, name: str) -> None:
    import tomlkit

    if not hasattr(table, "add"):
        raise NotATable(name)
    table.add(name, tomlkit.table())


def _set(table: Any, key: str, value: Any) -> None:
    """A new key stands below the last that is there, above the remarks that lead on to the next table."""
    from tomlkit.items import Table

    if not hasattr(table, "value") and not hasattr(table, "body"):
        raise NotATable(key)
    remarks: list[Any] = []
    body = table.value.body if isinstance(table, Table) else []
    while key not in table and body and body[-1][0] is None:
        remarks.insert(0, body.pop())
    table[key] = _item(value)
    body += remarks


def as_toml(value: Any) -> str:
    """A value as a file has it, in one line."""
    from tomlkit import item

    text: str = item(_item(value)).as_string()
    return text


def _item(value: Any) -> Any:
    """Tables within a value stand in one line, as lists do."""
    import tomlkit

    if isinstance(value, dict):
        inline = tomlkit.inline_table()
        inline.update({key: _item(inner) for key, inner in value.items()})
        return inline
    if isinstance(value, list):
        listed = tomlkit.array()
        listed.extend(_item(each) for each in value)
        return listed
    return value


def with_entry(text: str, name: str, at: int, values: Mapping[str, Any]) -> str:
    """The text with one more ``[[name]]``, which then is number ``at``, from 0. Raises NotATable."""
    lines = "".join(f"{key} = {as_toml(value)}\n" for key, value in values.items())
    new = f"[[{name}]]\n{lines}"
    parts = list(blocks(text))
    ours = _entries(text, parts, name)
    if not ours:
        begun = f"{text.rstrip()}\n\n" if text.strip() else ""
        return _same_ends(f"{begun}{new}", text)
    place = ours[at] if at < len(ours) else ours[-1] + 1
    before = "".join(part for _, part in parts[:place]).rstrip("\n")
    after = "".join(part for _, part in parts[place:])
    return _same_ends(f"{before}\n\n{new}" + (f"\n{after}" if after else ""), text)


def without_entry(text: str, name: str, at: int) -> str:
    """The text without number ``at``, from 0, of the tables ``[[name]]``, its remarks gone too. Raises NotATable."""
    parts = list(blocks(text))
    ours = _entries(text, parts, name)
    if at >= len(ours):
        raise NotATable(name)
    last = (
        ours[at + 1]
        if at + 1 < len(ours)
        else next((place for place in range(ours[at] + 1, len(parts)) if parts[place][0][:1] != (name,)), len(parts))
    )
    return "".join(part for place, (_, part) in enumerate(parts) if not ours[at] <= place < last)


def _entries(text: str, parts: list[tuple[KeyPath, str]], name: str) -> list[int]:
    """Where in the parts each ``[[name]]`` begins."""
    found = [place for place, (path, _) in enumerate(parts) if len(path) == 2 and path[0] == name]
    if not found and any(path[:1] == (name,) for path in key_lines(text)):
        raise NotATable(name)
    return found


def blocks(text: str) -> Iterator[tuple[KeyPath, str]]:
    """The text cut before each table's remarks, with the path of the table; an empty one for what stands above the
    first. An entry of a list of tables has its number, from 0, behind the name.
    """
    rows = text.splitlines(keepends=True)
    starts: dict[int, KeyPath] = {}
    for path, line in key_lines(text).items():
        if re.match(r"\s*\[", rows[line - 1]) and len(path) >= len(starts.get(line, ())):
            starts[line] = path
    begins: list[tuple[int, KeyPath]] = [(0, ())]
    for line, path in sorted(starts.items()):
        at = line - 1
        while at > begins[-1][0] and rows[at - 1].startswith("#"):
            at -= 1
        begins.append((at, path))
    for (at, path), (end, _) in pairwise([*begins, (len(rows), ())]):
        if at < end:
            yield path, "".join(rows[at:end])


def _same_ends(text: str, model: str) -> str:
    """With the line ends of the text it was made of."""
    end = "\r\n" if "\r\n" in model else "\n"
    return text.replace("\r\n", "\n").replace("\n", end)
