"""A forecast as the issuing service writes it: GRIB edition 1 or 2, wind at 10 m, any number of ensemble members.

It is read message by message and kept at the nodes of the track only. Reading needs ECMWF's ecCodes (the extra
``forecast``); the parts of the wind are found by what the message says they are (ecCodes parameters 165 and 166, WMO
GRIB2 0/2/2 and 0/2/3 at 10 m above ground), in m/s by definition.
"""

from __future__ import annotations

import os
import sys
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from mmap import ACCESS_READ, mmap
from typing import TYPE_CHECKING, Any, BinaryIO, NamedTuple

import numpy as np

from passage.errors import Fault, InputFaults, MissingExtra
from passage.inputs.monthly import around, place

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from numpy.typing import NDArray

    from passage.inputs.monthly import Flags, Floats

EAST_PARAMETER, NORTH_PARAMETER = 165, 166
KNOTS_PER_M_S = 3600 / 1852
MOST_POINTS = 7_000_000  # of a field: the whole globe every tenth of a degree; more is a damaged header
MOST_VALUES = 1_500_000_000  # of all fields together: 50 members for 15 days of a box of half an ocean
MOST_MESSAGES = 100_000
LONGEST_GAP = 1_000_000  # bytes between messages; they are told apart letter by letter
STRONGEST_KN = 200.0  # beyond which a field is not wind in m/s
_WANTED = (
    "a GRIB file of the wind at 10 m (east and north parts, two or more times, on latitudes and longitudes) is wanted"
)


@dataclass(frozen=True, eq=False)
class TrackForecast:
    """A forecast at the nodes of a track.

    issued, first, last: time of issue (the analysis it starts from), first and last hour, UTC. valid: (steps,)
    datetime64 in UTC. wind_east_kn, wind_north_kn: (members, steps, nodes), towards east and north positive; 0 where
    ``covered`` (nodes,) is False. half_weight_after_h, no_weight_after_h: the person's trust in it, from issue. file:
    its name; centre: who issued it, as ecCodes abbreviates it.
    """

    issued: datetime
    valid: NDArray[np.datetime64]
    wind_east_kn: NDArray[np.float32]
    wind_north_kn: NDArray[np.float32]
    covered: Flags
    half_weight_after_h: float
    no_weight_after_h: float
    file: str
    centre: str

    @property
    def members(self) -> int:
        return len(self.wind_east_kn)

    @property
    def first(self) -> datetime:
        return _utc(self.valid[0])

    @property
    def last(self) -> datetime:
        return _utc(self.valid[-1])

    def age_h(self, depart: datetime) -> float:
        """How old the forecast is at the departure."""
        return (depart - self.issued) / timedelta(hours=1)


def _utc(time: np.datetime64) -> datetime:
    stamp: datetime = time.astype("datetime64[s]").item()
    return stamp.replace(tzinfo=UTC)


@dataclass(frozen=True, eq=False)
class AreaForecast:
    """A forecast all over an area: lat_deg (ny,) and lon_deg (nx,) ascending degrees, lon_deg in [-180, 180); the nodes
    of ``cells`` are the places of the grid, row by row.
    """

    lat_deg: Floats
    lon_deg: Floats
    cells: TrackForecast


class _Field(NamedTuple):
    """One message: which part of the wind, by whom, when, and the wind at the nodes (nodes,), m/s, NaN where one of the
    grid's places about a node knows none.
    """

    parameter: int
    member: int
    issued: str
    valid: str
    centre: str
    wind: NDArray[np.float32]


class _Grid(NamedTuple):
    """Where the nodes lie in a message's values: flat index and bilinear weight (nodes, 4), and whether it reaches."""

    points: NDArray[np.intp]
    weights: Floats
    reached: Flags


def read_forecast(
    path: Path, lat_deg: Floats, lon_deg: Floats, half_weight_after_h: float = 120.0, no_weight_after_h: float = 240.0
) -> TrackForecast:
    """Read a GRIB file and bring its wind to nodes, in degrees, by bilinear interpolation.

    Raises MissingExtra without ecCodes, and InputFaults for a file that is missing, is no GRIB, is cut short, holds no
    wind at 10 m, mixes issues or grids, or lacks a part of the wind for some time or member.
    """
    fields, grid = _Messages(path, lat_deg, lon_deg).wind()
    if len({field.issued for field in fields}) > 1:
        raise _fault(path.name, "forecasts of several times of issue in one file", "keep the newest one")
    members, valid = sorted({field.member for field in fields}), sorted({field.valid for field in fields})
    if len(valid) < 2:
        raise _fault(path.name, f"wind for a single time ({valid[0]})", _WANTED)
    parts = np.full((2, len(members), len(valid), len(grid.weights)), np.nan, dtype=np.float32)
    given = np.zeros(parts.shape[:3], dtype=bool)
    for field in fields:
        at = (field.parameter - EAST_PARAMETER, members.index(field.member), valid.index(field.valid))
        parts[at], given[at] = field.wind, True
    if not given.all():
        raise _fault(path.name, _missing(given, members, valid), "fetch the file again, whole")
    covered = grid.reached & np.isfinite(parts).all(axis=(0, 1, 2))
    winds = np.where(covered, parts, np.float32(0.0)) * np.float32(KNOTS_PER_M_S)
    if np.abs(winds).max() > STRONGEST_KN:
        raise _fault(path.name, f"wind of {np.abs(winds).max():.0f} kn", _WANTED)
    return TrackForecast(
        issued=_utc(np.datetime64(fields[0].issued)),
        valid=np.array(valid, dtype="datetime64[s]"),
        wind_east_kn=winds[0],
        wind_north_kn=winds[1],
        covered=covered,
        half_weight_after_h=half_weight_after_h,
        no_weight_after_h=no_weight_after_h,
        file=path.name,
        centre=fields[0].centre,
    )


def read_area(
    path: Path, lat_deg: Floats, lon_deg: Floats, half_weight_after_h: float = 120.0, no_weight_after_h: float = 240.0
) -> AreaForecast:
    """As ``read_forecast``, at every pair of latitudes and longitudes (ascending degrees, these in [-180, 180))."""
    lat, lon = (field.ravel() for field in np.meshgrid(lat_deg, lon_deg, indexing="ij"))
    return AreaForecast(lat_deg, lon_deg, read_forecast(path, lat, lon, half_weight_after_h, no_weight_after_h))


def refuse_out_of_time(forecast: TrackForecast, depart: datetime) -> None:
    """InputFaults where the forecast begins after this departure or is over by then."""
    name = forecast.file
    if depart < forecast.first:
        raise _fault(name, f"it starts at {_printed(forecast.first)}", f"she leaves before, at {_printed(depart)}")
    if depart > forecast.last:
        raise _fault(
            name, f"it ended at {_printed(forecast.last)}", f"she leaves after, at {_printed(depart)}; fetch a new one"
        )


def refuse_small_box(
    forecast: TrackForecast, depart: datetime, lat_deg: Floats, lon_deg: Floats, miles: Floats, fastest_kn: float
) -> None:
    """InputFaults where the forecast leaves out water that she may reach while it still has weight. miles: along the
    track, (nodes,); fastest_kn: she is never faster.
    """
    bare = bare_nodes(forecast, depart, miles, fastest_kn)
    if len(bare):
        there = place(float(lat_deg[bare[0]]), float(lon_deg[bare[0]]))
        wanted = "she may be there before it has lost its weight; ask for a larger box"
        raise _fault(forecast.file, f"its box does not cover the track at {there}", wanted)


def bare_nodes(forecast: TrackForecast, depart: datetime, miles: Floats, fastest_kn: float) -> NDArray[np.intp]:
    """Nodes that she may reach while the forecast has weight and that its box leaves out, in order. Arguments as for
    ``refuse_small_box``.
    """
    trusted_h = min(forecast.no_weight_after_h - forecast.age_h(depart), (forecast.last - depart) / timedelta(hours=1))
    return np.flatnonzero(~forecast.covered & (miles <= trusted_h * fastest_kn))


def _printed(time: datetime) -> str:
    return f"{time:%Y-%m-%d %H:%M} UTC"


def _fault(file: str, found: str, wanted: str) -> InputFaults:
    return InputFaults([Fault(file, 0, "", found, wanted)])


def _missing(given: Flags, members: list[int], valid: list[str]) -> str:
    part, member, step = np.argwhere(~given)[0]
    of_member = f" of member {members[member]}" if len(members) > 1 else ""
    return f"the {('east', 'north')[part]} part of the wind{of_member} for {valid[step]} UTC is missing"


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep what the C library writes to the terminal about damaged files from standing before our own sentence."""
    kept = os.dup(2)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)


def load_proj_before_eccodes() -> None:
    """The wheel of eccodes brings a PROJ of its own: loaded first, that would serve a chart, and crash."""
    if "eccodes" not in sys.modules:
        with suppress(ImportError):
            import pyproj  # noqa: F401


class _Messages:
    """The messages of one file."""

    def __init__(self, path: Path, lat_deg: Floats, lon_deg: Floats) -> None:
        try:
            import sqlite3  # noqa: F401  # before eccodes, whose wheel brings an old SQLite that would serve the log

            load_proj_before_eccodes()
            import eccodes
        except (ImportError, RuntimeError) as trouble:  # ecCodes without its library raises RuntimeError
            raise MissingExtra("forecast", "reading a GRIB forecast") from trouble
        self._codes: Any = eccodes
        self._path = path
        self._nodes = lat_deg, lon_deg
        self._grid: tuple[str, _Grid] | None = None
        self._values = 0

    def wind(self) -> tuple[list[_Field], _Grid]:
        """Every field of the wind at 10 m."""
        seen: set[str] = set()
        fields: list[_Field] = []
        try:
            self._refuse_gaps()
            with _quiet(), self._path.open("rb") as file:
                fields += (self._field(message) for message in self._messages(file, seen))
        except self._codes.CodesInternalError as trouble:
            raise _fault(self._path.name, f"this is not a whole GRIB file ({trouble})", "fetch it again") from trouble
        except OSError as trouble:
            raise _fault(self._path.name, "this file cannot be read", _WANTED) from trouble
        if self._grid is None:
            found = f"no wind at 10 m, but {', '.join(sorted(seen)[:8])}" if seen else "this is not a GRIB file"
            raise _fault(self._path.name, found, _WANTED)
        return fields, self._grid[1]

    def _refuse_gaps(self) -> None:
        """InputFaults where the file is for a great part no GRIB, or of messages without number."""
        with self._path.open("rb") as file:
            if not file.seek(0, os.SEEK_END):
                return
            with mmap(file.fileno(), 0, access=ACCESS_READ) as content:
                begins, messages = 0, 0
                while (found := content.find(b"GRIB", begins, begins + LONGEST_GAP)) >= 0 and messages < MOST_MESSAGES:
                    length = max(_length(content[found : found + 16]), 8)
                    begins, messages = min(found + length, len(content)), messages + 1
                if len(content) - begins > LONGEST_GAP:
                    what = "too many messages" if messages == MOST_MESSAGES else "for a great part no GRIB"
                    raise _fault(self._path.name, what if messages else "this is not a GRIB file", _WANTED)

    def _messages(self, file: BinaryIO, seen: set[str]) -> Iterator[Any]:
        """Messages of the wind at 10 m; ``seen`` learns what else there was."""
        while (message := self._codes.codes_grib_new_from_file(file)) is not None:
            try:
                seen.add(str(self._codes.codes_get(message, "shortName")))
                if self._codes.codes_get(message, "paramId") in (EAST_PARAMETER, NORTH_PARAMETER):
                    yield message
            finally:
                self._codes.codes_release(message)

    def _field(self, message: Any) -> _Field:
        def key(name: str, kind: type) -> Any:
            return self._codes.codes_get(message, name, kind)

        numbered = self._codes.codes_is_defined(message, "number")
        points = max(self._codes.codes_get_size(message, name) for name in ("values", "latitudes", "longitudes"))
        self._values += points
        if points > MOST_POINTS:
            raise _fault(self._path.name, "a field of more points than any grid has", "fetch it again")
        if self._values > MOST_VALUES:
            raise _fault(self._path.name, f"more than {MOST_VALUES:,} values", "ask for a smaller box or fewer members")
        self._codes.codes_set(message, "missingValue", 1e20)
        values = self._codes.codes_get_values(message)
        grid = self._located(message, values.size)
        return _Field(
            parameter=key("paramId", int),
            member=key("number", int) if numbered else 0,
            issued=_stamp(key("dataDate", int), key("dataTime", int)),
            valid=_stamp(key("validityDate", int), key("validityTime", int)),
            centre=key("centre", str),
            wind=_between(values, grid),
        )

    def _located(self, message: Any, points: int) -> _Grid:
        """The nodes in this message's grid, which is the same in every message."""
        kind = self._codes.codes_get(message, "gridType", str)
        if kind != "regular_ll":
            raise _fault(
                self._path.name, f"a grid of the kind '{kind}'", "a plain grid of latitudes and longitudes is wanted"
            )
        sort = self._codes.codes_get(message, "md5GridSection", str)
        if self._grid is None:
            lat = np.round(self._codes.codes_get_array(message, "latitudes"), 6)
            lon = np.round((self._codes.codes_get_array(message, "longitudes") + 180.0) % 360.0 - 180.0, 6)
            self._grid = (sort, _grid(lat, lon, *self._nodes))
        if self._grid[0] != sort or points < self._grid[1].points.max():
            raise _fault(self._path.name, "winds on more than one grid", "one grid for all times and members is wanted")
        return self._grid[1]


def _grid(lat: Floats, lon: Floats, node_lat: Floats, node_lon: Floats) -> _Grid:
    """Nodes in a grid whose points are given one by one, in whatever order it is scanned."""
    rows, columns = np.unique(lat), np.unique(lon)
    (_, row, column), weights, reached = around(rows, columns, node_lat, node_lon)
    flat = np.full((len(rows), len(columns)), 0, dtype=np.intp)
    flat[np.searchsorted(rows, lat), np.searchsorted(columns, lon)] = np.arange(lat.size)
    return _Grid(flat[row, column], weights, reached)


def _between(values: Floats, grid: _Grid) -> NDArray[np.float32]:
    """Bilinear at the nodes; what is unknown counts only where it has weight."""
    corners = np.where(grid.weights > 0.0, values[grid.points], 0.0)
    return np.asarray((np.where(corners > 1e19, np.nan, corners) * grid.weights).sum(axis=-1), dtype=np.float32)


def _length(head: bytes) -> int:
    """Bytes of a message as its first section tells, by edition (WMO FM 92); a long one of edition 1 in 120s."""
    if head[7:8] == b"\x02":
        return int.from_bytes(head[8:16], "big")
    told = int.from_bytes(head[4:7], "big")
    return (told & 0x7FFFFF) * 120 - 120 if told & 0x800000 else told


def _stamp(day: int, clock: int) -> str:
    """``2027-02-08T06:00`` from ecCodes' 20270208 and 600."""
    return f"{day // 10000:04d}-{day // 100 % 100:02d}-{day % 100:02d}T{clock // 100:02d}:{clock % 100:02d}"
