"""Every key that a file may have, as one would explain it: its kind, unit, limits, default and what it means.

Kind, limits and default come from the models that read the files, the meaning from the remarks of the template, which
is where each key is explained to the person who writes it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cache
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, get_args, get_origin

from pydantic_core import PydanticUndefined

from passage.inputs.editing import as_toml
from passage.inputs.schemas import MODELS
from passage.inputs.toml import Measured, Section
from passage.inputs.unedited import TEMPLATES
from passage.units import KINDS, written

if TYPE_CHECKING:
    from pydantic.fields import FieldInfo

_HEADER = re.compile(r"(?:#\s+)?\[{1,2}([a-z_]+)\]{1,2}\s*")
_KEY = re.compile(r"(#(?: |   ))?([a-z_]+) = (.+)")
_PROSE = re.compile(r"# ?(.*)")


class _Remark(NamedTuple):
    """What the template says of a key or table; default: as it writes it, empty where it shows none."""

    meaning: str
    default: str = ""


_NOTHING = _Remark("")
Said = dict[tuple[str, ...], _Remark]


class Shape(StrEnum):
    """How a value is written."""

    QUANTITY = "quantity"  # a number with its unit, as text
    NUMBER = "number"
    WHOLE = "whole"
    YES = "yes or no"
    CHOICE = "choice"
    TEXT = "text"
    NAMES = "names"  # a list of texts
    FILE = "file"
    DAY = "day"
    OTHER = "other"  # as TOML has it


@dataclass(frozen=True)
class Key:
    """One key. path: with its tables; ``*`` stands for the number of an entry. unit: as a quantity is written without
    one; default: as a file would have it, empty for none.
    """

    file: str
    path: tuple[str, ...]
    shape: Shape
    needed: bool
    default: str
    unit: str = ""
    limits: str = ""
    choices: tuple[str, ...] = ()
    meaning: str = ""

    @property
    def label(self) -> str:
        return self.path[-1].replace("_", " ").capitalize()


@dataclass(frozen=True)
class Table:
    """One table of a file, or the keys above all tables. many: there may be several, ``[[so]]``; needed: of the keys
    that must stand in it, how they are best begun.
    """

    file: str
    name: str
    many: bool
    optional: bool
    meaning: str
    keys: tuple[Key, ...]

    @property
    def label(self) -> str:
        return (self.name or self.file.removesuffix(".toml")).replace("_", " ").capitalize()


@cache
def tables_of(file: str) -> tuple[Table, ...]:
    """The tables that a file may have, in the order of its model."""
    said = _meanings(file)
    model = MODELS[file]
    loose = [(name, field) for name, field in model.model_fields.items() if not _section_in(field.annotation)]
    first = Table(file, "", False, False, "", tuple(_key(file, (), *each, said) for each in loose))
    tables = [first] if loose else []
    for name, field in model.model_fields.items():
        if section := _section_in(field.annotation):
            tables.append(_table(file, field.alias or name, field, section, said))
    return tuple(tables)


def _table(file: str, name: str, field: FieldInfo, section: type[Section], said: Said) -> Table:
    many = _holds_several(field.annotation)
    path = (name, "*") if many else (name,)
    keys = tuple(_key(file, path, each, inner, said) for each, inner in section.model_fields.items())
    optional = many or not field.is_required()
    return Table(file, name, many, optional, said.get((name,), _NOTHING).meaning, keys)


def _key(file: str, table: tuple[str, ...], name: str, field: FieldInfo, said: Said) -> Key:
    alias = field.alias or name
    path = (*table, alias)
    measured = _measured(field)
    shape = Shape.QUANTITY if measured else _shape(field)
    remark = said.get(tuple(part for part in path if part != "*"), _NOTHING)
    return Key(
        file,
        path,
        shape,
        field.is_required(),
        _default(field, measured, remark.default),
        KINDS[measured.kind].sign if measured else "",
        _limits(field, measured),
        _choices(field.annotation),
        remark.meaning or (said.get((alias,), _NOTHING).meaning if measured else ""),
    )


def _shape(field: FieldInfo) -> Shape:
    kinds = {each for each in _parts(field.annotation) if each is not type(None)}
    choices = _choices(field.annotation)
    if choices and Path not in kinds:
        return Shape.CHOICE
    if Path in kinds:
        return Shape.FILE
    if _holds_several(field.annotation):
        return Shape.NAMES if kinds == {str} else Shape.OTHER
    simple = {bool: Shape.YES, int: Shape.WHOLE, float: Shape.NUMBER, str: Shape.TEXT}
    read_our_way = any(type(mark).__name__ == "PlainValidator" for mark in _marks(field))
    if read_our_way:
        return Shape.DAY if date in kinds else Shape.TEXT
    return simple.get(next(iter(kinds)), Shape.OTHER) if len(kinds) == 1 else Shape.OTHER


def _parts(annotation: Any) -> list[Any]:
    """The plain types within an annotation."""
    inner = [each for each in get_args(annotation) if isinstance(each, type) or get_args(each)]
    if get_origin(annotation) is Literal:
        return []
    return [part for each in inner for part in _parts(each)] if inner else [annotation]


def _choices(annotation: Any) -> tuple[str, ...]:
    if get_origin(annotation) is Literal:
        return tuple(str(each) for each in get_args(annotation))
    return next((found for part in get_args(annotation) if (found := _choices(part))), ())


def _holds_several(annotation: Any) -> bool:
    """Whether it is a list or a table of values."""
    return get_origin(annotation) in (tuple, dict) or any(_holds_several(part) for part in get_args(annotation))


def _section_in(annotation: Any) -> type[Section] | None:
    """Sections that stand as tables in the file, not within another."""
    if isinstance(annotation, type) and issubclass(annotation, Section):
        return annotation
    return next((found for part in get_args(annotation) if (found := _section_in(part))), None)


def _marks(field: FieldInfo) -> list[Any]:
    """What annotations say beside the type, those of ``X | None`` too."""

    def within(annotation: Any) -> list[Any]:
        here = list(getattr(annotation, "__metadata__", ()))
        return here + [mark for part in get_args(annotation) for mark in within(part)]

    return [*field.metadata, *within(field.annotation)]


def _measured(field: FieldInfo) -> Measured | None:
    if _holds_several(field.annotation):
        return None
    return next((mark for mark in _marks(field) if isinstance(mark, Measured)), None)


def _limits(field: FieldInfo, measured: Measured | None) -> str:
    if measured:
        least, most = measured.least, measured.most
        if (least, most) == (-inf, inf):
            return ""
        low, high = written(least, measured.kind), written(most, measured.kind)
        return f"{low} to {high}" if most < inf else f"{low} or more"
    marks = _marks(field)
    low = next((f"{mark.ge:g}" for mark in marks if hasattr(mark, "ge")), "")
    high = next((f"{mark.le:g}" for mark in marks if hasattr(mark, "le")), "")
    return f"{low} to {high}" if low and high else f"{low} or more" if low else f"at most {high}" if high else ""


def _default(field: FieldInfo, measured: Measured | None, told: str) -> str:
    """As the template has it, where the model keeps it in another form."""
    value = field.default
    if value is PydanticUndefined or value is None or value == () or value == "":
        return ""
    if measured:
        return written(value, measured.kind)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if told or isinstance(value, Section):
        return told.strip('"')
    return f"{value:g}" if isinstance(value, float) else str(value)


@cache
def _meanings(file: str) -> dict[tuple[str, ...], _Remark]:
    """What the template says of each key and table: the remark above it, or above the first of several together; under
    a key alone, what is said first of any key of that name.
    """
    found: dict[tuple[str, ...], _Remark] = {}
    table: tuple[str, ...] = ()
    said: list[str] = []
    keys_since = False
    for line in (TEMPLATES / file).read_text(encoding="utf-8").splitlines():
        if header := _HEADER.fullmatch(line):
            table, keys_since = (header[1],), True
            found.setdefault(table, _Remark(" ".join(said)))
        elif key := _KEY.fullmatch(line):
            keys_since = True
            remark = _Remark(" ".join(said), key[3] if key[1] == "# " else "")
            found.setdefault((*table, key[2]), remark)
            if remark.meaning:
                found.setdefault((key[2],), remark)
        elif prose := _PROSE.fullmatch(line):
            said = [*([] if keys_since else said), *([prose[1]] if prose[1] else [])]
            keys_since = False
        else:
            said = []
    return found


def as_typed(key: Key, text: str) -> Any:
    """What a file is to hold for a value as typed in a form; None for an empty one, which takes the key away.

    A bare number is given its unit. Raises ValueError in words for what no TOML could be.
    """
    text = text.strip()
    if not text:
        return None
    if key.shape is Shape.QUANTITY:
        return f"{text} {key.unit}" if re.fullmatch(r"[+-]?[0-9]*\.?[0-9]+", text) else text
    if key.shape is Shape.YES:
        return text == "yes"
    if key.shape is Shape.NAMES:
        return [name.strip() for name in text.split(",") if name.strip()]
    if key.shape in (Shape.WHOLE, Shape.NUMBER) or (key.shape is Shape.CHOICE and text.isdigit()):
        return _number(text, key.shape is Shape.NUMBER)
    if key.shape is Shape.DAY:
        return _day(text)
    return _toml(text) if key.shape is Shape.OTHER else text


def _number(text: str, broken: bool) -> int | float | str:
    try:
        return float(text) if broken else int(text)
    except ValueError:
        return text


def _day(text: str) -> date | str:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text


def _toml(text: str) -> Any:
    import tomllib

    from passage.inputs.toml import key_lines

    try:
        read = tomllib.loads(f"value = {text}\n")
        key_lines(f"value = {text}\n")
    except Exception:  # the reader's own words are of a file, not of a field
        read = {}
    if list(read) != ["value"]:
        raise ValueError("write it as the file has it: text in double quotes, lists in [ ], tables in { }")
    return read["value"]


def as_shown(key: Key, value: Any) -> str:
    """A value of the file as the form shows it; an empty text for none."""
    if value is None:
        return ""
    if key.shape is Shape.YES and isinstance(value, bool):
        return "yes" if value else "no"
    if key.shape is Shape.NAMES and isinstance(value, list) and all(isinstance(each, str) for each in value):
        return ", ".join(value)
    if key.shape is not Shape.OTHER:
        return str(value)
    return as_toml(value)
