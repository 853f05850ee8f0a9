"""Does the battery come back every day, on which nights not, and how many litres of charging does that take?

Nothing here is a forecast: sun, cloud and wind are the climatology's with chance about it, and two published cloud
formulas give a high and a low case between which the truth is expected to lie. A bank that ages, a shaded or salted
panel and a warm refrigerator all take more than a file says; watch the monitor aboard, not this.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.power.balance import ENGINE, Account, account_of, plant_of, under_other_sky
from passage.consequences.power.battery import PROFILES
from passage.consequences.power.remedies import PowerRemedy, remedies_for
from passage.consequences.power.scene import Berth, Scene, scene_at_anchor, scene_under_way

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.inputs.boat import Boat
    from passage.inputs.climate import TrackClimate
    from passage.inputs.electrics import Electrics

    Floats = NDArray[np.float64]

LOW, TYPICAL, GOOD = 0.05, 0.5, 0.95  # shares of crossings whose battery is no fuller
BACK_SHARE = 0.95  # a battery has come back that is this full at some time of the day
FEWEST_AT_SEA = 0.05  # rows end where fewer than one crossing in twenty is still at sea
COLD_C = 10.0


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


@dataclass(frozen=True)
class NightRow:
    """One night, from noon to noon by the sun at departure; night 1 is the first with darkness at sea.

    at_sea: share of all crossings at sea at its beginning; of these, below_floor: share in which the battery fell below
    its floor, flat: in which it was emptied. stays: share of all crossings at sea until the midnight after it; back: of
    these, the share in which it came back to 95 per cent full since the midnight in it, None where too few stay. low,
    typical: lowest charge of the night in 1 crossing in 20 and in half, share of full.
    """

    night: int
    begins_hour: int
    at_sea: float
    below_floor: float
    flat: float
    stays: float
    back: float | None
    low: float
    typical: float


@dataclass(frozen=True)
class EnergyRow:
    """Mean energy a day at sea, Wh. kind: source, load, or other (what is not taken, lost or stored)."""

    name: str
    kind: str
    wh_per_day: float


@dataclass(frozen=True)
class WorstHour:
    """The hour in which the battery of 1 crossing in 20 is lowest, while a fifth of them are at sea."""

    hour: int
    solar_hour: float
    low: float
    typical: float


@dataclass(frozen=True)
class Outlook:
    """What follows under one cloud formula. below_floor, flat: shares of crossings with such a night at all; back:
    share of all whole days at sea on which the battery came back to 95 per cent full, None without such a day.

    charging_h, charging_l: hours and litres of charging runs in every crossing, (member,).
    """

    fan: tuple[FanRow, ...]
    nights: tuple[NightRow, ...]
    worst: WorstHour
    energy: tuple[EnergyRow, ...]
    below_floor: float
    flat: float
    back: float | None
    charging_h: Floats
    charging_l: Floats
    account: Account


@dataclass(frozen=True)
class Power:
    """The battery in all crossings: high case (Reed, more sun), low case (Berliand, less); remedies are for the low."""

    capacity_wh: float
    floor: float
    profile: str
    high: Outlook
    low: Outlook
    remedies: tuple[PowerRemedy, ...]
    notes: tuple[str, ...]


def charging_fuel_l(boat: Boat) -> float:
    """Fuel that may be burnt for charging: what neither calms nor landfall have been promised."""
    return max(boat.usable_fuel_l - boat.fuel.calms_allowance_l - boat.fuel.landfall_reserve_l, 0.0)


def power_to_landfall(
    crossings: Crossings, climate: TrackClimate, electrics: Electrics, fuel_l: float = inf, *, remedies: bool = True
) -> Power:
    """The battery along every crossing. climate: at the track's nodes; fuel_l: for charging runs, see charging_fuel_l.

    Raises OutOfRange where the climate knows no cloud on the track.
    """
    return _power(scene_under_way(crossings, climate), electrics, fuel_l, remedies)


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
    return _power(scene_at_anchor(berth, climate, start, days, members, seed), electrics, inf, remedies=False)


def _power(scene: Scene, electrics: Electrics, fuel_l: float, remedies: bool) -> Power:
    plant = plant_of(scene, electrics, "low", fuel_l)
    low = _outlook(scene, electrics, account_of(plant))
    high = _outlook(scene, electrics, account_of(under_other_sky(plant, "high")))
    return Power(
        capacity_wh=low.account.bank.capacity_wh,
        floor=low.account.bank.floor,
        profile=PROFILES[electrics.battery.chemistry].standing,
        high=high,
        low=low,
        remedies=remedies_for(plant) if remedies else (),
        notes=_notes(scene, electrics, low.account),
    )


def _outlook(scene: Scene, electrics: Electrics, account: Account) -> Outlook:
    at_sea = scene.at_sea > 0.0
    lowest = np.where(at_sea, account.run.soc[1:], np.float32(inf)).min(axis=0)
    fan, nights = _fan(account.run.soc[1:], at_sea), _nights(scene, account, at_sea)
    alternator = electrics.alternator
    return Outlook(
        fan=fan,
        nights=nights,
        worst=_worst(scene, fan),
        energy=_energy(account),
        below_floor=float((lowest < account.bank.floor).mean()),
        flat=float((account.run.unserved_wh > 1e-6).mean()),
        back=_days_back(nights),
        charging_h=account.run.engine_h,
        charging_l=account.run.engine_h * (alternator.consumption_l_h if alternator else 0.0),
        account=account,
    )


def _fan(soc: NDArray[np.float32], at_sea: NDArray[np.bool_]) -> tuple[FanRow, ...]:
    members = soc.shape[1]
    ordered = np.sort(np.where(at_sea, soc, np.float32(inf)), axis=1)
    rows = []
    for hour, (row, count) in enumerate(zip(ordered, at_sea.sum(axis=1), strict=True)):
        if count < max(1, FEWEST_AT_SEA * members):
            break
        low, typical, good = (float(row[max(ceil(share * count) - 1, 0)]) for share in (LOW, TYPICAL, GOOD))
        rows.append(FanRow(hour, float(count / members), low, typical, good))
    return tuple(rows)


def _worst(scene: Scene, fan: tuple[FanRow, ...]) -> WorstHour:
    most = fan[0].at_sea
    row = min((row for row in fan if row.at_sea >= 0.2 * most), key=lambda row: (row.low, row.typical))
    solar = float(scene.here(scene.solar_hour(), slice(row.hour, row.hour + 1))[0].mean())
    return WorstHour(row.hour, solar, row.low, row.typical)


def first_noon(scene: Scene) -> int:
    """Hours from departure to the first noon by the sun there, from 0 to 23."""
    return round(12.0 - float(scene.solar_hour()[0, scene.place[0, 0]]) + 0.5) % 24


def _nights(scene: Scene, account: Account, at_sea: NDArray[np.bool_]) -> tuple[NightRow, ...]:
    rows = []
    soc, noon = account.run.soc, first_noon(scene)
    fewest = max(1, FEWEST_AT_SEA * scene.members)
    leaves_in_the_dark = scene.sky.night[:noon, scene.place[0, 0]].any()
    begins = range(noon - 24 if leaves_in_the_dark else noon, scene.hours, 24)
    for night, begin in enumerate(begins, 1):
        first, end = max(begin, 0), min(begin + 24, scene.hours)
        boats = at_sea[first]
        if end - begin < 12 or boats.sum() < fewest:
            break
        lowest = np.where(at_sea[first:end], soc[first + 1 : end + 1], np.float32(inf)).min(axis=0)[boats]
        stay = at_sea[begin + 35] if begin + 36 <= scene.hours else np.zeros(scene.members, dtype=bool)
        highest = soc[max(begin + 12, 0) : begin + 37, stay].max(axis=0)
        ordered = np.sort(lowest)
        rows.append(
            NightRow(
                night=night,
                begins_hour=first,
                at_sea=float(boats.mean()),
                below_floor=float((lowest < account.bank.floor).mean()),
                flat=float((lowest < 1e-4).mean()),
                stays=float(stay.mean()),
                back=float((highest >= BACK_SHARE).mean()) if stay.sum() >= fewest else None,
                low=float(ordered[max(ceil(LOW * len(ordered)) - 1, 0)]),
                typical=float(ordered[max(ceil(TYPICAL * len(ordered)) - 1, 0)]),
            )
        )
    return tuple(rows)


def _days_back(nights: tuple[NightRow, ...]) -> float | None:
    days = [(night.stays, night.back) for night in nights if night.back is not None]
    return sum(stays * back for stays, back in days) / sum(stays for stays, _ in days) if days else None


def _energy(account: Account) -> tuple[EnergyRow, ...]:
    """The daily table: sources less what is not taken equal loads met, losses and what is stored."""
    days, run = max(float(account.days.sum()), 1e-9), account.run

    def row(name: str, kind: str, energy_wh: Floats) -> EnergyRow:
        return EnergyRow(name, kind, float(energy_wh.sum()) / days)

    return (
        *(row(name, "source", energy) for name, energy in account.offered_wh.items()),
        *([row(ENGINE, "source", run.engine_wh)] if run.engine_wh.any() else []),
        row("not taken by a full battery", "other", -run.spilled_wh),
        *(row(name, "load", energy) for name, energy in account.asked_wh.items()),
        row("asked of an empty battery", "other", -run.unserved_wh),
        row("lost in charging", "other", run.charge_loss_wh),
        row("self-discharge", "other", run.self_discharge_wh),
        row("left in the battery", "other", run.stored_wh),
    )


def _notes(scene: Scene, electrics: Electrics, account: Account) -> tuple[str, ...]:
    coldest = float(scene.here(scene.air_c)[scene.at_sea > 0.0].min())
    battery = electrics.battery
    notes = [
        "Sun and cloud are drawn about monthly averages, no forecast; the truth is expected between the two cases.",
    ]
    rated_wh = battery.capacity_ah * battery.voltage_v * battery.health_share
    if account.bank.capacity_wh < 0.995 * rated_wh:
        share = account.bank.capacity_wh / rated_wh
        notes.append(f"Drawn faster than in 20 hours, the bank gives {100 * share:.0f} % of its rating (Peukert).")
    if coldest < COLD_C and battery.chemistry == "lithium":
        notes.append(
            f"Air down to {coldest:.0f} °C: a lithium bank must not be charged below freezing; heed its maker."
        )
    elif coldest < COLD_C:
        notes.append(
            f"Air down to {coldest:.0f} °C: lead loses some 1 % of capacity for each degree below 25 (common practice)."
        )
    if electrics.towed_generator is not None:
        notes.append("The towed generator's drag is not in these speeds unless it is in her polar.")
    return tuple(notes)
