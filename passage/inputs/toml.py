"""TOML files read into frozen facts, every fault told with its line and its key.

A fact is a `Section`: one class that says what a table may hold. The key in the file is the name of the field without
the suffix that names its unit, so ``gust_limit = "40 kn"`` becomes ``gust_limit_kn = 40.0``.
"""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import dataclass, field
from difflib import get_close_matches
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple, TypeVar, get_args, get_origin

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    PlainValidator,
    ValidationError,
    ValidationInfo,
    model_validator,
)
from pydantic_core import core_schema

from passage.errors import Fault, InputFaults
from passage.inputs.text import is_file, read_text
from passage.inputs.toml_lines import KeyPath as KeyPath
from passage.inputs.toml_lines import TooDeep
from passage.inputs.toml_lines import key_lines as key_lines
from passage.units import KINDS, Misread, quantity, shown, written

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from pydantic import GetCoreSchemaHandler
    from pydantic.fields import FieldInfo
    from pydantic_core import ErrorDetails

LONG_H = 200.0  # a duration that may be so long is told in days
LONGEST_NAME = 80  # letters: what fits a heading

Fact = TypeVar("Fact", bound="Section")

_SUFFIX = re.compile("(?:" + "|".join(sorted((k.suffix for k in KINDS.values()), key=len, reverse=True)) + "|_years)$")


_ENDLESS_KEY = re.compile(r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){100}""")


def key_of(name: str) -> str:
    """The key in the file for a field's name: ``gust_limit_kn`` -> ``gust_limit``."""
    return _SUFFIX.sub("", name)


class Misfit(NamedTuple):
    """A key that is well written but does not fit its neighbours. key: its path from the section that says so."""

    key: KeyPath
    found: str
    wanted: str


class Misfits(ValueError):
    """All the misfits of one section."""

    def __init__(self, misfits: Sequence[Misfit]) -> None:
        self.misfits = misfits
        super().__init__("; ".join(f"{written_key(m.key)}: {m.found}; {m.wanted}" for m in misfits))


class Section(BaseModel):
    """One table of a TOML file as a frozen fact. From code, fields are given by name, as floats."""

    model_config = ConfigDict(
        frozen=True,
        defer_build=True,  # a command pays only for the files it reads
        extra="forbid",
        strict=True,
        allow_inf_nan=False,
        str_strip_whitespace=True,
        alias_generator=key_of,
        validate_by_name=True,
        validate_by_alias=True,
    )

    def misfits(self) -> Iterator[Misfit]:
        """What does not fit together though every key is well written; for subclasses to say."""
        yield from ()

    @model_validator(mode="after")
    def _fits_together(self) -> Section:
        if misfits := tuple(self.misfits()):
            raise Misfits(misfits)
        return self


@dataclass(frozen=True)
class Measured:
    """Marks a float that a file gives as a number with a unit of ``kind``; limits are in the unit it is kept in.

    For one kept in another unit than its kind's own, wire in millimetres, a breaking load in newtons: factor, how many
    of it go into the kind's own; unit, in which limits are told, if not in the kind's own. such_as: a text that reads.
    """

    kind: str
    least: float = -inf
    most: float = inf
    factor: float = 1.0
    unit: str = ""
    such_as: str = ""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        limits = "" if (self.least, self.most) == (-inf, inf) else f", {self._range().removeprefix('give ')}"
        return {"type": "string", "description": f"A number with its unit{limits}", "examples": [self.example]}

    def read(self, given: object, info: ValidationInfo) -> float:
        """The float that ``given`` stands for: text from a file, a number from code."""
        value = self._value(given, from_file=info.context is not None)
        if not self.least <= value <= self.most:
            raise Misread(shown_value(given), f"give {self._range()}")
        return value

    @property
    def example(self) -> str:
        """A value that a file may have here."""
        example = self.such_as or KINDS[self.kind].example
        if self.kind == "duration" and self.most >= LONG_H:
            return "5 days"
        if self.least <= quantity(example, self.kind) * self.factor <= self.most:
            return example
        return written(float(f"{(self.least + self.most) / 2.0:.1g}"), self.kind)

    def _value(self, given: object, *, from_file: bool) -> float:
        if isinstance(given, str):
            return quantity(given, self.kind, self.example) * self.factor
        if isinstance(given, (int, float)) and not isinstance(given, bool) and not from_file:
            return float(given)
        raise Misread(shown_value(given), f'write a number with its unit in double quotes, such as "{self.example}"')

    def _range(self) -> str:
        if self.most == inf:
            return f"{self._limit(self.least)} or more"
        return f"between {self._limit(self.least)} and {self._limit(self.most)}"

    def _limit(self, limit: float) -> str:
        return f"{limit:g} {self.unit}" if self.unit else written(limit / self.factor, self.kind)


def millimetres(least: float, most: float, such_as: str) -> Measured:
    """A thickness or a bore, kept in millimetres."""
    return Measured("length", least, most, 1000.0, "mm", such_as)


def _on_one_line(text: str) -> str:
    if not text.isprintable():
        raise Misread(shown(text), "write plain text on one line")
    return text


def named_file(given: object, info: ValidationInfo) -> Path:
    """The path of a file named in a file, which stands in the same folder unless its name says otherwise; of a boat's
    file, in the voyage's folder first.
    """
    if isinstance(given, Path):
        return given
    if not isinstance(given, str) or not given.strip() or not given.isprintable():
        raise Misread(shown_value(given), "give the name of a file in double quotes")
    context = info.context or {}
    first, last = Path(context.get("first", "."), given), Path(context.get("folder", ""), given)
    return first if "first" in context and is_file(first) else last


def each_its_own(key: str) -> Callable[[tuple[Fact, ...]], tuple[Fact, ...]]:
    """A check that no two entries of a list of tables carry the same ``key``."""

    def check(entries: tuple[Fact, ...]) -> tuple[Fact, ...]:
        given = [getattr(entry, key) for entry in entries]
        twice = [index for index, value in enumerate(given) if value in given[:index]]
        if twice:
            wanted = f"another has this {key}; give each its own"
            raise Misfits([Misfit((index, key), shown(given[index]), wanted) for index in twice])
        return entries

    return check


Name = Annotated[str, Field(min_length=1, max_length=LONGEST_NAME), AfterValidator(_on_one_line)]
NamedFile = Annotated[Path, PlainValidator(named_file)]


class Lent(NamedTuple):
    """Where an entry stands that another file lent: file, line, what it is called there, and the line of the TOML file
    that names the other.
    """

    file: str
    line: int
    name: str
    named_at: int


@dataclass(frozen=True)
class Document:
    """A TOML file taken apart: its name, its values, and the line on which each key stands.

    lent: entries of lists that another file gave; notes: sentences about what was made of it; above: the file that was
    laid over this one, whose values are among ``values`` and whose lines are its own.
    """

    file: str
    folder: Path
    values: Mapping[str, Any]
    lines: Mapping[KeyPath, int]
    lent: Mapping[KeyPath, Lent] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    above: Document | None = None

    def line(self, key: KeyPath) -> int:
        """The line of the key, or of the nearest table around it; 0 where there is none."""
        return self.lines.get(self._nearest(key), 0)

    def _nearest(self, key: KeyPath) -> KeyPath:
        while key and key not in self.lines:
            key = key[:-1]
        return key

    def fault(self, key: KeyPath, found: str, wanted: str) -> Fault:
        """A fault at a key of this file, or of the file that lent the entry."""
        if entry := self.lent.get(key[:2]):
            wanted = f"{wanted} ({self.file} line {entry.named_at} names this file)"
            return Fault(entry.file, entry.line, entry.name, found, wanted)
        if self.above and len(self.above._nearest(key)) >= max(len(self._nearest(key)), 1):
            return self.above.fault(key, found, wanted)
        return Fault(self.file, self.line(key), written_key(key), found, wanted)

    def read(self, fact: type[Fact]) -> Fact:
        """The file as a fact. Raises InputFaults with everything that is wrong in it."""
        context = {"folder": self.folder, **({"first": self.above.folder} if self.above else {})}
        try:
            return fact.model_validate(self.values, context=context, by_alias=True, by_name=False)
        except ValidationError as error:
            raise InputFaults(list(_faults(self, fact, error))) from None


def read_document(path: Path) -> Document:
    """Read a TOML file. Raises InputFaults where it is missing, not text, or not TOML."""
    return document_of(read_text(path), path)


def document_of(text: str, path: Path) -> Document:
    """The text of the TOML file at ``path`` taken apart. Raises InputFaults where it is not TOML."""
    if endless := _ENDLESS_KEY.search(text):  # the reader would take minutes over it
        line = text.count("\n", 0, endless.start()) + 1
        raise InputFaults([Fault(path.name, line, "", "not TOML: a key of more than 100 parts", "mend it here")])
    try:
        return Document(path.name, path.parent, tomllib.loads(text), key_lines(text))
    except (RecursionError, TooDeep) as deep:
        line = deep.args[0] if isinstance(deep, TooDeep) else 0
        found, wanted = "not TOML: keys or brackets nested too deep", "mend it here" if line else "mend it"
    except ValueError as error:
        from passage.inputs.plain_toml import in_plain_words  # loaded for a broken file alone

        found, wanted, line = in_plain_words(*_syntax_error(str(error), text))
    raise InputFaults([Fault(path.name, line, "", found, wanted)])


def read_fact(path: Path, fact: type[Fact]) -> Fact:
    """Read a TOML file as a fact. Raises InputFaults with everything that is wrong in it."""
    return read_document(path).read(fact)


def written_key(key: KeyPath) -> str:
    """A key as the person would write it: ``("tank", 1, "name")`` -> ``tank[2].name``."""
    parts = (f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in key)
    return "".join(parts).removeprefix(".")


def shown_value(value: object) -> str:
    """A value for a message, as the file would write it, cut short where it is long."""
    if isinstance(value, str):
        return shown(value)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, (list, tuple)):
        return "a list"
    if isinstance(value, bool):
        return json.dumps(value)
    if isinstance(value, int) and abs(value) >= 10**20:
        return "a number of more than twenty digits"
    return str(value)


def _syntax_error(message: str, text: str) -> tuple[str, str, int]:
    """The message without its place, the text, and the line the message names."""
    found = re.sub(r"\s*\(at .*\)$", "", message)
    at = re.search(r"\(at line (\d+), column \d+\)$", message)
    end = len(text.rstrip().splitlines())
    return found, text, int(at[1]) if at else end if "end of document" in message else 0


def _faults(document: Document, fact: type[Section], error: ValidationError) -> Iterator[Fault]:
    errors = error.errors(include_url=False)
    misspelt = {
        (*entry["loc"][:-1], meant)
        for entry in errors
        if entry["type"] == "extra_forbidden" and (meant := _meant_key(fact, entry["loc"]))
    }
    for entry in errors:
        if (entry["type"] == "missing" and entry["loc"] in misspelt) or _repeats(entry, errors):
            continue
        yield from (
            document.fault((*entry["loc"], *misfit.key), misfit.found, misfit.wanted)
            for misfit in _misfits(fact, entry)
        )


def _repeats(entry: ErrorDetails, errors: Sequence[ErrorDetails]) -> bool:
    """Whether a list is called short only because its entries are themselves at fault."""
    loc = entry["loc"]
    return entry["type"] == "too_short" and any(
        other["loc"][: len(loc)] == loc for other in errors if other is not entry
    )


def _misfits(fact: type[Section], entry: ErrorDetails) -> Sequence[Misfit]:
    """What one pydantic error says, in a person's words."""
    cause = entry.get("ctx", {}).get("error")
    if isinstance(cause, Misfits):
        return cause.misfits
    if isinstance(cause, Misread):
        return [Misfit((), cause.found, cause.wanted)]
    if entry["type"] == "missing":
        return [Misfit((), "missing", _how_to_add(fact, entry["loc"]))]
    if entry["type"] == "extra_forbidden":
        return [Misfit((), "unknown key", _where_it_belongs(fact, entry["loc"]))]
    return [Misfit((), shown_value(entry["input"]), _right_value(entry))]


SYNONYMS = {  # what a key is called elsewhere
    "weight": "mass",
    "loa": "length_overall",
    "length": "length_overall",
    "lwl": "waterline_length",
    "draft": "draught",
    "lat": "position",
    "latitude": "position",
    "lon": "position",
    "longitude": "position",
    "coordinates": "position",
    "where": "place",
    "location": "place",
    "gender": "sex",
    "date": "depart",
    "start": "from",
    "begins": "from",
    "end": "until",
    "ends": "until",
    "number": "count",
    "quantity": "count",
    "volume": "capacity",
    "size": "capacity",
}


_RIGHT_VALUE = {
    "string_type": "write text in double quotes",
    "string_too_short": "write at least one letter",
    "string_too_long": "write at most {max_length} letters",
    "int_type": "write a whole number without quotes",
    "float_type": "write a number without quotes",
    "float_parsing": "write a number alone, without quotes and without a unit",
    "finite_number": "write an ordinary number",
    "bool_type": "write true or false without quotes",
    "literal_error": "write {expected}",
    "greater_than_equal": "give {ge:g} or more",
    "less_than_equal": "give {le:g} or less",
    "too_short": "give at least {min_length} of them",
    "too_long": "give at most {max_length} of them",
    "tuple_type": "write it as a table of its own, with its name in double brackets: [[{key}]]",
    "model_type": "write it as a table of its own, with its name in brackets: [{key}]",
}


def _right_value(entry: ErrorDetails) -> str:
    names = [part for part in entry["loc"] if isinstance(part, str)]
    if entry["type"] == "tuple_type" and isinstance(entry["input"], str):
        return f"write a list, in square brackets: {names[-1]} = [{json.dumps(entry['input'], ensure_ascii=False)}]"
    known = _RIGHT_VALUE.get(entry["type"], entry["msg"].replace("{", "{{").replace("}", "}}"))
    return known.format(**entry.get("ctx", {}), key=".".join(names))


def _how_to_add(fact: type[Section], loc: KeyPath) -> str:
    key = str(loc[-1])
    holder = _section_at(fact, loc[:-1])
    field = _field(holder, key)
    if _section_in(field.annotation):
        return f"add a table {_header(key, holder)}"
    measured = next((mark for mark in field.metadata if isinstance(mark, Measured)), None)
    value = f'"{measured.example}"' if measured else "..."
    return f"add a line such as {key} = {value}"


def _field(section: type[Section], key: str) -> FieldInfo:
    return next(field for field in section.model_fields.values() if field.alias == key)


def _header(key: str, section: type[Section]) -> str:
    """How the table ``key`` is begun: in double brackets where there may be several."""
    return f"[[{key}]]" if get_origin(_field(section, key).annotation) is tuple else f"[{key}]"


def _where_it_belongs(fact: type[Section], loc: KeyPath) -> str:
    if len(loc) > 1 and loc[-1] in _sections(fact):
        return (
            f"begin it as {_header(str(loc[-1]), fact)}, or write it above the first table: what follows one is in it"
        )
    if homes := _homes(fact, loc[-1]):
        inside = any("." in home for home in homes)
        return f"{'begin it as' if inside else 'it belongs in'} {' or '.join(homes)}"
    if meant := _meant_key(fact, loc):
        return f"did you mean '{meant}'?"
    return f"the keys here are {', '.join(_keys_of(_section_at(fact, loc[:-1])))}"


def _homes(fact: type[Section], key: str | int) -> list[str]:
    """The headers of the tables where a key would be known; of one that is a table itself, how it is begun there."""
    homes = [(name, section) for name, section in _sections(fact).items() if key in _keys_of(section)]
    return [f"[{name}.{key}]" if key in _sections(section) else _header(name, fact) for name, section in homes]


def _meant_key(fact: type[Section], loc: KeyPath) -> str | None:
    """The key that an unknown one was meant to be, unless it is the key of another table."""
    if _homes(fact, loc[-1]):
        return None
    keys = _keys_of(_section_at(fact, loc[:-1]))
    if (meant := SYNONYMS.get(str(loc[-1]).lower(), "")) in keys:
        return meant
    close = get_close_matches(str(loc[-1]), keys, n=1, cutoff=0.7)
    return close[0] if close else None


def _keys_of(section: type[Section]) -> list[str]:
    return [field.alias or name for name, field in section.model_fields.items()]


def _sections(section: type[Section]) -> dict[str, type[Section]]:
    """The tables directly inside a section, by key."""
    inside = ((field.alias or name, _section_in(field.annotation)) for name, field in section.model_fields.items())
    return {key: found for key, found in inside if found}


def _section_at(fact: type[Section], loc: KeyPath) -> type[Section]:
    for part in loc:
        if isinstance(part, str):
            fact = _sections(fact)[part]
    return fact


def _section_in(annotation: Any) -> type[Section] | None:
    """The section inside ``Section``, ``tuple[Section, ...]`` or ``Section | None``."""
    if isinstance(annotation, type) and issubclass(annotation, Section):
        return annotation
    return next((found for part in get_args(annotation) if (found := _section_in(part))), None)
