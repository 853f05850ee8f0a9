"""A voyage folder read whole: three files and a polar table become the facts, or every fault in them is told."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from math import inf
from typing import TYPE_CHECKING, TypeVar

from passage.errors import Fault, InputFaults
from passage.inputs.boat import Boat
from passage.inputs.crew import Crew
from passage.inputs.polar import PolarTable, read_polar
from passage.inputs.text import is_file
from passage.inputs.toml import Document, read_document
from passage.inputs.voyage import Voyage
from passage.units import shown, written

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from passage.inputs.toml import Fact

Read = TypeVar("Read")

FILES = ("voyage.toml", "boat.toml", "crew.toml")
WATER_KG_PER_L, DIESEL_KG_PER_L = 1.0, 0.84


@dataclass(frozen=True)
class Facts:
    """Everything a person wrote. ``polar`` is None where the boat file asks for an estimate.

    ``voyage_file``: the voyage file taken apart, for faults that show only once the track is laid.
    """

    folder: Path
    voyage_file: Document
    voyage: Voyage
    boat: Boat
    crew: Crew
    polar: PolarTable | None


def read_folder(folder: Path) -> Facts:
    """Read ``voyage.toml``, ``boat.toml``, ``crew.toml`` and the polar table that the boat file names.

    Raises InputFaults with every fault of every file at once.
    """
    if not folder.is_dir():
        found = "this is a file" if is_file(folder) else "no such folder"
        raise InputFaults([Fault(str(folder), 0, "", found, f"name a folder that holds {', '.join(FILES)}")])
    faults: list[Fault] = []
    voyage_file, boat_file, crew_file = (_told(partial(read_document, folder / name), faults) for name in FILES)
    voyage, boat, crew = (
        _fact(voyage_file, Voyage, faults),
        _fact(boat_file, Boat, faults),
        _fact(crew_file, Crew, faults),
    )
    polar = _polar(boat_file, boat, faults)
    if voyage and voyage_file:
        faults += _climate_faults(voyage, voyage_file)
    if boat and crew and boat_file:
        faults += _load_faults(boat, crew, boat_file)
    if faults or voyage_file is None or voyage is None or boat is None or crew is None:
        raise InputFaults(faults)
    return Facts(folder, voyage_file, voyage, boat, crew, polar)


def _told(read: Callable[[], Read], faults: list[Fault]) -> Read | None:
    """What ``read`` brings back, or None and its faults added."""
    try:
        return read()
    except InputFaults as told:
        faults += told.faults
        return None


def _fact(document: Document | None, fact: type[Fact], faults: list[Fault]) -> Fact | None:
    return _told(partial(document.read, fact), faults) if document else None


def _polar(document: Document | None, boat: Boat | None, faults: list[Fault]) -> PolarTable | None:
    """The table that the boat file names, read even where the rest of that file is at fault."""
    choice = document.values.get("polar") if document else None
    name = choice.get("file") if isinstance(choice, dict) else None
    if document is None or not isinstance(name, str) or not name.strip() or not name.isprintable():
        return None
    hull_speed_kn = boat.hull.hull_speed_kn if boat else inf
    return _told(partial(read_polar, document.folder / name, hull_speed_kn), faults)


def _climate_faults(voyage: Voyage, document: Document) -> list[Fault]:
    path = voyage.departure.climate
    if path is None or is_file(path):
        return []
    found = f"no file {shown(path.name)} stands there"
    return [document.fault(("voyage", "climate"), found, "mend the name, or leave the key out for the grids shipped")]


def _load_faults(boat: Boat, crew: Crew, document: Document) -> list[Fault]:
    """Crew and liquids alone against the payload, before food and gear are weighed."""
    water_l = boat.usable_water_l + boat.emergency_water.volume_l
    load_kg = crew.mass_kg + water_l * WATER_KG_PER_L + boat.usable_fuel_l * DIESEL_KG_PER_L
    if boat.hull.payload_kg is None or load_kg <= boat.hull.payload_kg:
        return []
    found = f"a payload of {written(boat.hull.payload_kg, 'mass')}"
    wanted = f"crew, water and fuel alone weigh {written(round(load_kg), 'mass')}"
    return [document.fault(("boat", "payload"), found, wanted)]
