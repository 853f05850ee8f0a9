"""The few answers from which a first voyage is made: asked for, given as options, or read from a file."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.errors import Fault, InputFaults
from passage.inputs.harbours import Place, place
from passage.inputs.months import MONTHS
from passage.inputs.toml import read_document, shown_value
from passage.inputs.voyage import departure_at
from passage.units import NUMBER, Misread, quantity, shown, written

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from datetime import date

    from passage.inputs.toml import Document

NONE = "none"
MID_MONTH, LEAVES_AT = 15, 9  # day of the month and hour UTC, where only the month is told


class NewBoat(NamedTuple):
    """A boat by her measures; None for those not known."""

    length_m: float
    displacement_kg: float | None
    sail_area_m2: float | None


class Hand(NamedTuple):
    """One of the crew; None for what was not told."""

    sex: str | None
    age_years: int | None
    mass_kg: float | None


@dataclass(frozen=True)
class Answers:
    """boat: a new one, or the folder of one that is known; fuel_l: None without an engine; panels_w, bank_ah: 0 for
    none; in_gallons: whether the tanks were told in US gallons, so that these are printed too.
    """

    start: Place
    goal: Place
    depart: datetime
    boat: NewBoat | Path
    crew: tuple[Hand, ...]
    water_l: float
    fuel_l: float | None
    panels_w: float
    bank_ah: float
    in_gallons: bool = False


class Question(NamedTuple):
    """key: as a file has it and, with two dashes before it, the option; about: what it is for; default: as typed."""

    key: str
    asks: str
    about: str
    default: str
    read: Callable[[str, date], Any]


def _bounded(text: str, kind: str, least: float, most: float) -> float:
    value = quantity(text, kind)
    if not least <= value <= most:
        raise Misread(shown(text), f"give {written(least, kind)} to {written(most, kind)}")
    return value


def _place(text: str, today: date) -> Place:
    return place(text)


def _when(text: str, today: date) -> datetime:
    """``June``, the next there is; ``June 2027``; or a day, with an hour or without."""
    month = re.fullmatch(r"\s*([A-Za-z]{1,9})\.?(?:\s+(\d{4}))?\s*", text)
    if month is None:
        return departure_at(text)
    found = [number for number, name in enumerate(MONTHS, 1) if name.lower().startswith(month[1].lower())]
    if len(found) != 1:
        raise Misread(shown(text), 'name a month, such as "June" or "June 2027", or a day, such as "2027-06-12"')
    passed = found[0] < today.month or (found[0] == today.month and today.day >= MID_MONTH)
    year = int(month[2]) if month[2] else today.year + passed
    return departure_at(f"{year}-{found[0]:02}-{MID_MONTH} {LEAVES_AT:02}:00")


def _boat(text: str, today: date) -> NewBoat | Path:
    """``10.2 m``, ``10.2 m, 6.8 t, 48 m2``, or the folder of a boat."""
    first, *rest = (part.strip() for part in text.split(","))
    if not re.match(r"\s*[+-]?[\d.]", first) or Path(text.strip()).is_dir():
        return _boats_folder(text.strip())
    told: dict[str, float] = {}
    for part in (part for part in rest if part and part != "not known"):
        kind = "mass" if _is(part, "mass") else "area"
        told[kind] = _bounded(part, kind, *((300.0, 100_000.0) if kind == "mass" else (5.0, 500.0)))
    return NewBoat(_bounded(first, "length", 5.0, 24.0), told.get("mass"), told.get("area"))


def _boats_folder(text: str) -> Path:
    if not text.isprintable() or not (Path(text) / "boat.toml").is_file():
        raise Misread(shown(text), 'give her length, such as "10.2 m", or a folder with her boat.toml in it')
    return Path(text)


def _is(text: str, kind: str) -> bool:
    try:
        quantity(text, kind)
    except Misread:
        return False
    return True


def _crew(text: str, today: date) -> tuple[Hand, ...]:
    """``2``, or one after another: ``F 52 61 kg, M 55 82 kg``."""
    if NUMBER.fullmatch(text.strip()):
        number = float(text)
        if number not in range(1, 9):
            raise Misread(shown(text), "give 1 to 8 people")
        return (Hand(None, None, None),) * int(number)
    return tuple(_hand(part) for part in text.split(","))


def _hand(text: str) -> Hand:
    said = re.fullmatch(r"\s*([FM])\s+(\d{2})\s+(.+?)\s*", text)
    if said is None:
        raise Misread(shown(text), 'say how many, or of each sex, age and weight: "F 52 61 kg, M 55 82 kg"')
    if not 16 <= int(said[2]) <= 95:
        raise Misread(shown(text), "give an age of 16 to 95 years")
    return Hand(said[1], int(said[2]), _bounded(said[3], "mass", 35.0, 200.0))


def _tanks(text: str, today: date) -> tuple[float, float | None]:
    """Water, and fuel where there is an engine."""
    water, _, fuel = (part.strip() for part in text.partition(","))
    fuel_l = None if fuel in ("", NONE) else _bounded(fuel, "volume", 1.0, 5000.0)
    return _bounded(water, "volume", 5.0, 5000.0), fuel_l


def _power(text: str, today: date) -> tuple[float, float]:
    """Panels in watts, the house bank in ampere-hours."""
    if text.strip() == NONE:
        return 0.0, 0.0
    panels, comma, bank = (part.strip() for part in text.partition(","))
    if not comma:
        raise Misread(shown(text), 'give panels and house bank, such as "200 W, 200 Ah", or "none"')
    return 0.0 if panels == NONE else _bounded(panels, "power", 5.0, 1000.0), _bounded(bank, "charge", 10.0, 3000.0)


QUESTIONS = (
    Question("from", "From", "a harbour by name, with its country, or a position", "Las Palmas, Spain", _place),
    Question("to", "To", "the same; pilotage at both ends is yours, by the chart", "Mindelo, Cabo Verde", _place),
    Question("when", "When", "a month, or a day: it decides the winds", "November", _when),
    Question(
        "boat",
        "Boat",
        "length, weight and sail area, as in 10.2 m, 6.8 t, 48 m2; the last two may be left out; or her folder",
        "10 m",
        _boat,
    ),
    Question("crew", "Who sails", "how many; or sex, age and weight of each, as in F 52 61 kg, M 55 82 kg", "2", _crew),
    Question("tanks", "Water and fuel", "what the tanks hold; without an engine water alone", "200 L, 100 L", _tanks),
    Question("power", "Panels and house bank", "for the battery; none if you have neither", "200 W, 200 Ah", _power),
)


def answers_of(texts: Mapping[str, str], path: Path | None = None, today: date | None = None) -> Answers:
    """The answers as typed and, for what they leave out, those of a TOML file with the questions' keys, or else the
    defaults. Raises InputFaults, all at once.
    """
    today = today or datetime.now(UTC).date()
    if path is None:
        return _answers(texts, today, {}, "")
    document = read_document(path)
    if faults := list(_misfits(document)):
        raise InputFaults(faults)
    lines = {key: document.line((key,)) for key in document.values if key not in texts}
    return _answers({**document.values, **texts}, today, lines, path.name)


def _misfits(document: Document) -> Iterator[Fault]:
    keys = [question.key for question in QUESTIONS]
    for key, value in document.values.items():
        if key not in keys:
            yield document.fault((key,), "unknown key", f"the keys here are {', '.join(keys)}")
        elif not isinstance(value, str):
            yield document.fault((key,), shown_value(value), "write the answer in double quotes")


def _answers(texts: Mapping[str, str], today: date, lines: Mapping[str, int], file: str) -> Answers:
    told: dict[str, Any] = {}
    faults: list[Fault] = []
    for question in QUESTIONS:
        try:
            told[question.key] = question.read(texts.get(question.key, question.default), today)
        except Misread as misread:
            where, key = (file, question.key) if question.key in lines else (f"--{question.key}", "")
            faults.append(Fault(where, lines.get(question.key, 0), key, misread.found, misread.wanted))
    if faults:
        raise InputFaults(faults)
    tanks = texts.get("tanks", "")
    in_gallons = "gal" in tanks and "imp" not in tanks
    whole = told["from"], told["to"], told["when"], told["boat"], told["crew"], *told["tanks"], *told["power"]
    return replace(Answers(*whole), in_gallons=in_gallons)
