"""The road through the months of real years, with the same luck: what no mean of them shows.

Each year's crossings meet the climatology's winds shifted by what each month of that year differed; weather blows about
that as ever, without the slow part that stands for years otherwise (``wind.KnownMonths``). A monthly mean knows whether
the trades were weak or a month blew from elsewhere. It knows no day, no gale and no calm of that year.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import passage_time_h
from passage.crossings.lanes import lane_of
from passage.crossings.simulate import arrivals_h, sail_lanes
from passage.crossings.wind import KnownMonths, Luck
from passage.errors import OutOfRange
from passage.inputs.rice import rice_mean
from passage.inputs.years import has_years, years_at
from passage.road import Outcome
from passage.tell.records import Record, reckoned, told, up

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ground import Ground
    from passage.inputs.climate import TrackClimate
    from passage.inputs.folder import Facts
    from passage.inputs.years import TrackYears

CROSSINGS = 200
MONTHS_AHEAD = 12


class Year(Record):
    """The crossings of one real year; hours infinite where too few arrive."""

    typical_h: float
    slow_end_h: float
    mean_typical_h: float
    year: int = told("the year in which she leaves")

    @reckoned("passage time that half the crossings beat, days")
    def typical_days(self) -> float:
        return self.typical_h / 24.0

    @reckoned("passage time at that year's slow end, days")
    def slow_end_days(self) -> float:
        return self.slow_end_h / 24.0

    @reckoned("days more than the typical passage of the climatology; less where negative")
    def more_days(self) -> float:
        return (self.typical_h - self.mean_typical_h) / 24.0

    beyond_in_100: float = up("of a hundred crossings of that year so many take longer than the plan's slow end")


class RealYears(Record):
    """A departure sailed in the climatology, and in each of the years on record, with the same luck."""

    typical_h: float
    slow_end_h: float
    voyage: str = told("name of the voyage")
    depart_utc: datetime = told("departure; of the years the day and month alone")
    source: str = told("the record's own title")
    crossings: int = told("how many were sailed in each year")
    slow_end_in: int = told("the slow end is what 1 crossing in so many exceeds")

    @reckoned("typical passage by the climatology, days")
    def typical_days(self) -> float:
        return self.typical_h / 24.0

    @reckoned("slow end by the climatology, days")
    def slow_end_days(self) -> float:
        return self.slow_end_h / 24.0

    years: tuple[Year, ...] = told("every year on record")
    left_out: tuple[int, ...] = told("years whose record ends before she is in")

    @reckoned("of a hundred crossings of all these years so many take longer than the plan's slow end")
    def beyond_in_100(self) -> float:
        return float(np.mean([year.beyond_in_100 for year in self.years]))


def sail_years(
    facts: Facts, ground: Ground, depart: datetime, crossings: int, seed: int, stretch: float = 1.0
) -> RealYears:
    """Sail ``depart`` (UTC) by the climatology and in every year on record: the climate file's own where it has any.

    stretch: of the years' departures from their mean; n / (n - 1) lays each of n years beside the mean of the others.
    Raises OutOfRange where the record knows no whole passage, RouteRefused where the current wins.
    """
    record, ground = _record(facts, ground), replace(ground, forecast=None)
    (mean_h,) = arrivals_h([lane_of(ground, depart, Luck(seed, crossings))])
    slow_share = 1.0 - facts.voyage.reserve.slow_end_share
    known = [year for year in record.years if _known(record, year, depart, _longest_h(mean_h))]
    if not known:
        raise OutOfRange(f"{record.source}: no year in it holds a whole passage from this departure on")
    luck = KnownMonths(seed, crossings).from_day(depart)
    lanes = [lane_of(_ground_of(ground, record, year, depart, stretch), depart, luck) for year in known]
    typical_h, slow_h = passage_time_h(mean_h, 0.5), passage_time_h(mean_h, slow_share)
    sailed = zip(known, arrivals_h(lanes), strict=True)
    return RealYears(
        typical_h=typical_h,
        slow_end_h=slow_h,
        voyage=facts.voyage.departure.name,
        depart_utc=depart,
        source=record.source,
        crossings=crossings,
        slow_end_in=round(1.0 / facts.voyage.reserve.slow_end_share),
        years=tuple(_year(year, hours, typical_h, slow_h, slow_share) for year, hours in sailed),
        left_out=tuple(year for year in record.years if year not in known),
    )


def sail_year(facts: Facts, ground: Ground, depart: datetime, year: int, crossings: int, seed: int) -> Outcome:
    """The crossings of one year on record, as ``sail_years`` sails them, with what follows from them.

    What is sailed again with one thing changed (the bracket, the troubles) is not of that year and is not to be asked
    for. Raises OutOfRange where the record does not hold the passage, RouteRefused where the current wins.
    """
    record = _record(facts, ground)
    if year not in record.years:
        raise OutOfRange(f"{record.source}: it does not hold the year {year}")
    there = _ground_of(replace(ground, forecast=None), record, year, depart)
    (crossed,) = sail_lanes([lane_of(there, depart, KnownMonths(seed, crossings).from_day(depart))])
    if not _known(record, year, depart, _longest_h(crossed.arrival_h)):
        raise OutOfRange(f"{record.source}: it ends before she is in, leaving in {year}")
    return Outcome(facts, there, crossed)


def _record(facts: Facts, ground: Ground) -> TrackYears:
    file = facts.voyage.departure.climate
    return years_at(file if has_years(file) else None, ground.track.lat_deg, ground.track.lon_deg)


def _ground_of(ground: Ground, record: TrackYears, year: int, depart: datetime, stretch: float = 1.0) -> Ground:
    return replace(ground, climate=climate_of(ground.climate, record, year, depart, stretch))


def _longest_h(arrival_h: NDArray[np.float64]) -> float:
    """Of those that arrive."""
    return float(np.max(arrival_h[np.isfinite(arrival_h)], initial=0.0))


def _year(year: int, hours: NDArray[np.float64], typical_h: float, slow_h: float, slow_share: float) -> Year:
    return Year(
        typical_h=passage_time_h(hours, 0.5),
        slow_end_h=passage_time_h(hours, slow_share),
        mean_typical_h=typical_h,
        year=year,
        beyond_in_100=100.0 * float((hours > slow_h).mean()),
    )


def _known(record: TrackYears, year: int, depart: datetime, longest_h: float) -> bool:
    """Whether the record reaches to the end of the month of the longest passage by the climatology."""
    months = (depart.day / 30.4) + longest_h / 24.0 / 30.4
    return 12 * (year - record.first_year) + depart.month - 1 + int(months) < len(record.east_kn)


def climate_of(
    climate: TrackClimate, record: TrackYears, year: int, depart: datetime, stretch: float = 1.0
) -> TrackClimate:
    """The climate as the twelve months were of which the departure's is the second."""
    first = 12 * (year - record.first_year) + depart.month - 1
    months = np.clip(np.arange(first - 1, first - 1 + MONTHS_AHEAD), 0, len(record.east_kn) - 1)
    east, north = climate.wind_east_kn.copy(), climate.wind_north_kn.copy()
    names = np.arange(depart.month - 2, depart.month - 2 + MONTHS_AHEAD) % 12
    east[names] += stretch * record.east_kn[months]
    north[names] += stretch * record.north_kn[months]
    return replace(
        climate, wind_east_kn=east, wind_north_kn=north, speed_kn=rice_mean(np.hypot(east, north), climate.sigma_kn)
    )
