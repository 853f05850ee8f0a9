"""A season begun: its file made of the voyages that lie in one folder, for the crew to mend."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.errors import Fault, InputFaults
from passage.inputs.firstfiles import quoted
from passage.inputs.folder import read_folder
from passage.inputs.home import SEASON_FILE, VOYAGE_FILE
from passage.inputs.making import write_together
from passage.inputs.schemas import schema_texts
from passage.inputs.season import MOST_PASSAGES
from passage.inputs.text import is_there
from passage.units import shown

if TYPE_CHECKING:
    from pathlib import Path

    from passage.inputs.folder import Facts

LEAST = 2  # passages make a season


def begin_season(folder: Path) -> Path:
    """Write ``season.toml`` and its schema: every voyage of the folder in the order in which they leave, and a week in
    the port after each. Raises InputFaults, nothing written, where it stands there already, with every fault of the
    voyages, and where they are too few or too many.
    """
    path = folder / SEASON_FILE
    if is_there(path):
        raise InputFaults([Fault(SEASON_FILE, 0, "", "stands there already", "mend it by hand, or move it away")])
    places = sorted(each.parent for each in folder.glob(f"*/{VOYAGE_FILE}"))
    if not LEAST <= len(places) <= MOST_PASSAGES:
        found = f"{len(places)} folders with a {VOYAGE_FILE} in {shown(str(folder))}"
        wanted = f"a season has {LEAST} to {MOST_PASSAGES} passages; 'passage new' makes a voyage"
        raise InputFaults([Fault(SEASON_FILE, 0, "", found, wanted)])
    texts = schema_texts({SEASON_FILE: season_toml(folder.resolve().name, _read(places))})
    write_together({folder / name: text for name, text in texts.items()})
    return path


def _read(places: list[Path]) -> dict[str, Facts]:
    read, faults = {}, []
    for place in places:
        try:
            read[place.name] = read_folder(place)
        except InputFaults as told:
            faults += [fault._replace(file=f"{place.name}/{fault.file}") for fault in told.faults]
    if faults:
        raise InputFaults(faults)
    return read


def season_toml(name: str, voyages: dict[str, Facts]) -> str:
    """The season's file. voyages: by their folders' names."""
    lines = [
        "# A season: passages one after another, days in port between them, the walls of the year. The order is that",
        "# in which the voyages leave; the days in port are nobody's yet. Mend them, and then: passage season",
        "",
        "[season]",
        f"name = {quoted(name)}",
    ]
    in_turn = sorted(voyages.items(), key=lambda each: each[1].voyage.departure.depart)
    for number, (folder, facts) in enumerate(in_turn):
        lines += ["", "[[passage]]", f"voyage = {quoted(folder)}  # leaves {facts.voyage.departure.depart:%Y-%m-%d}"]
        lines += ["", "[passage.port]", f"name = {quoted(facts.voyage.waypoints[-1].name)}", 'stay = "7 days"']
        lines += [f"# {each}" for each in IN_PORT] if number == 0 else []
    return "\n".join([*lines, "", *(f"# {each}" if each else "#" for each in WALL), ""])


IN_PORT = (
    'haul_out = "7 days"   # on top of the stay',
    'visa = "90 days"      # the most that she may stay',
    'restock = ["water", "food", "fuel", "gas", "battery", "daily"]  # what can be had; the rest is carried over',
    'mends = ["liferaft"]  # gear of gear.toml that is renewed or serviced there',
)
WALL = (
    "[[wall]]              # days on which she is not to be there: a season of storms, an insurance that ends",
    'name = "hurricane season"',
    "from = 2028-06-01",
    "until = 2028-11-30",
    'keeps_from = ["..."]  # folders of passages, names of ports; all of them if left out',
)
