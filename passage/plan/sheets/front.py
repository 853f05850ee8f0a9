"""Page one: what a tired reader wants in ten seconds."""

from __future__ import annotations

from datetime import datetime
from enum import IntEnum, StrEnum
from math import isfinite
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.consequences.power.power import BatteryAnswer, Holds
from passage.consequences.readiness.ready import Verdict as Ready
from passage.consequences.stores.landfall import StoresAnswer
from passage.consequences.stores.loading import LoadingRule, Verdict
from passage.consequences.stores.water import OtherUse, TankLost, WaterAnswer, air_words
from passage.consequences.times import AHEAD_DEG, Times, wind_ahead_share
from passage.crossings.seasons import Met, basins_along, seasons_met
from passage.crossings.storms import Storms, storms_along, storms_met
from passage.inputs.voyage import control_sentence
from passage.plan.sheet import Sheet
from passage.plan.sheets.basis import current_words, forecast_counts
from passage.plan.sheets.legs import LandOnLeg, land_in_few, land_on_legs, land_words
from passage.plan.sheets.power import battery_words
from passage.plan.sheets.power import verdict_words as battery_verdict
from passage.plan.sheets.ready import class_words
from passage.plan.sheets.shortages import first_out_words, not_counted_words, remedy_words
from passage.plan.sheets.storms import storm_words
from passage.plan.sheets.times import NOT_REACHED, times_blocks
from passage.plan.sheets.timings import Timings
from passage.plan.sheets.water import lost_words, short_words
from passage.tell.blocks import Blocks, Head, Say, Title, Verbatim, strong
from passage.tell.figures import day_words, in_print
from passage.tell.records import Record, reckoned, told, up
from passage.tell.terminal import MARGIN
from passage.troubles.breakage import AsBoatsBreak, breakage_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.road import Outcome

READY_GRADES = {
    Ready.READY: 2,
    Ready.PROVE_FIRST: 1,
    Ready.NOTHING_LISTED: 1,
    Ready.NOT_READY: 0,
}
EMPTY = (Holds.SOMETIMES_EMPTY, Holds.MOSTLY_EMPTY)
LACKING = "Too little by the loading rules"
NEARLY = "Enough by the loading rules, and out all the same in a crossing or more"
BREAKING = "Load, battery and watches are with nothing broken. How often it breaks is other boats' count, or a guess."
NOTHING_BREAKS = "Nothing breaks in these crossings, and nobody falls ill. Most late boats are late for such reasons."
NOTHING_AGAINST = "Nothing in this plan speaks against going. Forecast, boat and crew decide on the day."
NO_NAME = "Her name is not told: write it into boat.toml; until then by hand into the distress calls."
OVERRULED = "Official forecasts and charts, the collision regulations, the rescue services, the skipper."


class Doubt(Record):
    """What is not known and was tried otherwise."""

    otherwise: str = told("what was otherwise than we think")
    short_in_100: float = up("crossings of a hundred in which water then runs out")


class Question(StrEnum):
    """What page one answers beside how long."""

    WATER = "water"
    OTHERS = "other stores"
    TANK_LOST = "one tank lost"
    BATTERY = "battery"
    READY = "ready"
    TRACK = "track"
    CYCLONES = "cyclones"


class Front(Record):
    """How long, does all last, what to load, is she ready, and what is left out."""

    voyage: str = told("name of the voyage")
    start: str = told("where it begins")
    end: str = told("where it ends")
    depart_utc: datetime = told("departure")
    boat: str = told("her name")
    crew: tuple[str, ...] = told("who sails, by role")
    distance_nm: float = told("length of the track, nautical miles")
    control: str = told("how the track compares with the distance the skipper expects; empty where none is given")
    over_land: tuple[LandOnLeg, ...] = told("legs that run over land, off the two harbours too")
    time: Times = told("how long, nothing broken")
    as_boats_break: AsBoatsBreak | None = told("the same as boats break; null where it is told that nothing does")
    water: WaterAnswer = told("whether the water lasts, and what to load")
    warmer: OtherUse | None = told("the water with air warmer than its average; null where heat is not counted")
    worst_doubt: Doubt | None = told("the doubt tried in which water runs out most often; null where it does in none")
    tanks_lost: tuple[TankLost, ...] = told("each tank lost at departure")
    stores: StoresAnswer = told("whether everything lasts")
    ready: Ready = told("whether boat and papers are ready")
    not_ready: tuple[str, ...] = told("gear and papers that decide whether she is ready")
    ready_words: str = told("how the worst of each class of failure stands")
    cyclone_seasons: tuple[Met, ...] = told("official cyclone seasons she is at sea in")
    storms: Storms = told("named storms that come near, counted on record or guessed")
    left_out: tuple[str, ...] = told("what these crossings leave out")
    battery: BatteryAnswer | None = told("whether the battery holds; null without electrics")

    @reckoned("the questions of page one, the worst answered first")
    def order(self) -> tuple[Question, ...]:
        return tuple(sorted(grades(self), key=lambda question: grades(self)[question]))

    @reckoned("what speaks against sailing as things stand, the worst first; empty where nothing in this plan does")
    def stops(self) -> tuple[str, ...]:
        return tuple(_against(self, question) for question in self.order if grades(self)[question] is Grade.STOPS)

    def printed(self) -> dict[str, Any]:
        """With the sentences that page one sets by hand."""
        return super().printed() | {"said": said(self)._asdict()}


def table(outcome: Outcome) -> Front:
    facts, stores, breakage = outcome.facts, outcome.stores, outcome.once(breakage_of)
    length_nm = outcome.ground.track.length_nm
    seasons, storms = cyclones(outcome)
    return Front(
        voyage=facts.voyage.departure.name,
        start=facts.voyage.waypoints[0].name,
        end=facts.voyage.waypoints[-1].name,
        depart_utc=outcome.crossings.depart,
        boat=facts.boat.hull.name,
        crew=tuple(person.role for person in facts.crew.people),
        distance_nm=length_nm,
        control=control_sentence(facts.voyage.departure.expected_distance_nm, length_nm),
        over_land=land_on_legs(facts.voyage),
        time=outcome.times,
        as_boats_break=breakage.answer if breakage else None,
        water=stores.water.answer,
        warmer=next((use for use in outcome.stores.water.otherwise if use.way == air_words("warmer")), None),
        worst_doubt=_worst_doubt(outcome),
        tanks_lost=stores.water.tanks_lost,
        stores=stores.answer,
        ready=outcome.readiness.verdict,
        not_ready=outcome.readiness.because,
        ready_words=class_words(outcome.readiness),
        cyclone_seasons=seasons,
        storms=storms,
        left_out=left_out(outcome),
        battery=outcome.power.answer if outcome.power else None,
    )


def _worst_doubt(outcome: Outcome) -> Doubt | None:
    """Of those of the bracket and of the heat."""
    tried = [
        Doubt(line.change.words, row.short_in_100)
        for line in outcome.bracket.lines
        for row in line.short
        if row.store == "water"
    ]
    tried += [Doubt(other.way, other.short_in_100) for other in outcome.stores.water.otherwise if other.short_in_100]
    return max(tried, key=lambda doubt: doubt.short_in_100, default=None)


def cyclones(outcome: Outcome) -> tuple[tuple[Met, ...], Storms]:
    """The official seasons she is at sea in, and the storms that come near."""
    along = storms_along(outcome.ground.track, basins_along(outcome.ground.track))
    return seasons_met(outcome.crossings, along.basins), storms_met(outcome.crossings, along)


def left_out(outcome: Outcome) -> tuple[str, ...]:
    """What these crossings leave out, in sentences."""
    guessed = outcome.facts.boat.hull.not_measured
    breaking = outcome.once(breakage_of) is not None
    return (
        *([f"Told from her length alone, to be measured: {_listed(guessed)}."] if guessed else []),
        *(() if outcome.facts.boat.hull.named else (NO_NAME,)),
        *_to_windward(wind_ahead_share(outcome.crossings), breaking),
        BREAKING if breaking else NOTHING_BREAKS,
        "No cyclone and no other storm of the tropics is in them.",
        current_words(outcome),
        f"{_winds(outcome)} Wind of force 8, "
        f"34 knots, was seen in {outcome.times.gale_seen} of them, which says nothing sure about gales.",
    )


def _to_windward(ahead_share: float, breaking: bool) -> tuple[str, ...]:
    """What real boats took upwind (guide: "To windward"), where it is oftener ahead than a wind from everywhere."""
    if not ahead_share > AHEAD_DEG / 180.0:
        return ()
    trust = "Trust the slow end as boats break." if breaking else "Nothing breaks here: trust no slow end."
    hours = f"Wind ahead in {100.0 * ahead_share:.0f} of 100 hours"
    return (f"{hours}: upwind real boats took about a tenth longer, which may be luck. {trust}",)


def _winds(outcome: Outcome) -> str:
    if forecast_counts(outcome):
        return "A forecast counts in their first days; How long tells its age and weight. Beyond it are averages only."
    aboard = "The forecast aboard does NOT serve this departure. " if outcome.ground.forecast else ""
    return f"{aboard}Their winds are made from monthly averages: this is no forecast."


class Grade(IntEnum):
    """How bad an answer is."""

    STOPS = 0
    DOUBTFUL = 1
    GOOD = 2


def grades(page: Front) -> dict[Question, Grade]:
    """Of every question that the voyage's files let be answered."""
    lasts = {Verdict.YES: Grade.GOOD, Verdict.NEARLY_ALWAYS: Grade.GOOD, Verdict.LITTLE_IN_HAND: Grade.DOUBTFUL}
    lost = all(tank.reaches_slow_end for tank in page.tanks_lost)
    found = {Question.TRACK: Grade.STOPS} if page.over_land else {}
    found |= {
        Question.READY: Grade(READY_GRADES[page.ready]),
        Question.WATER: lasts.get(page.water.verdict, Grade.STOPS),
        Question.OTHERS: lasts.get(page.stores.others_verdict, Grade.STOPS),
    }
    if page.battery:
        holds = page.battery.verdict
        found[Question.BATTERY] = (
            Grade.GOOD if holds in (Holds.YES, Holds.WITH_ENGINE) else Grade.STOPS if holds in EMPTY else Grade.DOUBTFUL
        )
    found |= {Question.TANK_LOST: Grade.GOOD if lost else Grade.DOUBTFUL} if page.tanks_lost else {}
    stormy = Grade.STOPS if page.storms.stormy else Grade.DOUBTFUL if page.cyclone_seasons else Grade.GOOD
    return found | {Question.CYCLONES: stormy}


def _against(page: Front, question: Question) -> str:
    """Why not to go, in a few words."""
    emptied = page.battery.emptied_in_100 if page.battery else 0.0
    return {
        Question.TRACK: land_in_few(page.over_land),
        Question.READY: _few(page.not_ready) or "boat or papers are not ready",
        Question.CYCLONES: f"{page.storms.near_in_100} of 100 crossings come near a named storm",
        Question.WATER: f"the water runs out in {short_words(page.water)}",
        Question.OTHERS: f"too little of {_listed(page.stores.lacking) if page.stores.lacking else 'some store'}",
        Question.BATTERY: f"the battery runs empty in {emptied} of 100 crossings",
    }[question]


def _few(names: Sequence[str], most: int = 4) -> str:
    """So many names, and how many more there are."""
    more = len(names) - most
    return _listed([*names[:most], f"{more} more"] if more > 1 else names) if names else ""


# ---------------------------------------------------------------- in words


def _broken_water(broken: AsBoatsBreak | None) -> str:
    if not broken or not broken.water:
        return ""
    return f"As boats break, in {broken.water.short.count} of {broken.water.short.members:,.0f}."


class Said(NamedTuple):
    """The sentences of page one, on paper and in the terminal; empty where there is nothing to say."""

    verdict: str
    crew: str
    unreached: tuple[str, ...]
    overdue: str
    old_rule: str
    broken_water: str
    broken_stores: str
    not_reached: str
    never: str
    water: str
    short: str
    warmer: str
    doubt: str
    no_load: str
    spare: str
    too_little: str
    others: str
    first_out: str
    lacking: str
    lasting: str
    remedy: str
    not_counted: str
    battery: str
    battery_words: str
    cyclones: str
    track: str


def said(page: Front) -> Said:
    water, stores, time = page.water, page.stores, page.time
    broken = page.as_boats_break
    ends = {"typical": time.typical_days, "slow end": time.slow_end_days, "quick": time.quick_days}
    ends |= {"broken": broken.times.slow_end_days} if broken else {}
    doubt = page.worst_doubt
    first = stores.first_out
    lacking = ((LACKING, stores.lacking), (NEARLY, stores.nearly))
    once = ", once the shopping list is bought" if stores.to_buy and stores.others_verdict is Verdict.YES else ""
    return Said(
        verdict=f"Do not go yet: {'; '.join(page.stops)}." if page.stops else NOTHING_AGAINST,
        crew=crew_words(page.crew),
        unreached=tuple(name for name, days in ends.items() if not isfinite(days)),
        overdue=overdue_words(broken) if broken else "",
        old_rule=old_rule_words(broken, water.governs == LoadingRule.TYPICAL_AND_HALF) if broken else "",
        broken_water=_broken_water(broken),
        broken_stores=f"As boats break, anything runs out in {_beside(broken)}." if broken else "",
        not_reached=NOT_REACHED,
        never=never_words(time),
        water=f"{water.verdict.words}.",
        short=f"It ran out in {short_words(water)}.",
        warmer=_warmer_words(page),
        doubt=f"{doubt.short_in_100} in 100 {doubt.otherwise}" if doubt else "none in any of the doubts tried",
        no_load="" if water.reached else NOT_REACHED,
        spare=f"{water.to_spare_l} more than that" if water.reached and water.lacking_l <= 0 else "",
        too_little=f"{water.lacking_l} too little" if water.reached and water.lacking_l > 0 else "",
        others=f"{stores.others_verdict.words}{once}.",
        first_out="" if first and first.name == "water" else first_out_words(stores),
        lacking=" ".join(f"{words}: {_listed(names)}." for words, names in lacking if names),
        lasting=f"These last: {_listed(stores.lasting)}." if stores.lasting else "",
        remedy=remedy_words(stores.remedy),
        not_counted=not_counted_words(stores),
        battery=battery_verdict(page.battery) if page.battery else "",
        battery_words=battery_words(page.battery) if page.battery else "",
        cyclones=cyclone_words(page.cyclone_seasons, page.storms),
        track=land_words(page.over_land),
    )


def crew_words(roles: Sequence[str]) -> str:
    return f"{_listed(roles)} ({len(roles)} aboard)"


def never_words(times: Times) -> str:
    """How many never arrived; empty where all did."""
    never = f"{times.never_crossings} of {times.crossings} crossings never arrived in these numbers."
    return never if times.never_crossings else ""


def _warmer_words(page: Front) -> str:
    """What warmer air asks to load; empty where that is no more."""
    warmer = page.warmer
    if warmer is None or not page.water.reached or not float(warmer.load_l) > float(page.water.load_l):
        return ""
    beyond = in_print(warmer.load_l) - in_print(page.water.tanks_give_l)
    cans = f", {beyond:.0f} of them in cans beyond the tanks" if beyond > 0 else ""
    return f"{warmer.way[:1].upper()}{warmer.way[1:]}: load {warmer.load_l:u}{cans}"


def overdue_words(broken: AsBoatsBreak) -> str:
    """How often those ashore begin to ask while she is at sea; empty where no day is set."""
    there, before = broken.at_sea_then, broken.at_sea_then_before
    if broken.worry_utc is None or there is None or before is None:
        return ""
    return (
        f"{there.count} of {there.members} still at sea when those ashore begin to ask, "
        f"{day_words(broken.worry_utc)}; nothing broken, "
        f"{before.count}"
    )


def broken_words(broken: AsBoatsBreak | None) -> str:
    """The second slow end, where page one's columns are not shown; empty where nothing is to break."""
    if broken is None:
        return ""
    times, overdue = broken.times, overdue_words(broken)
    end = f"{times.slow_end_days:u}" if isfinite(times.slow_end_days) else "not reached"
    return f"As boats break the slow end is {end}{f', {overdue}' if overdue else ''}. {old_rule_words(broken, False)}"


def old_rule_words(broken: AsBoatsBreak, governs: bool) -> str:
    """How often the typical passage and half as much again is not enough."""
    late, before = broken.beyond_old_rule, broken.beyond_old_rule_before
    that = "that" if governs else "the typical passage and half as much again"
    return f"As boats break, {late.count} of {late.members} outlast {that}; nothing broken, {before.count}."


def _beside(broken: AsBoatsBreak) -> str:
    short, before = broken.any_short, broken.any_short_before
    return f"{short.count} of {short.members}; nothing broken, {before.count}"


STUDY = " Study where storms went in those weeks before you keep this date."


def cyclone_words(seasons: Sequence[Met], storms: Storms, then: str = STUDY) -> str:
    """Whether she meets a season, and how near storms come; then: what is to be done about it."""
    near = storm_words(storms)
    if not seasons:
        return f"No official cyclone season touches this track on these days, which is no promise. {near}".strip()
    named = [
        f"the cyclone season of the {season.name} ({season.season}) on days {season.first_day} to {season.last_day}"
        for season in seasons
    ]
    return f"This passage is at sea in {_listed(named)}. {near}{then}"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def summary(page: Front) -> Blocks:
    """Page one for the terminal and a notebook."""
    words, water = said(page), page.water
    stores = (words.others, words.first_out, words.lacking, words.lasting, words.remedy)
    others = (*stores, words.not_counted, words.broken_stores)
    load = f"{strong(f'{water.load_l:u}')}, decided by: {water.governs}"
    beside = words.too_little or words.spare
    return (
        Title(page.voyage),
        Say(f"from {page.start} to {page.end}, {page.distance_nm} miles"),
        Say(f"sails {page.depart_utc}"),
        Head("Verdict"),
        Say(strong(words.verdict)),
        Head("Track clear?"),
        Say(f"{strong('No:')} {words.track}" if words.track else ""),
        Head("How long?"),
        *times_blocks(page.time, page.as_boats_break.times if page.as_boats_break else None),
        Say(f"As boats break, {words.overdue}." if words.overdue else ""),
        Head("Does water last?"),
        Say(f"{strong(words.water)} {words.short} {words.broken_water}"),
        Say(f"With one thing otherwise than we think: {words.doubt}."),
        Head("Load"),
        Say(load if water.reached else f"more than can be said: {NOT_REACHED}"),
        Say(words.old_rule),
        Head("Tanks give"),
        Say(f"{water.tanks_give_l:u}{f', {beside}' if beside else ''}; emergency water is not counted"),
        Head("Other stores?"),
        *(Say(each) for each in others),
        Head("One tank lost"),
        *(Say(lost_words(lost)) for lost in page.tanks_lost),
        Head("Battery"),
        Say(f"{strong(words.battery)} {words.battery_words}" if words.battery else ""),
        Head("Is she ready?"),
        Say(f"{strong(page.ready.words)} {page.ready_words}"),
        Head("Cyclones"),
        Say(words.cyclones),
        Head("Left out"),
        *(Say(each) for each in page.left_out),
        Head("Distance"),
        Say(page.control),
        Head("Overruled by"),
        Say(OVERRULED),
    )


def in_short(page: Front) -> Blocks:
    """Page one in a dozen lines."""
    words, water, time = said(page), page.water, page.time
    little = f", {strong(words.too_little)}" if words.too_little else ""
    load = f"Load {strong(f'{water.load_l:u}')}; the tanks give {water.tanks_give_l}{little}."
    broken = page.as_boats_break
    breaking = f", {strong(_days(broken.times.slow_end_days))} as boats break" if broken else ""
    stores = (strong(words.others), words.first_out, words.remedy, words.not_counted)
    return (
        Head(page.voyage),
        Say(f"{page.distance_nm} miles, sails {page.depart_utc}. {strong(words.verdict)}"),
        Head("How long?"),
        Say(
            f"{strong(_days(time.typical_days))} as a rule, {strong(_days(time.slow_end_days))} at the slow end, which "
            f"1 crossing in {time.slow_end_in} exceeds{breaking}. {words.never}"
        ),
        Head("Water"),
        Say(f"{strong(words.water)} {words.short} {load if water.reached else NOT_REACHED}"),
        Head("Other stores"),
        Say(" ".join(filter(None, stores))),
        Head("Battery"),
        Say(strong(words.battery)),
        Head("Is she ready?"),
        Say(f"{strong(page.ready.words)} {'' if page.ready is Ready.NOTHING_LISTED else page.ready_words}"),
        Head("Cyclones"),
        Say(cyclone_words(page.cyclone_seasons, page.storms, then="")),
        Head("Left out"),
        Say(f"{page.left_out[0]} No cyclone is in these crossings, and this is no forecast."),
        Head("Overruled by"),
        Say("official forecasts and charts, COLREGs, rescue services, the skipper."),
    )


def _days(days: float) -> str:
    return f"{days:u}" if isfinite(days) else "not reached"


def written_card(told: PlanWritten) -> Blocks:
    """Page one, where it is wanted, and where the paper is: never wrapped, for it is to be copied."""
    return (*(summary(told.front) if told.front else ()), *_where(told))


def written_short(told: PlanWritten) -> Blocks:
    return (*(in_short(told.front) if told.front else ()), *_where(told))


def _where(told: PlanWritten) -> Blocks:
    return (Verbatim((f"{'Printed plan':<{MARGIN}}{told.plan}",)),)


class PlanWritten(Record):
    """The plan printed."""

    plan: str = told("path of the printed plan")
    front: Front | None = told("page one; null where it is not printed")
    timings: Timings | None = told("how long each part took, where that was asked for")


SHEET = Sheet("front", table, record=Front)
