"""Records whose fields declare, once, what they mean, their unit and the side they are rounded to.

::

    class Tank(Record):
        tank: str = told("its name")
        usable_l: float = down("what can be drawn, litres")
        level: NDArray[np.float64] = untold()

        @reckoned("days that it gives everybody the survival ration", Side.DOWN)
        def ration_days(self) -> float: ...

A record is a frozen dataclass. Its told fields and reckoned values, in the order in which they stand, are what JSON,
the page of keys, frames and print show; a field that is not told is for reckoning only.
"""

from __future__ import annotations

import sys
from dataclasses import MISSING, Field, dataclass, field
from datetime import date, datetime
from enum import Enum
from functools import cache
from inspect import get_annotations
from types import UnionType
from typing import (
    TYPE_CHECKING,
    Any,
    ClassVar,
    Generic,
    NamedTuple,
    TypeVar,
    Union,
    dataclass_transform,
    get_args,
    get_origin,
    overload,
)

from passage.tell.figures import Count, Figure, Side, Telling, figured, in_words, measure_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    import pandas as pd

T = TypeVar("T")
_KEY = "telling"


def told(
    means: str,
    side: Side = Side.NEAR,
    *,
    unit: str | None = None,
    places: int | None = None,
    default: Any = MISSING,
    kw_only: bool = False,
) -> Any:
    """A field that is told. means: a few words for the page of keys; unit, places: where its name does not say them."""
    return field(default=default, kw_only=kw_only, metadata={_KEY: Telling(means, side, unit, places)})


def up(
    means: str,
    *,
    unit: str | None = None,
    places: int | None = None,
    default: Any = MISSING,
    kw_only: bool = False,
) -> Any:
    """A told figure that is rounded up: a load, a shortage."""
    return told(means, Side.UP, unit=unit, places=places, default=default, kw_only=kw_only)


def down(
    means: str,
    *,
    unit: str | None = None,
    places: int | None = None,
    default: Any = MISSING,
    kw_only: bool = False,
) -> Any:
    """A told figure that is rounded down: what is aboard, what is left."""
    return told(means, Side.DOWN, unit=unit, places=places, default=default, kw_only=kw_only)


class Reckoned(Generic[T]):
    """A value that a record works out of its fields when it is first asked for, told like a field."""

    def __init__(self, work: Callable[[Any], T], telling: Telling) -> None:
        self.work, self.telling = work, telling
        self.__doc__ = work.__doc__ or telling.means

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name
        self.telling = _measured(name, self.telling)

    @overload
    def __get__(self, record: None, owner: type) -> Reckoned[T]: ...
    @overload
    def __get__(self, record: object, owner: type) -> T: ...
    def __get__(self, record: object | None, owner: type) -> Reckoned[T] | T:
        if record is None:
            return self
        value: T = figured(self.work(record), self.telling)
        record.__dict__[self.name] = value  # found there the next time
        return value


def reckoned(
    means: str, side: Side = Side.NEAR, *, unit: str | None = None, places: int | None = None
) -> Callable[[Callable[[Any], T]], Reckoned[T]]:
    """Tell what a method works out, as ``told`` tells a field."""
    return lambda work: Reckoned(work, Telling(means, side, unit, places))


def _telling_of(name: str, value: Any) -> Telling | None:
    """How an attribute in the body of a record's class is told; None where it is not."""
    if isinstance(value, Reckoned):
        return value.telling
    telling = value.metadata.get(_KEY) if isinstance(value, Field) else None
    return _measured(name, telling) if telling is not None else None


def _measured(name: str, telling: Telling) -> Telling:
    """The telling with the measure that the field's name asks for; a name without unit is a plain number."""
    try:
        measure = measure_of(name, telling.unit, telling.places)
    except KeyError:
        measure = measure_of("", None, telling.places)
    return Telling(telling.means, telling.side, telling.unit, telling.places, measure)


@dataclass_transform(frozen_default=True, field_specifiers=(told, up, down, field))
class Record:
    """A frozen dataclass that knows how it is told."""

    _tellings: ClassVar[dict[str, Telling]] = {}

    def __init_subclass__(cls, **given: Any) -> None:
        super().__init_subclass__(**given)
        cls._tellings = cls._tellings | {
            name: telling for name, value in vars(cls).items() if (telling := _telling_of(name, value)) is not None
        }
        dataclass(frozen=True, repr=False)(cls)

    def __post_init__(self) -> None:
        for name, telling in tellings(type(self)).items():
            if name in self.__dict__:
                self.__dict__[name] = figured(self.__dict__[name], telling)

    def to_json(self) -> dict[str, Any]:
        """What is told, as JSON has it: numbers rounded as declared, None for what is not finite, times in ISO 8601."""
        return {name: as_json(getattr(self, name)) for name in tellings(type(self))}

    def printed(self) -> dict[str, Any]:
        """What is told, every number and time as text for print; yes and no stay what they are."""
        return {name: as_printed(getattr(self, name)) for name in tellings(type(self))}

    def to_frame(self) -> pd.DataFrame:
        """The record's rows as a frame: of the first list of records in it, or itself as one row."""
        from passage.tell.frames import frame

        lists = (value for name in tellings(type(self)) if is_rows(value := getattr(self, name)))
        return frame(next(lists, (self,)))

    def frames(self) -> dict[str, pd.DataFrame]:
        """Every list of records within, as a frame each, by its whole path; ``.`` for the values that stand alone."""
        from passage.tell.frames import frames

        return frames(self)

    def __repr__(self) -> str:
        told_now = ((name, getattr(self, name)) for name in tellings(type(self)))
        parts = [f"{name}={_short(value)}" for name, value in told_now]
        return f"{type(self).__name__}({', '.join(parts)})"

    def _repr_html_(self) -> str:
        return str(self.to_frame().head(15).to_html(index=False, border=0, na_rep="–"))


def _short(value: Any) -> str:
    if isinstance(value, Record):
        return f"{type(value).__name__}(...)"
    if is_rows(value):
        return f"{len(value)} x {type(value[0]).__name__}"
    text = in_words(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


def tellings(record: type[Record]) -> dict[str, Telling]:
    """How each told field and reckoned value of a record's class is told, by name, in the order in which they stand."""
    return record._tellings


R = TypeVar("R", bound=Record)


class Rows(tuple[R, ...]):
    """Records of one kind, as a tuple that is a table too."""

    def to_frame(self) -> pd.DataFrame:
        """A row a record, a column for each value told; see ``passage.tell.frames.frame``."""
        from passage.tell.frames import frame

        return frame(self)

    def __repr__(self) -> str:
        return f"{len(self)} x {type(self[0]).__name__}" if self else "no rows"

    def _repr_html_(self) -> str:
        return str(self.to_frame().head(15).to_html(index=False, border=0, na_rep="–"))


def is_rows(value: Any) -> bool:
    return isinstance(value, (list, tuple)) and bool(value) and all(isinstance(each, Record) for each in value)


@cache
def holds_records(record: Any, name: str) -> bool:
    """Whether what is told under a name in a class of records is a record or a list of them, be there none."""
    return any(isinstance(each, type) and issubclass(each, Record) for each in _options(_kind(record, name)[0]))


def as_json(value: Any) -> Any:
    if isinstance(value, Record):
        return value.to_json()
    if isinstance(value, (Figure, Count)):
        return value.number
    if isinstance(value, datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Enum):
        return state_of(value)
    if isinstance(value, dict):
        return {str(name): as_json(inner) for name, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_json(each) for each in value]
    return value


def state_of(value: Enum) -> str:
    """A state as JSON and frames have it: a few letters, where print has whole words."""
    return value.value if isinstance(value.value, str) else value.name.lower().replace("_", " ")


def as_printed(value: Any) -> Any:
    if isinstance(value, Record):
        return value.printed()
    if isinstance(value, dict):
        return {str(name): as_printed(inner) for name, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_printed(each) for each in value]
    return value if isinstance(value, bool) else in_words(value)


class Key(NamedTuple):
    """One key of the JSON: its whole path, ``[]`` behind what is a list; what it means; unit and side in words."""

    path: str
    means: str
    unit: str
    side: Side


def keys_of(record: type[Record], path: str = "") -> Iterator[Key]:
    """Every key that a record's JSON may have, what is nested in it included."""
    for name, telling in tellings(record).items():
        kind, listed = _kind(record, name)
        whole = f"{path}.{name}".lstrip(".") + ("[]" if listed else "")
        yield Key(whole, telling.means, telling.measure.unit if _is_number(kind) else "", telling.side)
        for inner in (each for each in _options(kind) if isinstance(each, type) and issubclass(each, Record)):
            yield from keys_of(inner, whole)


def _is_number(kind: Any) -> bool:
    return any(each in (float, int) for each in _options(kind))


def _options(kind: Any) -> tuple[Any, ...]:
    return get_args(kind) if get_origin(kind) in (Union, UnionType) else (kind,)


def _kind(record: type[Record], name: str) -> tuple[Any, bool]:
    """The type of a told value, without the list around it, and whether there is one."""
    home = next(base for base in record.__mro__ if name in _notes(base) or name in vars(base))
    inner = vars(home).get(name)
    annotation = get_annotations(inner.work)["return"] if isinstance(inner, Reckoned) else _notes(home)[name]
    kind = eval(annotation, vars(sys.modules[home.__module__])) if isinstance(annotation, str) else annotation
    listed = next((each for each in _options(kind) if get_origin(each) in (list, tuple)), None)
    return (get_args(listed)[0], True) if listed is not None else (kind, False)


def _notes(base: type) -> dict[str, Any]:
    return get_annotations(base) if base is not object else {}
