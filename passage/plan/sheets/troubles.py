"""If this breaks, then: what runs out, when, what is left, what to do first; going on, turning back or a refuge."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from passage.inputs.position import format_position
from passage.plan.columns import aside, joined
from passage.plan.printed import DASH, Table, rounded, shown
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS
from passage.troubles.reckon import reckon_troubles, sail_ways_out

if TYPE_CHECKING:
    from passage.road import Outcome
    from passage.troubles.effects import Effect, Lasting
    from passage.troubles.flooding import Flooding
    from passage.troubles.hands import Hands
    from passage.troubles.refuges import Day, Refuges, Turning, Way

COMMON = "common practice"
CAUTIONS = (
    "What a damaged boat still makes good is a guess until it is tried: set your own figures in troubles.toml; the "
    "defaults are common practice without a source. Each trouble stands alone; two at once are worse.",
    "What to do first is common practice but where a rule is named (those from memory). Practise it ashore.",
    DEFERS,
)
NO_DRIFT = (
    "The set and drift of the legs are in the ways on and back; the ways to a refuge have the shipped averages instead."
)


def table(outcome: Outcome) -> Table:
    """Every trouble that fits the boat, and every way out of every few days."""
    troubled = outcome.once(reckon_troubles)
    times = troubled.times
    return rounded(
        {
            "crossings": times.crossings,
            "slow_end_in": round(1.0 / (1.0 - times.slow_share)),
            "typical_days": times.typical_h / 24.0,
            "slow_end_days": times.slow_end_h / 24.0,
            "troubles": [_trouble(effect) for effect in troubled.effects],
            "refuges": _refuges(troubled.refuges),
            "trouble_cautions": [*CAUTIONS, *_without_drift(outcome)],
        }
    )


def _without_drift(outcome: Outcome) -> list[str]:
    return [NO_DRIFT] if outcome.facts.voyage.set_by_leg and outcome.facts.troubles.refuges else []


def _trouble(effect: Effect) -> Table:
    trouble, times, tightest = effect.trouble, effect.times, effect.tightest
    return {
        "trouble": trouble.name,
        "changed": trouble.changed,
        "strikes": trouble.when,
        "strike_day": math.ceil(effect.strike_day),
        "typical_days": times.typical_h / 24.0,
        "slow_end_days": times.slow_end_h / 24.0,
        "more_days": (times.slow_end_h - effect.times_before.slow_end_h) / 24.0 if effect.resailed else 0.0,
        "never_crossings": times.never_crossings,
        "reached": math.isfinite(times.slow_end_h),
        "runs_out": [_gone(thing) for thing in effect.running_out],
        "tightest": "" if tightest is None or math.isinf(tightest.spare_days) else tightest.name,
        "spare_days": tightest.spare_days if tightest else math.inf,
        "things": [
            _gone(thing)
            | {
                "unit": thing.unit,
                "usable_amount": thing.loaded,
                "left_amount": thing.left,
                "spare_days": thing.spare_days,
            }
            for thing in effect.lasting
        ],
        "ration_days": effect.ration.days if effect.ration else None,
        "ration_reaches_slow_end": effect.ration.lasts if effect.ration else None,
        "hands": _hands(effect.hands) if effect.hands else None,
        "flooding": _flooding(effect.flooding) if effect.flooding else None,
        "first": [{"step": step.words, "step_source": step.source or COMMON} for step in trouble.first],
    }


def _gone(thing: Lasting) -> Table:
    return {
        "thing": thing.name,
        "gone_on_day": math.ceil(thing.gone_day) if math.isfinite(thing.gone_day) else math.inf,
        "short_in_100": _in_100(thing.short),
        "short_before_in_100": _in_100(thing.short_before),
    }


def _in_100(share: float) -> int:
    return math.ceil(100.0 * share - 1e-9)


def _hands(hands: Hands) -> Table:
    return {
        "left_to_keep_her_count": hands.people,
        "trick_hours": hands.trick_h,
        "look_every_min": hands.interval_min,
        "on_watch_hours": hands.watch_h,
        "slept_hours": hands.sleep_h,
        "worst_sleepiness": hands.worst_kss,
        "sleepy_hours": hands.sleepy_h,
    }


def _flooding(flooding: Flooding) -> Table:
    return {
        "hourly_leak_l": flooding.rate_l_h,
        "hourly_electric_l": flooding.electric_l_h,
        "hourly_by_hand_l": flooding.by_hand_l_h,
        "by_hand_min": flooding.by_hand_min_h,
        "held": flooding.held,
        "holes": [
            {
                "bore_mm": hole.bore_mm,
                "inflow_by_minute_l": hole.inflow_l_h / 60.0,
                "held_by": hole.held_by or "nothing aboard",
            }
            for hole in flooding.holes
        ],
    }


def _refuges(refuges: Refuges) -> Table:
    return {
        "sailed_crossings": refuges.crossings,
        "ways": list(refuges.ways),
        "by_day": [_day(day) for day in refuges.days],
        "turning": [_turning(*pair) for pair in zip(refuges.whole, refuges.jury, strict=True)],
        "left_out": list(refuges.left_out),
    }


def _day(day: Day) -> Table:
    return {
        "day": day.day,
        "run_nm": day.run_nm,
        "position": format_position(day.lat_deg, day.lon_deg),
        "water_lasts_days": day.water_days,
        "ration_lasts_days": day.ration_days,
        "food_lasts_days": day.food_days,
        "whole": [_way(way, day.whole) for way in day.whole],
        "jury": [_way(way, day.jury) for way in day.jury],
    }


def _way(way: Way, ways: tuple[Way, ...]) -> Table:
    return {
        "way_nm": way.distance_nm,
        "given_up_days": way.given_up_h / 24.0,
        "typical_days": way.typical_h / 24.0,
        "slow_end_days": way.slow_end_h / 24.0,
        "water_lasts_on": way.water or "neither",
        "quickest": math.isfinite(way.slow_end_h) and way.slow_end_h == min(each.slow_end_h for each in ways),
    }


def _turning(whole: Turning, jury: Turning) -> Table:
    return {
        "way": whole.way,
        "words": turn_words(whole),
        "jury_words": turn_words(jury),
        "typical_turn_day": whole.typical_day,
        "slow_end_turn_day": whole.slow_end_day,
        "jury_typical_turn_day": jury.typical_day,
        "jury_slow_end_turn_day": jury.slow_end_day,
    }


def turn_words(turning: Turning) -> str:
    """From which day going on is the quicker, typically and at the slow end."""
    typical, slow = (_from_day(day) for day in (turning.typical_day, turning.slow_end_day))
    return typical if typical == slow else f"{typical}; at the slow end {slow}"


def _from_day(day: float) -> str:
    if math.isnan(day):
        return "neither gets there"
    if math.isinf(day):
        return "never quicker to go on"
    return "always quicker to go on" if day == 0.0 else f"go on from day {math.ceil(day - 1e-9)}"


# ---------------------------------------------------------------- the terminal


def text(table: Table) -> str:
    """Each trouble in a few lines, then the ways by day."""
    t = shown(table)
    head = [
        f"Without any of these: typical {t['typical_days']} days, slow end {t['slow_end_days']} "
        f"(1 crossing in {t['slow_end_in']} is slower). Each happens at departure where no day is named."
    ]
    told = [*t["troubles"][1:], {"first": []}]
    troubles = [
        _block(row, t["crossings"], row["first"] != following["first"])
        for row, following in zip(t["troubles"], told, strict=True)
    ]
    return joined([head, *troubles, *_ways_text(t["refuges"]), aside("Mind", t["trouble_cautions"])])


def _block(row: dict[str, Any], crossings: str, with_steps: bool) -> list[str]:
    """A trouble; what to do first stands once under those that share it."""
    day = f", on day {row['strike_day']}" if row["strikes"] != "at departure" else ""
    lines = [row["changed"], f"{time_words(row, crossings)} {runs_out_words(row)}"]
    lines += [ration_words(row)] if row["ration_days"] != DASH else []
    lines += [people_words(row["hands"])] if isinstance(row["hands"], dict) else []
    lines += [flooding_words(row["flooding"])] if isinstance(row["flooding"], dict) else []
    steps = [f"{number}. {step['step']}" for number, step in enumerate(row["first"], 1)] if with_steps else []
    return [f"{row['trouble'].upper()}{day}", *aside("", lines), *aside("  first", steps)]


def time_words(row: dict[str, Any], crossings: str) -> str:
    if not row["reached"]:
        return f"{row['never_crossings']} of {crossings} crossings make less than a knot good and are given up."
    return f"Slow end {row['slow_end_days']} days, {row['more_days']} more."


def runs_out_words(row: dict[str, Any]) -> str:
    gone = [
        f"{thing['thing']} on day {thing['gone_on_day']} ({thing['short_in_100']} in 100{_before(thing)})"
        for thing in row["runs_out"]
    ]
    if gone:
        return f"Runs out: {', '.join(gone)}."
    spare = f" Least to spare: {row['tightest']}, {row['spare_days']} days." if row["tightest"] else ""
    return f"Nothing runs out.{spare}"


def ration_words(row: dict[str, Any]) -> str:
    enough = "as long as it takes" if row["ration_reaches_slow_end"] else "NOT LONG ENOUGH"
    return f"On the survival ration water lasts to day {row['ration_days']}, {enough}."


def _before(thing: dict[str, Any]) -> str:
    without = thing["short_before_in_100"]
    return "" if without == "0" else f", {without} without the trouble"


def people_words(hands: dict[str, Any]) -> str:
    if hands["look_every_min"] == "0":
        return "One alone: no day of naps between looks so close gives that much sleep."
    if hands["left_to_keep_her_count"] == "1":
        return (
            f"One alone: a look every {hands['look_every_min']} min, {hands['slept_hours']} h of sleep in naps, "
            f"sleepiness up to {hands['worst_sleepiness']} of 9."
        )
    return (
        f"Tricks of {hands['trick_hours']} h, {hands['on_watch_hours']} h a day each; with {hands['slept_hours']} h of "
        f"sleep {hands['sleepy_hours']} h a day too sleepy (7 or more of 9)."
    )


def flooding_words(flooding: dict[str, Any]) -> str:
    holds = "holds" if flooding["held"] else "DOES NOT HOLD"
    return (
        f"What is aboard {holds} it: electric pump {flooding['hourly_electric_l']} L/h, hands "
        f"{flooding['hourly_by_hand_l']} L/h, day and night; {flooding['by_hand_min']} min of pumping in every hour."
    )


def _ways_text(refuges: dict[str, Any]) -> list[list[str]]:
    blocks = []
    for rig, title in (("whole", "All well"), ("jury", "Jury rig")):
        rows = []
        for day in refuges["by_day"]:
            ways = [f"{name} {_span(way)}" for name, way in zip(refuges["ways"], day[rig], strict=True)]
            rows.append(f"day {day['day']}, water {day['water_lasts_days']} d: {'; '.join(ways)}")
        blocks.append(aside(title, ["Days to get there, typical to slow end:", *rows]))
    turns = [f"{row['way']}: {row['words']}; jury rig: {row['jury_words']}" for row in refuges["turning"]]
    left_out = [aside("Left out", refuges["left_out"])] if refuges["left_out"] else []
    return [*blocks, aside("Turning point", turns), *left_out]


def _span(way: dict[str, Any]) -> str:
    more = f"more than {way['given_up_days']}"
    slow_end = more if way["slow_end_days"] == DASH else way["slow_end_days"]
    return more if way["typical_days"] == DASH else f"{way['typical_days']} to {slow_end}"


KEYS = {
    "left_out": "a sentence on each refuge that cannot be sailed to and is left out",
    "troubles": "each trouble that fits the boat, the same crossings sailed again with that one thing changed",
    "trouble": "its name",
    "changed": "what is reckoned otherwise",
    "strikes": "when it happens: at departure, or halfway",
    "reached": "whether the slow end is reached, or too many crossings make less than a knot good",
    "strike_day": "day out on which it happens, 0 for at departure",
    "more_days": "what the slow end is later by",
    "runs_out": "what more crossings run out of than are accepted, with the trouble or without; the first to go first",
    "thing": "water, food, fuel, gas, the battery or a thing of the stores file",
    "gone_on_day": "day out on which it is gone in the crossing that 1 in 20 fares worse than; none where it lasts",
    "tightest": "what has the fewest days to spare, the battery apart",
    "spare_days": "days of full use left at landfall in the crossing that 1 in 20 fares worse than; negative is short",
    "things": "everything that is drawn down",
    "unit": "unit of its amounts",
    "usable_amount": "what may be used of it",
    "left_amount": "what is left at landfall in that crossing; negative is short; of the battery its lowest charge",
    "short_before_in_100": "crossings in 100 that run out of it without the trouble, rounded up",
    "ration_days": "day out to which the survival ration of water lasts, where full use does not",
    "ration_reaches_slow_end": "whether that is the slow end or later",
    "hands": "how the people fare, where the trouble lies on them",
    "left_to_keep_her_count": "people left to steer or keep the watch",
    "trick_hours": "hours at the helm at a stretch; 0 for one alone",
    "look_every_min": "minutes from look to look of one alone; 0: none is short enough; null where more take turns",
    "on_watch_hours": "hours a day on watch of the one who has most",
    "slept_hours": "hours of sleep a day of the one who has least",
    "worst_sleepiness": "the sleepiest half hour on the Karolinska scale of 9",
    "sleepy_hours": "hours a day on watch at 7 or more of 9",
    "flooding": "the leak against pumps and crew",
    "hourly_leak_l": "what comes in, an hour",
    "hourly_electric_l": "what the electric pump holds an hour, half of its maker's figure",
    "hourly_by_hand_l": "what the crew holds by hand an hour, day and night",
    "by_hand_min": "minutes of hand pumping in every hour that this leak asks for",
    "held": "whether pumps and crew hold it",
    "holes": "what comes in through holes of these bores",
    "bore_mm": "bore of the hole",
    "inflow_by_minute_l": "what comes in through it at first, a minute",
    "held_by": "what holds it",
    "first": "what to do first, in order",
    "step": "one thing to do",
    "step_source": "the rule it follows; common practice where there is none",
    "refuges": "going on, turning back, or a refuge, each sailed from every few days out",
    "sailed_crossings": "crossings sailed each way",
    "ways": "the ways, in the order of every list below",
    "water_lasts_days": "days from then on that water lasts at full use in the crossing that 1 in 20 fares worse than",
    "ration_lasts_days": "the same on the survival ration",
    "food_lasts_days": "the same of food at full use; none where food is not counted",
    "whole": "the ways with everything whole",
    "jury": "the ways under jury rig, the time to set it counted",
    "way_nm": "miles by this way",
    "given_up_days": "days after which a crossing that has not got there, at a knot made good, is given up",
    "water_lasts_on": "what of water reaches the slow end of this way: full use, ration, or neither",
    "quickest": "whether no way is quicker at the slow end",
    "turning": "from when on going on is quicker than this way",
    "way": "the way",
    "words": "the same in words",
    "jury_words": "the same under jury rig",
    "typical_turn_day": "day out from which going on is typically quicker; 0 from the start, none: see the words",
    "slow_end_turn_day": "the same at the slow end",
    "jury_typical_turn_day": "the same under jury rig, typically",
    "jury_slow_end_turn_day": "the same under jury rig at the slow end",
    "trouble_cautions": "what these figures cannot say",
}

SHEET = Sheet("troubles", table, keys=KEYS, for_mate=(sail_ways_out,))
