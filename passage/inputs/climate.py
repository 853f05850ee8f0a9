"""Monthly climatology of wind, temperature and cloud: shipped or a person's own, and read along a track.

A CF-NetCDF file is read by standard names (CF standard name table), never by variable names:
``eastward_wind``, ``northward_wind`` and ``wind_speed`` (the mean of the speeds, not the speed of the mean)
must be there; ``air_temperature``, ``sea_surface_temperature``, ``specific_humidity``, ``cloud_area_fraction`` and
``number_of_observations`` may be.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.errors import Fault, InputFaults, RouteRefused
from passage.inputs.monthly import (
    SPEED,
    Flags,
    Floats,
    Scale,
    Wanted,
    around,
    known_mean,
    named_months,
    place,
    read_corners,
    read_monthly,
    refuse_outside,
)
from passage.inputs.rice import rice_mean, sigma_from_means
from passage.shipped import shipped

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from numpy.typing import ArrayLike

FEW_REPORTS = 30  # ship reports of a month's cell below which its wind says little
STEADIEST = 0.985  # of the speed of the mean wind to the mean speed: beyond it the design's rule drops a cell
LIKE_OURS = (0.6, 1.6)  # share of the shipped mean wind outside which a person's own is doubted: common practice
_WARMTH = {
    name: Scale(1.0) for name in ("degC", "deg_C", "degree_Celsius", "degrees_Celsius", "Celsius", "degree_C", "°C")
}
_WARMTH |= {name: Scale(1.0, -273.15) for name in ("K", "kelvin", "Kelvin")}
_VAPOUR = {name: Scale(1.0) for name in ("g kg-1", "g/kg", "g kg^-1")}
_VAPOUR |= {name: Scale(1000.0) for name in ("1", "kg kg-1", "kg/kg", "kg kg^-1")}
_SHARE = {"1": Scale(1.0), "%": Scale(0.01), "percent": Scale(0.01)}
_COUNT = {"1": Scale(1.0), "count": Scale(1.0)}

_VARIABLES = {
    "eastward_wind": Wanted(True, SPEED, -100, 100, "kn"),
    "northward_wind": Wanted(True, SPEED, -100, 100, "kn"),
    "wind_speed": Wanted(True, SPEED, 0, 100, "kn"),
    "air_temperature": Wanted(False, _WARMTH, -80, 60, "degC"),
    "sea_surface_temperature": Wanted(False, _WARMTH, -5, 45, "degC"),
    "specific_humidity": Wanted(False, _VAPOUR, -0.1, 60, "g/kg"),
    "cloud_area_fraction": Wanted(False, _SHARE, -0.01, 1.01, "(fraction)"),
    "number_of_observations": Wanted(False, _COUNT, 0, 1e12, "reports"),
}


_NEEDED = {"air_c": "air temperature", "cloud": "cloud"}


@dataclass(frozen=True, eq=False)
class Climate:
    """Monthly means on a grid of latitudes and longitudes, both ascending degrees, spacing even or not.

    lat_deg: (ny,); lon_deg: (nx,) in [-180, 180). All else (12, ny, nx), January first, NaN where unknown.
    wind_east_kn, wind_north_kn: components of the vector mean, towards east and north positive.
    wind_speed_kn: mean of the speeds. air_c, sea_c: degrees Celsius. cloud: share of the sky, 0-1. reports:
    ship reports behind the month's cell. few_reports: the wind there was mended from its surroundings or
    rests on fewer than FEW_REPORTS. source: the file's own title; file: its name. vapour_g_kg: specific humidity, grams
    of water vapour in a kilogram of air; None where the file has none.
    """

    lat_deg: Floats
    lon_deg: Floats
    wind_east_kn: Floats
    wind_north_kn: Floats
    wind_speed_kn: Floats
    air_c: Floats
    sea_c: Floats
    cloud: Floats
    reports: Floats
    few_reports: Flags
    source: str
    file: str
    vapour_g_kg: Floats | None = None


@dataclass(frozen=True, eq=False)
class TrackClimate:
    """The climate at the nodes of a track; every array (12, nodes), for the middles of January to December.

    wind_east_kn, wind_north_kn: vector mean, towards east and north positive. sigma_kn: spread of each of
    them. speed_kn: mean speed that the three make together. air_c, sea_c, cloud (0-1): NaN where the file is
    mute; vapour_g_kg: the same, None where it has no humidity at all. few_reports: at least half of what was
    interpolated rests on few ship reports. lent: what of air temperature and cloud the file does not know everywhere,
    and is taken there from the shipped grids.
    """

    wind_east_kn: Floats
    wind_north_kn: Floats
    sigma_kn: Floats
    speed_kn: Floats
    air_c: Floats
    sea_c: Floats
    cloud: Floats
    few_reports: Flags
    vapour_g_kg: Floats | None = None
    lent: tuple[str, ...] = ()


# ---------------------------------------------------------------- reading a file


def read_climate(path: Path | None = None) -> Climate:
    """The climate in a CF-NetCDF file of twelve monthly means; without a path, the one shipped with the tool.

    Longitudes may run by any convention and latitudes either way; dimensions may stand in any order. The
    units of every variable must be declared. Raises InputFaults, every fault of the file at once.
    """
    return _read(path) if path else _shipped()


@cache
def _shipped() -> Climate:
    """Read once in a process, which a fleet or a notebook asks of it thousands of times; nobody writes into it."""
    climate = _read(shipped("climatology_demo") / "climatology.nc")
    for grid in vars(climate).values():
        if isinstance(grid, np.ndarray):
            grid.setflags(write=False)
    return climate


def _read(path: Path) -> Climate:
    lat_deg, lon_deg, grids, title = read_monthly(path, _VARIABLES, ("few_reports",))
    return _climate(path.name, lat_deg, lon_deg, grids, title)


def _climate(file: str, lat_deg: Floats, lon_deg: Floats, grids: dict[str, Floats], title: str) -> Climate:
    _refuse_speed_of_the_mean(file, grids)
    unknown = np.full_like(grids["wind_speed"], np.nan)
    reports, few = grids.get("number_of_observations", unknown), grids.get("few_reports")
    return Climate(
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        wind_east_kn=grids["eastward_wind"],
        wind_north_kn=grids["northward_wind"],
        wind_speed_kn=grids["wind_speed"],
        air_c=grids.get("air_temperature", unknown),
        sea_c=grids.get("sea_surface_temperature", unknown),
        cloud=np.clip(grids.get("cloud_area_fraction", unknown), 0, 1),
        reports=reports,
        few_reports=reports < FEW_REPORTS if few is None else few == 1,
        source=title,
        file=file,
        vapour_g_kg=grids.get("specific_humidity"),
    )


def _refuse_speed_of_the_mean(file: str, grids: dict[str, Floats]) -> None:
    """InputFaults where in most cells the mean speed is hardly more than the speed of the mean wind, or less, which no
    weather can be: crossings in it would have no spread at all.
    """
    vector_kn, mean_kn = np.hypot(grids["eastward_wind"], grids["northward_wind"]), grids["wind_speed"]
    known = np.isfinite(vector_kn + mean_kn)
    if known.any() and (vector_kn > STEADIEST * mean_kn)[known].mean() > 0.5:
        found = "in most cells it is no more than the speed of the mean wind"
        wanted = "the mean of the speeds is wanted, which is greater, or the wind would never change"
        raise InputFaults([Fault(file, 0, "wind_speed", found, wanted)])


# ---------------------------------------------------------------- along a track


def climate_at(path: Path | None, lat_deg: ArrayLike, lon_deg: ArrayLike) -> TrackClimate:
    """The climate of a person's own file, read around the nodes only, or the shipped one; as ``along``.

    What stores and power cannot do without, air temperature and cloud, is taken from the shipped grids where the file
    does not know it, and where they do not either, from the nearest nodes along the track.
    """
    lat, lon = np.atleast_1d(np.asarray(lat_deg, float)), np.atleast_1d(np.asarray(lon_deg, float))
    if path is None:
        return _without_gaps(along(read_climate(), lat, lon))
    grids, weights, reached, title = read_corners(path, _VARIABLES, lat, lon, ("few_reports",))
    refuse_outside(path.name, lat, lon, reached)
    climate = _climate(path.name, lat, lon, grids, title)
    return _lent_to(_interpolated(climate, (), weights, lat, lon), lat, lon)


def _lent_to(track: TrackClimate, lat: Floats, lon: Floats) -> TrackClimate:
    """What the file is mute about, taken from the shipped grids."""
    mute = tuple(words for name, words in _NEEDED.items() if not np.isfinite(getattr(track, name)).all())
    if not mute:
        return track
    shipped_climate = read_climate()
    corners, weights, _ = around(shipped_climate.lat_deg, shipped_climate.lon_deg, lat, lon)
    air_c, cloud = (
        np.where(np.isfinite(own), own, known_mean(theirs[corners], weights))
        for own, theirs in ((track.air_c, shipped_climate.air_c), (track.cloud, shipped_climate.cloud))
    )
    return _without_gaps(replace(track, air_c=air_c, cloud=cloud, lent=mute))


def _without_gaps(track: TrackClimate) -> TrackClimate:
    """What is needed and known nowhere around a node is taken from the nearest nodes along the track, month by month.
    Raises RouteRefused where it is known at none.
    """
    air_c, cloud = (np.array([_bridged(month) for month in grid]) for grid in (track.air_c, track.cloud))
    for words, grid in zip(_NEEDED.values(), (air_c, cloud), strict=True):
        if not np.isfinite(grid).all():
            raise RouteRefused(
                f"the climate knows no {words} anywhere on this track; lead it where ships have reported"
            )
    return replace(track, air_c=air_c, cloud=cloud)


def _bridged(values: Floats) -> Floats:
    known = np.isfinite(values)
    nodes = np.arange(len(values))
    return np.interp(nodes, nodes[known], values[known]) if known.any() else values


def along(climate: Climate, lat_deg: ArrayLike, lon_deg: ArrayLike) -> TrackClimate:
    """The climate at nodes, given in degrees by any longitude convention, by bilinear interpolation.

    Cells without a value are left out and the weights of the others stretched to make one. Up to half a cell
    beyond the outermost line of the grid its edge is used. What is interpolated is the vector mean and the
    *square* of sigma, and the mean speed is made from them again: interpolating the mean speed itself would,
    between two winds that oppose each other, count the difference of their means as spread. Raises
    InputFaults where the grid does not reach the track, RouteRefused at a node with no wind in some month.
    """
    lat, lon = np.atleast_1d(np.asarray(lat_deg, float)), np.atleast_1d(np.asarray(lon_deg, float))
    corners, weights, reached = around(climate.lat_deg, climate.lon_deg, lat, lon)
    refuse_outside(climate.file, lat, lon, reached)
    return _interpolated(climate, corners, weights, lat, lon)


def _interpolated(
    climate: Climate, corners: tuple[Any, ...], weights: Floats, lat: Floats, lon: Floats
) -> TrackClimate:
    """From the grids of ``climate`` taken at ``corners``; an empty index where they are the corners already."""
    east, north, speed = (
        grid[corners] for grid in (climate.wind_east_kn, climate.wind_north_kn, climate.wind_speed_kn)
    )
    windy = np.isfinite(east + north + speed) * weights
    _refuse_windless(climate, lat, lon, windy.sum(axis=-1) > 0)
    variance = known_mean(sigma_from_means(np.hypot(east, north), speed) ** 2, windy)
    east_kn, north_kn, sigma_kn = known_mean(east, windy), known_mean(north, windy), np.sqrt(variance)
    return TrackClimate(
        wind_east_kn=east_kn,
        wind_north_kn=north_kn,
        sigma_kn=sigma_kn,
        speed_kn=rice_mean(np.hypot(east_kn, north_kn), sigma_kn),
        air_c=known_mean(climate.air_c[corners], weights),
        sea_c=known_mean(climate.sea_c[corners], weights),
        cloud=known_mean(climate.cloud[corners], weights),
        few_reports=known_mean(climate.few_reports[corners].astype(float), windy) >= 0.5,
        vapour_g_kg=None if climate.vapour_g_kg is None else known_mean(climate.vapour_g_kg[corners], weights),
    )


def rests_on_few_reports(track: TrackClimate, months: Iterable[int]) -> Flags:
    """Which nodes (nodes,) rest on few ship reports in any of the months (0 January ... 11 December)."""
    return np.asarray(track.few_reports[sorted(set(months))].any(axis=0))


def beside_shipped(own: TrackClimate, lat_deg: ArrayLike, lon_deg: ArrayLike) -> float | None:
    """Mean wind of the year of a person's own climate at the nodes, as a share of the shipped one's there.

    Units that are not what a file declares show in it: knots declared as m/s come to about 1.9, km/h to 3.6, m/s
    declared as knots to 0.5. None where the shipped climate knows no wind.
    """
    try:
        shipped_kn = along(read_climate(), lat_deg, lon_deg).speed_kn
    except (InputFaults, RouteRefused):
        return None
    return float(own.speed_kn.mean() / shipped_kn.mean())


def _refuse_windless(climate: Climate, lat: Floats, lon: Floats, windy: Flags) -> None:
    if windy.all():
        return
    node = int(np.argmin(windy.all(axis=0)))
    months, here = named_months(~windy[:, node]), place(lat[node], lon[node])
    raise RouteRefused(f"{climate.file} knows no wind at {here} in {months}; lead the track where ships have reported")


# ---------------------------------------------------------------- through the year
