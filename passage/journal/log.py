"""The commands of the log: start, noon, note, used, landfall, correct. Each reads, questions, keeps and answers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from passage.disk import DISK, Disk
from passage.errors import Fault, InputFaults
from passage.journal.doubts import Doubtful, doubts
from passage.journal.entries import (
    LOG_FILE,
    Setting,
    deck_round,
    in_its_units,
    read_fields,
    read_moment,
    refuse_unbelievable,
    setting_of,
    standing,
)
from passage.journal.reckoning import Point, hours_between, points, run, sailed_nm, stream
from passage.journal.record import Entry, EntryTold, stamp
from passage.journal.storage import KeptEntry, add, has_log, now_utc, read_journal
from passage.journal.upkeep import due
from passage.positions import format_position
from passage.tell.customary import Units
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import datetime
    from pathlib import Path

    from passage.inputs.folder import Facts
    from passage.journal.entries import Given

BETWEEN = ("weather", "sails", "watch", "sighting")  # kinds of entry between noons
CLOCK_BACK_H = 1.0
CLOCK_ON_DAYS = 30.0  # common practice: who has written nothing for longer can say so


class Logged(Record):
    """An entry kept, and what the log answers."""

    entry: Entry
    said: tuple[str, ...] = told("what the log says to it, in words")

    @reckoned("the entry that was kept")
    def kept(self) -> EntryTold:
        return EntryTold(self.entry)


@dataclass(frozen=True)
class Moment:
    """When and how an entry is written. clock: the computer's, UTC; yes: doubts are answered beforehand."""

    clock: datetime
    yes: bool = False
    disk: Disk = DISK


def moment(yes: bool = False) -> Moment:
    """The moment of the command being run."""
    return Moment(now_utc(), yes)


def start(
    folder: Path,
    facts: Facts,
    at: Moment,
    *,
    time: str = "",
    position: str = "",
    plan: Mapping[str, Any] | None = None,
    given: Given | None = None,
) -> Logged:
    """Begin the log, or begin it anew after a shakedown, with what it must know of boat and voyage.

    time and position are those of the voyage file unless given; plan: from ``now.planned``; given: other fields as for
    a noon. Raises Doubtful, InputFaults, LogRefused, NotKept.
    """
    first = facts.voyage.waypoints[0].position
    when = departure(facts, at, time)
    refuse_unbelievable(when, stamp(when))
    setting = _setting(facts, plan)
    place = {"lat_deg": first.latitude_deg, "lon_deg": first.longitude_deg}
    body = place | read_fields({**(given or {}), "position": position}, setting) | _as_body(setting)
    ask_for_anew(folder, at)
    if not at.yes and (found := doubts(Entry(0, "start", when, at.clock, body), (), setting, None)):
        raise Doubtful(found)
    kept = add(folder, "start", when, body, written=at.clock, disk=at.disk)
    lead = f"Log of {setting.ship} begun: {_shown(when)}, {_position(body)}, for {setting.destination}."
    return Logged(kept.entry, (lead, *kept.warnings))


def departure(facts: Facts, at: Moment, time: str = "") -> datetime:
    """The moment of departure: as typed, or the voyage file's."""
    return read_moment(time, at.clock) if time else facts.voyage.departure.depart


def ask_for_anew(folder: Path, at: Moment) -> None:
    """Raises Doubtful where a log stands in the folder already."""
    entries = read_journal(folder, at.disk).entries if not at.yes and has_log(folder, at.disk) else ()
    if entries:
        question = (
            f"A log of {len(entries)} entries stands here; a new departure ends it, and it stays to be read. Sure?"
        )
        raise Doubtful([question])


def _setting(facts: Facts, plan: Mapping[str, Any] | None) -> Setting:
    boat = facts.boat
    setting = Setting(
        ship=boat.hull.name,
        destination=facts.voyage.waypoints[-1].name,
        hull_speed_kn=round(boat.hull.hull_speed_kn, 2),
        tanks_l={tank.name: tank.capacity_l for tank in boat.water_tanks},
        fuel_l=sum(tank.capacity_l for tank in boat.fuel_tanks),
        people=tuple(person.role for person in facts.crew.people),
        plan=plan or {},
        bound_for=facts.voyage.waypoints[-1].position,
        deck=deck_round(facts.gear),
        upkeep=tuple((each.name, each.every_h or 0.0, each.every_engine_h or 0.0) for each in facts.gear.upkeep),
        units=boat.hull.units,
    )
    return in_its_units(setting)


def _as_body(setting: Setting) -> dict[str, Any]:
    return {
        "ship": setting.ship,
        "destination": setting.destination,
        "hull_speed_kn": setting.hull_speed_kn,
        "tanks_l": dict(setting.tanks_l),
        "capacity_fuel_l": setting.fuel_l,
        "people": list(setting.people),
        "deck_parts": list(setting.deck),
        "upkeep": [list(each) for each in setting.upkeep],
        "plan": dict(setting.plan),
        **({"units": setting.units} if setting.units != Units.METRIC else {}),
        **({"bound_for": list(setting.bound_for)} if setting.bound_for else {}),
    }


def noon(folder: Path, given: Given, at: Moment, time: str = "") -> Logged:
    """Keep a noon: option -> text as ``entries.read_fields`` reads them; time: now unless given.

    Raises InputFaults for what cannot be read, Doubtful for what is hard to believe, LogRefused, NotKept.
    """
    return keep(folder, "noon", given, at, time)


def landfall(folder: Path, given: Given, at: Moment, time: str = "") -> Logged:
    """Keep the landfall: the last noon, at the end of the track."""
    return keep(folder, "landfall", given, at, time)


def note(folder: Path, text: str, at: Moment, time: str = "", position: str = "") -> Logged:
    """Keep a remark, with a position where one is given."""
    return keep(folder, "note", {"remarks": text, "position": position}, at, time)


def between(folder: Path, kind: str, given: Given, at: Moment, time: str = "") -> Logged:
    """Keep one of ``BETWEEN``: the weather, a change of sails, of the watch, something seen. Raises as ``noon``."""
    assert kind in BETWEEN, kind
    return keep(folder, kind, given, at, time)


def used(folder: Path, what: str, at: Moment, time: str = "") -> Logged:
    """Keep that something was opened, changed or finished: ``opened bow tank``, ``gas bottle changed``."""
    return keep(folder, "used", {"remarks": what}, at, time)


def keep(folder: Path, kind: str, given: Given, at: Moment, time: str) -> Logged:
    """Keep an entry of any kind but a start or a correction."""
    journal = read_journal(folder, at.disk)
    setting, before = setting_of(journal.entries), standing(journal.entries)
    astray = _astray(before, at)
    clock = None if astray else at.clock
    when = read_moment(time, clock) if time else at.clock
    refuse_unbelievable(when, f"the computer's clock, {stamp(when)}")
    body = read_fields(given, setting)
    if kind in ("note", "used", *BETWEEN) and not body:
        raise InputFaults([Fault(LOG_FILE, 0, kind, "nothing said", "say what there is to keep")])
    entry = Entry(0, kind, when, at.clock, body)
    found = doubts(entry, before, setting, clock)
    if not at.yes and (found or (astray and not time)):
        raise Doubtful((*found, *astray))
    kept = add(folder, kind, when, body, written=at.clock, disk=at.disk)
    seen_to = [f"Upkeep, {one.words}." for one in due((*before, kept.entry), setting, when)] if kind == "noon" else []
    return Logged(kept.entry, (*_answer(kept, before), *seen_to, *astray, *kept.warnings))


def _astray(before: Sequence[Entry], at: Moment) -> tuple[str, ...]:
    """A sentence where the computer's clock stands before it last wrote here, or a month and more after it: its word is
    then worth nothing. What was written long after the time it tells of says nothing of the clock.
    """
    told = [entry for entry in before if entry.written - entry.time <= timedelta(days=CLOCK_ON_DAYS)]
    if not told:
        return ()
    last = max(entry.written for entry in told)
    latest = max(last, *(entry.time for entry in told))
    back_h, on_days = hours_between(at.clock, last), hours_between(latest, at.clock) / 24.0
    if back_h <= CLOCK_BACK_H and on_days <= CLOCK_ON_DAYS:
        return ()
    off = f"{back_h / 24.0:.1f} days before" if back_h > CLOCK_BACK_H else f"{on_days:.0f} days after"
    wrong = f"The computer's clock says {_shown(at.clock)}, {off} it last wrote here."
    return (f"{wrong} Give day and hour with --time, and set the clock.",)


def correct(folder: Path, number: int, given: Given, at: Moment, *, time: str = "", strike: bool = False) -> Logged:
    """Keep a correction beside entry ``number``: the fields given replace its own, ``time`` its time; strike: the
    entry is left out of all reckoning. Nothing is erased. Raises as ``noon``.
    """
    journal = read_journal(folder, at.disk)
    setting = setting_of(journal.entries)
    _refuse_uncorrectable(next((each for each in journal.entries if each.number == number), None), number, strike)
    astray = _astray(standing(journal.entries), at)
    clock = None if astray else at.clock
    body = read_fields(given, setting)
    if time:
        body["time"] = stamp(read_moment(time, clock))
    if strike:
        body["struck"] = True
    if not body:
        raise InputFaults(
            [Fault(LOG_FILE, 0, "correct", "nothing said", "give the fields that were wrong, or --strike")]
        )
    if not at.yes and not strike:
        correction = Entry(journal.entries[-1].number + 1, "correction", at.clock, at.clock, body, number)
        asked = _questions(standing(journal.entries), number, setting, clock)
        now_asked = _questions(standing((*journal.entries, correction)), number, setting, clock)
        if new := [doubt for doubt in now_asked if doubt not in asked]:
            raise Doubtful(new)
    kept = add(folder, "correction", at.clock, body, corrects=number, written=at.clock, disk=at.disk)
    lead = f"Entry {kept.entry.number} stands beside entry {number} and " + (
        "strikes it out." if strike else "corrects it."
    )
    return Logged(kept.entry, (lead, *astray, *kept.warnings))


def _refuse_uncorrectable(meant: Entry | None, number: int, strike: bool) -> None:
    found, wanted = "", "see the numbers with: passage log show"
    if meant is None:
        found = f"no entry {number} to correct"
    elif meant.corrects is not None:
        found, wanted = f"entry {number} is a correction itself", f"correct entry {meant.corrects} once more"
    elif strike and meant.kind == "start":
        found = "the departure cannot be struck out"
    if found:
        raise InputFaults([Fault(LOG_FILE, 0, "correct", found, wanted)])


def _questions(entries: Sequence[Entry], number: int, setting: Setting, clock: datetime | None) -> tuple[str, ...]:
    """The doubts that entry ``number`` raises among standing entries; what was answered once is not asked again."""
    entry = next((each for each in entries if each.number == number), None)
    before = [each for each in entries if entry and each.time < entry.time]
    return doubts(entry, before, setting, clock) if entry else ()


def _answer(kept: KeptEntry, before: Sequence[Entry]) -> Iterator[str]:
    """What was kept, the run since the last point, set and drift."""
    entry = kept.entry
    yield f"Entry {entry.number} kept: {entry.kind}, {_shown(entry.time)}."
    track = points((*(each for each in before if each.time <= entry.time), entry))
    if entry.kind not in ("noon", "landfall") or not track:
        return
    if track[-1].number != entry.number:
        yield "No position and nothing to reckon one by: give course, and miles by log or speed."
    elif len(track) > 1:
        yield from _run_said(entry, track[-2:])


def _run_said(entry: Entry, track: Sequence[Point]) -> Iterator[str]:
    start_, end = track
    made = run(start_, end)
    how = "" if end.fix else f" by dead reckoning, {end.since_fix_h:.0f} hours since a fix"
    yield (
        f"{format_position(end.lat_deg, end.lon_deg)}{how}: {made.distance_nm:.0f} miles made good on "
        f"{made.course_deg:03.0f} in {made.hours:.1f} hours, {made.speed_kn:.1f} knots."
    )
    miles = sailed_nm(entry, made.hours)
    set_ = stream(start_, end, entry.body["course_deg"], miles) if miles and "course_deg" in entry.body else None
    if set_ is not None:
        yield f"Set {set_.set_deg:03.0f}, drift {set_.drift_kn:.1f} knots: current, leeway, the log's error."


def _shown(when: datetime) -> str:
    return stamp(when)[:16].replace("T", " ") + " UTC"


def _position(body: Mapping[str, Any]) -> str:
    return format_position(body["lat_deg"], body["lon_deg"])
