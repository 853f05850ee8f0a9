"""On which line of a TOML file each key stands, which the reader of the standard library does not tell."""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tree_sitter import Node

DEEPEST = 16  # parts of a key, tables and lists within one another; ours need six

KeyPath = tuple[str | int, ...]
_BEHIND = re.compile(r"""(?:[^"'#]|"(?:[^"\\]|\\.)*"|'[^']*')*#(.*)""")  # a comment, but not a hash within a text


class TooDeep(Exception):
    """A key of more parts than any file has; the line of it is told. Every part costs a path of its own."""


def key_lines(text: str) -> dict[KeyPath, int]:
    """The line, from 1, of every key and table in valid TOML."""
    from tree_sitter import Language, Parser
    from tree_sitter_toml import language

    lines: dict[KeyPath, int] = {}
    entries: dict[KeyPath, int] = {}
    for node in Parser(Language(language())).parse(text.encode()).root_node.named_children:
        if node.type == "pair":
            _note_pair(node, (), lines)
        elif node.type in ("table", "table_array_element"):
            _note_table(node, lines, entries)
    return lines


def remarks(text: str) -> dict[KeyPath, str]:
    """What comments say of keys in valid TOML: the lines right above a key, and what stands behind its value."""
    lines, found = text.splitlines(), {}
    headers = {number for number, line in enumerate(lines, 1) if line.lstrip().startswith("[")}
    for key, number in key_lines(text).items():
        if number in headers:
            continue
        first = number
        while first > 1 and lines[first - 2].startswith("#"):
            first -= 1
        said = [line.lstrip("# ").strip() for line in lines[first - 1 : number - 1] if not line.startswith("#:")]
        behind = _BEHIND.fullmatch(lines[number - 1])
        if words := " ".join(filter(None, (*said, behind[1].strip() if behind else ""))):
            found[key] = words
    return found


def _note_table(node: Node, lines: dict[KeyPath, int], entries: dict[KeyPath, int]) -> None:
    """Note a table and its keys; ``entries`` counts how often each ``[[table]]`` has been begun."""
    header, *pairs = (child for child in node.named_children if child.type != "comment")
    keys = _keys(header)
    _refuse_deep(keys, node)
    path: KeyPath = ()
    for position, key in enumerate(keys, 1):
        path += (key,)
        lines.setdefault(path, _line(node))
        if node.type == "table_array_element" and position == len(keys):
            entries[path] = entries.get(path, 0) + 1
        if path in entries:
            path += (entries[path] - 1,)
            lines.setdefault(path, _line(node))
    for pair in pairs:
        _note_pair(pair, path, lines)


def _note_pair(pair: Node, table: KeyPath, lines: dict[KeyPath, int]) -> None:
    key, value = (child for child in pair.named_children if child.type != "comment")
    path, keys = table, _keys(key)
    _refuse_deep((*path, *keys), pair)
    for part in keys:
        path += (part,)
        lines.setdefault(path, _line(pair))
    _note_value(value, path, lines)


def _note_value(value: Node, path: KeyPath, lines: dict[KeyPath, int]) -> None:
    inside = [child for child in value.named_children if child.type != "comment"]
    _refuse_deep(path, value)
    if value.type == "inline_table":
        for pair in inside:
            _note_pair(pair, path, lines)
    elif value.type == "array":
        for index, element in enumerate(inside):
            lines[(*path, index)] = _line(element)
            _note_value(element, (*path, index), lines)


def _refuse_deep(path: Sequence[str | int], node: Node) -> None:
    if len(path) > DEEPEST:
        raise TooDeep(_line(node))


def _keys(node: Node) -> list[str]:
    """The parts of a bare, quoted or dotted key, unquoted by the TOML reader itself."""
    table = tomllib.loads(f"{(node.text or b'').decode()} = 0")
    keys = []
    while isinstance(table, dict):
        ((key, table),) = table.items()
        keys.append(key)
    return keys


def _line(node: Node) -> int:
    return int(node.start_point.row) + 1
