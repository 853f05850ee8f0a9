"""How the months of real years differ from their mean, and whether passages sailed in them fall where ours say.

    python benchmarks/real_months.py monthly_navy_winds.cdf [more slow shares to try: 0.03 0.06]

The file holds 132 monthly mean winds, 1982 to 1992, on a 2.5-degree grid, from the analyses of the United States Navy's
Fleet Numerical Oceanography Center, and comes in Debian's package ``ferret-datasets``
(folder usr/share/ferret-vis/data).

First table: the variance of a month's mean about that of all years (per part of the wind, a straight trend taken out,
for the analyses were changed in those years), as a share of the variance of the hourly wind in the shipped climatology,
summed over the cells that rest on enough reports; and the slow share f that this means with our two e-foldings.

Second table: passages on 1 February, May, August and November. *Ours*: 1,000 crossings in the climatology. *Real*: in
each of eleven years 80 crossings whose wind has that year's monthly means, weather of our own on top of them (its own
monthly means taken out), no difference between boats. ``about their own mean``: a year's departure from the mean of the
other ten is laid on the climatology (leave one out), which tries the spread alone. ``as analysed``: the analysed means
themselves, which tries the climatology's mean too, and differs by what two kinds of record differ in.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from passage.crossings import weather, wind
from passage.crossings.at_sea import sailing_polar
from passage.crossings.ensemble import passage_time_h
from passage.crossings.helm import Vessel, rig_out
from passage.crossings.lanes import lane_of
from passage.crossings.simulate import arrivals_h
from passage.crossings.wind import FAST_EFOLDING_H, SLOW_EFOLDING_H, Deviation, Luck
from passage.inputs.climate import TrackClimate, along, read_climate
from passage.inputs.folder import read_folder
from passage.inputs.monthly import around, known_mean
from passage.inputs.rice import sigma_from_means
from passage.sailings.track import Leg, Track, lay_track
from passage.shipped import shipped

Floats = NDArray[np.float64]

KNOTS_PER_M_S = 3600 / 1852
YEARS = 11
MONTH_H = 30.4 * 24
OURS, REAL = 1000, 80
WHOLE_MONTHS_H = 24 * 92
DEPARTURES = (2, 5, 8, 11)
PASSAGES = {  # great circles, land or no land on them
    "San Francisco to Hilo": (37.7, -122.8, 19.9, -154.9),
    "Hilo to San Francisco": (19.9, -154.9, 37.7, -122.8),
    "Lagos to Horta": (37.0, -9.0, 38.4, -28.5),
    "Bermuda to Horta": (32.3, -64.7, 38.4, -28.8),
    "Las Palmas to Barbados": (27.9, -15.6, 13.1, -59.4),
    "Cape Town to St Helena": (-33.8, 18.1, -15.9, -5.6),
    "Opua to Nuku'alofa": (-35.1, 174.4, -21.0, -175.3),
    "Galapagos to Marquesas": (-1.0, -91.0, -9.0, -138.8),
    "Mauritius to Richards Bay": (-20.2, 57.3, -28.8, 32.3),
}


class Months(NamedTuple):
    """132 monthly means. lat_deg, lon_deg: ascending; east_kn, north_kn: (132, ny, nx)."""

    lat_deg: Floats
    lon_deg: Floats
    east_kn: Floats
    north_kn: Floats


def read_months(file: Path) -> Months:
    import netCDF4

    with netCDF4.Dataset(file) as data:
        lat, lon = (np.asarray(data[name][:], float) for name in ("FNOCY", "FNOCX"))
        east, north = (np.ma.filled(data[name][:].astype(float), np.nan) for name in ("UWND", "VWND"))
    order = np.argsort((lon + 180) % 360)
    lon = (lon[order] + 180) % 360 - 180
    return Months(lat, lon, KNOTS_PER_M_S * east[:, :, order], KNOTS_PER_M_S * north[:, :, order])


# ---------------------------------------------------------------- how much of the wind lasts


def mean_variance(share: float, mean_h: float, efolding_h: float) -> float:
    """Variance of a mean over so many hours of an autoregression of that variance (closed form)."""
    x = mean_h / efolding_h
    return float(share * 2.0 / x * (1.0 - (1.0 - np.exp(-x)) / x))


def share_from(ratio: float) -> float:
    """The slow share whose monthly means vary by that ratio of the whole variance."""
    fast, slow = (mean_variance(1.0, MONTH_H, h) for h in (FAST_EFOLDING_H, SLOW_EFOLDING_H))
    return (ratio - fast) / (slow - fast)


def variances(months: Months) -> tuple[Floats, Floats]:
    """Of monthly means from year to year, and of the hourly wind where ships report enough, kn2, (12, ny, nx) each."""
    years = np.arange(YEARS) - (YEARS - 1) / 2
    total = np.zeros((12, len(months.lat_deg), len(months.lon_deg)))
    for part in (months.east_kn, months.north_kn):
        by_year = part.reshape(YEARS, 12, *part.shape[1:])
        off = by_year - by_year.mean(axis=0)
        slope = np.tensordot(years, off, 1) / (years**2).sum()
        off = off - years[:, None, None, None] * slope
        total += (off**2).sum(axis=0) / (YEARS - 2) / 2.0
    climate = read_climate()
    vector = np.hypot(climate.wind_east_kn, climate.wind_north_kn)
    spread = np.where(climate.few_reports, np.nan, sigma_from_means(vector, climate.wind_speed_kn) ** 2)
    grid = np.meshgrid(months.lat_deg, months.lon_deg, indexing="ij")
    corners, weights, _ = around(climate.lat_deg, climate.lon_deg, *grid)
    return total, known_mean(spread[corners], np.isfinite(spread[corners]) * weights)


SEASONS = {"Dec-Feb": (11, 0, 1), "Mar-May": (2, 3, 4), "Jun-Aug": (5, 6, 7), "Sep-Nov": (8, 9, 10)}


def slow_shares(months: Months) -> list[str]:
    """Lines of the first table."""
    monthly, hourly = variances(months)
    lat = months.lat_deg[:, None] + 0 * months.lon_deg
    lon = months.lon_deg + 0 * lat

    def share(where: NDArray[np.bool_], of: tuple[int, ...] = tuple(range(12))) -> float:
        counted = np.isfinite(hourly) & where & np.isin(np.arange(12), of)[:, None, None]
        return share_from(monthly[counted].sum() / hourly[counted].sum()) if counted.any() else np.nan

    lines = ["slow share f by latitude  all year   north   south  " + "  ".join(SEASONS)]
    for band in range(0, 61, 5):
        both = np.abs(np.abs(lat) - band) < 2.6
        halves = [share(both & (sign * lat >= 0)) for sign in (1, -1)]
        seasons = [share(both, of) for of in SEASONS.values()]
        lines.append(f"{band:>24}  " + "  ".join(f"{value:7.3f}" for value in (share(both), *halves, *seasons)))
    eastern = (lat >= 28) & (lat <= 46) & (lon >= -152) & (lon <= -124)
    told = "  ".join(f"{name} {share(eastern, of):.3f}" for name, of in SEASONS.items())
    return [*lines, f"north-east Pacific, 28-46 N 124-152 W: all year {share(eastern):.3f}  {told}"]


# ---------------------------------------------------------------- passages


class MonthlessLuck(Luck):
    """Weather whose own calendar months have no mean left, for months whose mean is known; no slow part."""

    def centred_from(self, depart: datetime) -> MonthlessLuck:
        """Make the hours from the first of the departure's month on."""
        begin = np.datetime64(depart.replace(tzinfo=None, day=1, hour=0), "h")
        self._skipped_h = int((np.datetime64(depart.replace(tzinfo=None), "h") - begin).astype(int))
        fast = np.stack([super(MonthlessLuck, self).hour(hour).fast for hour in range(WHOLE_MONTHS_H)])
        month = (begin + np.arange(WHOLE_MONTHS_H)).astype("datetime64[M]")
        for each in np.unique(month):
            fast[month == each] -= fast[month == each].mean(axis=0)
        self._centred = fast
        return self

    def hour(self, hour: int) -> Deviation:
        fast = self._centred[min(hour + self._skipped_h, WHOLE_MONTHS_H - 1)]
        return Deviation(fast, np.zeros_like(fast))


def at_mid_months(means: Floats) -> Floats:
    """Values at the middles of months, straight lines between which have those monthly means; (132, ...)."""
    count = len(means)
    lines = (
        np.diag(np.full(count, 0.75)) + np.diag(np.full(count - 1, 0.125), 1) + np.diag(np.full(count - 1, 0.125), -1)
    )
    lines[0, 0] = lines[-1, -1] = 0.875
    return np.asarray(np.linalg.solve(lines, means.reshape(count, -1)).reshape(means.shape))


def on_track(months: Months, track: Track) -> tuple[Floats, Floats]:
    """East and north monthly means at the nodes, (132, nodes) each."""
    corners, weights, _ = around(months.lat_deg, months.lon_deg, track.lat_deg, track.lon_deg)
    east, north = (known_mean(part[corners], weights) for part in (months.east_kn, months.north_kn))
    return east, north


def real_climate(
    climate: TrackClimate, means: tuple[Floats, Floats], first: int, *, about_own_mean: bool
) -> TrackClimate:
    """The climate with the monthly means of the twelve months of which the second is number ``first``."""
    indices = np.clip(np.arange(first - 1, first + 11), 0, 12 * YEARS - 1)
    laid = []
    for whole, own in zip(means, (climate.wind_east_kn, climate.wind_north_kn), strict=True):
        by_year = whole.reshape(YEARS, 12, -1)
        others = (by_year.sum(axis=0) - by_year) / (YEARS - 1)  # of the other ten years, for each year
        off = at_mid_months((by_year - others).reshape(whole.shape)) if about_own_mean else at_mid_months(whole)
        changed = own.copy()
        changed[indices % 12] = off[indices] + (own[indices % 12] if about_own_mean else 0.0)
        laid.append(changed)
    return replace(climate, wind_east_kn=laid[0], wind_north_kn=laid[1])


class Held(NamedTuple):
    """Real passage times against ours: median off by, share within our 8 in 10, share beyond our slow end."""

    bias: float
    within: float
    beyond: float


def held(track: Track, vessel: Vessel, months: Months, month: int, *, about_own_mean: bool) -> Held:
    depart = datetime(2027, month, 1, 8, tzinfo=UTC)
    climate, means = along(read_climate(), track.lat_deg, track.lon_deg), on_track(months, track)
    (ours,) = arrivals_h([lane_of(track, climate, vessel, depart, Luck(1, OURS))])
    real = [
        lane_of(
            track,
            real_climate(climate, means, 12 * year + month - 1, about_own_mean=about_own_mean),
            vessel,
            depart,
            MonthlessLuck(100 + year, REAL).centred_from(depart),
        )
        for year in range(YEARS)
    ]
    times = np.concatenate(arrivals_h(real))
    low, high, slow = (passage_time_h(ours, share) for share in (0.1, 0.9, 0.95))
    bias = passage_time_h(times, 0.5) / passage_time_h(ours, 0.5) - 1.0
    return Held(bias, float(((times >= low) & (times <= high)).mean()), float((times > slow).mean()))


def passages(months: Months, vessel: Vessel) -> list[str]:
    """Lines of the second table."""
    lines, every = ["median off by, in 8 of 10, beyond 1 in 20:   about their own mean    as analysed"], []
    for name, (lat, lon, to_lat, to_lon) in PASSAGES.items():
        track = lay_track([Leg(lat, lon, to_lat, to_lon)], spacing_nm=20.0)
        both = [
            np.mean([held(track, vessel, months, month, about_own_mean=own) for month in DEPARTURES], axis=0)
            for own in (True, False)
        ]
        every.append(both)
        lines.append(f"{name:42s} " + "    ".join(_told(found) for found in both))
    return [*lines, f"{'all':42s} " + "    ".join(_told(found) for found in np.mean(every, axis=0))]


def _told(found: Floats) -> str:
    return f"{100 * found[0]:+5.1f} %  {found[1]:.2f}  {found[2]:.3f}"


def invented_vessel() -> Vessel:
    """The demonstration boat without spread of performance, engine, or waiting for daylight."""
    facts = read_folder(shipped("routes") / "cape-town-st-helena")
    changed = {"performance_sd_share": 0.0, "motoring": False, "stand_off": False}
    boat = facts.boat.model_copy(update={"helm": facts.boat.helm.model_copy(update=changed)})
    return rig_out(boat, sailing_polar(boat, facts.polar))


def main(file: Path, tried: list[float]) -> None:
    months, vessel = read_months(file), invented_vessel()
    print("\n".join(slow_shares(months)))
    print("\n".join(["", "slow share as shipped", *passages(months, vessel)]))
    for share in tried:
        weather.slow_share = lambda lat_deg, _, share=share: np.full_like(lat_deg, share)
        print("\n".join(["", f"slow share {share:g} everywhere", *passages(months, vessel)]))
    weather.slow_share = wind.slow_share


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    main(Path(sys.argv[1]), [float(share) for share in sys.argv[2:]])
