"""Every table of the plan as CSV, in one ZIP archive: a file for each list of rows, and one for what stands alone."""

from __future__ import annotations

import csv
import io
import zipfile
from typing import TYPE_CHECKING, Any

from passage.plan.document import plan_tables

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.road import Outcome

_UNDATED = (1980, 1, 1, 0, 0, 0)  # the same plan gives the same bytes


def export(outcome: Outcome) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, table in plan_tables(outcome).items():
            for file, rows in _files(name, table):
                archive.writestr(zipfile.ZipInfo(f"{file}.csv", _UNDATED), _written(rows))
    return out.getvalue()


def _files(name: str, table: dict[str, Any]) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """The lists of rows in a table, each under its own name, and the values that stand alone as key and value."""
    alone = []
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _files(f"{name}-{key}", value)
        elif isinstance(value, list) and value and all(isinstance(row, dict) for row in value):
            yield f"{name}-{key}", [_flat(row) for row in value]
        else:
            alone.append({"key": key, "value": "; ".join(map(str, value)) if isinstance(value, list) else value})
    if alone:
        yield name, alone


def _flat(row: dict[str, Any]) -> dict[str, Any]:
    """A row of single cells; what is nested in it joins its key by a dot."""
    cells: dict[str, Any] = {}
    for key, value in row.items():
        if isinstance(value, dict):
            cells |= {f"{key}.{inner}": cell for inner, cell in _flat(value).items()}
        elif isinstance(value, list):
            cells[key] = "; ".join(map(str, value))
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
