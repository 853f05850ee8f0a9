"""Watches: the rotas, each one's own first week, the nights, what one left can keep, lost overboard.

Times are ship's time, HHMM. A rota is read from noon to noon, so that no night is cut in two.
"""

from __future__ import annotations

import math
from datetime import timedelta
from typing import TYPE_CHECKING, NamedTuple

from passage.consequences.watches.lookout import CAUTION
from passage.consequences.watches.overboard import worst
from passage.consequences.watches.phases import rest_verdicts
from passage.consequences.watches.rotas import WATCH
from passage.consequences.watches.timetable import own_spells, timetable, weeks
from passage.follows import watches_of
from passage.inputs.watch import WATCH_FILE
from passage.plan.columns import aside, joined
from passage.plan.printed import Table, day_words, rounded, shown, zone_words
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets import sky
from passage.plan.sleepiness import curve

if TYPE_CHECKING:
    from datetime import date

    from passage.consequences.noons import Noon
    from passage.consequences.watches.choose import Choice, Comparison
    from passage.consequences.watches.phases import Phase, WatchPlan
    from passage.consequences.watches.solo import Cycle
    from passage.consequences.watches.timetable import Spell, Week
    from passage.road import Outcome

WEEK_DAYS = 7
LEAST_KSS, MOST_KSS = 1.0, 9.0
MOST_NIGHTS = 21
ROOM_LACKING_H = 0.25
MOST_CYCLES = 4
CURVE_HIGH_PT = 118.0
NOBODY = (
    f"{{}} are aboard, and rotas are made for one to four who keep watches. Name them in {WATCH_FILE}: keepers = "
    "[...]. All else in this plan is reckoned for everybody aboard."
)


def table(outcome: Outcome) -> Table:
    """Everything about watches; without watch-keepers named, what holds for any crew."""
    plan, noons = outcome.watches, outcome.noons
    pages = _pages_of(plan, noons[0].ship_date) if plan else []
    return rounded(
        {
            "unplanned": "" if plan else NOBODY.format(len(outcome.facts.crew.people)),
            "keepers": list(outcome.facts.watch.keepers),
            "rotas": [_rota(page, noons) for page in pages],
            "own_weeks": [_own_week(week, noons) for week in _weeks(outcome)],
            "nights": _nights(outcome, plan) if plan else [],
            "landfall": _landfall(plan),
            "compared": _compared(plan.settled.comparison if plan else None),
            "alone": _alone(plan.settled if plan.one_unfit is None else plan.one_unfit) if plan else None,
            "overboard": [row for page in pages for row in _overboard(page, outcome.fast_kn)],
            "cautions": list(plan.cautions) if plan else [CAUTION],
        }
    )


# ---------------------------------------------------------------- rotas


class _Page(NamedTuple):
    """A rota worth a page: when it is kept, and which it is of the phase's."""

    title: str
    when: str
    phase: Phase
    choice: Choice


def _pages_of(plan: WatchPlan, first_day: date) -> list[_Page]:
    """Two phases with one rota share a page; the crew's own rota stands beside the one chosen."""
    settled, first, rough = plan.settled, plan.first_days, plan.rough
    if settled.choice is None or rough is None or rough.choice is None:
        return []
    early = len(first.capacity) if first else 0
    days = f"Up to {day_words(first_day + timedelta(days=early - 1))}"
    pages = [_Page("Settled days", f"From {day_words(first_day + timedelta(days=early))} on.", settled, settled.choice)]
    if settled.own:
        pages.append(_Page("Our own rota", "As the watch file has it.", settled, settled.own))
    if first is None or first.choice is None:
        return [*pages, _Page("Heavy weather", "Whenever it blows.", rough, rough.choice)]
    if first.choice is rough.choice:
        return [*pages, _Page("First days and heavy weather", f"{days}, and whenever it blows.", rough, rough.choice)]
    return [
        *pages,
        _Page("First days", f"{days}.", first, first.choice),
        _Page("Heavy weather", "Whenever it blows.", rough, rough.choice),
    ]


def _rota(page: _Page, noons: tuple[Noon, ...]) -> Table:
    phase, choice = page.phase, page.choice
    names = tuple(keeper.name for keeper in phase.keepers)
    spells, days = timetable(choice.rota, names, phase.conditions), choice.rota.days
    return {
        "rota": page.title,
        "when": page.when,
        "days": [
            {
                "from_noon": _from_noon(noons[0], day, days),
                "watches": [_watch(spell) for spell in _noon_to_noon(spells, day, days)],
            }
            for day in range(days)
        ],
        "fixed": [
            {
                "what": hour.what,
                "from_ship": clock(hour.at_h),
                "to_ship": clock(hour.at_h + hour.hours),
                "who": " and ".join(names[person] for person in hour.who) or "all",
            }
            for hour in phase.conditions.fixed
        ],
        "people": [_person(phase, choice, person) for person in range(len(names))],
        "tried_count": choice.tried,
        "equal_count": choice.equal,
        "equal_words": _equal_words(choice),
    }


def _from_noon(first: Noon, day: int, days: int) -> str:
    if days == 1:
        return ""
    date = day_words(first.ship_date + timedelta(days=day))
    return f"From noon {date}, every {('', '2nd', '3rd', '4th')[days - 1]} day"


def _noon_to_noon(spells: tuple[Spell, ...], day: int, days: int) -> list[Spell]:
    """The watches that begin between noon of this day and the next, in that order."""
    of_day = [spell for spell in spells if (spell.day - 1 - (spell.from_h < 12.0)) % days == day]
    return sorted(of_day, key=lambda spell: (spell.from_h - 12.0) % 24.0)


def _watch(spell: Spell) -> Table:
    return {
        "from_ship": clock(spell.from_h),
        "to_ship": clock(spell.to_h),
        "on_watch": " and ".join(spell.on_watch),
        "standby": " and ".join(spell.standby),
    }


def clock(hour: float) -> str:
    """HHMM; the end of the day is 2400."""
    minutes = round(60.0 * hour)
    minutes = minutes if minutes <= 24 * 60 else minutes % (24 * 60)
    return f"{minutes // 60:02d}{minutes % 60:02d}"


def on_scale(kss: float) -> float:
    """Sleepiness as printed: the model runs on beyond the nine steps, the scale does not."""
    return min(max(float(kss), LEAST_KSS), MOST_KSS)


def _person(phase: Phase, choice: Choice, person: int) -> Table:
    scores, verdict = choice.scores, rest_verdicts(choice, phase.conditions)[person]
    return {
        "who": phase.keepers[person].name,
        "asked_sleep_h": phase.keepers[person].sleep_h,
        "room_sleep_h": scores.asleep_h[0, person],
        "watch_h": scores.watch_h[0, person],
        "dark_watch_h": scores.dark_h[0, person],
        "graveyard_watch_h": scores.graveyard_h[0, person],
        "mean_kss": on_scale(scores.mean_kss[0, person]),
        "worst_kss": on_scale(scores.worst_kss[0, person]),
        "sleepy_watch_h": scores.sleepy_h[0, person],
        "longest_rest_h": scores.unbroken_h[0, person],
        "least_day_rest_h": verdict.least_in_day_h,
        "no_room": _no_room(phase.keepers[person].sleep_h, float(scores.asleep_h[0, person])),
        "benchmark": "; ".join(verdict.failures) or "met",
    }


def _no_room(asked_h: float, room_h: float) -> str:
    return f"no room for the {asked_h:.1f} h of sleep asked" if asked_h - room_h > ROOM_LACKING_H else ""


def _equal_words(choice: Choice) -> str:
    if choice.tried == 1:
        return ""
    shape = "How long you really sleep matters more than the shape of the watches: keep another if you like it better."
    if choice.equal == 1:
        return f"Of {choice.tried:,} rotas tried this one leaves you the least sleepy. {shape}"
    equal = "all of them" if choice.equal == choice.tried else f"{choice.equal:,} of them"
    return (
        f"{choice.tried:,} rotas were tried. By sleepiness {equal} come out alike, as far as such reckoning can tell; "
        f"this one is chosen from those for long rests, nights fairly shared and few hours fighting sleep. {shape}"
    )


# ---------------------------------------------------------------- days and nights


def _weeks(outcome: Outcome) -> tuple[Week, ...]:
    kept = outcome.watches.kept(WEEK_DAYS) if outcome.watches else ()
    sails = outcome.crossings.depart + timedelta(hours=outcome.noons[0].zone_h)
    return weeks(kept, sails.hour + sails.minute / 60.0) if kept else ()


def _own_week(week: Week, noons: tuple[Noon, ...]) -> Table:
    spells = own_spells(week)
    by_day = week.kss[:-1].reshape(WEEK_DAYS, -1)
    asleep_h = week.asleep_h.reshape(WEEK_DAYS, -1).sum(axis=1)
    on_watch = (week.duty == WATCH).reshape(WEEK_DAYS, -1)
    first = noons[0].ship_date

    def hours(day: int, duty: str) -> str:
        found = [spell for spell in spells if spell.day == day + 1 and spell.duty == duty]
        return ", ".join(f"{clock(spell.from_h)}–{clock(spell.to_h)}" for spell in found)

    return {
        "who": week.name,
        "by_day": [
            {
                "day": day + 1,
                "date_words": day_words(first + timedelta(days=day)),
                "watch_ship": hours(day, "watch"),
                "standby_ship": hours(day, "standby"),
                "up_ship": hours(day, "up"),
                "sleep_h": asleep_h[day],
                "worst_kss": on_scale(by_day[day][on_watch[day]].max()) if on_watch[day].any() else None,
            }
            for day in range(WEEK_DAYS)
        ],
    }


def _nights(outcome: Outcome, plan: WatchPlan) -> list[Table]:
    """Not more than so many nights, evenly spread, with the dark hours that fall to each."""
    dark_h, rows = plan.dark_h(), outcome.sky
    names = [keeper.name for keeper in plan.settled.keepers] if dark_h.size else []
    step = math.ceil(len(rows) / MOST_NIGHTS) | 1  # odd, or nights that take turns would show one side alone
    return [
        {
            "date_words": f"{row.ship_date:short}",
            "zone": zone_words(row.zone_h),
            "dusk_ship": sky.ship_clock(row, "civil_dusk"),
            "dawn_ship": sky.ship_clock(row, "civil_dawn"),
            "moonrise_ship": sky.ship_clock(row, "moonrise"),
            "moonset_ship": sky.ship_clock(row, "moonset"),
            "moon_lit_in_100": row.moon_lit_in_100,
            "night_watch_h": float(plan.nights[day].sum()),
            "dark": [{"who": name, "dark_watch_h": hours} for name, hours in zip(names, dark_h[day], strict=True)],
        }
        for day, row in enumerate(rows)
        if day % step == 0
    ]


def _landfall(plan: WatchPlan | None) -> Table | None:
    night = plan.landfall if plan else None
    if plan is None or night is None:
        return None
    worst_of = zip(plan.settled.keepers, night.worst_kss, night.worst_h, strict=True)
    return {
        "notes": list(night.notes),
        "people": [{"who": k.name, "worst_kss": on_scale(kss), "worst_ship": clock(hour)} for k, kss, hour in worst_of],
    }


def _compared(sides: Comparison | None) -> Table | None:
    if sides is None:
        return None
    return {
        "verdict": sides.verdict,
        "measures": [
            {"what": what, "unit": unit, "own_value": list(own), "best_value": list(best)}
            for what, unit, own, best in sides.rows
        ],
        "complaints": [
            {"what": what, "own_complaint_h": own, "best_complaint_h": best} for what, own, best in sides.complaints_h
        ],
    }


# ---------------------------------------------------------------- one left, lost overboard


def _alone(phase: Phase) -> Table:
    """What one or more left can keep up: cycles of looks and sleep, or the rota of the others."""
    names = tuple(keeper.name for keeper in phase.keepers)
    spells = timetable(phase.choice.rota, names, phase.conditions) if phase.choice else ()
    return {
        "notes": list(phase.notes),
        "others": [{"turn_count": spell.day, **_watch(spell)} for spell in spells],
        "cycles": [
            {
                "interval_min": cycle.interval_min,
                "looks_count": cycle.cycles,
                "begins_ship": " and ".join(clock(hour) for hour in cycle.begins_h),
                "sleep_h": cycle.asleep_h,
                "mean_kss": on_scale(cycle.mean_kss),
                "worst_kss": on_scale(cycle.worst_kss),
                "sleepy_watch_h": cycle.sleepy_h,
            }
            for cycle in _each_shape(phase.cycles)
        ],
    }


def _each_shape(cycles: tuple[Cycle, ...]) -> list[Cycle]:
    """Of each interval and number of sittings the best, not too many."""
    shapes: dict[tuple[int, int], Cycle] = {}
    for cycle in cycles:
        shapes.setdefault((cycle.interval_min, len(cycle.begins_h)), cycle)
    return list(shapes.values())[:MOST_CYCLES]


def _overboard(page: _Page, fast_kn: float) -> list[Table]:
    found = worst(page.choice.rota, page.phase.conditions, fast_kn)
    if found is None:
        return []
    return [
        {
            "rota": page.title,
            "who": page.phase.keepers[found.person].name,
            "from_ship": clock(found.begins_h % 24.0),
            "unnoticed_watch_h": found.until_called_h,
            "astern_off_nm": found.astern_nm,
        }
    ]


# ---------------------------------------------------------------- the terminal, the drawings


def text(table: Table) -> str:
    """Rotas, what they do to each, the look-out table, lost overboard, the cautions."""
    w = shown(table)
    blocks = [aside("Watches", [w["unplanned"]])] if w["unplanned"] else []
    blocks += [_rota_lines(rota) for rota in w["rotas"]]
    blocks += [_compared_lines(w["compared"])] if isinstance(w["compared"], dict) else []
    blocks += [_alone_lines(w["alone"], "One left" if w["rotas"] else "Alone")] if isinstance(w["alone"], dict) else []
    overboard = [
        f"{row['rota']}: {row['who']} lost at {row['from_ship']} is {row['astern_off_nm']} miles astern when the next "
        f"is called, {row['unnoticed_watch_h']} h later."
        for row in w["overboard"]
    ]
    return joined(
        [
            *blocks,
            aside("Lost overboard", overboard),
            aside("Caution", w["cautions"]),
        ]
    )


def _rota_lines(rota: Table) -> list[str]:
    lines = [f"{rota['rota']}: {rota['when'][0].lower()}{rota['when'][1:]}"]
    for day in rota["days"]:
        lines += aside("", [day["from_noon"]]) if day["from_noon"] else []
        for watch in day["watches"]:
            standby = f", standby {watch['standby']}" if watch["standby"] else ""
            lines += aside("", [f"{watch['from_ship']}-{watch['to_ship']}  {watch['on_watch']}{standby}"])
    for hour in rota["fixed"]:
        lines += aside("", [f"{hour['from_ship']}-{hour['to_ship']}  {hour['what']}: {hour['who']} up"])
    for person in rota["people"]:
        lines += aside("", [_person_words(person)])
    return lines + (aside("", [rota["equal_words"]]) if rota["equal_words"] else [])


def _person_words(person: Table) -> str:
    lacking = f" ({person['no_room']})" if person["no_room"] else ""
    return (
        f"{person['who']}: {person['room_sleep_h']} h sleep a day{lacking}, sleepiness {person['mean_kss']}, at the "
        f"worst {person['worst_kss']} of 9; {person['sleepy_watch_h']} h a day on watch at 7 or more; longest rest "
        f"{person['longest_rest_h']} h."
    )


def _compared_lines(sides: Table) -> list[str]:
    rows = [
        f"{row['what']}, {row['unit']}: own {' / '.join(row['own_value'])}, best {' / '.join(row['best_value'])}"
        for row in sides["measures"]
    ]
    return aside("Own and best", [sides["verdict"], *rows])


def _alone_lines(alone: Table, title: str) -> list[str]:
    cycles = [
        f"A look every {row['interval_min']} min while sleeping, {row['looks_count']} a day from "
        f"{row['begins_ship']}: {row['sleep_h']} h sleep, sleepiness {row['mean_kss']}, worst {row['worst_kss']}."
        for row in alone["cycles"]
    ]
    others = [f"{row['from_ship']}-{row['to_ship']}  {row['on_watch']}" for row in alone["others"]]
    return aside(title, [*alone["notes"], *cycles, *others])


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """The sleepiness of everybody's first week."""
    days = [row["date_words"] for own in tables["watches"]["own_weeks"][:1] for row in own["by_day"]]
    return {
        f"sleepiness{number}": curve(week, days, room.wide_pt, CURVE_HIGH_PT)
        for number, week in enumerate(_weeks(outcome))
    }


KEYS = {
    "unplanned": "why no rota is made; empty where one is",
    "keepers": "roles of those who keep watches",
    "rotas": "every rota of the passage",
    "rota": "which rota",
    "when": "when it is kept",
    "days": "the days after which it repeats, each from noon to noon, ship's time",
    "from_noon": "which days those are; empty where all are alike",
    "watches": "watches in order, from noon",
    "from_ship": "begins, ship's time, HHMM",
    "to_ship": "ends, ship's time, HHMM",
    "on_watch": "who keeps it, the first named leads",
    "standby": "who is on standby",
    "fixed": "hours at which people are up beside the watch",
    "people": "each person",
    "who": "by role",
    "asked_sleep_h": "sleep a day as the watch file has it",
    "room_sleep_h": "sleep a day that the rota leaves room for, at most that",
    "watch_h": "on watch, hours a day",
    "dark_watch_h": "on watch in the dark, hours a day",
    "graveyard_watch_h": "on watch between midnight and four, hours a day",
    "mean_kss": "mean sleepiness on watch, Karolinska scale, 1 wide awake to 9 fighting sleep",
    "worst_kss": "the worst of it",
    "sleepy_watch_h": "on watch (alone: awake) at 7 or more, hours a day",
    "longest_rest_h": "longest time neither on watch nor up",
    "least_day_rest_h": "rest in the worst 24 hours",
    "no_room": "that this is less than asked, in words; empty where it is not",
    "benchmark": "hours of rest after STCW A-VIII/1: met, or what is not; not binding on a private yacht",
    "tried_count": "rotas scored",
    "equal_count": "of them as good in sleepiness within the model's error",
    "equal_words": "the same in a sentence",
    "own_weeks": "each one's first week, from the day of departure",
    "watch_ship": "on watch, ship's time; named on the day on which a watch begins",
    "standby_ship": "on standby, ship's time",
    "up_ship": "up beside the watch, ship's time",
    "sleep_h": "sleep, hours a day",
    "nights": "nights along the typical crossing",
    "dusk_ship": "civil dusk, from when it is dark, ship's time",
    "dawn_ship": "civil dawn, until when it is dark, ship's time",
    "moonrise_ship": "moonrise, ship's time",
    "moonset_ship": "moonset, ship's time",
    "night_watch_h": "hours of that date that are dark",
    "dark": "who stands how much of them",
    "landfall": "the last night, all up; null where it isn't dark or nobody is off",
    "notes": "what goes with it",
    "worst_ship": "when that is, ship's time",
    "compared": "the own rota beside the best; null without one",
    "verdict": "which is the sleepier, if any",
    "measures": "measures of both",
    "own_value": "of the own rota, each person",
    "best_value": "of the best, each person",
    "complaints": "what speaks against each",
    "own_complaint_h": "against the own rota, hours a day",
    "best_complaint_h": "against the best, hours a day",
    "alone": "what is left with one fewer; of one person, all there is; null without watches",
    "others": "the rota of those left",
    "turn_count": "day of that rota, from 1",
    "cycles": "days alone, best first",
    "interval_min": "minutes from look to look while sleeping",
    "looks_count": "looks between sleeps in a day",
    "begins_ship": "when the sittings begin, ship's time",
    "overboard": "worst moment of every rota to be lost overboard",
    "unnoticed_watch_h": "hours until the next is called",
    "astern_off_nm": "miles astern by then, at fast_kn",
    "cautions": "what belongs on every page with a rota",
}

SHEET = Sheet("watches", table, drawings, keys=KEYS, for_mate=(watches_of,))
