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

from dataclasses import replace
from functools import partial
from math import isfinite
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.drawdown import CAN_KG_PER_L, Hourly, Laden, Left, Store, Use, draw_down
from passage.consequences.stores.loading import LoadingRule, RuleTold, Verdict, verdict
from passage.consequences.stores.together import Piece, Share, share
from passage.crossings.ensemble import Crossings, at_node, passage_time_h
from passage.inputs.boat import WATER_KG_PER_L
from passage.tell.customary import unit_words
from passage.tell.figures import in_print, volume_words
from passage.tell.records import Record, down, reckoned, told, up

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from passage.inputs.boat import Boat, Tank
    from passage.inputs.crew import Crew
    from passage.inputs.provisions import Provisions

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


class TankTold(Record):
    """One tank at the departure."""

    tank: str = told("its name")
    capacity_l: float = told("what it holds, litres")
    filled_l: float = down("what is in it at departure, litres")
    unusable_l: float = up("what cannot be drawn, litres")
    usable_l: float = down("what can be drawn, litres")


class TankLost(Record):
    """One tank lost at the start: what is left to draw, and for how many days it gives the survival ration to all."""

    tank: str = told("its name")
    left_l: float = down("litres left without it")
    survival_ration_days: float = down("days the rest gives everybody the survival ration")
    reaches_slow_end: bool = told("whether that reaches the slow end")


# Ways to use water otherwise, in words for print.
ORDINARY = "by the ordinary ration, in whatever heat"


def warmer_words() -> str:
    return f"{WARMER_C:g} °C" if unit_words("°C") == "°C" else f"{1.8 * WARMER_C:.0f} °F"


def air_words(way: str) -> str:
    return f"with air {warmer_words()} {way} than its average"


SHADED = "with an awning over those on deck"


class OtherUse(Record):
    """The same crossings with water used otherwise."""

    way: str = told("in what way")
    daily_l_per_day: float = told("mean use of the whole crew, litres a day")
    load_l: float = up("litres to load by the rule that then decides")
    short_in_100: float = up("crossings in a hundred in which it then runs out")


class WaterAnswer(Record):
    """Whether the water lasts, and what to load."""

    lasts: bool = told("whether water lasts in every crossing and no less is loaded than asked")
    verdict: Verdict = told("whether it lasts: yes, nearly always, too little in hand, not always")
    short: Share = told("crossings in which it runs out")
    load_l: float = up("litres to load; null where a deciding crossing never arrives")
    governs: LoadingRule = told("which of the three loading rules decides")
    tanks_give_l: float = down("litres that can be drawn at departure")
    emergency_l: float = down("sealed water apart, never counted, litres")
    daily_l_per_day: float = told("mean use of the whole crew, litres a day")

    @reckoned("litres the tanks give beyond the load")
    def to_spare_l(self) -> float:
        """Of the figures as they are printed, so that they add up on paper."""
        return max(in_print(self.tanks_give_l) - in_print(self.load_l), 0.0)

    @reckoned("litres lacking to the load; null where that cannot be said")
    def lacking_l(self) -> float:
        return max(in_print(self.load_l) - in_print(self.tanks_give_l), 0.0)

    @property
    def reached(self) -> bool:
        """Whether the crossings that decide the load arrive."""
        return isfinite(self.load_l)


class Watermaking(Record):
    """Water made or caught, an hour of a day's hours; rain only what the user claims."""

    made_l_h: float = told("the watermaker's litres an hour, spread over the whole day", default=0.0)
    caught_l_h: float = told("rain an hour, as claimed", default=0.0)
    energy_wh_per_day: float = told("what the watermaker takes, Wh a day", default=0.0)
    fails_short_crossings: int = told("crossings that run out where it fails on the first day", default=0)


class Water(Record):
    """Water in every crossing, in litres."""

    store: Store
    emergency_l: float
    raft_days: float
    slow_end_days: float = told("passage time at the slow end, days")
    crew_count: int = told("how many are aboard")
    survival_l_per_day: float = told("survival ration of the whole crew, litres a day")
    tanks: tuple[TankTold, ...] = told("the tanks one by one")
    tanks_lost: tuple[TankLost, ...] = told("each tank lost at departure")
    watermaking: Watermaking = told("what is made and caught")
    otherwise: tuple[OtherUse, ...] = told("the same crossings with water used otherwise", default=())

    @reckoned("whether it lasts, and what to load")
    def answer(self) -> WaterAnswer:
        store, members = self.store, len(self.store.used)
        short, load = round(store.short * members), store.load
        return WaterAnswer(
            lasts=short == 0 and store.loaded >= load.amount,
            verdict=verdict(short, store.loaded, load.amount),
            short=share(short, members),
            load_l=load.amount,
            governs=load.governs,
            tanks_give_l=store.loaded,
            emergency_l=self.emergency_l,
            daily_l_per_day=store.daily,
        )

    @reckoned("the three loading rules, in litres")
    def rules(self) -> tuple[RuleTold, ...]:
        return self.store.rules

    @reckoned("what is left in the tanks at the end of each day out")
    def by_day(self) -> tuple[Left, ...]:
        return self.store.left_by_day


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


def watermaking_of(provisions: Provisions) -> Watermaking:
    """The watermaker's litres spread over the day, the rain that is claimed, and the energy it takes."""
    maker = provisions.watermaker
    made = maker.output_l_h * maker.run_h if maker else 0.0
    energy = made * maker.energy_per_litre_wh if maker else 0.0
    return Watermaking(made / 24.0, provisions.rain.claimed_l_per_day / 24.0, energy)


def water_to_landfall(laden: Laden) -> Store:
    """Drink the tanks dry along every crossing; emergency water lies apart and is never counted."""
    making = watermaking_of(laden.provisions)
    return _drunk(laden, _hourly_l(laden.crew, laden.crossings), making.made_l_h + making.caught_l_h)


def _drunk(laden: Laden, hourly: Hourly, supply_l_h: float) -> Store:
    crossings = laden.crossings
    survival = _survival_l_per_day(laden.crew) * crossings.arrival_h / 24.0
    can_l = laden.provisions.remedy.water_can_l
    return draw_down(
        "water",
        "L",
        laden.boat.usable_water_l,
        Use(hourly, survival, supply_l_h),
        crossings,
        laden.rules,
        kg_per_unit=WATER_KG_PER_L,
        piece=Piece(
            "water",
            f"{volume_words(can_l)} can of water",
            can_l,
            can_l * (WATER_KG_PER_L + CAN_KG_PER_L),
            laden.provisions.remedy.price_of("water_can"),
        ),
    )


def water_aboard(laden: Laden, store: Store) -> Water:
    """What else is to be said of the water: tank by tank, and without the watermaker. store: of these very facts."""
    crew, boat, watermaking = laden.crew, laden.boat, watermaking_of(laden.provisions)
    if watermaking.made_l_h > 0:
        failed = _drunk(laden, store.drawing.use.hourly, watermaking.caught_l_h)
        watermaking = replace(watermaking, fails_short_crossings=round(failed.short * laden.crossings.members))
    return Water(
        store=store,
        emergency_l=boat.emergency_water.volume_l,
        raft_days=raft_endurance_days(boat.emergency_water.volume_l, len(crew.people)),
        slow_end_days=passage_time_h(laden.crossings.arrival_h, laden.rules.slow_share) / 24.0,
        crew_count=len(crew.people),
        survival_l_per_day=_survival_l_per_day(crew),
        tanks=tuple(_told(tank) for tank in boat.water_tanks),
        tanks_lost=_each_lost(crew, boat, laden.crossings.arrival_h, laden.rules.slow_share),
        watermaking=watermaking,
        otherwise=tuple(_used_otherwise(laden, watermaking.made_l_h + watermaking.caught_l_h)),
    )


def _hourly_l(crew: Crew, crossings: Crossings, warmer_c: float = 0.0) -> Hourly:
    """What the crew uses in each hour at sea; warmer_c: air so much warmer, as humid in its share."""
    air, vapour = crossings.air_by_day_c, crossings.vapour_by_day_g_kg
    as_humid = 1.0 if not warmer_c else saturation_hpa(air + warmer_c) / saturation_hpa(air)
    need = daily_need_l(crew, air + np.float32(warmer_c), None if vapour is None else as_humid * vapour)
    by_day = (need / 24.0).astype(np.float32)
    return partial(_as_met, by_day)


def _as_met(by_day: NDArray[np.float32], crossings: Crossings) -> NDArray[np.float32]:
    return at_node(by_day, crossings.node)


def _ways(crew: Crew, crossings: Crossings) -> Iterator[tuple[str, Hourly]]:
    """In words, and litres an hour: the ordinary ration, and where the heat is counted the bracket of its doubts."""
    yield ORDINARY, _ordinary_l(crew) / 24.0
    if crew.water.heat:
        yield air_words("cooler"), _hourly_l(crew, crossings, -WARMER_C)
        yield air_words("warmer"), _hourly_l(crew, crossings, WARMER_C)
    if crew.water.heat and not crew.water.awning:
        shaded = crew.water.model_copy(update={"awning": True})
        yield SHADED, _hourly_l(crew.model_copy(update={"water": shaded}), crossings)


def _used_otherwise(laden: Laden, supply_l_h: float) -> Iterator[OtherUse]:
    for words, hourly in _ways(laden.crew, laden.crossings):
        store = _drunk(laden, hourly, supply_l_h)
        yield OtherUse(words, store.daily, store.load.amount, 100.0 * store.short)


def _ordinary_l(crew: Crew) -> float:
    """Litres a day for the whole crew without the heat."""
    return len(crew.people) * min(crew.water.drink_and_cook_l_per_day, LARGEST_DAY_L)


def _told(tank: Tank) -> TankTold:
    filled = tank.capacity_l * tank.filled_share
    return TankTold(tank.name, tank.capacity_l, filled, tank.unusable_l, tank.usable_l)


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
