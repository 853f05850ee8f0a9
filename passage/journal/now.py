"""Where we are, when we arrive now, what lasts: the thousand crossings sailed from here, with the boat as learned."""

from __future__ import annotations

from dataclasses import field, replace
from datetime import datetime, timedelta
from math import isfinite, nan
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.consequences.stores.water import daily_need_l
from passage.crossings.ensemble import passage_time_h
from passage.crossings.wind import Luck
from passage.errors import InputFaults, MissingExtra, OutOfRange, PassageError
from passage.ground import ground_under
from passage.inputs.climate import read_climate
from passage.journal.beside import Beside, beside, beside_plan
from passage.journal.entries import Setting, setting_of, standing
from passage.journal.evidence import Lessons, lessons
from passage.journal.flags import flags
from passage.journal.here import ahead, as_learned, carried, drunk_from, rigged, sounded_h, way_back
from passage.journal.reckoning import Point, Run, carried_to, hours_between, points, run
from passage.journal.rota import Turn, planned_watches, tonight
from passage.journal.taught import Taught, taught_of
from passage.journal.upkeep import due
from passage.positions import format_position
from passage.road import CROSSINGS, SEED, Outcome, walk
from passage.sailings.clock import carried_on_deg, ship_zone_h
from passage.sailings.sky import AlmanacDay
from passage.tell.figures import Side
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from passage.consequences.power.power import Power
    from passage.consequences.stores.drawdown import Store
    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts
    from passage.journal.here import Supposed
    from passage.journal.record import Entry
    from passage.sailings.track import Track

MOST_LAND_NM = 30.0  # an island that a straight way clips leaves the days to landfall as they are; a continent does not


class Lasts(Record):
    """One store from here; runs_out: in the crossing that as many fare worse than as are later than the slow end."""

    name: str = told("water, fuel, gas")
    unit: str = told("unit of its amounts")
    aboard: float = told("what there is to draw on", places=1)
    daily: float = told("mean use a day", places=1)
    left: float = told(
        "what is left of it at landfall in the typical crossing, negative where short", Side.DOWN, places=1
    )
    short: float
    runs_out: datetime | None = told(
        "when it is gone in the crossing that 1 in 20 fares worse than; null where it lasts"
    )

    @reckoned("crossings in 100 that run out of it", Side.UP)
    def short_in_100(self) -> float:
        return 100.0 * self.short


class Ration(Record):
    """Water for each person and day that lasts to the slow end, from today."""

    person_l: float = told("litres for each person and day that last to the slow end", places=1)
    survival_l: float = told("the least that the crew file sets for a person and day, litres", places=1)

    @reckoned("whether the ration is under that")
    def below_survival(self) -> bool:
        return self.person_l < self.survival_l


class Forward(Record):
    """The crossings from here."""

    outcome: Outcome = field(repr=False, compare=False)
    members: int = told("how many were sailed")
    typical: datetime | None = told("landfall of the typical crossing; null where too few arrive")
    slow_end: datetime | None = told("landfall at the slow end; null where too few arrive")
    one_in: int = told("the slow end is what 1 crossing in so many exceeds")
    stores: tuple[Lasts, ...] = told("water first, then fuel and gas where there are any")
    ration: Ration | None = told("water that lasts to the slow end; null where full use does")
    motor_h: float = told("hours under engine that are left for calms")
    battery_low: float

    @reckoned("crossings in 100 with a night below the battery's floor; null where nothing is known of it", Side.UP)
    def battery_low_in_100(self) -> float:
        return 100.0 * self.battery_low


class Night(Record):
    """Sun and moon where she is."""

    sunset: datetime | None = told("sunset; null where there is none")
    sunrise: datetime | None = told("sunrise after it")
    moonrise: datetime | None = told("moonrise of this day")
    moonset: datetime | None = told("moonset of this day")
    moon_lit_in_100: float = told("of the moon's disc so much is lit, per cent")
    moon_phase: str = told("her phase")


class LastRun(Record):
    """From the entry before to the last one."""

    distance_nm: float = told("miles of it, straight")
    hours: float = told("its hours", places=0)
    speed_kn: float = told("its speed made good")


class Now(Record):
    """Everything that one screen says."""

    setting: Setting
    started: datetime = told("the departure")
    here: Point
    to_go_nm: float = told("miles to go along the track")
    made_good_nm: float = told("miles made good along the track: the plan's length less what is to go")
    yesterday: Run | None
    taught: Lessons | None
    forward: Forward | None = told("the crossings from here; null where she is in or where none can be sailed")
    barred: str = told("why no crossings could be sailed from here; empty where they could")
    supposed: tuple[str, Forward] | None
    flags: tuple[str, ...] = told("what the latest entries call for attention to")
    nights: tuple[AlmanacDay, ...]
    watches: tuple[Turn, ...] = told("the watches of tonight, by the plan's rota")
    zone_h: int = told("ship's time less UTC, hours")
    sounded_h: float = told("hours since any water tank was sounded; what is drunk a day since is taken off")
    upkeep: tuple[str, ...] = told("what is to be seen to underway and is due")
    beside_since: datetime | None = told("since when she stands so to the plan; null since she sailed")

    @reckoned("ahead of the plan, with it, behind it, or not said")
    def beside(self) -> Beside:
        return Beside.UNSAID if self.arrived else beside(self.setting.plan, self.hours_out, self.made_good_nm)

    @reckoned("her name")
    def boat(self) -> str:
        return self.setting.ship

    @reckoned("where she is bound")
    def destination(self) -> str:
        return self.setting.destination

    @reckoned("the moment of the position: of the last entry, or of asking")
    def at(self) -> datetime:
        return self.here.time

    @reckoned("where she is")
    def position(self) -> str:
        return format_position(self.here.lat_deg, self.here.lon_deg)

    @reckoned("hours since the last fix; null where this is one")
    def reckoned_h(self) -> float:
        return nan if self.here.fix else self.here.since_fix_h

    @reckoned("whether she is in")
    def arrived(self) -> bool:
        return self.to_go_nm == 0.0

    @reckoned("days since departure")
    def since_departure_days(self) -> float:
        return self.hours_out / 24.0

    @reckoned("miles made good an hour since departure")
    def mean_kn(self) -> float:
        return self.made_good_nm / self.hours_out if self.hours_out > 0 else 0.0

    @reckoned("from the entry before to the last one")
    def last_run(self) -> LastRun | None:
        run = self.yesterday
        return LastRun(run.distance_nm, run.hours, run.speed_kn) if run else None

    @reckoned("landfall of the typical crossing as planned")
    def planned_typical(self) -> datetime | None:
        return self._planned("typical_h")

    @reckoned("landfall at the slow end as planned")
    def planned_slow_end(self) -> datetime | None:
        return self._planned("slow_end_h")

    @reckoned("whether the plan's miles for this hour were right, in words")
    def beside_plan(self) -> str:
        if self.beside is Beside.UNSAID:
            return ""
        return beside_plan(self.setting.plan, self.hours_out, self.made_good_nm, self.beside_since)

    @reckoned("what the log taught, factor by factor")
    def learned(self) -> tuple[Taught, ...]:
        return taught_of(self.taught) if self.taught else ()

    @reckoned("what is supposed; empty where nothing is")
    def if_words(self) -> str:
        return self.supposed[0] if self.supposed else ""

    @reckoned("what would follow from it")
    def if_so(self) -> Forward | None:
        return self.supposed[1] if self.supposed else None

    @reckoned("sun and moon where she is; null outside the almanac")
    def tonight(self) -> Night | None:
        if not self.nights:
            return None
        today, tomorrow = self.nights
        moon = today.moonrise, today.moonset, 100.0 * today.moon_illuminated, today.moon_phase
        return Night(today.sunset, tomorrow.sunrise, *moon)

    @property
    def hours_out(self) -> float:
        return hours_between(self.started, self.here.time)

    def _planned(self, name: str) -> datetime | None:
        hours = self.setting.plan.get(name)
        return self.started + timedelta(hours=hours) if hours else None


def now(
    facts: Facts,
    entries: Sequence[Entry],
    *,
    time: datetime | None = None,
    what_if: Callable[[Facts], Supposed] | None = None,
    members: int = CROSSINGS,
    seed: int = SEED,
    progress: Callable[[float], None] | None = None,
) -> Now:
    """From the facts of the folder and the log's entries as read; time: of asking, the last entry's where left out;
    what_if: from the facts as learned to what is supposed, such as ``supposing``.

    Raises InputFaults for a log without a position and for a supposition that is not understood.
    """
    setting, kept = setting_of(entries), standing(entries)
    track = points(kept)
    in_port = any(entry.kind == "landfall" for entry in kept)
    here = carried_to(track, time) if time and not in_port else track[-1]
    behind = () if in_port or time is None else _behind_words(here, time)
    way = ahead(facts.voyage, here)
    zone_h = ship_zone_h(carried_on_deg([*(point.lon_deg for point in track), here.lon_deg]))
    report = Now(
        setting=setting,
        started=track[0].time,
        here=here,
        to_go_nm=way.to_go_nm,
        made_good_nm=way.planned_nm - way.to_go_nm,
        yesterday=run(track[-2], track[-1]) if len(track) > 1 else None,
        taught=None,
        forward=None,
        barred="",
        supposed=None,
        flags=(*behind, *way.land_words(), *flags(kept, facts.boat, here, None)),
        nights=_nights(here),
        watches=tonight(setting.plan, here, zone_h),
        zone_h=zone_h,
        sounded_h=sounded_h(kept, here),
        beside_since=None,
        upkeep=() if in_port else tuple(one.words for one in due(kept, setting, here.time)),
    )
    report = replace(report, beside_since=_beside_since(facts, report, track))
    if way.voyage is None or way.track is None:
        return report
    if any(hit.across_nm > MOST_LAND_NM for hit in way.land.values()):
        return replace(report, barred="No crossings can be sailed from here: land lies on the straight way.")
    onward = replace(carried(facts, kept, report.hours_out), voyage=way.voyage, troubles=way_back(facts, here))
    try:
        ground, ashore = _ground(onward, way.track)
    except PassageError as refusal:
        return replace(report, barred=f"No crossings can be sailed from here on a straight course: {refusal}")
    air_c = air_ahead_c(ground, here.time)
    usual = read_climate(facts.voyage.departure.climate)
    water_l, current = planned_water_l(setting, facts, air_c), facts.voyage.current_away
    taught = lessons(kept, facts.boat, ground.vessel, water_l, setting.plan, current, usual)
    drunk_l = water_l * taught.water.after.mean * sounded_h(kept, here) / 24.0
    learned = as_learned(replace(onward, boat=drunk_from(onward.boat, drunk_l)), taught, air_c)
    fitted, luck = rigged(learned, ground), Luck(seed, members)
    supposed = _supposed(what_if(learned), learned, fitted, luck) if what_if else None
    return replace(
        report,
        taught=taught,
        forward=_forward(walk(learned, fitted, luck, here.time, progress)),
        supposed=supposed,
        flags=(*behind, *way.land_words(), *flags(kept, facts.boat, here, taught), *ashore),
    )


def _beside_since(facts: Facts, report: Now, track: Sequence[Point]) -> datetime | None:
    """The first of the unbroken row of positions, up to this one, that stood to the plan as she does now; None where
    that reaches back to the departure. The first day is not judged.
    """
    since = report.here.time
    for point in reversed(track[1:]):
        way, hours = ahead(facts.voyage, point), hours_between(report.started, point.time)
        stood = beside(report.setting.plan, hours, way.planned_nm - way.to_go_nm)
        if stood is Beside.UNSAID:
            return None
        if stood is not report.beside:
            return since
        since = point.time
    return None


def _nights(here: Point) -> tuple[AlmanacDay, ...]:
    from passage.sailings.sky import almanac

    today = (here.time + timedelta(hours=here.lon_deg / 15.0)).date()
    try:
        return almanac([today, today + timedelta(days=1)], [here.lat_deg] * 2, [here.lon_deg] * 2)
    except OutOfRange:
        return ()


def _ground(onward: Facts, track: Track) -> tuple[Ground, tuple[str, ...]]:
    """The ground from here, land or no land on it; a forecast that does not serve from here is left out, and said."""
    try:
        return ground_under(onward, track), ()
    except (InputFaults, MissingExtra) as refusal:
        if onward.voyage.forecast.file is None:
            raise
        why = str(refusal).splitlines()[0]
    without = onward.voyage.model_copy(update={"forecast": type(onward.voyage.forecast)()})
    return ground_under(replace(onward, voyage=without), track), (f"The forecast is left out: {why}.",)


def _behind_words(here: Point, asked: datetime) -> tuple[str, ...]:
    """What is said where reckoning does not reach the moment asked for."""
    hours = hours_between(here.time, asked)
    if hours <= 0.0:
        return ()
    said = f"All this is of {here.time:%d %b %H%M} UTC, {hours:.0f} hours before the time asked for"
    return (f"{said}: reckoning is not carried on further. Log a position.",)


def air_ahead_c(ground: Ground, moment: datetime) -> float:
    return float(np.nanmean(ground.climate.air_c[moment.month - 1]))


def planned_water_l(setting: Setting, facts: Facts, air_c: float) -> float:
    """Litres a day that the plan reckoned with, for the whole crew; without a plan what the crew file makes here."""
    if "water_l_per_day" in setting.plan:
        return float(setting.plan["water_l_per_day"])
    return float(daily_need_l(facts.crew, np.array([air_c]))[0])


def _forward(sailed: Outcome) -> Forward:
    """What follows from the crossings sailed from here; nothing more can be bought."""
    outcome = replace(sailed, shopping=False)
    stores = outcome.stores
    return Forward(
        outcome=outcome,
        members=outcome.crossings.members,
        typical=_moment(outcome, outcome.times.typical_h),
        slow_end=_moment(outcome, outcome.times.slow_end_h),
        one_in=round(1.0 / outcome.facts.voyage.reserve.slow_end_share),
        stores=tuple(_lasts(outcome, store) for store in (stores.water.store, stores.fuel, stores.gas) if store),
        ration=_ration(outcome),
        motor_h=outcome.ground.vessel.motor_hours,
        battery_low=outcome.power.low.below_floor if outcome.power else nan,
    )


def _moment(outcome: Outcome, hours: float) -> datetime | None:
    return outcome.crossings.depart + timedelta(hours=hours) if isfinite(hours) else None


def _lasts(outcome: Outcome, store: Store) -> Lasts:
    moment = _moment(outcome, passage_time_h(store.ran_out_h, 1.0 - outcome.slow_share))
    left = store.usable - float(np.quantile(store.net_used, 0.5, method="inverted_cdf"))
    return Lasts(store.name, store.own_unit, max(store.usable, 0.0), store.daily, left, store.short, moment)


def _ration(outcome: Outcome) -> Ration | None:
    """Full use cut down to what lasts to the slow end; None where it lasts as it is, or where no slow end is known."""
    water, crew = outcome.stores.water, outcome.facts.crew
    wanted_l = water.store.load.to_slow_end
    if wanted_l <= water.store.loaded or not isfinite(wanted_l):
        return None
    person_l = water.store.daily / len(crew.people) * water.store.loaded / wanted_l
    return Ration(person_l, crew.water.survival_l_per_day)


def _supposed(supposed: Supposed, facts: Facts, ground: Ground, luck: Luck) -> tuple[str, Forward]:
    """The same crossings with one thing changed; the battery is reckoned again only where it is that."""
    changed, there = supposed.change(facts, ground)
    if changed.electrics is facts.electrics:
        changed = replace(changed, electrics=None)
    sailed = walk(changed, there, luck, facts.voyage.departure.depart)
    return supposed.words, _forward(replace(sailed, crossings=supposed.afterwards(sailed.crossings)))


def planned(outcome: Outcome) -> dict[str, Any]:
    """The plan's own numbers, to be kept in the log's first entry and set beside what comes: hours, litres and, for
    each day out, the miles that 8 crossings in 10 lie between.
    """
    times, water = outcome.times, outcome.stores.water
    return {
        "depart": outcome.crossings.depart.isoformat(),
        "length_nm": round(outcome.ground.track.length_nm, 1),
        "typical_h": _finite(times.typical_h),
        "slow_end_h": _finite(times.slow_end_h),
        "one_in": round(1.0 / outcome.facts.voyage.reserve.slow_end_share),
        "water_l_per_day": round(water.store.daily, 2),
        "water_l": round(water.store.loaded, 1),
        "by_day": [
            [round(day.least_run_nm), round(day.typical_run_nm), round(day.most_run_nm)] for day in outcome.by_day
        ],
        **(_planned_electricity(outcome.power) if outcome.power else {}),
        "watches": planned_watches(outcome),
    }


def _planned_electricity(power: Power) -> dict[str, float]:
    """Sun and generators half-way between the high and the low case, the engine apart; loads and bank are the same."""
    from passage.consequences.power.balance import ALTERNATOR, ENGINE

    rows = [row for case in (power.high, power.low) for row in case.energy if row.kind == "source"]
    sun = [row.wh_per_day for row in rows if row.what not in (ALTERNATOR, ENGINE)]
    loads = [row.wh_per_day for row in power.low.energy if row.kind == "load"]
    return {
        "sun_wh_per_day": round(sum(sun) / 2.0, 1),
        "load_wh_per_day": round(sum(loads), 1),
        "battery_wh": round(power.capacity_wh, 1),
    }


def _finite(hours: float) -> float | None:
    return round(hours, 1) if isfinite(hours) else None
