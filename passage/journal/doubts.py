"""What is questioned before it is kept: numbers that can be written down but are hard to believe.

A doubt is a sentence, never a refusal: the person on board decides and says ``--yes``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from passage.errors import PassageError
from passage.journal.reckoning import Point, hours_between, points, run, sailed_nm, stream
from passage.journal.record import Entry, stamp
from passage.positions import format_position
from passage.tell.figures import Figure, amount

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import datetime

    from passage.journal.entries import Setting

# How far beyond her hull speed a run is believed: some surfing and a fair current. Our choice; who did better says so.
SURFING = 1.1
FAIR_CURRENT_KN = 1.5
NEAR_NM = 5.0
UNKNOWN_HULL_KN = 10.0
FASTEST_STREAM_KN = 3.0
BIGGEST_CHANGE_HPA = 30.0
STRONGEST_WIND_KN = 64.0
SOUNDING_L = 2.0  # two soundings of one tank in a seaway differ by this much
AHEAD_H = 1.0
SAME_NOON_H = 6.0  # nobody keeps two noons of two days so near one another
FARTHER_NM = 100.0  # from where she is bound: a gale lain to costs less, east written for west costs more
SPEED_AGREES = 0.3


class Doubtful(PassageError):
    """What was typed is hard to believe; nothing was kept."""

    def __init__(self, doubts: Sequence[str]) -> None:
        self.doubts = tuple(doubts)
        super().__init__("\n".join((*self.doubts, "Nothing was kept. If it is so, say it again with --yes.")))


def doubts(entry: Entry, before: Sequence[Entry], setting: Setting, clock: datetime | None) -> tuple[str, ...]:
    """Sentences that question ``entry``, not yet kept, beside the standing entries before it; ``clock``: the
    computer's, None where it is known to be wrong.
    """
    earlier = [each for each in before if each.time <= entry.time and each.number != entry.number]
    return (
        *_of_landfall(entry, earlier),
        *_of_time(entry, before, clock),
        *_of_run(entry, earlier, setting),
        *_of_water(entry.body, earlier, setting),
        *_of_engine(entry, earlier, setting),
        *_of_weather(entry.body, earlier),
    )


def _of_landfall(entry: Entry, earlier: Sequence[Entry]) -> Iterator[str]:
    made = next((each for each in earlier if each.kind == "landfall"), None)
    if made and entry.kind in ("noon", "landfall"):
        yield f"Entry {made.number} is the landfall, {_day(made.time)}; a new passage begins with log start. Sure?"


def _of_time(entry: Entry, before: Sequence[Entry], clock: datetime | None) -> Iterator[str]:
    last = before[-1] if before else None
    if same := next((each for each in before if _same_noon(each, entry)), None):
        yield f"Entry {same.number} is the noon of {_day(same.time)} already; log correct {same.number} mends it. Sure?"
    if entry.kind in ("noon", "landfall") and last and entry.time < last.time:
        back = _span(hours_between(entry.time, last.time))
        yield f"{_day(entry.time)} is {back} before entry {last.number}, {_day(last.time)}; is the clock right? sure?"
    if clock is not None and hours_between(clock, entry.time) > AHEAD_H:
        ahead = _span(hours_between(clock, entry.time))
        yield f"{_day(entry.time)} is {ahead} ahead of the computer's clock; sure?"


def _same_noon(one: Entry, other: Entry) -> bool:
    apart_h = abs(hours_between(one.time, other.time))
    return one.kind == other.kind == "noon" and one.number != other.number and apart_h < SAME_NOON_H


def _of_run(entry: Entry, earlier: Sequence[Entry], setting: Setting) -> Iterator[str]:
    before = points(earlier)
    here = points((*earlier, entry))[len(before) :]
    if not before or not here:
        return
    start, end = before[-1], here[-1]
    made, miles = run(start, end), sailed_nm(entry, hours_between(start.time, end.time))
    if end.fix and made.distance_nm > NEAR_NM + _fastest_kn(setting) * made.hours:
        yield f"That is {made.distance_nm:.0f} miles in {made.hours:.0f} hours from {_place(start)}; sure?"
    elif end.fix and (farther_nm := _farther_nm(start, end, setting)) > FARTHER_NM:
        yield f"That is {farther_nm:.0f} miles farther from {setting.destination} than {_place(start)}; sure?"
    elif miles is not None and "course_deg" in entry.body:
        yield from _of_stream(start, end, entry.body["course_deg"], miles)
    if miles is not None and miles > NEAR_NM + _fastest_kn(setting) * made.hours:
        yield f"That is {miles:.0f} miles by log in {made.hours:.0f} hours; sure?"
    elif "speed_kn" in entry.body and "log_nm" in entry.body:
        yield from _of_speed(entry.body["speed_kn"] * made.hours, entry.body["log_nm"])


def _farther_nm(start: Point, end: Point, setting: Setting) -> float:
    """By how much she has gone away from where she is bound; 0 where the log does not know the place."""
    if setting.bound_for is None:
        return 0.0
    lat_deg, lon_deg = setting.bound_for
    there = Point(end.time, lat_deg, lon_deg, True, 0.0, 0)
    return run(end, there).distance_nm - run(start, there).distance_nm


def _of_speed(by_speed_nm: float, log_nm: float) -> Iterator[str]:
    if abs(by_speed_nm - log_nm) > SPEED_AGREES * max(by_speed_nm, log_nm) + NEAR_NM:
        yield f"The speed makes {by_speed_nm:.0f} miles, the log says {log_nm:.0f}; sure?"


def _of_stream(start: Point, end: Point, course_deg: float, miles: float) -> Iterator[str]:
    found = stream(start, end, course_deg, miles)
    if found is not None and found.drift_kn > FASTEST_STREAM_KN:
        yield f"Course and log against the fix make a set of {found.set_deg:03.0f} at {found.drift_kn:.1f} knots; sure?"


def _l(litres: float) -> Figure:
    return amount(litres, "", places=0, unit="L")


def _of_water(body: Mapping[str, Any], earlier: Sequence[Entry], setting: Setting) -> Iterator[str]:
    known = latest(earlier, "water_l")
    for tank, litres in body.get("water_l", {}).items():
        capacity = setting.tanks_l.get(tank)
        if capacity is not None and litres > capacity + SOUNDING_L:
            yield f"{tank} holds {_l(capacity):u} and not {_l(litres)}; sure?"
        elif litres > known.get(tank, litres) + SOUNDING_L:
            yield f"{tank} has risen from {_l(known[tank]):u} to {_l(litres)}; rain or the watermaker? sure?"


def _of_engine(entry: Entry, earlier: Sequence[Entry], setting: Setting) -> Iterator[str]:
    fuel_l, engine_h = entry.body.get("fuel_l"), entry.body.get("engine_h")
    fuel_before, meter_before = _last(earlier, "fuel_l"), _last(earlier, "engine_h")
    if fuel_l is not None and setting.fuel_l and fuel_l > setting.fuel_l + SOUNDING_L:
        yield f"The fuel tanks hold {_l(setting.fuel_l):u} and not {_l(fuel_l)}; sure?"
    elif fuel_l is not None and fuel_before and fuel_l > fuel_before.body["fuel_l"] + SOUNDING_L:
        yield f"Fuel has risen from {_l(fuel_before.body['fuel_l']):u} to {_l(fuel_l)}; sure?"
    if engine_h is None or meter_before is None:
        return
    ran_h, elapsed_h = engine_h - meter_before.body["engine_h"], hours_between(meter_before.time, entry.time)
    if not -0.05 <= ran_h <= elapsed_h + 0.5:
        yield f"The engine's meter has gone {ran_h:.1f} hours on in {elapsed_h:.0f}; sure?"


def _of_weather(body: Mapping[str, Any], earlier: Sequence[Entry]) -> Iterator[str]:
    if body.get("wind_kn", 0.0) > STRONGEST_WIND_KN:
        yield f"{body['wind_kn']:.0f} knots of wind is a hurricane; sure?"
    before = _last(earlier, "pressure_hpa")
    if before and "pressure_hpa" in body:
        change = body["pressure_hpa"] - before.body["pressure_hpa"]
        if abs(change) > BIGGEST_CHANGE_HPA:
            yield f"The barometer has gone {change:+.0f} hPa since entry {before.number}; sure?"


def latest(entries: Sequence[Entry], name: str) -> dict[str, Any]:
    """The latest value of each tank, person or part that a field is given for one by one."""
    known: dict[str, Any] = {}
    for entry in entries:
        known |= entry.body.get(name, {})
    return known


def _last(entries: Sequence[Entry], name: str) -> Entry | None:
    return next((entry for entry in reversed(entries) if name in entry.body), None)


def _fastest_kn(setting: Setting) -> float:
    return SURFING * (setting.hull_speed_kn or UNKNOWN_HULL_KN) + FAIR_CURRENT_KN


def _span(hours: float) -> str:
    return f"{hours / 24.0:.0f} days" if hours >= 48.0 else f"{hours:.0f} hours"


def _day(moment: datetime) -> str:
    return stamp(moment)[:16].replace("T", " ")


def _place(point: Point) -> str:
    return format_position(point.lat_deg, point.lon_deg)
