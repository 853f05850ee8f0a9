"""Going on, turning back, or a refuge: the same crossings sailed there from every few days out, with rig and without.

From the place of the middle crossing at the end of that day every way is *sailed* in the wind the crossings would have
met: a refuge to windward is beaten to, and a jury rig that cannot point never gets there. Distance divided by speed
would say otherwise. The ways back and on follow her own track; a refuge is reached by the straight line, or past the
places that the user gives where land lies on it.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from itertools import accumulate, combinations, islice, pairwise
from math import ceil, inf, isfinite, isnan, nan
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.ensemble import passage_time_h
from passage.crossings.simulate import LONGEST_WAIT_H, SLOWEST_MEAN_KN, arrivals_h
from passage.crossings.wind import Luck
from passage.errors import InputFaults, RouteRefused
from passage.ground import lay_ground, legs_of
from passage.inputs.climate import along, read_climate
from passage.inputs.current import current_at
from passage.inputs.forecast import read_forecast
from passage.inputs.position import format_position
from passage.inputs.troubles import refuge_faults
from passage.sailings.land import land_hits, on_land
from passage.sailings.track import Leg, lay_track, through_waypoints
from passage.tell.records import Record, down, reckoned, told, up
from passage.troubles.damage import damaged_vessel
from passage.troubles.effects import drawn_by, ration_l_per_day, worse_end
from passage.troubles.resail import AT_DEPARTURE, fuel_left, homewards, lane_from, later, onwards, strike_at, under

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

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

_Times = tuple[float, float]  # typical and slow-end hours

MOST_DAYS = 9  # rows of the table
TRIED_FROM = 9  # places along the track from which a refuge is tried before anything is sailed
CROSSINGS = 200  # that are sailed each way: the first of the thousand
MINIMUM_LEG_DEG = 1 / 60  # a refuge a mile off is there


class Lasts(StrEnum):
    """What of water reaches the slow end of a way."""

    FULL_USE = "full use"
    RATION = "ration"
    NEITHER = "neither"


class Way(Record):
    """One way from one day. typical_h, slow_end_h: inf where too few get there; given_up_h: when who is not there is
    given up.
    """

    distance_nm: float = told("miles by this way")
    typical_h: float
    slow_end_h: float
    given_up_h: float
    water: Lasts = told("what of water reaches its slow end: full use, the survival ration, or neither")
    quickest: bool = told("whether no way is quicker at the slow end", default=False)

    @reckoned("typical days by this way; none where too few get there")
    def typical_days(self) -> float:
        return self.typical_h / 24.0

    @reckoned("days of its slow end; none where too few get there")
    def slow_end_days(self) -> float:
        return self.slow_end_h / 24.0

    @reckoned("days after which a crossing that has not got there, at a knot made good, is given up")
    def given_up_days(self) -> float:
        return self.given_up_h / 24.0


class Day(Record):
    """The ways from the end of one day out, in the order of ``Refuges.ways``. lat_deg, lon_deg: north and east
    positive.
    """

    day: int = told("day out, at the end of which she turns or goes on")
    run_nm: float = told("miles that the middle crossing has sailed by then")
    lat_deg: float
    lon_deg: float
    water_days: float = down("days that water then lasts at full use in the crossing that 1 in 20 fares worse than")
    ration_days: float = down("the same on the survival ration")
    food_days: float = down("the same of food at full use; none where food is not counted")
    whole: tuple[Way, ...] = told("the ways with everything whole")
    jury: tuple[Way, ...] = told("the ways under jury rig, the time to set it counted")

    @reckoned("where the middle crossing then is")
    def position(self) -> str:
        return format_position(self.lat_deg, self.lon_deg)


class Turn(StrEnum):
    """When going on is quicker than another way."""

    ALWAYS = "always"
    FROM_DAY = "from a day on"
    NEVER = "never"
    NEITHER = "neither gets there"


class Turning(Record):
    """The day out from which going on is quicker than this way; inf where it never is before landfall, 0 where it
    always is, nan where neither ever gets there.
    """

    way: str = told("the way that going on is held against")
    typical_day: float = up("day out from which going on is typically quicker; 0 from the start")
    slow_end_day: float = up("the same at the slow end")

    @reckoned("whether going on is typically quicker: always, from a day on, never, or neither gets there")
    def typical(self) -> Turn:
        return _turn_of(self.typical_day)

    @reckoned("the same at the slow end")
    def slow_end(self) -> Turn:
        return _turn_of(self.slow_end_day)


def _turn_of(day: float) -> Turn:
    if isnan(day):
        return Turn.NEITHER
    if day == 0.0:
        return Turn.ALWAYS
    return Turn.FROM_DAY if isfinite(day) else Turn.NEVER


class Refuges(Record):
    """Going on, turning back, or a refuge, each sailed from every few days out."""

    ways: tuple[str, ...] = told("on to the destination, back to the departure, the refuges: the order of every list")
    days: tuple[Day, ...] = told("every few days out")
    whole: tuple[Turning, ...] = told("from when on going on is quicker than each other way, everything whole")
    jury: tuple[Turning, ...] = told("the same under jury rig")
    crossings: int = told("crossings sailed each way")


class WaysOut(NamedTuple):
    """All ways out, sailed. lengths_nm, whole, jury: by strike and way; crossings: how many were sailed each way."""

    strikes: list[Strike]
    lengths_nm: list[list[float]]
    whole: list[list[_Times]]
    jury: list[list[_Times]]
    crossings: int


def ways_out(outcome: Outcome) -> WaysOut:
    """Sail every way from every few days out. Raises InputFaults for refuges on land or behind it."""
    facts, ground = outcome.facts, outcome.ground
    refuges = facts.troubles.refuges
    strikes = [strike_at(outcome.crossings, 24 * day) for day in days_of(outcome)]
    tracks = tracks_to_refuges(facts, ground.track, [strike.node for strike in strikes])
    aside = iter(_grounds(outcome, [track for from_one in tracks for track in from_one]))
    luck = Luck(outcome.crossings.seed, min(CROSSINGS, outcome.crossings.members))
    jury = damaged_vessel(facts.boat, ground.polar, facts.troubles.jury_rig)
    grounds = [[onwards(ground, strike), homewards(ground, strike), *islice(aside, len(refuges))] for strike in strikes]
    whole, crippled = _ways(outcome, strikes, grounds, (ground.vessel, jury), luck)
    return WaysOut(
        strikes=strikes,
        lengths_nm=[[there.track.length_nm for there in ways] for ways in grounds],
        whole=whole,
        jury=crippled,
        crossings=luck.members,
    )


def refuges_of(outcome: Outcome, before: Aboard, out: WaysOut) -> Refuges:
    """The ways out beside what is aboard, and from which day on one is quicker than another."""
    refuges, waypoints = outcome.facts.troubles.refuges, outcome.facts.voyage.waypoints
    days = [_day(outcome, before, *each) for each in zip(out.strikes, out.lengths_nm, out.whole, out.jury, strict=True)]
    names = (f"on to {waypoints[-1].name}", f"back to {waypoints[0].name}", *(refuge.name for refuge in refuges))
    return Refuges(
        ways=names,
        days=tuple(days),
        whole=turning_points(names, [(day.day, day.whole) for day in days]),
        jury=turning_points(names, [(day.day, day.jury) for day in days]),
        crossings=out.crossings,
    )


def days_of(outcome: Outcome) -> list[int]:
    """Every few whole days out at which the middle crossing is still at sea."""
    last = passage_time_h(np.minimum(outcome.crossings.arrival_h, outcome.crossings.hours), 0.5) / 24.0
    step = max(1, ceil(last / MOST_DAYS))
    return list(range(step, max(ceil(last), step + 1), step))


def _ways(
    outcome: Outcome, strikes: list[Strike], grounds: list[list[Ground]], vessels: tuple[Vessel, Vessel], luck: Luck
) -> tuple[list[list[_Times]], list[list[_Times]]]:
    """Typical and slow-end hours of every way from every strike by each of the vessels, all sailed side by side."""
    lanes: list[Lane | None] = []
    for strike, ways in zip(strikes, grounds, strict=True):
        from_here = later(luck, strike)
        for there in ways:
            lanes += _by_each(there, outcome, strike, from_here, vessels)
    times = _times_h(lanes, outcome.slow_share)
    one, other = iter(times[0::2]), iter(times[1::2])
    return [[next(one) for _ in ways] for ways in grounds], [[next(other) for _ in ways] for ways in grounds]


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


def _times_h(lanes: Sequence[Lane | None], slow_share: float) -> list[_Times]:
    """Typical and slow-end hours of each; never where there is none."""
    arrived = iter(arrivals_h([lane for lane in lanes if lane is not None]))
    never = np.array([inf])
    ends = [never if lane is None else next(arrived) for lane in lanes]
    return [(passage_time_h(arrival_h, 0.5), passage_time_h(arrival_h, slow_share)) for arrival_h in ends]


def _day(
    outcome: Outcome, before: Aboard, strike: Strike, lengths_nm: list[float], whole: list[_Times], jury: list[_Times]
) -> Day:
    track, facts = outcome.ground.track, outcome.facts
    left = {
        store.name: (worse_end(store.usable - drawn_by(store, strike.hour), outcome.slow_share), store.daily)
        for store in before.stores
    }
    water_l, daily_l = left.get("water", (0.0, 1.0))
    food_kcal, daily_kcal = left.get("food", (inf, 1.0))
    water_days, ration_days = max(water_l, 0.0) / daily_l, max(water_l, 0.0) / ration_l_per_day(facts)

    def ways(times: list[_Times], hold_h: float) -> tuple[Way, ...]:
        soonest_h = min(slow_h for _, slow_h in times)
        return tuple(
            Way(
                length_nm,
                typical_h + hold_h,
                slow_h + hold_h,
                length_nm / SLOWEST_MEAN_KN + LONGEST_WAIT_H + hold_h,
                _lasts((slow_h + hold_h) / 24.0, water_days, ration_days),
                quickest=slow_h == soonest_h < inf,
            )
            for length_nm, (typical_h, slow_h) in zip(lengths_nm, times, strict=True)
        )

    return Day(
        day=strike.hour // 24,
        run_nm=strike.run_nm,
        lat_deg=float(track.lat_deg[strike.node]),
        lon_deg=float(track.lon_deg[strike.node]),
        water_days=water_days,
        ration_days=ration_days,
        food_days=max(food_kcal, 0.0) / daily_kcal,
        whole=ways(whole, 0.0),
        jury=ways(jury, facts.troubles.jury_rig.rigging_h),
    )


def _lasts(slow_end_days: float, water_days: float, ration_days: float) -> Lasts:
    if slow_end_days <= water_days:
        return Lasts.FULL_USE
    return Lasts.RATION if slow_end_days <= ration_days else Lasts.NEITHER


def turning_points(ways: tuple[str, ...], days: list[tuple[int, tuple[Way, ...]]]) -> tuple[Turning, ...]:
    """Against every way but the first, straight between the days."""
    return tuple(
        Turning(
            way,
            _turns([(day, row[0].typical_h, row[at].typical_h) for day, row in days]),
            _turns([(day, row[0].slow_end_h, row[at].slow_end_h) for day, row in days]),
        )
        for at, way in enumerate(ways)
        if at > 0
    )


def _turns(rows: list[tuple[int, float, float]]) -> float:
    """The day from which on the first of two times is the shorter for good; rows: day, one time, the other. Days on
    which neither gets there decide nothing.
    """
    first_day = rows[0][0]
    rows = [row for row in rows if min(row[1:]) < inf]
    if not rows:
        return nan
    quicker = [on_h <= other_h for _, on_h, other_h in rows]
    last_behind = max((at for at, ahead in enumerate(quicker) if not ahead), default=-1)
    if last_behind < 0:
        return 0.0 if rows[0][0] == first_day else float(rows[0][0])
    if last_behind == len(rows) - 1:
        return inf
    (day, on_h, other_h), (next_day, next_on_h, next_other_h) = rows[last_behind : last_behind + 2]
    behind, ahead = on_h - other_h, next_other_h - next_on_h
    share = behind / (behind + ahead) if isfinite(behind) and isfinite(ahead) else 1.0
    return day + share * (next_day - day)


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
        climate=along(read_climate(where.climate), lat, lon),
        current=current_at(where.current, lat, lon),
        forecast=read_forecast(rules.file, lat, lon, *trust_h) if rules.file and outcome.ground.forecast else None,
    )
    ends = accumulate(track.nodes for track in tracks)
    return [
        under(everywhere, track, np.arange(end - track.nodes, end)) for track, end in zip(tracks, ends, strict=True)
    ]


def lay_with_refuges(facts: Facts) -> Ground:
    """The ground, as ``ground.lay_ground`` lays it, and every refuge tried from all along the track: the faults of both
    are told at once.
    """
    barred = _barred(facts)
    try:
        ground = lay_ground(facts)
    except InputFaults as error:
        raise InputFaults([*error.faults, *barred]) from None
    if barred:
        raise InputFaults(barred)
    return ground


def _barred(facts: Facts) -> list[Fault]:
    track = lay_track(legs_of(facts.voyage))
    nodes = np.linspace(0, track.nodes - 1, TRIED_FROM + 2)[1:-1].astype(int)
    try:
        tracks_to_refuges(facts, track, nodes.tolist())
    except InputFaults as error:
        return error.faults
    return []


def tracks_to_refuges(facts: Facts, track: Track, nodes: Sequence[int]) -> list[list[Track]]:
    """From each of these nodes of the track a track to every refuge; every fault of all refuges is told at once."""
    faults: list[tuple[int, str, str, str]] = []
    by_refuge = [_tracks_to(index, refuge, track, nodes, faults) for index, refuge in enumerate(facts.troubles.refuges)]
    if faults:
        raise refuge_faults(facts.folder, faults)
    return [list(from_one) for from_one in zip(*by_refuge, strict=True)]


def _tracks_to(
    index: int, refuge: Refuge, track: Track, nodes: Sequence[int], faults: list[tuple[int, str, str, str]]
) -> list[Track]:
    """The tracks, or those found clear and a fault added."""
    if on_land([refuge.position.latitude_deg], [refuge.position.longitude_deg])[0]:
        wanted = "give a position in open water off the harbour; the coast drawn here may be a mile out"
        faults.append((index, "position", f"{format_position(*refuge.position)} lies on land", wanted))
        return []
    found = []
    for node in nodes:
        clear, land_nm, where = _clear_track((float(track.lat_deg[node]), float(track.lon_deg[node])), refuge)
        if clear is None:
            run_nm = track.distance_nm[node]
            said = f"from {run_nm:,.0f} nm out {land_nm:.1f} nm of land lie on the way to it, from {where}"
            wanted = 'lead the way clear of it: via = ["lat lon", ...], in the order sailed; the chart decides'
            faults.append((index, "via" if refuge.via else "position", said, wanted))
            return []
        found.append(clear)
    return found


def _clear_track(here: tuple[float, float], refuge: Refuge) -> tuple[Track | None, float, str]:
    """The shortest of the ways past the fewest of the places given that meet no land, or None with the land on the
    last one tried.
    """
    land_nm, where = 0.0, ""
    for passed in range(len(refuge.via) + 1):
        tracks = [lay_track(_legs([here, *via, refuge.position])) for via in combinations(refuge.via, passed)]
        for track in sorted(tracks, key=lambda track: track.length_nm):
            hits = land_hits(*through_waypoints(track)[1:])
            if not hits:
                return track, 0.0, ""
            land_nm, where = hits[0].across_nm, format_position(hits[0].lat_deg, hits[0].lon_deg)
    return None, land_nm, where


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
    found = [_reach(outcome, refuge) for refuge in outcome.facts.troubles.refuges]
    return tuple(sorted(found, key=lambda reach: (reach.barred != "", reach.typical_h, reach.way_nm)))


def _reach(outcome: Outcome, refuge: Refuge) -> Reach:
    from_track = outcome.ground.track
    track, land_nm, where = _clear_track((float(from_track.lat_deg[0]), float(from_track.lon_deg[0])), refuge)
    if track is None:
        return Reach(refuge.name, nan, nan, inf, inf, f"{land_nm:.1f} nm of land lie on the way, from {where}")
    luck = Luck(outcome.crossings.seed, min(CROSSINGS, outcome.crossings.members))
    (ground,) = _grounds(outcome, [track])
    (times,) = _times_h([*_by_each(ground, outcome, AT_DEPARTURE, luck, [outcome.ground.vessel])], outcome.slow_share)
    return Reach(refuge.name, track.length_nm, float(track.course_deg[0]), *times)
