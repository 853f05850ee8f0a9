"""Boats of a fleet by the line: what an organiser has of each on the entry form.

    name,length_m,displacement_kg,sail_area_m2,crew,water_l,fuel_l,panels_w,bank_ah,performance_in_100
    Curlew,10.2,6800,48,2,260,120,200,220,88

``name``, ``length_m``, ``crew`` and ``water_l`` are needed; of the rest a column may be missing or a cell empty: what
is not known is told from her length, no fuel is no engine, no bank is no battery to reckon with. Each is made as
``passage new`` makes a boat from a few answers.
"""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING, NamedTuple

from passage.errors import Fault, InputFaults
from passage.inputs.answers import NewBoat, answers_of
from passage.inputs.electrics import ELECTRICS_FILE
from passage.inputs.firstfiles import boat_toml, crew_toml, electrics_toml, stores_toml
from passage.inputs.provisions import STORES_FILE
from passage.inputs.text import read_text
from passage.units import shown

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

NEEDED = ("name", "length_m", "crew", "water_l")
KNOWN = (*NEEDED, "displacement_kg", "sail_area_m2", "fuel_l", "panels_w", "bank_ah", "performance_in_100")
LONGEST_NAME = 40
_COLUMN = {"--boat": "length_m", "--crew": "crew", "--tanks": "water_l", "--power": "bank_ah"}


class Entered(NamedTuple):
    """A boat of the table: her files by name, or why there are none."""

    name: str
    files: Mapping[str, str]
    refused: str = ""


def read_boats(path: Path) -> list[Entered]:
    """The boats of a table, those at fault with the sentence that says so. Raises InputFaults where it is none."""
    lines = [line for line in enumerate(read_text(path).splitlines(), 1) if line[1].strip() and line[1][0] != "#"]
    cells = list(csv.reader(text for _, text in lines))
    head = [cell.strip() for cell in cells[0]] if cells else []
    if faults := list(_head_faults(path.name, lines[0][0] if lines else 0, head)):
        raise InputFaults(faults)
    if len(cells) == 1:
        raise InputFaults([Fault(path.name, 0, "", "no boats", "give a line for each under the names of the columns")])
    found: list[Entered] = []
    for (line, _), row in zip(lines[1:], cells[1:], strict=True):
        found.append(_entered(path.name, line, head, row, {each.name for each in found}))
    return found


def _head_faults(file: str, line: int, head: list[str]) -> Iterator[Fault]:
    for name in head:
        if name not in KNOWN or head.count(name) > 1:
            yield Fault(file, line, name, "no such column, or twice", f"the columns are {', '.join(KNOWN)}")
    for name in NEEDED:
        if name not in head:
            yield Fault(file, line, name, "missing column", f"begin the table with {','.join(NEEDED)}")


def _entered(file: str, line: int, head: list[str], row: list[str], taken: set[str]) -> Entered:
    cells = dict(zip(head, (cell.strip() for cell in row), strict=False))
    name = cells.get("name", "")
    label = name if 0 < len(name) <= LONGEST_NAME and name.isprintable() and name not in taken else f"line {line}"
    try:
        if label != name:
            wanted = f"give each boat a name of her own, of {LONGEST_NAME} letters at most"
            raise InputFaults([Fault(file, line, "name", shown(name) if name else "no name", wanted)])
        if len(row) != len(head):
            raise InputFaults([Fault(file, line, "", f"{len(row)} cells", f"give {len(head)}, as the first line has")])
        return Entered(label, _files(cells))
    except InputFaults as told:
        return Entered(label, {}, "; ".join(_at(file, line, fault) for fault in told.faults))


def _at(file: str, line: int, fault: Fault) -> str:
    """A fault of an answer as one of the table."""
    column = _COLUMN.get(fault.file, fault.key)
    return str(Fault(file, line, column, fault.found, fault.wanted))


def _files(cells: Mapping[str, str]) -> dict[str, str]:
    """Raises InputFaults."""
    get = {key: cells.get(key, "") for key in KNOWN}
    hull = [f"{get['length_m']} m"]
    hull += [f"{get['displacement_kg']} kg"] if get["displacement_kg"] else []
    hull += [f"{get['sail_area_m2']} m2"] if get["sail_area_m2"] else []
    texts = {
        "boat": ", ".join(hull),
        "crew": get["crew"],
        "tanks": f"{get['water_l']} L, " + (f"{get['fuel_l']} L" if _any(get["fuel_l"]) else "none"),
        "power": _power(get["panels_w"], get["bank_ah"]),
    }
    answers = answers_of(texts)
    assert isinstance(answers.boat, NewBoat)
    files = {"boat.toml": boat_toml(answers.boat, answers), "crew.toml": crew_toml(answers.crew)}
    if get["performance_in_100"]:
        files["boat.toml"] += f'\n[helm]\nperformance_mean = "{get["performance_in_100"]} %"\n'
    files[STORES_FILE] = stores_toml()
    if answers.bank_ah:
        files[ELECTRICS_FILE] = electrics_toml(answers)
    return files


def _power(panels_w: str, bank_ah: str) -> str:
    if not _any(bank_ah):
        return "none"
    return f"{panels_w} W, {bank_ah} Ah" if _any(panels_w) else f"none, {bank_ah} Ah"


def _any(cell: str) -> bool:
    """Whether anything but nought or nothing stands in a cell; what is no number is told of later."""
    return cell.strip("0. ") != ""
