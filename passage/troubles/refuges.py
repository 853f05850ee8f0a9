"""Going on, turning back, or a refuge: the same crossings sailed there from every few days out, whole and damaged.

From the place of the middle crossing at the end of that day every way is *sailed* in the wind the crossings would have
met: a refuge to windward is beaten to, and a jury rig that cannot point never gets there. Distance divided by speed
would say otherwise. The ways back and on follow her own track; a refuge is reached by the straight line; where land
lies on it past the places that the user gives, or else round the land on the shortest way. One that cannot be sailed
to is left out, with a sentence. A way that the water does not reach counts as none.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import accumulate, combinations, islice, pairwise
from math import inf, nan
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.ensemble import first_of, passage_time_h, worse_end
from passage.crossings.search.find import shortest_track
from passage.crossings.search.region import Ends
from passage.crossings.simulate import LONGEST_WAIT_H, SLOWEST_MEAN_KN, arrivals_h
from passage.crossings.wind import Luck
from passage.errors import InputFaults, OutOfRange, RouteRefused
from passage.ground import lay_ground
from passage.inputs.climate import climate_at
from passage.inputs.current import current_at
from passage.inputs.forecast import read_forecast
from passage.inputs.search import Limits, TrackLimits
from passage.inputs.troubles import TROUBLES_FILE, refuge_faults
from passage.positions import Position, format_position
from passage.sailings.land import land_hits, on_land
from passage.sailings.magnetic import decimal_year, variation
from passage.sailings.track import Leg, lay_track, legs_nm, through_waypoints
from passage.tell.records import Record, reckoned, told
from passage.troubles.changes import rudder_lost
from passage.troubles.damage import damaged_vessel
from passage.troubles.nearest import DayOut, Harbour, Nearest, paces_at, ship_date, soonest_harbour
from passage.troubles.resail import (
    AT_DEPARTURE,
    GIVEN_UP_H,
    MEMBERS,
    fuel_left,
    homewards,
    hours_out,
    lane_from,
    later,
    middle_nm,
    onwards,
    strike_at,
    under,
)
from passage.troubles.turning import Turning, turning_points
from passage.troubles.ways import Lasts, Refuges, Way, WaysOfDay, WaysOut, WholeWays

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from passage.crossings.ensemble import Crossings
    from passage.crossings.ground import Ground
    from passage.crossings.helm import Vessel
    from passage.crossings.lanes import Lane
    from passage.errors import Fault
    from passage.inputs.folder import Facts
    from passage.inputs.troubles import Refuge
    from passage.road import Outcome
    from passage.sailings.track import Track
    from passage.troubles.effects import Aboard
    from passage.troubles.resail import Strike
    from passage.troubles.turning import Times

NOT_EATEN = ("water", "fuel", "gas")  # water is told apart; a boat sails on without the others
AFLOAT = "give a position in open water off the harbour; the coast drawn here may be a mile out"
MINIMUM_LEG_DEG = 1 / 60  # a refuge a mile off is there


def fewer_of(outcome: Outcome) -> Outcome:
    """The first of the same crossings, by which troubles and ways out are told."""
    return replace(outcome, crossings=first_of(outcome.crossings, MEMBERS))


def sail_ways_out(outcome: Outcome) -> WaysOut:
    """Every way out of every few days, which asks for nothing but the crossings."""
    return ways_out(fewer_of(outcome), outcome.crossings)


def ways_out(outcome: Outcome, followed: Crossings | None = None) -> WaysOut:
    """Sail every way from every few days out. followed: the crossings whose middle one she is, the outcome's own where
    left out. Raises InputFaults for refuges on land.
    """
    facts, ground, luck = outcome.facts, outcome.ground, _luck(outcome)
    places = followed or outcome.crossings
    laid = _laid(outcome, places)
    jury = damaged_vessel(facts.boat, ground.polar, facts.troubles.jury_rig)
    steered = rudder_lost(facts, ground)[1].vessel
    whole, crippled, by_hand = _ways(outcome, laid.strikes, laid.grounds, (ground.vessel, jury, steered), luck)
    return WaysOut(
        to=laid.found.to,
        left_out=laid.found.left_out,
        strikes=laid.strikes,
        lengths_nm=[[there.track.length_nm for there in ways] for ways in laid.grounds],
        whole=whole,
        jury=crippled,
        rudder=by_hand,
        every_day=[_leads(outcome, places, *each) for each in zip(laid.daily, laid.found.tracks, strict=True)],
        crossings=luck.members,
    )


def sail_whole_ways(outcome: Outcome) -> WholeWays:
    """The same ways by the whole boat alone, a third of the work. Raises InputFaults for refuges on land."""
    fewer = fewer_of(outcome)
    laid = _laid(fewer, outcome.crossings)
    (whole,) = _ways(fewer, laid.strikes, laid.grounds, (fewer.ground.vessel,), _luck(fewer))
    return WholeWays(laid.found.to, laid.strikes, whole)


class _Laid(NamedTuple):
    """found: tracks to the refuges from each of ``daily``; strikes: the few sailed from; grounds: of each way."""

    found: ToRefuges
    daily: list[Strike]
    strikes: list[Strike]
    grounds: list[list[Ground]]


def _laid(outcome: Outcome, places: Crossings) -> _Laid:
    ground, (hours, few) = outcome.ground, hours_out(places)
    daily = [strike_at(places, hour) for hour in hours]
    found = tracks_to_refuges(outcome.facts, ground.track, [strike.node for strike in daily])
    strikes = daily[few - 1 :: few]
    aside = iter(_grounds(outcome, [track for from_one in found.tracks[few - 1 :: few] for track in from_one]))
    grounds = [
        [onwards(ground, strike), homewards(ground, strike), *islice(aside, len(found.to))] for strike in strikes
    ]
    return _Laid(found, daily, strikes, grounds)


def _luck(outcome: Outcome) -> Luck:
    return Luck(outcome.crossings.seed, min(MEMBERS, outcome.crossings.members))


def _leads(outcome: Outcome, places: Crossings, strike: Strike, aside: Sequence[Track]) -> DayOut:
    track, at = outcome.ground.track, strike.node
    course_deg = float(track.course_deg[at])
    year = decimal_year(outcome.crossings.depart + timedelta(hours=float(strike.hour)))
    try:
        variation_deg = variation(float(track.lat_deg[at]), float(track.lon_deg[at]), year).variation_deg
    except OutOfRange:  # a year beyond the model: true courses alone
        variation_deg = nan
    return DayOut(
        hour=strike.hour,
        to_go_nm=track.length_nm - middle_nm(places, strike.hour),
        lengths_nm=(track.length_nm - strike.run_nm, strike.run_nm, *(way.length_nm for way in aside)),
        courses_deg=(course_deg, (course_deg + 180.0) % 360.0, *(float(way.course_deg[0]) for way in aside)),
        variation_deg=variation_deg,
    )


def refuges_of(outcome: Outcome, before: Aboard, out: WaysOut) -> Refuges:
    """The ways out beside what is aboard, and from which day on one is quicker than another."""
    sailed = zip(out.strikes, out.lengths_nm, out.whole, out.jury, out.rudder, strict=True)
    days = tuple(_day(outcome, before, *each) for each in sailed)
    names = way_names(outcome, out)
    whole, jury, rudder = ([getattr(day, state) for day in days] for state in ("whole", "jury", "rudder"))
    return Refuges(
        ways=names,
        days=days,
        whole=_turnings(names, days, whole),
        jury=_turnings(names, days, jury),
        rudder=_turnings(names, days, rudder),
        nearest=_nearest(outcome, names, days, out.every_day),
        crossings=out.crossings,
        left_out=out.left_out,
        positions=_positions(outcome, out),
    )


def _turnings(names: tuple[str, ...], days: Sequence[WaysOfDay], ways: list[tuple[Way, ...]]) -> tuple[Turning, ...]:
    """As by time, a way counting as none where even the survival ration of water is gone before."""
    rows = [
        (
            day.hour / 24.0,
            [tuple(_within(hours, day.ration_days) for hours in (way.typical_h, way.slow_end_h)) for way in row],
        )
        for day, row in zip(days, ways, strict=True)
    ]
    return turning_points(names, rows)  # type: ignore[arg-type]  # two each


def _within(hours: float, days: float) -> float:
    return hours if hours <= 24.0 * days else inf


def _nearest(
    outcome: Outcome, names: tuple[str, ...], days: Sequence[WaysOfDay], every_day: Sequence[DayOut]
) -> tuple[Nearest, ...]:
    sailed = [day.hour / 24.0 for day in days]
    ration_days = np.array([day.ration_days + day.hour / 24.0 for day in days])  # from the departure on

    def soonest(out: DayOut, state: str) -> Harbour | None:
        at_day = out.hour / 24.0
        paces = [paces_at(at_day, sailed, [getattr(day, state)[at] for day in days]) for at in range(len(names))]
        return soonest_harbour(names, out, paces, float(np.interp(at_day, sailed, ration_days)) - at_day)

    return tuple(
        Nearest(
            hour=out.hour,
            ship_date=ship_date(outcome.noons, outcome.crossings.depart, out.hour),
            to_go_nm=out.to_go_nm,
            whole=soonest(out, "whole"),
            jury=soonest(out, "jury"),
            rudder=soonest(out, "rudder"),
        )
        for out in every_day
    )


def _positions(outcome: Outcome, out: WaysOut) -> tuple[str, ...]:
    facts = outcome.facts
    refuges = {refuge.name: refuge.position for refuge in facts.troubles.refuges}
    ends = (facts.voyage.waypoints[-1].position, facts.voyage.waypoints[0].position)
    return tuple(format_position(*position) for position in (*ends, *(refuges[name] for name in out.to)))


def way_names(outcome: Outcome, out: WaysOut | WholeWays) -> tuple[str, ...]:
    """On, back, the refuges: in the order in which they are sailed."""
    waypoints = outcome.facts.voyage.waypoints
    return (f"on to {waypoints[-1].name}", f"back to {waypoints[0].name}", *out.to)


def _ways(
    outcome: Outcome, strikes: list[Strike], grounds: list[list[Ground]], vessels: Sequence[Vessel], luck: Luck
) -> list[list[list[Times]]]:
    """Typical and slow-end hours by each of the vessels, of every way from every strike, all sailed side by side."""
    lanes: list[Lane | None] = []
    for strike, ways in zip(strikes, grounds, strict=True):
        from_here = later(luck, strike)
        for there in ways:
            lanes += _by_each(there, outcome, strike, from_here, vessels)
    times = _times_h(lanes, outcome.slow_share)
    by_each = [iter(times[at :: len(vessels)]) for at in range(len(vessels))]
    return [[[next(one) for _ in ways] for ways in grounds] for one in by_each]


def _by_each(
    there: Ground, outcome: Outcome, strike: Strike, luck: Luck, vessels: Sequence[Vessel]
) -> Iterator[Lane | None]:
    """One way by each vessel, in one weather; None where a current wins."""
    weather = None
    for vessel in vessels:
        left = fuel_left(vessel, outcome.crossings, strike)
        try:
            lane = lane_from(there, left, outcome.crossings, strike, luck, weather)
        except RouteRefused:
            yield None
        else:
            weather = lane.weather
            yield lane


def _times_h(lanes: Sequence[Lane | None], slow_share: float) -> list[Times]:
    """Typical and slow-end hours of each; never where there is none."""
    arrived = iter(arrivals_h([lane for lane in lanes if lane is not None]))
    never = np.array([inf])
    ends = [never if lane is None else next(arrived) for lane in lanes]
    return [(passage_time_h(arrival_h, 0.5), passage_time_h(arrival_h, slow_share)) for arrival_h in ends]


def _day(
    outcome: Outcome,
    before: Aboard,
    strike: Strike,
    lengths_nm: list[float],
    whole: list[Times],
    jury: list[Times],
    rudder: list[Times],
) -> WaysOfDay:
    track, facts = outcome.ground.track, outcome.facts
    left = {
        store.name: (worse_end(store.usable - store.drawing.drawn_before(strike.hour), outcome.slow_share), store.daily)
        for store in before.stores
    }
    water_l, daily_l = left.get("water", (0.0, 1.0))
    food_kcal, daily_kcal = left.get("food", (inf, 1.0))
    water_days, ration_days = max(water_l, 0.0) / daily_l, max(water_l, 0.0) / facts.crew.ration_l_per_day
    others_days = {name: max(stock, 0.0) / daily for name, (stock, daily) in left.items() if name not in NOT_EATEN}

    def ways(times: list[Times], hold_h: float) -> tuple[Way, ...]:
        lasts = [_lasts((slow_h + hold_h) / 24.0, water_days, ration_days) for _, slow_h in times]
        reached_h = [slow_h for (_, slow_h), last in zip(times, lasts, strict=True) if last is not Lasts.NEITHER]
        soonest_h = min(reached_h, default=inf)
        return tuple(
            Way(
                length_nm,
                typical_h + hold_h,
                slow_h + hold_h,
                max(length_nm / SLOWEST_MEAN_KN + LONGEST_WAIT_H, float(GIVEN_UP_H)) + hold_h,
                last,
                tuple(name for name, days in others_days.items() if days < (slow_h + hold_h) / 24.0),
                quickest=slow_h == soonest_h < inf and last is not Lasts.NEITHER,
            )
            for length_nm, (typical_h, slow_h), last in zip(lengths_nm, times, lasts, strict=True)
        )

    return WaysOfDay(
        hour=strike.hour,
        run_nm=strike.run_nm,
        lat_deg=float(track.lat_deg[strike.node]),
        lon_deg=float(track.lon_deg[strike.node]),
        water_days=water_days,
        ration_days=ration_days,
        food_days=max(food_kcal, 0.0) / daily_kcal,
        whole=ways(whole, 0.0),
        jury=ways(jury, facts.troubles.jury_rig.rigging_h),
        rudder=ways(rudder, 0.0),
    )


def _lasts(slow_end_days: float, water_days: float, ration_days: float) -> Lasts:
    if slow_end_days <= water_days:
        return Lasts.FULL_USE
    return Lasts.RATION if slow_end_days <= ration_days else Lasts.NEITHER


def turns_of(outcome: Outcome, out: WaysOut | WholeWays) -> tuple[Turning, ...]:
    """From when on going on is quicker than turning back and than each refuge, everything whole."""
    return turning_points(way_names(outcome, out), _by_day(out.strikes, out.whole))


def _by_day(strikes: Sequence[Strike], times: list[list[Times]]) -> list[tuple[float, Sequence[Times]]]:
    return [(strike.hour / 24.0, row) for strike, row in zip(strikes, times, strict=True)]


# ---------------------------------------------------------------- tracks to the refuges


def _grounds(outcome: Outcome, tracks: Sequence[Track]) -> list[Ground]:
    """The grounds along tracks of their own, every file read once for all of them: climate, current and forecast
    there; no set and drift, which belong to the voyage's legs.
    """
    if not tracks:
        return []
    lat, lon = (np.concatenate([getattr(track, name) for track in tracks]) for name in ("lat_deg", "lon_deg"))
    where, rules = outcome.facts.voyage.departure, outcome.facts.voyage.forecast
    trust_h = rules.half_weight_after_h, rules.no_weight_after_h
    everywhere = replace(
        outcome.ground,
        climate=climate_at(where.climate, lat, lon),
        current=current_at(where.current, lat, lon),
        forecast=read_forecast(rules.file, lat, lon, *trust_h) if rules.file and outcome.ground.forecast else None,
    )
    ends = accumulate(track.nodes for track in tracks)
    return [
        under(everywhere, track, np.arange(end - track.nodes, end)) for track, end in zip(tracks, ends, strict=True)
    ]


def lay_with_refuges(facts: Facts) -> Ground:
    """The ground, as ``ground.lay_ground`` lays it, and every refuge looked at: the faults of both are told at once."""
    on_land = _ashore(facts)
    try:
        ground = lay_ground(facts)
    except InputFaults as error:
        raise InputFaults([*error.faults, *on_land]) from None
    if on_land:
        raise InputFaults(on_land)
    return ground


def _ashore(facts: Facts) -> list[Fault]:
    """Faults of refuges on land."""
    found = [
        (index, "position", f"{format_position(*refuge.position)} lies on land", AFLOAT)
        for index, refuge in enumerate(facts.troubles.refuges)
        if on_land([refuge.position.latitude_deg], [refuge.position.longitude_deg])[0]
    ]
    return refuge_faults(facts.home.document(TROUBLES_FILE), found).faults if found else []


class ToRefuges(NamedTuple):
    """to: the refuges that can be sailed to; tracks: from each node to each of them; left_out: a sentence on each other
    one.
    """

    to: tuple[str, ...]
    tracks: list[list[Track]]
    left_out: tuple[str, ...]


def tracks_to_refuges(facts: Facts, track: Track, nodes: Sequence[int]) -> ToRefuges:
    """From each of these nodes of the track a track to every refuge that can be sailed to. Raises InputFaults for
    refuges on land, all at once.
    """
    if faults := _ashore(facts):
        raise InputFaults(faults)
    reached, left_out = [], []
    for refuge in facts.troubles.refuges:
        ways = _Ways(facts, refuge)
        try:
            found = [ways.track_from((float(track.lat_deg[at]), float(track.lon_deg[at]))) for at in nodes]
        except RouteRefused as refusal:
            left_out.append(f"{refuge.name} is left out: {refusal}.")
        else:
            reached.append((refuge.name, found))
    by_node = [[found[at] for _, found in reached] for at in range(len(nodes))]
    return ToRefuges(tuple(name for name, _ in reached), by_node, tuple(left_out))


class _Ways:
    """Ways to one refuge. What was found round the land from one place serves the next."""

    def __init__(self, facts: Facts, refuge: Refuge) -> None:
        self._refuge = refuge
        by_day_nm = facts.limits.limits.clear_by_day_nm
        off_land = Limits(clear_by_day_nm=by_day_nm, clear_by_night_nm=by_day_nm)
        self._limits, self._depart = TrackLimits(limits=off_land), facts.voyage.departure.depart
        self._round: list[Position] = []

    def track_from(self, here: tuple[float, float]) -> Track:
        """The shortest of the ways past the fewest of the places given that meet no land, else one round the land.
        Raises RouteRefused where there is none.
        """
        via = self._refuge.via
        for passed in range(len(via) + 1):
            if clear := self._clear(here, combinations(via, passed)):
                return clear
        if clear := self._clear(here, (self._round[at:] for at in range(len(self._round)))):
            return clear
        ends = Ends(*here, *self._refuge.position)
        found = shortest_track(ends, self._limits, self._depart)
        places = [Position(float(lat), float(lon)) for lat, lon in zip(found.lat_deg, found.lon_deg, strict=True)]
        self._round = places[1:-1]
        return lay_track(_legs([here, *self._round, self._refuge.position]))

    def _clear(self, here: tuple[float, float], ways: Iterable[Sequence[Position]]) -> Track | None:
        """The shortest of the ways that meet no land."""
        for legs in sorted((_legs([here, *via, self._refuge.position]) for via in ways), key=legs_nm):
            track = lay_track(legs)
            if not land_hits(*through_waypoints(track)[1:]):
                return track
        return None


def _legs(places: list[tuple[float, float]]) -> list[Leg]:
    """Great circles from place to place; a refuge that she is at is a mile off."""
    (lat, lon), last = places[-2], places[-1]
    if abs(last[0] - lat) < MINIMUM_LEG_DEG and abs(last[1] - lon) < MINIMUM_LEG_DEG:
        places = [*places[:-1], (last[0] + MINIMUM_LEG_DEG, last[1])]
    return [Leg(*start, *end) for start, end in pairwise(places)]


# ---------------------------------------------------------------- from where she is


class Reach(Record):
    """A refuge from where the crossings begin."""

    name: str = told("its name")
    way_nm: float = told("miles by the way to it; null where land bars it")
    way_course_deg: float = told("true course at first")
    typical_h: float
    slow_end_h: float
    barred: str = told("what land bars the way; empty where none does", default="")

    @reckoned("days to it, typically; null where half the crossings never get there")
    def typical_days(self) -> float:
        return self.typical_h / 24.0

    @reckoned("days to it at the slow end; null where too few get there")
    def slow_end_days(self) -> float:
        return self.slow_end_h / 24.0


def within_reach(outcome: Outcome) -> tuple[Reach, ...]:
    """Every refuge sailed to from where the crossings begin, the soonest first, what land bars last."""
    begins = float(outcome.ground.track.lat_deg[0]), float(outcome.ground.track.lon_deg[0])
    ways: list[tuple[Refuge, Track]] = []
    barred: list[Reach] = []
    for refuge in outcome.facts.troubles.refuges:
        try:
            ways.append((refuge, _Ways(outcome.facts, refuge).track_from(begins)))
        except RouteRefused as refusal:
            barred.append(Reach(refuge.name, nan, nan, inf, inf, str(refusal)))
    found = [
        Reach(refuge.name, track.length_nm, float(track.course_deg[0]), *times)
        for (refuge, track), times in zip(ways, _times_to(outcome, [track for _, track in ways]), strict=True)
    ]
    return tuple(sorted([*found, *barred], key=lambda reach: (reach.barred != "", reach.typical_h, reach.way_nm)))


def _times_to(outcome: Outcome, tracks: Sequence[Track]) -> list[Times]:
    """Of each of these ways from where the crossings begin, sailed side by side."""
    luck = _luck(outcome)
    grounds = [there for track in tracks for there in _grounds(outcome, [track])]
    vessels = [outcome.ground.vessel]
    lanes = [lane for there in grounds for lane in _by_each(there, outcome, AT_DEPARTURE, luck, vessels)]
    return _times_h(lanes, outcome.slow_share)
