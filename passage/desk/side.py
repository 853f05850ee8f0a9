"""Beside what is planned: other tracks, other weeks, another boat; as a worker tells them to the desk."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from passage import api
from passage.inputs.folder import read_folder
from passage.inputs.position import parse_position
from passage.inputs.voyage import Voyage
from passage.plan.yearstrip import year_strip
from passage.tell.blocks import bare
from passage.tell.figures import day_words

if TYPE_CHECKING:
    from passage.desk.part import PartialAnswer
    from passage.inputs.folder import Facts
    from passage.offered import Offered
    from passage.plan.sheets.when import Departures

STRIP_WIDE_PT, STRIP_HIGH_PT = 640.0, 330.0


class Track(NamedTuple):
    """A track to choose. line: latitudes and longitudes along it, degrees."""

    number: int
    why: str
    figures: tuple[tuple[str, str], ...]
    waypoints: tuple[tuple[str, str, str], ...]  # name, position, how one sails to it
    lat_deg: list[float]
    lon_deg: list[float]


def track_told(one: Offered) -> Track:
    track = one.outcome.ground.track
    figures = (
        ("Distance", f"{one.distance_nm:u}"),
        ("Typical", f"{one.typical_days:u}"),
        ("Slow end", f"{one.slow_end_days:u}"),
        ("Hard on the wind", f"{one.hard_on_the_wind_h:u}"),
        ("28 kn and more", f"{one.rough_h:u}"),
        ("Calm", f"{one.calm_h:u}"),
        ("Water used", f"{one.water_used_l:u}"),
    )
    places = zip(one.waypoints, one.voyage.waypoints, strict=True)
    every = max(1, len(track.lat_deg) // 150)
    return Track(
        one.number,
        one.why,
        figures,
        tuple((turn.name, turn.position, place.sailing) for turn, place in places),
        [*map(float, track.lat_deg[::every]), float(track.lat_deg[-1])],
        [*map(float, track.lon_deg[::every]), float(track.lon_deg[-1])],
    )


class Week(NamedTuple):
    """A departure of the year."""

    depart: str
    words: str
    typical: str
    slow_end: str
    as_good: bool
    stormy: bool


def year_told(told: Departures) -> dict[str, Any]:
    """The strip as SVG, every week, and what is said of them."""
    southern = told.facts.voyage.waypoints[-1].position.latitude_deg < 0
    from passage.plan.sheets.when import when_short

    said = [bare(text) for block in when_short(told) if (text := getattr(block, "text", ""))]
    weeks = [
        Week(
            f"{start.depart_utc:%Y-%m-%d %H:%M}",
            f"{day_words(start.depart_utc)} {start.depart_utc.year}",
            _days(start.times.typical_days),
            _days(start.times.slow_end_days),
            bool(start.as_good),
            bool(start.stormy),
        )
        for start in told.starts
    ]
    strip = year_strip(told.starts, southern, STRIP_WIDE_PT, STRIP_HIGH_PT)
    return {"strip": strip, "weeks": weeks, "said": said, "crossings": told.crossings}


def _days(days: float) -> str:
    return f"{days:u}" if isfinite(days) else "not reached"


def otherwise(facts: Facts, depart: str, boat: str, waypoints: str) -> Facts:
    """The facts with one thing otherwise. depart: as the file has it; boat: a folder; waypoints: name, position and
    sailing, a line each, tabs between. Raises InputFaults.
    """
    if boat:
        return read_folder(facts.folder, facts.today, in_boat=Path(boat))
    if depart:
        departure = facts.voyage.departure.model_copy(update={"depart": api.moment(depart)})
        return replace(facts, voyage=facts.voyage.model_copy(update={"departure": departure}))
    rows = [line.split("\t") for line in waypoints.splitlines()]
    places = [{"name": name, "position": parse_position(at), "sailing": how} for name, at, how in rows]
    places[0].pop("sailing")
    kept = {name: getattr(facts.voyage, name) for name in facts.voyage.model_fields_set - {"waypoints", "route"}}
    return replace(facts, voyage=Voyage(**kept, waypoints=tuple(places)))


def compared(one: PartialAnswer, other: PartialAnswer, words: str) -> dict[str, Any]:
    """Both answers line by line."""
    beside = {line.key: line for line in other.lines}
    rows = [
        (line.head, line, beside[line.key], line.words != beside[line.key].words)
        for line in one.lines
        if line.key in beside and line.key not in ("verdict", "cyclones")
    ]
    return {"words": words, "rows": rows, "crossings": one.crossings, "boats": other.boats}
