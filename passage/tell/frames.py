"""Records as pandas frames, and frames as CSV."""

from __future__ import annotations

from datetime import date, datetime
from enum import Enum
from typing import TYPE_CHECKING, Any

from passage.tell.figures import Count, Figure
from passage.tell.records import Record, holds_records, is_rows, state_of, tellings

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import pandas as pd


def frame(rows: Iterable[Record]) -> pd.DataFrame:
    """A row a record, a column for each value told, rounded as everywhere; what is nested stands as
    ``name.inner``, lists of texts are joined. The frame's ``attrs`` give unit and meaning of each column.
    """
    import pandas as pd

    rows = tuple(rows)
    table = pd.DataFrame([_cells(row) for row in rows])
    if rows:
        known = tellings(type(rows[0]))
        table.attrs["units"] = {name: known[name].measure.unit for name in table.columns if name in known}
        table.attrs["means"] = {name: known[name].means for name in table.columns if name in known}
    return table


def _cells(record: Record, prefix: str = "") -> dict[str, Any]:
    cells: dict[str, Any] = {}
    kind: Any = type(record)
    for name in tellings(kind):
        value = getattr(record, name)
        if isinstance(value, Record):
            cells |= _cells(value, f"{prefix}{name}.")
        elif not holds_records(kind, name):
            cells[f"{prefix}{name}"] = _cell(value)
    return cells


def _cell(value: Any) -> Any:
    if isinstance(value, (Figure, Count)):
        return value.number
    if isinstance(value, Enum):
        return state_of(value)
    if isinstance(value, datetime):
        return datetime(*value.timetuple()[:5], tzinfo=value.tzinfo)  # a plain one: what prints itself is for print
    if isinstance(value, date):
        return date(value.year, value.month, value.day)
    if isinstance(value, (list, tuple)):
        return "; ".join("" if each is None else str(_cell(each)) for each in value)
    return value


def frames(record: Record, path: str = "") -> dict[str, pd.DataFrame]:
    """Every list of records in a record as a frame of its own, by path, and what stands alone under the path itself; a
    list within a row is one too: ``row`` is the number of the row that it belongs to, from 1.
    """
    found: dict[str, pd.DataFrame] = {}
    alone = _cells(record)
    if alone:
        found[path or "."] = frame((record,))
    for name, value in _inner(record):
        found |= _listed(value, f"{path}.{name}".lstrip("."), None)
    return found


def _inner(record: Record, prefix: str = "") -> Iterable[tuple[str, Sequence[Record]]]:
    for name in tellings(type(record)):
        value = getattr(record, name)
        if is_rows(value):
            yield f"{prefix}{name}", value
        elif isinstance(value, Record):
            yield from _inner(value, f"{prefix}{name}.")


def _listed(rows: Sequence[Record], path: str, whose: Sequence[int] | None) -> dict[str, pd.DataFrame]:
    table = frame(rows)
    if whose is not None:
        table.insert(0, "row", list(whose))
    found = {path: table}
    inner: dict[str, tuple[list[Record], list[int]]] = {}
    for number, row in enumerate(rows, start=1):
        for name, parts in _inner(row):
            kept, numbers = inner.setdefault(name, ([], []))
            kept.extend(parts)
            numbers.extend([number] * len(parts))
    for name, (kept, numbers) in inner.items():
        found |= _listed(kept, f"{path}.{name}", numbers)
    return found


def to_csv(table: pd.DataFrame) -> str:
    """A frame as CSV (RFC 4180), times in UTC (ISO 8601); a text that would be a formula to a spreadsheet is quoted."""
    import pandas as pd

    columns = {name: [_harmless(cell) for cell in table[name]] for name in table.columns}
    harmless = pd.DataFrame(columns, dtype=object)  # a whole number stays one where another row has none
    return str(harmless.to_csv(index=False, lineterminator="\r\n"))


def _harmless(cell: Any) -> Any:
    if isinstance(cell, datetime):
        return cell.isoformat(timespec="minutes") if cell == cell else None  # a time that is not there is unlike itself
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@") else cell
