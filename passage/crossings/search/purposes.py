"""What each waypoint of a found track is for, in a few words that go beside it."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.lines import normals, pieces, positions
from passage.sailings.cyclones import basins
from passage.sailings.land import nearest_land

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.inputs.climate import Climate

    Floats = NDArray[np.float64]

LAND_NM = 60.0  # a waypoint nearer land than this is there to clear it
TROPICS_DEG = 15.0  # the doldrums are looked for between these latitudes
# Mean vector over mean speed of the wind in them, at most; the trades beside have 0.9 and more. Read off the shipped
# climate, and there is no published figure beside it: pilot charts call a trade wind steady from about 0.8 (M).
CHANGEABLE_SHARE = 0.78
STEADY_SHARE, TRADES_DEG = 0.75, 30.0  # mean vector over mean speed of a trade wind, and how far from the equator
BASIN_DEG, ANY_YEAR = 0.5, 2027
POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def purposes(
    lat_deg: Floats, lon_deg: Floats, climate: Climate, month: int, ends: tuple[str, str] = ("", "")
) -> tuple[str, ...]:
    """One for each waypoint (n,), those given for the two ends. month: 0 to 11, of the winds that are looked at."""
    if len(lat_deg) < 3:
        return ends
    land = nearest_land(lat_deg, lon_deg, LAND_NM)
    crossing = _in_the_doldrums(lat_deg, lon_deg, climate, month)
    found = [ends[0]]
    for at in range(1, len(lat_deg) - 1):
        if np.isfinite(land.distance_nm[at]):
            towards = _towards(lat_deg[at], lon_deg[at], land.lat_deg[at], land.lon_deg[at])
            found.append(f"clear of land lying to the {towards}")
        elif at == crossing:
            found.append("cross the doldrums here")
        elif basin := _by_a_basin(lat_deg[at], lon_deg[at], month):
            found.append(f"clear of the cyclone waters: {basin}")
        else:
            found.append(_bend(lat_deg[at - 1 : at + 2], lon_deg[at - 1 : at + 2], climate, month))
    return (*found, ends[1])


def _wind(climate: Climate, month: int, lat: float, lon: float) -> tuple[float, float]:
    """Mean speed and steadiness in the cell nearest a place; nan where nothing is known."""
    row = int(np.abs(climate.lat_deg - lat).argmin())
    column = int(np.abs((climate.lon_deg - lon + 180.0) % 360.0 - 180.0).argmin())
    cell = (month, row, column)
    speed = float(climate.wind_speed_kn[cell])
    return speed, float(np.hypot(climate.wind_east_kn[cell], climate.wind_north_kn[cell])) / max(speed, 0.1)


def _in_the_doldrums(lat: Floats, lon: Floats, climate: Climate, month: int) -> int | None:
    """The waypoint nearest to where the track leads through the faintest and most changeable winds near the equator,
    None where it does not cross them.
    """
    place = normals(lat, lon)
    cut = pieces(place[:-1], place[1:], 30.0)
    there_lat, there_lon = positions(cut.start)
    tropics = np.flatnonzero(np.abs(there_lat) < TROPICS_DEG)
    if not len(tropics) or np.ptp(there_lat[tropics]) < TROPICS_DEG / 2.0:
        return None
    winds = [_wind(climate, month, there_lat[at], there_lon[at]) for at in tropics]
    vectors = np.array([speed * steady for speed, steady in winds])
    least = int(np.nanargmin(vectors))
    if winds[least][1] > CHANGEABLE_SHARE:
        return None
    faintest = cut.start[tropics[least]]
    return int(np.argmax(place[1:-1] @ faintest)) + 1


def _towards(lat: float, lon: float, to_lat: float, to_lon: float) -> str:
    east = ((to_lon - lon + 180.0) % 360.0 - 180.0) * np.cos(np.radians(lat))
    return POINTS[round(np.degrees(np.arctan2(east, to_lat - lat)) / 45.0) % 8]


def _by_a_basin(lat: float, lon: float, month: int) -> str:
    """A cyclone basin in its season in the middle of the month whose bounds she runs along here."""
    for basin in basins():
        if not basin.in_season(date(ANY_YEAR, month + 1, 15)):
            continue
        near = [
            basin.holds(lat + up * BASIN_DEG, lon + across * BASIN_DEG)
            for up, across in ((1, 0), (-1, 0), (0, 1), (0, -1))
        ]
        if any(near) and not all(near):
            return basin.name
    return ""


def _bend(lat: Floats, lon: Floats, climate: Climate, month: int) -> str:
    onto = _towards(lat[1], lon[1], lat[2], lon[2])
    _, steady = _wind(climate, month, lat[1], lon[1])
    if steady > STEADY_SHARE and abs(lat[1]) < TRADES_DEG:
        return f"here in the trade wind: on towards the {onto}"
    return f"bend towards the {onto}"


def said(names: Sequence[str]) -> str:
    """Names in a row, as one says them."""
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last
