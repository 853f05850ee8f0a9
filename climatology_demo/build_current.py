"""Builds current.nc, the surface current by month, from the three source files named in SOURCES.md:

    python climatology_demo/build_current.py FOLDER_WITH_THE_TWO_ATLASES

and the winds of climatology.nc beside it; with ``--picture FILE`` behind it a map of what was built is drawn as well,
by matplotlib. Wants ``gsw`` (TEOS-10) beside what the tool itself needs. The same sources give the same arrays: nothing
of the clock or the machine goes into the file.

The current is that of the sea's slope, by geostrophy, and that of the wind, by a linear drift:

    f v = g dh/dx,  f u = -g dh/dy      away from the equator; h is the dynamic height relative to 1,500 dbar
    beta u = -g d2h/dy2, beta v = g d2h/dxdy      on it, blended in by exp(-(latitude / 2.2)^2)
    (r + i f H) (u + i v) = stress / density      in the tropics: regular at the equator, turning from the wind poleward
    |u + i v| = 0.065 u* / sqrt f, 55 degrees from the wind       poleward of 25 degrees; u* = sqrt(stress / density)

after Lagerloef, Mitchum, Lukas and Niiler 1999, Tropical Pacific near-surface currents estimated from altimeter, wind,
and drifter data, J. Geophys. Res. 104, 23313-23326; poleward after Ralph and Niiler 1999, Wind-driven currents in the
tropical Pacific, J. Phys. Oceanogr. 29, 2121-2129, whose two figures were read second-hand, as Rypina and others 2012
use them.
"""

from __future__ import annotations

import sys
from itertools import product
from pathlib import Path
from typing import Any, NamedTuple

import netCDF4
import numpy as np
from numpy.typing import NDArray

from passage.inputs.climate import read_climate
from passage.inputs.monthly import around, known_mean
from passage.inputs.rice import sigma_from_means

Floats = NDArray[np.float64]

ATLAS = "levitus_climatology.cdf"
MONTHLY = "ocean_atlas_subset.nc"
OUT = Path(__file__).with_name("current.nc")
REFERENCE_M = 1500.0  # where the water is taken to stand still
SEEN_FROM_M = 500.0  # where the bottom is shallower, or is so in a cell beside, the atlas is no witness of the slope
GRAVITY = 9.81
EARTH_M = 6.371e6
SPIN = 7.2921e-5
DENSITY, AIR_DENSITY = 1025.0, 1.22
DRIFT_DEPTH_M, DRIFT_DRAG_M_S = 32.5, 2.15e-4  # Lagerloef and others 1999
SPIRAL_RATE, SPIRAL_DEG = 0.065, 55.0  # Ralph and Niiler 1999: s^-1/2, and to the right of the wind in the north
TROPICS_DEG = 15.0, 25.0  # between them the one drift gives way to the other; our choice
EQUATORIAL_DEG = 2.2  # Lagerloef and others 1999, from memory
HALF_SPAN_DEG = 3.0  # of the rows through which the second derivative at the equator is fitted
M_S_PER_KNOT = 1852 / 3600
STEP_M_S, MOST_STEPS, MISSING = 0.01, 127, -128
FILLED_CELLS = 5
SEASON_DEG = 2.0, 6.0
TOP_DEG = 66.0  # poleward of it the atlas has too few casts, and ice

ABOUT = {
    "Conventions": "CF-1.10",
    "title": "Monthly surface current from the slope of the sea (Levitus) and the wind (COADS)",
    "institution": "Data: NOAA",
    "source": "levitus_climatology.cdf, ocean_atlas_subset.nc of ferret-datasets 7.6.0-5; climatology.nc",
    "references": (
        "Levitus 1982, Climatological Atlas of the World Ocean, NOAA Professional Paper 13; Lagerloef, Mitchum, Lukas "
        "and Niiler 1999, Tropical Pacific near-surface currents estimated from altimeter, wind, and drifter data, "
        "J. Geophys. Res. 104, 23313-23326; Ralph and Niiler 1999, Wind-driven currents in the tropical Pacific, "
        "J. Phys. Oceanogr. 29, 2121-2129"
    ),
    "license": "Distributed by NOAA, United States government, as public domain; conditions in SOURCES.md",
    "comment": (
        "No narrow stream is in it: where one runs, and over shelves and banks, there is no figure. Reckoned, not "
        "measured; somewhat low. No tide. See SOURCES.md."
    ),
}


# ---------------------------------------------------------------- the two currents


def coriolis(lat_deg: Floats) -> Floats:
    return np.asarray(2.0 * SPIN * np.sin(np.radians(lat_deg)))


def beta(lat_deg: Floats) -> Floats:
    return np.asarray(2.0 * SPIN * np.cos(np.radians(lat_deg)) / EARTH_M)


def slope_current(height_m: Floats, lat_deg: Floats, lon_deg: Floats) -> tuple[Floats, Floats]:
    """East and north parts (m/s) of the geostrophic current of a sea surface, (..., ny, nx) on an even grid of degrees
    that closes around the globe, NaN where the height or one beside it is unknown.
    """
    row_m = np.radians(lat_deg[1] - lat_deg[0]) * EARTH_M
    column_m = np.radians(lon_deg[1] - lon_deg[0]) * EARTH_M * np.cos(np.radians(lat_deg))[:, None]
    north = _centred(height_m, -2) / row_m
    east = _centred(height_m, -1) / column_m
    f, weight = coriolis(lat_deg)[:, None], np.exp(-((lat_deg / EQUATORIAL_DEG) ** 2))[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        far = [np.where(weight < 1.0, (1.0 - weight) / f, 0.0) * GRAVITY * part for part in (-north, east)]
    span = round(HALF_SPAN_DEG / (lat_deg[1] - lat_deg[0]))
    bend, twist = _second(height_m, span) / row_m**2, _centred(east, -2, span) / row_m
    near = [weight / beta(lat_deg)[:, None] * GRAVITY * part for part in (-bend, twist)]
    tropics = weight > 1e-3
    u, v = (a + np.where(tropics, b, 0.0) for a, b in zip(far, near, strict=True))
    return u, v


def _centred(values: Floats, axis: int, span: int = 1) -> Floats:
    """Slope per cell of the line fitted through ``span`` cells either side; rings in longitude, NaN beyond the ends."""
    lags = np.arange(1, span + 1)
    return np.asarray(
        sum(lag * (_beside(values, axis, lag) - _beside(values, axis, -lag)) for lag in lags) / (2 * (lags**2).sum())
    )


def _second(values: Floats, span: int) -> Floats:
    """Second derivative per row squared of the parabola fitted through ``span`` rows either side."""
    lags = np.arange(-span, span + 1)
    shape = lags**2 - (lags**2).mean()
    fitted = sum(weight * _beside(values, -2, int(lag)) for weight, lag in zip(shape, lags, strict=True))
    return np.asarray(2.0 * fitted / (shape**2).sum())


def _beside(values: Floats, axis: int, lag: int) -> Floats:
    moved = np.roll(values, -lag, axis=axis)
    if axis == -2 and lag:
        beyond = slice(-lag, None) if lag > 0 else slice(None, -lag)
        moved[..., beyond, :] = np.nan
    return moved


class Stress(NamedTuple):
    """Of a wind at the cells, towards east and north: the mean stress (N/m2), and the mean of its root (of N/m2) in the
    wind's direction.
    """

    east: Floats
    north: Floats
    root_east: Floats
    root_north: Floats


def wind_current(stress: Stress, lat_deg: Floats) -> tuple[Floats, Floats]:
    """East and north parts (m/s) of the drift in the wind, (..., ny, nx)."""
    f = coriolis(lat_deg)[:, None]
    slab = (stress.east + 1j * stress.north) / (DENSITY * (DRIFT_DRAG_M_S + 1j * f * DRIFT_DEPTH_M))
    turned = np.exp(-1j * np.sign(f) * np.radians(SPIRAL_DEG)) * SPIRAL_RATE / np.sqrt(DENSITY * np.abs(f))
    spiral = (stress.root_east + 1j * stress.root_north) * turned
    poleward = np.interp(np.abs(lat_deg), TROPICS_DEG, (0.0, 1.0))[:, None]
    drift = slab * (1.0 - poleward) + spiral * poleward
    return drift.real, drift.imag


def mean_stress(east_m_s: Floats, north_m_s: Floats, sigma_m_s: Floats) -> Stress:
    """The stress of a wind spread as the crossings' is, by quadrature, with the drag of Large and Pond 1981."""
    points, weights = np.polynomial.hermite_e.hermegauss(7)
    total = Stress(*np.zeros((4, *east_m_s.shape)))
    for (x, a), (y, b) in product(zip(points, weights, strict=True), repeat=2):
        east, north = east_m_s + sigma_m_s * x, north_m_s + sigma_m_s * y
        speed = np.hypot(east, north)
        drag = AIR_DENSITY * np.where(speed < 11.0, 1.2e-3, (0.49 + 0.065 * speed) * 1e-3)
        share = a * b / weights.sum() ** 2
        whole, root = share * drag * speed, share * np.sqrt(drag)
        for part, felt in zip(total, (whole * east, whole * north, root * east, root * north), strict=True):
            part += felt
    return total


# ---------------------------------------------------------------- where the atlas is blind


class Stream(NamedTuple):
    """A stream narrower than the atlas sees: its name, and boxes (south, north, west, east, degrees) that hold it."""

    name: str
    boxes: tuple[tuple[float, float, float, float], ...]


# Bounds are ours, drawn generously about what atlases show of each stream; common practice, no source.
STREAMS = (
    Stream("Equatorial_Undercurrent", ((-1.2, 1.2, -180, 180),)),
    Stream("Gulf_Stream", ((23, 28, -83, -76), (28, 33, -82, -73), (32, 37, -80, -67), (35, 45, -76, -42))),
    Stream("Labrador_Current", ((45, 64, -66, -45),)),
    Stream("East_Greenland_Current", ((58, 70, -45, -20),)),
    Stream("Loop_Current", ((18, 31, -98, -80),)),
    Stream("Caribbean_Current", ((9, 19, -88, -61),)),
    Stream("Guiana_Current", ((3, 11, -62, -49),)),
    Stream("North_Brazil_Current", ((-8, -2, -40, -32), (-4, 6, -52, -38))),
    Stream("Brazil_Current", ((-24, -8, -42, -35), (-30, -20, -50, -39), (-40, -28, -58, -46))),
    Stream("Falkland_Current", ((-54, -35, -68, -50),)),
    Stream("Agulhas_Current", ((-33, -24, 28, 36), (-37, -31, 22, 34), (-43, -35, 11, 28), (-44, -37, 28, 45))),
    Stream("Mozambique_Current", ((-26, -11, 34, 48),)),
    Stream("East_Madagascar_Current", ((-28, -10, 46, 52),)),
    Stream("Somali_Current", ((-4, 14, 38, 56),)),
    Stream("current_of_the_Arabian_coast", ((12, 26, 50, 61),)),
    Stream("monsoon_stream_off_Sri_Lanka", ((3, 8, 77, 84),)),
    Stream("Kuroshio", ((17, 26, 119, 126), (23, 33, 121, 134), (28, 38, 128, 146), (31, 42, 139, 162))),
    Stream("Oyashio", ((40, 54, 141, 162),)),
    Stream("Mindanao_Current", ((0, 17, 122, 130),)),
    Stream("New_Guinea_Coastal_Current", ((-10, 2, 130, 156),)),
    Stream("Indonesian_Throughflow", ((-13, 6, 104, 132),)),
    Stream("East_Australian_Current", ((-28, -15, 145, 157), (-42, -26, 149, 160))),
    Stream("Alaskan_Stream", ((50, 62, -172, -140),)),
)
BANKS = "shelf_bank_or_ice"  # what the flag calls all else that the atlas does not see
INLAND = (
    Stream("streams_of_the_Mediterranean_or_the_Black_Sea", ((30, 48, -5.5, 43),)),
    Stream("streams_of_the_Red_Sea_or_the_Persian_Gulf", ((12, 31, 32, 44), (23, 31, 47, 57))),
)


def blind_spots(temperature_c: Floats, depth_m: Floats, lat: Floats, lon: Floats) -> tuple[NDArray[np.int8], list[str]]:
    """By cell 0 where the atlas sees the current, else the number of what it does not see; and the names, first what
    stands for 1.

    temperature_c: (depths, ny, nx) of the atlas, NaN in the bottom.
    """
    level = int(np.argmin(np.abs(depth_m - SEEN_FROM_M)))
    deep = np.isfinite(temperature_c[level])
    columns = deep & np.roll(deep, 1, axis=1) & np.roll(deep, -1, axis=1)
    framed = np.pad(columns, ((1, 1), (0, 0)))
    seen = framed[:-2] & columns & framed[2:]
    number = np.where(seen, 0, 1).astype(np.int8)
    for own, stream in enumerate((*STREAMS, *INLAND), start=2):
        for south, north, west, east in stream.boxes:
            number[np.ix_((lat > south) & (lat < north), (lon > west) & (lon < east))] = own
    return number, [BANKS, *(stream.name for stream in (*STREAMS, *INLAND))]


# ---------------------------------------------------------------- from the atlases to the current


def read(file: Path, names: tuple[str, ...]) -> list[Floats]:
    """Variables of a source file as float arrays, NaN where missing."""
    with netCDF4.Dataset(file) as dataset:
        return [np.ma.filled(np.ma.asarray(dataset[name][:], dtype=float), np.nan) for name in names]


def ring(lon_deg: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Order of the columns, and longitudes ascending in [-180, 180)."""
    lon = (lon_deg + 180) % 360 - 180
    order = np.argsort(lon)
    return order, lon[order]


def filled(grid: Floats, cells: int) -> Floats:
    """Cells without a value, up to so many from one that has one, take the mean of those around them: the water that a
    ridge keeps out of a deep layer, so that height can be compared across it.
    """
    for _ in range(cells):
        around_it = np.stack(
            [_beside(np.roll(grid, lag, axis=-1), -2, row) for lag in (-1, 0, 1) for row in (-1, 0, 1)]
        )
        known = np.isfinite(around_it)
        mean = np.where(known, around_it, 0.0).sum(0) / np.maximum(known.sum(0), 1)
        grid = np.where(np.isfinite(grid) | ~known.any(0), grid, mean)
    return grid


def dynamic_height(temperature_c: Floats, salinity: Floats, depth_m: Floats, lat: Floats, lon: Floats) -> Floats:
    """Height (m) of the surface over the deepest level, (ny, nx), by TEOS-10: the anomaly of specific volume summed
    over pressure, over gravity. temperature_c in situ, salinity practical, both (depths, ny, nx).
    """
    import gsw

    pressure = gsw.p_from_z(-depth_m[:, None, None], lat[:, None]) * np.ones(len(lon))
    absolute = gsw.SA_from_SP(salinity, pressure, lon, lat[:, None])
    conservative = gsw.CT_from_t(absolute, temperature_c, pressure)
    anomaly = gsw.specvol_anom_standard(absolute, conservative, pressure)
    layers = 0.5 * (anomaly[1:] + anomaly[:-1]) * np.diff(pressure, axis=0) * 1e4
    return np.asarray(layers.sum(axis=0) / GRAVITY)


def seasons(folder: Path, depth_m: Floats, lat: Floats, lon: Floats) -> Floats:
    """What each month's temperature differs by from the year's mean, (12, depths, ny, nx); 0 where unknown."""
    month_lon, month_lat, month_depth, monthly = read(
        folder / MONTHLY, ("XAX_SUBSET", "YAX_SUBSET", "ZAXLEVIT19", "TEMP")
    )
    order, month_lon = ring(month_lon)
    differs = (monthly - monthly.mean(axis=0))[..., order]
    corners, weights, _ = around(month_lat, month_lon, *np.meshgrid(lat, lon, indexing="ij"))
    found = np.zeros((12, len(depth_m), len(lat), len(lon)))
    for row, depth in enumerate(depth_m):
        level = int(np.argmin(np.abs(month_depth - depth)))
        if month_depth[level] == depth:
            between = known_mean(differs[:, level][corners], weights)
            found[:, row] = np.where(np.isfinite(between), between, 0.0)
    return found


def build(folder: Path) -> tuple[Floats, Floats, Floats, Floats, NDArray[np.int8], list[str]]:
    """Latitudes, longitudes, east and north parts (12, ny, nx, m/s), what is not seen, and its names."""
    lon, lat, depth, temperature, salinity = read(
        folder / ATLAS, ("XAXLEVITR", "YAXLEVITR", "ZAXLEVITR", "TEMP", "SALT")
    )
    order, lon = ring(lon)
    temperature, salinity = temperature[..., order], salinity[..., order]
    blind, names = blind_spots(temperature, depth, lat, lon)
    layers = depth <= REFERENCE_M
    wet = np.isfinite(temperature[0])
    deep_t, deep_s = (np.where(wet, filled(grid[layers], FILLED_CELLS), np.nan) for grid in (temperature, salinity))
    months = seasons(folder, depth[layers], lat, lon)
    height = calmed(np.stack([dynamic_height(deep_t + month, deep_s, depth[layers], lat, lon) for month in months]))
    slope = slope_current(height, lat, lon)
    wind = wind_current(stress_on(lat, lon), lat)
    east, north = (np.where(blind == 0, a + b, np.nan) for a, b in zip(slope, wind, strict=True))
    known = np.isfinite(east + north).all(axis=0)
    blind = np.where((blind == 0) & ~known, 1, blind).astype(np.int8)
    shown = np.abs(lat) < TOP_DEG
    east, north = (np.where(blind == 0, part, np.nan)[:, shown] for part in (east, north))
    return lat[shown], lon, east, north, blind[shown], names


def calmed(height_m: Floats) -> Floats:
    """The months of (12, ny, nx) on a 1-degree grid, what they differ by from the year's mean left only its waves of a
    year and half a year, and smoothed by a bell ``SEASON_DEG`` wide in latitude and longitude: casts are few, and the
    second derivative at the equator makes half a knot of a centimetre.
    """
    year = height_m.mean(axis=0)
    waves = np.fft.rfft(height_m - year, axis=0)
    waves[[0, *range(3, 7)]] = 0.0
    differs = np.fft.irfft(waves, n=12, axis=0)
    known = np.isfinite(year).astype(float)
    differs = np.where(known > 0.0, differs, 0.0)
    for axis, sigma in zip((-2, -1), SEASON_DEG, strict=True):
        lags = np.arange(-int(2 * sigma), int(2 * sigma) + 1)
        bell = np.exp(-0.5 * (lags / sigma) ** 2)
        differs, known = (_spread(grid, axis, lags, bell) for grid in (differs, known))
    return np.asarray(year + differs / np.where(known > 0.0, known, np.nan))


def _spread(grid: Floats, axis: int, lags: NDArray[np.intp], bell: Floats) -> Floats:
    moved = (np.nan_to_num(_beside(grid, axis, int(lag))) for lag in lags)
    return np.asarray(sum(weight * part for weight, part in zip(bell, moved, strict=True)))


def stress_on(lat: Floats, lon: Floats) -> Stress:
    """Of the shipped winds at the cells, (12, ny, nx)."""
    climate = read_climate()
    east, north, mean = (
        kn * M_S_PER_KNOT for kn in (climate.wind_east_kn, climate.wind_north_kn, climate.wind_speed_kn)
    )
    stress = mean_stress(east, north, sigma_from_means(np.hypot(east, north), mean))
    corners, weights, _ = around(climate.lat_deg, climate.lon_deg, *np.meshgrid(lat, lon, indexing="ij"))
    return Stress(*(known_mean(part[corners], weights) for part in stress))


# ---------------------------------------------------------------- packing


def write(file: Path, folder: Path) -> list[str]:
    """Builds the current into the file; gives the lines to print."""
    lat, lon, east, north, blind, names = build(folder)
    with netCDF4.Dataset(file, "w", format="NETCDF4") as dataset:
        dataset.setncatts(ABOUT)
        write_axes(dataset, lat, lon)
        for name, towards, values in (("u", "eastward", east), ("v", "northward", north)):
            write_part(dataset, name, towards, values)
        flag = dataset.createVariable("blind", "i1", ("lat", "lon"), zlib=True, complevel=9)
        flag[:] = blind
        flag.setncatts(
            {
                "long_name": "what keeps the atlas from seeing the current",
                "flag_values": np.arange(len(names) + 1, dtype="i1"),
                "flag_meanings": " ".join(["seen", *names]),
            }
        )
    speed = np.hypot(east, north) / M_S_PER_KNOT
    lines = [f"cells with a current {np.isfinite(east[0]).sum()} of {east[0].size}"]
    lines.append(f"drift: half under {np.nanmedian(speed):.2f} kn, 1 in 20 over {np.nanquantile(speed, 0.95):.2f} kn")
    return [*lines, f"most {np.nanmax(speed):.2f} kn", f"{file.name}: {file.stat().st_size} bytes"]


def write_axes(dataset: Any, lat: Floats, lon: Floats) -> None:
    """Latitude, longitude and twelve months, dated in a year that stands for all."""
    for name, values in (("time", np.arange(12.0)), ("lat", lat), ("lon", lon)):
        dataset.createDimension(name, len(values))
        dataset.createVariable(name, "f4", (name,))[:] = values
    dataset["time"].setncatts({"standard_name": "time", "units": "months since 1900-01-16"})
    dataset["lat"].setncatts({"standard_name": "latitude", "units": "degrees_north"})
    dataset["lon"].setncatts({"standard_name": "longitude", "units": "degrees_east"})


def write_part(dataset: Any, name: str, towards: str, values: Floats) -> None:
    steps = np.round(values / STEP_M_S)
    if np.nanmax(np.abs(steps)) > MOST_STEPS:
        raise ValueError(f"{np.nanmax(np.abs(values)):.2f} m/s is too much for steps of {STEP_M_S}")
    variable = dataset.createVariable(
        name, "i1", ("time", "lat", "lon"), zlib=True, complevel=9, fill_value=np.int8(MISSING)
    )
    variable.set_auto_maskandscale(False)
    variable[:] = np.where(np.isfinite(steps), steps, MISSING).astype("i1")
    variable.setncatts(
        {
            "standard_name": f"surface_{towards}_sea_water_velocity",
            "long_name": f"{towards} part of the surface current: slope of the sea and drift in the wind",
            "units": "m s-1",
            "scale_factor": STEP_M_S,
        }
    )


# ---------------------------------------------------------------- a picture


def draw(built: Path, picture: Path) -> None:
    """February and August: shades the drift, arrows the set, grey what is shallow or icy, red what is too narrow."""
    import matplotlib.pyplot as plt
    from matplotlib.colors import ListedColormap

    lat, lon, east, north, blind = read(built, ("lat", "lon", "u", "v", "blind"))
    figure, panels = plt.subplots(2, 1, figsize=(13, 11), layout="constrained")
    for panel, month, title in zip(panels, (1, 7), ("February", "August"), strict=True):
        u, v = east[month] / M_S_PER_KNOT, north[month] / M_S_PER_KNOT
        drift = np.hypot(u, v)
        shades = panel.pcolormesh(lon, lat, drift, vmin=0.0, vmax=0.8, cmap="viridis_r", rasterized=True)
        hidden = np.where(blind == 0, np.nan, np.minimum(blind, 2))
        panel.pcolormesh(lon, lat, hidden, cmap=ListedColormap(["#bbbbbb", "#e0a0a0"]), vmin=1, vmax=2)
        every, root = slice(None, None, 4), np.sqrt(np.maximum(drift, 0.02))
        panel.quiver(lon[every], lat[every], (u / root)[every, every], (v / root)[every, every], scale=55, width=0.0008)
        panel.set(title=title, aspect=1.2)
    figure.colorbar(shades, ax=panels, label="drift, kn", shrink=0.5)
    figure.savefig(picture, dpi=70)


if __name__ == "__main__":
    if len(sys.argv) not in (2, 4) or sys.argv[2:3] not in ([], ["--picture"]):
        sys.exit(__doc__)
    print("\n".join(write(OUT, Path(sys.argv[1]))))
    if sys.argv[3:]:
        draw(OUT, Path(sys.argv[3]))
