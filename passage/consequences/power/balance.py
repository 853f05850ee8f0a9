"""One boat's electrics run over a scene: every source, every load, the bank."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.power.battery import SUMS, Bank, ChargingRule, Run, bank_of, rule_of, run_bank
from passage.consequences.power.loads import load_w
from passage.consequences.power.panels import faces, harvest_w
from passage.consequences.power.sources import motoring_w, towed_w, wind_w
from passage.crossings.ensemble import MOTORING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from passage.consequences.power.cloud import Case
    from passage.consequences.power.scene import Scene
    from passage.inputs.electrics import Electrics

    Floats = NDArray[np.float64]
    Floats32 = NDArray[np.float32]

SUN, ALTERNATOR, TOWED, WIND, ENGINE = (
    "sun",
    "alternator, motoring",
    "towed generator",
    "wind generator",
    "charging runs",
)
MORNING_H = 6.0  # solar hour at which the daily run begins: the bank is low and takes most


@dataclass(frozen=True)
class Plant:
    """What a scene makes of an electrics file before the bank is run: watts by source and by load, (hour, member).

    ``sun_w`` is of one cloud case; the rest does not depend on it. mean_w: of each load at sea, by which the bank is
    judged: where the scene is a block of boats, of all of them.
    """

    scene: Scene
    electrics: Electrics
    fuel_l: float
    sun_w: Floats32
    other_w: dict[str, Floats32]
    loads_w: dict[str, Floats32]
    mean_w: dict[str, float]

    @cached_property
    def motoring(self) -> NDArray[np.bool_]:
        return np.asarray(self.scene.state == MOTORING)

    @cached_property
    def offered_w(self) -> Floats32:
        return sum(self.other_w.values(), start=self.sun_w)

    @cached_property
    def drawn_w(self) -> Floats32:
        return sum(self.loads_w.values(), start=np.zeros_like(self.sun_w))


@dataclass(frozen=True)
class Account:
    """A run of the bank and what went in and out, Wh from departure to landfall, (member,) each.

    In every crossing sum(offered) + run.engine - run.spilled = sum(asked) - run.unserved + run.charge_loss +
    run.self_discharge + run.stored.
    """

    bank: Bank
    run: Run
    offered_wh: dict[str, Floats]
    asked_wh: dict[str, Floats]
    days: Floats


def plant_of(
    scene: Scene, electrics: Electrics, case: Case, fuel_l: float = inf, mean_w: dict[str, float] | None = None
) -> Plant:
    """All sources and loads of a scene; fuel_l: what there is for charging runs; mean_w: where others are to be counted
    too, see ``Plant``.
    """
    other: dict[str, Floats32] = {}
    if electrics.alternator is not None:
        other[ALTERNATOR] = motoring_w(scene, electrics.alternator)
    if electrics.towed_generator is not None:
        other[TOWED] = towed_w(scene, electrics.towed_generator)
    if electrics.wind_generator is not None:
        other[WIND] = wind_w(scene, electrics.wind_generator)
    mean_w = mean_draws_w([scene], electrics) if mean_w is None else mean_w
    return Plant(scene, electrics, fuel_l, sun_of(scene, electrics, case), other, _loads_w(scene, electrics), mean_w)


def _loads_w(scene: Scene, electrics: Electrics) -> dict[str, Floats32]:
    return {load.name: load_w(load, scene, electrics.watch) for load in electrics.loads}


def mean_draws_w(scenes: Iterable[Scene], electrics: Electrics) -> dict[str, float]:
    """What each load draws in the mean of the hours at sea."""
    drawn, hours = [], []
    for scene in scenes:
        drawn.append([_added(watts, scene) for watts in _loads_w(scene, electrics).values()])
        hours.append(scene.at_sea.sum(axis=0, dtype=np.float64))
    whole_h = max(np.concatenate(hours).sum(), 1e-9)
    sums = [float(np.concatenate(each).sum() / whole_h) for each in zip(*drawn, strict=True)]
    return dict(zip((load.name for load in electrics.loads), sums, strict=True))


def _added(watts: Floats32, scene: Scene) -> Floats:
    """Watts added up to landfall, Wh, (member,)."""
    return np.asarray(np.einsum("hm,hm->m", watts, scene.at_sea, dtype=np.float64))


def sun_of(scene: Scene, electrics: Electrics, case: Case) -> Floats32:
    """The panels' watts in one cloud case, (hour, member); the same panels in the same scene are reckoned once."""
    catching, heel_deg = faces(electrics.panels, electrics.solar), electrics.solar.heel_deg
    asked = case, catching, heel_deg
    if asked not in scene.harvests:
        scene.harvests[asked] = harvest_w(scene, *asked)
    return scene.harvests[asked]


def under_other_sky(plant: Plant, case: Case) -> Plant:
    """The same plant in the other cloud case."""
    return replace(plant, sun_w=sun_of(plant.scene, plant.electrics, case))


def run_plant(plant: Plant) -> tuple[Bank, Run]:
    """Run the bank of a plant."""
    bank = bank_for(plant.electrics, plant.mean_w)
    return bank, run_bank(bank, plant.offered_w, plant.drawn_w, plant.scene.at_sea, plant.motoring, _rule(plant))


def bank_for(electrics: Electrics, mean_w: dict[str, float]) -> Bank:
    """The bank under loads of such means."""
    return bank_of(electrics.battery, electrics.departure.start_share, sum(mean_w.values()))


def account_of(plant: Plant) -> Account:
    """Run the bank and add up every source and load."""
    bank, run = run_plant(plant)
    offered = {SUN: _added(plant.sun_w, plant.scene)} if plant.electrics.panels else {}
    return Account(
        bank=bank,
        run=run,
        offered_wh=offered | {name: _added(watts, plant.scene) for name, watts in plant.other_w.items()},
        asked_wh={name: _added(watts, plant.scene) for name, watts in plant.loads_w.items()},
        days=plant.scene.at_sea.sum(axis=0, dtype=np.float64) / 24.0,
    )


def account_for_all(scene: Scene, electrics: Electrics, case: Case, fuel_l: float, mean_w: dict[str, float]) -> Account:
    """The account of every boat of a scene, however many, worked out block by block; mean_w: of all of them."""
    soc = np.empty((scene.hours + 1, scene.members), dtype=np.float32)
    accounts = []
    for who, part in scene.in_blocks():
        account = account_of(plant_of(part, electrics, case, fuel_l, mean_w))
        soc[:, who] = account.run.soc
        accounts.append(replace(account, run=replace(account.run, soc=soc[:, who])))
    return _joined(accounts, soc)


def _joined(accounts: list[Account], soc: Floats32) -> Account:
    """The accounts of blocks of boats as one."""
    runs = [account.run for account in accounts]
    sums = {name: np.concatenate([getattr(run, name) for run in runs]) for name in SUMS}
    offered, asked = (
        {name: np.concatenate([row[name] for row in rows]) for name in rows[0]}
        for rows in ([account.offered_wh for account in accounts], [account.asked_wh for account in accounts])
    )
    days = np.concatenate([account.days for account in accounts])
    return Account(accounts[0].bank, Run(soc=soc, **sums), offered, asked, days)


def _rule(plant: Plant) -> ChargingRule:
    charging = plant.electrics.charging
    return rule_of(
        plant.electrics.alternator,
        charging,
        plant.fuel_l,
        _mornings(plant.scene, charging.daily_h if charging else 0.0),
    )


def _mornings(scene: Scene, daily_h: float) -> Floats32 | None:
    """Part of each hour that the daily run lasts, (hour, member); None without one."""
    if daily_h <= 0.0:
        return None
    begins = scene.solar_hour() - np.float32(0.5)
    part = np.minimum(begins + 1.0, MORNING_H + daily_h) - np.maximum(begins, MORNING_H)
    return scene.here(np.clip(part, 0.0, 1.0).astype(np.float32))
