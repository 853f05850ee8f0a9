"""The table of a fleet: which boats sail which tracks, from which days, in which climates; and its parts.

A **cell** is one boat on one track from one departure in one climate. A **block** is what is written at once: the cells
of one boat and track for up to so many departures and climates.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, field, fields, replace
from itertools import product
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from passage.content import content_key, tool_key
from passage.crossings.simulate import given_up_h
from passage.errors import Fault, InputFaults, PassageError
from passage.fleets.boats import Entered, read_boats
from passage.fleets.file import read_fleet
from passage.ground import legs_of
from passage.inputs.folder import Facts, read_folder
from passage.inputs.home import VOYAGE_FILE
from passage.inputs.text import is_file
from passage.inputs.years import has_years, years_at
from passage.sailings.track import lay_track

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import date, datetime

    from passage.fleets.file import Climates, FleetFile

BLOCK = (1, 1, 12, 10)  # boats, tracks, departures, climates of a block
STORES = {"water": "litres", "food": "days", "fuel": "litres", "gas": "g"}  # of every boat, with the unit in print
NOT_OF_THE_SEA = ("home", "voyage_file", "today")  # where facts were read, and when, changes no crossing
AVERAGES = "averages"


class Climate(NamedTuple):
    """The winds of a cell. file: of one's own, None for those that come with the tool; year: None for the averages."""

    label: str
    file: Path | None = None
    year: int | None = None


class Block(NamedTuple):
    """A part of the table, by the places of its cells along each axis."""

    boat: int
    track: int
    departures: range
    climates: range

    @property
    def number(self) -> tuple[int, int, int, int]:
        """Which block it is along each axis."""
        return self.boat, self.track, self.departures.start // BLOCK[2], self.climates.start // BLOCK[3]

    @property
    def where(self) -> tuple[slice, slice, slice, slice]:
        days, climates = (slice(each.start, each.stop) for each in (self.departures, self.climates))
        return slice(self.boat, self.boat + 1), slice(self.track, self.track + 1), days, climates

    @property
    def cells(self) -> list[tuple[int, int]]:
        """Departure and climate of each."""
        return list(product(self.departures, self.climates))


@dataclass(frozen=True)
class Fleet:
    """The whole table. facts: by boat and track, or the sentence that refuses her there; days: that anybody may be out;
    stores: unit in print by the name of all that is drawn down in any boat.
    """

    name: str
    crossings: int
    seed: int
    boats: tuple[str, ...]
    tracks: tuple[str, ...]
    departures: tuple[datetime, ...]
    climates: tuple[Climate, ...]
    facts: Mapping[tuple[int, int], Facts | str]
    days: int
    stores: Mapping[str, str]
    _said: dict[tuple[int, int], str] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def shape(self) -> tuple[int, int, int, int]:
        return len(self.boats), len(self.tracks), len(self.departures), len(self.climates)

    @property
    def cells(self) -> int:
        boats, tracks, departures, climates = self.shape
        return boats * tracks * departures * climates

    @property
    def a_voyage(self) -> Facts:
        """One that can be sailed."""
        return next(each for each in self.facts.values() if not isinstance(each, str))

    def blocks(self) -> Iterator[Block]:
        """All of them, in the order in which they are sailed."""
        _, _, departures, climates = self.shape
        for boat, track, first, second in product(
            range(len(self.boats)),
            range(len(self.tracks)),
            range(0, departures, BLOCK[2]),
            range(0, climates, BLOCK[3]),
        ):
            along = range(first, min(first + BLOCK[2], departures)), range(second, min(second + BLOCK[3], climates))
            yield Block(boat, track, *along)

    def facts_in(self, block: Block, climate: Climate) -> Facts | str:
        """What is sailed, with the climate's own file; or why nothing is."""
        facts = self.facts[block.boat, block.track]
        if isinstance(facts, str) or climate.file is None:
            return facts
        departure = facts.voyage.departure.model_copy(update={"climate": climate.file})
        return replace(facts, voyage=facts.voyage.model_copy(update={"departure": departure}))

    def key(self, block: Block) -> str:
        """Of all that its figures hang on: facts, days, climates, luck, and the tool itself."""
        at = block.boat, block.track
        if at not in self._said:
            facts = self.facts[at]
            self._said[at] = content_key(facts if isinstance(facts, str) else _of_the_sea(facts))
        climates = [tuple(self.climates[each])[1:] for each in block.climates]
        days = [self.departures[each] for each in block.departures]
        return content_key(
            self._said[at], climates, days, self.crossings, self.seed, self.days, list(self.stores), tool_key()
        )


def _of_the_sea(facts: Facts) -> list[object]:
    return [getattr(facts, each.name) for each in fields(facts) if each.name not in NOT_OF_THE_SEA]


def table_of(path: Path, today: date | None = None) -> Fleet:
    """The table that a fleet file asks for. A boat at fault is in it with the reason; raises InputFaults for what is at
    fault in the file itself, and where no boat can be sailed at all.
    """
    file = read_fleet(path)
    tracks = _labelled(file.tracks.folders)
    with tempfile.TemporaryDirectory() as made:
        boats = [*_from_table(file, Path(made)), *_with_folder(file)]
        names = [each[0] for each in boats]
        if len(set(names)) < len(names):
            raise InputFaults([Fault(path.name, 0, "boats", "two boats of one name", "give each a name of her own")])
        facts = {
            (boat, track): _facts(names[boat], boats[boat][1], file.tracks.folders[track], today)
            for boat, track in product(range(len(boats)), range(len(tracks)))
        }
    sound = [each for each in facts.values() if not isinstance(each, str)]
    if not sound:
        raise InputFaults([Fault(path.name, 0, "boats", next(iter(facts.values())), "mend it: no boat can be sailed")])  # type: ignore[arg-type]
    return Fleet(
        name=file.fleet.name,
        crossings=file.fleet.crossings,
        seed=file.fleet.seed,
        boats=tuple(names),
        tracks=tracks,
        departures=file.departures.all or (sound[0].voyage.departure.depart,),
        climates=_climates(path, file.climates, sound[0]),
        facts=facts,
        days=max(_longest_days(each) for each in {id(each.voyage): each for each in sound}.values()),
        stores=_stores(sound),
    )


def _labelled(folders: Sequence[Path]) -> tuple[str, ...]:
    """Names of folders, with as much before them as tells them apart."""
    whole = [folder.resolve() for folder in folders]
    deep = next(n for n in range(1, 100) if len({each.parts[-n:] for each in whole}) == len(whole) or n == 99)
    return tuple("/".join(each.parts[-deep:]) for each in whole)


def _from_table(file: FleetFile, made: Path) -> Iterator[tuple[str, Path | str]]:
    """Boats of the table, each with a folder made for her; or why she has none."""
    for number, entered in enumerate(read_boats(file.boats.file) if file.boats.file else ()):
        yield entered.name, entered.refused or _write(entered, made / str(number))


def _write(entered: Entered, folder: Path) -> Path:
    folder.mkdir()
    for name, text in entered.files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def _with_folder(file: FleetFile) -> Iterator[tuple[str, Path | str]]:
    for name, folder in zip(_labelled(file.boats.folders), file.boats.folders, strict=True):
        there = is_file(folder / "boat.toml")
        yield name, folder if there else f"{folder}: no boat.toml stands there; name the folder of a boat"


def _facts(name: str, boat: Path | str, track: Path, today: date | None) -> Facts | str:
    """The voyage in that boat, or a sentence; a boat of the table is called what the table calls her."""
    if isinstance(boat, str):
        return boat
    if not is_file(track / VOYAGE_FILE):
        return f"{track}: no {VOYAGE_FILE} stands there; name a voyage folder"
    try:
        facts = read_folder(track, today, boat)
    except PassageError as refusal:
        return "; ".join(str(refusal).splitlines())
    hull = facts.boat.hull.model_copy(update={"name": name})
    return replace(facts, boat=facts.boat.model_copy(update={"hull": hull}))


def _climates(path: Path, asked: Climates, facts: Facts) -> tuple[Climate, ...]:
    """Averages and years, of the voyage's own file or of each that is named. Raises InputFaults."""
    found: list[Climate] = []
    for file in asked.files or (None,):
        of = f" of {file.name}" if file else ""
        found += [Climate(f"{AVERAGES}{of}", file)] if asked.averages else []
        if asked.years is None or asked.years[1] > 0:
            years = asked.wanted(_on_record(file or facts.voyage.departure.climate, facts))
            found += [Climate(f"{year}{of}", file, year) for year in years]
    if not found:
        said = " to ".join(map(str, asked.years or ()))
        raise InputFaults([Fault(path.name, 0, "climates.years", said, "no such years are on record")])
    return tuple(found)


def _on_record(file: Path | None, facts: Facts) -> range:
    start = facts.voyage.waypoints[0].position
    return years_at(file if has_years(file) else None, start.latitude_deg, start.longitude_deg).years


def _longest_days(facts: Facts) -> int:
    return ceil(given_up_h(lay_track(legs_of(facts.voyage))) / 24.0) + 1


def _stores(sound: Sequence[Facts]) -> dict[str, str]:
    """What the boats' own files name comes behind."""
    return STORES | {thing.name: thing.unit for facts in sound for thing in facts.provisions.daily}
