"""Now: one screen for three in the morning, and the same as a card to print: a label, and plain words beside it."""

from __future__ import annotations

from datetime import timedelta
from functools import partial
from math import isfinite, isnan
from typing import TYPE_CHECKING

from passage.consequences.lists.services import area_at
from passage.errors import Fault, InputFaults
from passage.journal.entries import LOG_FILE
from passage.journal.here import IF_EXAMPLES, Supposed, supposing
from passage.journal.now import Now
from passage.plan.sheets.basis import forecast_counts, forecast_words
from passage.plan.sheets.learned import learned_rows
from passage.tell.blocks import Block, Blocks, Head, Say, Verbatim, strong
from passage.tell.figures import day_words
from passage.tell.records import Record, told
from passage.tell.terminal import blocks_text
from passage.troubles.catalogue import troubles_for
from passage.troubles.refuges import Reach, within_reach
from passage.troubles.resail import held

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import datetime

    from passage.crossings.ensemble import Crossings
    from passage.inputs.folder import Facts
    from passage.journal.now import Forward, Lasts
    from passage.plan.sheets.learned import Row

BY_THE_HOUR = timedelta(days=3)  # a landfall further off is told by its day
MOST_REFUGES = 3
FRESH_SOUNDING_H = 36
DEFERS = "charts, COLREGs, rescue services and the skipper overrule this."
# What is read first at three in the morning, and must be legible on the card from the companionway.
LATER = ("Learned", "Gas", "Forecast")  # not in the short answer
GRAVE = ("LOOK", "Position", "To go", "Landfall", "Water", "Ration", "Watch", "Refuge", "What if")


class Line(Record):
    """One thing that screen and card say."""

    about: str = told("what the words are about")
    says: str = told("the words")
    grave: bool = told("whether it is to be read first")


class NowTold(Record):
    """Where she is, what lies ahead, what lasts, and where else she could go."""

    clock: str = told("the moment in ship's time, UTC beside it")
    now: Now = told("what the log and the crossings from here say")
    refuges: tuple[Reach, ...] = told("refuges sailed to from here, the soonest first")
    forecast_counts: bool = told("whether a forecast blows in the crossings from here")
    forecast_words: str = told("the forecast aboard, in words; empty where there is none")
    lines: tuple[Line, ...] = told("all of it in words, as screen and card say it")


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


def refuges_of(now: Now) -> tuple[Reach, ...]:
    """The refuges of the voyage sailed to from here, the soonest few; none where no crossings can be sailed."""
    return within_reach(now.forward.outcome)[:MOST_REFUGES] if now.forward else ()


def table(now: Now, refuges: tuple[Reach, ...]) -> NowTold:
    """All that screen and card say. refuges: as ``refuges_of`` sails to them."""
    outcome = now.forward.outcome if now.forward else None
    forecast = forecast_words(outcome) if outcome and outcome.ground.forecast else ""
    counts = outcome is not None and forecast_counts(outcome)
    return NowTold(
        _clock(now.at, now.zone_h), now, refuges, counts, forecast, tuple(_lines(_rows(now, refuges, forecast)))
    )


def _lines(rows: Iterable[Row]) -> Iterator[Line]:
    """A row without a label belongs to the one before it; of the refuges the soonest is enough at a glance."""
    about = ""
    for label, words in rows:
        about = label or about
        yield Line(label, words, label in GRAVE or (about in GRAVE and about != "Refuge"))


def now_card(told: NowTold) -> Blocks:
    """All of it for the terminal: what each line is about in the margin."""
    return tuple(_blocks(told, told.lines))


def now_short(told: NowTold) -> Blocks:
    """What is read at three in the morning: what was learned can wait, and one refuge is enough."""
    about, first = "", []
    for line in told.lines:
        if line.about not in LATER and (line.about or about not in (*LATER, "Refuge")):
            first.append(line)
        about = line.about or about
    return tuple(_blocks(told, first))


def _blocks(told: NowTold, lines: Iterable[Line]) -> Iterator[Block]:
    yield Verbatim((f"{told.now.boat}, {told.clock}",))
    for line in lines:
        if line.about:
            yield Head(line.about)
        yield Say(strong(line.says) if line.grave else line.says)


def text(told: NowTold) -> str:
    return blocks_text(now_card(told), tight=True)


def _rows(now: Now, refuges: tuple[Reach, ...], forecast: str) -> Iterator[Row]:
    """What there is to say, the gravest and the nearest first."""
    ahead = now.forward
    yield from (("LOOK", look) for look in now.flags)
    yield from _place_rows(now)
    if now.barred:
        yield "Landfall", now.barred
    if ahead:
        yield "Landfall", f"{landfall_words(ahead, now)}{_plan_words(now)}"
        yield from _store_rows(ahead, now.sounded_h)
    yield from _night_rows(now)
    yield from _refuge_rows(refuges)
    yield from learned_rows(now.learned)
    if now.if_so:
        yield from _supposed_rows(now)
    if forecast:
        yield "Forecast", forecast
    yield "Overruled by", _defers(now, forecast)


def _defers(now: Now, forecast: str) -> str:
    """What overrules this, and whose bulletins to hear where she is; their hours stand in the issuer's own schedule."""
    area = area_at(now.here.lat_deg, now.here.lon_deg)
    bulletins = f" (area {area.area}, by {area.issuer})" if area else ""
    lead = "" if forecast else "Past winds, no forecast. "
    return f"{lead}Official forecasts{bulletins}, {DEFERS}"


def _place_rows(now: Now) -> Iterator[Row]:
    how = "" if isnan(now.reckoned_h) else f", reckoned, {now.reckoned_h} h since a fix"
    yield "Position", now.position + how
    if now.arrived:
        yield "Landfall", f"at {now.destination}, {now.since_departure_days} days out{_plan_words(now)}"
    else:
        yield "To go", f"{now.to_go_nm} miles to {now.destination}"
    if run := now.last_run:
        last = f"{run.distance_nm} miles in the last {run.hours} h ({run.speed_kn} kn)"
        yield "Made good", f"{last}; {now.made_good_nm} in {now.since_departure_days} days ({now.mean_kn} kn)"
    if now.beside_plan:
        yield "Plan", now.beside_plan


def landfall_words(ahead: Forward, now: Now) -> str:
    """When she is in, typically and at the slow end; a landfall far off is told by its day alone."""
    slow = ahead.slow_end
    late = f"1 in {ahead.one_in} later than {_soon(slow, now)}" if slow else "no slow end is reached"
    typical = f"typical {_soon(ahead.typical, now)}" if ahead.typical else "half the crossings do not arrive"
    return f"{typical}, {late}"


def _soon(moment: datetime, now: Now) -> str:
    return _clock(moment, now.zone_h) if moment - now.at <= BY_THE_HOUR else day_words(moment)


def _plan_words(now: Now) -> str:
    if not (now.planned_typical and now.planned_slow_end):
        return ""
    return f". Planned: {day_words(now.planned_typical)}, {day_words(now.planned_slow_end)}"


def _store_rows(ahead: Forward, sounded_h: float) -> Iterator[Row]:
    more = {
        "water": f"; sounded {sounded_h} h ago" if sounded_h > FRESH_SOUNDING_H else "",
        "fuel": f"; {ahead.motor_h} h for calms, landfall reserve apart",
        "gas": " (reckoned, not weighed)",
    }
    for store in ahead.stores:
        if store.name != "water" and store.aboard <= 0:
            continue
        yield store.name.capitalize(), lasting_words(ahead, store) + more.get(store.name, "")
        if store.name == "water" and ahead.ration:
            yield "Ration", _ration_words(ahead)
    if not isnan(ahead.battery_low):
        low = ahead.battery_low_in_100 if ahead.battery_low else "none"
        yield "Battery", f"below its floor in {low} of 100 crossings, by the low case of sun"


def lasting_words(ahead: Forward, store: Lasts) -> str:
    """What there is to draw on, and whether it lasts."""
    lead = f"{store.aboard} {store.unit} to draw on, {store.daily} a day"
    if not store.short:
        return f"{lead}: lasts in all {ahead.members} crossings"
    gone = f"; in 1 in {ahead.one_in} gone by {day_words(store.runs_out)}" if store.runs_out else ""
    return f"{lead}: runs out in {store.short_in_100} in 100 crossings{gone}"


def _ration_words(ahead: Forward) -> str:
    ration = ahead.ration
    assert ration is not None
    words = f"{ration.person_l:u} a person and day from today lasts to the slow end"
    if ration.below_survival:
        words += f"; that is under the {ration.survival_l:u} set as the least: save now, catch rain, think of a refuge"
    return words


def _night_rows(now: Now) -> Iterator[Row]:
    """In one clock: ship's time, and UTC in brackets where it is another."""
    zone_h = int(now.zone_h)
    if night := now.tonight:
        named = {name: getattr(night, name) for name in ("sunset", "sunrise", "moonrise", "moonset")}
        times = [f"{name} {_hour(moment, zone_h)}" for name, moment in named.items() if moment]
        moon = f"moon {night.moon_lit_in_100} % lit, {night.moon_phase}"
        clock = f"ship's time{' (UTC)' if zone_h else ''}"
        yield "Tonight", f"{', '.join(times)}, {clock}; {moon}" if times else moon
    if now.watches:
        turns = (f"{_hour(turn.begins, zone_h)} {' and '.join(turn.who) or 'nobody'}" for turn in now.watches)
        yield "Watch", ", ".join(turns)
    if now.upkeep:
        yield "Upkeep", "; ".join(now.upkeep)


def _refuge_rows(refuges: tuple[Reach, ...]) -> Iterator[Row]:
    for number, reach in enumerate(refuges):
        label = "Refuge" if number == 0 else ""
        if reach.barred:
            yield label, f"{reach.name}: {reach.barred}"
            continue
        yield label, f"{reach.name}, {reach.way_nm} miles, course {reach.way_course_deg}: {_days_there(reach)}"


def _days_there(reach: Reach) -> str:
    if not isfinite(reach.typical_days):
        return "half the crossings never get there"
    slow = f"slow end {reach.slow_end_days}" if isfinite(reach.slow_end_days) else "no slow end is reached"
    return f"{reach.typical_days} days, {slow}"


def _supposed_rows(now: Now) -> Iterator[Row]:
    """The landfall, and whatever store it leaves more or less of."""
    if_so, ahead = now.if_so, now.forward
    assert if_so is not None and ahead is not None
    yield "What if", f"{now.if_words}: landfall {landfall_words(if_so, now)}"
    before = {store.name: store for store in ahead.stores}
    for store in if_so.stores:
        was = before.get(store.name)
        if was is None or (f"{store.left}", f"{store.aboard}") != (f"{was.left}", f"{was.aboard}") or store.short:
            otherwise = f", {was.left} without it" if was else ""
            left = f"{store.left} {store.unit} left at the typical landfall{otherwise}"
            yield "", f"{store.name}: {lasting_words(if_so, store)}; {left}"
    if if_so.ration:
        yield "", f"ration: {_ration_words(if_so)}"
    if if_so.battery_low > 0.0:
        yield "", f"battery: a night below its floor in {if_so.battery_low_in_100} in 100 crossings"


def _hour(moment: datetime, zone_h: int) -> str:
    """``1855 (1755)``: ship's time, and UTC where that is another."""
    ship = f"{moment + timedelta(hours=zone_h):%H%M}"
    return f"{ship} ({moment:%H%M})" if zone_h else ship


def _clock(moment: datetime, zone_h: int) -> str:
    """``Sat 13 Feb 2200 (2100 UTC)``: day and hour by ship's time."""
    hours = int(zone_h)
    ship = moment + timedelta(hours=hours)
    beside = f" ({moment:%H%M} UTC)" if hours else " UTC"
    return f"{day_words(ship)} {ship:%H%M}{beside}"
