"""What a voyage file may say: the waypoints, the day of departure and the reserves."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import AfterValidator, Field, PlainValidator

from passage.inputs.position import parse_latitude, parse_position
from passage.inputs.toml import (
    Measured,
    Misfit,
    Misfits,
    Name,
    NamedFile,
    Section,
    each_its_own,
    named_file,
    shown_value,
)
from passage.positions import Position, format_latitude, format_position
from passage.units import Misread, shown, written

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pydantic import ValidationInfo

FIRST_YEAR, LAST_YEAR = 2025, 2029  # the years of the magnetic model that gives the variation
STAYS = "leave it out: the stay after landfall is 'stay' of gear.toml, or the port in season.toml"
CONTROL_SHARE = 0.02  # how far the laid track may differ from the skipper's own figure
MOST_WAYPOINTS = 100
HourShare = Annotated[float, Measured("share", 0, 1)]
NEAREST_POLE_DEG = 85.0
LONGEST_STOP_H = 60 * 24.0  # a longer one parts two voyages
NEAREST_DEG = 1 / 600  # waypoints a tenth of a mile apart are one waypoint written twice
NO_CURRENT: Literal["none"] = "none"  # said in place of a file: the shipped averages are left out too
CurrentChoice = Path | Literal["none"] | None  # a file of one's own, no current, or the shipped averages


def _departure(given: object) -> datetime:
    """A departure in UTC from a TOML date-time, or from text such as ``2027-02-10 08:00``."""
    wanted = 'write day and hour in UTC, such as "2027-02-10 08:00"'
    if isinstance(given, str):
        return _in_range(_parsed(given, wanted), given)
    if not isinstance(given, datetime):
        raise Misread(shown_value(given), wanted)
    try:
        return _in_range(given.astimezone(UTC) if given.tzinfo else given.replace(tzinfo=UTC), str(given))
    except OverflowError:
        raise Misread(str(given), "there is no such day or hour in UTC's calendar") from None


def departure_at(text: str) -> datetime:
    """A departure (UTC) given on its own: ``2027-02-10 08:00``, or ``2027-02-10`` for noon. Raises Misread."""
    return _departure(f"{text.strip()} 12:00" if re.fullmatch(r"\s*\d{4}-\d{2}-\d{2}\s*", text) else text)


def _parsed(text: str, wanted: str) -> datetime:
    numbers = re.fullmatch(r"\s*(\d{4})-(\d{2})-(\d{2})[ T](\d{2}):(\d{2})(?: ?Z| ?UTC)?\s*", text, re.ASCII)
    if numbers is None:
        raise Misread(shown(text), wanted)
    try:
        return datetime(*map(int, numbers.groups()), tzinfo=UTC)  # type: ignore[arg-type, misc]
    except ValueError:
        raise Misread(shown(text), "there is no such day or hour in the calendar") from None


def _in_range(day: datetime, written: str) -> datetime:
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise Misread(written, f"the magnetic variation is known for {FIRST_YEAR} to {LAST_YEAR} only")
    return day


def _position(given: object) -> Position:
    if isinstance(given, Position):
        return given
    if isinstance(given, str):
        position = parse_position(given)
        if abs(position.latitude_deg) > NEAREST_POLE_DEG:
            raise Misread(shown(given), "nobody sails within five degrees of a pole; mend the latitude")
        return position
    raise Misread(shown_value(given), 'write the position in double quotes, such as "33 54.2S 18 25.5E"')


def _latitude(given: object) -> float:
    latitude = parse_latitude(given) if isinstance(given, str) else given
    if latitude == 0:
        raise Misread(shown_value(given), "the equator bounds neither side; write a latitude north or south of it")
    if isinstance(latitude, float):
        return latitude
    raise Misread(shown_value(given), 'write a latitude in double quotes, such as "40S"')


def _current(given: object, info: ValidationInfo) -> Path | Literal["none"]:
    """A file of one's own, or that no current is wanted."""
    return NO_CURRENT if given == NO_CURRENT else named_file(given, info)


def _exceedance(given: object) -> float:
    """The share of crossings from ``1 crossing in 20``."""
    if isinstance(given, float) and 0 < given < 1:
        return given
    odds = re.fullmatch(r"\s*1 (?:crossing )?in ([0-9]{1,4})\s*", given) if isinstance(given, str) else None
    if odds is None or not 5 <= int(odds[1]) <= 100:
        raise Misread(shown_value(given), 'write "1 crossing in 20", or another number from 5 to 100')
    return 1 / int(odds[1])


class HowSailed(Section):
    """How one sails a leg; ``limit_latitude_deg`` bounds a composite track."""

    sailing: Literal["great circle", "rhumb line", "composite"] = "great circle"
    limit_latitude_deg: Annotated[float, PlainValidator(_latitude)] | None = Field(None, alias="limit")

    def misfits(self) -> Iterator[Misfit]:
        if self.sailing == "composite" and self.limit_latitude_deg is None:
            yield Misfit(("sailing",), "composite without a limit", 'add limit = "40S", the latitude not to pass')
        if self.sailing != "composite" and self.limit_latitude_deg is not None:
            yield Misfit(("limit",), f"a limit on a {self.sailing}", 'only sailing = "composite" keeps a limit')


class RouteFile(HowSailed):
    """A GPX file whose route, or recorded track, is sailed in place of typed waypoints, every leg alike.

    ``name``: which of several routes in it.
    """

    file: NamedFile
    name: Name | None = None


class Waypoint(HowSailed):
    """A place on the way and how one sails to it.

    ``set_deg``, ``drift_kn``: the current on that leg, towards, in place of the shipped averages on all legs; a leg
    without them is then taken as slack. ``stop_h``: how long she lies there, on a call on the way.
    """

    name: Name
    position: Annotated[Position, PlainValidator(_position)]
    set_deg: Annotated[float, Measured("angle", 0, 360)] | None = None
    drift_kn: Annotated[float, Measured("speed", 0, 8)] | None = None
    stop_h: Annotated[float, Measured("duration", 0, LONGEST_STOP_H)] = 0.0

    def misfits(self) -> Iterator[Misfit]:
        yield from super().misfits()
        if self.set_deg is not None and self.drift_kn is None:
            yield Misfit(("set",), "a set without a drift", 'add drift = "0.5 kn"')
        if self.drift_kn is not None and self.set_deg is None:
            yield Misfit(("drift",), "a drift without a set", 'add set = "225 deg", the direction it flows towards')


class Departure(Section):
    """The voyage as a whole. ``boat``: the folder of the boat, where she has one of her own (``inputs/home.py``);
    ``expected_distance_nm``: the skipper's own figure; ``climate``, ``current``: paths of own
    winds and currents; ``current``: ``"none"`` for water that does not move, the shipped averages if left out.
    """

    name: Name
    depart: Annotated[datetime, PlainValidator(_departure)]
    boat: NamedFile | None = None
    expected_distance_nm: Annotated[float, Measured("distance", 1, 25_000)] | None = None
    climate: NamedFile | None = None
    current: Annotated[CurrentChoice, PlainValidator(_current)] = None

    @property
    def current_file(self) -> Path | None:
        """The file of currents of one's own, where there is one."""
        return None if self.current == NO_CURRENT else self.current


class Forecasting(Section):
    """A forecast to lay on top of the climate, and how far it is trusted, counted from its issue."""

    file: NamedFile | None = None
    half_weight_after_h: Annotated[float, Measured("duration", 6, 360)] = 120.0
    no_weight_after_h: Annotated[float, Measured("duration", 12, 384)] = 240.0

    def misfits(self) -> Iterator[Misfit]:
        if self.half_weight_after_h >= self.no_weight_after_h:
            found = written(self.half_weight_after_h, "duration")
            wanted = f"it must be less than no_weight_after, {written(self.no_weight_after_h, 'duration')}"
            yield Misfit(("half_weight_after",), found, wanted)


class DepartureRule(Section):
    """What the first hours must be like before she leaves; she looks again every day at the hour of departure.

    ``wind_under_kn`` and ``not_ahead`` are asked of six-hour means, as a forecast prints them. Without either there is
    no rule. After ``wait_at_most_h`` she leaves all the same.
    """

    first_h: Annotated[float, Measured("duration", 6, 120)] = 48.0
    wind_under_kn: Annotated[float, Measured("speed", 5, 60)] | None = None
    not_ahead: bool = False
    wait_at_most_h: Annotated[float, Measured("duration", 24, 720)] = 336.0

    @property
    def given(self) -> bool:
        return self.wind_under_kn is not None or self.not_ahead


class Reserve(Section):
    """What to load for. ``slow_end_share``: the share of crossings that take longer than the slow end.

    ``typical_factor``: stores also last this many typical passages, for breakages that no crossing sails.
    """

    slow_end_share: Annotated[float, PlainValidator(_exceedance)] = 1 / 20
    typical_factor: float = Field(1.5, ge=1, le=4)


class KindWeek(Section):
    """What makes a week kind to a small crew, as shares of the hours at sea (common practice, no source). At most so
    much of it: wind of 28 kn and more; hard on the wind; calm; air colder than ``cold_below_c``;
    air so damp over so cold a sea that fog is likely. ``counts`` false: weeks are marked by length alone.
    """

    counts: bool = True
    strong_wind_share: HourShare = 0.02
    hard_on_wind_share: HourShare = 0.2
    calm_share: HourShare = 0.15
    cold_share: HourShare = 0.1
    cold_below_c: Annotated[float, Measured("temperature", -5, 30)] = 10.0
    fog_share: HourShare = 0.1


def _in_order(waypoints: tuple[Waypoint, ...]) -> tuple[Waypoint, ...]:
    misfits = [misfit for index, pair in enumerate(pairwise(waypoints), 1) for misfit in _leg_misfits(index, *pair)]
    if waypoints and "sailing" in waypoints[0].model_fields_set:
        misfits.append(Misfit((0, "sailing"), "a sailing to the first waypoint", "leave it out: she starts there"))
    if waypoints and waypoints[0].drift_kn is not None:
        misfits.append(Misfit((0, "drift"), "a current to the first waypoint", "leave it out: she starts there"))
    for end, why in ((0, "leave it out: depart says when she leaves"), (len(waypoints) - 1, STAYS)):
        if waypoints and waypoints[end].stop_h > 0.0:
            misfits.append(Misfit((end, "stop"), "a stop at an end of the voyage", why))
    if misfits:
        raise Misfits(misfits)
    return waypoints


def _leg_misfits(index: int, here: Waypoint, there: Waypoint) -> Iterator[Misfit]:
    if same_place(here.position, there.position):
        yield Misfit((index, "position"), f"the place of {shown(here.name)}", "leave one of the two out")
    limit = there.limit_latitude_deg
    side = -1 if limit is not None and limit < 0 else 1
    furthest = max(side * here.position.latitude_deg, side * there.position.latitude_deg)
    if limit is not None and side * limit < furthest:
        found = format_latitude(limit)
        wanted = f"neither end may lie beyond it; the furthest is at {format_latitude(side * furthest)}"
        yield Misfit((index, "limit"), found, wanted)


def same_place(here: Position, there: Position) -> bool:
    """Whether two positions are one written twice."""
    apart_deg = abs((there.longitude_deg - here.longitude_deg + 180) % 360 - 180)
    return abs(there.latitude_deg - here.latitude_deg) < NEAREST_DEG and apart_deg < NEAREST_DEG


Waypoints = Annotated[tuple[Waypoint, ...], AfterValidator(each_its_own("name")), AfterValidator(_in_order)]


class Voyage(Section):
    """The whole voyage file, waypoints in the order they are sailed; ``route``: where they were read, if not here."""

    departure: Departure = Field(alias="voyage")
    waypoints: Waypoints = Field(alias="waypoint", strict=False, min_length=2, max_length=MOST_WAYPOINTS)
    route: RouteFile | None = None
    reserve: Reserve = Reserve()
    forecast: Forecasting = Forecasting()
    departure_rule: DepartureRule = DepartureRule()
    kind: KindWeek = KindWeek()

    @property
    def set_by_leg(self) -> bool:
        """Whether any leg tells its set and drift, which then count in place of all else."""
        return any(place.drift_kn is not None for place in self.waypoints)

    @property
    def current_away(self) -> CurrentChoice:
        """The current where no leg tells it: none where some do."""
        return NO_CURRENT if self.set_by_leg else self.departure.current

    def misfits(self) -> Iterator[Misfit]:
        if self.departure.current is not None and self.set_by_leg:
            given = "no current" if self.departure.current == NO_CURRENT else "a file"
            yield Misfit(("voyage", "current"), f"{given} and set and drift of legs", "keep one of the two")


def as_expected(expected_nm: float | None, laid_nm: float) -> bool:
    """Whether the laid track is as long as the skipper expected, or none was given."""
    return expected_nm is None or abs(laid_nm - expected_nm) / expected_nm <= CONTROL_SHARE


def control_sentence(expected_nm: float | None, laid_nm: float) -> str:
    """How the laid track compares with the distance that the skipper expected; empty where none was given."""
    if expected_nm is None:
        return ""
    figures = f"The track laid is {laid_nm:,.0f} nm long; the voyage file expects {expected_nm:,.0f} nm"
    if as_expected(expected_nm, laid_nm):
        return f"{figures}: they agree within {100 * CONTROL_SHARE:.0f} %."
    differs = laid_nm / expected_nm - 1.0
    more = "longer" if differs > 0 else "shorter"
    return f"{figures}: it is {100 * abs(differs):.0f} % {more}. Check waypoints and figure before trusting either."


# ---------------------------------------------------------------- waypoints to copy


def waypoints_toml(voyage: Voyage) -> str:
    """Every waypoint as ``voyage.toml`` wants it, to stand in place of those in the file."""
    return "\n\n".join(_waypoint_toml(waypoint) for waypoint in voyage.waypoints)


def _waypoint_toml(waypoint: Waypoint) -> str:
    lines = ["[[waypoint]]", f"name = {_quoted(waypoint.name)}", f"position = {_quoted(_exactly(*waypoint.position))}"]
    if waypoint.sailing != "great circle":
        lines.append(f"sailing = {_quoted(waypoint.sailing)}")
    if waypoint.limit_latitude_deg is not None:
        lines.append(f"limit = {_quoted(format_latitude(waypoint.limit_latitude_deg))}")
    if waypoint.set_deg is not None and waypoint.drift_kn is not None:
        lines.append(f"set = {_quoted(written(waypoint.set_deg, 'angle'))}")
        lines.append(f"drift = {_quoted(written(waypoint.drift_kn, 'speed'))}")
    if waypoint.stop_h > 0.0:
        lines.append(f"stop = {_quoted(written(waypoint.stop_h, 'duration'))}")
    return "\n".join(lines)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)  # JSON's quoting of text is TOML's too


def _exactly(lat_deg: float, lon_deg: float) -> str:
    """Degrees and minutes, or decimal degrees where tenths of a minute would move the waypoint."""
    text = format_position(lat_deg, lon_deg)
    again = parse_position(text)
    moved = max(abs(again.latitude_deg - lat_deg), abs(again.longitude_deg - lon_deg))
    return text if moved < 1e-6 else f"{lat_deg:.6f} {lon_deg:.6f}"
