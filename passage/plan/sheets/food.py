"""Food: what each needs, what is aboard and until when, dinners, what to buy and to eat first, what is left."""

from __future__ import annotations

from datetime import date, timedelta
from math import isnan
from typing import TYPE_CHECKING

from passage.consequences.stores.audit import Audit, AuditDay
from passage.consequences.stores.landfall import Stores
from passage.consequences.stores.need import PersonNeed
from passage.consequences.stores.shopping import FreshRow, LeftRow, Provision, ShoppingRow
from passage.plan.sheet import Sheet
from passage.tell.blocks import (
    SMALL_PT,
    TICK,
    Beside,
    Block,
    Blocks,
    Head,
    Say,
    Title,
    Together,
    grid,
    large,
    note,
    on_paper,
    on_screen,
    small,
    strong,
)
from passage.tell.customary import unit_words
from passage.tell.figures import day_words
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.road import Outcome

NEED_SOURCE = (
    "At rest by Schofield (1985) as FAO/WHO/UNU (2004) prints it, good for groups: one person may differ by the figure "
    "given and more. Times the activity of the day's weather. Protein: WHO/FAO/UNU (2007)."
)
NO_DAYS = "No crossing arrives, so there are no days to lay food in for."


class DayOfFood(Record):
    """One day out to the slow end."""

    audit: AuditDay = told("the need, and what is aboard against it")
    ship_date: date = told("date by ship's time on which it begins")
    dinner: str = told("dinner of the day; empty where none is planned")
    eat_first: tuple[FreshRow, ...] = told("what does not keep to the slow end and must be eaten then, by urgency")

    @reckoned("day out by the count of every other page: 0 on the date on which she sails", places=0)
    def day_out(self) -> int:
        return self.audit.day - 1


class Food(Record):
    """What is needed, what is aboard and what is planned beyond it. departs: by ship's time."""

    stores: Stores
    departs: date
    dinners_given: bool = told("whether the stores file gives dinners")
    cheapest: bool = told("whether the list is the cheapest, not the lightest")
    people: tuple[PersonNeed, ...] = told("what each person needs a day")

    @reckoned("mean need of all aboard")
    def need_kcal_per_day(self) -> float:
        return self.stores.food.daily

    @reckoned("what is aboard against the need; null where no crossing arrives")
    def audit(self) -> Audit | None:
        return self.stores.audit

    @reckoned("day by day to the slow end, day 1 beginning with the departure")
    def by_day(self) -> tuple[DayOfFood, ...]:
        bought, days = self.provision, self.audit.days if self.audit else ()
        served = bought.dinners.served if bought else (None,) * len(days)
        fresh = bought.fresh if bought else ()
        return tuple(
            DayOfFood(
                audit=day,
                ship_date=self.departs + timedelta(days=day.day - 1),
                dinner=dinner or "",
                eat_first=tuple(row for row in fresh if row.day == day.day),
            )
            for day, dinner in zip(days, served, strict=True)
        )

    @reckoned("the list, and what is left; null where none can be made")
    def provision(self) -> Provision | None:
        return self.stores.provision

    @reckoned("why no list can be made, else empty")
    def cannot(self) -> str:
        return self.stores.no_provision


def table(outcome: Outcome) -> Food:
    provisions, stores = outcome.facts.provisions, outcome.stores
    cheapest = provisions.diet.minimise == "cost"
    return Food(stores, outcome.noons[0].ship_date, bool(provisions.dinners), cheapest, stores.people)


# ---------------------------------------------------------------- by day


def by_day_card(food: Food) -> Blocks:
    return (
        Title("Food by day"),
        Say(" ".join(filter(None, (strong(aboard_words(food.audit)), dinners_words(food))))),
        *(_days_grid(food.by_day) if any(_is_told(day) for day in food.by_day) else ()),
        Together(
            (
                Head("What each person needs a day", "Needs a day"),
                grid(
                    food.people,
                    ("", lambda row: row.role, "left 1fr"),
                    ("at rest, kcal", lambda row: f"{row.basal_kcal} {small(f'± {row.error_kcal}')}"),
                    ("self-steered day", lambda row: row.self_steered_kcal),
                    ("mixed day", lambda row: row.mixed_kcal),
                    ("heavy day", lambda row: row.heavy_kcal),
                    ("protein, g", lambda row: row.protein_g),
                    every=99,
                ),
                note(NEED_SOURCE),
            )
        ),
    )


def food_short(food: Food) -> Blocks:
    bought = food.provision
    if bought and bought.shopping:
        return (Head("Buy"), Say(f"{strong(f'{bought.bought_kg:u}')} of food, packaging included; --full lists it."))
    return (Head("Buy"), Say(f"{food.cannot or 'no more food'}."))


def _is_told(day: DayOfFood) -> bool:
    return bool(day.dinner or day.eat_first or day.audit.found_kcal > 0)


def _days_grid(days: Sequence[DayOfFood]) -> tuple[Block, ...]:
    return (
        grid(
            days,
            ("day", lambda day: strong(day.day_out)),
            ("date", lambda day: f"{day.ship_date:short}", "left"),
            ("all need,\nkcal", lambda day: day.audit.need_kcal),
            ("aboard now\ngives, kcal", lambda day: f"{day.audit.found_kcal}{'' if day.audit.enough else '*'}"),
            ("dinner", lambda day: day.dinner, "left 1.3fr"),
            ("eat first, before it spoils", _eat_first, "left 1fr"),
            size=SMALL_PT,
        ),
        note("*: not enough without the shopping list."),
    )


def _eat_first(day: DayOfFood) -> str:
    def good(row: FreshRow) -> str:
        return small(f", good to {day_words(day.ship_date + timedelta(days=row.good_until_day - row.day))[4:]}")

    return "; ".join(f"{row.item} {row.eat_g:u}{good(row)}" for row in day.eat_first)


def aboard_words(audit: Audit | None) -> str:
    """How far what is aboard goes."""
    if audit is None:
        return NO_DAYS
    if audit.edible_kcal <= 0:
        return "pantry.csv counts no food aboard, so everything is still to be bought."
    days = len(audit.days)
    if audit.enough:
        return f"What is aboard already feeds all to the slow end, {days} days."
    energy, protein = _through(audit.lasts_days), _through(audit.protein_lasts_days)
    return (
        f"Of the {days} days to the slow end, what is aboard already gives the energy needed {energy}, the protein "
        f"{protein}; the list buys the rest."
    )


def _through(last_day: int) -> str:
    if not last_day:
        return "for no whole day"
    return f"for the first {last_day} days" if last_day > 1 else "for the first day"


def dinners_words(food: Food) -> str:
    """Days without a dinner; '' where there are none."""
    bought = food.provision
    if bought is None:
        return ""
    if not food.dinners_given:
        return "No dinners are given; the list feeds all without them."
    if not bought.dinners.without:
        return ""
    days = runs_words([day - 1 for day in bought.dinners.without])
    return f"No dinner is left by the limits given on day {days}; those days eat from the list without one."


def runs_words(days: Sequence[int]) -> str:
    """Whole days in rising order as ``4, 6 to 9, 12``."""
    runs: list[list[int]] = []
    for day in days:
        if runs and day == runs[-1][-1] + 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    parts = [", ".join(map(str, run)) if len(run) < 3 else f"{run[0]} to {run[-1]}" for run in runs]
    return ", ".join(parts)


# ---------------------------------------------------------------- shopping


def shopping_card(food: Food) -> Blocks:
    bought = food.provision
    return (
        Title("Shopping list"),
        Say(strong(f"The list cannot be made: {food.cannot}.") if food.cannot else ""),
        *(_list(food, bought) if bought and bought.shopping else ()),
        Head("Left at the typical landfall", "Left, typical"),
        *(_left(bought.left) if bought and bought.left else ()),
    )


def _list(food: Food, bought: Provision) -> tuple[Block, ...]:
    priced, middle = not isnan(bought.price), -(-len(bought.shopping) // 2)
    unpriced = f" {len(bought.unpriced)} of the items have no price." if bought.unpriced else ""
    return (
        Say(
            f"To buy {strong(f'{bought.bought_kg:u}')}, packaging included, {bought.bought_kcal:u}, for all aboard to "
            f"the slow end, {len(food.by_day)} days with the last one whole, and for "
            f"{strong(f'{bought.reserve_days} days more that need no cooking')}. No list that keeps the limits is "
            f"{'cheaper' if food.cheapest else 'lighter'} by more than {bought.above_least_in_100:u}."
        ),
        Say(f"Price of what has one: {strong(bought.price)}.{unpriced}" if priced else ""),
        on_screen(_packs(bought.shopping, priced)),
        on_paper(
            Beside(tuple((_packs(half, priced),) for half in (bought.shopping[:middle], bought.shopping[middle:])))
        ),
    )


def _packs(rows: Sequence[ShoppingRow], priced: bool) -> Block:
    return grid(
        rows,
        ("", lambda row: TICK, "left"),
        ("packs", lambda row: large(row.packs)),
        ("of", lambda row: f"x {row.pack_g:u}", "left"),
        ("what", lambda row: row.item, "left 1fr"),
        (f"{unit_words('kg')},\npacked", lambda row: row.gross_kg),
        *((("price", lambda row: row.price),) if priced else ()),
        ("where", lambda row: "", "left 44pt"),
        every=99,
        under=lambda row: row.aisle,
    )


def _left(left: Sequence[LeftRow]) -> tuple[Block, ...]:
    landed, kept = left_words(left, ashore=True), left_words(left, ashore=False)
    eat = strong("May not be landed, eat it or throw it overboard before:")
    return (
        Say(f"{strong('May as a rule be landed:')} {landed}." if landed else ""),
        Say(f"{eat} {kept}." if kept else ""),
        note(
            "The country of arrival decides; from its own harbours often all may be landed. Ask before you go. The "
            "reserve is among it: that is what it is for."
        ),
    )


def left_words(left: Sequence[LeftRow], *, ashore: bool) -> str:
    return ", ".join(f"{row.item} {row.left_g:u}" for row in left if row.ashore == ashore)


SHEET = Sheet(
    "food", table, record=Food, cards={"food-by-day": by_day_card, "shopping": shopping_card}, short=food_short
)
