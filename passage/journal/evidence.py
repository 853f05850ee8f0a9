"""What the days of a log say about boat and crew: miles, litres and strokes set against what was expected of them.

Learned is the boat as this crew sails her through the water: what the crossings reckon of the current by file or
averages is taken from her miles first; a set and drift by leg, leeway and eddies the factor carries.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import cos, radians, sin, sqrt
from statistics import fmean, variance
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from passage.inputs.current import NO_CURRENT, current_on
from passage.journal.learning import Belief, Learned, Seen, learn
from passage.journal.reckoning import hours_between, points, run

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from passage.crossings.helm import Vessel
    from passage.inputs.boat import Boat
    from passage.inputs.current import Choice
    from passage.journal.reckoning import Point, Run
    from passage.journal.record import Entry

# Our choices, no source: how well a noon's wind stands for a day, how far the plan's litres are trusted.
SPEED_SCATTER_KN = 1.0  # a day's mean speed about what the noon winds promised; the whole day errs one way
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
    current: Choice = NO_CURRENT,
) -> Lessons:
    """From standing entries, oldest first. planned_water_l_per_day: for the whole crew; plan: as ``now.planned``
    gives it, without which nothing is learned of the electricity; current: which one the crossings reckon with.
    """
    helm = boat.helm
    return Lessons(
        performance=learn(
            Belief(helm.performance_mean_share, helm.performance_sd_share),
            list(sailing_days(entries, vessel, current)),
            NOTED_WIND_SD,
        ),
        water=learn(WATER_BEFORE, list(water_days(entries, boat, planned_water_l_per_day))),
        fuel=learn(FUEL_BEFORE, list(engine_days(entries, boat))),
        electricity=learn(ELECTRICITY_BEFORE, list(battery_days(entries, plan)), SUN_SD),
    )


# Miles


def sailing_days(entries: Sequence[Entry], vessel: Vessel, current: Choice = NO_CURRENT) -> Iterator[Seen]:
    """Miles made good between fixes, less what the current carried her, against those her polar promises in the winds
    noted at either end.

    Days with the engine running for over two hours, with gusts past the crew's limit, or mostly hove to teach nothing.
    """
    by_number = {entry.number: entry for entry in entries}
    for start, end in pairwise(point for point in points(entries) if point.fix and _tells(by_number[point.number])):
        before, after = by_number[start.number], by_number[end.number]
        made = run(start, end)
        sailing_h = made.hours - after.body.get("hove_to_h", 0.0)
        speed_kn = _promised_kn((before, after), made, vessel)
        if speed_kn is None or sailing_h < LEAST_SAILING_H or _engine_ran_h(entries, start, end) > MOST_ENGINE_H:
            continue
        sailed_nm = made.distance_nm - made.hours * _set_along_kn(current, start, end, made.course_deg)
        yield Seen(speed_kn * sailing_h, sailed_nm, SPEED_SCATTER_KN * sailing_h, after.number)


def _set_along_kn(current: Choice, start: Point, end: Point, course_deg: float) -> float:
    """What the current sets along her course, half of it as at either end, kn."""
    ends = [current_on(current, point.lat_deg, point.lon_deg, point.time) for point in (start, end)]
    along = [east * sin(radians(course_deg)) + north * cos(radians(course_deg)) for east, north in ends]
    return fmean(along)


def _tells(entry: Entry) -> bool:
    return entry.kind in ("start", "noon", "landfall")


def _promised_kn(noons: Sequence[Entry], made: Run, vessel: Vessel) -> float | None:
    """Mean over the winds noted of what she should make good on that course; None without a wind to sail in."""
    import numpy as np

    winds = [entry.body for entry in noons if "wind_kn" in entry.body]
    limit_kn = vessel.helm.gust_limit_kn / vessel.helm.gust_factor
    if not winds or any(body["wind_kn"] > limit_kn for body in winds):
        return None
    speed = np.array([body["wind_kn"] for body in winds])
    off_deg = np.array([abs((body.get("wind_from_deg", 0.0) - made.course_deg + 180) % 360 - 180) for body in winds])
    half_the_day_dark = (1.0 + vessel.helm.night_speed_share) / 2.0
    return float(vessel.speeds.along(speed, off_deg).mean()) * half_the_day_dark


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
