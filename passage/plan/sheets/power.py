"""The battery: does it hold and come back, on which nights not, what feeds it and draws on it, and what would help.

Told for the low case of sun, which is the one to plan by, with the high case beside it; the same tables for a boat at
anchor, so that a person can hold them against the monitor aboard.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, time
from typing import TYPE_CHECKING, Literal, TypeVar

import numpy as np

from passage.consequences.power.power import BACK_SHARE, charging_fuel_l
from passage.errors import Fault, InputFaults
from passage.follows import battery_at_anchor, electrics_of
from passage.inputs.electrics import ELECTRICS_FILE
from passage.inputs.position import format_position
from passage.plan import figures
from passage.plan.columns import ASIDE, aside, joined
from passage.plan.figures import FAN_HIGH_PT
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.times import time_marks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.consequences.power.power import Power
    from passage.consequences.power.remedies import PowerRemedy
    from passage.crossings.wind import Luck
    from passage.inputs.electrics import Electrics
    from passage.inputs.folder import Facts
    from passage.road import Outcome

    Floats = NDArray[np.float64]

Given = TypeVar("Given")
LITTLE_L = 0.05  # litres and days that print as nothing
CAUTIONS = (
    "An old bank, a shaded or salted panel and a warm refrigerator take more than the file says. Believe the monitor.",
    "Never save on navigation lights or on the radio that calls for help. Keep the engine's own battery apart.",
    "A running engine and a charging lead bank both need air: exhaust gas kills unseen, and the bank's gas explodes.",
)


def wanted(outcome: Outcome) -> bool:
    return outcome.facts.electrics is not None


def table(outcome: Outcome) -> Table:
    """The battery in all crossings. Raises InputFaults where the folder holds no electrics."""
    power, electrics = _there(outcome.power), _there(electrics_of(outcome.facts))
    charging = rounded(_charging(power, charging_fuel_l(outcome.facts.boat)))
    return rounded(
        {
            **battery_answer(power, "crossings"),
            **_battery(power, electrics, outcome.times.crossings),
            "charging": charging,
            "charging_words": _charging_words(shown(charging)),
            "remedies": [_remedy(remedy) for remedy in power.remedies if _helps(remedy)],
            "battery_cautions": _cautions(power, outcome.facts),
        }
    )


def anchor_table(
    facts: Facts,
    position: tuple[float, float],
    luck: Luck,
    start: datetime | None,
    days: int,
    heading_deg: float | None = None,
    wind_kn: float | None = None,
) -> Table:
    """The battery of a boat lying at a latitude and longitude (degrees), under as many skies as the luck has members,
    from ``start`` (UTC; noon of today if None). Raises InputFaults where the folder holds no electrics.
    """
    begins = start or datetime.combine(facts.today, time(12), UTC)
    berth, power = _there(battery_at_anchor(facts, position, luck, begins, days, heading_deg, wind_kn))
    return rounded(
        {
            **battery_answer(power, "skies"),
            **_battery(power, _there(electrics_of(facts)), luck.members),
            "at_anchor": {
                "position": format_position(berth.lat_deg, berth.lon_deg),
                "bow_true_course_deg": berth.heading_deg,
                "steady_wind_kn": berth.wind_kn,
                "begins_utc": begins.isoformat(timespec="minutes"),
                "days_long": days,
            },
            "battery_cautions": _cautions(power, facts),
        }
    )


def _there(given: Given | None) -> Given:
    """What comes of an electrics file; InputFaults where the folder holds none."""
    if given is None:
        needed = "the battery is reckoned from it; 'passage new' writes one to start from"
        raise InputFaults([Fault(ELECTRICS_FILE, 0, "", "no such file", needed)])
    return given


MOSTLY = 0.5  # share of crossings beyond which "not always" would be too mild


def battery_answer(power: Power, runs: Literal["crossings", "skies"]) -> Table:
    """The answer in a word and in a sentence, for page one too."""
    low, high, floor = power.low, power.high, round(100 * power.floor)
    below = f"With little sun it falls below {floor} % full in {_up(low.below_floor)} of 100 {runs}"
    engine = ""
    if low.charging_l.any():
        typical, most = _typical_and_most(low.charging_l)
        mostly = f"takes {typical:.0f} litres of fuel" if typical >= 0.5 else "mostly takes no fuel"
        engine = f" Charging {mostly}, in 1 of 20 more than {most:.0f} litres."
    return {
        "battery_verdict": _verdict(power),
        "battery_words": f"{below}, with much sun in {_up(high.below_floor)}.{engine}",
    }


def _verdict(power: Power) -> str:
    low, high = power.low, power.high
    if low.flat > MOSTLY:
        return f"No: with little sun it runs empty in {_up(low.flat)} of 100."
    if low.flat > 0:
        return f"Not always: with little sun it runs empty in {_up(low.flat)} of 100."
    if high.below_floor > 0:
        return "Not always."
    if low.below_floor > 0:
        return "Not always, with little sun."
    return "Yes, with the engine." if low.charging_l.any() else "Yes."


def _typical_and_most(amounts: Floats) -> tuple[float, float]:
    """What half the crossings need no more than, and 19 in 20."""
    typical, most = np.quantile(amounts, (0.5, 0.95), method="higher")
    return float(typical), float(most)


def _up(share: float) -> int:
    """A share in a hundred, rounded up: a fault is never rounded away."""
    return math.ceil(100.0 * share - 1e-9)


def _down(share: float | None) -> int | None:
    return None if share is None else math.floor(100.0 * share + 1e-9)


def _battery(power: Power, electrics: Electrics, members: int) -> Table:
    low, high, battery = power.low, power.high, electrics.battery
    return {
        "crossings": members,
        "capacity_wh": power.capacity_wh,
        "capacity_ah": power.capacity_wh / battery.voltage_v,
        "floor_in_100": 100.0 * power.floor,
        "start_in_100": 100.0 * electrics.departure.start_share,
        "full_again_in_100": 100.0 * BACK_SHARE,
        "below_in_100": _up(low.below_floor),
        "below_high_case_in_100": _up(high.below_floor),
        "emptied_in_100": _up(low.flat),
        "emptied_high_case_in_100": _up(high.flat),
        "back_in_100": _down(low.back),
        "back_high_case_in_100": _down(high.back),
        "worst": {
            "worst_day": low.worst.hour // 24 + 1,
            "ship_hour": f"{math.floor(low.worst.solar_hour):02d}00",
            "lowest_in_100": _down(low.worst.low),
            "lowest_typical_in_100": _down(low.worst.typical),
        },
        "nights": _nights(power),
        "energy": _energy(power, battery.voltage_v),
        "used_wh_per_day": sum(row.wh_per_day for row in low.energy if row.kind == "load"),
        "used_ah_per_day": sum(row.wh_per_day for row in low.energy if row.kind == "load") / battery.voltage_v,
    }


def _nights(power: Power) -> list[Table]:
    return [
        {
            "night": night.night,
            "still_at_sea_in_100": 100.0 * night.at_sea,
            "below_in_100": _up(night.below_floor),
            "below_high_case_in_100": _up(sunny.below_floor),
            "emptied_in_100": _up(night.flat),
            "back_in_100": _down(night.back),
            "back_high_case_in_100": _down(sunny.back),
            "lowest_in_100": _down(night.low),
            "lowest_typical_in_100": _down(night.typical),
        }
        for night, sunny in zip(power.low.nights, power.high.nights, strict=True)
    ]


def _energy(power: Power, voltage_v: float) -> list[Table]:
    """Every source and load, and what losses there are; charging runs of one case only are nothing in the other."""
    high = {row.name: row.wh_per_day for row in power.high.energy}
    low = {row.name: row for row in power.low.energy}
    return [
        {
            "what": name,
            "kind": row.kind,
            "wh_per_day": row.wh_per_day,
            "high_case_wh_per_day": high.get(name, 0.0),
            "ah_per_day": row.wh_per_day / voltage_v,
        }
        for name, row in low.items()
        if row.kind != "other" or abs(row.wh_per_day) + abs(high.get(name, 0.0)) >= 1.0
    ]


def _charging(power: Power, fuel_l: float) -> Table:
    low, high = power.low, power.high
    typical_h, most_h = _typical_and_most(low.charging_h)
    typical_l, most_l = _typical_and_most(low.charging_l)
    return {
        "typical_charging_h": typical_h,
        "most_charging_h": most_h,
        "typical_charging_l": typical_l,
        "most_charging_l": most_l,
        "typical_high_case_charging_l": _typical_and_most(high.charging_l)[0],
        "charging_fuel_l": math.floor(fuel_l),
        "fuel_gone_in_100": _up(float((low.charging_l > max(fuel_l - LITTLE_L, LITTLE_L)).mean())),
    }


def _charging_words(c: Table) -> list[str]:
    """Engine hours and litres for the battery alone, of a shown table."""
    there = f"There are {c['charging_fuel_l']} litres that neither calms nor the landfall have been promised"
    gone = f"; they were gone in {c['fuel_gone_in_100']} of 100 crossings" if c["fuel_gone_in_100"] != "0" else ""
    return [_engine_words(c), f"{there}{gone}."]


def _engine_words(c: Table) -> str:
    most = f"{c['most_charging_h']} h and {c['most_charging_l']} litres"
    if c["most_charging_h"] == "0.0":
        return "The engine never runs for the battery, or in fewer than 1 crossing of 20."
    if c["typical_charging_h"] == "0.0":
        return f"In half of the crossings the engine never runs for the battery; in 1 of 20 it takes more than {most}."
    return (
        f"Typically the engine runs {c['typical_charging_h']} h for the battery and burns {c['typical_charging_l']} "
        f"litres; in 1 crossing of 20 more than {most}. With much sun {c['typical_high_case_charging_l']} litres."
    )


def _helps(remedy: PowerRemedy) -> bool:
    """Fewer days below the floor, or as many and less fuel."""
    if abs(remedy.days_changed) >= LITTLE_L:
        return remedy.days_changed < 0.0
    return remedy.charging_changed_l <= -LITTLE_L


def _remedy(remedy: PowerRemedy) -> Table:
    return {
        "remedy": remedy.name,
        "below_in_100": _up(remedy.below_floor),
        "below_days": remedy.days_below,
        "changed_days": remedy.days_changed,
        "mean_charging_l": remedy.charging_l,
        "changed_charging_l": remedy.charging_changed_l,
    }


def _cautions(power: Power, facts: Facts) -> list[str]:
    profile = f"How the bank takes and holds charge: {power.profile}."
    return [*power.notes, *CAUTIONS, *_watermaker_words(facts), profile]


def _watermaker_words(facts: Facts) -> list[str]:
    """Where the watermaker's energy comes from, if there is one."""
    if facts.provisions.watermaker is None or facts.electrics is None:
        return []
    if facts.electrics.counts_watermaker:
        return [
            "The watermaker draws what electrics.toml says; that its litres agree with stores.toml is for you to see."
        ]
    return ["The watermaker draws what stores.toml says, spread over the day."]


def text(table: Table) -> str:
    """Does it hold, the nights, energy, charging and what would help; at anchor as under way."""
    p = shown(table)
    blocks = [
        _anchor_lines(p["at_anchor"]) if "at_anchor" in p else [],
        _answer_lines(p),
        aside("Charging", p.get("charging_words", [])),
        _night_lines(p),
        _energy_lines(p),
        _remedy_lines(p["remedies"]) if p.get("remedies") else [],
        aside("Mind", p["battery_cautions"]),
    ]
    return joined(blocks)


def _anchor_lines(a: Table) -> list[str]:
    """Where she lies, and how."""
    return [
        f"{'At anchor':<{ASIDE}}{a['position']}",
        f"{'Reckoned from':<{ASIDE}}{a['begins_utc']}, {a['days_long']} days",
        f"{'Bow and wind':<{ASIDE}}{a['bow_true_course_deg']} true, a steady {a['steady_wind_kn']} knots over her",
    ]


def _answer_lines(p: Table) -> list[str]:
    worst, full = p["worst"], p["full_again_in_100"]
    back = (
        f"to {full} % full on {p['back_in_100']} days of 100 with little sun, on {p['back_high_case_in_100']} with much"
    )
    hour = (
        f"day {worst['worst_day']}, about {worst['ship_hour']} by the sun: 1 in 20 is down to "
        f"{worst['lowest_in_100']} %, half are at {worst['lowest_typical_in_100']} % or less"
    )
    bank = f"{p['capacity_ah']} Ah as it is today ({p['capacity_wh']} Wh), {p['start_in_100']} % full to begin with"
    return [
        *aside("Does it hold?", [f"{p['battery_verdict']} {p['battery_words']}"]),
        *aside("Comes back?", [back]),
        *aside("Worst hour", [hour]),
        *aside("Bank", [bank]),
    ]


def _night_lines(p: Table) -> list[str]:
    still, floor = "skies" if "at_anchor" in p else "at sea", f"below {p['floor_in_100']} %"
    head = (
        f"{'night':>5}{still:>8}{floor:>12}{'(much sun)':>11}{'empty':>7}{'back':>6}{'(much sun)':>11}{'lowest':>8}"
        f"{'half':>6}"
    )
    rows = [
        f"{row['night']:>5}{row['still_at_sea_in_100']:>8}{row['below_in_100']:>12}{row['below_high_case_in_100']:>11}"
        f"{row['emptied_in_100']:>7}{row['back_in_100']:>6}{row['back_high_case_in_100']:>11}"
        f"{row['lowest_in_100']:>8}{row['lowest_typical_in_100']:>6}"
        for row in p["nights"]
    ]
    return ["Of 100 boats; lowest charge of 1 boat in 20 and of half, %:", head, *rows]


def _energy_lines(p: Table) -> list[str]:
    head = f"{'a day, in the mean':<40}{'Wh':>8}{'Ah':>7}{'Wh, much sun':>15}"
    rows = [
        f"{row['what'][:39]:<40}{row['wh_per_day']:>8}{row['ah_per_day']:>7}{row['high_case_wh_per_day']:>15}"
        for row in p["energy"]
    ]
    return [head, *rows, f"{'used in all':<40}{p['used_wh_per_day']:>8}{p['used_ah_per_day']:>7}"]


def _remedy_lines(remedies: Sequence[Table]) -> list[str]:
    head = f"{'what would help':<42}{'below, of 100':>14}{'days':>7}{'litres':>8}{'change':>8}"
    rows = [
        f"{row['remedy'][:41]:<42}{row['below_in_100']:>14}{row['below_days']:>7}{row['mean_charging_l']:>8}"
        f"{row['changed_charging_l']:>8}"
        for row in remedies
    ]
    return [head, *rows]


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """State of charge by hour, its floor, and what half the boats have with much sun."""
    power = _there(outcome.power)
    start = 100.0 * power.low.account.bank.start
    rows = [(start, start, start), *((100.0 * row.low, 100.0 * row.typical, 100.0 * row.good) for row in power.low.fan)]
    days = np.arange(len(rows)) / 24.0
    much = np.array([start, *(100.0 * row.typical for row in power.high.fan)])
    lines = figures.Lines(level=100.0 * power.floor, beside=much)
    drawn = figures.fan(days, np.array(rows), time_marks(outcome), "% full", room.wide_pt, FAN_HIGH_PT, lines)
    return {"power": drawn}


KEYS = {
    "battery_verdict": "whether the battery stays above its floor, in words",
    "battery_words": "the same with its numbers",
    "crossings": "how many crossings were sailed; at anchor, how many skies were drawn",
    "capacity_wh": "what the bank holds today, Wh",
    "capacity_ah": "the same in Ah at its voltage",
    "floor_in_100": "charge below which it should not fall, per cent of full",
    "start_in_100": "charge at departure, per cent of full",
    "full_again_in_100": "charge at which it has come back, per cent of full",
    "below_in_100": "of 100 crossings (in a row of nights: of 100 still at sea), those below the floor; rounded up",
    "below_high_case_in_100": "the same with much sun",
    "emptied_in_100": "the same, of those whose battery is empty, little sun",
    "emptied_high_case_in_100": "the same with much sun",
    "back_in_100": "of 100 whole days at sea, on which it came back; rounded down; null: too few boats",
    "back_high_case_in_100": "the same with much sun",
    "worst": "the hour in which 1 boat in 20 is lowest, little sun",
    "worst_day": "its day out",
    "ship_hour": "its hour by the sun there",
    "lowest_in_100": "charge that 1 boat in 20 is no fuller than, lowest of the night or of all, per cent",
    "lowest_typical_in_100": "the same for half the boats",
    "nights": "each night from noon to noon",
    "night": "its number; 1 is the first with darkness at sea",
    "still_at_sea_in_100": "of 100 crossings, those at sea as it begins",
    "energy": "mean energy a day: sources, loads, and what is not taken, lost or left",
    "what": "name of a source, a load or a loss",
    "kind": "source, load or other",
    "wh_per_day": "Wh a day, little sun; for 'other' as they stand in the balance",
    "high_case_wh_per_day": "Wh a day with much sun",
    "ah_per_day": "Ah a day at the bank's voltage, little sun",
    "used_wh_per_day": "all loads together, Wh a day",
    "used_ah_per_day": "all loads together, Ah a day",
    "charging": "engine running for the battery alone, little sun",
    "charging_words": "the same in words",
    "typical_charging_h": "hours that half the crossings need no more than",
    "most_charging_h": "hours that 1 crossing in 20 exceeds",
    "typical_charging_l": "litres of fuel that half the crossings need no more than",
    "most_charging_l": "litres of fuel that 1 crossing in 20 exceeds",
    "typical_high_case_charging_l": "litres with much sun that half the crossings need no more than",
    "charging_fuel_l": "litres that neither calms nor the landfall have been promised",
    "fuel_gone_in_100": "of 100 crossings, those that burn all of it; rounded up",
    "remedies": "what would help, most days saved first, then most fuel; each the same crossings run again",
    "remedy": "the one thing changed",
    "below_days": "days below the floor in an average crossing",
    "changed_days": "change of these days, negative is better",
    "mean_charging_l": "litres for charging in an average crossing",
    "changed_charging_l": "change of these litres, negative is better",
    "at_anchor": "where she lies instead of sailing",
    "position": "latitude and longitude",
    "bow_true_course_deg": "true bearing of her bow",
    "steady_wind_kn": "wind over her, knots",
    "begins_utc": "when the reckoning begins",
    "days_long": "how many days it runs",
    "battery_cautions": "what these numbers do not know, and where the bank's figures come from",
}

SHEET = Sheet("power", table, drawings, wanted, KEYS)
