"""Water: tanks, the three loading rules, the loss of each tank, the watermaker, and what is left by day."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.water import TankTold, Water
from passage.consequences.times import until_in
from passage.plan import figures
from passage.plan.figures import FAN_HIGH_PT
from passage.plan.sheet import Sheet
from passage.tell.blocks import Blocks, Head, Say, Sketch, Title, grid, note, on_paper, on_screen, strong
from passage.tell.customary import per_metric, unit_words
from passage.tell.figures import amount, in_print
from passage.tell.sketch import Upright, fan

if TYPE_CHECKING:
    from passage.consequences.stores.water import TankLost, WaterAnswer
    from passage.road import Outcome


FAN_TALL = 4  # lines of the fan in a terminal, which has the other stores above it


def table(outcome: Outcome) -> Water:
    return outcome.stores.water


def water_card(water: Water) -> Blocks:
    answer = water.answer
    return (
        Title("Water"),
        on_paper(
            Say(
                f"Load {strong(f'{answer.load_l:u}')}; the tanks give {answer.tanks_give_l}. {water.crew_count} aboard "
                f"use {answer.daily_l_per_day:u}, the survival ration is {water.survival_l_per_day}. Emergency water "
                f"({answer.emergency_l:u}) lies sealed and apart and is never counted."
            ),
            note(f"It ran out in {short_words(answer)}."),
            Head("The same crossings, the water used otherwise"),
            grid(
                water.otherwise,
                ("", lambda other: other.way, "left 1fr"),
                (unit_words("litres a day"), lambda other: other.daily_l_per_day),
                ("load", lambda other: strong(other.load_l)),
                ("short in 100", lambda other: other.short_in_100),
            ),
            note(
                "The rule of the heat asks what people at work in it should drink; the ordinary ration is what "
                "prudence has always given. Load for the first if the boat can carry it, and never under the second."
            ),
            Head("Tanks"),
            grid(
                zip(water.tanks, water.tanks_lost, strict=True),
                ("tank", lambda both: both[0].tank, "left 1fr"),
                ("holds", lambda both: both[0].capacity_l),
                ("filled", lambda both: both[0].filled_l),
                ("out of the\npump's reach", lambda both: both[0].unusable_l),
                ("gives", lambda both: strong(both[0].usable_l)),
                ("if lost: left, and survival days", _if_lost),
            ),
        ),
        on_screen(Head("One tank lost"), *(Say(lost_words(lost)) for lost in water.tanks_lost)),
        Head("Watermaker and rain", "Watermaker"),
        Say(making_words(water)),
    )


def water_short(water: Water) -> Blocks:
    """What is left day by day, and the worst tank to lose."""
    worst = min(water.tanks_lost, key=lambda lost: lost.left_l, default=None)
    return (Sketch(partial(_left, water)), Head("Worst tank lost"), Say(lost_words(worst) if worst else ""))


def _left(water: Water, wide: int) -> tuple[str, ...]:
    """The fan of paper, in letters."""
    store = water.store
    falls = np.flatnonzero(np.any(np.diff(store.by_day, axis=0) < 0, axis=1))
    to_day = int(falls[-1]) + 2 if len(falls) else 1  # and not beyond the day after which nobody draws
    rows = (np.full(3, store.loaded), *store.by_day[:to_day])
    uprights = [Upright(*map(float, left * per_metric("litres"))) for left in rows]
    feet = [f"{day}" if day % 5 == 0 else "" for day in range(len(uprights))]
    return fan(
        uprights,
        feet,
        f"Water left, {unit_words('litres')}, by days out: 8 crossings of 10, # the middle one",
        wide,
        foot=0.0,
        tall=FAN_TALL,
    )


def _if_lost(both: tuple[TankTold, TankLost]) -> str:
    _, lost = both
    if not in_print(lost.left_l):
        return strong("nothing left to drink")
    short = "" if lost.reaches_slow_end else f" {strong('(short of the slow end)')}"
    return f"{lost.left_l:u}, {lost.survival_ration_days:u}{short}"


def lost_words(lost: TankLost) -> str:
    if not in_print(lost.left_l):
        return f"{lost.tank}: {strong('nothing left to drink')}"
    reaches = "reaches the slow end" if lost.reaches_slow_end else strong("DOES NOT REACH the slow end")
    return f"{lost.tank}: {lost.left_l:u} left, {lost.survival_ration_days} days' survival ration, {reaches}"


def short_words(answer: WaterAnswer) -> str:
    """How many crossings, and how many in a hundred it may be, so few having been sailed: 19 chances in 20."""
    short = answer.short
    return f"{short.count} of {short.members} crossings, and so in not more than {short.at_most_in_100} of 100"


def making_words(water: Water) -> str:
    """What is made and caught, what it takes, and what happens when it fails; '' where nothing is."""
    making = water.watermaking
    rain = f"Rain is counted at {amount(24 * making.caught_l_h, 'l_per_day'):u}, because you claim it."
    caught = rain if making.caught_l_h > 0 else ""
    if making.made_l_h <= 0:
        return caught
    made = (
        f"The watermaker makes up to {amount(24 * making.made_l_h, 'l_per_day'):u} for {making.energy_wh_per_day} Wh."
    )
    fails = f"Should it fail on the first day, water runs out in {making.fails_short_crossings} of"
    counted = f"{water.answer.short.members} crossings. What to load counts on neither it nor rain."
    return " ".join(filter(None, (made, fails, counted, caught)))


def fan_drawn(outcome: Outcome, wide_pt: float) -> str:
    """What is left by days out, for a browser; on paper it stands among the other stores."""
    to_day, store = len(until_in(outcome.by_day)), outcome.stores.water.store
    left = np.vstack([np.full(3, store.loaded), store.by_day[:to_day]])[: to_day + 1] * per_metric("litres")
    return figures.fan(
        np.arange(len(left), dtype=float),
        left,
        figures.time_marks(outcome.times),
        unit_words("litres"),
        wide_pt,
        FAN_HIGH_PT,
    )


SHEET = Sheet("water", table, record=Water, cards={"water": water_card}, short=water_short)
