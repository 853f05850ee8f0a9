"""Stores: what lasts and what runs out first, what to load, the hand table, motoring range, gas, and what it weighs."""

from __future__ import annotations

from math import isfinite, isnan
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.landfall import Stores
from passage.consequences.stores.loading import LoadingRule, Verdict
from passage.consequences.times import until_in
from passage.plan import figures
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.shortages import first_out_words, not_counted_words, remedy_words
from passage.plan.sheets.times import NOT_REACHED
from passage.tell.blocks import (
    GUTTER_PT,
    SMALL_PT,
    Beside,
    Block,
    Blocks,
    Drawing,
    Grid,
    Head,
    Points,
    Say,
    Size,
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
from passage.tell.figures import mass_words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from passage.consequences.stores.daily import GasTold
    from passage.consequences.stores.drawdown import Store
    from passage.consequences.stores.handtable import HandRow, Rations
    from passage.consequences.stores.landfall import StoresAnswer
    from passage.consequences.stores.stowage import Stowed
    from passage.road import Outcome

FANS_ACROSS, FAN_HIGH_PT = 3, 98.0
STORES_AT_ONCE = 5  # of the hand table, side by side
RATIONS_AT_ONCE, MOST_RATION_ROWS = 3, 10  # side by side with room to write, at night's size
NO_PAYLOAD = "No payload is stated in the boat file, so nothing here says whether she may carry it."
FIRST_OF_THREE = {
    LoadingRule.TO_SLOW_END: "full use,\nto the\nslow end",
    LoadingRule.TYPICAL_AND_HALF: "typical,\nand half\nas much",
    LoadingRule.SURVIVAL_IN_ALL: "survival,\nin every\ncrossing",
}


def table(outcome: Outcome) -> Stores:
    return outcome.stores


# ---------------------------------------------------------------- does it last


def load_card(stores: Stores) -> Blocks:
    answer = stores.answer
    return (
        Title("What to load"),
        on_paper(
            _loads(stores, asked=True, aboard=True),
            Say(f"Does it all last? {verdict_words(answer)}", Size.LEAD),
            Say(" ".join(filter(None, (short_words(answer), *(_weighed(answer)))))),
        ),
        on_screen(Head("Does it all last?"), Say(f"{strong(verdict_words(answer))} {short_words(answer)}")),
        on_screen(*(Say(words) for words in _weighed(answer))),
        on_screen(Head("What to load, and what is aboard", "Load")),
        on_screen(_loads(stores, aboard=True)),
        note(
            'Food in days of full meals for all aboard. "Runs out" and "too little" count '
            f"{strong('what the shopping list is still to buy as bought')}. Of 100, rounded up: 1 of 1,000 crossings "
            "is told as 1. In brackets: how many it may be, for all that they can tell. Aboard: what can be drawn "
            " or eaten; of fuel the landfall reserve is a part."
        ),
        on_screen(Head("How much to load: the largest of three"), _loads(stores, asked=True)),
        on_paper(
            note("Load: the largest of the three behind it, in bold what decides. Reserves are never multiplied.")
        ),
        on_screen(Head("What decides"), Points(tuple(f"{row.name}: {_governs(row)}" for row in stores.stores))),
        on_paper(*_fans(stores)),
    )


def _loads(stores: Stores, *, asked: bool = False, aboard: bool = False) -> Grid:
    """What to load; asked: by each of the three rules; aboard: against what is there, and how often it runs out."""
    load = (("load", lambda row: large(row.to_load)),) if aboard else ()
    rules = (
        *((words, lambda row, rule=rule: _asked(row, rule)) for rule, words in FIRST_OF_THREE.items()),
        ("kept for\nlandfall,\non top", lambda row: row.reserve if row.reserve > 0 else "–"),
    )
    against = (
        ("aboard\nnow", lambda row: row.aboard_now),
        ("with what\nis to buy", lambda row: row.aboard),
        ("too\nlittle by", _lacking),
        ("runs out in,\nof 100", _runs_out),
    )
    when = (
        ("as a rule\non day", lambda row: row.shortage and row.shortage.typical_day),
        ("first to go,\ncrossings", _first_to_go),
    )
    return grid(
        stores.stores,
        ("store", lambda row: row.name, "left 1fr"),
        *load,
        ("", lambda row: row.unit, "left"),
        *(rules if asked else ()),
        *(against if aboard else ()),
        *(when if aboard and not asked else ()),
        size=SMALL_PT,
        every=1,
    )


def stores_short(stores: Stores) -> Blocks:
    """Whether all lasts, what to load, and what goes first."""
    answer = stores.answer
    return (
        Head("Does it all last?"),
        Say(" ".join((strong(verdict_words(answer)), *_weighed(answer)))),
        grid(
            stores.stores,
            ("store", lambda row: _named(row.name, row.unit), "left"),
            ("load", lambda row: strong(row.to_load)),
            ("aboard, all bought", lambda row: row.aboard),
            *([("too little by", _lacking)] if any(row.lacking > 0 for row in stores.stores) else []),
            ("runs out, of 100", lambda row: row.shortage.short.in_100 if row.shortage else "not counted"),
        ),
    )


def _fans(stores: Stores) -> Blocks:
    return (
        Head("What is left, by days out"),
        note(
            "Between the light lines 8 crossings in 10; heavy: the middle one. After landfall a crossing keeps what it "
            "had; below nought it is short by so much."
        ),
        Beside(tuple(_fan_block(number, row) for number, row in _drawn(stores)), ("1fr",) * FANS_ACROSS),
    )


def verdict_words(answer: StoresAnswer) -> str:
    """Whether all lasts, and what that counts."""
    if answer.verdict in (Verdict.NOT_ALWAYS, Verdict.NOT_KNOWN):
        return f"{answer.verdict.words}."
    once = ", once the shopping list is bought" if answer.to_buy else ""
    of_what = ", of what is counted" if answer.not_counted else ""
    return f"{answer.verdict.words}{once}{of_what}."


def short_words(answer: StoresAnswer) -> str:
    short = answer.short
    if not short.count:
        return f"Nothing ran out in any of the {short.members} crossings."
    share = f"not in more than {short.in_100} of 100"
    return f"Something ran out in {short.count} of the {short.members} crossings, {share}."


def _weighed(answer: StoresAnswer) -> tuple[str, ...]:
    """What goes first, what mends it and what is not counted."""
    first, uncounted = first_out_words(answer), not_counted_words(answer)
    said = (strong(first) if first else "", remedy_words(answer.remedy), strong(uncounted) if uncounted else "")
    return tuple(words for words in said if words)


def _lacking(row: Store) -> str:
    return strong(row.lacking) if row.lacking > 0 else "–"


def _runs_out(row: Store) -> str:
    if row.shortage is None:
        return small("not counted")
    short = row.shortage.short
    return f"{short.in_100} {small(f'(to {short.at_most_in_100})')}"


def _first_to_go(row: Store) -> str:
    if row.shortage is None:
        return ""
    return str(row.shortage.first.count) if row.shortage.first.count else "–"


def _asked(row: Store, rule: LoadingRule) -> str:
    asks = next(asks for asks in row.rules if asks.rule is rule)
    return strong(asks.load) if asks.governs and isfinite(asks.load) else str(asks.load)


def _named(name: str, unit: str, between: str = ", ") -> str:
    """A store and its unit, which is told once where the name ends with it."""
    return name if name.endswith(unit) else f"{name}{between}{unit}"


def _governs(row: Store) -> str:
    return row.governs if isfinite(row.to_load) else NOT_REACHED


def _drawn(stores: Stores) -> list[tuple[int, Store]]:
    """The stores whose drawings stand here: all that are counted."""
    return [(number, row) for number, row in enumerate(stores.stores) if row.said]


def _fan_block(number: int, store: Store) -> Blocks:
    alt = f"{store.name} left by days out; the tables give the same in figures."
    return (Together((Say(f"{strong(store.name)}, {store.unit}"), Drawing(f"store{number}", alt))),)


# ---------------------------------------------------------------- the ration


def ration_card(stores: Stores) -> Blocks:
    """The survival ration by miles to go, for the night; in the terminal the least that should still be aboard, which
    on paper is a page of its own.
    """
    hand, rations = stores.hand_table, stores.rations
    few = range(0, len(hand.rows), 1 if len(hand.rows) <= MOST_RATION_ROWS else 2)
    return (
        on_screen(Head("The least that should still be aboard, by miles to go"), *_hand_grids(stores)),
        on_paper(
            Title("The survival ration"),
            Say(
                "With no more than this aboard: survival use from now on, and ask for help in good time. Between two "
                "rows the upper one. Pencil ours beside it."
            ),
            *_ration_grids(stores, [hand.rows[at] for at in few]),
            Say(
                f"For all aboard: water {rations.water_survival_l_per_day:u}, food "
                f"{rations.food_survival_kcal_per_day:u}, gas {rations.gas_survival_g_per_day:u}. "
                "Medicine as prescribed. Rest in the shade."
            ),
            note("Miles to go; days to go at the slow end. What is kept for the landfall is included."),
        ),
    )


def division_card(stores: Stores) -> Blocks:
    return (Title("The ration of the day"), *_division(stores.rations))


def _hand_grids(stores: Stores) -> tuple[Block, ...]:
    """A few stores at once, so that each column is as wide as its words ask."""
    hand, shown = stores.hand_table, range(len(stores.hand_table.columns))
    return tuple(
        grid(
            hand.rows,
            ("miles\nto go", lambda row: strong(row.to_go_nm)),
            ("days to go,\nslow end", lambda row: strong(row.slow_end_days)),
            *((_named(hand.columns[at].store, hand.columns[at].unit, ",\n"), _amount(at, False)) for at in part),
            every=1,
        )
        for part in (shown[first : first + STORES_AT_ONCE] for first in shown[::STORES_AT_ONCE])
    )


def _ration_grids(stores: Stores, rows: Sequence[HandRow]) -> tuple[Block, ...]:
    """As few stores beside one another as leave room to pencil in what is left."""
    hand, shown = stores.hand_table, range(len(stores.hand_table.columns))
    return tuple(
        grid(
            rows,
            ("miles", lambda row: row.to_go_nm),
            ("days", lambda row: row.slow_end_days),
            *(
                column
                for at in part
                for column in (
                    (_named(hand.columns[at].store, hand.columns[at].unit), _amount(at, True)),
                    ("", lambda row: "____", "left 1fr"),
                )
            ),
            every=1,
        )
        for part in (shown[first : first + RATIONS_AT_ONCE] for first in shown[::RATIONS_AT_ONCE])
    )


def _amount(at: int, survival: bool) -> Callable[[HandRow], str]:
    return lambda row: strong(row.amounts[at].survival if survival else row.amounts[at].least)


def _division(rations: Rations) -> tuple[Block, ...]:
    rule = "What is left, less what is kept for the landfall, divided by the days to go to the slow end, is what all"
    slower = "If she is slower than that: days to go = miles to go ÷ the miles a day of the last three days."
    example = (
        f"For instance {rations.example_aboard_l:u} of water with {rations.example_to_go_nm} miles to go: "
        f"{rations.example_aboard_l} ÷ {rations.example_days:u} = {strong(f'{rations.example_l_per_day:u}')}, rounded "
        "down. "
    )
    least = strong("the least: in the shade, at rest")
    rows = (
        ("full use", rations.water_l_per_day, rations.food_kcal_per_day, rations.gas_g_per_day),
        (
            least,
            strong(rations.water_survival_l_per_day),
            strong(rations.food_survival_kcal_per_day),
            strong(rations.gas_survival_g_per_day),
        ),
    )
    return (
        Say(f"{strong(f'{rule} aboard may use a day.')} {example if isfinite(rations.example_days) else ''}{slower}"),
        grid(
            rows,
            ("for all aboard, a day", lambda row: row[0], "left 1fr"),
            (f"water, {unit_words('litres')}", lambda row: row[1]),
            ("food, kcal", lambda row: row[2]),
            (f"gas, {unit_words('g')}", lambda row: row[3]),
            every=99,
        ),
    )


# ---------------------------------------------------------------- under engine, gas, weights


def weights_card(stores: Stores) -> Blocks:
    return (
        Title("Under engine, and what it weighs" if stores.motoring else "Gas, and what it weighs"),
        Beside(((*_under_engine(stores), Head("Gas"), Say(gas_words(stores.gas_use))), _weights(stores.stowed))),
        on_screen(Head("Mind"), Points(stores.cautions)),
        on_paper(note(" ".join(stores.cautions))),
    )


def _weights(stowed: Stowed) -> Blocks:
    return (
        Head("Weights"),
        Say(_weight_words(stowed)),
        grid(
            stowed.rows,
            ("what", lambda row: row.item, "left 1fr"),
            (unit_words("kg"), lambda row: strong(row.mass_kg)),
            (f"puts her\ndown, {unit_words('mm')}", lambda row: row.immersion_mm),
        ),
    )


def _under_engine(stores: Stores) -> Blocks:
    if not stores.motoring:
        return ()
    return (
        on_screen(Head("Under engine")),
        Say(
            f"Range on {strong(f'{stores.motoring_l:u}')}, the landfall reserve kept, smooth water and a clean hull; "
            '"in a sea": against a head sea.'
        ),
        grid(
            stores.motoring,
            ("speed,\nkn", lambda row: strong(row.speed_kn), "right 1fr"),
            ("shaft,\nkW", lambda row: row.power_kw, "right 1fr"),
            (unit_words("litres an hour").replace(" ", "\n", 1), lambda row: row.consumption_l_h, "right 1fr"),
            ("range,\nmiles", lambda row: strong(row.range_nm), "right 1fr"),
            ("in a sea,\nmiles", lambda row: strong(row.range_in_a_sea_nm), "right 1fr"),
            every=99,
        ),
        note(
            "At cruising speed the boat file's own use an hour, from there by the cube of the speed, as in Gerr's "
            "rule for displacement hulls. It ends at cruising speed unless the boat file gives a full_speed. Run her "
            "an hour and top up: that figure is better than these."
        ),
    )


def gas_words(gas: GasTold) -> str:
    each = f"{gas.use_g:u} for each person and day{', baking included' if gas.baking else ''}"
    if not gas.bottles:
        return f"Cooking takes {each}. No file says how much gas is aboard: weigh the bottles."
    named = ", ".join(f"{row.bottle_count} x {row.name} of {mass_words(row.content_kg)}" for row in gas.bottles)
    weigh = "Weigh the bottles; a gauge shows nothing until it is nearly empty."
    return f"Cooking takes {each}. Aboard: {named}, {gas.aboard_g:u} of gas in all. {weigh}"


def _weight_words(stowed: Stowed) -> str:
    return (
        f"Crew and stores weigh {strong(f'{stowed.total_kg:u}')} and put her down {strong(f'{stowed.immersion_mm:u}')}"
        f", on a waterplane of {stowed.waterplane_m2:u}, reckoned for a wall-sided hull: look at her marks when she is "
        f"loaded. {payload_words(stowed)}"
    )


def payload_words(stowed: Stowed) -> str:
    if isnan(stowed.payload_kg):
        return NO_PAYLOAD
    if stowed.over_payload_kg <= 0:
        return f"The stated payload is {stowed.payload_kg:u}."
    return strong(
        f"That is {stowed.over_payload_kg:u} more than the stated payload of {stowed.payload_kg:u}: she floats below "
        "her marks, her stability and her polar no longer hold. Leave something ashore."
    )


# ---------------------------------------------------------------- drawings


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """What is left by days out of each store."""
    to_day, wide_pt = len(until_in(outcome.by_day)), (room.wide_pt - GUTTER_PT * (FANS_ACROSS - 1)) / FANS_ACROSS
    return {
        f"store{number}": _fan(outcome, row, to_day, (wide_pt, FAN_HIGH_PT)) for number, row in _drawn(tables["stores"])
    }


def _fan(outcome: Outcome, store: Store, to_day: int, size_pt: tuple[float, float]) -> str:
    left = np.vstack([np.full(3, store.loaded), store.by_day[:to_day]])[: to_day + 1] * store.per_own
    marks = [mark for mark in figures.time_marks(outcome.times) if mark.words.startswith("slow end")]
    return figures.fan(np.arange(len(left), dtype=float), left, marks, "", *size_pt)


SHEET = Sheet(
    "stores",
    table,
    drawings,
    record=Stores,
    cards={"load": load_card, "ration": ration_card, "division": division_card, "weights": weights_card},
    short=stores_short,
)
