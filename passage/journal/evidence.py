"""What the days of a log say about boat and crew: miles, litres and strokes set against what was expected of them.

Learned is the boat as this crew sails her through the water: what the crossings reckon of the current by file or
averages is taken from her miles first; a set and drift by leg, leeway and eddies the factor carries.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from math import cos, radians, sin, sqrt
from statistics import fmean, variance
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.crossings.between import Reading, Usual, promised
from passage.crossings.pairs import spread
from passage.crossings.wind import slow_share
from passage.errors import InputFaults, RouteRefused
from passage.inputs.climate import along
from passage.inputs.current import current_on
from passage.inputs.months import month_weights
from passage.inputs.voyage import NO_CURRENT
from passage.journal.learning import Belief, Learned, Seen, learn
from passage.journal.reckoning import hours_between, points, run
from passage.sailings import rhumb

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from passage.crossings.between import Promise
    from passage.crossings.helm import Vessel
    from passage.crossings.pairs import Fit
    from passage.inputs.boat import Boat, Helm
    from passage.inputs.climate import Climate
    from passage.inputs.voyage import CurrentChoice
    from passage.journal.reckoning import Point, Run
    from passage.journal.record import Entry

# Our choices, no source: how well a noon's wind stands for a day, how far the plan's litres are trusted.
SEA_SCATTER_KN = 0.3  # a day's mean speed about what its wind promised: sea, trim, sleep; the wind's own is reckoned
NOTED_WIND_SD = 0.05  # one crew's winds err together, and so does a polar: no number of days tells that from the boat
SOUNDING_SD_L = 1.5
DAILY_WATER_SPREAD = 0.2
WATER_BEFORE = Belief(1.0, 0.2)
FUEL_BEFORE = Belief(1.0, 0.15)
FUEL_SPREAD = 0.25
ELECTRICITY_BEFORE = Belief(1.0, 0.2)
NO_BATTERY = Learned(ELECTRICITY_BEFORE, ELECTRICITY_BEFORE, 0, ())
SUNNY_SPREAD = 0.35  # a day's sun about its mean
NOTED_CHARGE_SD = 0.05  # a battery read as a share of full
SUN_SD = 0.1  # shading and the two cloud formulas: shared by all days
FULL_SHARE = 0.95  # above it sun is not taken, and nobody knows how much
LEAST_SAILING_H = 6.0
MOST_ENGINE_H = 2.0

LATEST_DAYS = 3
BILGE_RISE = 1.5
BILGE_SIGMAS = 2.33  # 1 in 100 of a bilge that does not change, if its scatter is normal


@dataclass(frozen=True)
class Lessons:
    """What the log taught. performance: made good as a share of the polar; water: litres drunk for each litre
    planned; fuel: litres burnt for each litre the boat file says; electricity: watt-hours that the loads took for
    each planned, a weak sun counting as a load.
    """

    performance: Learned
    water: Learned
    fuel: Learned
    electricity: Learned = NO_BATTERY


def lessons(
    entries: Sequence[Entry],
    boat: Boat,
    vessel: Vessel,
    planned_water_l_per_day: float,
    plan: Mapping[str, Any] = MappingProxyType({}),
    current: CurrentChoice = NO_CURRENT,
    climate: Climate | None = None,
) -> Lessons:
    """From standing entries, oldest first. planned_water_l_per_day: for the whole crew; plan: as ``now.planned``
    gives it, without which nothing is learned of the electricity; current: which one the crossings reckon with;
    climate: the shipped one where left out.
    """
    helm = boat.helm
    return Lessons(
        performance=learn(
            Belief(helm.performance_mean_share, helm.performance_sd_share),
            list(sailing_days(entries, vessel, current, climate)),
            NOTED_WIND_SD,
        ),
        water=learn(WATER_BEFORE, list(water_days(entries, boat, planned_water_l_per_day))),
        fuel=learn(FUEL_BEFORE, list(engine_days(entries, boat))),
        electricity=learn(ELECTRICITY_BEFORE, list(battery_days(entries, plan)), SUN_SD),
    )


# Miles


def sailing_days(
    entries: Sequence[Entry], vessel: Vessel, current: CurrentChoice = NO_CURRENT, climate: Climate | None = None
) -> Iterator[Seen]:
    """Miles made good between fixes, less what the current carried her, against those her polar promises in the wind of
    the day, as far as the winds noted at either end and the month's own tell it (``crossings.between``); the scatter
    says how far that is.

    Days with the engine running for over two hours, with gusts past the crew's limit, or mostly hove to teach nothing.
    """
    from passage.inputs.climate import read_climate

    climate = climate or read_climate()
    by_number = {entry.number: entry for entry in entries}
    departed = entries[0].time if entries else None
    for start, end in pairwise(point for point in points(entries) if point.fix and _tells(by_number[point.number])):
        before, after = by_number[start.number], by_number[end.number]
        made = run(start, end)
        sailing_h = made.hours - after.body.get("hove_to_h", 0.0)
        if sailing_h < LEAST_SAILING_H or _engine_ran_h(entries, start, end) > MOST_ENGINE_H:
            continue
        day = _promise((before, after), start, made, vessel, climate)
        if day is None:
            continue
        out_h = hours_between(departed, start.time) if departed else 0.0
        share = _crews_share(out_h, made.hours, vessel.helm)
        scatter_kn = np.hypot(vessel.helm.performance_mean_share * share * day.sd_kn, SEA_SCATTER_KN)
        sailed_nm = made.distance_nm - made.hours * _set_along_kn(current, start, end, made.course_deg)
        yield Seen(day.mean_kn * share * sailing_h, sailed_nm, float(scatter_kn) * sailing_h, after.number)


def against_table(days: Sequence[Seen]) -> Fit | None:
    """Days of the log against what the vessel's table promises; None without any."""
    ratio = np.array([day.seen / day.expected for day in days if day.expected > 0.0])
    return spread(ratio, len(days) - len(ratio)) if days else None


def _set_along_kn(current: CurrentChoice, start: Point, end: Point, course_deg: float) -> float:
    """What the current sets along her course, half of it as at either end, kn."""
    ends = [current_on(current, point.lat_deg, point.lon_deg, point.time) for point in (start, end)]
    along_kn = [east * sin(radians(course_deg)) + north * cos(radians(course_deg)) for east, north in ends]
    return fmean(along_kn)


def _tells(entry: Entry) -> bool:
    return entry.kind in ("start", "noon", "landfall")


def _promise(noons: Sequence[Entry], start: Point, made: Run, vessel: Vessel, climate: Climate) -> Promise | None:
    """What she should make good in the wind of that day; None without a wind noted or one to sail in, or where the
    climate knows none.
    """
    winds = [entry for entry in noons if "wind_kn" in entry.body]
    limit_kn = vessel.helm.gust_limit_kn / vessel.helm.gust_factor
    if not winds or any(entry.body["wind_kn"] > limit_kn for entry in winds):
        return None
    usual = _usual(start, made, climate)
    if usual is None:
        return None
    readings = [_reading(entry, hours_between(start.time, entry.time)) for entry in winds]
    return promised(readings, made.hours, usual, made.course_deg, vessel.speeds)


def _reading(entry: Entry, hour: float) -> Reading:
    from_rad = radians(entry.body.get("wind_from_deg", 0.0))
    return Reading(hour, -entry.body["wind_kn"] * sin(from_rad), -entry.body["wind_kn"] * cos(from_rad))


def _usual(start: Point, made: Run, climate: Climate) -> Usual | None:
    """The month's wind half way through the run."""
    lat_deg, lon_deg, _ = rhumb.direct(start.lat_deg, start.lon_deg, made.course_deg, made.distance_nm / 2.0)
    middle = (start.time + timedelta(hours=made.hours / 2.0)).replace(tzinfo=None)
    try:
        there = along(climate, [lat_deg], [lon_deg])
    except (InputFaults, RouteRefused):
        return None
    first, second, part = (float(each) for each in month_weights(np.datetime64(middle, "s")))

    def between(monthly: NDArray[np.float64]) -> float:
        return float((1.0 - part) * monthly[int(first), 0] + part * monthly[int(second), 0])

    share = float(slow_share(np.array([lat_deg]), np.array([lon_deg]))[0])
    return Usual(between(there.wind_east_kn), between(there.wind_north_kn), between(there.sigma_kn), share)


def _crews_share(out_h: float, hours: float, helm: Helm) -> float:
    """Of her speed, what the crew sail: half of the day dark, and the first days slower."""
    settling_h = min(max(helm.first_days_h - out_h, 0.0), hours)
    settling = 1.0 - (1.0 - helm.first_days_speed_share) * (settling_h / hours if hours > 0 else 0.0)
    return settling * (1.0 + helm.night_speed_share) / 2.0


def _engine_ran_h(entries: Sequence[Entry], start: Point | Entry, end: Point | Entry) -> float:
    within = [
        entry.body["engine_h"] for entry in entries if start.time <= entry.time <= end.time and "engine_h" in entry.body
    ]
    return float(max(within) - min(within)) if len(within) > 1 else 0.0


# Litres


def water_left(entries: Sequence[Entry], boat: Boat) -> dict[str, float]:
    """Litres in each tank as last sounded; what was never sounded is as the boat file says."""
    left = {tank.name: tank.capacity_l * tank.filled_share for tank in boat.water_tanks}
    for entry in entries:
        left |= {name: litres for name, litres in entry.body.get("water_l", {}).items() if name in left}
    return left


def water_days(entries: Sequence[Entry], boat: Boat, planned_l_per_day: float) -> Iterator[Seen]:
    """Litres drunk between soundings; a day on which a tank was filled is passed over."""
    soundings = [index for index, entry in enumerate(entries) if "water_l" in entry.body or entry.kind == "start"]
    for start, end in pairwise(soundings):
        days = hours_between(entries[start].time, entries[end].time) / 24.0
        before, after = (water_left(entries[: index + 1], boat) for index in (start, end))
        drunk = sum(before.values()) - sum(after.values())
        if days > 0 and not _risen(before, after):
            expected = planned_l_per_day * days
            scatter = sqrt(2.0 * SOUNDING_SD_L**2 + (DAILY_WATER_SPREAD * expected) ** 2)
            yield Seen(expected, drunk, scatter, entries[end].number)


def _risen(before: Mapping[str, float], after: Mapping[str, float]) -> bool:
    return any(after[name] > before[name] + 2.0 * SOUNDING_SD_L for name in before)


def engine_days(entries: Sequence[Entry], boat: Boat) -> Iterator[Seen]:
    """Fuel burnt between entries that give both the fuel left and the engine's meter."""
    told = [entry for entry in entries if "fuel_l" in entry.body and "engine_h" in entry.body]
    for start, end in pairwise(told):
        ran_h = end.body["engine_h"] - start.body["engine_h"]
        burnt_l = start.body["fuel_l"] - end.body["fuel_l"]
        if boat.engine is not None and ran_h > 0 and burnt_l >= -2.0 * SOUNDING_SD_L:
            expected = ran_h * boat.engine.consumption_l_h
            yield Seen(expected, burnt_l, sqrt(2.0 * SOUNDING_SD_L**2 + (FUEL_SPREAD * expected) ** 2), end.number)


# Watt-hours


def battery_days(entries: Sequence[Entry], plan: Mapping[str, Any]) -> Iterator[Seen]:
    """What the loads took between two notes of the battery: the planned sun less what the battery gained.

    Days with the engine running, or with the battery full at either end, say nothing: what came in is not known.
    """
    if "load_wh_per_day" not in plan:
        return
    told = [entry for entry in entries if "battery_share" in entry.body]
    for start, end in pairwise(told):
        days = hours_between(start.time, end.time) / 24.0
        shares = start.body["battery_share"], end.body["battery_share"]
        if days <= 0 or max(shares) >= FULL_SHARE or _engine_ran_h(entries, start, end) > 0:
            continue
        sun_wh = plan["sun_wh_per_day"] * days
        taken_wh = sun_wh - (shares[1] - shares[0]) * plan["battery_wh"]
        scatter = sqrt((SUNNY_SPREAD * sun_wh) ** 2 / days + 2.0 * (NOTED_CHARGE_SD * plan["battery_wh"]) ** 2)
        yield Seen(plan["load_wh_per_day"] * days, taken_wh, scatter, end.number)


# Strokes


def rising_bilge(entries: Sequence[Entry]) -> str:
    """A sentence where the last three counts of the bilge pump lie above the earlier ones by half and by more than
    chance would have it; else empty. Counts scatter as their square root at least (Poisson).
    """
    rates = list(_strokes_per_day(entries))
    if len(rates) < 2 * LATEST_DAYS:
        return ""
    earlier, latest = rates[:-LATEST_DAYS], rates[-LATEST_DAYS:]
    usual, now = fmean(earlier), fmean(latest)
    scatter = max(variance(earlier), usual, 1.0) * (1.0 / LATEST_DAYS + 1.0 / len(earlier))
    if now < BILGE_RISE * usual or now - usual < BILGE_SIGMAS * sqrt(scatter):
        return ""
    return f"The bilge takes {now:.0f} strokes a day, {usual:.0f} before: look at stern gland, seacocks and hoses."


def _strokes_per_day(entries: Sequence[Entry]) -> Iterator[float]:
    told = [entry for entry in entries if "bilge_strokes" in entry.body or entry.kind == "start"]
    for before, entry in pairwise(told):
        days = hours_between(before.time, entry.time) / 24.0
        if days > 0 and "bilge_strokes" in entry.body:
            yield entry.body["bilge_strokes"] / days
