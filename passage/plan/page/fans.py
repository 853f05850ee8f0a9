"""The fans of the page: miles to go, water, food and battery by days out, drawn as on paper."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.times import until_in
from passage.plan import figures
from passage.plan.figures import FAN_HIGH_PT
from passage.plan.sheet import Room
from passage.plan.sheets import power, times, water
from passage.plan.sheets.cautions import NO_BATTERY, NO_FOOD
from passage.plan.svg import labelled
from passage.tell.customary import unit_words

if TYPE_CHECKING:
    from passage.road import Outcome

WITHIN_A_DAY = "Every crossing is in within a day: there is nothing to draw."
IN_PORT = "A boat in port keeps what she had."


class Fan(NamedTuple):
    """words: what is said beneath it. svg: empty where there is nothing to draw; last_day: where its days end."""

    title: str
    words: str
    unit: str = ""
    svg: str = ""
    last_day: float = 0.0


def fans(outcome: Outcome, wide_pt: float) -> tuple[Fan, ...]:
    """The four of them; one of which nothing is known says so."""
    room, to_day = Room(wide_pt, 0.0), len(until_in(outcome.by_day))
    to_go = times.to_go_drawn(outcome, wide_pt)
    band = "Heavy line: the middle crossing; between the light ones 8 in 10."
    return (
        Fan("Miles to go", band, "miles", to_go, to_day),
        _water(outcome, room),
        _food(outcome, room),
        _battery(outcome, room),
    )


def _water(outcome: Outcome, room: Room) -> Fan:
    store = outcome.stores.water.store
    last_day = min(len(until_in(outcome.by_day)), len(store.left_by_day))
    if not last_day:
        return Fan("Water left", WITHIN_A_DAY)
    svg = water.fan_drawn(outcome, room.wide_pt)
    return Fan("Water left", f"{_ran_out(outcome, 'water')} {IN_PORT}", unit_words("litres"), svg, last_day)


def _food(outcome: Outcome, room: Room) -> Fan:
    food = outcome.stores.food
    if not food.said:
        return Fan("Food left", NO_FOOD)
    left = food.left_by_day[: len(until_in(outcome.by_day))]
    if not left:
        return Fan("Food left", WITHIN_A_DAY)
    amounts = [[row.slow_left, row.typical_left, row.quick_left] for row in left]
    drawn = figures.fan(
        np.arange(len(left) + 1, dtype=float),
        np.array([[food.aboard] * 3, *amounts]),
        figures.time_marks(outcome.times),
        "days",
        room.wide_pt,
        FAN_HIGH_PT,
    )
    told = outcome.stores.provision
    bought = "What the list is still to buy counts as bought. " if told is not None and told.shopping else ""
    words = f"Full meals for all. {bought}{_ran_out(outcome, 'food')} {IN_PORT}"
    return Fan("Food left", words, "days", drawn, left[-1].day)


def _battery(outcome: Outcome, room: Room) -> Fan:
    if outcome.power is None:
        return Fan("Battery", NO_BATTERY)
    answer = outcome.power.answer
    words = (
        f"{power.verdict_words(answer)} Heavy line and band: half of the boats and 9 in 10, little sun. Dotted: half, "
        f"much sun. Broken: the floor, {answer.floor_in_100} %."
    )
    svg = power.drawings(outcome, {}, room)["power"]
    return Fan("Battery by the hour", words, "% full", svg, len(outcome.power.low.fan) / 24.0)


def _ran_out(outcome: Outcome, name: str) -> str:
    short = next(row.short for row in outcome.stores.together.shortages if row.name == name)
    return f"Ran out in {short.count} of {short.members} crossings."


def fan_html(fan: Fan, wide_pt: float) -> str:
    """A figure with the room that the script needs to draw the day across it."""
    words = f"<p>{escape(fan.words)}</p>"
    if not fan.svg:
        return f'<figure class="fan"><figcaption><h3>{fan.title}</h3>{words}</figcaption></figure>\n'
    across = f'data-left="{figures.LEFT:g}" data-right="{wide_pt - figures.RIGHT:g}"'
    upright = f'data-top="{figures.TOP:g}" data-foot="{FAN_HIGH_PT - figures.BOTTOM:g}"'
    drawing = labelled(fan.svg, f"{fan.title}, {fan.unit}, by days out. The table below gives the figures.")
    return (
        f'<figure class="fan" data-last="{fan.last_day:.4f}" {across} {upright}><figcaption><h3>{fan.title}, '
        f'<span class="unit">{fan.unit}</span></h3></figcaption>{drawing}{words}</figure>\n'
    )
