"""What a watch file may say: who keeps the watch, how long, how much each really sleeps, fixed hours, look-out.

``watch.toml`` is optional and so is every key in it; what it leaves out has one good default. Clock hours are ship's
time.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import AfterValidator, Field, PlainValidator

from passage.errors import InputFaults
from passage.inputs.half_hours import (
    HALF_HOURS,
    changes_of,
    half_hours_stood,
    own_half_hours,
    rings,
    spans,
    stands_some_rota,
)
from passage.inputs.toml import Document, Measured, Misfit, Name, Section, each_its_own, shown_value
from passage.units import Misread, shown, written

if TYPE_CHECKING:
    from collections.abc import Iterator

WATCH_FILE = "watch.toml"
MOST_KEEPERS = 4


def _clock(given: object) -> float:
    """Hours from midnight of ``18:30``; 24:00 is the day's end."""
    if isinstance(given, float):
        return given
    numbers = re.fullmatch(r"\s*([0-9]{1,2}):([0-9]{2})\s*", given, re.ASCII) if isinstance(given, str) else None
    if numbers is None:
        raise Misread(shown_value(given), 'write a time of ship\'s day, such as "18:30"')
    hour, minute = int(numbers[1]), int(numbers[2])
    if minute > 59 or hour * 60 + minute > 24 * 60:
        raise Misread(shown_value(given), "the day runs from 00:00 to 24:00")
    return hour + minute / 60


def _half_hour(given: object) -> float:
    hour = _clock(given)
    if (2 * hour) % 1:
        raise Misread(shown_value(given), "watches change on whole and half hours")
    return hour


def _window(given: object) -> tuple[float, float]:
    """(from, to) of ``20:00-08:00``, over midnight if need be."""
    if isinstance(given, tuple):
        return given
    parts = given.split("-") if isinstance(given, str) else []
    if len(parts) != 2:
        raise Misread(shown_value(given), 'write from and to, such as "20:00-08:00"')
    return _half_hour(parts[0]), _half_hour(parts[1])


Clock = Annotated[float, PlainValidator(_clock)]
HalfHour = Annotated[float, PlainValidator(_half_hour)]
Window = Annotated[tuple[float, float], PlainValidator(_window)]
Sleep = Annotated[float, Measured("duration", 1, 14)]
WatchLength = Annotated[float, Measured("duration", 0.5, 12)]
Names = Annotated[tuple[Name, ...], Field(strict=False)]


class Days(Section):
    """One kind of days: how long a watch may be, and what each really sleeps in 24 hours. Free time is not sleep."""

    shortest_h: WatchLength
    longest_h: WatchLength
    sleep_h: Sleep

    def misfits(self) -> Iterator[Misfit]:
        if self.longest_h < self.shortest_h:
            shortest = written(self.shortest_h, "duration")
            yield Misfit(("longest",), written(self.longest_h, "duration"), f"it must be shortest, {shortest}, or more")


class Settled(Days):
    """Ordinary days. The sleep is a middling figure between shore and race (common practice, no source)."""

    shortest_h: WatchLength = 3.0
    longest_h: WatchLength = 6.0
    sleep_h: Sleep = 6.5


class Rough(Days):
    """Heavy weather: short watches. Double-handed racers were measured at 3 h a day, single-handed at 4 to 4.6."""

    shortest_h: WatchLength = 2.0
    longest_h: WatchLength = 3.0
    sleep_h: Sleep = 5.0


class FirstDays(Rough):
    """Until the crew has its sea legs."""

    days: int = Field(3, ge=0, le=7)


class WatchKeeper(Section):
    """What is special about one of the crew. ``sleep_share``: of the sleep of such days; ``stands``: when they may
    keep the watch.
    """

    role: Name
    sleep_share: Annotated[float, Measured("share", 0.3, 1.5)] = 1.0
    bad_at_dawn: bool = False
    stands: tuple[Window, ...] = Field((), strict=False, max_length=6)


class FixedHour(Section):
    """An hour at which people are up beside the watch: a shared meal, a radio time. ``who``: roles; everybody if left
    out.
    """

    what: Name
    at_h: Clock
    lasts_h: Annotated[float, Measured("duration", 0.25, 6)] = 1.0
    who: Names = ()


class Cooking(Section):
    """Who cooks, and when, and would rather not be on watch then."""

    who: Name
    at_h: Clock = 17.0
    lasts_h: Annotated[float, Measured("duration", 0.25, 4)] = 1.0


class OwnWatch(Section):
    """One watch of the crew's own rota. ``day``: of a rota that repeats after more than one."""

    who: Name
    from_h: HalfHour
    to_h: HalfHour
    day: int = Field(1, ge=1, le=4)


class LookOut(Section):
    """What the look-out has to see with. ``safe_nm``: how far off a ship must be known; ``react_h``: from seeing to
    being clear.
    """

    eye_height_m: Annotated[float, Measured("length", 0.5, 20)] = 2.5
    ship_speed_kn: Annotated[float, Measured("speed", 1, 45)] = 20.0
    visibility_nm: Annotated[float, Measured("distance", 0.05, 30)] = 10.0
    ais: Literal["none", "receiver", "transceiver"] = "none"
    ais_range_nm: Annotated[float, Measured("distance", 0.5, 40)] = 8.0
    safe_nm: Annotated[float, Measured("distance", 0.1, 10)] = 1.0
    react_h: Annotated[float, Measured("duration", 0, 1)] = 0.05


class Alone(Section):
    """One person left to keep the boat. Sixteen sailors of a solo transatlantic race slept 4.1 and 4.6 h a day
    (Hurdiel et al.).

    ``longest_interval_h``: the most from look to look while sleeping that the skipper will bear.
    """

    sleep_h: Sleep = 4.6
    longest_interval_h: Annotated[float, Measured("duration", 0.5, 2)] = 0.75


class Rest(Section):
    """What a free spell loses before sleep and after it, and the shortest nap worth lying down for."""

    settle_h: Annotated[float, Measured("duration", 0, 2)] = 0.5
    dress_h: Annotated[float, Measured("duration", 0, 2)] = 0.25
    shortest_nap_h: Annotated[float, Measured("duration", 0.1, 2)] = 1 / 3


def _own_covers(own: tuple[OwnWatch, ...]) -> tuple[OwnWatch, ...]:
    """Refuse an own rota that leaves a half hour without a watch-keeper or gives it two."""
    days = max((watch.day for watch in own), default=0)
    times = Counter(at for watch in own for at in own_half_hours(watch, days))
    wanted = "give every hour of the day one watch-keeper"
    for day in range(days):
        today = [times[day * HALF_HOURS + at] for at in range(HALF_HOURS)]
        of_day = f" of day {day + 1}" if days > 1 else ""
        if missing := [at for at, kept in enumerate(today) if kept == 0]:
            raise Misread(f"nobody keeps {spans(missing)}{of_day}", wanted)
        if twice := [at for at, kept in enumerate(today) if kept > 1]:
            raise Misread(f"{spans(twice)}{of_day} is kept twice", wanted)
    return own


Own = Annotated[tuple[OwnWatch, ...], AfterValidator(_own_covers)]
WatchKeepers = Annotated[tuple[WatchKeeper, ...], AfterValidator(each_its_own("role"))]


class Watch(Section):
    """The whole watch file. ``keepers``: the roles that stand watches, in the order of the watches; the whole crew if
    left out, nobody where that is more than rotas are made for.
    """

    keepers: Names = ()
    on_watch: int = Field(1, ge=1, le=3)
    standby: int | None = Field(None, ge=0, le=2)
    settled: Settled = Settled()
    first_days: FirstDays = FirstDays()
    rough: Rough = Rough()
    people: WatchKeepers = Field((), alias="person", strict=False, max_length=MOST_KEEPERS)
    fixed: tuple[FixedHour, ...] = Field((), strict=False, max_length=12)
    cooking: Cooking | None = None
    own: Own = Field((), strict=False, max_length=48)
    alone: Alone = Alone()
    rest: Rest = Rest()
    lookout: LookOut = LookOut()


def read_watch(document: Document, roles: tuple[str, ...] | None) -> Watch:
    """``watch.toml`` as read, with ``keepers`` filled in from the crew's roles; all defaults where it says nothing.

    roles: None where the crew file is at fault; nobody can then be said to be missing from it. A larger crew than rotas
    are made for has no keepers until a file names them, so that all else can be planned.
    Raises InputFaults with everything that is wrong in the file or does not fit the crew.
    """
    watch = document.read(Watch)
    if roles is None or (len(roles) > MOST_KEEPERS and watch == Watch()):
        return watch
    watch = watch.model_copy(update={"keepers": watch.keepers or roles})
    if faults := [document.fault(*misfit) for misfit in crew_misfits(watch, roles)]:
        raise InputFaults(faults)
    return watch


def crew_misfits(watch: Watch, roles: tuple[str, ...]) -> list[Misfit]:
    """What in a watch file, its keepers filled in, does not fit the crew."""
    keepers = watch.keepers
    if len(keepers) > MOST_KEEPERS:
        return [Misfit(("keepers",), f"{len(keepers)} people", f"name the one to {MOST_KEEPERS} who keep watches")]
    misfits = [
        Misfit(("keepers", at), shown(role), f"the crew file has {', '.join(roles)}, each named once here")
        for at, role in enumerate(keepers)
        if role not in roles or role in keepers[:at]
    ]
    misfits += [
        Misfit(key, shown(role), f"the watch-keepers are {', '.join(keepers)}")
        for key, role in _named(watch)
        if role not in keepers
    ]
    return misfits or [*_number_misfits(watch), *_hours_misfits(watch)] or [*_rota_misfits(watch)]


def _named(watch: Watch) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """(key, role) of everybody the file names, the keepers themselves apart."""
    yield from ((("person", at, "role"), person.role) for at, person in enumerate(watch.people))
    yield from ((("own", at, "who"), own.who) for at, own in enumerate(watch.own))
    if watch.cooking:
        yield ("cooking", "who"), watch.cooking.who
    for at, fixed in enumerate(watch.fixed):
        yield from ((("fixed", at, "who", k), role) for k, role in enumerate(fixed.who))


def _number_misfits(watch: Watch) -> Iterator[Misfit]:
    people = len(watch.keepers)
    if people > 1 and watch.on_watch >= people:
        yield Misfit(("on_watch",), f"{watch.on_watch} of {people} people", "somebody must be off; give fewer")
    elif watch.on_watch + (watch.standby or 0) > max(people, 1):
        found = f"{watch.on_watch} on watch and {watch.standby} on standby of {people} people"
        yield Misfit(("standby",) if watch.standby else ("on_watch",), found, "give fewer")
    for name in ("settled", "first_days", "rough"):
        days: Days = getattr(watch, name)
        if days.longest_h < 0.5 * watch.on_watch:
            found = f"{written(days.longest_h, 'duration')} with {watch.on_watch} on watch"
            yield Misfit((name, "longest"), found, "they change half an hour apart at the least: give more")


def _hours_misfits(watch: Watch) -> Iterator[Misfit]:
    """Hours that too few may stand."""
    may_stand = [half_hours_stood(watch, role) for role in watch.keepers]
    short = [at for at in range(HALF_HOURS) if sum(at in stood for stood in may_stand) < watch.on_watch]
    if short:
        found = f"{spans(short)} is left to fewer than {watch.on_watch} of the watch-keepers"
        at = next((k for k, person in enumerate(watch.people) if person.stands), 0)
        yield Misfit(("person", at, "stands"), found, "widen the hours in which somebody stands")


def _rota_misfits(watch: Watch) -> Iterator[Misfit]:
    """Bounds that no rota keeps: no number of such watches makes a day, or none does within the hours people stand."""
    if len(watch.keepers) < 2:
        return
    for name in ("settled", "first_days", "rough"):
        days: Days = getattr(watch, name)
        shortest, longest = changes_of(days.shortest_h, days.longest_h, watch.on_watch)
        bounds = f"watches of {written(days.shortest_h, 'duration')} to {written(days.longest_h, 'duration')}"
        if not rings(shortest, longest):
            yield Misfit((name, "longest"), bounds, "no number of them makes 24 h: widen the two")
        elif not stands_some_rota(watch, shortest, longest):
            at = next(k for k, person in enumerate(watch.people) if person.stands)
            wanted = f"in {name} no rota of {bounds} keeps to these hours: widen the one or the other"
            yield Misfit(("person", at, "stands"), "hours that some may not stand", wanted)
