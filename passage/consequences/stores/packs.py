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
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.stores.dinners import last_day
from passage.errors import PassageError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import highspy
    from numpy.typing import ArrayLike, NDArray

    from passage.consequences.stores.dinners import DinnerPlan
    from passage.consequences.stores.larder import Larder
    from passage.inputs.pantry import Food
    from passage.inputs.provisions import Diet

    Floats = NDArray[np.float64]

GAP = 0.01  # whole packs are proved within one per cent of the least
UNPRICED = 1.01
MOST_NODES = 300  # of the search tree; a count, not a time, so that the answer is the same on every machine
WHOLE = 1e-6  # of a pack: the solver's rounding
_OPTIONS: dict[str, bool | float | str] = {
    "output_flag": False,
    "parallel": "off",
    "mip_rel_gap": GAP,
    "mip_max_nodes": MOST_NODES,
    "mip_heuristic_run_root_reduced_cost": False,  # it takes half of the time and finds no better packs
}

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
    prices = _prices(larder.foods)
    masses = [food.gross_kg for food in larder.foods]
    return Bounds(
        larder=larder,
        dinners=dinners,
        minimise=np.array(prices if by_cost else masses),
        liked=frozenset(diet.likes),
        diet=diet,
    )


def _prices(foods: Sequence[Food]) -> list[float]:
    """What has no price counts by its energy, or else its weight, a hundredth dearer than the dearest that has one."""
    priced = [(food, food.price) for food in foods if food.price is not None]
    by_kcal = max((price / food.pack_kcal for food, price in priced if food.pack_kcal > 0.0), default=0.0)
    by_kg = max((price / food.pack_kg for food, price in priced), default=0.0)
    guessed = (UNPRICED * (by_kcal * food.pack_kcal or by_kg * food.pack_kg) for food in foods)
    return [guess if food.price is None else food.price for food, guess in zip(foods, guessed, strict=True)]


def choose_packs(bounds: Bounds) -> Packs:
    """The least packs that satisfy the bounds. Raises CannotProvision with the bounds that make it impossible.

    Packs have no upper limit, so packs of the relaxed programme rounded up always do, should the search end without
    any.
    """
    programme, n = _programme(bounds), len(bounds.larder.foods)
    solved = _solve(programme, whole=True)
    if solved.x is not None:
        found, packs, least = solved.x, np.round(solved.x[:n]), solved.least
    else:
        relaxed = _solve(programme, whole=False)
        if relaxed.x is None:
            raise CannotProvision(why_not(bounds))
        found, packs, least = relaxed.x, np.ceil(relaxed.x[:n] - WHOLE), relaxed.cost
    bought = packs.astype(np.int64)
    eaten, reserve = _eat_fresh_first(bounds, programme, bought, found)
    return Packs(
        bought=bought,
        eaten_kg=eaten,
        reserve_kg=reserve,
        objective=float(bounds.minimise[bought > 0] @ bought[bought > 0]),
        least=least,
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
    """Minimise cost @ x, low <= rows @ x <= high, least <= x <= most.

    Variables in order: packs (n), kg eaten (n x days, food by food), kg in reserve (n).
    """

    packs: int
    cost: Floats
    least: Floats
    most: Floats
    rows: list[Floats] = field(default_factory=list)
    low: list[Floats] = field(default_factory=list)
    high: list[Floats] = field(default_factory=list)

    def at_least(self, rows: Floats, low: ArrayLike) -> None:
        self._between(rows, low, np.inf)

    def at_most(self, rows: Floats, high: ArrayLike) -> None:
        self._between(rows, -np.inf, high)

    def _between(self, rows: Floats, low: ArrayLike, high: ArrayLike) -> None:
        self.rows.append(rows)
        self.low.append(np.broadcast_to(low, len(rows)))
        self.high.append(np.broadcast_to(high, len(rows)))


def _programme(bounds: Bounds) -> _Programme:
    larder, (n, days) = bounds.larder, (len(bounds.larder.foods), bounds.larder.days)
    programme, each, on_each = _variables(bounds), np.eye(n), np.eye(days)
    eaten_kg = np.array([food.eaten_kg for food in larder.foods])
    within_stock = _rows((n, n, days), packs=-eaten_kg * each, eaten=each[:, :, None], reserve=each)
    programme.at_most(within_stock, larder.aboard_kg)

    def daily(weight: Floats) -> Floats:
        return _rows((days, n, days), eaten=weight[:, None] * on_each[:, None, :])

    def kept(weight: Floats) -> Floats:
        return _rows((1, n, days), reserve=weight)

    if "energy" not in bounds.without:
        programme.at_least(daily(larder.energy), larder.need_kcal)
    if "protein" not in bounds.without:
        programme.at_least(daily(larder.protein), larder.protein_kg)
    if "produce" not in bounds.without:
        programme.at_least(daily(_in(larder, "produce")), larder.persons * bounds.diet.produce_kg)
    if "reserve" not in bounds.without:
        programme.at_least(kept(larder.energy), larder.reserve_kcal)
        programme.at_least(kept(larder.protein), larder.reserve_days * larder.protein_kg)
    _vary(bounds, programme, _rows((n, n, days), eaten=(larder.energy * each)[:, :, None]))
    return programme


def _rows(
    shape: tuple[int, int, int], packs: ArrayLike = 0.0, eaten: ArrayLike = 0.0, reserve: ArrayLike = 0.0
) -> Floats:
    """Rows of the programme from the factors of each kind of variable, or what becomes these by broadcasting.

    shape: rows, foods, days; eaten: of this shape; packs, reserve: (rows, foods).
    """
    parts = (packs, shape[:2]), (eaten, shape), (reserve, shape[:2])
    return np.concatenate([np.broadcast_to(part, size).reshape(shape[0], -1) for part, size in parts], axis=1)


def _in(larder: Larder, *groups: str) -> Floats:
    """1 for each food of the groups, else 0, (n,)."""
    return np.array([food.group in groups for food in larder.foods], dtype=float)


def _vary(bounds: Bounds, programme: _Programme, energy_of: Floats) -> None:
    """The bounds on what one food, and each group of foods, gives of the energy to the slow end, dinners allowed for.

    energy_of: (n, variables), the energy of each food eaten.
    """
    larder, diet = bounds.larder, bounds.diet
    total, dined = larder.need_kcal.sum(), larder.energy * bounds.dinners.uses_kg.sum(axis=1)
    if "one food" not in bounds.without:
        programme.at_most(energy_of, np.maximum(diet.most_of_one_share * total, dined))
    if "groups" in bounds.without:
        return
    for weight, share in ((_in(larder, "fat"), diet.fats_share), (_in(larder, "snack"), diet.snacks_share)):
        programme.at_most(weight[None, :] @ energy_of, max(share * total, weight @ dined))
    programme.at_least(_in(larder, "staple", "pulse")[None, :] @ energy_of, diet.staples_share * total)


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


class _Solved(NamedTuple):
    """x: None where nothing was found; cost: of x; least: what no x can do better than, for whole packs."""

    x: Floats | None
    cost: float
    least: float


def _solve(programme: _Programme, *, whole: bool) -> _Solved:
    import highspy

    with _quiet():
        solver = highspy.Highs()
    for option, value in _OPTIONS.items():
        solver.setOptionValue(option, value)
    solver.passModel(_model(programme, whole))
    solver.run()
    told = solver.getInfo()
    found = told.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    x = np.array(solver.getSolution().col_value) if found else None
    return _Solved(x, told.objective_function_value, told.mip_dual_bound)


@contextmanager
def _quiet() -> Iterator[None]:
    """The solver writes its name straight to the standard output, past Python and before it can be told to be silent;
    it would spoil an answer printed there.
    """
    kept = os.dup(1)
    try:
        with Path(os.devnull).open("wb") as sink:
            os.dup2(sink.fileno(), 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)


def _model(programme: _Programme, whole: bool) -> highspy.HighsLp:
    import highspy

    rows = np.concatenate(programme.rows)
    row, column = rows.nonzero()
    model = highspy.HighsLp()
    model.num_row_, model.num_col_ = rows.shape
    model.col_cost_, model.col_lower_, model.col_upper_ = programme.cost, programme.least, programme.most
    model.row_lower_, model.row_upper_ = np.concatenate(programme.low), np.concatenate(programme.high)
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = np.searchsorted(row, np.arange(len(rows) + 1))
    model.a_matrix_.index_, model.a_matrix_.value_ = column, rows[row, column]
    if whole:
        kinds = highspy.HighsVarType
        others = model.num_col_ - programme.packs
        model.integrality_ = [kinds.kInteger] * programme.packs + [kinds.kContinuous] * others
    return model


def _eat_fresh_first(
    bounds: Bounds, programme: _Programme, bought: NDArray[np.int64], found: Floats
) -> tuple[Floats, Floats]:
    """With the packs settled, eat early what keeps least: kg by food and day, and the reserve. found: the variables
    with which the packs were found, eaten so where packs rounded by a hair leave the solver nothing.
    """
    larder, n = bounds.larder, programme.packs
    urgency = 1.0 / np.maximum(larder.keeps, 1.0)
    cost = np.concatenate([np.zeros(n), (urgency[:, None] * np.arange(larder.days)).ravel(), np.zeros(n)])
    least, most = programme.least.copy(), programme.most.copy()
    least[:n] = most[:n] = bought
    eaten = _solve(replace(programme, cost=cost, least=least, most=most), whole=False).x
    kg = np.clip(found if eaten is None else eaten, 0.0, None)
    return kg[n:-n].reshape(n, larder.days), kg[-n:]
