"""Now: one screen for three in the morning, and the same as a card to print: a label, and plain words beside it."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING

from passage.consequences.lists.services import area_at
from passage.errors import Fault, InputFaults
from passage.inputs.position import format_position
from passage.journal.entries import LOG_FILE
from passage.journal.here import IF_EXAMPLES, Supposed, supposing
from passage.journal.now import beside_plan
from passage.plan.columns import aside
from passage.plan.printed import Table, day_words, rounded, shown
from passage.plan.sheets.basis import forecast_counts, forecast_words
from passage.plan.sheets.watches import clock
from passage.troubles.catalogue import troubles_for
from passage.troubles.refuges import within_reach
from passage.troubles.resail import held

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from passage.crossings.ensemble import Crossings
    from passage.inputs.folder import Facts
    from passage.journal.evidence import Lessons
    from passage.journal.learning import Learned
    from passage.journal.now import Forward, Lasts, Now
    from passage.sailings.sky import AlmanacDay
    from passage.troubles.refuges import Reach

Row = tuple[str, str]

BY_THE_HOUR = timedelta(days=3)  # a landfall further off is told by its day
MOST_REFUGES = 3
LABELS = len("Overruled by") + 1
FRESH_SOUNDING_H = 36
DEFERS = "charts, COLREGs, rescue services and the skipper overrule this."
# What is read first at three in the morning, and must be legible on the card from the companionway.
GRAVE = ("LOOK", "Position", "To go", "Landfall", "Water", "Ration", "Watch", "Refuge", "What if")
_OF = {
    "speed": "of her polar",
    "water": "of what was planned",
    "fuel": "of the boat file's",
    "electricity": "of that planned",
}


def asked(what: str, facts: Facts) -> Supposed:
    """One thing supposed: a trouble of the plan, happening now and named by any words of its name that fit no other; or
    what ``supposing`` knows. Raises InputFaults for what is neither.
    """
    words = set(what.lower().replace(":", " ").split()) - {"the", "a", "our"}
    troubles = troubles_for(facts)
    fitting = [each for each in troubles if words and words <= set(each.name.lower().replace(":", " ").split())]
    if len(fitting) == 1:
        trouble = fitting[0]
        return Supposed(trouble.name, trouble.change, partial(_lying, hours=trouble.hold_h))
    try:
        return supposing(facts, what)
    except InputFaults as told:
        (fault,) = told.faults
        if IF_EXAMPLES not in fault.wanted:
            raise
        names = ", ".join(each.name for each in fitting or troubles)
        raise InputFaults([Fault(LOG_FILE, 0, "if", fault.found, f"say {IF_EXAMPLES}, or one of: {names}")]) from None


def _lying(crossings: Crossings, hours: int) -> Crossings:
    return held(crossings, 0, hours)


# ---------------------------------------------------------------- the table


def table(report: Now) -> Table:
    """Where she is, what lies ahead, what lasts; None for what is not known. "lines": in words for screen and card."""
    numbers = rounded({**_where(report), **_ahead(report), **_tonight(report)})
    return numbers | {"lines": list(_told(_rows(numbers)))}


def _told(rows: Iterable[Row]) -> Iterator[Table]:
    """A row without a label belongs to the one before it; of the refuges the soonest is enough at a glance."""
    about = ""
    for label, words in rows:
        about = label or about
        yield {"about": label, "says": words, "grave": label in GRAVE or (about in GRAVE and about != "Refuge")}


def _where(report: Now) -> Table:
    here, made, plan = report.here, report.yesterday, report.setting.plan
    arrived = report.to_go_nm == 0.0
    area = area_at(here.lat_deg, here.lon_deg)
    return {
        "depart_utc": report.started.isoformat(),
        "boat": report.setting.ship,
        "destination": report.setting.destination,
        "at_utc": here.time.isoformat(),
        "position": format_position(here.lat_deg, here.lon_deg),
        "area": area.area if area else None,
        "weather_by": area.issuer if area else None,
        "reckoned_h": None if here.fix else here.since_fix_h,
        "arrived": arrived,
        "to_go_nm": report.to_go_nm,
        "since_departure_days": report.hours_out / 24.0,
        "made_good_nm": report.made_good_nm,
        "made_good_kn": report.mean_kn,
        "last_run": {"last_nm": made.distance_nm, "elapsed_h": made.hours, "run_kn": made.speed_kn} if made else None,
        "planned_typical_utc": _planned(report, "typical_h"),
        "planned_slow_end_utc": _planned(report, "slow_end_h"),
        "beside_plan": "" if arrived else beside_plan(plan, report.hours_out, report.made_good_nm),
        "attend": list(report.flags),
        "sounded_h": report.sounded_h,
    }


def _planned(report: Now, name: str) -> str | None:
    hours = report.setting.plan.get(name)
    return (report.started + timedelta(hours=hours)).isoformat() if hours else None


def _ahead(report: Now) -> Table:
    forward = report.forward
    return {
        "barred": report.barred,
        "forecast_counts": bool(forward and forecast_counts(forward.outcome)),
        "forecast_words": forecast_words(forward.outcome) if forward and forward.outcome.ground.forecast else "",
        "from_here": _forward(forward) if forward else None,
        "refuges": [_reach(reach) for reach in within_reach(forward.outcome)[:MOST_REFUGES]] if forward else [],
        "learned": learned(report.taught) if report.taught else [],
        "supposed": {"if_words": report.supposed[0], **_forward(report.supposed[1])} if report.supposed else None,
    }


def _forward(forward: Forward) -> Table:
    ration = forward.ration
    return {
        "crossings": forward.members,
        "slow_end_in": forward.one_in,
        "typical_utc": forward.typical.isoformat() if forward.typical else None,
        "slow_end_utc": forward.slow_end.isoformat() if forward.slow_end else None,
        "things": [_lasts(store) for store in forward.stores],
        "ration_l_per_day": ration.person_l if ration else None,
        "least_ration_l_per_day": ration.survival_l if ration else None,
        "ration_too_small": ration.below_survival if ration else None,
        "motoring_h": forward.motor_h,
        "battery_low_in_100": None if forward.battery_low is None else _in_100(forward.battery_low),
    }


def _lasts(store: Lasts) -> Table:
    return {
        "thing": store.name,
        "unit": store.unit,
        "usable_amount": store.aboard,
        "daily_amount": store.daily,
        "short_in_100": _in_100(store.short),
        "gone_utc": store.runs_out.isoformat() if store.runs_out else None,
    }


def _in_100(share: float) -> int:
    return math.ceil(100.0 * share - 1e-9)


def _reach(reach: Reach) -> Table:
    return {
        "refuge": reach.name,
        "way_nm": reach.distance_nm,
        "way_course_deg": reach.course_deg,
        "typical_days": reach.typical_h / 24.0,
        "slow_end_days": reach.slow_end_h / 24.0,
        "barred": reach.barred,
    }


def learned(taught: Lessons) -> list[Table]:
    """Belief before and after in each factor of which the log says something, per cent, each with its spread."""
    steps = {"speed": taught.performance, "water": taught.water, "fuel": taught.fuel, "electricity": taught.electricity}
    return [_step(name, step) for name, step in steps.items() if step.days or name == "speed"]


def _step(name: str, step: Learned) -> Table:
    return rounded(
        {
            "of": name,
            "before_percent": 100.0 * step.before.mean,
            "before_spread_percent": 100.0 * step.before.sd,
            "after_percent": 100.0 * step.after.mean,
            "after_spread_percent": 100.0 * step.after.sd,
            "days_count": step.days,
        }
    )


def _tonight(report: Now) -> Table:
    return {
        "tonight": _night(*report.nights) if report.nights else None,
        "zone_count": report.zone_h,
        "watches": [
            {
                "watch_begins_utc": turn.begins.isoformat(),
                "from_ship": clock(turn.ship_h),
                "on_watch": " and ".join(turn.who),
            }
            for turn in report.watches
        ],
    }


def _night(today: AlmanacDay, tomorrow: AlmanacDay) -> Table:
    events = {
        "sunset_utc": today.sunset,
        "sunrise_utc": tomorrow.sunrise,
        "moonrise_utc": today.moonrise,
        "moonset_utc": today.moonset,
    }
    return {
        **{name: moment.isoformat() if moment else None for name, moment in events.items()},
        "moon_lit_percent": 100.0 * today.moon_illuminated,
        "moon_phase": today.moon_phase,
    }


# ---------------------------------------------------------------- in words


def text(table: Table) -> str:
    """The rows as plain text, labels aside, 80 columns."""
    head = f"{table['boat']}, {_moment(table['at_utc'])}"[:80]
    lines = [line for row in table["lines"] for line in aside(row["about"], [row["says"]], LABELS)]
    return "\n".join([head, "=" * len(head), *lines])


def _rows(raw: Table) -> tuple[Row, ...]:
    """What there is to say, the gravest and the nearest first. raw: the rounded table."""
    told = shown(raw)
    ahead = raw["from_here"]
    return (
        *(("LOOK", look) for look in raw["attend"]),
        *_place_rows(raw, told),
        *([("Landfall", raw["barred"])] if raw["barred"] else []),
        *([("Landfall", f"{landfall_words(ahead, raw['at_utc'])}{_plan_words(raw)}")] if ahead else []),
        *(_store_rows(ahead, told["from_here"], raw["sounded_h"]) if ahead else []),
        *_night_rows(raw),
        *_refuge_rows(raw["refuges"], told["refuges"]),
        *learned_rows(raw["learned"]),
        *(_supposed_rows(raw["supposed"], told["supposed"], raw["at_utc"]) if raw["supposed"] else []),
        *([("Forecast", raw["forecast_words"])] if raw["forecast_words"] else []),
        ("Overruled by", _defers(raw)),
    )


def _defers(raw: Table) -> str:
    """What overrules this, and whose bulletins to hear where she is; their hours stand in the issuer's own schedule."""
    bulletins = f" (area {raw['area']}, by {raw['weather_by']})" if raw["area"] else ""
    lead = "" if raw["forecast_words"] else "Past winds, no forecast. "
    return f"{lead}Official forecasts{bulletins}, {DEFERS}"


def _place_rows(raw: Table, told: Table) -> Iterator[Row]:
    how = "" if raw["reckoned_h"] is None else f", reckoned, {told['reckoned_h']} h since a fix"
    yield "Position", raw["position"] + how
    if raw["arrived"]:
        yield "Landfall", f"at {raw['destination']}, {told['since_departure_days']} days out{_plan_words(raw)}"
    else:
        yield "To go", f"{told['to_go_nm']} miles to {raw['destination']}"
    if raw["last_run"]:
        run = told["last_run"]
        last = f"{run['last_nm']} miles in the last {run['elapsed_h']} h ({run['run_kn']} kn)"
        all_of_it = f"{told['made_good_nm']} in {told['since_departure_days']} days ({told['made_good_kn']} kn)"
        yield "Made good", f"{last}; {all_of_it}"
    if raw["beside_plan"]:
        yield "Plan", raw["beside_plan"]


def landfall_words(ahead: Table, at_utc: str) -> str:
    """When she is in, typically and at the slow end; a landfall far off is told by its day alone."""
    typical, slow = (ahead[name] and _soon(ahead[name], at_utc) for name in ("typical_utc", "slow_end_utc"))
    late = f"1 in {ahead['slow_end_in']} later than {slow}" if slow else "no slow end is reached"
    return f"typical {typical}, {late}" if typical else f"half the crossings do not arrive, {late}"


def _soon(text: str, at_utc: str) -> str:
    near = datetime.fromisoformat(text) - datetime.fromisoformat(at_utc) <= BY_THE_HOUR
    return _moment(text) if near else _day(text)


def _plan_words(raw: Table) -> str:
    if not (raw["planned_typical_utc"] and raw["planned_slow_end_utc"]):
        return ""
    return f". Planned: {_day(raw['planned_typical_utc'])}, {_day(raw['planned_slow_end_utc'])}"


def _store_rows(ahead: Table, told: Table, sounded_h: int) -> Iterator[Row]:
    sounded = f"; sounded {sounded_h} h ago" if sounded_h > FRESH_SOUNDING_H else ""
    more = {
        "water": sounded,
        "fuel": f"; {told['motoring_h']} h for calms, landfall reserve apart",
        "gas": " (reckoned, not weighed)",
    }
    for thing, words in zip(ahead["things"], told["things"], strict=True):
        if thing["thing"] != "water" and thing["usable_amount"] <= 0:
            continue
        yield thing["thing"].capitalize(), lasting_words(ahead, thing, words) + more.get(thing["thing"], "")
        if thing["thing"] == "water" and ahead["ration_l_per_day"] is not None:
            yield "Ration", _ration_words(ahead, told)
    if ahead["battery_low_in_100"] is not None:
        low = ahead["battery_low_in_100"]
        yield "Battery", f"below its floor in {low or 'none'} of 100 crossings, by the low case of sun"


def lasting_words(ahead: Table, thing: Table, told: Table) -> str:
    """What there is to draw on, and whether it lasts."""
    lead = f"{told['usable_amount']} {thing['unit']} to draw on, {told['daily_amount']} a day"
    if not thing["short_in_100"]:
        return f"{lead}: lasts in all {ahead['crossings']:,} crossings"
    gone = f"; in 1 in {ahead['slow_end_in']} gone by {_day(thing['gone_utc'])}" if thing["gone_utc"] else ""
    return f"{lead}: runs out in {thing['short_in_100']} in 100 crossings{gone}"


def _ration_words(ahead: Table, told: Table) -> str:
    words = f"{told['ration_l_per_day']} L a person and day from today lasts to the slow end"
    if ahead["ration_too_small"]:
        words += (
            f"; that is under the {told['least_ration_l_per_day']} L set as the least: save now, catch rain, think of "
            "a refuge"
        )
    return words


def _night_rows(raw: Table) -> Iterator[Row]:
    if raw["tonight"]:
        night = raw["tonight"]
        names = ("sunset", "sunrise", "moonrise", "moonset")
        times = [f"{name} {_hour(night[f'{name}_utc'])}" for name in names if night[f"{name}_utc"]]
        moon = f"moon {night['moon_lit_percent']} % lit, {night['moon_phase']}"
        yield "Tonight", f"{', '.join(times)} UTC; {moon}" if times else moon
    if raw["watches"]:
        turns = ", ".join(f"{turn['from_ship']} {turn['on_watch'] or 'nobody'}" for turn in raw["watches"])
        yield "Watch", f"{turns}; ship's time, UTC{raw['zone_count']:+d}"


def _refuge_rows(refuges: list[Table], told: list[Table]) -> Iterator[Row]:
    for number, (raw, words) in enumerate(zip(refuges, told, strict=True)):
        label = "Refuge" if number == 0 else ""
        if raw["barred"]:
            yield label, f"{raw['refuge']}: {raw['barred']}"
            continue
        way = f"{raw['refuge']}, {words['way_nm']} miles, course {words['way_course_deg']}"
        yield label, f"{way}: {_days_there(raw, words)}"


def _days_there(raw: Table, words: Table) -> str:
    if raw["typical_days"] is None:
        return "half the crossings never get there"
    slow = f"slow end {words['slow_end_days']}" if raw["slow_end_days"] is not None else "no slow end is reached"
    return f"{words['typical_days']} days, {slow}"


def learned_rows(learned: list[Table]) -> Iterator[Row]:
    """Belief before and after with its spread, and the days behind it."""
    for number, step in enumerate(learned):
        belief = {when: f"{step[f'{when}_percent']} ± {step[f'{when}_spread_percent']}" for when in ("before", "after")}
        days = f"{step['days_count']} {'day' if step['days_count'] == 1 else 'days'}"
        said = f"{step['of']} {belief['after']} % {_OF[step['of']]} ({belief['before']} before; {days})"
        yield "" if number else "Learned", said


def learned_text(learned: list[Table]) -> str:
    """The same rows as plain text."""
    return "\n".join(line for label, words in learned_rows(learned) for line in aside(label, [words], LABELS))


def _supposed_rows(raw: Table, told: Table, at_utc: str) -> Iterator[Row]:
    yield "What if", f"{raw['if_words']}: landfall {landfall_words(raw, at_utc)}"
    for thing, words in zip(raw["things"], told["things"], strict=True):
        if thing["thing"] == "water" or thing["short_in_100"]:
            yield "", f"{thing['thing']}: {lasting_words(raw, thing, words)}"
    if raw["ration_l_per_day"] is not None:
        yield "", f"ration: {_ration_words(raw, told)}"
    if raw["battery_low_in_100"]:
        yield "", f"battery: a night below its floor in {raw['battery_low_in_100']} in 100 crossings"


def _moment(text: str) -> str:
    moment = datetime.fromisoformat(text)
    return f"{day_words(moment)} {moment:%H%M} UTC"


def _day(text: str) -> str:
    return day_words(datetime.fromisoformat(text))


def _hour(text: str) -> str:
    return f"{datetime.fromisoformat(text):%H%M}"


KEYS = {
    "forecast_counts": "whether a forecast blows in the crossings from here",
    "at_utc": "the moment of the position: of the last entry, or of asking",
    "reckoned_h": "hours since the last fix; none where it is one",
    "arrived": "whether she is in",
    "since_departure_days": "days since departure",
    "made_good_nm": "miles made good along the track since departure",
    "made_good_kn": "the same by the hour",
    "last_run": "from the entry before to the last one",
    "last_nm": "miles of it, straight",
    "elapsed_h": "its hours",
    "run_kn": "its speed made good",
    "planned_typical_utc": "landfall of the typical crossing as planned",
    "planned_slow_end_utc": "landfall at the slow end as planned",
    "beside_plan": "whether the plan's miles for this hour were right, in words",
    "sounded_h": "hours since any water tank was sounded; what is drunk a day since is taken off",
    "attend": "what the latest entries call for attention to",
    "from_here": "the crossings sailed from here; none where she is in or where none can be sailed",
    "typical_utc": "landfall of the typical crossing",
    "slow_end_utc": "landfall at the slow end",
    "daily_amount": "mean use a day",
    "gone_utc": "when it is gone in the crossing that 1 in 20 fares worse than; none where it lasts",
    "ration_l_per_day": "water for each person and day that lasts to the slow end; none where full use lasts",
    "least_ration_l_per_day": "the least that the crew file sets for a person and day",
    "ration_too_small": "whether the ration is under that",
    "battery_low_in_100": "crossings in 100 with a night below the battery's floor, rounded up",
    "refuge": "its name",
    "way_course_deg": "true course at first",
    "barred": "why no crossings could be sailed there; empty where they could",
    "learned": "what the log taught, factor by factor: speed of her polar, litres, watt-hours of those planned",
    "of": "of what",
    "before_percent": "belief before, per cent of what the files say",
    "before_spread_percent": "its standard deviation",
    "after_percent": "belief after",
    "after_spread_percent": "its standard deviation",
    "days_count": "days of the log that were counted",
    "supposed": "one thing supposed, and what would follow",
    "if_words": "what is supposed",
    "tonight": "sun and moon where she is; none outside the almanac",
    "sunset_utc": "sunset; none where there is none",
    "sunrise_utc": "sunrise after it",
    "moonrise_utc": "moonrise of this day",
    "moonset_utc": "moonset of this day",
    "moon_lit_percent": "share of the moon's disc that is lit",
    "zone_count": "ship's time less UTC, hours",
    "watch_begins_utc": "when it begins",
    "lines": "all of it in words, as screen and card say it",
    "about": "what the words are about",
    "says": "the words",
    "grave": "whether it is to be read first",
}
