"""The battery: does it hold and come back, on which nights not, what feeds it and draws on it, and what would help.

Told for the low case of sun, which is the one to plan by, with the high case beside it; the same tables for a boat at
anchor, so that a person can hold them against the monitor aboard.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time
from functools import partial
from math import isfinite
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.power.power import FlowKind, Holds, Power
from passage.errors import Fault, InputFaults
from passage.follows import battery_at_anchor
from passage.inputs.electrics import ELECTRICS_FILE
from passage.plan import figures
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.tell.blocks import (
    SMALL_PT,
    Beside,
    Blocks,
    Drawing,
    Head,
    Say,
    Sketch,
    Title,
    grid,
    note,
    on_paper,
    on_screen,
    strong,
)
from passage.tell.customary import unit_words
from passage.tell.figures import amount, in_print
from passage.tell.sketch import Upright, fan

if TYPE_CHECKING:
    from passage.consequences.power.power import BatteryAnswer, ChargingRuns, EnergyRow
    from passage.consequences.power.remedies import PowerRemedy
    from passage.crossings.wind import Luck
    from passage.inputs.folder import Facts
    from passage.road import Outcome
    from passage.tell.blocks import Block

HOURS_HIGH_PT = 132.0
MOST_REMEDIES = 3  # of the short answer
CAUTIONS = (
    "An old bank, a shaded or salted panel and a warm refrigerator take more than the file says. Believe the monitor.",
    "Never save on navigation lights or on the radio that calls for help. Keep the engine's own battery apart.",
    "A running engine and a charging lead bank both need air: exhaust gas kills unseen, and the bank's gas explodes.",
)


def wanted(outcome: Outcome) -> bool:
    return outcome.facts.electrics is not None


def table(outcome: Outcome) -> Power:
    """The battery in all crossings. Raises InputFaults where the folder holds no electrics."""
    return replace(_cautioned(outcome.power, outcome.facts), tried=partial(outcome.once, remedies_of))


def remedies_of(outcome: Outcome) -> tuple[PowerRemedy, ...]:
    """What would help."""
    return outcome.power.tried() if outcome.power else ()


def anchor_table(
    facts: Facts,
    position: tuple[float, float],
    luck: Luck,
    start: datetime | None,
    days: int,
    heading_deg: float | None = None,
    wind_kn: float | None = None,
) -> Power:
    """The battery of a boat lying at a latitude and longitude (degrees), under as many skies as the luck has members,
    from ``start`` (UTC; noon of today if None). Raises InputFaults where the folder holds no electrics.
    """
    begins = start or datetime.combine(facts.today, time(12), UTC)
    return _cautioned(battery_at_anchor(facts, position, luck, begins, days, heading_deg, wind_kn), facts)


def _cautioned(power: Power | None, facts: Facts) -> Power:
    """With what is to be minded whatever the numbers; InputFaults where there is no electrics file to reckon from."""
    if power is None:
        needed = "the battery is reckoned from it; 'passage new --template' writes one to start from"
        raise InputFaults([Fault(ELECTRICS_FILE, 0, "", "no such file", needed)])
    profile = f"How the bank takes and holds charge: {power.profile}."
    return replace(power, notes=(*power.notes, *CAUTIONS, *_watermaker_words(facts), profile))


def _watermaker_words(facts: Facts) -> tuple[str, ...]:
    """Where the watermaker's energy comes from, if there is one."""
    if facts.provisions.watermaker is None or facts.electrics is None:
        return ()
    if facts.electrics.counts_watermaker:
        return ("The watermaker draws what the loads say; that its litres agree with the stores is for you to see.",)
    return ("The watermaker draws what is given with its litres, spread over the day.",)


# ---------------------------------------------------------------- words


def verdict_words(answer: BatteryAnswer) -> str:
    empties = answer.verdict in (Holds.SOMETIMES_EMPTY, Holds.MOSTLY_EMPTY)
    return f"{answer.verdict.words} in {answer.emptied_in_100} of 100." if empties else f"{answer.verdict.words}."


def battery_words(answer: BatteryAnswer) -> str:
    """The answer with its numbers, for page one too."""
    runs, litres = "skies" if answer.at_anchor else "crossings", answer.charging.typical_charging_l
    takes = f"takes {_whole_l(litres)} of fuel" if litres >= 0.5 else "mostly takes no fuel"
    engine = f" Charging {takes}, in 1 of 20 more than {_whole_l(answer.charging.most_charging_l)}."
    return (
        f"With little sun it falls below {answer.floor_in_100} % full in {answer.below_in_100} of 100 {runs}, with "
        f"much sun in {answer.below_high_case_in_100}.{engine if answer.engine_runs else ''}"
    )


def _whole_l(litres: float) -> str:
    return f"{amount(litres, 'l'):u}"


def charging_words(charging: ChargingRuns) -> str:
    """Engine hours and litres for the battery alone."""
    all_gone = charging.fuel_gone_in_100
    gone = f"; they were gone in {all_gone} of 100 crossings" if in_print(all_gone) else ""
    there = f"There are {charging.charging_fuel_l:u} that neither calms nor the landfall have been promised"
    return f"{_engine_words(charging)} {there}{gone}."


def _engine_words(charging: ChargingRuns) -> str:
    most = f"{charging.most_charging_h:u} and {charging.most_charging_l:u}"
    if not in_print(charging.most_charging_h):
        return "The engine never runs for the battery, or in fewer than 1 crossing of 20."
    if not in_print(charging.typical_charging_h):
        return f"In half of the crossings the engine never runs for the battery; in 1 of 20 it takes more than {most}."
    return (
        f"Typically the engine runs {charging.typical_charging_h:u} for the battery and burns "
        f"{charging.typical_charging_l:u}; in 1 crossing of 20 more than {most}. With much sun "
        f"{charging.typical_high_case_charging_l:u}."
    )


# ---------------------------------------------------------------- cards


def battery_card(power: Power) -> Blocks:
    """The answer, the day's energy, the nights, the engine and the remedies; at anchor as under way."""
    return (
        *_lying(power),
        *_answer(power),
        Beside((_energy(power), _nights(power)), ("1fr", "1.1fr")),
        *_help(power),
    )


def power_short(power: Power) -> Blocks:
    """Whether it holds, how low the nights take it, and what would help most."""
    nights = power.low.nights
    return (
        *_lying(power),
        Head("Does it hold?"),
        Say(f"{strong(verdict_words(power.answer))} {battery_words(power.answer)}"),
        Say(
            f"It comes back to {power.full_again_in_100} % full on {strong(f'{power.low.back_in_100} days of 100')} "
            "with little sun."
            if isfinite(power.low.back_in_100)
            else ""
        ),
        Sketch(partial(_by_night, power)),
        Head("What would help most"),
        grid(
            power.remedies[:MOST_REMEDIES],
            ("same crossings, little sun", lambda row: row.remedy, "left"),
            ("below the floor, of 100", lambda row: row.below_in_100),
            (f"{unit_words('litres')}, change", lambda row: row.changed_charging_l),
        ),
        Say("Nothing that was tried." if nights and not power.remedies else ""),
    )


def _by_night(power: Power, wide: int) -> tuple[str, ...]:
    """How far each night takes the battery down: 1 boat in 20, and half of them."""
    nights = power.low.nights
    uprights = [
        Upright(float(night.lowest_in_100), float(night.lowest_typical_in_100), float(night.lowest_typical_in_100))
        for night in nights
    ]
    feet = [f"{night.night}" if night.night % 5 == 0 or night.night == 1 else "" for night in nights]
    words = f"Lowest by night, % full: # half the boats, : down to 1 in 20, - the floor, {power.answer.floor_in_100} %"
    return fan(uprights, feet, words, wide, level=100.0 * power.floor)


def _answer(power: Power) -> Blocks:
    answer, worst, full = power.answer, power.low.worst, power.full_again_in_100
    return (
        on_paper(Title("Battery")),
        on_screen(Head("Does it hold?")),
        Say(f"{strong(verdict_words(answer))} {battery_words(answer)}"),
        on_screen(Head("Comes back?")),
        Say(
            f"It comes back to {full} % full on {strong(f'{power.low.back_in_100} days of 100')} with little sun, on "
            f"{power.high.back_in_100} with much."
            if isfinite(power.low.back_in_100) and isfinite(power.high.back_in_100)
            else ""
        ),
        on_screen(Head("Worst hour")),
        Say(
            f"The worst hour is on day {worst.worst_day}, about {worst.ship_hour:02.0f}00 by the sun: 1 boat in 20 is "
            f"then down to {strong(f'{worst.lowest_in_100} %')}, half are at {worst.lowest_typical_in_100} % or less."
        ),
        on_screen(Head("Bank")),
        Say(
            f"The bank holds {power.capacity_ah:u} as it is today ({power.capacity_wh:u}) and begins "
            f"{power.start_in_100} % full; she uses {power.used_ah_per_day:u}."
        ),
        on_paper(
            Drawing(
                "power",
                "State of charge by hour, per cent of full: 9 boats in 10 with little sun, half of them, and half of "
                "them with much sun.",
            ),
            note(
                "By hour, while boats are at sea. Heavy line and band: half and 9 boats in 10, little sun. Dotted: "
                f"half of them, much sun. Broken: the floor, {answer.floor_in_100} %."
            ),
        ),
    )


def _energy(power: Power) -> Blocks:
    return (
        Head("A day's energy, in the mean"),
        _energy_grid(power),
        note(
            "Below the sum: what feeds her, in bold; less what a full battery does not take, it is what is used, lost "
            "and left."
        ),
    )


def _nights(power: Power) -> Blocks:
    still = "skies" if power.at_anchor else "at sea"
    nights = list(zip(power.low.nights, power.high.nights, strict=True))
    below = [("below\nfloor", lambda both: f"{strong(both[0].below_in_100)}–{both[1].below_in_100}", "right 1fr")]
    empty = [("empty", lambda both: both[0].emptied_in_100, "right 1fr")]
    falls = any(in_print(both[0].below_in_100) for both in nights)
    empties = any(in_print(both[0].emptied_in_100) for both in nights)
    back = [("back", lambda both: f"{both[0].back_in_100}–{both[1].back_in_100}", "right 1fr")]
    returns = any(isfinite(both[0].back_in_100) for both in nights)
    return (
        Head("Night by night"),
        Say("" if falls else f"It never falls below {power.answer.floor_in_100} % with little sun."),
        grid(
            nights,
            ("night", lambda both: strong(both[0].night)),
            (f"{still},\nof 100", lambda both: both[0].still_at_sea_in_100, "right 1fr"),
            *(below if falls else []),
            *(empty if empties else []),
            *(back if returns else []),
            ("%, 1\nin 20", lambda both: strong(both[0].lowest_in_100), "right 1fr"),
            ("%,\nhalf", lambda both: both[0].lowest_typical_in_100, "right 1fr"),
            size=SMALL_PT,
        ),
        note(
            f"{_back_words(power, falls, empties) if returns else ''}Last, each boat's own lowest of the night: 1 boat "
            "in 20, and half of them, are no fuller."
        ),
    )


def _back_words(power: Power, falls: bool, empties: bool) -> str:
    return (
        f"Of 100 boats still at sea as the night begins: in how many it {_counted(power, falls, empties)} come back to "
        f"{power.full_again_in_100} % by the next midnight; little sun–much sun. "
    )


def _counted(power: Power, falls: bool, empties: bool) -> str:
    below = f"falls below {strong(f'{power.answer.floor_in_100} %')}, " if falls else ""
    return f"{below}{'is empty, ' if empties else ''}{'and ' if falls else ''}has"


def _help(power: Power) -> Blocks:
    below = [
        ("below the floor,\nof 100", lambda row: row.below_in_100),
        ("days below,\nmean", lambda row: row.below_days),
    ]
    return (
        Head("Engine for the battery alone"),
        Say("" if power.at_anchor else charging_words(power.charging)),
        Head("What would help, the most helpful first"),
        grid(
            power.remedies,
            ("the same crossings again, little sun", lambda row: row.remedy, "left 1fr"),
            *(below if any(in_print(row.below_in_100) for row in power.remedies) else []),
            (f"{unit_words('litres')},\nmean", lambda row: row.mean_charging_l),
            (f"{unit_words('litres')},\nchange", lambda row: row.changed_charging_l),
            *([("price", lambda row: row.price)] if any(row.price > 0.0 for row in power.remedies) else []),
            size=SMALL_PT,
        ),
        Head("Mind"),
        on_screen(*(note(words) for words in power.notes)),
        on_paper(note(" ".join(power.notes))),
    )


def _lying(power: Power) -> Blocks:
    if power.at_anchor is None:
        return ()
    lying, berth = power.at_anchor, power.at_anchor.berth
    return (
        Head("At anchor"),
        Say(berth.position),
        Head("Reckoned from"),
        Say(f"{lying.begins_utc}, {lying.days_long} days"),
        Head("Bow and wind"),
        Say(f"{berth.bow_true_course_deg} true, a steady {berth.steady_wind_kn} knots over her"),
    )


def _energy_grid(power: Power) -> Block:
    """What is used and its sum, then what feeds her; charging runs of one case only are nothing in the other."""
    much = {row.what: row.wh_per_day for row in power.high.energy}

    def cells(row: EnergyRow) -> tuple[object, ...]:
        what = strong(row.what) if row.kind is FlowKind.SOURCE else row.what
        return what, row.wh_per_day, row.ah_per_day, much.get(row.what, "0")

    used = power.used_wh_per_day
    rows = power.low.energy
    return grid(
        (
            *(cells(row) for row in rows if row.kind is FlowKind.LOAD),
            (strong("used in all"), strong(used), strong(power.used_ah_per_day), strong(used)),
            *(cells(row) for row in rows if row.kind is FlowKind.SOURCE or _counts(row, much)),
        ),
        ("", lambda row: row[0], "left 1fr"),
        ("little sun,\nWh", lambda row: row[1]),
        ("little sun,\nAh", lambda row: row[2]),
        ("much sun,\nWh", lambda row: row[3]),
        size=SMALL_PT,
        every=50,
    )


def _counts(row: EnergyRow, much: dict[str, float]) -> bool:
    return row.kind is FlowKind.OTHER and abs(row.wh_per_day) + abs(much.get(row.what, 0.0)) >= 1.0


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """State of charge by hour, its floor, and what half the boats have with much sun."""
    power = table(outcome)
    start = power.start_in_100
    rows = [(start, start, start), *((100.0 * row.low, 100.0 * row.typical, 100.0 * row.good) for row in power.low.fan)]
    days = np.arange(len(rows)) / 24.0
    much = np.array([start, *(100.0 * row.typical for row in power.high.fan)])
    lines = figures.Lines(level=100.0 * power.floor, beside=much)
    drawn = figures.fan(
        days, np.array(rows), figures.time_marks(outcome.times), "% full", room.wide_pt, HOURS_HIGH_PT, lines
    )
    return {"power": drawn}


SHEET = Sheet(
    "power",
    table,
    drawings,
    wanted,
    for_disk=(remedies_of,),
    record=Power,
    cards={"battery": battery_card},
    short=power_short,
)
