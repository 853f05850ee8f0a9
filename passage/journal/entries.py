"""What an entry may say: one table of fields, read from what a person types, every fault told at once.

All fields may be left out; a noon without a position is reckoned (``reckoning``). Nothing here is heavy to import:
the log must answer on a slow laptop at three in the morning.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from passage.errors import Fault, InputFaults
from passage.inputs.position import parse_position
from passage.journal.record import moment_of
from passage.tell.customary import UNITS, Units, metric_again
from passage.units import KINDS, NUMBER, Misread, quantity, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from passage.inputs.gear import Gear
    from passage.journal.record import Entry

    Given = Mapping[str, str | Sequence[str]]

LONGEST_TEXT = 2000
STEERS_HER = ("self-steering", "steering")  # kinds of gear
DECK_ROUND = ("pins", "chafe", "rudder", "steering gear")  # on every boat; her own parts are in the log's first entry
ALL_WELL = "ok"
FIRST_YEAR, LAST_YEAR = 2000, 2099  # of what an entry tells; a clock may say anything
MOMENT_EXAMPLE = 'write the time in UTC, such as "2027-02-12 12:00" or "12:00"'

COMPASS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
# Beaufort forces 0 to 12 in knots, WMO code table 1100: the middle of each class, and the foot of force 12.
BEAUFORT_KN = (0.0, 2.0, 5.0, 8.5, 13.5, 19.0, 24.5, 30.5, 37.0, 44.0, 51.5, 59.5, 64.0)
_WIND = re.compile(
    r"([A-Z]{1,3}|\d{1,3}(?:\.\d+)?)°?[\s,]+(?:F(?:ORCE)?\s*(\d{1,2})|(\d{1,3}(?:\.\d+)?)\s*(?:KN|KTS?)?)"
)


@dataclass(frozen=True)
class Field:
    """One thing that an entry may say.

    name: in the stored body, with its unit; option: as it is typed; kind: of ``units.KINDS``, or ``number``,
    ``count``, ``text``, ``position``, ``wind``, ``battery``; least and most: the range outside which it cannot be
    meant; each: what it is given for one by one (``tank=62``), or '' for a plain value.
    """

    name: str
    option: str
    kind: str
    least: float
    most: float
    meaning: str
    each: str = ""


FIELDS = (
    Field("position", "position", "position", 0, 0, "position by any sailor's form; left out, it is reckoned"),
    Field("course_deg", "course", "angle", 0, 360, "true course made good or steered since the entry before"),
    Field("speed_kn", "speed", "speed", 0, 40, "mean speed through the water since the entry before"),
    Field("log_nm", "log", "distance", 0, 1500, "miles run through the water since the entry before"),
    Field("wind", "wind", "wind", 0, 120, "wind from, and knots or force: SE 18, 135 18, SE F5"),
    Field("sea_m", "sea", "length", 0, 30, "height of the sea"),
    Field("pressure_hpa", "barometer", "pressure", 870, 1085, "barometer, hectopascals: 1019"),
    Field("cloud_oktas", "cloud", "number", 0, 8, "cloud, eighths of the sky"),
    Field("water_l", "water", "volume", 0, 5000, "water left in a tank as sounded, all of it", "tank"),
    Field("fuel_l", "fuel", "volume", 0, 5000, "fuel left in all tanks together, as sounded"),
    Field("battery", "battery", "battery", 0, 60, "battery, per cent or volts"),
    Field("engine_h", "engine", "duration", 0, 100_000, "reading of the engine's hour meter"),
    Field("hove_to_h", "hove-to", "duration", 0, 1000, "hours hove to, or lying without sail, since the entry before"),
    Field("sleep_h", "sleep", "duration", 0, 24, "sleep in the last 24 hours", "person"),
    Field("bilge_strokes", "bilge", "count", 0, 100_000, "strokes of the bilge pump since the entry before"),
    Field("sails", "sails", "text", 0, 0, "sails set: main 1 reef, genoa"),
    Field("on_watch", "on-watch", "text", 0, 0, "who has the watch"),
    Field("seen", "seen", "text", 0, 0, "what was seen, and where: ship 2 miles to port"),
    Field(
        "deck",
        "deck",
        "text",
        0,
        0,
        f"deck round: 'ok' where all is well, or what was found on a part: {', '.join(DECK_ROUND)}, and those of "
        "gear.toml",
        "part",
    ),
    Field("done", "done", "text", 0, 0, "upkeep of gear.toml that was done", "job"),
    Field("remarks", "remarks", "text", 0, 0, "anything else"),
)
OPTIONS = {field.option: field for field in FIELDS}
_PARTS = {
    "position": {"lat_deg": "latitude, north positive", "lon_deg": "longitude, east positive"},
    "wind": {"wind_from_deg": "where the wind blows from, true", "wind_kn": "its speed"},
    "battery": {"battery_share": "charge of the battery", "battery_v": "its volts"},
}
# What may stand in the body of an entry, by the name under which it is stored, and what it means.
STORED = {
    name: means for field in FIELDS for name, means in _PARTS.get(field.name, {field.name: field.meaning}).items()
} | {
    "struck": "whether the entry is left out of all reckoning",
    "time": "the time that stands in place of the entry's own",
    "ship": "name of the boat",
    "destination": "where she is bound",
    "name": "its name: of the tank, the person, the part",
    "value": "what was given for it",
}
LOG_FILE = "log"  # what faults of typed entries name instead of a file


@dataclass(frozen=True)
class Setting:
    """What the log's first entry says of boat and voyage, so that no other file is needed to keep the log.

    tanks_l: capacity of each water tank; fuel_l: all fuel tanks together, 0 without; people: roles; plan: what was
    planned, as ``now.planned`` gives it, or empty; bound_for: latitude and longitude of the destination, where known;
    units: in which figures are printed, and volumes and heights typed without a unit are meant; deck: parts of the deck
    round; upkeep: what is to be seen to, after how many hours and engine hours, 0 for neither.
    """

    ship: str
    destination: str
    hull_speed_kn: float
    tanks_l: Mapping[str, float]
    fuel_l: float
    people: tuple[str, ...]
    plan: Mapping[str, Any]
    bound_for: tuple[float, float] | None = None
    deck: tuple[str, ...] = DECK_ROUND
    upkeep: tuple[tuple[str, float, float], ...] = ()
    units: str = Units.METRIC

    def names(self, each: str) -> tuple[str, ...]:
        """The names that a field given one by one may use."""
        jobs = tuple(name for name, *_ in self.upkeep)
        return {"tank": tuple(self.tanks_l), "person": self.people, "part": self.deck, "job": jobs}[each]


def deck_round(gear: Gear) -> tuple[str, ...]:
    """What a deck round looks at: on every boat, and what steers this one, by the names of her gear file."""
    own = [item.name for item in gear.items if item.kind in STEERS_HER]
    return (*DECK_ROUND, *(name for name in own if name not in DECK_ROUND))


def setting_of(entries: Iterable[Entry]) -> Setting:
    """The setting that the latest ``start`` gives, in whose units all is printed from then on. Raises InputFaults for a
    log without one.
    """
    starts = [entry for entry in entries if entry.kind == "start"]
    if not starts:
        raise InputFaults([Fault(LOG_FILE, 0, "", "no departure in it", "begin it with: passage log start")])
    body = starts[-1].body
    told = Setting(
        ship=body.get("ship", ""),
        destination=body.get("destination", ""),
        hull_speed_kn=body.get("hull_speed_kn", 0.0),
        tanks_l=body.get("tanks_l", {}),
        fuel_l=body.get("capacity_fuel_l", 0.0),
        people=tuple(body.get("people", ())),
        plan=body.get("plan", {}),
        bound_for=(body["bound_for"][0], body["bound_for"][1]) if body.get("bound_for") else None,
        deck=tuple(body.get("deck_parts", DECK_ROUND)),
        upkeep=tuple((name, every_h, engine_h) for name, every_h, engine_h in body.get("upkeep", ())),
        units=body.get("units", Units.METRIC),
    )
    return in_its_units(told)


def in_its_units(setting: Setting) -> Setting:
    """The setting, and from here on all is printed in its units."""
    UNITS.set(Units(setting.units))
    return setting


def standing(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries as corrected, in order of their times: what was wrong replaced, what was struck out left out.

    Only what was written from the latest ``start`` on counts: a folder may hold a shakedown and then the voyage.
    """
    written = sorted(entries, key=lambda entry: entry.number)
    first = max((entry.number for entry in written if entry.kind == "start"), default=0)
    kept: dict[int, Entry] = {}
    for entry in written:
        if entry.corrects is None:
            kept[entry.number] = entry
        elif entry.corrects in kept:
            kept[entry.corrects] = _corrected(kept[entry.corrects], entry.body)
    current = [entry for entry in kept.values() if entry.number >= first and not entry.body.get("struck")]
    return tuple(sorted(current, key=lambda entry: (entry.time, entry.number)))


def _corrected(entry: Entry, changes: Mapping[str, Any]) -> Entry:
    """Values given by tank, person or part are replaced one by one; None takes a field away."""
    body = dict(entry.body)
    for name, value in changes.items():
        both_by_name = isinstance(value, dict) and isinstance(body.get(name), dict)
        body[name] = body[name] | value if both_by_name else value
    moment = body.pop("time", None)
    left = {name: value for name, value in body.items() if value is not None}
    return replace(entry, body=left, time=moment_of(moment) if moment else entry.time)


def believable(moment: datetime) -> bool:
    """Whether a log can tell of that year."""
    return FIRST_YEAR <= moment.year <= LAST_YEAR


def refuse_unbelievable(moment: datetime, found: str) -> None:
    """InputFaults for a time of which no log can tell; found: as it was given."""
    if not believable(moment):
        wanted = f"a log tells of {FIRST_YEAR} to {LAST_YEAR}: {MOMENT_EXAMPLE.partition(' or ')[0]}"
        raise InputFaults([Fault(LOG_FILE, 0, "time", found, wanted)])


def read_moment(text: str, clock: datetime | None) -> datetime:
    """A time in UTC; an hour alone is the last such hour before ``clock``, where that is known. Raises InputFaults."""
    plain = text.strip().removesuffix("UTC").strip()
    hour_alone = re.fullmatch(r"\d{2}:?\d{2}", plain)
    if hour_alone and clock is None:
        wanted = f"the computer's clock is wrong: {MOMENT_EXAMPLE.partition(' or ')[0]}"
        raise InputFaults([Fault(LOG_FILE, 0, "time", shown(text), wanted)])
    try:
        moment = _last_hour(plain, clock) if hour_alone and clock is not None else _typed(plain)
    except (ValueError, OverflowError):
        raise InputFaults([Fault(LOG_FILE, 0, "time", shown(text), MOMENT_EXAMPLE)]) from None
    refuse_unbelievable(moment, shown(text))
    return moment


def _last_hour(plain: str, clock: datetime) -> datetime:
    hour, minute = int(plain[:2]), int(plain[-2:])
    today = clock.astimezone(UTC).replace(hour=hour, minute=minute, second=0, microsecond=0)
    return today if today <= clock + timedelta(minutes=10) else today - timedelta(days=1)


def _typed(plain: str) -> datetime:
    moment = datetime.fromisoformat(plain)
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).astimezone(UTC).replace(microsecond=0)


def read_fields(given: Given, setting: Setting) -> dict[str, Any]:
    """The body that typed options make: option -> text, or texts such as ``keel tank=62`` where it is given one by one.

    Empty texts are left out. Raises InputFaults with every fault at once.
    """
    body: dict[str, Any] = {}
    faults: list[Fault] = []
    for option, value in given.items():
        try:
            if value and not (isinstance(value, str) and value.isspace()):
                body |= _read(OPTIONS[option], value, setting)
        except KeyError:
            known = ", ".join(OPTIONS)
            faults.append(Fault(LOG_FILE, 0, option, "no such field", f"the fields are {known}"))
        except InputFaults as told:
            faults += told.faults
    if faults:
        raise InputFaults(faults)
    return body


def _read(field: Field, value: str | Sequence[str], setting: Setting) -> dict[str, Any]:
    if field.each:
        texts = [value] if isinstance(value, str) else value
        if field.name == "deck" and [text.strip().lower() for text in texts] == [ALL_WELL]:
            texts = [f"{part}={ALL_WELL}" for part in setting.deck]
        return {field.name: _one_by_one(field, texts, setting.names(field.each))}
    try:
        return _read_one(field, value if isinstance(value, str) else " ".join(value))
    except Misread as misread:
        raise InputFaults([Fault(LOG_FILE, 0, field.option, misread.found, misread.wanted)]) from None


def _one_by_one(field: Field, texts: Sequence[str], names: Sequence[str]) -> dict[str, Any]:
    values: dict[str, Any] = {}
    faults = []
    for text in texts:
        try:
            name, value = _named(text, field, names)
            values[name] = _read_one(field, value)[field.name]
        except Misread as misread:
            faults.append(Fault(LOG_FILE, 0, field.option, misread.found, misread.wanted))
    if faults:
        raise InputFaults(faults)
    return values


def _named(text: str, field: Field, names: Sequence[str]) -> tuple[str, str]:
    """``keel tank=62`` -> (``keel tank``, ``62``); with only one name to choose from it may be left out."""
    name, equals, value = text.partition("=")
    if not equals and len(names) == 1:
        return names[0], text
    if not equals:
        raise Misread(shown(text), f"say which {field.each}: {names[0] if names else field.each}=...")
    meant = _meant(name.strip().lower(), names)
    if not meant:
        raise Misread(shown(name.strip()), f"no such {field.each}; there are {', '.join(names) or 'none'}")
    return meant, value.strip()


def _meant(name: str, names: Sequence[str]) -> str:
    """The one of the names that is written so, or nearly, or by a word that no other has; '' where none is."""
    by_word = [each for each in names if name and name in each.lower().split()]
    close = get_close_matches(name, [each.lower() for each in names], n=1, cutoff=0.8)
    nearly = [each for each in names if close and each.lower() == close[0]]
    return (nearly or (by_word if len(by_word) == 1 else [""]))[0]


def _read_one(field: Field, text: str) -> dict[str, Any]:
    if field.kind == "position":
        position = parse_position(text)
        return {"lat_deg": position.latitude_deg, "lon_deg": position.longitude_deg}
    if field.kind == "wind":
        return _wind(text)
    if field.kind == "battery":
        return _battery(text)
    return {field.name: _text(text) if field.kind == "text" else _number(field, text)}


def _text(text: str) -> str:
    whole = text.encode("utf-8", "replace").decode()
    plain = "".join(letter if letter.isprintable() or letter == "\n" else " " for letter in whole).strip()
    if len(plain) > LONGEST_TEXT:
        raise Misread(shown(plain), f"keep it under {LONGEST_TEXT} letters")
    return plain


def _number(field: Field, text: str) -> float | int:
    """A number in the field's own unit, which is a gallon and a foot where these are printed, or with a unit written to
    it.
    """
    plain = text.strip()
    if NUMBER.fullmatch(plain):
        meant = KINDS.get(field.kind)
        value = metric_again(float(plain) * meant.scale, meant.sign) if meant else float(plain)
    elif field.kind in KINDS:
        value = quantity(plain, field.kind)
    else:
        raise Misread(shown(text), "write a plain number")
    if not field.least <= value <= field.most:
        raise Misread(shown(text), f"give {field.least:g} to {field.most:g}")
    if field.kind != "count":
        return value
    if value != int(value):
        raise Misread(shown(text), "write a whole number")
    return int(value)


def _wind(text: str) -> dict[str, float]:
    """``SE 18``, ``135 18 kn`` or ``SE F5``; ``calm``."""
    plain = text.strip().upper()
    if plain in ("CALM", "0"):
        return {"wind_kn": 0.0}
    found = _WIND.fullmatch(plain)
    if found is None or (found[1].isalpha() and found[1] not in COMPASS):
        raise Misread(shown(text), "write where it blows from and its knots or force, such as 'SE 18' or '135 F5'")
    bearing = 22.5 * COMPASS.index(found[1]) if found[1].isalpha() else float(found[1])
    if bearing > 360 or (found[2] and int(found[2]) >= len(BEAUFORT_KN)):
        raise Misread(shown(text), "bearings go to 360, forces to 12")
    return {"wind_from_deg": bearing % 360.0, "wind_kn": BEAUFORT_KN[int(found[2])] if found[2] else float(found[3])}


def _battery(text: str) -> dict[str, float]:
    """Per cent, or volts where it says so."""
    plain = text.strip()
    if plain.upper().endswith("V"):
        volts = quantity(plain, "voltage")
        if not 8.0 <= volts <= 60.0:
            raise Misread(shown(text), "give 8 to 60 V")
        return {"battery_v": volts}
    share = float(plain) / 100.0 if NUMBER.fullmatch(plain) else quantity(plain, "share")
    if not 0.0 <= share <= 1.0:
        raise Misread(shown(text), "give 0 to 100 %")
    return {"battery_share": share}
