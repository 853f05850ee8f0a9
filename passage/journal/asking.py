"""The log asks: the next entry field by field, each with what was last and what is reckoned beside it.

A conversation is a generator: it yields what to ask, is sent what was typed, and returns what was kept. So it knows no
terminal. After every answer the draft is written beside the log; the entry itself is kept once, at the end, in the
same way as the one-line form keeps it.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from passage.disk import write_whole
from passage.errors import InputFaults
from passage.journal import log
from passage.journal.doubts import Doubtful, doubts, latest
from passage.journal.entries import ALL_WELL, OPTIONS, read_fields, read_moment, setting_of, standing
from passage.journal.reckoning import carried_to, hours_between, points, run
from passage.journal.record import Entry, moment_of, stamp
from passage.journal.show import words
from passage.journal.storage import read_journal
from passage.journal.upkeep import due
from passage.positions import format_position
from passage.sailings.clock import carried_on_deg, ship_zone_h
from passage.tell.customary import unit_words
from passage.tell.figures import amount

if TYPE_CHECKING:
    from collections.abc import Generator, Iterable, Mapping, Sequence
    from pathlib import Path

    from passage.journal.entries import Field, Setting
    from passage.journal.log import Logged, Moment

    Conversation = Generator["Prompt", str, Any]

DRAFT = "journal.asked"  # the answers so far of an entry that was not finished
YES = ("y", "yes")
ASKED = {  # of each kind of entry, in order; what belongs to tanks, people and jobs is asked of each
    "noon": (
        *("position", "course", "log", "wind", "barometer", "water", "fuel", "battery", "engine", "sails"),
        *("deck", "done"),
    ),
    "weather": ("wind", "sea", "barometer", "cloud", "remarks"),
    "sails": ("sails", "wind", "engine"),
    "watch": ("on-watch", "course", "speed", "wind", "barometer", "remarks"),
    "sighting": ("seen", "position"),
    "used": ("remarks",),
    "note": ("remarks",),
    "landfall": ("position", "log", "water", "fuel", "battery", "engine"),
    "correct": (),
}
AS_BEFORE = ("wind", "barometer", "engine", "sails")  # where Enter keeps the last value; tanks are not sounded by it
LABELS = {
    "position": "Position",
    "course": "Course, true",
    "log": "Miles since then",
    "wind": "Wind",
    "sea": "Sea, {m}",
    "barometer": "Barometer, hPa",
    "cloud": "Cloud, eighths",
    "water": "Water",
    "fuel": "Fuel, all tanks, {L}",
    "battery": "Battery, % or V",
    "engine": "Engine's meter, h",
    "sails": "Sails",
    "deck": "Deck round",
    "done": "Done",
    "speed": "Speed, kn",
    "on-watch": "Who has the watch",
    "seen": "Seen",
    "remarks": "Words",
}


@dataclass(frozen=True)
class Prompt:
    """What to say, and what to ask. beside: the last value and the reckoned one; enter: what Enter means."""

    label: str
    beside: str = ""
    enter: str = ""
    said: tuple[str, ...] = ()


@dataclass(frozen=True)
class _One:
    """A question: an option, and the tank, person or job it is of; '' for a plain one."""

    option: str
    of: str = ""

    @property
    def key(self) -> str:
        return f"{self.option} {self.of}".strip()

    def typed(self, text: str) -> list[str]:
        """As the one-line form wants it; of a deck round several parts may be told, ``;`` between them."""
        if self.option == "deck":
            return [part for part in map(str.strip, text.split(";")) if part]
        return [f"{self.of}={text}" if self.of else text]


def _one(key: str) -> _One:
    option, _, of = key.partition(" ")
    return _One(option, of)


@dataclass
class Draft:
    """An entry in the making. number: of the entry that is corrected; answers: by question, as typed; sure: doubts that
    were answered.
    """

    kind: str
    time: str
    number: int = 0
    answers: dict[str, str] = field(default_factory=dict)
    sure: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class _Log:
    """The log as it stands when the asking begins."""

    folder: Path
    at: Moment
    setting: Setting
    before: tuple[Entry, ...]


def ask(folder: Path, at: Moment) -> Generator[Prompt, str, Logged]:
    """Ask for the next entry and keep it. Raises InputFaults and LogRefused for a folder without a log, NotKept."""
    journal = read_journal(folder, at.disk)
    here = _Log(folder, at, setting_of(journal.entries), standing(journal.entries))
    draft = yield from _begun(here)
    if draft.kind == "correct":
        logged = yield from _corrected(here, draft)
    else:
        logged = yield from _asked(here, draft)
    at.disk.remove(folder / DRAFT)
    return logged


# ---------------------------------------------------------------- how it begins


def _begun(here: _Log) -> Generator[Prompt, str, Draft]:
    """The draft that was broken off, where that is wanted, or a new one of the kind and time that are asked for."""
    if left := _left(here):
        so_far = "; ".join(f"{key} {answer or _enter(here, _one(key))}" for key, answer in left.answers.items())
        told = f"{left.kind} of {_day(moment_of(left.time))}, broken off: {so_far}"
        go_on = yield Prompt("Go on with it?", told, "yes; no: a new one")
        if not go_on.strip() or go_on.strip().lower() in YES:
            return left
    kind = yield from _kind()
    if kind == "correct":
        return Draft(kind, stamp(here.at.clock))
    moment, sure = yield from _moment(here, kind)
    draft = Draft(kind, stamp(moment), sure=[*sure])
    _keep_draft(here, draft)
    return draft


def _kind() -> Generator[Prompt, str, str]:
    said: tuple[str, ...] = ()
    while True:
        text = (yield Prompt("Entry", ", ".join(ASKED), "noon", said)).strip().lower() or "noon"
        fitting = [kind for kind in ASKED if kind.startswith(text)] or get_close_matches(text, ASKED, n=1)
        if fitting:
            return fitting[0]
        said = ("One of these, or its first letters.",)


def _moment(here: _Log, kind: str) -> Generator[Prompt, str, tuple[datetime, tuple[str, ...]]]:
    meant = _next_noon(here) if kind == "noon" else here.at.clock.replace(second=0, microsecond=0)
    said: tuple[str, ...] = ()
    while True:
        text = (yield Prompt("Time, UTC", f"the clock says {_day(here.at.clock)}", _day(meant), said)).strip()
        try:
            moment = read_moment(text, here.at.clock) if text and text != "?" else meant
        except InputFaults as told:
            said = _sentences(told)
            continue
        if text == "?":
            said = ("'1200', '12:00' or '2027-02-12 12:00', in UTC; an hour alone is the last such hour.",)
            continue
        doubtful = doubts(Entry(0, kind, moment, here.at.clock, {}), here.before, here.setting, here.at.clock)
        if not doubtful or (yield from _sure(doubtful)):
            return moment, doubtful


def _next_noon(here: _Log) -> datetime:
    """Noon by ship's time that follows the last one in the log, or the last that has been where that is to come."""
    track = points(here.before)
    zone_h = ship_zone_h(carried_on_deg([point.lon_deg for point in track])) if track else 0
    noons = [entry.time for entry in here.before if entry.kind in ("start", "noon")]
    last = noons[-1] if noons else here.at.clock - timedelta(days=1)
    ship = (last + timedelta(hours=zone_h)).replace(minute=0, second=0, microsecond=0)
    first = ship.replace(hour=12) - timedelta(hours=zone_h)
    following = first + timedelta(days=first <= last + timedelta(hours=6))
    return following if following <= here.at.clock else here.at.clock.replace(second=0, microsecond=0)


# ---------------------------------------------------------------- an entry, field by field


def _asked(here: _Log, draft: Draft) -> Generator[Prompt, str, Logged]:
    for one in _questions(here, draft.kind):
        if one.key not in draft.answers and not _needless(one, draft):
            yield from _answered(here, draft, one)
    while True:
        yield from _looked_over(here, draft)
        given, moment = _given(here, draft), moment_of(draft.time)
        body = read_fields(given, here.setting)
        found = doubts(Entry(0, draft.kind, moment, here.at.clock, body), here.before, here.setting, here.at.clock)
        new = tuple(doubt for doubt in found if doubt not in draft.sure)
        if not new or (yield from _sure(new)):
            break
    return log.keep(here.folder, draft.kind, given, replace(here.at, yes=True), draft.time)


def _questions(here: _Log, kind: str) -> list[_One]:
    asked: list[_One] = []
    for option in ASKED[kind]:
        one_by_one = OPTIONS[option].each and option != "deck"
        names: Sequence[str] = here.setting.names(OPTIONS[option].each) if one_by_one else ("",)
        if option == "done":
            names = [one.name for one in due(here.before, here.setting, here.at.clock)]
        asked += [_One(option, name) for name in names]
    return asked


def _needless(one: _One, draft: Draft) -> bool:
    """A course is asked for only where the position is to be reckoned by it."""
    return draft.kind == "noon" and one.option == "course" and bool(draft.answers.get("position"))


def _answered(here: _Log, draft: Draft, one: _One) -> Generator[Prompt, str, None]:
    """Ask until it can be read and, where it is hard to believe, is said to be so; then it stands in the draft."""
    said: tuple[str, ...] = ()
    while True:
        text = (yield _prompt(here, draft, one, said)).strip()
        if text == "?":
            said = (_explained(OPTIONS[one.option]),)
            continue
        try:
            body = read_fields({one.option: one.typed(text)}, here.setting) if text.strip("-") else {}
        except InputFaults as told:
            said = _sentences(told)
            continue
        entry = Entry(0, draft.kind, moment_of(draft.time), here.at.clock, body)
        found = doubts(entry, here.before, here.setting, None) if body else ()
        new = tuple(doubt for doubt in found if doubt not in draft.sure)
        if new and not (yield from _sure(new)):
            said = ()
            continue
        draft.sure += new
        draft.answers[one.key] = text
        _keep_draft(here, draft)
        return


def _prompt(here: _Log, draft: Draft, one: _One, said: tuple[str, ...]) -> Prompt:
    label = LABELS.get(one.option, one.option.capitalize()).format(L=unit_words("L"), m=unit_words("m"))
    label += f", {one.of}" if one.of else ""
    told = [f"last {last}"] if (last := _last(here.before, one)) else []
    told += [f"reckoned {reckoned}"] if (reckoned := _reckoned(here, draft, one)) else []
    return Prompt(label, "; ".join(told), _enter(here, one), said)


def _last(before: Sequence[Entry], one: _One) -> str:
    """The last value of it in the log, as words, without its own name."""
    name = OPTIONS[one.option].name
    if one.of:
        value = latest(before, name).get(one.of)
        return "" if value is None else words({name: {one.of: value}}).partition(f"{one.of} ")[2]
    if one.option == "deck":
        found = latest(before, name)
        return "; ".join(f"{part} {what}" for part, what in found.items() if what != ALL_WELL) or ALL_WELL * bool(found)
    keys = {"position": ("lat_deg", "lon_deg"), "wind": ("wind_from_deg", "wind_kn")}.get(
        one.option, ("battery_share", "battery_v") if one.option == "battery" else (name,)
    )
    entry = next((each for each in reversed(before) if keys[-1] in each.body or keys[0] in each.body), None)
    if entry is None:
        return ""
    return words({key: entry.body[key] for key in keys if key in entry.body}).removeprefix(f"{one.option} ")


def _reckoned(here: _Log, draft: Draft, one: _One) -> str:
    track, moment = points(here.before), moment_of(draft.time)
    if one.option == "position" and track:
        reckoned = carried_to(track, moment)
        return format_position(reckoned.lat_deg, reckoned.lon_deg)
    if one.option in ("log", "course") and len(track) > 1:
        before = run(track[-2], track[-1])
        miles = before.speed_kn * hours_between(track[-1].time, moment)
        return f"{miles:.0f} nm" if one.option == "log" else f"{before.course_deg:03.0f}°"
    return _water_reckoned(here, moment, one) if one.option == "water" else ""


def _water_reckoned(here: _Log, moment: datetime, one: _One) -> str:
    """Of the tank that is drawn from, the one that fell last: what is left at the plan's litres a day."""
    daily_l = float(here.setting.plan.get("water_l_per_day", 0.0))
    sounded = [entry for entry in here.before if "water_l" in entry.body]
    known = latest(here.before, "water_l")
    fell = [entry for entry in sounded[1:] if len(entry.body["water_l"]) == 1 or one.of in entry.body["water_l"]]
    drawn = next(iter(fell[-1].body["water_l"])) if fell else next(iter(known), "")
    if not daily_l or one.of != drawn:
        return ""
    left_l = known[one.of] - daily_l * hours_between(sounded[-1].time, moment) / 24.0
    return f"{amount(max(left_l, 0.0), '', places=0, unit='L'):u}"


def _enter(here: _Log, one: _One) -> str:
    if one.option == "position":
        return "not observed"
    if one.option in AS_BEFORE and _last(here.before, one):
        return "as before"
    if one.option == "deck":
        return "not made; ok: all well"
    return {"water": "not sounded", "fuel": "not sounded", "done": "not done; ok: done"}.get(one.option, "left out")


def _explained(asked: Field) -> str:
    what = asked.meaning[:1].upper() + asked.meaning[1:]
    return f"{what}. '-' takes an answer back." if asked.kind != "text" else f"{what}."


def _looked_over(here: _Log, draft: Draft) -> Generator[Prompt, str, None]:
    """Everything in one view; a field's name asks for it again, or for one that was not asked."""
    said: tuple[str, ...] = ()
    while True:
        body = read_fields(_given(here, draft), here.setting)
        told = words(body) or "nothing"
        enter = "yes; or a field's name to ask it again"
        name = (yield Prompt("Keep it?", told, enter, said)).strip().lower()
        name = name.strip().lower()
        if not name or name in YES:
            return
        one = _named(here, draft, name)
        if one is None:
            said = (f"The fields are {', '.join(OPTIONS)}.",)
            continue
        said = ()
        draft.answers.pop(one.key, None)
        yield from _answered(here, draft, one)


def _named(here: _Log, draft: Draft, name: str) -> _One | None:
    """The question that a name means: of those asked, else any field's, with its tank, person or part behind it."""
    asked = [one for one in _questions(here, draft.kind) if one.key.startswith(name)]
    if asked:
        return asked[0]
    option, _, of = name.partition(" ")
    close = [each for each in OPTIONS if each.startswith(option)] or get_close_matches(option, OPTIONS, n=1)
    if not close:
        return None
    names = here.setting.names(OPTIONS[close[0]].each) if OPTIONS[close[0]].each and close[0] != "deck" else ()
    fitting = [each for each in names if of in each.lower()]
    return _One(close[0], fitting[0] if fitting else "") if fitting or not names else None


def _given(here: _Log, draft: Draft) -> dict[str, list[str]]:
    """The answers as the one-line form has them: what Enter kept as before is the last value again."""
    given: dict[str, list[str]] = {}
    for key, text in draft.answers.items():
        one = _one(key)
        option = one.option
        if not text and option in AS_BEFORE and draft.kind != "correct":
            text = _as_typed(here, one)
        if text and text != "-":
            given.setdefault(option, []).extend(one.typed(text))
    return given


def _as_typed(here: _Log, one: _One) -> str:
    """The last value as a person would type it."""
    name = OPTIONS[one.option].name
    key = "wind_kn" if name == "wind" else name
    body: Mapping[str, Any] = next((each.body for each in reversed(here.before) if key in each.body), {})
    if not body:
        return ""
    if name == "wind":
        return f"{body['wind_from_deg']:g} {body['wind_kn']:g}" if "wind_from_deg" in body else "calm"
    return body[name] if isinstance(body[name], str) else f"{body[name]:.6f}".rstrip("0").rstrip(".")


# ---------------------------------------------------------------- a correction


def _corrected(here: _Log, draft: Draft) -> Generator[Prompt, str, Logged]:
    """Which entry, then field by field by name; nothing of it but those is changed."""
    entry = yield from _which(here)
    draft.number = entry.number
    said: tuple[str, ...] = (f"Entry {entry.number}: {words(entry.body)}.",)
    while True:
        given = _given(here, draft)
        told = words(read_fields(given, here.setting))
        enter = "yes" if told else "leave it"
        name = (yield Prompt("Which field?", f"to change: {told}" if told else "", enter, said)).strip().lower()
        said = ()
        if not name or name in YES:
            break
        one = _named(here, draft, name)
        if one is None:
            said = (f"The fields are {', '.join(OPTIONS)}.",)
            continue
        text = (yield Prompt(one.key, f"was {_last((entry,), one) or 'not given'}")).strip()
        try:
            read_fields({one.option: one.typed(text)}, here.setting)
            draft.answers[one.key] = text
        except InputFaults as fault:
            said = _sentences(fault)
    return (yield from _kept_correction(here, draft))


def _kept_correction(here: _Log, draft: Draft) -> Generator[Prompt, str, Logged]:
    given = _given(here, draft)
    try:
        return log.correct(here.folder, draft.number, given, here.at)
    except Doubtful as doubtful:
        if not (yield from _sure(doubtful.doubts)):
            raise
    return log.correct(here.folder, draft.number, given, replace(here.at, yes=True))


def _which(here: _Log) -> Generator[Prompt, str, Entry]:
    by_number = {entry.number: entry for entry in here.before if entry.kind != "start"} or {
        entry.number: entry for entry in here.before
    }
    last = max(by_number)
    while True:
        text = (yield Prompt("Which entry?", "its number, from: passage log show", f"{last}")).strip() or f"{last}"
        if text.isdigit() and int(text) in by_number:
            return by_number[int(text)]


# ---------------------------------------------------------------- small things


def _sure(found: Iterable[str]) -> Generator[Prompt, str, bool]:
    text = yield Prompt("Is it so?", "yes keeps it all the same", "no, ask again", tuple(found))
    return text.strip().lower() in YES


def _sentences(told: InputFaults) -> tuple[str, ...]:
    return tuple(f"{fault.found}; {fault.wanted}." for fault in told.faults)


def _day(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y-%m-%d %H:%M}"


def _keep_draft(here: _Log, draft: Draft) -> None:
    """Nothing of the log hangs on it: where the disk takes no draft, the asking goes on."""
    with suppress(OSError):
        write_whole(here.folder / DRAFT, json.dumps(vars(draft), ensure_ascii=False).encode(), disk=here.at.disk)


def _left(here: _Log) -> Draft | None:
    """The draft that stands beside the log, where it can be read and its entry was not kept after all."""
    try:
        told = json.loads(here.at.disk.read(here.folder / DRAFT) or b"null")
        draft = Draft(**told) if isinstance(told, dict) else None
    except (OSError, ValueError, TypeError):
        return None
    if draft is None or not draft.answers or draft.kind not in ASKED or draft.kind == "correct":
        return None
    known = {one.key for one in _questions(here, draft.kind)} | set(OPTIONS)
    with suppress(ValueError, TypeError, InputFaults, AttributeError):
        moment = moment_of(draft.time)
        draft.answers = {key: text for key, text in draft.answers.items() if key in known and isinstance(text, str)}
        read_fields(_given(here, draft), here.setting)
        kept = any(entry.kind == draft.kind and entry.time == moment for entry in here.before)
        return None if kept else draft
    return None
