"""What would help: the same crossings run again with one thing changed, and ranked by the nights that it saves."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from math import nan
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.power.balance import Plant, run_plant
from passage.consequences.power.panels import faces, harvest_w
from passage.inputs.electrics import Charging, Panel
from passage.tell.figures import in_print
from passage.tell.records import Record, told, up

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from numpy.typing import NDArray

    from passage.consequences.power.battery import Bank, Run
    from passage.inputs.electrics import Load, Prices

MORE_W = 50.0
MORE_H = 1.0
DAY_H = 24


class PowerRemedy(Record):
    """One change and what it does in the low case."""

    remedy: str = told("the one thing changed")
    below_in_100: float = up("of 100 crossings, those that fall below the floor at all")
    below_days: float = told("days below the floor in an average crossing")
    changed_days: float = told("change of these days, negative is better")
    mean_charging_l: float = told("litres for charging in an average crossing")
    changed_charging_l: float = told("change of these litres, negative is better")
    price: float = told("what it costs, by [prices] of electrics.toml; null where nobody said", places=0, default=nan)

    @property
    def helps(self) -> bool:
        """Fewer days below the floor, or as many and less fuel, as they are printed."""
        return (in_print(self.changed_days), in_print(self.changed_charging_l)) < (0.0, 0.0)


class _Score(NamedTuple):
    """Of each boat: days below the floor, and litres for charging, (members,)."""

    below_days: NDArray[np.intp]
    charging_l: NDArray[np.float64]


def remedies_for(plants: Iterable[Plant]) -> tuple[PowerRemedy, ...]:
    """Every remedy that this boat has at hand, the one that saves most days below the floor first, then most litres.
    plants: hers in one block of crossings after another.
    """
    scores: dict[str, list[_Score]] = defaultdict(list)
    for plant in plants:
        prices = plant.electrics.prices
        for name, changed in (("", plant), *_changes(plant)):
            scores[name].append(_score(changed, *run_plant(changed)))
    whole = {name: _Score(*map(np.concatenate, zip(*each, strict=True))) for name, each in scores.items()}
    as_is = whole.pop("")
    found = [_remedy(name, score, as_is, prices) for name, score in whole.items()]
    return tuple(sorted(found, key=lambda remedy: (round(remedy.changed_days, 6), remedy.changed_charging_l)))


def _remedy(name: str, score: _Score, as_is: _Score, prices: Prices) -> PowerRemedy:
    days, litres = float(score.below_days.mean()), float(score.charging_l.mean())
    more_l = litres - float(as_is.charging_l.mean())
    return PowerRemedy(
        name,
        100.0 * float((score.below_days > 0).mean()),
        days,
        days - float(as_is.below_days.mean()),
        litres,
        more_l,
        _price(name, prices, more_l),
    )


def _price(name: str, prices: Prices, more_l: float) -> float:
    """Of the panels, or of the fuel that a crossing burns more; to do without costs nothing."""
    if name.startswith("add "):
        return nan if prices.panel_watt is None else MORE_W * prices.panel_watt
    if name.startswith("run "):
        return nan if prices.fuel_litre is None else max(more_l, 0.0) * prices.fuel_litre
    return 0.0


def _score(plant: Plant, bank: Bank, run: Run) -> _Score:
    below = (run.soc[1:] < bank.floor) & (plant.scene.at_sea > 0.0)
    days = np.add.reduceat(below, np.arange(0, len(below), DAY_H), axis=0) > 0
    alternator = plant.electrics.alternator
    return _Score(days.sum(axis=0), run.engine_h * (alternator.consumption_l_h if alternator else 0.0))


def _changes(plant: Plant) -> Iterator[tuple[str, Plant]]:
    for load in plant.electrics.loads:
        if not load.needed and plant.mean_w[load.name] > 0.0:
            yield f"do without: {load.name}", _less(plant, load, 0.0)
        if load.reef_to_share is not None:
            yield f"cut to {100 * load.reef_to_share:.0f} %: {load.name}", _less(plant, load, load.reef_to_share)
    yield f"add {MORE_W:.0f} W of panels", _more_sun(plant)
    if plant.electrics.alternator is not None:
        yield f"run the engine {MORE_H:.0f} h more every morning", _more_engine(plant)


def _less(plant: Plant, load: Load, share: float) -> Plant:
    less_w = plant.loads_w | {load.name: plant.loads_w[load.name] * np.float32(share)}
    return replace(plant, loads_w=less_w, mean_w=plant.mean_w | {load.name: plant.mean_w[load.name] * share})


def _more_sun(plant: Plant) -> Plant:
    """More of the panels she has or, where she has none, one flat on deck."""
    electrics = plant.electrics
    if electrics.panels:
        return replace(plant, sun_w=plant.sun_w * np.float32(1.0 + MORE_W / electrics.panels_w))
    panel = Panel(name="more", power_w=MORE_W)
    return replace(
        plant, sun_w=harvest_w(plant.scene, "low", faces([panel], electrics.solar), electrics.solar.heel_deg)
    )


def _more_engine(plant: Plant) -> Plant:
    charging = plant.electrics.charging or Charging()
    more = charging.model_copy(update={"daily_h": min(charging.daily_h + MORE_H, 12.0)})
    return replace(plant, electrics=plant.electrics.model_copy(update={"charging": more}))
