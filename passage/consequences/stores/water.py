"""Water: what two people drink and cook with in each crossing, tank by tank, and what to load.

A person uses a base ration for drinking and cooking; in the heat, the hours on deck take the fluid replacement of the
US Army's TB MED 507 table *instead of* those hours' base (read in second-hand copies of the table). The table goes by
steps; here it is the straight line through their middles, which leaves no step by more than an eighth of a quart, half
of what the table itself allows for differences between people.

The table asks for the wet-bulb globe temperature. In the shade that is 0.7 of the wet bulb (Stull 2011, *Wet-Bulb
Temperature from Relative Humidity and Air Temperature*, J. Appl. Meteor. Climatol. 50, 2267-2269, from memory) and
0.3 of the air; in full sun and light wind it is the approximation of the Australian Bureau of Meteorology, 0.567 T +
0.393 e + 3.94, e in hPa (from memory). Between the two goes the share of the hours that is in the sun.

Beside what the heat asks stands the ordinary ration: the base alone, in whatever heat. The first is comfort and work
on deck; the second is what a crew that rests in the shade and watches its thirst has always been given.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.drawdown import ROUNDING, Rules, Store, Use, at_sea_h, draw_down
from passage.consequences.stores.loading import to_load
from passage.crossings.ensemble import Crossings, at_node, passage_time_h

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from passage.consequences.stores.loading import Load
    from passage.inputs.boat import Boat, Tank
    from passage.inputs.crew import Crew

QUART_L = 0.94635
RAFT_L_PER_DAY = 0.5
LARGEST_DAY_L = 12 * QUART_L  # TB MED 507: drinking more is itself a danger

# TB MED 507, easy work, acclimatised: WBGT (degrees F) of the middles of its bands, and quarts an hour. The last band
# is open; its middle is taken two degrees above its foot, as in the band before.
EASY_WORK = {80.0: 0.5, 83.5: 0.5, 86.5: 0.75, 89.0: 0.75, 92.0: 1.0}
_QUARTS_PER_F, _QUARTS_AT_ZERO_F = np.polyfit(list(EASY_WORK), list(EASY_WORK.values()), 1)
MOST_QUARTS_H = max(EASY_WORK.values())
USUAL_HUMIDITY = 0.8  # of saturation, over the open sea, where the climate has none: common practice, no source
SEA_LEVEL_HPA = 1013.25
WARMER_C = (
    1.5  # by which the bracket is warmer and cooler: our choice, about what one year's month differs from another's
)


@dataclass(frozen=True)
class TankLost:
    """One tank lost at the start: what is left to draw, and for how many days it gives the survival ration to all."""

    name: str
    left_l: float
    survival_days: float
    reaches_slow_end: bool


@dataclass(frozen=True)
class Watermaking:
    """Water made or caught. made_l_h: the watermaker's litres spread over the hours of a day; caught_l_h: rain, only
    what the user claims; energy_wh_per_day: handed to power as a load.
    """

    made_l_h: float = 0.0
    caught_l_h: float = 0.0
    energy_wh_per_day: float = 0.0


NOTHING_MADE = Watermaking()

# Ways to use water otherwise, in words for print.
ORDINARY = "by the ordinary ration, in whatever heat"
COOLER, WARMER = (f"with air {WARMER_C:g} °C {way} than its average" for way in ("cooler", "warmer"))
SHADED = "with an awning over those on deck"


@dataclass(frozen=True)
class OtherUse:
    """The same crossings with water used otherwise: in what way, litres a day for all, what to load, share short."""

    words: str
    daily_l: float
    load: Load
    short: float


@dataclass(frozen=True)
class Water:
    """Water in every crossing: the store, tank by tank. Arrays (members,) unless said; litres.

    short_if_watermaker_fails: share of crossings that run out where it fails on the first day; the other figures are
    the store's.
    """

    store: Store
    tanks: tuple[Tank, ...]
    emergency_l: float
    raft_days: float
    tanks_lost: tuple[TankLost, ...]
    watermaking: Watermaking
    short_if_watermaker_fails: float
    otherwise: tuple[OtherUse, ...] = ()

    @property
    def loaded_l(self) -> float:
        return self.store.loaded

    @property
    def used_l(self) -> NDArray[np.float64]:
        return self.store.used

    @property
    def left_l(self) -> NDArray[np.float64]:
        return self.store.left

    @property
    def ran_out_h(self) -> NDArray[np.float64]:
        return self.store.ran_out_h

    @property
    def short(self) -> float:
        return self.store.short

    @property
    def load(self) -> Load:
        return self.store.load

    @property
    def by_day_l(self) -> NDArray[np.float64]:
        return self.store.by_day

    @property
    def daily_l(self) -> float:
        return self.store.daily


def heat_l_per_hour(wbgt_c: NDArray[np.floating]) -> NDArray[np.float64]:
    """Fluid replacement of one person at easy work (litres an hour) by wet-bulb globe temperature: 0 up to 20.9 C, then
    a straight line up to the table's highest figure.
    """
    fahrenheit = np.asarray(wbgt_c, dtype=float) * 1.8 + 32.0
    return np.asarray(QUART_L * np.clip(_QUARTS_PER_F * fahrenheit + _QUARTS_AT_ZERO_F, 0.0, MOST_QUARTS_H))


def vapour_pressure_hpa(vapour_g_kg: NDArray[np.floating]) -> NDArray[np.float64]:
    """Of air of that specific humidity at sea level; the ratio of the molecular masses is 0.622."""
    share = np.asarray(vapour_g_kg, dtype=float) / 1000.0
    return share * SEA_LEVEL_HPA / (0.622 + 0.378 * share)


def saturation_hpa(air_c: NDArray[np.floating]) -> NDArray[np.float64]:
    """Vapour pressure of saturated air over water, by Magnus's formula (WMO Guide No. 8, from memory)."""
    air = np.asarray(air_c, dtype=float)
    return 6.112 * np.exp(17.62 * air / (243.12 + air))


def wet_bulb_c(air_c: NDArray[np.floating], humidity: NDArray[np.floating]) -> NDArray[np.float64]:
    """Wet-bulb temperature by Stull's fit; humidity as a share of saturation, 0.05 to 0.99; -20 to 50 C."""
    air, percent = np.asarray(air_c, dtype=float), 100.0 * np.asarray(humidity, dtype=float)
    return np.asarray(
        air * np.arctan(0.151977 * np.sqrt(percent + 8.313659))
        + np.arctan(air + percent)
        - np.arctan(percent - 1.676331)
        + 0.00391838 * percent**1.5 * np.arctan(0.023101 * percent)
        - 4.686035
    )


def wbgt_c(
    air_c: NDArray[np.floating], vapour_g_kg: NDArray[np.floating] | None, sun_share: float
) -> NDArray[np.float64]:
    """Wet-bulb globe temperature by air temperature and specific humidity, of hours that lie so much in full sun.

    Where the humidity is not known, the usual one of the open sea.
    """
    most_hpa = saturation_hpa(air_c)
    if vapour_g_kg is None:
        humidity = np.full_like(most_hpa, USUAL_HUMIDITY)
    else:
        humidity = np.clip(np.nan_to_num(vapour_pressure_hpa(vapour_g_kg) / most_hpa, nan=USUAL_HUMIDITY), 0.05, 0.99)
    shade = 0.7 * wet_bulb_c(air_c, humidity) + 0.3 * np.asarray(air_c, dtype=float)
    sun = 0.567 * np.asarray(air_c, dtype=float) + 0.393 * humidity * most_hpa + 3.94
    return shade + sun_share * (sun - shade)


def raft_endurance_days(volume_l: float, persons: int) -> float:
    """Days that sealed water lasts in a raft: none on the first day unless ill or hurt, then half a litre each a day.

    The practice taught for liferafts; survival only, never a plan.
    """
    return 1.0 + volume_l / (RAFT_L_PER_DAY * persons)


def daily_need_l(
    crew: Crew, air_c: NDArray[np.floating], vapour_g_kg: NDArray[np.floating] | None = None
) -> NDArray[np.float64]:
    """Litres a day for the whole crew by air temperature and specific humidity (g/kg; the usual one where None)."""
    use = crew.water
    base_h = use.drink_and_cook_l_per_day / 24.0
    if not use.heat:
        return np.full(np.shape(air_c), _ordinary_l(crew))
    felt_c = wbgt_c(air_c, vapour_g_kg, 0.0 if use.awning else use.sun_share)
    on_deck = np.maximum(heat_l_per_hour(felt_c), base_h)
    need = (24.0 - use.deck_hours_h) * base_h + use.deck_hours_h * on_deck
    return len(crew.people) * np.minimum(need, LARGEST_DAY_L)


def water_to_landfall(
    crossings: Crossings,
    crew: Crew,
    boat: Boat,
    slow_share: float,
    typical_factor: float,
    watermaking: Watermaking = NOTHING_MADE,
) -> Water:
    """Drink the tanks dry along every crossing; emergency water lies apart and is never counted."""
    hourly = _hourly_l(crew, crossings)
    survival = _survival_l_per_day(crew) * crossings.arrival_h / 24.0
    supply = watermaking.made_l_h + watermaking.caught_l_h
    rules = Rules(slow_share, typical_factor)
    loaded = boat.usable_water_l
    store = draw_down("water", "L", loaded, Use(hourly, survival, supply), crossings, rules, kg_per_unit=1.0)
    failed = store
    if watermaking.made_l_h > 0:
        failed = draw_down("water", "L", loaded, Use(hourly, survival, watermaking.caught_l_h), crossings, rules)
    return Water(
        store=store,
        tanks=boat.water_tanks,
        emergency_l=boat.emergency_water.volume_l,
        raft_days=raft_endurance_days(boat.emergency_water.volume_l, len(crew.people)),
        tanks_lost=_each_lost(crew, boat, crossings.arrival_h, slow_share),
        watermaking=watermaking,
        short_if_watermaker_fails=failed.short,
        otherwise=tuple(_used_otherwise(crew, crossings, Use(hourly, survival, supply), loaded, rules)),
    )


def _hourly_l(crew: Crew, crossings: Crossings, warmer_c: float = 0.0) -> NDArray[np.float32]:
    """What the crew uses in each hour at sea, (members, hours); warmer_c: air so much warmer, as humid in its share."""
    air, vapour = crossings.air_by_hour_c, crossings.vapour_by_hour_g_kg
    as_humid = 1.0 if not warmer_c else saturation_hpa(air + warmer_c) / saturation_hpa(air)
    need = daily_need_l(crew, air + np.float32(warmer_c), None if vapour is None else as_humid * vapour)
    return at_node((need / 24.0).astype(np.float32), crossings.node)


def _used_otherwise(crew: Crew, crossings: Crossings, use: Use, loaded: float, rules: Rules) -> Iterator[OtherUse]:
    """The ordinary ration, and where the heat is counted the bracket of its doubts."""
    shaded = crew.water.model_copy(update={"awning": True})
    cases: list[tuple[str, NDArray[np.floating] | float]] = [(ORDINARY, _ordinary_l(crew) / 24.0)]
    if crew.water.heat:
        cases += [
            (words, _hourly_l(crew, crossings, by_c)) for words, by_c in ((COOLER, -WARMER_C), (WARMER, WARMER_C))
        ]
    if crew.water.heat and not crew.water.awning:
        cases.append((SHADED, _hourly_l(crew.model_copy(update={"water": shaded}), crossings)))
    at_sea, arrives = at_sea_h(crossings), np.isfinite(crossings.arrival_h)
    for words, hourly in cases:
        spent = hourly * at_sea
        used = np.where(arrives, spent.sum(axis=1), np.inf)
        drawn = np.where(arrives, np.maximum(spent - use.supply, 0.0).sum(axis=1), np.inf)
        load = to_load(used, use.survival, rules.slow_share, rules.typical_factor)
        daily = float(spent.sum() / (at_sea.sum() / 24.0))
        yield OtherUse(words, daily, load, float((drawn > loaded + ROUNDING).mean()))


def _ordinary_l(crew: Crew) -> float:
    """Litres a day for the whole crew without the heat."""
    return len(crew.people) * min(crew.water.drink_and_cook_l_per_day, LARGEST_DAY_L)


def _survival_l_per_day(crew: Crew) -> float:
    return len(crew.people) * crew.water.survival_l_per_day


def _each_lost(crew: Crew, boat: Boat, arrival_h: NDArray[np.float64], slow_share: float) -> tuple[TankLost, ...]:
    """The loss of any one tank must leave the survival ration to the slow end."""
    slow_end_days = passage_time_h(arrival_h, slow_share) / 24.0
    lines = []
    for tank in boat.water_tanks:
        left = boat.usable_water_l - tank.usable_l
        days = left / _survival_l_per_day(crew)
        lines.append(TankLost(tank.name, left, days, days >= slow_end_days))
    return tuple(lines)
