"""A season's folder -> the season read whole, with every voyage that it names; all faults at once."""

from __future__ import annotations

import math
import os
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from passage.errors import Fault, InputFaults
from passage.inputs.folder import read_folder
from passage.inputs.home import SEASON_FILE, VOYAGE_FILE
from passage.inputs.season import SeasonFile
from passage.inputs.text import is_file, is_there
from passage.inputs.toml import Misfit, read_document
from passage.units import shown

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from passage.inputs.folder import Facts
    from passage.inputs.toml import Document
    from passage.positions import Position

NEAR_NM = 30.0  # a passage begins no further from where the one before it ends


def _one_of(name: str, names: Sequence[str]) -> str:
    near = get_close_matches(name, names, n=1, cutoff=0.6)
    return f"did you mean {shown(near[0])}?" if near else f"write one of {', '.join(map(shown, names)) or 'none'}"


@dataclass(frozen=True)
class Season:
    """A season read whole. ``facts``: of each passage's voyage, in order."""

    folder: Path
    file: SeasonFile
    facts: tuple[Facts, ...]


def read_season(folder: Path, today: date | None = None) -> Season:
    """``season.toml`` and every voyage it names. Raises InputFaults with every fault of all of them."""
    if not is_there(folder / SEASON_FILE):
        wanted = "'passage season' with --begin makes it of the voyages that lie there"
        raise InputFaults([Fault(SEASON_FILE, 0, "", f"missing in {shown(str(folder))}", wanted)])
    document = read_document(folder / SEASON_FILE)
    file = document.read(SeasonFile)
    faults: list[Fault] = []
    read = [_voyage(folder, document, index, leg.voyage, today, faults) for index, leg in enumerate(file.passages)]
    facts = tuple(each for each in read if each is not None)
    if not faults:
        faults += [document.fault(*misfit) for misfit in _at_odds(file, facts)]
    if faults:
        raise InputFaults(faults)
    return Season(folder, file, facts)


def _voyage(
    folder: Path, document: Document, index: int, named: str, today: date | None, faults: list[Fault]
) -> Facts | None:
    if not is_file(folder / named / VOYAGE_FILE):
        there = is_there(folder / named)
        found = f"{shown(named)} is no folder with a voyage.toml" if there else f"no folder {shown(named)} stands there"
        wanted = "name the folder of a voyage as seen from this one; 'passage new' makes one"
        faults.append(document.fault(("passage", index, "voyage"), found, wanted))
        return None
    try:
        return read_folder(folder / named, today)
    except InputFaults as told:
        faults += [fault._replace(file=_path(f"{named}/{fault.file}")) for fault in told.faults]
        return None


def _at_odds(file: SeasonFile, facts: Sequence[Facts]) -> Iterator[Misfit]:
    """What the voyages, and the names in the file, do not bear out."""
    for index, wall in enumerate(file.walls):
        for place, name in enumerate(wall.keeps_from):
            if name not in file.places:
                yield Misfit(("wall", index, "keeps_from", place), shown(name), _one_of(name, file.places))
    for index, (before, after) in enumerate(pairwise(facts), 1):
        yield from _out_of_turn(index, before, after)
    for index, (leg, its) in enumerate(zip(file.passages, facts, strict=True)):
        names = [item.name for item in its.gear.items]
        for place, name in enumerate(leg.port.mends if leg.port else ()):
            if name not in names:
                key = ("passage", index, "port", "mends", place)
                yield Misfit(key, shown(name), f"gear.toml lists no such thing; {_one_of(name, names)}")


def _out_of_turn(index: int, before: Facts, after: Facts) -> Iterator[Misfit]:
    key = ("passage", index, "voyage")
    if after.boat.hull.name != before.boat.hull.name:
        found = f"a voyage of {shown(after.boat.hull.name)}"
        yield Misfit(key, found, f"the passage before it is of {shown(before.boat.hull.name)}; a season is of one boat")
    leaves, left = after.voyage.departure.depart, before.voyage.departure.depart
    if leaves <= left:
        wanted = f"the passage before it leaves on {left:%Y-%m-%d}; mend depart in its voyage.toml, or the order here"
        yield Misfit(key, f"it leaves on {leaves:%Y-%m-%d}", wanted)
    end, start = before.voyage.waypoints[-1], after.voyage.waypoints[0]
    apart_nm = _apart_nm(end.position, start.position)
    if apart_nm > NEAR_NM:
        found = f"it begins {apart_nm:,.0f} miles from {shown(end.name)}, where the passage before it ends"
        yield Misfit(key, found, "a passage begins where the last one ended; mend the order, or a waypoint")


def _apart_nm(here: Position, there: Position) -> float:
    """On a flat sea, near enough to tell whether two places are one."""
    east_deg = (there.longitude_deg - here.longitude_deg + 180.0) % 360.0 - 180.0
    east_deg *= math.cos(math.radians((here.latitude_deg + there.latitude_deg) / 2.0))
    return 60.0 * math.hypot(there.latitude_deg - here.latitude_deg, east_deg)


def _path(name: str) -> str:
    """As seen from the season's folder: one file of the boat's has one name, whichever voyage tells of it."""
    return Path(os.path.normpath(name)).as_posix()
