"""What follows from the crossings: each function hands to one consequence what it asks of facts, ground and others.

A consequence is imported where it is called: a command pays only for what it prints.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.times import Day, Times, day_by_day, passage_times
from passage.inputs.climate import climate_at

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.consequences.anchoring.lying import AtAnchor
    from passage.consequences.lists.floatplan import ShoreSheet
    from passage.consequences.lists.services import ServiceRow
    from passage.consequences.noons import Noon, SkyDay
    from passage.consequences.power.power import Power
    from passage.consequences.readiness.ready import Readiness
    from passage.consequences.stores.drawdown import Laden, Store
    from passage.consequences.stores.landfall import LaidIn, Stores
    from passage.consequences.watches.phases import WatchPlan
    from passage.consequences.windsea import WindSea
    from passage.crossings.bracket import Bracket
    from passage.crossings.ensemble import Crossings
    from passage.crossings.wind import Luck
    from passage.inputs.electrics import Electrics
    from passage.inputs.folder import Facts
    from passage.sailed import Sailed

BRACKETED = 1000  # crossings at most for each line of the bracket: up to there the hours cost more than the members
FAST_HOURS_SHARE = 0.9  # of her hours are slower than the speed that ships are met and people lost at


def times_of(sailed: Sailed) -> Times:
    return passage_times(sailed.crossings, sailed.slow_share)


def by_day_of(sailed: Sailed) -> tuple[Day, ...]:
    return day_by_day(sailed.crossings)


def bracket_of(sailed: Sailed) -> Bracket:
    """What the slow end and the stores hang on, by as many of the crossings as ``BRACKETED``.

    Fuel is left out: it goes by the calms and not by the day.
    """
    from passage.crossings.bracket import Used, bracket
    from passage.crossings.wind import Luck

    crossings = sailed.crossings
    luck = Luck(crossings.seed, min(crossings.members, BRACKETED))
    told = sailed.once(stores_of)
    stores = [
        Used(store.name, store.net_used[: luck.members], store.usable)
        for store in told.all
        if store is not told.fuel and store.loaded > 0
    ]
    return bracket(sailed.ground, crossings.depart, luck, sailed.slow_share, stores)


def wind_sea_of(sailed: Sailed) -> WindSea:
    """The sea that the wind itself raises along the track."""
    from passage.consequences.windsea import wind_sea

    return wind_sea(sailed.crossings)


def noons_of(sailed: Sailed) -> tuple[Noon, ...]:
    from passage.consequences.noons import ship_noons

    return ship_noons(sailed.crossings)


def sky_of(sailed: Sailed) -> tuple[SkyDay, ...]:
    from passage.consequences.noons import sky_days

    return sky_days(sailed.once(noons_of))


def fast_kn_of(sailed: Sailed) -> float:
    """The speed that 1 hour under way in 10 exceeds."""
    crossings = sailed.crossings
    return float(np.quantile(crossings.speed_kn[crossings.under_way], FAST_HOURS_SHARE, overwrite_input=True))


def watches_of(sailed: Sailed) -> WatchPlan | None:
    """The rotas; None where nobody is named to keep watches."""
    from passage.consequences.noons import dark_by_day
    from passage.consequences.watches.alertness import body_clock_lag_h
    from passage.consequences.watches.phases import plan_watches

    watch, noons = sailed.facts.watch, sailed.once(noons_of)
    if not watch.keepers:
        return None
    lag_h = body_clock_lag_h([noon.zone_h for noon in noons]).mean()
    return plan_watches(watch, dark_by_day(noons), sailed.once(fast_kn_of), float(lag_h))


def electrics_of(facts: Facts) -> Electrics | None:
    """The electrics file with the stores file's watermaker among its loads; None where no electrics are given."""
    from passage.consequences.stores.water import watermaking_of

    making = watermaking_of(facts.provisions)
    return facts.electrics.with_watermaker(making.energy_wh_per_day) if facts.electrics else None


def power_of(sailed: Sailed) -> Power | None:
    """The battery; None where no electrics are given."""
    from passage.consequences.power.power import charging_fuel_l, power_to_landfall

    electrics, fuel_l = electrics_of(sailed.facts), charging_fuel_l(sailed.facts.boat)
    return power_to_landfall(sailed.crossings, sailed.ground.climate, electrics, fuel_l) if electrics else None


def battery_at_anchor(
    facts: Facts,
    position: tuple[float, float],
    luck: Luck,
    start: datetime,
    days: int,
    heading_deg: float | None = None,
    wind_kn: float | None = None,
) -> Power | None:
    """The battery of a boat lying still at a latitude and longitude (degrees) from ``start`` (UTC), under as many skies
    as the luck has members; None where no electrics are given. Heading and wind: see ``berth_in``.
    """
    from passage.consequences.power.power import power_at_anchor
    from passage.consequences.power.scene import berth_in

    electrics = electrics_of(facts)
    if electrics is None:
        return None
    climate = climate_at(facts.voyage.departure.climate, *position)
    berth = berth_in(climate, position, start, heading_deg, wind_kn)
    return power_at_anchor(berth, climate, electrics, start, days=days, members=luck.members, seed=luck.seed)


def laden(facts: Facts, crossings: Crossings, slow_share: float, charging_h: NDArray[np.float64] | float) -> Laden:
    """What these facts draw down along these crossings; charging_h: engine hours for the battery in all, (members,)."""
    from passage.consequences.stores.drawdown import Laden, Rules

    rules = Rules(slow_share, facts.voyage.reserve.typical_factor)
    days = np.minimum(crossings.arrival_h, crossings.hours) / 24.0
    return Laden(crossings, facts.crew, facts.boat, facts.provisions, rules, charging_h / days)


def drawn_down(
    facts: Facts,
    crossings: Crossings,
    slow_share: float,
    charging_h: NDArray[np.float64] | float,
    food_kcal: float,
) -> tuple[Store, ...]:
    """Every store that these facts have aboard, drawn down along these crossings; food_kcal: in the food aboard."""
    from passage.consequences.stores.every import every_store

    drawn_on = replace(laden(facts, crossings, slow_share, charging_h), food_kcal=food_kcal)
    return tuple(store for store in every_store(drawn_on) if store.loaded > 0)


def laid_in_of(sailed: Sailed) -> LaidIn:
    """The food, and where it is asked for the shopping; it hangs on no charging."""
    from passage.consequences.stores.landfall import lay_food

    drawn_on = laden(sailed.facts, sailed.crossings, sailed.slow_share, 0.0)
    return lay_food(drawn_on, sailed.facts.pantry, shopping=sailed.shopping)


def stores_of(sailed: Sailed) -> Stores:
    """Water, food, fuel, gas and the rest; the fuel that the battery's charging burns comes from the power."""
    from passage.consequences.stores.landfall import stores_to_landfall

    power = sailed.once(power_of)
    charging_h = power.low.charging_h if power else 0.0
    drawn_on = laden(sailed.facts, sailed.crossings, sailed.slow_share, charging_h)
    return stores_to_landfall(drawn_on, sailed.facts.pantry, shopping=sailed.shopping, laid=sailed.once(laid_in_of))


def readiness_of(sailed: Sailed) -> Readiness:
    """Boat and papers, as they stand on the day the facts were read, against the slow end and the stay after it."""
    from passage.consequences.readiness.dates import passage_dates
    from passage.consequences.readiness.ready import readiness

    facts, crossings = sailed.facts, sailed.crossings
    times, power = sailed.once(times_of), sailed.once(power_of)
    hours = min(times.fast_h, crossings.hours), min(times.slow_end_h, crossings.hours)
    dates = passage_dates(facts.today, crossings.depart, hours, facts.gear.stay_h)
    charging_h = power.low.charging_h if power else 0.0
    engine_h = np.quantile(crossings.motoring_h + charging_h, sailed.slow_share, method="higher")
    return readiness(facts.gear, dates, float(engine_h))


def lie_at_anchor(facts: Facts) -> AtAnchor | None:
    """The boat in the arrival anchorage; None where no anchorage is given."""
    from passage.consequences.anchoring.lying import at_anchor

    hull = facts.boat.hull
    return at_anchor(facts.anchorage, hull.length_overall_m, hull.beam_m) if facts.anchorage else None


def anchor_of(sailed: Sailed) -> AtAnchor | None:
    return lie_at_anchor(sailed.facts)


def services_of(sailed: Sailed) -> tuple[ServiceRow, ...]:
    """Whose forecasts and warnings cover the track."""
    from passage.consequences.lists.services import services_along

    track = sailed.ground.track
    return services_along(track.distance_nm, track.lat_deg, track.lon_deg)


def float_plan_of(sailed: Sailed) -> ShoreSheet:
    """What stays ashore: who she is, when she is due, when to worry and whom to call."""
    from passage.consequences.lists.floatplan import float_plan

    facts, times = sailed.facts, sailed.once(times_of)
    hours = times.typical_h, times.slow_end_h
    return float_plan(facts.boat, facts.crew, facts.voyage, facts.gear, sailed.crossings.depart, hours)
