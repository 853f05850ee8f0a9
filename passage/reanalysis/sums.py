"""What a record comes to: sums over every month of it, one month in the hand at a time.

The record stays where it is until a piece of a month is read, as many chunks side by side as there are processors; what
is kept of it is one number a cell. Whatever the chunks, the sums are the same to the last digits of double precision.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    import xarray as xr
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

KNOTS_PER_M_S = 3600 / 1852
STRONG_MS, GALE_MS = 28 / KNOTS_PER_M_S, 34 / KNOTS_PER_M_S
LAG_H = 24
LEAST_CORRELATION = 0.02  # a day later, below which nothing lasts
BLOCK_DEG = 2.5  # of the real years' departures: months differ over no less
WHOLE_MONTH = 0.9  # of its hours
MOST_LOADED = 64_000_000  # values of both parts read at once: 256 MB
MOST_IN_HAND = 500_000  # values of each part worked on at once
SUMS = ("hours", "east", "north", "speed", "square", "strong", "gale", "pairs", "lagged")


@dataclass(frozen=True, eq=False)
class Record:
    """Statistics by calendar month, (12, lat, lon), NaN where the record has nothing.

    east_ms, north_ms: vector mean; speed_ms: mean of the speeds; spread_ms: of each part about the vector mean;
    strong_share, gale_share: of the hours with 28 and 34 kn or more, counted; persistence_h: e-folding of the wind's
    departures from the mean, from what is left of them a day later; NaN where nothing is left or the gaps are too many.
    hours: values behind each. first_year, east_off_ms, north_off_ms: departures of each month of whole years from the
    mean of its name, (months, rows, columns) in blocks centred on lat_off, lon_off; empty where there are not two.
    """

    lat_deg: Floats
    lon_deg: Floats
    hours: Floats
    east_ms: Floats
    north_ms: Floats
    speed_ms: Floats
    spread_ms: Floats
    strong_share: Floats
    gale_share: Floats
    persistence_h: Floats
    first_year: int
    lat_off: Floats
    lon_off: Floats
    east_off_ms: Floats
    north_off_ms: Floats


def summed(fields: xr.Dataset, progress: Callable[[float], None] | None = None) -> Record:
    """All of it. fields: as ``sources.open_sources`` gives them."""
    months = fields.time.to_numpy().astype("datetime64[M]")
    each_month = np.unique(months)
    total = {name: np.zeros((12, fields.sizes["lat"], fields.sizes["lon"])) for name in SUMS}
    rows, columns = (_blocks(fields[name].to_numpy()) for name in ("lat", "lon"))
    by_month = {}
    for number, month in enumerate(each_month):
        if progress is not None:
            progress(number / len(each_month))
        first, beyond = np.searchsorted(months, [month, month + 1])
        sums = _of_month(fields, int(first), int(beyond))
        for name, values in sums.items():
            total[name][int(month.astype(int)) % 12] += values
        by_month[month] = _in_blocks(sums, rows, columns)
    return _record(fields, total, by_month, rows, columns)


def _of_month(fields: xr.Dataset, first: int, beyond: int) -> dict[str, Floats]:
    """Sums of the hours [first, beyond) of the record, (lat, lon) each, in as many pieces as memory asks for."""
    shape = fields.sizes["lat"], fields.sizes["lon"]
    total = {name: np.zeros(shape) for name in SUMS}
    lag = _lag(fields.time.to_numpy())
    most = max(MOST_LOADED // (2 * shape[0] * shape[1]) - lag, lag, 1)
    for begin in range(first, beyond, most):
        _add_piece(fields, max(begin - lag, 0), begin, min(begin + most, beyond), total)
    return total


def _lag(times: NDArray[np.datetime64]) -> int:
    """How many values make a day."""
    return round(np.timedelta64(LAG_H, "h") / np.median(np.diff(times[:2000])))


def _add_piece(fields: xr.Dataset, before: int, first: int, beyond: int, total: dict[str, Floats]) -> None:
    """Read the hours [before, beyond), once each, and add those from ``first`` on; a few rows in the hand at a time."""
    part = fields.isel(time=slice(before, beyond))
    times, east, north = part.time.to_numpy(), *(part[name].to_numpy() for name in ("east", "north"))
    rows = max(MOST_IN_HAND // max(east.shape[0] * east.shape[2], 1), 1)
    for row in range(0, east.shape[1], rows):
        band = slice(row, row + rows)
        in_hand = east[:, band].astype(np.float64), north[:, band].astype(np.float64)
        for name, values in _of_band(*in_hand, times, first - before, _lag(fields.time.to_numpy())).items():
            total[name][band] += values


def _of_band(east: Floats, north: Floats, times: NDArray[np.datetime64], now: int, lag: int) -> dict[str, Floats]:
    """Sums over the first axis from ``now`` on. Where a part is missing, neither counts; a product with the hour a day
    before counts where that is on record.
    """
    known = np.isfinite(east) & np.isfinite(north)
    east, north = np.where(known, east, 0.0), np.where(known, north, 0.0)
    square = east[now:] ** 2 + north[now:] ** 2
    late, early = slice(max(lag, now), None), slice(max(now - lag, 0), len(times) - lag if len(times) > lag else 0)
    apart = times[late] - times[early] == np.timedelta64(LAG_H, "h")
    both = known[late] & known[early] & apart[:, None, None]
    speed = np.sqrt(square)
    return {
        "hours": known[now:].sum(axis=0),
        "east": east[now:].sum(axis=0),
        "north": north[now:].sum(axis=0),
        "speed": speed.sum(axis=0),
        "square": square.sum(axis=0),
        "strong": (speed >= STRONG_MS).sum(axis=0),
        "gale": (speed >= GALE_MS).sum(axis=0),
        "pairs": both.sum(axis=0),
        "lagged": ((east[late] * east[early] + north[late] * north[early]) * both).sum(axis=0),
    }


# ---------------------------------------------------------------- from sums to what they mean


def _record(fields: xr.Dataset, total: dict[str, Floats], by_month: dict[Any, Any], rows: Any, columns: Any) -> Record:
    hours = np.where(total["hours"] > 0, total["hours"], np.nan)
    east, north, speed = (total[name] / hours for name in ("east", "north", "speed"))
    variance = np.maximum(total["square"] / hours - east**2 - north**2, 0.0) / 2.0
    first_year, east_off, north_off = _departures(fields, by_month)
    lat, lon = (fields[name].to_numpy().astype(np.float64) for name in ("lat", "lon"))
    return Record(
        lat_deg=lat,
        lon_deg=lon,
        hours=total["hours"],
        east_ms=east,
        north_ms=north,
        speed_ms=speed,
        spread_ms=np.sqrt(variance),
        strong_share=total["strong"] / hours,
        gale_share=total["gale"] / hours,
        persistence_h=_persistence_h(total, east, north, variance),
        first_year=first_year,
        lat_off=np.array([lat[each].mean() for each in rows]),
        lon_off=np.array([lon[each].mean() for each in columns]),
        east_off_ms=east_off,
        north_off_ms=north_off,
    )


def _persistence_h(total: dict[str, Floats], east: Floats, north: Floats, variance: Floats) -> Floats:
    """Of one autoregression: what is left of a departure after a day is exp(-24 h / e-folding)."""
    pairs = np.where(total["pairs"] > 0, total["pairs"], np.nan)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = (total["lagged"] / pairs - east**2 - north**2) / (2.0 * variance)
        lasting = np.where((left > LEAST_CORRELATION) & (left < 1.0), left, np.nan)
        return np.asarray(-LAG_H / np.log(lasting))


def _blocks(axis: Floats) -> list[slice]:
    """Runs of grid lines that make blocks of ``BLOCK_DEG`` or one line of a coarser grid; two at least."""
    many = max(int(np.floor(BLOCK_DEG / np.median(np.diff(axis)) + 1e-6)), 1)
    many = min(many, len(axis) // 2)
    return [slice(first, min(first + many, len(axis))) for first in range(0, len(axis), many)]


def _in_blocks(sums: dict[str, Floats], rows: list[slice], columns: list[slice]) -> dict[str, Floats]:
    return {
        name: np.array([[sums[name][row, column].sum() for column in columns] for row in rows])
        for name in ("hours", "east", "north")
    }


def _departures(fields: xr.Dataset, by_month: dict[Any, dict[str, Floats]]) -> tuple[int, Floats, Floats]:
    """From January of the first whole year on, of the longest run of whole years; none where it is one alone."""
    step = float(np.median(np.diff(fields.time.to_numpy()[:2000])) / np.timedelta64(1, "h"))
    cells = fields.sizes["lat"] * fields.sizes["lon"]
    counts = np.unique(fields.time.to_numpy().astype("datetime64[M]"), return_counts=True)
    hours = {month: count * step for month, count in zip(*counts, strict=True)}
    whole = [month for month in by_month if hours[month] >= WHOLE_MONTH * 24 * _days(month)]
    run = _longest_run(sorted({int(month.astype("datetime64[Y]").astype(int)) + 1970 for month in whole}), set(whole))
    if len(run) < 2 or not cells:
        return 0, np.empty((0, 0, 0)), np.empty((0, 0, 0))
    months = [np.datetime64(f"{year}-{month:02}", "M") for year in run for month in range(1, 13)]
    off = []
    for name in ("east", "north"):
        with np.errstate(divide="ignore", invalid="ignore"):
            means = np.array([by_month[month][name] / by_month[month]["hours"] for month in months])
        by_year = means.reshape(len(run), 12, *means.shape[1:])
        off.append((by_year - by_year.mean(axis=0)).reshape(means.shape))
    return run[0], off[0], off[1]


def _days(month: Any) -> int:
    return int(((month + 1).astype("datetime64[D]") - month.astype("datetime64[D]")).astype(int))


def _longest_run(years: list[int], whole: set[Any]) -> list[int]:
    complete = [year for year in years if all(np.datetime64(f"{year}-{m:02}", "M") in whole for m in range(1, 13))]
    runs: list[list[int]] = []
    for year in complete:
        if runs and runs[-1][-1] == year - 1:
            runs[-1].append(year)
        else:
            runs.append([year])
    return max(runs, key=len, default=[])
