"""Watches: the rotas, each one's own first week, the nights, what one left can keep, lost overboard.

Times are ship's time, HHMM. A rota is read from noon to noon, so that no night is cut in two.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

from passage.consequences.watches.alertness import CONCERN_KSS
from passage.consequences.watches.choose import Comparison
from passage.consequences.watches.lookout import CAUTION
from passage.consequences.watches.phases import LandfallNight, Phase
from passage.consequences.watches.posted import (
    WEEK_DAYS,
    Lost,
    OwnWeek,
    Rota,
    Sails,
    WatchDay,
    dated,
    lost,
    own_week,
    posted,
)
from passage.consequences.watches.timetable import weeks
from passage.follows import watches_of
from passage.inputs.watch import WATCH_FILE
from passage.plan.rota import sails_h
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets import sky
from passage.plan.sheets.dated import dated_card, draw_dated
from passage.plan.sleepiness import curve
from passage.tell.blocks import (
    Blocks,
    Drawing,
    Head,
    Points,
    Say,
    Size,
    Title,
    Together,
    grid,
    note,
    on_paper,
    on_screen,
    strong,
)
from passage.tell.figures import in_print, zone_words
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.watches.phases import WatchPlan
    from passage.consequences.watches.posted import WeekDay
    from passage.consequences.watches.timetable import Spell, Week
    from passage.road import Outcome
    from passage.tell.blocks import Block

MOST_NIGHTS = 21
CURVE_HIGH_PT = 64.0
MOST_DATED, DAYS_BEYOND = 90.0, 3  # beyond the slow end, for one crossing in twenty is later
NOBODY = (
    f"{{}} are aboard, and rotas are made for one to four who keep watches. Name them in {WATCH_FILE}: keepers = "
    "[...]. All else in this plan is reckoned for everybody aboard."
)
SCALE = "Sleepiness on watch, Karolinska scale: 1 wide awake, 3 alert, 5 neither, 7 sleepy, 9 fighting sleep."
SHAPE = "How long you really sleep matters more than the shape of the watches: keep another if you like it better."


class DarkShare(Record):
    """Hours of the dark that one stands."""

    who: str = told("by role")
    dark_watch_h: float = told("on watch in the dark, hours")


class Night(Record):
    """A night along the typical crossing, ship's time."""

    ship_date: date = told("its date")
    zone: str = told("ship's time")
    dusk_ship: str = told("civil dusk, from when it is dark, ship's time")
    dawn_ship: str = told("civil dawn, until when it is dark, ship's time")
    moonrise_ship: str = told("moonrise, ship's time")
    moonset_ship: str = told("moonset, ship's time")
    moon_lit_in_100: float = told("lit part of the moon's disc, per cent")
    night_watch_h: float = told("hours of that date that are dark")
    dark: tuple[DarkShare, ...] = told("who stands how much of them")


class Watched(Record):
    """Everything about watches; without watch-keepers named, what holds for any crew."""

    unplanned: str = told("why no rota is made; empty where one is")
    keepers: tuple[str, ...] = told("roles of those who keep watches")
    rotas: tuple[Rota, ...] = told("every rota of the passage")
    dated: tuple[WatchDay, ...] = told("who has the watch on every date, to the slow end")
    own_weeks: tuple[OwnWeek, ...] = told("each one's first week")
    nights: tuple[Night, ...] = told("nights along the typical crossing")
    landfall: LandfallNight | None = told("the last night, all up; null where it isn't dark or nobody is off")
    compared: Comparison | None = told("the own rota beside the best; null without one")
    left: Phase | None = told("what is left with one fewer; of one person, all there is; null without watches")
    overboard: tuple[Lost, ...] = told("worst moment of every rota to be lost overboard")
    cautions: tuple[str, ...] = told("what belongs on every page with a rota")


def table(outcome: Outcome) -> Watched:
    plan, noons = outcome.watches, outcome.noons
    sails = Sails(noons[0].ship_date, len(noons))
    pages = posted(plan, sails) if plan else []
    return Watched(
        unplanned="" if plan else NOBODY.format(len(outcome.facts.crew.people)),
        keepers=tuple(outcome.facts.watch.keepers),
        rotas=tuple(rota for rota, _ in pages),
        dated=_dated(outcome, plan, sails) if plan else (),
        own_weeks=tuple(own_week(week, sails) for week in _weeks(outcome)),
        nights=tuple(_nights(outcome, plan)) if plan else (),
        landfall=plan.landfall if plan else None,
        compared=plan.settled.comparison if plan else None,
        left=(plan.one_unfit or plan.settled) if plan else None,
        overboard=tuple(one for rota, made in pages for one in lost(rota, *made, outcome.fast_kn)),
        cautions=plan.cautions if plan else (CAUTION,),
    )


# ---------------------------------------------------------------- days and nights


def _weeks(outcome: Outcome) -> tuple[Week, ...]:
    kept = outcome.watches.kept(WEEK_DAYS) if outcome.watches else ()
    sails = outcome.crossings.depart + timedelta(hours=outcome.noons[0].zone_h)
    return weeks(kept, sails.hour + sails.minute / 60.0) if kept else ()


def _dated(outcome: Outcome, plan: WatchPlan, sails: Sails) -> tuple[WatchDay, ...]:
    days = math.ceil(min(outcome.times.slow_end_h / 24.0, MOST_DATED)) + 1 + DAYS_BEYOND
    kept = plan.kept(days + 1)
    if not kept:
        return ()
    zones_h = {later.day: later.zone_h - noon.zone_h for noon, later in pairwise(outcome.noons)}
    rows = dated(kept, sails, sails_h(outcome))
    return tuple(replace(row, clock_change_h=float(zones_h.get(day, 0))) for day, row in enumerate(rows))


def _nights(outcome: Outcome, plan: WatchPlan) -> list[Night]:
    """Not more than so many nights, evenly spread, with the dark hours that fall to each."""
    dark_h, rows = plan.dark_h(), outcome.sky
    names = [keeper.name for keeper in plan.settled.keepers] if dark_h.size else []
    step = math.ceil(len(rows) / MOST_NIGHTS) | 1  # odd, or nights that take turns would show one side alone
    return [
        Night(
            ship_date=row.ship_date,
            zone=zone_words(row.zone_h),
            dusk_ship=sky.ship_clock(row, "civil_dusk"),
            dawn_ship=sky.ship_clock(row, "civil_dawn"),
            moonrise_ship=sky.ship_clock(row, "moonrise"),
            moonset_ship=sky.ship_clock(row, "moonset"),
            moon_lit_in_100=row.moon_lit_in_100,
            night_watch_h=float(plan.nights[day].sum()),
            dark=tuple(DarkShare(name, float(hours)) for name, hours in zip(names, dark_h[day], strict=True)),
        )
        for day, row in enumerate(rows)
        if day % step == 0
    ]


# ---------------------------------------------------------------- cards


def tiredness_card(watched: Watched) -> Blocks:
    """On the screen the hours of each rota stand here too; on paper they have cards of their own for the night."""
    if not watched.rotas:
        return (on_screen(Title("Watches"), Say(watched.unplanned)),)
    return (
        Title("What the watches do to each"),
        *(Together(_tiredness(rota)) for rota in watched.rotas),
        note(f"{SHAPE} {SCALE} {' '.join(watched.cautions[1:])}"),
    )


def watch_short(watched: Watched) -> Blocks:
    """The rotas, what they leave of sleep, and the caution that stands under every rota."""
    if not watched.rotas:
        return (Title("Watches"), Say(watched.unplanned))
    return (
        *(block for rota in watched.rotas for block in _rota_short(rota)),
        grid(
            [(rota, person) for rota in watched.rotas for person in rota.people],
            ("", lambda both: f"{both[1].who}, {both[0].kind.words.lower()}", "left"),
            ("sleep, h a day", lambda both: strong(both[1].room_sleep_h)),
            ("longest rest, h", lambda both: both[1].longest_rest_h),
            ("sleepiest, of 9", lambda both: strong(both[1].worst_kss)),
        ),
    )


def _rota_short(rota: Rota) -> Blocks:
    days = (
        f"{day.from_noon + ': ' if day.from_noon else ''}"
        + ", ".join(f"{spell.from_ship} {names(spell.on_watch)}" for spell in day.watches)
        for day in rota.days
    )
    return (Head(f"{rota.kind.words}, {rota.when[:1].lower()}{rota.when[1:].rstrip('.')}"), Points(tuple(days)))


def _tiredness(rota: Rota) -> Blocks:
    lacking = [
        strong(f"{person.who}: no room for the {person.asked_sleep_h:u} of sleep asked.")
        for person in rota.people
        if person.lacks_room
    ]
    rest = "; ".join(f"{person.who}: {'; '.join(person.failures) or 'met'}" for person in rota.people)
    benchmark = f"{strong('Hours of rest, a benchmark that does not bind a private yacht:')} {rest}."
    return (
        Head(rota.kind.words),
        on_screen(*_hours(rota)),
        grid(
            rota.people,
            ("", lambda person: strong(person.who), "left 1fr"),
            ("sleep,\nh a day", lambda person: person.room_sleep_h),
            ("on watch,\nh a day", lambda person: person.watch_h),
            ("in the\ndark, h", lambda person: person.dark_watch_h),
            ("midnight\nto 4, h", lambda person: person.graveyard_watch_h),
            ("sleepiness,\nmean", lambda person: strong(person.mean_kss)),
            ("at the\nworst", lambda person: strong(person.worst_kss)),
            ("h a day\nat 7 up", lambda person: person.sleepy_watch_h),
            ("longest\nrest, h", lambda person: person.longest_rest_h),
            every=1,
        ),
        note(" ".join(filter(None, (*lacking, equal_words(rota), benchmark)))),
    )


def _hours(rota: Rota) -> Blocks:
    """The rota itself in the terminal."""
    return (
        Say(rota.when),
        *(Say("\n".join(filter(None, (day.from_noon, *map(_watch_words, day.watches))))) for day in rota.days),
        Say("\n".join(f"{up.from_ship}-{up.to_ship}  {up.what}: {names(up.who) or 'all'} up" for up in rota.fixed)),
    )


def _watch_words(spell: Spell) -> str:
    standby = f", standby {names(spell.standby)}" if spell.standby else ""
    return f"{spell.from_ship}-{spell.to_ship}  {names(spell.on_watch)}{standby}"


def names(who: Sequence[str]) -> str:
    return " and ".join(who)


def equal_words(rota: Rota) -> str:
    """How many rotas were tried and come out alike; empty for one that was given."""
    if rota.tried_count == 1:
        return ""
    if rota.equal_count == 1:
        return f"Of {rota.tried_count} rotas tried this one leaves you the least sleepy."
    equal = "all of them" if rota.equal_count == rota.tried_count else f"{rota.equal_count} of them"
    return (
        f"{rota.tried_count} rotas were tried. By sleepiness {equal} come out alike, as far as such reckoning goes; "
        f"this one is chosen from those for long rests, nights fairly shared and few hours fighting sleep."
    )


def compared_card(watched: Watched) -> Blocks:
    sides = watched.compared
    if sides is None:
        return ()
    return (
        Title("Our own rota and the best found"),
        Say(sides.verdict, Size.LEAD),
        grid(
            sides.measures,
            (f"each of: {', '.join(watched.keepers)}", lambda row: row.what, "left 1fr"),
            ("", lambda row: row.unit, "left"),
            ("our own", lambda row: strong(" / ".join(map(str, row.own)))),
            ("best found", lambda row: strong(" / ".join(map(str, row.best)))),
        ),
        Head("What speaks against each, hours a day"),
        grid(
            sides.complaints,
            ("", lambda row: row.what, "left 1fr"),
            ("our own", lambda row: row.own_h),
            ("best found", lambda row: row.best_h),
        ),
        note("KSS: Karolinska sleepiness, 1 wide awake to 9 fighting sleep."),
        on_paper(note(" ".join(watched.cautions[1:3])), Say(strong(watched.cautions[0]))),
    )


def weeks_card(watched: Watched) -> Blocks:
    if not watched.own_weeks:
        return ()
    return (
        Title("First week of each"),
        on_screen(Say("Ship's time, from sailing on. A watch stands on the day on which it begins.")),
        on_paper(
            Say(
                f"{strong('Curve: sleepiness, thick where on watch')}, begun after nights ashore. {watched.cautions[1]}"
            )
        ),
        on_screen(*(block for own in watched.own_weeks for block in _week(own))),
        on_paper(
            grid(
                watched.own_weeks,
                ("sleep, hours;\nsleepiest, of 9", lambda own: strong(own.who), "left"),
                *(
                    (f"{day.ship_date:short}", lambda own, at=at: _slept(own.by_day[at]), "right 1fr")
                    for at, day in enumerate(watched.own_weeks[0].by_day)
                ),
                every=1,
            ),
            *(
                Together((note(strong(own.who)), Drawing(f"sleepiness{number}", f"Sleepiness of {own.who} by day.")))
                for number, own in enumerate(watched.own_weeks)
            ),
        ),
    )


def _slept(day: WeekDay) -> str:
    return f"{day.sleep_h}; {strong(day.worst_kss)}"


def _week(own: OwnWeek) -> tuple[Block, ...]:
    return (
        Head(own.who),
        grid(
            own.by_day,
            ("date", lambda row: f"{row.ship_date:short}", "left"),
            ("on watch", lambda row: strong(", ".join(row.on_watch)), "left 1fr"),
            *(
                [("standby", lambda row: ", ".join(row.standby), "left 1fr")]
                if any(day.standby for day in own.by_day)
                else []
            ),
            *([("up besides", lambda row: ", ".join(row.up), "left")] if any(day.up for day in own.by_day) else []),
            ("sleep, h", lambda row: row.sleep_h),
            ("worst", lambda row: row.worst_kss),
            every=1,
        ),
    )


def nights_card(watched: Watched) -> Blocks:
    if not watched.nights:
        return _end(watched)
    who = [share.who for share in watched.nights[0].dark]
    return (
        Title("Nights, landfall, one of us unfit" if who else "Alone: nights, looks and sleep"),
        on_paper(Say(_dark_words(watched.nights))),
        on_screen(_nights_grid(watched.nights)),
        *(_landfall(watched.landfall) if watched.landfall else ()),
        *(_left(watched.left, _left_head(len(who))) if watched.left else ()),
        *_end(watched),
    )


def _dark_words(nights: Sequence[Night]) -> str:
    """How long the nights are and how they are shared; when it is dark, and the moon, stands with sun and moon."""
    whole = [night.night_watch_h for night in nights]
    shares = {one.who: [night.dark[at].dark_watch_h for night in nights] for at, one in enumerate(nights[0].dark)}
    each = "".join(f"; {who} {min(hours)} to {max(hours)}" for who, hours in shares.items())
    return f"Dark hours a night: {min(whole)} to {max(whole)}{each}. When it is dark: Sun and moon."


def _nights_grid(nights: Sequence[Night]) -> Block:
    who = [share.who for share in nights[0].dark]
    return grid(
        nights,
        ("date", lambda night: f"{night.ship_date:short}", "left"),
        ("zone", lambda night: night.zone, "left"),
        ("dark\nfrom", lambda night: night.dusk_ship),
        ("until", lambda night: night.dawn_ship),
        ("moon\nrises", lambda night: night.moonrise_ship),
        ("sets", lambda night: night.moonset_ship),
        ("lit, %", lambda night: night.moon_lit_in_100),
        ("dark, h", lambda night: night.night_watch_h),
        *(
            (f"{name} in\nthe dark, h", lambda night, at=at: strong(night.dark[at].dark_watch_h), "right 1fr")
            for at, name in enumerate(who)
        ),
    )


def _end(watched: Watched) -> Blocks:
    overboard = [
        f"{one.kind.words}: {one.who} lost at {one.spell.from_ship} is {one.spell.astern_nm} miles astern when the "
        f"next is called, {one.spell.until_called_h:u} later."
        for one in watched.overboard
    ]
    return (
        Together((Head("How far astern one is, lost at the worst moment"), Points(tuple(overboard)))),
        on_screen(Head("Caution"), Points(watched.cautions)),
    )


def _landfall(night: LandfallNight) -> Blocks:
    people = "; ".join(f"{one.who} {strong(one.worst_kss)} at {strong(one.worst_ship)}" for one in night.people)
    return (
        Head("Landfall night: all up"),
        Say(strong(landfall_words(night))),
        Say(f"{' '.join(night.notes)} Up from dusk on, sleepiest: {people}."),
    )


def landfall_words(night: LandfallNight) -> str:
    """What the rule for the landfall night comes to for these people."""
    sleepy = [one.who for one in night.people if in_print(one.worst_kss) >= CONCERN_KSS]
    if not sleepy:
        return "Nobody stands at 7 or more: by this, she may go in; in any doubt stand off."
    return f"Stand off until daylight: {' and '.join(sleepy)} would be at 7 or more."


def _left_head(keepers: int) -> str:
    return {0: "Alone", 2: "If one of two is unfit"}.get(keepers, "If one of us is unfit")


def _left(phase: Phase, head: str) -> Blocks:
    return (
        Head(head),
        Say(" ".join(phase.notes)),
        grid(
            phase.days_alone,
            ("look every, min,\nwhile sleeping", lambda cycle: strong(cycle.interval_min)),
            ("looks\na day", lambda cycle: cycle.cycles),
            ("sleep begins at", lambda cycle: names(cycle.begins_ship), "left 1fr"),
            ("sleep,\nh", lambda cycle: cycle.asleep_h),
            ("sleepiness\nawake, mean", lambda cycle: cycle.mean_kss),
            ("at the\nworst", lambda cycle: cycle.worst_kss),
            ("h a day\nat 7 up", lambda cycle: cycle.sleepy_h),
            every=1,
        ),
        grid(
            phase.spells,
            ("day", lambda spell: spell.day),
            ("from, to", lambda spell: f"{spell.from_ship}–{spell.to_ship}", "left"),
            ("on watch", lambda spell: strong(names(spell.on_watch)), "left 1fr"),
            every=1,
        ),
    )


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """Who has the watch by date, and the sleepiness of everybody's first week."""
    watched: Watched = tables["watches"]
    days = [f"{row.ship_date:short}" for own in watched.own_weeks[:1] for row in own.by_day]
    return draw_dated(watched.dated, watched.keepers, room) | {
        f"sleepiness{number}": curve(week, days, room.wide_pt, CURVE_HIGH_PT)
        for number, week in enumerate(_weeks(outcome))
    }


SHEET = Sheet(
    "watches",
    table,
    drawings,
    for_mate=(watches_of,),
    record=Watched,
    cards={
        "by-date": lambda watched: dated_card(watched.dated, watched.keepers, watched.cautions[0]),
        "tiredness": tiredness_card,
        "own-and-best": compared_card,
        "weeks": weeks_card,
        "nights": nights_card,
    },
    short=watch_short,
)
