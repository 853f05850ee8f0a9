"""The central noun: the crossings. One schema table says what each variable is; everything else is read from it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    import xarray as xr
    from numpy.typing import NDArray

    from passage.sailings.track import Track

SAILING, MOTORING, HOVE_TO, RUNNING_OFF, STANDING_OFF, ARRIVED, AT_ANCHOR = range(7)
SAMPLING_TAIL = 0.025  # on either side of an interval that holds 19 times in 20
STATE_WORDS = ("sailing", "motoring", "hove to", "running off", "standing off", "arrived", "at anchor")


@dataclass(frozen=True)
class Variable:
    """One row of the schema: name, dimensions, unit (UDUNITS), sense of the sign, meaning, CF standard name or '', and
    whatever else CF wants said of it.
    """

    name: str
    dims: tuple[str, ...]
    unit: str
    sign: str
    meaning: str
    standard_name: str = ""
    more: Mapping[str, Any] = field(default_factory=dict)


SCHEMA = (
    Variable("member", ("member",), "1", "", "which crossing, from 0", "realization"),
    Variable(
        "hour",
        ("hour",),
        "hours since {depart:%Y-%m-%d %H:%M:%S}",
        "",
        "when the hour begins, UTC",
        "time",
        {"calendar": "standard", "axis": "T"},
    ),
    Variable(
        "distance_nm",
        ("member", "hour"),
        "nmi",
        "grows towards landfall",
        "distance along the track when the hour begins",
    ),
    Variable("speed_kn", ("member", "hour"), "kt", "positive towards landfall", "speed made good along the track"),
    Variable("wind_east_kn", ("member", "hour"), "kt", "positive towards east", "hourly mean wind", "eastward_wind"),
    Variable("wind_north_kn", ("member", "hour"), "kt", "positive towards north", "hourly mean wind", "northward_wind"),
    Variable(
        "state",
        ("member", "hour"),
        "1",
        "",
        "what the boat does: " + ", ".join(f"{i} {w}" for i, w in enumerate(STATE_WORDS)),
        more={
            "flag_values": np.arange(len(STATE_WORDS), dtype=np.uint8),
            "flag_meanings": " ".join(words.replace(" ", "_") for words in STATE_WORDS),
        },
    ),
    Variable(
        "lat_deg", ("member", "hour"), "degrees_north", "positive north", "latitude when the hour begins", "latitude"
    ),
    Variable(
        "lon_deg", ("member", "hour"), "degrees_east", "positive east", "longitude when the hour begins", "longitude"
    ),
    Variable("course_deg", ("member", "hour"), "degree", "clockwise from true north", "course of the track"),
    Variable("air_c", ("member", "hour"), "degC", "", "climatological air temperature", "air_temperature"),
    Variable("sea_c", ("member", "hour"), "degC", "", "climatological sea temperature", "sea_surface_temperature"),
    Variable("arrival_h", ("member",), "h", "", "hours from departure to landfall; infinite where she never arrives"),
    Variable("performance", ("member",), "1", "", "this crossing's share of the polar's speed, drawn once"),
    Variable("motoring_h", ("member",), "h", "", "hours under engine for propulsion"),
)


@dataclass(frozen=True)
class Crossings:
    """A thousand simulated passages of one track from one departure.

    Arrays named as in SCHEMA, (member, hour) or (member,); hours are whole hours since ``depart`` (UTC). A crossing
    stays at the end of the track, in state ARRIVED, with speed and wind 0, once it has arrived; on a stop on the way it
    lies so in state AT_ANCHOR. ``air_by_day_c``, ``sea_by_day_c`` and ``vapour_by_day_g_kg`` (specific humidity) hold
    what all members share on a day and at a node of the track: see ``at_node``.
    """

    depart: datetime
    track: Track
    seed: int
    distance_nm: NDArray[np.float32]
    speed_kn: NDArray[np.float32]
    wind_east_kn: NDArray[np.float32]
    wind_north_kn: NDArray[np.float32]
    state: NDArray[np.uint8]
    arrival_h: NDArray[np.float64]
    performance: NDArray[np.float64]
    air_by_day_c: NDArray[np.float32]  # (day, node)
    sea_by_day_c: NDArray[np.float32]  # (day, node)
    vapour_by_day_g_kg: NDArray[np.float32] | None = None  # (day, node), None where the climate has no humidity

    @property
    def members(self) -> int:
        return len(self.distance_nm)

    def to_xarray(self) -> xr.Dataset:
        """All of it as an ``xarray.Dataset`` over (member, hour), with units and CF attributes."""
        return to_dataset(self)

    def __repr__(self) -> str:
        arrived = int(np.isfinite(self.arrival_h).sum())
        return f"{self.members:,} crossings from {self.depart:%Y-%m-%d %H%M} UTC, seed {self.seed}, {arrived:,} arrive"

    @property
    def hours(self) -> int:
        return int(self.distance_nm.shape[1])

    @property
    def under_way(self) -> NDArray[np.bool_]:
        """True in every hour that begins before landfall, (member, hour); hours standing off are under way, those of a
        stop on the way are not.
        """
        return np.asarray(self.state < ARRIVED)

    @property
    def at_sea(self) -> NDArray[np.float64]:
        """The part of each hour that is before landfall, (member, hour)."""
        return np.asarray(np.clip(self.arrival_h[:, None] - np.arange(self.hours), 0.0, 1.0))

    @property
    def at_sea_by_hour(self) -> NDArray[np.float64]:
        """Boats at sea in each hour, (hour,): a boat counts for the part of it before her landfall."""
        return np.asarray(np.sum([some.at_sea.sum(axis=0) for _, some in in_blocks(self)], axis=0))

    @property
    def typical_run_nm(self) -> NDArray[np.float32]:
        """Distance along the track of the middle crossing when each hour begins, (hour,)."""
        days = (self.distance_nm[:, first : first + DAY_H] for first in range(0, self.hours, DAY_H))
        return np.concatenate([np.quantile(day, 0.5, axis=0, method="inverted_cdf") for day in days])

    @property
    def motoring_h(self) -> NDArray[np.float64]:
        return np.asarray((self.state == MOTORING).sum(axis=1), dtype=np.float64)

    @property
    def node(self) -> NDArray[np.intp]:
        """Index of the nearest track node, (member, hour)."""
        return self._nearest(self.distance_nm)

    def node_at(self, hours: NDArray[np.int64]) -> NDArray[np.intp]:
        """Index of the nearest track node at some hours alone, (member, hours)."""
        return self._nearest(self.distance_nm[:, hours])

    def _nearest(self, distance_nm: NDArray[np.float32]) -> NDArray[np.intp]:
        index = (distance_nm / np.float32(self.track.spacing_nm) + np.float32(0.5)).astype(np.intp)
        return np.minimum(index, self.track.nodes - 1)

    @property
    def air_c(self) -> NDArray[np.float32]:
        return at_node(self.air_by_day_c, self.node)

    @property
    def sea_c(self) -> NDArray[np.float32]:
        return at_node(self.sea_by_day_c, self.node)

    @property
    def wind_kn(self) -> NDArray[np.float32]:
        return np.hypot(self.wind_east_kn, self.wind_north_kn)


BY_MEMBER = ("distance_nm", "speed_kn", "wind_east_kn", "wind_north_kn", "state", "arrival_h", "performance")
BY_HOUR = BY_MEMBER[:5]  # (member, hour) each
SHARED = ("air_by_day_c", "sea_by_day_c", "vapour_by_day_g_kg")  # (day, node) each
DAY_H = 24  # from departure on; what a month changes by is not felt within one
BLOCK_H = 300_000  # hours of all its members together: what is reckoned of a block stays small, and near the processor


def first_of(crossings: Crossings, members: int) -> Crossings:
    """The first so many crossings; a member is the same whether few or many are sailed."""
    return crossings if members >= crossings.members else some_of(crossings, slice(members))


def some_of(crossings: Crossings, who: slice | NDArray[np.intp]) -> Crossings:
    """Some of the crossings alone."""
    return replace(crossings, **{name: getattr(crossings, name)[who] for name in BY_MEMBER})


def blocks(members: int, hours: int) -> Iterator[slice]:
    """So many members a few hundred at a time."""
    size = max(BLOCK_H // max(hours, 1), 1)
    return (slice(first, min(first + size, members)) for first in range(0, members, size))


def in_blocks(crossings: Crossings) -> Iterator[tuple[slice, Crossings]]:
    """The crossings a few hundred at a time, and which they are, for what is reckoned hour by hour and not kept."""
    return ((who, some_of(crossings, who)) for who in blocks(crossings.members, crossings.hours))


def with_others(crossings: Crossings, who: NDArray[np.intp], others: Crossings) -> Crossings:
    """The crossings with those of some members, ``who``, by others of the same track and departure."""
    hours = max(crossings.hours, others.hours)
    warmer = crossings if crossings.hours == hours else others
    in_port = {"distance_nm": np.float32(crossings.track.length_nm), "state": np.uint8(ARRIVED)}
    rows: dict[str, Any] = {name: getattr(warmer, name) for name in SHARED}
    for name in BY_HOUR:
        whole: NDArray[Any] = getattr(crossings, name)
        field = np.full((hours, crossings.members), in_port.get(name, 0), whole.dtype).T  # hour by hour in memory
        field[:, : crossings.hours] = whole
        field[who] = in_port.get(name, 0)
        field[who, : others.hours] = getattr(others, name)
        rows[name] = field
    arrival_h = crossings.arrival_h.copy()
    arrival_h[who] = others.arrival_h
    return replace(crossings, **rows, arrival_h=arrival_h)


def days_of(hours: int) -> int:
    """How many days so many hours take up, the last one begun."""
    return -(-hours // DAY_H)


def at_node(by_day: NDArray[Any], node: NDArray[np.intp]) -> NDArray[Any]:
    """Pick from a shared (day, node) table for every member and hour; node: (member, hour)."""
    day = np.arange(node.shape[1]) // DAY_H
    picked: NDArray[Any] = by_day.ravel().take(day * by_day.shape[1] + node, mode="clip")
    return picked


def passage_time_h(arrival_h: NDArray[np.float64], share: float) -> float:
    """Passage time that ``share`` of the crossings do not exceed (0.5 the typical one, 0.95 the slow end of 1 in 20).

    The k-th shortest of n with k = ceil(share n): a crossing that never arrives counts as infinitely long, so that
    the answer may be infinite, and is then told as "not reached".
    """
    ordered = np.sort(arrival_h)
    rank = int(np.ceil(share * len(ordered) - 1e-9))
    return float(ordered[max(rank, 1) - 1])


def worse_end(values: NDArray[np.float64], slow_share: float) -> float:
    """The value that ``slow_share`` of the crossings reach at least, more being better: 1 in 20 fares worse still."""
    return -passage_time_h(-values, slow_share)


def positions(crossings: Crossings) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Latitude, longitude (-180 to 180) and true course of every member and hour, each (member, hour)."""
    track = crossings.track
    lon = np.unwrap(track.lon_deg, period=360.0)
    latitude = np.interp(crossings.distance_nm, track.distance_nm, track.lat_deg)
    longitude = np.interp(crossings.distance_nm, track.distance_nm, lon)
    return latitude, (longitude + 180.0) % 360.0 - 180.0, track.course_deg[crossings.node]


def sampling_range_h(arrival_h: NDArray[np.float64], share: float) -> tuple[float, float]:
    """Between which passage times the quantile of ``passage_time_h`` lies with 19 chances in 20, were there no end of
    crossings: the least and the greatest by which it might be out because only so many were sailed.

    Order statistics: the true quantile lies between the j-th and the k-th shortest with the chance that a binomial
    count of n with that share is from j to k - 1, whatever the distribution (David and Nagaraja, Order Statistics,
    section 7.1, from memory); j is the highest, k the lowest with a fortieth or less beyond. Zero and infinite where
    there are too few crossings to say.
    """
    ordered, count = np.sort(arrival_h), len(arrival_h)
    at_most = chance_of_at_most(count, share)
    below, beyond = int((at_most <= SAMPLING_TAIL).sum()), int((at_most < 1.0 - SAMPLING_TAIL).sum()) + 1
    least = float(ordered[below - 1]) if below > 0 else 0.0
    return least, float(ordered[beyond - 1]) if beyond <= count else float("inf")


def chance_of_at_most(count: int, share: float) -> NDArray[np.float64]:
    """That a binomial count of so many is 0, 1 ... n or fewer, (n + 1,); share: of one, between 0 and 1.

    Each chance from the one before, in logarithms. To load scipy for it took a command longer than to read the voyage.
    """
    successes = np.arange(1.0, count + 1.0)
    steps = np.log((count + 1.0 - successes) / successes) + np.log(share / (1.0 - share))
    return np.cumsum(np.exp(np.concatenate([[0.0], np.cumsum(steps)]) + count * np.log1p(-share)))


def to_dataset(crossings: Crossings) -> xr.Dataset:
    """The crossings as an ``xarray.Dataset`` over (member, hour), every attribute taken from SCHEMA."""
    import xarray as xr

    latitude, longitude, course = positions(crossings)
    derived: dict[str, NDArray[Any]] = {
        "member": np.arange(crossings.members),
        "hour": np.arange(crossings.hours),
        "lat_deg": latitude,
        "lon_deg": longitude,
        "course_deg": course,
    }
    data = {
        row.name: xr.DataArray(
            derived.get(row.name, getattr(crossings, row.name, None)), dims=row.dims, attrs=_attributes(row, crossings)
        )
        for row in SCHEMA
    }
    dataset = xr.Dataset(data).set_coords(["lat_deg", "lon_deg"])
    dataset.attrs = {
        "Conventions": "CF-1.11",
        "title": "Simulated crossings of one track; not a forecast",
        "departure_utc": crossings.depart.isoformat(),
        "seed": crossings.seed,
    }
    return validated(dataset)


def _attributes(row: Variable, crossings: Crossings) -> dict[str, Any]:
    told = {"long_name": row.meaning, "sign": row.sign, "standard_name": row.standard_name}
    return {"units": _unit(row, crossings.depart), **{key: value for key, value in told.items() if value}, **row.more}


def _unit(row: Variable, depart: datetime) -> str:
    return row.unit.format(depart=depart)


def validated(dataset: xr.Dataset) -> xr.Dataset:
    """The dataset itself if it agrees with SCHEMA, else a ValueError that names the variable."""
    for row in SCHEMA:
        if row.name not in dataset:
            raise ValueError(f"crossings lack the variable '{row.name}'")
        if dataset[row.name].dims != row.dims:
            raise ValueError(f"'{row.name}' has dimensions {dataset[row.name].dims}, the schema says {row.dims}")
        found, unit = dataset[row.name].attrs.get("units"), _unit(row, datetime.fromisoformat(dataset.departure_utc))
        if found != unit:
            raise ValueError(f"'{row.name}' is in {found!r}, the schema says {unit!r}")
    return dataset
