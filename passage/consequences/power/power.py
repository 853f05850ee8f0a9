"""Does the battery come back every day, on which nights not, and how many litres of charging does that take?

Nothing here is a forecast: sun, cloud and wind are the climatology's with chance about it, and two published cloud
formulas give a high and a low case between which the truth is expected to lie. A bank that ages, a shaded or salted
panel and a warm refrigerator all take more than a file says; watch the monitor aboard, not this.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import partial
from math import ceil, inf, isfinite, nan
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.power.balance import ENGINE, Account, account_for_all, bank_for, mean_draws_w, plant_of
from passage.consequences.power.battery import PROFILES
from passage.consequences.power.remedies import PowerRemedy, remedies_for
from passage.consequences.power.scene import Berth, Scene, scene_at_anchor, scene_under_way
from passage.tell.customary import unit_words
from passage.tell.figures import amount
from passage.tell.records import Record, down, reckoned, told, up

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.consequences.power.battery import Bank
    from passage.consequences.power.cloud import Case
    from passage.crossings.ensemble import Crossings
    from passage.inputs.boat import Boat
    from passage.inputs.climate import TrackClimate
    from passage.inputs.electrics import Electrics

    Floats = NDArray[np.float64]

LOW, TYPICAL, GOOD = 0.05, 0.5, 0.95  # shares of crossings whose battery is no fuller
BACK_SHARE = 0.95  # a battery has come back that is this full at some time of the day
FEWEST_AT_SEA = 0.05  # rows end where fewer than one crossing in twenty is still at sea
CASES: tuple[Case, Case] = ("low", "high")
COLD_C = 10.0
MOSTLY = 0.5  # share of crossings beyond which "not always" would be too mild
NOTHING_L = 0.05  # litres that print as nothing


@dataclass(frozen=True)
class FanRow:
    """State of charge, share of full, of the boats still at sea at the end of an hour: 1 in 20 no more than ``low``,
    half ``typical``, 19 in 20 ``good``.
    """

    hour: int
    at_sea: float
    low: float
    typical: float
    good: float


class NightRow(Record):
    """One night, from noon to noon by the sun at departure.

    stays: share of all crossings at sea until the midnight after it; of these it came back since the midnight in it.
    """

    begins_hour: int
    stays: float
    night: int = told("its number; 1 is the first with darkness at sea")
    still_at_sea_in_100: float = told("of 100 crossings, those at sea as it begins")
    below_in_100: float = up("of 100 still at sea, those whose battery falls below the floor")
    emptied_in_100: float = up("of 100 still at sea, those whose battery is emptied")
    back_in_100: float = down("of 100 that stay, those in which it came back; null: too few stay")
    lowest_in_100: float = down("charge of the night that 1 boat in 20 is no fuller than, per cent")
    lowest_typical_in_100: float = down("the same for half the boats")


class FlowKind(StrEnum):
    SOURCE = "source"
    LOAD = "load"
    OTHER = "other"  # what is not taken, lost or stored


class EnergyRow(Record):
    """Mean energy a day at sea."""

    what: str = told("name of a source, a load or a loss")
    kind: FlowKind = told("source, load or other")
    wh_per_day: float = told("Wh a day; for 'other' as they stand in the balance")
    ah_per_day: float = told("Ah a day at the bank's voltage")


class WorstHour(Record):
    """The hour in which the battery of 1 crossing in 20 is lowest, while a fifth of them are at sea."""

    hour: int
    solar_hour: float

    @reckoned("its day out")
    def worst_day(self) -> int:
        return self.hour // 24 + 1

    @reckoned("its hour by the sun there, begun")
    def ship_hour(self) -> int:
        return int(self.solar_hour)

    lowest_in_100: float = down("charge that 1 boat in 20 is no fuller than, per cent")
    lowest_typical_in_100: float = down("the same for half the boats")


class Outlook(Record):
    """What follows under one cloud formula. below_floor, flat: shares of crossings with such a night at all.

    charging_h, charging_l: hours and litres of charging runs in every crossing, (member,); ended: charge at the end,
    share of full, (member,).
    """

    fan: tuple[FanRow, ...]
    below_floor: float
    flat: float
    charging_h: Floats
    charging_l: Floats
    ended: Floats
    back_in_100: float = down("of 100 whole days at sea, on which it came back; null: too few boats")
    worst: WorstHour = told("the hour in which 1 boat in 20 is lowest")
    nights: tuple[NightRow, ...] = told("each night from noon to noon")
    energy: tuple[EnergyRow, ...] = told("mean energy a day: sources, loads, and what is not taken, lost or left")


class ChargingRuns(Record):
    """Engine running for the battery alone, little sun."""

    typical_charging_h: float = told("hours that half the crossings need no more than")
    most_charging_h: float = told("hours that 1 crossing in 20 exceeds")
    typical_charging_l: float = told("litres of fuel that half the crossings need no more than")
    most_charging_l: float = told("litres of fuel that 1 crossing in 20 exceeds")
    typical_high_case_charging_l: float = told("litres with much sun that half the crossings need no more than")
    charging_fuel_l: float = down("litres that neither calms nor the landfall have been promised", places=0)
    fuel_gone_in_100: float = up("of 100 crossings, those that burn all of it")


class Holds(StrEnum):
    """Whether the battery holds."""

    YES = "yes"
    WITH_ENGINE = "with the engine"
    NOT_IN_LITTLE_SUN = "not in little sun"
    NOT_ALWAYS = "not always"
    SOMETIMES_EMPTY = "sometimes empty"
    MOSTLY_EMPTY = "mostly empty"

    @property
    def words(self) -> str:
        return _HOLDS[self]


_HOLDS = {
    Holds.YES: "Yes",
    Holds.WITH_ENGINE: "Yes, with the engine",
    Holds.NOT_IN_LITTLE_SUN: "Not always, with little sun",
    Holds.NOT_ALWAYS: "Not always",
    Holds.SOMETIMES_EMPTY: "Not always: with little sun it runs empty",
    Holds.MOSTLY_EMPTY: "No: with little sun it runs empty",
}


class BatteryAnswer(Record):
    """Whether the battery stays above its floor."""

    charging: ChargingRuns
    at_anchor: bool
    verdict: Holds = told("whether the battery stays above its floor")
    engine_runs: bool = told("whether the engine ever runs for the battery, little sun")
    floor_in_100: float = told("charge below which it should not fall, per cent of full")
    below_in_100: float = up("of 100 crossings, those below the floor, little sun")
    below_high_case_in_100: float = up("the same with much sun")
    emptied_in_100: float = up("of 100 crossings, those whose battery is emptied, little sun")
    emptied_high_case_in_100: float = up("the same with much sun")


class Lying(Record):
    """A boat at anchor instead of sailing."""

    berth: Berth = told("where and how she lies")
    begins_utc: datetime = told("when the reckoning begins")
    days_long: int = told("how many days it runs")


class Power(Record):
    """The battery in all crossings: high case (Reed, more sun), low case (Berliand, less); remedies are for the low.

    tried: what tries the remedies, which takes as long as all the rest, when they are asked for.
    """

    tried: Callable[[], tuple[PowerRemedy, ...]]
    floor: float
    fuel_l: float
    profile: str
    voltage_v: float

    @reckoned("whether it holds")
    def answer(self) -> BatteryAnswer:
        low, high = self.low, self.high
        return BatteryAnswer(
            charging=self.charging,
            at_anchor=self.at_anchor is not None,
            verdict=_holds(low, high),
            engine_runs=bool(low.charging_l.any()),
            floor_in_100=100.0 * self.floor,
            below_in_100=100.0 * low.below_floor,
            below_high_case_in_100=100.0 * high.below_floor,
            emptied_in_100=100.0 * low.flat,
            emptied_high_case_in_100=100.0 * high.flat,
        )

    at_anchor: Lying | None = told("where she lies instead of sailing; null under way")
    crossings: int = told("how many crossings were sailed; at anchor, how many skies were drawn")
    capacity_wh: float = told("what the bank holds today, Wh")

    @reckoned("the same in Ah at its voltage")
    def capacity_ah(self) -> float:
        return self.capacity_wh / self.voltage_v

    start_in_100: float = told("charge at departure, per cent of full")

    @reckoned("charge at which it has come back, per cent of full")
    def full_again_in_100(self) -> float:
        return 100.0 * BACK_SHARE

    low: Outlook = told("with little sun: what to plan by")
    high: Outlook = told("with much sun")

    @reckoned("all loads together, Wh a day")
    def used_wh_per_day(self) -> float:
        return sum(row.wh_per_day for row in self.low.energy if row.kind is FlowKind.LOAD)

    @reckoned("all loads together, Ah a day")
    def used_ah_per_day(self) -> float:
        return self.used_wh_per_day / self.voltage_v

    @reckoned("engine running for the battery alone")
    def charging(self) -> ChargingRuns:
        low, high, fuel_l = self.low, self.high, self.fuel_l
        return ChargingRuns(
            *_typical_and_most(low.charging_h),
            *_typical_and_most(low.charging_l),
            _typical_and_most(high.charging_l)[0],
            fuel_l,
            100.0 * float((low.charging_l > max(fuel_l - NOTHING_L, NOTHING_L)).mean()),
        )

    @reckoned("what would help, most days saved first, then most fuel; each the same crossings run again")
    def remedies(self) -> tuple[PowerRemedy, ...]:
        return tuple(remedy for remedy in self.tried() if remedy.helps)

    notes: tuple[str, ...] = told("what these numbers do not know, and where the bank's figures come from")


def _holds(low: Outlook, high: Outlook) -> Holds:
    if low.flat > 0:
        return Holds.MOSTLY_EMPTY if low.flat > MOSTLY else Holds.SOMETIMES_EMPTY
    if high.below_floor > 0:
        return Holds.NOT_ALWAYS
    if low.below_floor > 0:
        return Holds.NOT_IN_LITTLE_SUN
    return Holds.WITH_ENGINE if low.charging_l.any() else Holds.YES


def _typical_and_most(amounts: Floats) -> tuple[float, float]:
    """What half the crossings need no more than, and 19 in 20."""
    typical, most = np.quantile(amounts, (TYPICAL, GOOD), method="higher")
    return float(typical), float(most)


def charging_fuel_l(boat: Boat) -> float:
    """Fuel that may be burnt for charging: what neither calms nor landfall have been promised."""
    return max(boat.usable_fuel_l - boat.fuel.calms_allowance_l - boat.fuel.landfall_reserve_l, 0.0)


def power_to_landfall(
    crossings: Crossings, climate: TrackClimate, electrics: Electrics, fuel_l: float = inf, *, remedies: bool = True
) -> Power:
    """The battery along every crossing. climate: at the track's nodes; fuel_l: for charging runs, see charging_fuel_l.

    Raises OutOfRange where the climate knows no cloud on the track.
    """
    return _power(scene_under_way(crossings, climate), electrics, fuel_l, remedies=remedies)


def power_at_anchor(
    berth: Berth,
    climate: TrackClimate,
    electrics: Electrics,
    start: datetime,
    *,
    days: int,
    members: int,
    seed: int = 1,
) -> Power:
    """The same for a boat that lies still, to be held against one's own. climate: of that place alone, (12, 1)."""
    scene = scene_at_anchor(berth, climate, start, days, members, seed)
    return _power(scene, electrics, inf, lying=Lying(berth, start, days))


def _power(
    scene: Scene, electrics: Electrics, fuel_l: float, lying: Lying | None = None, *, remedies: bool = False
) -> Power:
    mean_w = mean_draws_w((part for _, part in scene.in_blocks()), electrics)
    bank = bank_for(electrics, mean_w)
    low, high = (_outlook(scene, electrics, account_for_all(scene, electrics, case, fuel_l, mean_w)) for case in CASES)
    return Power(
        tried=partial(_tried, scene, electrics, fuel_l, mean_w) if remedies else tuple,
        floor=bank.floor,
        fuel_l=fuel_l,
        profile=PROFILES[electrics.battery.chemistry].standing,
        voltage_v=electrics.battery.voltage_v,
        at_anchor=lying,
        crossings=scene.members,
        capacity_wh=bank.capacity_wh,
        start_in_100=100.0 * electrics.departure.start_share,
        low=low,
        high=high,
        notes=_notes(scene, electrics, bank),
    )


def _tried(scene: Scene, electrics: Electrics, fuel_l: float, mean_w: dict[str, float]) -> tuple[PowerRemedy, ...]:
    return remedies_for(plant_of(part, electrics, "low", fuel_l, mean_w) for _, part in scene.in_blocks())


def _outlook(scene: Scene, electrics: Electrics, account: Account) -> Outlook:
    fan, nights = _fan(account.run.soc[1:], scene.ends_h), _nights(scene, account)
    alternator = electrics.alternator
    return Outlook(
        fan=fan,
        nights=nights,
        worst=_worst(scene, fan),
        energy=_energy(account, electrics.battery.voltage_v),
        below_floor=float((account.run.lowest < account.bank.floor).mean()),
        flat=float((account.run.unserved_wh > 1e-6).mean()),
        back_in_100=_days_back(nights),
        charging_h=account.run.engine_h,
        charging_l=account.run.engine_h * (alternator.consumption_l_h if alternator else 0.0),
        ended=account.run.soc[-1].astype(np.float64),
    )


def _fan(soc: NDArray[np.float32], ends_h: Floats) -> tuple[FanRow, ...]:
    members = soc.shape[1]
    rows = []
    for hour, charge in enumerate(soc):
        row = np.sort(charge[ends_h > hour])
        count = len(row)
        if count < max(1, FEWEST_AT_SEA * members):
            break
        low, typical, good = (float(row[max(ceil(share * count) - 1, 0)]) for share in (LOW, TYPICAL, GOOD))
        rows.append(FanRow(hour, float(count / members), low, typical, good))
    return tuple(rows)


def _worst(scene: Scene, fan: tuple[FanRow, ...]) -> WorstHour:
    most = fan[0].at_sea
    row = min((row for row in fan if row.at_sea >= 0.2 * most), key=lambda row: (row.low, row.typical))
    solar = float(scene.solar_hour()[row.hour].take(scene.placed(scene.run_nm[row.hour])).mean())
    return WorstHour(row.hour, solar, 100.0 * row.low, 100.0 * row.typical)


def first_noon(scene: Scene) -> int:
    """Hours from departure to the first noon by the sun there, from 0 to 23."""
    return round(12.0 - float(scene.solar_hour()[0, scene.place_of_node[0]]) + 0.5) % 24


def _nights(scene: Scene, account: Account) -> tuple[NightRow, ...]:
    rows = []
    soc, ends_h, noon = account.run.soc, scene.ends_h, first_noon(scene)
    fewest = max(1, FEWEST_AT_SEA * scene.members)
    leaves_in_the_dark = scene.sky.night[:noon, scene.place_of_node[0]].any()
    begins = range(noon - 24 if leaves_in_the_dark else noon, scene.hours, 24)
    for night, begin in enumerate(begins, 1):
        first, end = max(begin, 0), min(begin + 24, scene.hours)
        boats = ends_h > first
        if end - begin < 12 or boats.sum() < fewest:
            break
        at_sea = ends_h > np.arange(first, end)[:, None]
        lowest = np.where(at_sea, soc[first + 1 : end + 1], np.float32(inf)).min(axis=0)[boats]
        stay = ends_h > begin + 35 if begin + 36 <= scene.hours else np.zeros(scene.members, dtype=bool)
        highest = soc[max(begin + 12, 0) : begin + 37, stay].max(axis=0)
        ordered = np.sort(lowest)
        rows.append(
            NightRow(
                begins_hour=first,
                stays=float(stay.mean()),
                night=night,
                still_at_sea_in_100=100.0 * float(boats.mean()),
                below_in_100=100.0 * float((lowest < account.bank.floor).mean()),
                emptied_in_100=100.0 * float((lowest < 1e-4).mean()),
                back_in_100=100.0 * float((highest >= BACK_SHARE).mean()) if stay.sum() >= fewest else nan,
                lowest_in_100=100.0 * float(ordered[max(ceil(LOW * len(ordered)) - 1, 0)]),
                lowest_typical_in_100=100.0 * float(ordered[max(ceil(TYPICAL * len(ordered)) - 1, 0)]),
            )
        )
    return tuple(rows)


def _days_back(nights: tuple[NightRow, ...]) -> float:
    days = [(night.stays, night.back_in_100) for night in nights if isfinite(night.back_in_100)]
    return sum(stays * back for stays, back in days) / sum(stays for stays, _ in days) if days else nan


def _energy(account: Account, voltage_v: float) -> tuple[EnergyRow, ...]:
    """The daily table: sources less what is not taken equal loads met, losses and what is stored."""
    days, run = max(float(account.days.sum()), 1e-9), account.run

    def row(name: str, kind: FlowKind, energy_wh: Floats) -> EnergyRow:
        wh_per_day = float(energy_wh.sum()) / days
        return EnergyRow(name, kind, wh_per_day, wh_per_day / voltage_v)

    return (
        *(row(name, FlowKind.SOURCE, energy) for name, energy in account.offered_wh.items()),
        *([row(ENGINE, FlowKind.SOURCE, run.engine_wh)] if run.engine_wh.any() else []),
        row("not taken by a full battery", FlowKind.OTHER, -run.spilled_wh),
        *(row(name, FlowKind.LOAD, energy) for name, energy in account.asked_wh.items()),
        row("asked of an empty battery", FlowKind.OTHER, -run.unserved_wh),
        row("lost in charging", FlowKind.OTHER, run.charge_loss_wh),
        row("self-discharge", FlowKind.OTHER, run.self_discharge_wh),
        row("left in the battery", FlowKind.OTHER, run.stored_wh),
    )


def _notes(scene: Scene, electrics: Electrics, bank: Bank) -> tuple[str, ...]:
    coldest = min(float(part.here(part.air_c)[part.at_sea > 0.0].min()) for _, part in scene.in_blocks())
    battery = electrics.battery
    notes = [
        "Sun and cloud are drawn about monthly averages, no forecast; the truth is expected between the two cases.",
    ]
    rated_wh = battery.capacity_ah * battery.voltage_v * battery.health_share
    if bank.capacity_wh < 0.995 * rated_wh:
        share = bank.capacity_wh / rated_wh
        notes.append(f"Drawn faster than in 20 hours, the bank gives {100 * share:.0f} % of its rating (Peukert).")
    if coldest < COLD_C and battery.chemistry == "lithium":
        notes.append(
            f"Air down to {amount(coldest, 'c'):u}: a lithium bank must not be charged below freezing; heed its maker."
        )
    elif coldest < COLD_C:
        notes.append(
            f"Air down to {amount(coldest, 'c'):u}: lead loses some 1 % of capacity for each {_degree()} "
            "(common practice)."
        )
    if electrics.towed_generator is not None:
        notes.append("The towed generator's drag is not in these speeds unless it is in her polar.")
    return tuple(notes)


def _degree() -> str:
    return "degree below 25" if unit_words("°C") == "°C" else "2 degrees below 77"
