"""The road from a record to a climate file: open, sum, write."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.reanalysis.sources import open_sources
from passage.reanalysis.sums import summed
from passage.reanalysis.written import climate_file
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from passage.reanalysis.sums import Record as Sums

KNOTS_PER_M_S = 3600 / 1852


class Built(Record):
    """A climate of a person's own record."""

    out: str = told("path of the climate file")
    first_year: int = told("first year of the record")
    last_year: int = told("its last year")
    step_hours: float = told("hours from one value to the next")
    values: int = told("values of each part of the wind that were read")
    lat_cells: int = told("lines of latitude")
    lon_cells: int = told("lines of longitude")
    mean_kn: float = told("mean of the wind speeds, all months and cells alike")
    spread_kn: float = told("spread of each part of the wind about the month's mean, measured")
    persistence_hours: float = told(
        "e-folding of the wind's departures, measured, the middle one of all cells and months"
    )
    strong_in_1000: float = told("of a thousand hours so many with 28 knots and more, counted", places=1)
    gale_in_1000: float = told("of a thousand hours so many with 34 knots and more, counted", places=1)
    whole_years: int = told("whole years in a row, to be sailed by `passage years`; 0 where there are not two")
    first_whole_year: int = told("the first of them; 0 where there is none")


def build_climate(
    sources: Sequence[Path], out: str, progress: Callable[[float], None] | None = None
) -> tuple[bytes, Built]:
    """The climate file's content, and what is in it. Raises InputFaults, MissingExtra."""
    with open_sources(sources) as fields:
        times = fields.time.to_numpy()
        years = tuple(int(each.astype("datetime64[Y]").astype(int)) + 1970 for each in (times[0], times[-1]))
        record = summed(fields, progress)
        step_hours = float(np.median(np.diff(times[:2000])) / np.timedelta64(1, "h"))
        size = int(np.prod([fields.sizes[name] for name in ("time", "lat", "lon")]))
    title = f"Wind of {years[0]} to {years[1]} from {sources[0].name}{' and others' if len(sources) > 1 else ''}"
    return climate_file(record, title, (years[0], years[1])), _built(
        record, out, (years[0], years[1]), step_hours, size
    )


def _built(record: Sums, out: str, years: tuple[int, int], step_hours: float, size: int) -> Built:
    return Built(
        out=out,
        first_year=years[0],
        last_year=years[1],
        step_hours=step_hours,
        values=size,
        lat_cells=len(record.lat_deg),
        lon_cells=len(record.lon_deg),
        mean_kn=float(np.nanmean(record.speed_ms)) * KNOTS_PER_M_S,
        spread_kn=float(np.nanmean(record.spread_ms)) * KNOTS_PER_M_S,
        persistence_hours=_middle(record.persistence_h),
        strong_in_1000=1000.0 * float(np.nanmean(record.strong_share)),
        gale_in_1000=1000.0 * float(np.nanmean(record.gale_share)),
        whole_years=len(record.east_off_ms) // 12,
        first_whole_year=record.first_year,
    )


def _middle(values: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> float:
    known = values[np.isfinite(values)]
    return float(np.median(known)) if len(known) else float("inf")
