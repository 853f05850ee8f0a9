"""The audit: what is aboard against the need, day by day. Enough or not, and until when?

Each day eats first what spoils first, never more of a thing than its daily most, until the day's energy is met; what
spoils meanwhile is lost.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.consequences.stores.larder import Larder

NEARLY = 1.0 - 1e-9


class AuditDay(Record):
    """One day out. protein_kg: found; left_kcal: energy left that keeps."""

    day: int = told("day out, from 1")
    need_kcal: float = told("need of all aboard on that day")
    found_kcal: float = told("what is aboard gives on that day")
    protein_kg: float
    left_kcal: float
    spoiled_kg: float
    enough: bool = told("whether that is enough")

    @reckoned("what has spoiled of what is aboard and was not eaten, g")
    def spoiled_g(self) -> float:
        return 1000.0 * self.spoiled_kg


class Audit(Record):
    """What is aboard, day by day to the slow end."""

    days: tuple[AuditDay, ...] = told("day by day to the slow end")
    lasts_days: int = told("last day out with energy enough from the first on", places=0)
    protein_lasts_days: int = told("last day out with protein enough from the first on", places=0)
    enough: bool = told("whether it feeds all to the slow end")
    no_cook_left_kcal: float = told("then left for the reserve days, of what needs no cooking and keeps")
    edible_kcal: float = told("in all that is aboard, less what spoils before it is eaten")


def audit(larder: Larder) -> Audit:
    """Audit what is aboard against the need to the slow end."""
    left = larder.aboard_kg
    order = np.argsort(larder.keeps, kind="stable")
    days = []
    for day in range(larder.days):
        spoiled = np.where(larder.keeps <= day, left, 0.0)
        left = left - spoiled
        eaten = _eat(larder, left, order, float(larder.need_kcal[day]))
        left = left - eaten
        days.append(_audited(larder, day, eaten, left, float(spoiled.sum())))
    keeps_on = larder.keeps >= larder.days + larder.reserve_days
    no_cook = np.array([not food.cook for food in larder.foods], dtype=bool)
    lasts = _unbroken([day.enough for day in days])
    return Audit(
        days=tuple(days),
        lasts_days=lasts,
        protein_lasts_days=_unbroken([day.protein_kg >= larder.protein_kg * NEARLY for day in days]),
        enough=lasts == larder.days,
        edible_kcal=sum(day.found_kcal for day in days) + days[-1].left_kcal,
        no_cook_left_kcal=float((left * larder.energy)[keeps_on & no_cook].sum()),
    )


def _eat(larder: Larder, left: NDArray[np.float64], order: NDArray[np.intp], need_kcal: float) -> NDArray[np.float64]:
    """What the day eats of each food, kg, in ``order``."""
    offered = np.minimum(left, larder.most_kg)[order]
    energy = larder.energy[order]
    before = np.cumsum(offered * energy) - offered * energy
    wanted = np.clip(need_kcal - before, 0.0, None) / np.maximum(energy, 1e-9)
    eaten = np.zeros_like(left)
    eaten[order] = np.minimum(offered, wanted)
    return eaten


def _audited(
    larder: Larder, day: int, eaten: NDArray[np.float64], left: NDArray[np.float64], spoiled: float
) -> AuditDay:
    found = float(eaten @ larder.energy)
    need = float(larder.need_kcal[day])
    return AuditDay(
        day=day + 1,
        need_kcal=need,
        found_kcal=found,
        protein_kg=float(eaten @ larder.protein),
        left_kcal=float((left * larder.energy)[larder.keeps > day + 1].sum()),
        spoiled_kg=spoiled,
        enough=found >= need * NEARLY,
    )


def _unbroken(enough: list[bool]) -> int:
    return enough.index(False) if False in enough else len(enough)
