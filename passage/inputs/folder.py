"""A voyage folder read whole, with the folder of the boat that it names: the facts, or every fault in them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from math import inf
from typing import TYPE_CHECKING, TypeVar

from passage.errors import Fault, InputFaults
from passage.inputs.anchorage import ANCHORAGE_FILE, AnchorageFile
from passage.inputs.boat import DIESEL_KG_PER_L, WATER_KG_PER_L, Boat
from passage.inputs.crew import Crew
from passage.inputs.electrics import ELECTRICS_FILE, Electrics
from passage.inputs.gear import GEAR_FILE, read_gear
from passage.inputs.home import VOYAGE_FILE, Home, home_of, renamed
from passage.inputs.polar import read_polar
from passage.inputs.provisions import read_provisions
from passage.inputs.route import with_route
from passage.inputs.search import TRACK_FILE, TrackLimits
from passage.inputs.text import is_file, is_there
from passage.inputs.toml import read_document
from passage.inputs.troubles import TROUBLES_FILE, read_troubles
from passage.inputs.unedited import unedited
from passage.inputs.voyage import Voyage
from passage.inputs.watch import WATCH_FILE, read_watch
from passage.units import shown, written

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date
    from pathlib import Path

    from passage.inputs.boat import Hull
    from passage.inputs.gear import Gear
    from passage.inputs.pantry import Pantry
    from passage.inputs.polar import PolarTable
    from passage.inputs.provisions import Provisions
    from passage.inputs.toml import Document, Fact
    from passage.inputs.troubles import Troubles
    from passage.inputs.watch import Watch

Read = TypeVar("Read")

FILES = (VOYAGE_FILE, "boat.toml", "crew.toml")


@dataclass(frozen=True)
class Facts:
    """Everything a person wrote, and where. ``polar`` is None where the boat file asks for an estimate.

    ``voyage_file``: the voyage file taken apart, for faults that show only once the track is laid. Below ``polar``
    stand the files a folder may lack: ``electrics`` and ``anchorage`` are then None, the others all defaults.
    ``today``: the day on which they were read, against which gear and papers are held.
    """

    home: Home
    voyage_file: Document
    voyage: Voyage
    boat: Boat
    crew: Crew
    polar: PolarTable | None
    limits: TrackLimits
    provisions: Provisions
    pantry: Pantry
    electrics: Electrics | None
    watch: Watch
    gear: Gear
    anchorage: AnchorageFile | None
    troubles: Troubles
    today: date

    @property
    def folder(self) -> Path:
        """The voyage's own folder, in which her log is kept."""
        return self.home.folder

    def __repr__(self) -> str:
        names = [waypoint.name for waypoint in self.voyage.waypoints]
        return f"Facts of {self.voyage.departure.name!r}: {self.boat.hull.name}, {names[0]} to {names[-1]}"


def read_folder(folder: Path, today: date | None = None, in_boat: Path | None = None) -> Facts:
    """Read ``voyage.toml``, ``boat.toml``, ``crew.toml``, the polar table that the boat file names, and the files that
    may be there. ``today``: the last day on which gear can have been serviced; the computer's if left out.
    in_boat: the folder of another boat to sail the voyage in.

    Raises InputFaults with every fault of every file at once.
    """
    if not folder.is_dir():
        found = "this is a file" if is_file(folder) else "no such folder"
        raise InputFaults([Fault(str(folder), 0, "", found, f"name a folder that holds {', '.join(FILES)}")])
    faults: list[Fault] = []
    voyage_file = _told(partial(read_document, folder / VOYAGE_FILE), faults)
    home = _told(partial(home_of, folder, voyage_file), faults) or Home(folder)
    if in_boat is not None:
        home = Home(folder, in_boat, str(in_boat), lent=home.boat is None, in_place=True)
    if home.boat is None and faults and voyage_file:
        _voyage(voyage_file, faults)
        raise InputFaults(faults)  # without her boat's folder all that should stand there would be called missing
    voyage_file, voyage = _voyage(voyage_file, faults)
    boat, crew, polar = _asked_for(home, voyage, voyage_file, faults)
    roles = tuple(person.role for person in crew.people) if crew else None
    today = today or datetime.now(UTC).date()
    besides = _may_be_there(home, roles, today, boat.hull if boat else None, faults)
    faults += _told(lambda: list(unedited(home)), faults) or []
    if faults or voyage_file is None or voyage is None or boat is None or crew is None or besides is None:
        raise InputFaults(faults)
    return Facts(home, voyage_file, voyage, boat, crew, polar, *besides, today)


def _asked_for(
    home: Home, voyage: Voyage | None, voyage_file: Document | None, faults: list[Fault]
) -> tuple[Boat | None, Crew | None, PolarTable | None]:
    """Boat, crew and polar table, None for each at fault and the faults added."""
    unread = voyage_file is None and is_there(home.folder / VOYAGE_FILE)  # it may name the folder where they are
    boat_file, crew_file = (
        None if unread and not home.has(name) else _told(partial(home.must, name), faults) for name in FILES[1:]
    )
    boat, crew = _fact(boat_file, Boat, faults), _fact(crew_file, Crew, faults)
    polar = _polar(home, boat_file, boat, faults)
    if voyage and voyage_file:
        faults += _file_faults(voyage, voyage_file)
    if boat and crew and boat_file:
        faults += _load_faults(boat, crew, boat_file)
    return boat, crew, polar


def _may_be_there(
    home: Home, roles: tuple[str, ...] | None, today: date, hull: Hull | None, faults: list[Fault]
) -> tuple[TrackLimits, Provisions, Pantry, Electrics | None, Watch, Gear, AnchorageFile | None, Troubles] | None:
    """The files that a folder may lack, or None and the faults added."""
    limits = _told(lambda: home.document(TRACK_FILE).read(TrackLimits), faults)
    stores = _told(partial(read_provisions, home), faults)
    electrics = _if_there(home, ELECTRICS_FILE, Electrics, faults)
    watch = _told(lambda: read_watch(home.document(WATCH_FILE), roles), faults)
    gear = _told(lambda: read_gear(home.document(GEAR_FILE), today, hull), faults)
    anchorage = _anchorage(home, faults)
    troubles = _told(lambda: read_troubles(home.document(TROUBLES_FILE), _load_names(home, electrics)), faults)
    if limits is None or stores is None or watch is None or gear is None or troubles is None:
        return None
    return limits, *stores, electrics, watch, gear, anchorage, troubles


def _load_names(home: Home, electrics: Electrics | None) -> tuple[str, ...] | None:
    """What draws current; None where the electrics file is at fault."""
    if electrics is None and home.has(ELECTRICS_FILE):
        return None
    return tuple(load.name for load in electrics.loads) if electrics else ()


def _if_there(home: Home, name: str, fact: type[Fact], faults: list[Fault]) -> Fact | None:
    """What a file that may be missing says."""
    return _told(lambda: home.document(name).read(fact), faults) if home.has(name) else None


def _anchorage(home: Home, faults: list[Fault]) -> AnchorageFile | None:
    """None too where only the boat's anchors are known and not where she will lie; or, of another boat than the
    voyage's own, only the anchorage and not her anchors.
    """
    document = _told(partial(home.document, ANCHORAGE_FILE), faults)
    if document is None or not (is_there(home.folder / ANCHORAGE_FILE) or "anchorage" in document.values):
        return None
    if home.in_place and "anchor" not in document.values:
        return None
    return _fact(document, AnchorageFile, faults)


def _told(read: Callable[[], Read], faults: list[Fault]) -> Read | None:
    """What ``read`` brings back, or None and its faults added."""
    try:
        return read()
    except InputFaults as told:
        faults += told.faults
        return None


def _fact(document: Document | None, fact: type[Fact], faults: list[Fault]) -> Fact | None:
    return _told(partial(document.read, fact), faults) if document else None


def _voyage(document: Document | None, faults: list[Fault]) -> tuple[Document | None, Voyage | None]:
    """The voyage, its waypoints from a GPX file where the voyage file names one; without them the rest is read all the
    same, for its faults.
    """
    filled = _told(partial(with_route, document), faults) if document else None
    rest: list[Fault] = []
    voyage = _fact(filled or document, Voyage, rest)
    by_route = document is not None and "route" in document.values
    faults += [fault for fault in rest if not (by_route and fault.key == "waypoint")]
    return filled, voyage if filled else None


def _polar(home: Home, document: Document | None, boat: Boat | None, faults: list[Fault]) -> PolarTable | None:
    """The table that the boat file names, read even where the rest of that file is at fault."""
    choice = document.values.get("polar") if document else None
    name = choice.get("file") if isinstance(choice, dict) else None
    if document is None or not isinstance(name, str) or not name.strip() or not name.isprintable():
        return None
    path = home.folder / name if is_file(home.folder / name) else document.folder / name
    try:
        return read_polar(path, boat.hull.hull_speed_kn if boat else inf)
    except InputFaults as told:
        faults += renamed(home, path, told)
        return None


def _file_faults(voyage: Voyage, document: Document) -> list[Fault]:
    """Files that the voyage names and that are not there."""
    named = (
        (("voyage", "climate"), voyage.departure.climate, "the key out for the grids shipped"),
        (("voyage", "current"), voyage.departure.current_file, "the key out for the averages shipped"),
        (("forecast", "file"), voyage.forecast.file, "the key out to sail in averages alone"),
    )
    return [
        document.fault(key, f"no file {shown(path.name)} stands there", f"mend the name, or leave {otherwise}")
        for key, path, otherwise in named
        if path is not None and not is_file(path)
    ]


def _load_faults(boat: Boat, crew: Crew, document: Document) -> list[Fault]:
    """Crew and liquids alone against the payload, before food and gear are weighed."""
    water_l = boat.usable_water_l + boat.emergency_water.volume_l
    load_kg = crew.mass_kg + water_l * WATER_KG_PER_L + boat.usable_fuel_l * DIESEL_KG_PER_L
    if boat.hull.payload_kg is None or load_kg <= boat.hull.payload_kg:
        return []
    found = f"a payload of {written(boat.hull.payload_kg, 'mass')}"
    wanted = f"crew, water and fuel alone weigh {written(round(load_kg), 'mass')}"
    return [document.fault(("boat", "payload"), found, wanted)]
