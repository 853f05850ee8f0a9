"""The whole road on one screen: facts in, one Outcome out. Everything else in this tool walks it again."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from passage.consequences.times import Times, passage_times
from passage.crossings.simulate import sail
from passage.inputs.climate import along, read_climate

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import datetime

    from passage.consequences.anchoring.lying import AtAnchor
    from passage.consequences.lists.floatplan import Sheet as FloatSheet
    from passage.consequences.lists.services import ServiceRow
    from passage.consequences.noons import Noon
    from passage.consequences.power.power import Power
    from passage.consequences.power.scene import Berth
    from passage.consequences.readiness.ready import Readiness
    from passage.consequences.stores.landfall import Stores
    from passage.consequences.watches.phases import WatchPlan
    from passage.consequences.windsea import WindSea
    from passage.crossings.bracket import Bracket
    from passage.crossings.ensemble import Crossings
    from passage.crossings.wind import Luck
    from passage.ground import Ground
    from passage.inputs.electrics import Electrics
    from passage.inputs.folder import Facts

    Work = Callable[["Outcome"], Any]

Worked = TypeVar("Worked")

CROSSINGS = 1000
SEED = 1
BRACKETED = 1000  # crossings at most for each line of the bracket: up to there the hours cost more than the members
FAST_HOURS_SHARE = 0.9  # of her hours are slower than the speed that ships are met and people lost at


@dataclass(frozen=True)
class Outcome:
    """One departure's thousand crossings. What follows from them is worked out when it is first asked for.

    shopping: whether to plan the food still to be bought, which alone costs a second.
    """

    facts: Facts
    ground: Ground
    crossings: Crossings
    shopping: bool = True

    @property
    def slow_share(self) -> float:
        """Share of the crossings that are in by the slow end."""
        return 1.0 - self.facts.voyage.reserve.slow_end_share

    def once(self, work: Callable[[Outcome], Worked]) -> Worked:
        """What a room above works out of this outcome, worked out the first time it is asked for."""
        if work not in self._done:
            self._done[work] = self._taken(work) if work in self._expected else work(self)
        worked: Worked = self._done[work]
        return worked

    def expect(self, works: Iterable[Work], take: Callable[[Work], Any]) -> None:
        """``once`` asks ``take`` for these works first, and works them out itself where that raises LookupError."""
        self._expected.update(dict.fromkeys(works, take))

    def _taken(self, work: Callable[[Outcome], Worked]) -> Worked:
        try:
            taken: Worked = self._expected.pop(work)(work)
        except LookupError:
            return work(self)
        return taken

    @cached_property
    def _done(self) -> dict[Work, Any]:
        return {}

    @cached_property
    def _expected(self) -> dict[Work, Callable[[Work], Any]]:
        return {}

    @cached_property
    def times(self) -> Times:
        return passage_times(self.crossings, self.slow_share)

    @property
    def bracket(self) -> Bracket:
        """What the slow end hangs on."""
        return self.once(bracket_of)

    @cached_property
    def wind_sea(self) -> WindSea:
        """The sea that the wind itself raises along the track."""
        from passage.consequences.windsea import wind_sea

        return wind_sea(self.crossings)

    @cached_property
    def noons(self) -> tuple[Noon, ...]:
        from passage.consequences.noons import ship_noons

        return ship_noons(self.crossings)

    @cached_property
    def fast_kn(self) -> float:
        """The speed that 1 hour under way in 10 exceeds."""
        return float(np.quantile(self.crossings.speed_kn[self.crossings.under_way], FAST_HOURS_SHARE))

    @property
    def watches(self) -> WatchPlan | None:
        """The rotas; None where nobody is named to keep watches, as in a crew of five and more."""
        return self.once(watches_of)

    @cached_property
    def power(self) -> Power | None:
        """The battery; None where no electrics are given."""
        from passage.consequences.power.power import charging_fuel_l, power_to_landfall

        electrics, fuel_l = electrics_of(self.facts), charging_fuel_l(self.facts.boat)
        return power_to_landfall(self.crossings, self.ground.climate, electrics, fuel_l) if electrics else None

    @cached_property
    def stores(self) -> Stores:
        """Water, food, fuel, gas; the fuel that the battery's charging burns comes from ``power``."""
        from passage.consequences.stores.drawdown import Rules
        from passage.consequences.stores.landfall import stores_to_landfall

        facts, days = self.facts, np.minimum(self.crossings.arrival_h, self.crossings.hours) / 24.0
        return stores_to_landfall(
            self.crossings,
            facts.crew,
            facts.boat,
            facts.provisions,
            facts.pantry,
            Rules(self.slow_share, facts.voyage.reserve.typical_factor),
            charging_h_per_day=self.power.low.charging_h / days if self.power else 0.0,
            shopping=self.shopping,
        )

    @cached_property
    def readiness(self) -> Readiness:
        """Boat and papers, as they stand on the day the facts were read, against the slow end and the stay after it."""
        from passage.consequences.readiness.dates import passage_dates
        from passage.consequences.readiness.ready import readiness

        facts, times, crossings = self.facts, self.times, self.crossings
        hours = min(times.fast_h, crossings.hours), min(times.slow_end_h, crossings.hours)
        dates = passage_dates(facts.today, crossings.depart, hours, facts.gear.stay_h)
        charging_h = self.power.low.charging_h if self.power else 0.0
        engine_h = np.quantile(crossings.motoring_h + charging_h, self.slow_share, method="higher")
        return readiness(facts.gear, dates, float(engine_h))

    @cached_property
    def anchor(self) -> AtAnchor | None:
        return lie_at_anchor(self.facts)

    @cached_property
    def services(self) -> tuple[ServiceRow, ...]:
        """Whose forecasts and warnings cover the track."""
        from passage.consequences.lists.services import services_along

        track = self.ground.track
        return services_along(track.distance_nm, track.lat_deg, track.lon_deg)

    @cached_property
    def float_plan(self) -> FloatSheet:
        """What stays ashore: who she is, when she is due, when to worry and whom to call."""
        from passage.consequences.lists.floatplan import float_plan

        facts, hours = self.facts, (self.times.typical_h, self.times.slow_end_h)
        return float_plan(facts.boat, facts.crew, facts.voyage, facts.gear, self.crossings.depart, hours)


def bracket_of(outcome: Outcome) -> Bracket:
    """What the slow end and the stores hang on, by as many of the crossings as ``BRACKETED``.

    Fuel is left out: it goes by the calms and not by the day.
    """
    from passage.crossings.bracket import Used, bracket
    from passage.crossings.wind import Luck

    ground, crossings = outcome.ground, outcome.crossings
    luck = Luck(crossings.seed, min(crossings.members, BRACKETED))
    sailed = ground.track, ground.climate, ground.vessel, crossings.depart, luck
    told = outcome.stores
    stores = [
        Used(store.name, store.net_used[: luck.members], store.usable)
        for store in told.all
        if store is not told.fuel and store.loaded > 0
    ]
    return bracket(*sailed, outcome.slow_share, ground.current, ground.forecast, stores)


def watches_of(outcome: Outcome) -> WatchPlan | None:
    """The rotas; None where nobody is named to keep watches."""
    from passage.consequences.noons import dark_by_day
    from passage.consequences.watches.alertness import body_clock_lag_h
    from passage.consequences.watches.phases import plan_watches

    if not outcome.facts.watch.keepers:
        return None
    lag_h = body_clock_lag_h([noon.zone_h for noon in outcome.noons]).mean()
    return plan_watches(outcome.facts.watch, dark_by_day(outcome.noons), outcome.fast_kn, float(lag_h))


def lie_at_anchor(facts: Facts) -> AtAnchor | None:
    """The boat in the arrival anchorage; None where no anchorage is given."""
    from passage.consequences.anchoring.lying import at_anchor

    hull = facts.boat.hull
    return at_anchor(facts.anchorage, hull.length_overall_m, hull.beam_m) if facts.anchorage else None


def electrics_of(facts: Facts) -> Electrics | None:
    """The electrics file with the stores file's watermaker among its loads; None where no electrics are given."""
    from passage.consequences.stores.landfall import watermaking_of

    making = watermaking_of(facts.provisions)
    return facts.electrics.with_watermaker(making.energy_wh_per_day) if facts.electrics else None


def battery_at_anchor(
    facts: Facts,
    position: tuple[float, float],
    luck: Luck,
    start: datetime,
    days: int,
    heading_deg: float | None = None,
    wind_kn: float | None = None,
) -> tuple[Berth, Power] | None:
    """The battery of a boat lying still at a latitude and longitude (degrees) from ``start`` (UTC), under as many skies
    as the luck has members; None where no electrics are given. Heading and wind: see ``berth_in``.
    """
    from passage.consequences.power.power import power_at_anchor
    from passage.consequences.power.scene import berth_in

    electrics = electrics_of(facts)
    if electrics is None:
        return None
    climate = along(read_climate(facts.voyage.departure.climate), *position)
    berth = berth_in(climate, position, start, heading_deg, wind_kn)
    return berth, power_at_anchor(berth, climate, electrics, start, days=days, members=luck.members, seed=luck.seed)


def walk(
    facts: Facts, ground: Ground, luck: Luck, depart: datetime, progress: Callable[[float], None] | None = None
) -> Outcome:
    """Sail the crossings from ``depart`` (UTC); the same luck gives the same numbers."""
    sailed = ground.track, ground.climate, ground.vessel, depart, luck
    return Outcome(facts, ground, sail(*sailed, progress, ground.current, ground.forecast))
