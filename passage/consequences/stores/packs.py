"""Which packs to buy: a linear programme in whole packs, solved by HiGHS.

Variables: packs bought of each food (whole), kg of it eaten on each day, kg of it kept for the reserve. What is eaten
comes out of packs aboard and packs bought. Every day has its energy, its protein and its produce; no food is eaten when
it is spoiled, beyond its daily most, or beyond its share of the energy; the reserve is food that keeps, needs no
cooking and may be landed. The least mass, packaging included, or the least cost. Where nothing will do, the bounds that
make it so are named.
"""

from __future__ import annotations

import os
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.consequences.stores.dinners import last_day
from passage.errors import MissingExtra, PassageError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from passage.consequences.stores.dinners import DinnerPlan
    from passage.consequences.stores.larder import Larder
    from passage.inputs.provisions import Diet

GAP = 0.01  # whole packs are proved within one per cent of the least
MOST_NODES = 300  # of the search tree; a count, not a time, so that the answer is the same on every machine
WHOLE = 1e-6  # of a pack: the solver's rounding

FAMILIES = {
    "energy": "energy every day",
    "protein": "protein every day",
    "produce": "the least produce every day",
    "one food": "the most of the energy that one food may give",
    "groups": "the shares of the energy that staples, fats and snacks give",
    "most": "the most of each food for a person and day",
    "keeping": "how long food keeps",
    "landing": "what may not be landed is eaten before the typical landfall",
    "reserve": "the reserve days of no-cook food",
}


class CannotProvision(PassageError):
    """No packs satisfy the bounds; the message names those that make it so."""


@dataclass(frozen=True)
class Bounds:
    """The programme's figures. minimise: cost of a pack, (n,), infinite where it cannot be bought; liked: foods of
    which one pack at least is aboard; without: families of bounds left out, to find which one makes it infeasible.
    """

    larder: Larder
    dinners: DinnerPlan
    minimise: NDArray[np.float64]
    liked: frozenset[str]
    diet: Diet
    without: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Packs:
    """What to buy and how it is eaten. bought: (n,) whole packs; eaten_kg: (n, days); reserve_kg: (n,); objective: mass
    or cost bought; least: no choice of packs can do it for less than this; gap_share: how far apart the two are.
    """

    bought: NDArray[np.int64]
    eaten_kg: NDArray[np.float64]
    reserve_kg: NDArray[np.float64]
    objective: float
    least: float

    @property
    def gap_share(self) -> float:
        return (self.objective - self.least) / self.objective if self.objective > 0 else 0.0


def bounds_for(larder: Larder, dinners: DinnerPlan, diet: Diet) -> Bounds:
    """The bounds that a diet lays on a larder."""
    by_cost = diet.minimise == "cost"
    prices = [food.price if food.price is not None else np.inf for food in larder.foods]
    masses = [food.gross_kg for food in larder.foods]
    return Bounds(
        larder=larder,
        dinners=dinners,
        minimise=np.array(prices if by_cost else masses),
        liked=frozenset(diet.likes),
        diet=diet,
    )


def choose_packs(bounds: Bounds) -> Packs:
    """The least packs that satisfy the bounds. Raises CannotProvision with the bounds that make it impossible.

    Packs have no upper limit, so packs of the relaxed programme rounded up always do, should the search end without
    any.
    """
    programme = _programme(bounds)
    relaxed = _solve(programme, whole=False)
    if relaxed.x is None:
        raise CannotProvision(why_not(bounds))
    solved = _solve(programme, whole=True)
    n = len(bounds.larder.foods)
    found = solved.x is not None
    bought = (np.round(solved.x[:n]) if found else np.ceil(relaxed.x[:n] - WHOLE)).astype(np.int64)
    eaten, reserve = _eat_fresh_first(bounds, programme, bought)
    return Packs(
        bought=bought,
        eaten_kg=eaten,
        reserve_kg=reserve,
        objective=float(bounds.minimise[bought > 0] @ bought[bought > 0]),
        least=float(solved.mip_dual_bound if found else relaxed.fun),
    )


def why_not(bounds: Bounds) -> str:
    """One sentence: which bound, taken alone, makes the programme infeasible; or that several do together."""
    alone = [
        words
        for family, words in FAMILIES.items()
        if _solve(_programme(replace(bounds, without=frozenset({family}))), whole=False).x is not None
    ]
    if alone:
        return f"no packs will do; it would go without any one of these bounds: {'; '.join(alone)}"
    return "no packs will do, whichever single bound is left out: add foods, or ask less of them"


@dataclass
class _Programme:
    """Minimise cost @ x, low <= A x <= high, least <= x <= most. The first n variables are packs."""

    packs: int
    cost: NDArray[np.float64]
    least: NDArray[np.float64]
    most: NDArray[np.float64]
    blocks: list[Any] = field(default_factory=list)
    low: list[NDArray[np.float64]] = field(default_factory=list)
    high: list[NDArray[np.float64]] = field(default_factory=list)

    def at_least(self, block: Any, low: NDArray[np.float64]) -> None:
        self.blocks.append(block)
        self.low.append(low)
        self.high.append(np.full(len(low), np.inf))

    def at_most(self, block: Any, high: NDArray[np.float64]) -> None:
        self.blocks.append(block)
        self.low.append(np.full(len(high), -np.inf))
        self.high.append(high)


def _scipy() -> tuple[Any, Any]:
    try:
        from scipy import optimize, sparse
    except ImportError:
        raise MissingExtra("provision", "choosing packs") from None
    return optimize, sparse


def _programme(bounds: Bounds) -> _Programme:
    """Variables in order: packs (n), kg eaten (n x days, food by food), kg in reserve (n)."""
    _, sparse = _scipy()
    larder, (n, days) = bounds.larder, (len(bounds.larder.foods), bounds.larder.days)
    programme = _variables(bounds)
    one, each = sparse.identity(n, format="csr"), np.ones((1, days))
    eaten_kg = np.array([food.eaten_kg for food in larder.foods])
    programme.at_most(sparse.hstack([sparse.diags(-eaten_kg), sparse.kron(one, each), one]), larder.aboard_kg)

    def daily(weight: NDArray[np.float64]) -> Any:
        by_day = sparse.kron(sparse.csr_matrix(weight[None, :]), sparse.identity(days))
        return sparse.hstack([sparse.csr_matrix((days, n)), by_day, sparse.csr_matrix((days, n))])

    def kept(weight: NDArray[np.float64]) -> Any:
        return sparse.hstack([sparse.csr_matrix((1, n + n * days)), sparse.csr_matrix(weight[None, :])])

    if "energy" not in bounds.without:
        programme.at_least(daily(larder.energy), larder.need_kcal)
    if "protein" not in bounds.without:
        programme.at_least(daily(larder.protein), np.full(days, larder.protein_kg))
    if "produce" not in bounds.without:
        programme.at_least(daily(_in(larder, "produce")), np.full(days, larder.persons * bounds.diet.produce_kg))
    if "reserve" not in bounds.without:
        programme.at_least(kept(larder.energy), np.array([larder.reserve_kcal]))
        programme.at_least(kept(larder.protein), np.array([larder.reserve_days * larder.protein_kg]))
    _vary(bounds, programme, sparse.kron(sparse.diags(larder.energy), each))
    return programme


def _in(larder: Larder, *groups: str) -> NDArray[np.float64]:
    """1 for each food of the groups, else 0, (n,)."""
    return np.array([food.group in groups for food in larder.foods], dtype=float)


def _vary(bounds: Bounds, programme: _Programme, energy_of: Any) -> None:
    """The bounds on what one food, and each group of foods, gives of the energy to the slow end, dinners allowed for.

    energy_of: (n, n x days), the energy of each food eaten.
    """
    _, sparse = _scipy()
    larder, diet, n = bounds.larder, bounds.diet, len(bounds.larder.foods)
    total, dined = larder.need_kcal.sum(), larder.energy * bounds.dinners.uses_kg.sum(axis=1)
    block = sparse.hstack([sparse.csr_matrix((n, n)), energy_of, sparse.csr_matrix((n, n))], format="csr")
    if "one food" not in bounds.without:
        programme.at_most(block, np.maximum(diet.most_of_one_share * total, dined))
    if "groups" in bounds.without:
        return
    for weight, share in ((_in(larder, "fat"), diet.fats_share), (_in(larder, "snack"), diet.snacks_share)):
        programme.at_most(sparse.csr_matrix(weight) @ block, np.array([max(share * total, weight @ dined)]))
    staples = sparse.csr_matrix(_in(larder, "staple", "pulse"))
    programme.at_least(staples @ block, np.array([diet.staples_share * total]))


def _variables(bounds: Bounds) -> _Programme:
    """Costs and the bounds of the single variables."""
    larder, (n, days) = bounds.larder, (len(bounds.larder.foods), bounds.larder.days)
    buyable = np.isfinite(bounds.minimise)
    wanted = np.array([food.item in bounds.liked and food.aboard_packs < 1 for food in larder.foods])
    uses = bounds.dinners.uses_kg
    daily = np.full(n, np.inf) if "most" in bounds.without else larder.most_kg
    most = np.maximum(np.where(_edible(bounds), daily[:, None], 0.0), uses)
    reserve = np.where(_for_reserve(bounds) & (larder.reserve_days > 0), daily, 0.0) * max(larder.reserve_days, 1)
    return _Programme(
        packs=n,
        cost=np.concatenate([np.where(buyable, bounds.minimise, 0.0), np.zeros(n * days + n)]),
        least=np.concatenate([np.where(wanted & buyable, 1.0, 0.0), uses.ravel(), np.zeros(n)]),
        most=np.concatenate([np.where(buyable, np.inf, 0.0), most.ravel(), reserve]),
    )


def _edible(bounds: Bounds) -> NDArray[np.bool_]:
    """Whether each food may be eaten on each day, (n, days)."""
    larder = bounds.larder
    last = np.array([last_day(larder, number) for number in range(len(larder.foods))])
    if "landing" in bounds.without:
        last = np.minimum(larder.keeps, larder.days)
    if "keeping" in bounds.without:
        last = np.array([larder.days if food.ashore else larder.landfall_day for food in larder.foods])
    edible: NDArray[np.bool_] = np.arange(larder.days)[None, :] < last[:, None]
    return edible


def _for_reserve(bounds: Bounds) -> NDArray[np.bool_]:
    """Foods fit for the reserve, (n,): they outlast it, need no cooking and may be landed."""
    larder = bounds.larder
    keeps = (larder.keeps >= larder.days + larder.reserve_days) | ("keeping" in bounds.without)
    fit = [not food.cook and (food.ashore or "landing" in bounds.without) for food in larder.foods]
    fit_and_kept: NDArray[np.bool_] = keeps & np.array(fit, dtype=bool)
    return fit_and_kept


def _solve(programme: _Programme, *, whole: bool) -> Any:
    optimize, sparse = _scipy()
    rows = optimize.LinearConstraint(
        sparse.vstack(programme.blocks, format="csc"), np.concatenate(programme.low), np.concatenate(programme.high)
    )
    is_whole = np.zeros(len(programme.cost))
    is_whole[: programme.packs] = whole
    with _quiet():
        return optimize.milp(
            programme.cost,
            integrality=is_whole,
            bounds=optimize.Bounds(programme.least, programme.most),
            constraints=rows,
            options={"mip_rel_gap": GAP, "node_limit": MOST_NODES},
        )


@contextmanager
def _quiet() -> Iterator[None]:
    """The solver of some scipy releases writes a line for its own makers straight to the standard output, past Python
    and past its own switch; it would spoil an answer printed there.
    """
    kept = os.dup(1)
    try:
        with Path(os.devnull).open("wb") as sink:
            os.dup2(sink.fileno(), 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)


def _eat_fresh_first(
    bounds: Bounds, programme: _Programme, bought: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """With the packs settled, eat early what keeps least: kg by food and day, and the reserve."""
    larder, n = bounds.larder, programme.packs
    urgency = 1.0 / np.maximum(larder.keeps, 1.0)
    cost = np.concatenate([np.zeros(n), (urgency[:, None] * np.arange(larder.days)).ravel(), np.zeros(n)])
    least, most = programme.least.copy(), programme.most.copy()
    least[:n] = most[:n] = bought
    solved = _solve(replace(programme, cost=cost, least=least, most=most), whole=False)
    eaten = np.clip(solved.x[n:-n], 0.0, None).reshape(n, larder.days)
    return eaten, np.clip(solved.x[-n:], 0.0, None)
