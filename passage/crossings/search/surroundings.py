"""The wind and the water that a search is made in: climate, current and forecast, read all round the voyage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.forecast import serves
from passage.crossings.search.lines import normals
from passage.inputs.climate import read_climate
from passage.inputs.current import CurrentGrid, read_current_grid, set_and_drift, shipped_grid
from passage.inputs.forecast import AreaForecast, read_area, refuse_out_of_time

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.inputs.climate import Climate
    from passage.inputs.voyage import Voyage
    from passage.sailings.track import Track

    Floats = NDArray[np.float64]

HALF_DEGREE_REACH_NM = 900.0  # a wider area has its forecast read every whole degree
SPARE_NM, ROUND_SHARE = 300.0, 1.5  # a track farther from the departure than this much of the way is none
EVERY_DEG = 1.0  # the grid on which a set and drift by leg is spread
DRAWN_EVERY = 3  # node of the drawn track to which places are held


@dataclass(frozen=True)
class Surroundings:
    """current: None where none is given. forecast: None where none is aboard, or where it has lost its weight by the
    departure, which ``stale`` tells.
    """

    climate: Climate
    current: CurrentGrid | None
    forecast: AreaForecast | None
    stale: bool


def surroundings(
    voyage: Voyage, drawn: Track, drifts: Sequence[tuple[float, float]], depart: datetime, fastest_kn: float
) -> Surroundings:
    """drawn: the track as drawn where the search is free; drifts: set (degrees towards) and drift (kn) of each of its
    legs; fastest_kn: through the water. Raises InputFaults for files that are wrong, and for a forecast that does not
    serve the departure.
    """
    forecast = _forecast(voyage, drawn, depart, fastest_kn)
    stale = forecast is not None and not serves(forecast.cells, depart)
    current = _current(voyage, drawn, drifts)
    return Surroundings(read_climate(voyage.departure.climate), current, None if stale else forecast, stale)


def _forecast(voyage: Voyage, drawn: Track, depart: datetime, fastest_kn: float) -> AreaForecast | None:
    rules = voyage.forecast
    if rules.file is None:
        return None
    reach_nm = min(rules.no_weight_after_h * fastest_kn, ROUND_SHARE * drawn.length_nm + SPARE_NM)
    box = box_about(float(drawn.lat_deg[0]), float(drawn.lon_deg[0]), reach_nm)
    forecast = read_area(rules.file, *box, rules.half_weight_after_h, rules.no_weight_after_h)
    refuse_out_of_time(forecast.cells, depart)
    return forecast


def box_about(lat_deg: float, lon_deg: float, reach_nm: float) -> tuple[Floats, Floats]:
    """Latitudes and longitudes, both ascending, these in [-180, 180), on whole or half degrees, of a box that holds all
    within ``reach_nm`` of a place.
    """
    every = 0.5 if reach_nm <= HALF_DEGREE_REACH_NM else 1.0
    high = np.ceil(reach_nm / 60.0) + every
    south, north = max(np.floor(lat_deg) - high, -90.0), min(np.ceil(lat_deg) + high, 90.0)
    narrow = np.cos(np.radians(min(max(abs(south), abs(north)), 89.5)))
    wide = min(np.ceil(high / narrow), 180.0)
    lon = np.floor(lon_deg) + np.arange(-wide, wide + every / 2, every)
    return np.arange(south, north + every / 2, every), np.unique((lon + 180.0) % 360.0 - 180.0)


def _current(voyage: Voyage, drawn: Track, drifts: Sequence[tuple[float, float]]) -> CurrentGrid | None:
    if any(drift_kn for _, drift_kn in drifts):
        return spread_about(drawn, drifts)
    if voyage.current_away is None:
        return shipped_grid()
    file = voyage.departure.current_file
    return read_current_grid(file) if file else None


def spread_about(drawn: Track, drifts: Sequence[tuple[float, float]]) -> CurrentGrid:
    """The set and drift of each leg, all over the globe: everywhere that of the nearest leg of the drawn track, as
    found legs have it when they are sailed.
    """
    lat, lon = np.arange(-90.0, 90.1, EVERY_DEG), np.arange(-180.0, 180.0, EVERY_DEG)
    track = normals(drawn.lat_deg[::DRAWN_EVERY], drawn.lon_deg[::DRAWN_EVERY])
    nearest = (normals(*np.meshgrid(lat, lon, indexing="ij")) @ track.T).argmax(axis=-1)
    current = set_and_drift(drifts, drawn.leg[::DRAWN_EVERY][nearest.ravel()])
    east, north = (part.reshape(12, len(lat), len(lon)) for part in (current.east_kn, current.north_kn))
    return CurrentGrid(lat, lon, east, north, current.source)


def known_words(about: Surroundings) -> str:
    """What the search knew, in a sentence or two."""
    words = ["It knew the winds of monthly averages"]
    if about.forecast is not None:
        cells = about.forecast.cells
        runs = f", her speeds in its {cells.members} runs averaged" if cells.members > 1 else ""
        words.append(f", with time going forward the forecast {cells.file} on top of them while it has weight{runs}")
    if about.current is not None:
        words.append(f", and the current: {about.current.source}")
    stale = " The forecast aboard has lost its weight by the departure and is left out." if about.stale else ""
    return "".join(words) + "." + stale
