"""The track and where the crossings are on it, on a cartopy axis, with the coast that the package carries.

Nothing is fetched: cartopy's own coastlines would come from the network, ours lie in the package. Not for navigation.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from passage.errors import MissingExtra
from passage.sailings.coast import Detail, coast_polygons
from passage.sailings.track import at_distance, through_waypoints

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cartopy.crs import Projection
    from cartopy.mpl.geoaxes import GeoAxes
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from passage.consequences.times import Day
    from passage.sailings.track import Track

    Floats = NDArray[np.float64]

INK, LAND = "black", "0.85"
CLOSE_LOOK_DEG = 8.0  # charts narrower than this draw the finer coastline
AROUND = 0.12  # of the track's extent is left around it
LEAST_AROUND_DEG = 0.5
HIGH_DEG = 70.0  # beyond it Mercator's chart is all stretch


def chart(track: Track, days: Sequence[Day] = (), names: Sequence[tuple[str, float, float]] = ()) -> Figure:
    """A matplotlib figure of the track. days: where 8 crossings in 10 are at the end of each, every so many of them
    drawn as a broad line along the track; names: name, latitude and longitude of places to be marked.

    Raises MissingExtra where matplotlib or cartopy are not installed.
    """
    try:
        import cartopy.crs as ccrs
        from matplotlib.figure import Figure as NewFigure
    except ImportError:
        raise MissingExtra("notebook", "a chart in a notebook") from None
    _, lat_deg, lon_deg = through_waypoints(track)
    lon_deg = np.unwrap(lon_deg, period=360.0)
    projection = _projection(lat_deg, lon_deg)
    figure = NewFigure(figsize=(7.0, 6.0), layout="constrained")
    axis: GeoAxes = figure.add_subplot(projection=projection)
    box = _box(lat_deg, lon_deg)
    plate = ccrs.PlateCarree()
    axis.set_extent((box[0], box[2], box[1], box[3]), crs=plate)
    _land(axis, box, plate)
    lines = axis.gridlines(draw_labels=True, linewidth=0.4, color="0.6")
    lines.top_labels = lines.right_labels = False
    axis.plot(lon_deg, lat_deg, color=INK, linewidth=1.2, transform=plate)
    _runs(axis, track, days, plate)
    for number, (name, lat, lon) in enumerate(names):
        axis.plot([lon], [lat], marker="o", markersize=4, color=INK, markerfacecolor="white", transform=plate)
        if number in (0, len(names) - 1):  # those between lie close to the ends more often than not
            _write(axis, name, (lon, lat), plate)
    axis.set_title("Not for navigation", loc="right", fontsize=7)
    return figure


def _projection(lat_deg: Floats, lon_deg: Floats) -> Projection:
    """Mercator about the track, so that 180 degrees is no edge; a polar view where the track goes far up or down."""
    import cartopy.crs as ccrs

    middle = float((lon_deg.min() + lon_deg.max()) / 2.0)
    if np.abs(lat_deg).max() > HIGH_DEG:
        return ccrs.Stereographic(central_latitude=float(lat_deg.mean()), central_longitude=middle)
    return ccrs.Mercator(central_longitude=middle)


def _box(lat_deg: Floats, lon_deg: Floats) -> tuple[float, float, float, float]:
    """West, south, east and north of the chart; east may pass 180."""
    spans = max(np.ptp(lat_deg), LEAST_AROUND_DEG), max(np.ptp(lon_deg), LEAST_AROUND_DEG)
    north_south, east_west = (max(AROUND * span, LEAST_AROUND_DEG) for span in spans)
    south, north = max(lat_deg.min() - north_south, -89.0), min(lat_deg.max() + north_south, 89.0)
    return float(lon_deg.min() - east_west), float(south), float(lon_deg.max() + east_west), float(north)


def _land(axis: GeoAxes, box: tuple[float, float, float, float], plate: Any) -> None:
    import shapely

    detail: Detail = "high" if box[2] - box[0] < CLOSE_LOOK_DEG else "intermediate"
    rings = coast_polygons(box[0] - 1.0, max(box[1] - 1.0, -90.0), box[2] + 1.0, min(box[3] + 1.0, 90.0), detail)
    if rings:
        shapes = [shapely.Polygon(ring) for ring in rings]
        axis.add_geometries(shapes, crs=plate, facecolor=LAND, edgecolor=INK, linewidth=0.5)


def _runs(axis: GeoAxes, track: Track, days: Sequence[Day], plate: Any) -> None:
    """Where 8 crossings in 10 are at the end of every so many days, and the middle one."""
    at_sea = [day for day in days if not day.typical_in]
    step = 1 if len(at_sea) <= 5 else 2 if len(at_sea) <= 10 else 5
    for day in at_sea[step - 1 :: step]:
        lat, lon, _ = at_distance(track, np.linspace(day.least_run_nm, day.most_run_nm, 40))
        axis.plot(
            np.unwrap(lon, period=360.0),
            lat,
            color="0.45",
            linewidth=5,
            alpha=0.6,
            solid_capstyle="butt",
            transform=plate,
        )
        lat, lon, _ = at_distance(track, [day.typical_run_nm])
        axis.plot(lon, lat, marker=".", markersize=6, color=INK, transform=plate)
        _write(axis, f"day {day.day}", (float(lon[0]), float(lat[0])), plate)


def _write(axis: GeoAxes, words: str, lon_lat_deg: tuple[float, float], plate: Any) -> None:
    where = plate._as_mpl_transform(axis)
    axis.annotate(words, lon_lat_deg, xycoords=where, xytext=(7, -3), textcoords="offset points", fontsize=8)
