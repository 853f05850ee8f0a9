"""The facts as they are from here: the waypoints still ahead, what is in the tanks, the boat and crew as learned.

Nothing of the road is done anew: the facts are copied with what has changed, and the road is walked with them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.stores.water import daily_need_l
from passage.crossings.helm import out_for, rig_out
from passage.errors import Fault, InputFaults
from passage.ground import land_by_waypoint, legs_of
from passage.inputs.toml import LONGEST_NAME
from passage.inputs.troubles import Refuge
from passage.inputs.voyage import Waypoint
from passage.journal.entries import LOG_FILE
from passage.journal.evidence import Lessons, water_left
from passage.journal.reckoning import hours_between
from passage.positions import Position, format_position
from passage.sailings import geodesic
from passage.sailings.track import lay_track
from passage.tell.customary import customary
from passage.tell.figures import Side, amount
from passage.units import Misread, quantity, shown, written

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from passage.crossings.ensemble import Crossings
    from passage.crossings.ground import Ground
    from passage.inputs.boat import Boat
    from passage.inputs.crew import Crew
    from passage.inputs.electrics import Electrics
    from passage.inputs.folder import Facts
    from passage.inputs.troubles import Troubles
    from passage.inputs.voyage import Voyage
    from passage.journal.reckoning import Point
    from passage.journal.record import Entry
    from passage.sailings.land import LandHit
    from passage.sailings.track import Track

ARRIVED_NM = 1.0
LEAST_CHARGE_SHARE = 0.1
HERE = "here"
IF_EXAMPLES = "'motor 20 h', 'ration 2 L/day' or 'speed 80 %'"


@dataclass(frozen=True)
class Ahead:
    """The voyage from here and its track, None once she is in; the plan's own length of track."""

    voyage: Voyage | None
    track: Track | None
    planned_nm: float

    @property
    def to_go_nm(self) -> float:
        return self.track.length_nm if self.track else 0.0

    @cached_property
    def land(self) -> dict[str, LandHit]:
        """Land that the straight way runs over, by the waypoint that the leg over it leads to."""
        if self.voyage is None or self.track is None:
            return {}
        found = land_by_waypoint(self.voyage, self.track)
        return {self.voyage.waypoints[index].name: hit for index, hit in sorted(found.items())}

    def land_words(self) -> tuple[str, ...]:
        """A sentence for each."""
        return tuple(
            f"The straight way to {name} runs over {hit.across_nm:.1f} miles of land from "
            f"{format_position(hit.lat_deg, hit.lon_deg)} on. Lead round it; miles and landfall are too short until "
            "voyage.toml has a waypoint there."
            for name, hit in self.land.items()
        )


def ahead(voyage: Voyage, here: Point) -> Ahead:
    """The waypoints beyond the leg of the track that she is nearest to, the track laid to them from where she is."""
    track = lay_track(legs_of(voyage))
    coming = [place for place in voyage.waypoints[nearest_leg(track, here) + 1 :] if _off_nm(place, here) > ARRIVED_NM]
    if not coming or _off_nm(voyage.waypoints[-1], here) <= ARRIVED_NM:
        return Ahead(None, None, track.length_nm)
    first = Waypoint(name=_unlike(coming), position=Position(here.lat_deg, here.lon_deg))
    departure = voyage.departure.model_copy(update={"depart": here.time, "expected_distance_nm": None})
    legs = (first, _within_limit(coming[0], here), *coming[1:])
    onward = voyage.model_copy(update={"departure": departure, "waypoints": legs})
    return Ahead(onward, lay_track(legs_of(onward)), track.length_nm)


def nearest_leg(track: Track, here: Point) -> int:
    """Index of the leg whose node is nearest."""
    nodes, place = _on_sphere(track.lat_deg, track.lon_deg), _on_sphere(here.lat_deg, here.lon_deg)
    return int(track.leg[int(np.argmax(place @ nodes))])


def _on_sphere(lat_deg: np.ndarray | float, lon_deg: np.ndarray | float) -> np.ndarray:
    lat, lon = np.radians(lat_deg), np.radians(lon_deg)
    return np.array([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)])


def _off_nm(place: Waypoint, here: Point) -> float:
    return geodesic.inverse(*place.position, here.lat_deg, here.lon_deg).distance_nm


def _unlike(coming: Sequence[Waypoint]) -> str:
    return HERE if all(place.name != HERE for place in coming) else f"{HERE}, now"


def _within_limit(place: Waypoint, here: Point) -> Waypoint:
    """A composite leg cannot begin beyond its own limit; from there the way is a great circle."""
    limit = place.limit_latitude_deg
    if limit is None or (abs(here.lat_deg) <= abs(limit) or here.lat_deg * limit < 0):
        return place
    return place.model_copy(update={"sailing": "great circle", "limit_latitude_deg": None})


def way_back(facts: Facts, here: Point) -> Troubles:
    """The troubles file with one refuge more: where she came from, once she has left it."""
    troubles, departure = facts.troubles, facts.voyage.waypoints[0]
    if _off_nm(departure, here) <= ARRIVED_NM:
        return troubles
    back = Refuge(name=f"back to {departure.name}"[:LONGEST_NAME], position=departure.position)
    return troubles.model_copy(update={"refuges": (*troubles.refuges, back)})


# What is aboard


def carried(facts: Facts, entries: Sequence[Entry], hours_out: float) -> Facts:
    """Tanks as sounded, battery as noted, gas less what the plan has burnt of it: nobody sounds a gas bottle. The
    crew's first days are so much shorter.
    """
    boat = boat_now(facts.boat, entries)
    gas_kg = facts.provisions.gas_kg
    burnt_kg = hours_out / 24.0 * len(facts.crew.people) * facts.provisions.gas.use_kg
    left_share = max(1.0 - burnt_kg / gas_kg, 0.0) if gas_kg else 0.0
    bottles = tuple(
        bottle.model_copy(update={"filled_share": bottle.filled_share * left_share})
        for bottle in facts.provisions.gas_bottles
    )
    return replace(
        facts,
        boat=boat.model_copy(update={"helm": out_for(boat.helm, hours_out)}),
        provisions=facts.provisions.model_copy(update={"gas_bottles": bottles}),
        electrics=_charged(facts.electrics, entries),
    )


def _charged(electrics: Electrics | None, entries: Sequence[Entry]) -> Electrics | None:
    """The battery as full as the log last said in per cent."""
    noted = next((entry.body["battery_share"] for entry in reversed(entries) if "battery_share" in entry.body), None)
    if electrics is None or noted is None:
        return electrics
    full = {"shore_power": False, "charge_share": max(noted, LEAST_CHARGE_SHARE)}
    return electrics.model_copy(update={"departure": electrics.departure.model_copy(update=full)})


def boat_now(boat: Boat, entries: Sequence[Entry]) -> Boat:
    """The tanks as last sounded; fuel burnt so far comes off the allowance for calms, not off the landfall reserve."""
    left = water_left(entries, boat)
    water = tuple(
        tank.model_copy(update={"filled_share": left[tank.name] / tank.capacity_l}) for tank in boat.water_tanks
    )
    fuel_l = next((entry.body["fuel_l"] for entry in reversed(entries) if "fuel_l" in entry.body), None)
    changed = boat.model_copy(update={"water_tanks": water})
    return changed if fuel_l is None else _with_fuel(changed, boat, fuel_l)


def sounded_h(entries: Sequence[Entry], here: Point) -> float:
    """Hours since any water tank was sounded, or since departure."""
    last = max(entry.time for entry in entries if "water_l" in entry.body or entry.kind == "start")
    return max(hours_between(last, here.time), 0.0)


def drunk_from(boat: Boat, litres: float) -> Boat:
    """All tanks alike emptier by what was drunk since they were sounded."""
    aboard_l = sum(tank.capacity_l * tank.filled_share for tank in boat.water_tanks)
    left_share = max(1.0 - litres / aboard_l, 0.0) if aboard_l else 0.0
    tanks = tuple(tank.model_copy(update={"filled_share": tank.filled_share * left_share}) for tank in boat.water_tanks)
    return boat.model_copy(update={"water_tanks": tanks})


def _with_fuel(changed: Boat, boat: Boat, fuel_l: float) -> Boat:
    """All tanks alike as full as ``fuel_l`` in them together makes them."""
    capacity_l = sum(tank.capacity_l for tank in boat.fuel_tanks)
    if capacity_l <= 0:
        return changed
    tanks = tuple(tank.model_copy(update={"filled_share": min(fuel_l / capacity_l, 1.0)}) for tank in boat.fuel_tanks)
    emptier = changed.model_copy(update={"fuel_tanks": tanks})
    burnt_l = max(boat.usable_fuel_l - emptier.usable_fuel_l, 0.0)
    above_reserve_l = max(emptier.usable_fuel_l - boat.fuel.landfall_reserve_l, 0.0)
    allowance_l = min(max(boat.fuel.calms_allowance_l - burnt_l, 0.0), above_reserve_l)
    return emptier.model_copy(update={"fuel": boat.fuel.model_copy(update={"calms_allowance_l": allowance_l})})


# As learned


def as_learned(facts: Facts, taught: Lessons, air_c: float) -> Facts:
    """Boat and crew with what the log taught; air_c: mean air ahead, for the part of the water that the heat asks."""
    belief = taught.performance.after
    helm = facts.boat.helm.model_copy(update={"performance_mean_share": belief.mean, "performance_sd_share": belief.sd})
    boat = facts.boat.model_copy(update={"helm": helm})
    if boat.engine is not None:
        burns = boat.engine.consumption_l_h * taught.fuel.after.mean
        boat = boat.model_copy(update={"engine": boat.engine.model_copy(update={"consumption_l_h": burns})})
    crew = drinking(facts.crew, taught.water.after.mean, air_c)
    return replace(facts, boat=boat, crew=crew, electrics=_drawing(facts.electrics, taught.electricity.after.mean))


def _drawing(electrics: Electrics | None, factor: float) -> Electrics | None:
    """The loads all drawing ``factor`` times as much: the log does not know which."""
    if electrics is None:
        return None
    keys = ("power_w", "current_a", "rough_power_w")
    drawn = [{key: getattr(load, key) for key in keys} for load in electrics.loads]
    loads = tuple(
        load.model_copy(update={key: value * factor for key, value in now.items() if value is not None})
        for load, now in zip(electrics.loads, drawn, strict=True)
    )
    return electrics.model_copy(update={"loads": loads})


def drinking(crew: Crew, factor: float, air_c: float) -> Crew:
    """A crew that needs ``factor`` times as much water in a day at that temperature."""
    wanted = factor * _need_l(crew, air_c)
    amounts = np.arange(0.5, 20.01, 0.25)
    needs = [_need_l(_with_water(crew, amount, heat=crew.water.heat), air_c) for amount in amounts]
    if wanted < needs[0]:  # they drink less than the heat alone asks
        return _with_water(crew, wanted / len(crew.people), heat=False)
    return _with_water(crew, float(np.interp(wanted, needs, amounts)), heat=crew.water.heat)


def _need_l(crew: Crew, air_c: float) -> float:
    return float(daily_need_l(crew, np.array([air_c]))[0])


def _with_water(crew: Crew, amount_l: float, *, heat: bool) -> Crew:
    survival_l = min(crew.water.survival_l_per_day, amount_l)
    change = {"drink_and_cook_l_per_day": amount_l, "survival_l_per_day": survival_l, "heat": heat}
    return crew.model_copy(update={"water": crew.water.model_copy(update=change)})


# What if


class Supposed(NamedTuple):
    """One thing supposed: in words, what it changes of facts and ground, and what befalls the crossings then sailed."""

    words: str
    change: Callable[[Facts, Ground], tuple[Facts, Ground]]
    afterwards: Callable[[Crossings], Crossings] = lambda crossings: crossings


def supposing(facts: Facts, what: str) -> Supposed:
    """One thing supposed of boat or crew; raises InputFaults for what is not known.

    ``motor 20 h``: so many hours under engine in calms, from what is above the landfall reserve; ``ration 2 L/day``:
    for each person, heat or no heat; ``speed 80 %``: of what she makes now.
    """
    verb, _, rest = what.strip().partition(" ")
    suppose = {"motor": _motoring, "ration": _rationed, "speed": _slower}.get(verb.lower())
    if suppose is None or not rest.strip():
        raise unknown(shown(what), f"say {IF_EXAMPLES}")
    try:
        changed, words = suppose(facts, rest.strip())
    except Misread as misread:
        raise unknown(misread.found, misread.wanted) from None
    return Supposed(words, lambda _, ground: (changed, rigged(changed, ground)))


def rigged(facts: Facts, ground: Ground) -> Ground:
    """The ground with these facts' helm, engine and fuel."""
    return replace(ground, vessel=rig_out(facts.boat, ground.polar))


def unknown(found: str, wanted: str) -> InputFaults:
    return InputFaults([Fault(LOG_FILE, 0, "if", found, wanted)])


def _motoring(facts: Facts, rest: str) -> tuple[Facts, str]:
    boat, hours = facts.boat, quantity(rest, "duration")
    if boat.engine is None:
        raise Misread(shown(rest), "there is no engine in the boat file")
    most_h = max(boat.usable_fuel_l - boat.fuel.landfall_reserve_l, 0.0) / boat.engine.consumption_l_h
    if hours > most_h:
        raise Misread(shown(rest), f"the fuel above the landfall reserve gives {most_h:.0f} h")
    fuel = boat.fuel.model_copy(update={"calms_allowance_l": hours * boat.engine.consumption_l_h})
    helm = boat.helm.model_copy(update={"motoring": True})
    changed = boat.model_copy(update={"fuel": fuel, "helm": helm})
    takes_l = hours * boat.engine.consumption_l_h
    left_l = max(boat.usable_fuel_l - takes_l, 0.0)
    takes, left = amount(takes_l, "", Side.UP, unit="L"), amount(left_l, "", Side.DOWN, unit="L")
    costs = f"all of them take {takes:u} of fuel and leave {left}"
    kept = f"{amount(boat.fuel.landfall_reserve_l, '', unit='L')} of it kept for the landfall"
    return replace(facts, boat=changed), f"up to {hours:.0f} hours under engine in calms: {costs}, {kept}"


def _daily_words(amount_l: float) -> str:
    other = customary("L/day")
    return written(amount_l, "daily volume") if other is None else f"{amount(amount_l, '', unit='L/day'):u}"


def _rationed(facts: Facts, rest: str) -> tuple[Facts, str]:
    daily = rest if rest.replace(" ", "").lower().endswith("/day") else f"{rest}/day"
    amount_l = quantity(daily, "daily volume")
    if not 0.5 <= amount_l <= 20.0:
        raise Misread(shown(rest), "give 0.5 to 20 L/day")
    crew = _with_water(facts.crew, amount_l, heat=False)
    return replace(facts, crew=crew), f"{_daily_words(amount_l)} of water for each person"


def _slower(facts: Facts, rest: str) -> tuple[Facts, str]:
    share = quantity(rest, "share")
    if not 0.2 <= share <= 1.5:
        raise Misread(shown(rest), "give 20 to 150 %")
    helm = facts.boat.helm
    change = {"performance_mean_share": helm.performance_mean_share * share}
    boat = facts.boat.model_copy(update={"helm": helm.model_copy(update=change)})
    return replace(facts, boat=boat), f"{written(share, 'share')} of the speed she makes now"
