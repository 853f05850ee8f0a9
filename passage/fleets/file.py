"""What a fleet file says: which boats, tracks, departures and climates make the table, and how many crossings a cell.

    [fleet]
    name = "Sixty boats to the islands"
    crossings = 200
    seed = 1

    [boats]
    file = "boats.csv"              # hulls and crews by the line; see ``boats.py``
    folders = ["../boats/my-boat"]  # or beside them folders with a boat.toml

    [tracks]
    folders = ["../routes/there"]   # voyage folders; what is in one besides its voyage.toml counts for every boat

    [departures]
    days = ["2027-11-20 12:00"]     # or: first = "2027-11-06 12:00", count = 12, every = "7 d"

    [climates]                      # left out: the averages that come with the tool
    years = "1982 to 1992"          # real years, or "all"
    files = ["mine.nc"]             # climate files of your own

Names of files and folders are as seen from the fleet file.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import AfterValidator, Field, PlainValidator

from passage.inputs.text import is_file
from passage.inputs.toml import Measured, Misfit, Name, NamedFile, Section, read_document, shown_value
from passage.inputs.voyage import departure_at
from passage.units import Misread

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

MOST = 10_000  # boats, tracks or departures of one file
FEWEST_CROSSINGS, MOST_CROSSINGS = 20, 20_000
LARGEST_SEED = 999_999_999


def _moment(given: object) -> datetime:
    if isinstance(given, str):
        return departure_at(given)
    if isinstance(given, datetime):
        return departure_at(f"{given if given.tzinfo is None else given.astimezone(UTC):%Y-%m-%d %H:%M}")
    raise Misread(shown_value(given), 'write day and hour in UTC, such as "2027-02-10 08:00"')


def _years(given: object) -> tuple[int, int] | None:
    """First and last year; None for all there are."""
    if given == "all":
        return None
    said = re.fullmatch(r"\s*(\d{4})(?:\s+to\s+(\d{4}))?\s*", given) if isinstance(given, str) else None
    if said is None or int(said[2] or said[1]) < int(said[1]):
        raise Misread(shown_value(given), 'write "1982 to 1992", one year, or "all"')
    return int(said[1]), int(said[2] or said[1])


def _each_once(given: tuple[Any, ...]) -> tuple[Any, ...]:
    twice = [each for number, each in enumerate(given) if each in given[:number]]
    if twice:
        raise Misread(str(twice[0]), "it is named twice; name each once")
    return given


Moment = Annotated[datetime, PlainValidator(_moment)]
Files = Annotated[tuple[NamedFile, ...], Field(strict=False, max_length=MOST), AfterValidator(_each_once)]
Moments = Annotated[tuple[Moment, ...], Field(strict=False, max_length=MOST), AfterValidator(_each_once)]


class FleetHead(Section):
    """What the whole is called, and how often each cell is sailed."""

    name: Name = "Fleet"
    crossings: int = Field(200, ge=FEWEST_CROSSINGS, le=MOST_CROSSINGS)
    seed: int = Field(1, ge=0, le=LARGEST_SEED)


class Boats(Section):
    """Hulls and crews by the line of a table, and boats that have a folder."""

    file: NamedFile | None = None
    folders: Files = ()

    def misfits(self) -> Iterator[Misfit]:
        if self.file is None and not self.folders:
            yield Misfit((), "no boats", 'name a table of them, file = "boats.csv", or their folders')


class Tracks(Section):
    """Voyage folders."""

    folders: Files = Field(min_length=1)


class Departures(Section):
    """Days one by one, or so many at equal distances; neither: the first track's own."""

    days: Moments = ()
    first: Moment | None = None
    count: int = Field(1, ge=1, le=MOST)
    every_h: Annotated[float, Measured("duration", 1, 8784)] = 7 * 24.0

    def misfits(self) -> Iterator[Misfit]:
        if self.days and self.first is not None:
            yield Misfit(("first",), "days and first together", "give the days one by one, or the first of so many")
        if self.first is None and self.count != 1:
            yield Misfit(("count",), "so many departures from no day", "give the first of them")

    @property
    def all(self) -> tuple[datetime, ...]:
        if self.first is None:
            return self.days
        return tuple(self.first + timedelta(hours=self.every_h * number) for number in range(self.count))


class Climates(Section):
    """averages: also the averages where real years are sailed."""

    averages: bool = True
    years: Annotated[tuple[int, int] | None, PlainValidator(_years)] = (0, -1)
    files: Files = ()

    def misfits(self) -> Iterator[Misfit]:
        if not self.averages and self.years == (0, -1):
            yield Misfit(("averages",), "neither averages nor years", "leave it out, or name the years to sail")
        for number, path in enumerate(self.files):
            if not is_file(path):
                yield Misfit(("files", number), f"no file {path.name} stands there", "mend the name")

    def wanted(self, there: range) -> range:
        """The years to sail of those on record."""
        if self.years is None:
            return there
        return range(max(self.years[0], there.start), min(self.years[1] + 1, there.stop))


class FleetFile(Section):
    """The whole file."""

    fleet: FleetHead = FleetHead()
    boats: Boats
    tracks: Tracks
    departures: Departures = Departures()
    climates: Climates = Climates()


def read_fleet(path: Path) -> FleetFile:
    """Raises InputFaults with everything that is wrong in it."""
    return read_document(path).read(FleetFile)
