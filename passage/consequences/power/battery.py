"""The bank: what it takes, holds and gives, hour by hour, and the engine that is started when it runs low.

Energy is counted at the bank's nominal voltage. Left out: voltage sag, and what a bank gives beyond its 20-hour rating
when it is drawn more gently than that. Peukert's law is applied only where the mean draw exceeds the 20-hour rate.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import exp, inf
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.inputs.electrics import Alternator, Battery, Charging

    Floats = NDArray[np.float64]
    Floats32 = NDArray[np.float32]

DAY_H = 24  # what is reckoned together stays in the processor's cache, and memory small
MONTH_H = 730.5
RATED_H = 20.0


@dataclass(frozen=True)
class Profile:
    """Custom of a chemistry. usable: share of the charge that crews draw; charge_efficiency: of energy, in to out;
    charge_rate: most that it takes, share of capacity an hour; taper_h: e-folding of what is still missing when
    charged at full voltage; self_discharge: share a month at 20 degrees; peukert: exponent; standing: whence.
    """

    usable: float
    charge_efficiency: float
    charge_rate: float
    taper_h: float
    self_discharge: float
    peukert: float
    standing: str


_LEAD_SOURCE = "common practice: traction-battery handbooks give 75 to 85 % energy efficiency for flooded lead"
PROFILES = {
    "lead": Profile(0.5, 0.82, 0.15, 1.5, 0.05, 1.20, _LEAD_SOURCE),
    "AGM": Profile(0.5, 0.87, 0.25, 1.2, 0.03, 1.10, "common practice; makers' sheets differ, use yours"),
    "lithium": Profile(0.8, 0.95, 0.5, 0.1, 0.02, 1.03, "common practice for LiFePO4; its own electronics decide"),
}


@dataclass(frozen=True)
class Bank:
    """A battery ready to be run; start and floor are shares of a full one."""

    capacity_wh: float
    start: float
    floor: float
    profile: Profile

    @property
    def takes_share_h(self) -> float:
        """Share of what is missing that an hour at full voltage puts back."""
        return 1.0 - exp(-1.0 / self.profile.taper_h)


@dataclass(frozen=True)
class ChargingRule:
    """Engine running for the battery alone: below ``start_below`` (share), for ``run_h``, while ``fuel_l`` lasts.

    always_on: (hour, member), the part of each hour that it runs whatever the battery says, or None.
    """

    power_w: float = 0.0
    consumption_l_h: float = 1.0
    start_below: float = 0.0
    run_h: float = 1.0
    fuel_l: float = inf
    always_on: Floats32 | None = None


@dataclass(frozen=True)
class Run:
    """A bank run through every hour. soc: state of charge, share of full, (hour + 1, member), the first at departure.

    All else (member,): lowest, the least charge at sea; Wh from departure to landfall: engine_wh from charging runs,
    spilled_wh offered and not taken, unserved_wh asked of an empty bank, charge_loss_wh, self_discharge_wh; engine_h
    hours of charging runs.
    """

    soc: Floats32
    lowest: Floats32
    engine_wh: Floats
    spilled_wh: Floats
    unserved_wh: Floats
    charge_loss_wh: Floats
    self_discharge_wh: Floats
    stored_wh: Floats
    engine_h: Floats


SUMS = tuple(field.name for field in fields(Run) if field.name != "soc")  # (member,) each


def bank_of(battery: Battery, start: float, mean_draw_w: float) -> Bank:
    """The bank as it is today: aged, and smaller where it is drawn faster than in 20 hours."""
    profile = PROFILES[battery.chemistry]
    nominal_wh = battery.capacity_ah * battery.voltage_v * battery.health_share
    usable = profile.usable if battery.usable_share is None else battery.usable_share
    capacity_wh = nominal_wh * peukert_share(mean_draw_w, nominal_wh, profile.peukert)
    return Bank(capacity_wh, start, 1.0 - usable, profile)


def peukert_share(draw_w: float, nominal_wh: float, exponent: float) -> float:
    """Share of the rated capacity that a steady draw gets out: (20-hour rate / draw)^(exponent - 1), at most 1."""
    if draw_w <= 0.0:
        return 1.0
    return float(min(1.0, (nominal_wh / RATED_H / draw_w) ** (exponent - 1.0)))


def rule_of(
    alternator: Alternator | None, charging: Charging | None, fuel_l: float, always_on: Floats32 | None
) -> ChargingRule:
    """The file's rule; ``always_on``: its daily run, see Rule."""
    if alternator is None or charging is None:
        return ChargingRule()
    return ChargingRule(
        alternator.power_w, alternator.consumption_l_h, charging.start_below_share, charging.run_h, fuel_l, always_on
    )


class _Engine:
    """Who runs the engine for the battery this hour."""

    def __init__(self, rule: ChargingRule, members: int) -> None:
        self.rule = rule
        self.left_h = np.zeros(members)
        self.fuel_l = np.full(members, rule.fuel_l)

    def hours(self, hour: int, soc: Floats, free: NDArray[np.bool_], at_sea: Floats) -> Floats:
        """Part of this hour that it runs, (member,); free: at sea and not motoring anyway."""
        rule = self.rule
        wanted = (soc < rule.start_below) & (self.left_h <= 0.0)
        if wanted.any():
            self.left_h[wanted] = rule.run_h
        if rule.always_on is None and not self.left_h.any():
            return self.left_h
        run = np.minimum(self.left_h, 1.0)
        if rule.always_on is not None:
            run = np.maximum(run, rule.always_on[hour])
        run = np.where(free, np.minimum(run * at_sea, self.fuel_l / rule.consumption_l_h), 0.0)
        self.left_h = np.maximum(self.left_h - 1.0, 0.0)
        self.fuel_l = self.fuel_l - run * rule.consumption_l_h
        return run


def run_bank(
    bank: Bank, offered_w: Floats32, load_w: Floats32, at_sea: Floats32, motoring: NDArray[np.bool_], rule: ChargingRule
) -> Run:
    """Run a bank. Each (hour, member): offered_w of all sources, load_w, at_sea (share of the hour at sea), motoring.

    Loads are fed from what is offered first; the rest charges as far as the bank takes it. Below the floor it goes on
    giving until it is empty: the floor is a wish, not a switch. After landfall nothing moves.
    """
    members = offered_w.shape[1]
    course = _Course(bank, rule, members)
    soc = np.empty((len(offered_w) + 1, members), dtype=np.float32)
    soc[0] = course.soc
    for begin in range(0, len(offered_w), DAY_H):
        day = slice(begin, begin + DAY_H)
        part = at_sea[day].astype(np.float64)
        net_wh = (offered_w[day].astype(np.float64) - load_w[day]) * part
        soc[1:][day] = course.day(begin, net_wh, part, (part > 0.0) & ~motoring[day])
    sums = course.sums
    return Run(
        soc=soc,
        lowest=np.where(at_sea > 0.0, soc[1:], np.float32(inf)).min(axis=0),
        engine_wh=rule.power_w * sums["run_h"],
        spilled_wh=sums["spilled"],
        unserved_wh=sums["unserved"],
        charge_loss_wh=sums["taken"] * (1.0 - bank.profile.charge_efficiency),
        self_discharge_wh=sums["faded"] * bank.capacity_wh,
        stored_wh=(course.soc - bank.start) * bank.capacity_wh,
        engine_h=sums["run_h"],
    )


class _Course:
    """The banks of all members from day to day. soc: charge now, (members,); sums: until now, (members,) each, Wh but
    for the engine's hours and the share that has faded.
    """

    def __init__(self, bank: Bank, rule: ChargingRule, members: int) -> None:
        self._bank, self._rule, self._engine = bank, rule, _Engine(rule, members)
        self.soc = np.full(members, bank.start)
        self.sums = {name: np.zeros(members) for name in ("taken", "spilled", "unserved", "faded", "run_h")}

    def day(self, begin: int, net_wh: Floats, part: Floats, free: NDArray[np.bool_]) -> NDArray[np.float32]:
        """Charge after each hour of a day that begins with this one, (hours, member); see ``run_bank``."""
        bank, rule, soc = self._bank, self._rule, self.soc
        profile, capacity, efficiency = bank.profile, bank.capacity_wh, bank.profile.charge_efficiency
        takes_wh, fills_wh = profile.charge_rate * capacity / efficiency, bank.takes_share_h * capacity / efficiency
        fades = part * (profile.self_discharge / MONTH_H)
        trace = np.empty(net_wh.shape, dtype=np.float32)
        taken, drawn, faded, run_h = (np.zeros(net_wh.shape) for _ in range(4))
        for row, net in enumerate(net_wh):
            if rule.power_w > 0.0:
                run_h[row] = self._engine.hours(begin + row, soc, free[row], part[row])
                net += rule.power_w * run_h[row]
            taken[row] = np.minimum(np.maximum(net, 0.0), np.minimum(takes_wh, (1.0 - soc) * fills_wh))
            drawn[row] = np.minimum(np.maximum(-net, 0.0), soc * capacity)
            soc += (taken[row] * efficiency - drawn[row]) / capacity
            np.minimum(np.maximum(soc, 0.0, out=soc), 1.0, out=soc)  # rounding alone would reach past empty or full
            np.multiply(soc, fades[row], out=faded[row])
            soc -= faded[row]
            trace[row] = soc
        spilled, unserved = np.maximum(net_wh, 0.0) - taken, np.maximum(-net_wh, 0.0) - drawn
        for name, rows in zip(self.sums, (taken, spilled, unserved, faded, run_h), strict=True):
            self.sums[name] = np.concatenate((self.sums[name][None], rows)).sum(axis=0)
        return trace
