"""Every table of the plan as CSV, in one ZIP archive: a file for each list of rows, and one for what stands alone."""

from __future__ import annotations

import csv
import io
import zipfile
from typing import TYPE_CHECKING, Any

from passage.plan.document import plan_tables
from passage.tell.records import as_json

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.road import Outcome

_UNDATED = (1980, 1, 1, 0, 0, 0)  # the same plan gives the same bytes


def export(outcome: Outcome) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, table in plan_tables(outcome).items():
            for file, rows in _files(name, as_json(table)):
                archive.writestr(zipfile.ZipInfo(f"{file}.csv", _UNDATED), _written(rows))
    return out.getvalue()


def _files(name: str, table: dict[str, Any]) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """The lists of rows in a table, each under its own name, and the values that stand alone as key and value."""
    alone = []
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _files(f"{name}-{key}", value)
        elif _are_rows(value):
            yield from _lists(f"{name}-{key}", value)
        else:
            alone.append({"key": key, "value": _joined(value)})
    if alone:
        yield name, alone


def _lists(name: str, rows: list[dict[str, Any]]) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """A list of rows; and what lists of rows stand in its cells, each a file of its own, in which ``row`` is the number
    of the row above, from 1, and the first cell of that row goes along.
    """
    flat = [_flat(row) for row in rows]
    single = [{key: _joined(cell) for key, cell in row.items() if not _are_rows(cell)} for row in flat]
    if any(single):
        yield name, single
    for key in dict.fromkeys(key for row in flat for key, cell in row.items() if _are_rows(cell)):
        inner = [
            {"row": number, **_first(whose), **part}
            for number, (row, whose) in enumerate(zip(flat, single, strict=True), start=1)
            for part in row.get(key) or ()
        ]
        yield from _lists(f"{name}-{key}", inner)


def _first(cells: dict[str, Any]) -> dict[str, Any]:
    """The cell that names a row: its first, but for the number of the row above it."""
    return dict([each for each in cells.items() if each[0] != "row"][:1])


def _are_rows(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)


def _joined(value: Any) -> Any:
    if isinstance(value, list):
        return "; ".join("" if part is None else str(part) for part in value)
    return value


def _flat(row: dict[str, Any]) -> dict[str, Any]:
    """The row with what is nested in it as cells of its own, their keys joined by a dot."""
    cells: dict[str, Any] = {}
    for key, value in row.items():
        if isinstance(value, dict):
            cells |= {f"{key}.{inner}": cell for inner, cell in _flat(value).items()}
        else:
            cells[key] = value
    return cells


def _written(rows: list[dict[str, Any]]) -> str:
    out = io.StringIO(newline="")
    columns = list(dict.fromkeys(key for row in rows for key in row))
    writer = csv.DictWriter(out, columns, restval="")
    writer.writeheader()
    writer.writerows({key: _harmless(cell) for key, cell in row.items()} for row in rows)
    return out.getvalue()


def _harmless(cell: Any) -> Any:
    """A text that a spreadsheet would take for a formula is set in quotes."""
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@") else cell
