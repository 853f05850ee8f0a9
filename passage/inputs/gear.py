"""What a gear file may say: the gear register, papers, jobs, spares, seacocks, sails, and who she is to those ashore.

The file is optional and every table in it is. A date that is left out is an answer too: the age is then
unknown, and the thing is to be proved before leaving.
"""

from __future__ import annotations

import re
from collections import Counter
from datetime import date, datetime
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING, Annotated, Any, Literal, NamedTuple

from pydantic import Field, PlainValidator, ValidationInfo

from passage.errors import Fault, InputFaults
from passage.inputs.failure import Failure
from passage.inputs.sails import Rig, Sail
from passage.inputs.toml import (
    Document,
    KeyPath,
    Measured,
    Misfit,
    Name,
    Section,
    millimetres,
    shown_value,
)
from passage.units import Misread, shown, written

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from passage.inputs.boat import Hull

GEAR_FILE = "gear.toml"
PAST_KEYS = frozenset({"fitted", "serviced", "inspected", "worked", "bought"})  # dates of what has been done
MOST_WORK_DAYS = 3650.0  # more is a slip of the pen, and soon runs past the end of the calendar


def _failure(given: object) -> Failure:
    if isinstance(given, str) and given in set(Failure):
        return Failure(given)
    raise Misread(shown_value(given), 'write "sinks us", "stops us", "hurts someone" or "annoys"')


def _day(given: object) -> date:
    if isinstance(given, date) and not isinstance(given, datetime):
        return given
    raise Misread(shown_value(given), "write a date without quotes, such as 2027-04-15")


def _months(given: object, info: ValidationInfo) -> int:
    """Months from ``"18 months"`` or ``"10 years"``; a whole number only from code."""
    if isinstance(given, int) and not isinstance(given, bool) and info.context is None:
        return given
    match = re.fullmatch(r"\s*([0-9]{1,3}) (month|year)s?\s*", given) if isinstance(given, str) else None
    if match is None or int(match[1]) == 0:
        raise Misread(shown_value(given), 'write "18 months" or "10 years"')
    return int(match[1]) * (12 if match[2] == "year" else 1)


Day = Annotated[date, PlainValidator(_day)]
Months = Annotated[int, PlainValidator(_months)]
Bore = Annotated[float, millimetres(1, 300, "38 mm")]
FailureClass = Annotated[Failure, PlainValidator(_failure)]
Lead = Annotated[float, Measured("duration", 0, 400 * 24.0)]
Cost = Annotated[float, Field(ge=0, le=1e7, strict=False)]
Words = Annotated[str, Field(max_length=200)]
Names = Annotated[tuple[Name, ...], Field(strict=False)]


class GearItem(Section):
    """One thing aboard that can fail.

    kind and material choose the starter rule; failure overrides its class; expires: date on the maker's label;
    running_h: hours since it was last serviced; replace_every_months, service_every_months, service_every_h:
    the owner's own rule; unproven: what was changed since it was last used in earnest; parts: what wears in it,
    as written on the spares.
    """

    name: Name
    kind: Name
    material: Words = ""
    failure: FailureClass | None = None
    place: Words = ""
    fitted: Day | None = None
    serviced: Day | None = None
    inspected: Day | None = None
    expires: Day | None = None
    running_h: Annotated[float, Measured("duration", 0, 100_000)] | None = None
    replace_every_months: Months | None = Field(None, alias="replace_every")
    service_every_months: Months | None = Field(None, alias="service_every")
    service_every_h: Annotated[float, Measured("duration", 1, 100_000)] | None = Field(
        None, alias="service_every_hours"
    )
    unproven: Words = ""
    parts: Names = ()
    cost: Cost | None = None

    def misfits(self) -> Iterator[Misfit]:
        for key in ("serviced", "inspected"):
            done = getattr(self, key)
            if done and self.fitted and done < self.fitted:
                yield Misfit((key,), done.isoformat(), f"it cannot lie before fitted, {self.fitted.isoformat()}")


class Paper(Section):
    """One paper or formality.

    expires: last day it is good; beyond_months: how long after the stay it must still be good; in_hand: already
    held; due: whether it is wanted at departure or at arrival; lead_h: time that getting it takes, or notice it
    must be given.
    """

    name: Name
    holder: Words = ""
    expires: Day | None = None
    beyond_months: Months | None = Field(None, alias="valid_beyond")
    in_hand: bool = True
    due: Literal["departure", "arrival"] = "departure"
    lead_h: Lead = 0.0
    cost: Cost | None = None
    note: Words = ""


class Job(Section):
    """One job before leaving.

    hauled: only with the boat out of the water; work_h: hours of the crew's work; lead_h: waiting from today
    for parts or people; after: names of jobs that come first; gear: the item of the register it mends; failure:
    what leaving it undone does.
    """

    name: Name
    place: Words = ""
    hauled: bool = False
    work_h: Annotated[float, Measured("duration", 0, 5000)] | None = None
    lead_h: Lead = 0.0
    cost: Cost | None = None
    after: Names = ()
    gear: Name | None = None
    failure: FailureClass = Failure.STOPS
    done: bool = False


class Spare(Section):
    """A spare aboard. part: what it is, as the gear names it (size, thread, number); fits: other parts it serves as."""

    name: Name
    part: Name
    count: int = Field(1, ge=0, le=1000)
    fits: Names = ()
    place: Words = ""


class Stowed(Section):
    """Anything at all, and where it is: medicines above all. amount, use: in your words; expires: on its packet."""

    name: Name
    place: Words = ""
    amount: Words = ""
    use: Words = ""
    expires: Day | None = None


class Seacock(Section):
    """A hole in the hull and the valve on it.

    along_m: from the bow aft; athwart_m: from the centreline, starboard positive; below_waterline_m: depth of
    the hole; normally: how it is kept at sea; plug: a softwood plug tied on; clips: hose clips on its tail.
    """

    name: Name
    place: Words = ""
    along_m: Annotated[float, Measured("length", 0, 30)]
    athwart_m: Annotated[float, Measured("length", -6, 6)]
    below_waterline_m: Annotated[float, Measured("length", 0, 5)]
    bore_mm: Bore = Field(alias="bore")
    material: Words = ""
    fitted: Day | None = None
    serviced: Day | None = None
    inspected: Day | None = None
    worked: Day | None = None
    normally: Literal["open", "shut"] = "open"
    plug: bool = False
    clips: int = Field(0, ge=0, le=4)


class Upkeep(Section):
    """Something to be seen to again and again underway. every_h: so long after it was last done; every_engine_h: so
    many engine hours after; whichever comes first.
    """

    name: Name
    every_h: Annotated[float, Measured("duration", 1, 400 * 24.0)] | None = None
    every_engine_h: Annotated[float, Measured("duration", 1, 10_000)] | None = Field(None, alias="every_engine_hours")

    def misfits(self) -> Iterator[Misfit]:
        if self.every_h is None and self.every_engine_h is None:
            yield Misfit(("every",), "not given", 'give every = "2 days", or every_engine_hours = "50 h"')


class WorkPlan(Section):
    """How the work goes.

    daily_work_h: hours the crew works a day, together; haul_out_h: time lost in lifting and launching.
    """

    daily_work_h: Annotated[float, Measured("duration", 0.5, 40)] = 6.0
    haul_out_h: Annotated[float, Measured("duration", 0, 720)] = 24.0
    haul_out_cost: Cost | None = None
    currency: Words = ""


class Identity(Section):
    """Who she is to those ashore; everything the distress call and the float plan can say beyond the boat file."""

    call_sign: Words = ""
    mmsi: Words = ""
    flag: Words = ""
    port: Words = ""
    registration: Words = ""
    hull_colour: Words = ""
    sail_mark: Words = ""
    features: Words = ""
    radios: Words = ""
    satellite_number: Words = ""
    epirb_id: Words = Field("", alias="epirb")
    liferaft: Words = ""

    def misfits(self) -> Iterator[Misfit]:
        if self.mmsi and not re.fullmatch(r"[2-7][0-9]{8}", self.mmsi):
            yield Misfit(("mmsi",), shown(self.mmsi), "a ship's MMSI is nine digits and begins with 2 to 7")


class Contact(Section):
    """Somebody ashore who holds the float plan."""

    name: Name
    telephone: Name
    email: Words = ""
    part: Words = ""


class Late(NamedTuple):
    """Hours past the slow end when those ashore begin to ask, and when they call the rescue service."""

    worry_h: float
    alarm_h: float


class FloatPlan(Section):
    """When to worry and whom to call. worry_after_h, alarm_after_h: time past the slow end of the passage; None: as
    ``late`` has it.
    """

    rescue_authority: Words = ""
    rescue_telephone: Words = ""
    report_every_h: Annotated[float, Measured("duration", 1, 720)] | None = None
    worry_after_h: Annotated[float, Measured("duration", 0, 2400)] | None = None
    alarm_after_h: Annotated[float, Measured("duration", 0, 2400)] | None = None

    def late(self, slow_end_h: float) -> Late:
        """slow_end_h: from departure. Where nothing is said, a quarter and five eighths of it, at most two days and
        five, at least three hours and six: so of a passage of a day help is asked for by the next. Common practice, no
        source.
        """
        worry_h = min(max(slow_end_h / 4.0, 3.0), 48.0) if self.worry_after_h is None else self.worry_after_h
        alarm_h = min(max(slow_end_h * 0.625, 6.0), 120.0) if self.alarm_after_h is None else self.alarm_after_h
        if self.worry_after_h is None:
            return Late(min(worry_h, alarm_h), alarm_h)
        return Late(worry_h, max(worry_h, alarm_h))

    def misfits(self) -> Iterator[Misfit]:
        worry_h, alarm_h = self.worry_after_h, self.alarm_after_h
        if worry_h is not None and alarm_h is not None and alarm_h < worry_h:
            wanted = f"it cannot come before worry_after, {worry_h:g} h"
            yield Misfit(("alarm_after",), f"{alarm_h:g} h", wanted)


class Gear(Section):
    """The whole gear file. stay_h: how long after landfall before anything can be serviced, renewed or replaced."""

    stay_h: Lead = 0.0
    items: tuple[GearItem, ...] = Field((), alias="gear", strict=False, max_length=500)
    papers: tuple[Paper, ...] = Field((), alias="paper", strict=False, max_length=200)
    jobs: tuple[Job, ...] = Field((), alias="job", strict=False, max_length=500)
    spares: tuple[Spare, ...] = Field((), alias="spare", strict=False, max_length=500)
    stowed: tuple[Stowed, ...] = Field((), strict=False, max_length=500)
    upkeep: tuple[Upkeep, ...] = Field((), strict=False, max_length=100)
    seacocks: tuple[Seacock, ...] = Field((), alias="seacock", strict=False, max_length=100)
    sails: tuple[Sail, ...] = Field((), alias="sail", strict=False, max_length=30)
    rig: Rig | None = None
    work: WorkPlan = WorkPlan()
    identity: Identity = Identity()
    contacts: tuple[Contact, ...] = Field((), alias="contact", strict=False, max_length=20)
    float_plan: FloatPlan = FloatPlan()

    def misfits(self) -> Iterator[Misfit]:
        for key, named in (
            ("gear", self.items),
            ("job", self.jobs),
            ("upkeep", self.upkeep),
            ("seacock", self.seacocks),
            ("sail", self.sails),
        ):
            yield from _twice(key, [thing.name for thing in named])
        for index, seacock in enumerate(self.seacocks):
            if seacock.name in {item.name for item in self.items}:
                yield Misfit(("seacock", index, "name"), shown(seacock.name), "a [[gear]] item has this name")
        yield from _unknown_names(self.jobs, {item.name for item in self.items} | {cock.name for cock in self.seacocks})
        yield from _circles(self.jobs)
        yield from _unknown_sails(self.sails)
        days = sum(job.work_h or 0.0 for job in self.jobs) / self.work.daily_work_h
        if days > MOST_WORK_DAYS:
            yield Misfit(("job",), f"{days:,.0f} days of work", "mend the hours, or how many are worked a day")


def read_gear(document: Document, today: date, hull: Hull | None = None) -> Gear:
    """A gear file read; an empty register where the file says nothing.

    Raises InputFaults, dates still to come and holes that lie outside the hull among them.
    """
    faults = list(_still_to_come(document, document.values, (), today))
    try:
        gear = document.read(Gear)
    except InputFaults as error:
        raise InputFaults([*faults, *error.faults]) from None
    faults += _outside(document, gear, hull) if hull else []
    if faults:
        raise InputFaults(faults)
    return gear


def _still_to_come(document: Document, value: Any, key: KeyPath, today: date) -> Iterator[Fault]:
    """Dates of things said to be done that lie after today, wherever they stand."""
    inside: Sequence[tuple[str | int, Any]] = ()
    if isinstance(value, dict):
        inside = list(value.items())
    elif isinstance(value, list):
        inside = list(enumerate(value))
    elif key and key[-1] in PAST_KEYS and type(value) is date and value > today:
        yield document.fault(
            key, value.isoformat(), f"it lies after today, {today.isoformat()}: give the day it was done"
        )
    for part, deeper in inside:
        yield from _still_to_come(document, deeper, (*key, part), today)


def _outside(document: Document, gear: Gear, hull: Hull) -> Iterator[Fault]:
    half_beam_m = hull.beam_m / 2.0
    for index, seacock in enumerate(gear.seacocks):
        if seacock.along_m > hull.length_overall_m:
            found = f"{written(seacock.along_m, 'length')} from the bow"
            wanted = f"the boat is {written(hull.length_overall_m, 'length')} long"
            yield document.fault(("seacock", index, "along"), found, wanted)
        if abs(seacock.athwart_m) > half_beam_m:
            found = f"{written(abs(seacock.athwart_m), 'length')} from the centreline"
            wanted = f"half the beam is {written(round(half_beam_m, 2), 'length')}"
            yield document.fault(("seacock", index, "athwart"), found, wanted)


def _twice(key: str, names: Sequence[str]) -> Iterator[Misfit]:
    counts = Counter(names)
    for index, name in enumerate(names):
        if counts[name] > 1 and name in names[:index]:
            yield Misfit((key, index, "name"), shown(name), "another has this name; give each its own")


def _unknown_names(jobs: Sequence[Job], gear: set[str]) -> Iterator[Misfit]:
    names = {job.name for job in jobs}
    for index, job in enumerate(jobs):
        for position, first in enumerate(job.after):
            if first not in names:
                yield Misfit(("job", index, "after", position), shown(first), "no job has this name")
        if job.gear is not None and job.gear not in gear:
            yield Misfit(("job", index, "gear"), shown(job.gear), "no gear or seacock has this name")


def _unknown_sails(sails: Sequence[Sail]) -> Iterator[Misfit]:
    for index, sail in enumerate(sails):
        others = {other.name for other in sails} - {sail.name}
        for position, name in enumerate(sail.instead_of or ()):
            if name not in others:
                yield Misfit(("sail", index, "instead_of", position), shown(name), "no other sail has this name")


def _circles(jobs: Sequence[Job]) -> Iterator[Misfit]:
    """Jobs that wait, in the end, for themselves; every circle of them."""
    places = {job.name: index for index, job in enumerate(jobs)}
    after = {job.name: job.after for job in jobs}
    while after:
        try:
            TopologicalSorter(after).prepare()
        except CycleError as circle:
            for name in sorted(set(circle.args[1]), key=places.__getitem__):
                del after[name]
                told = f"{shown(name)} waits for itself in the end"
                yield Misfit(("job", places[name], "after"), told, "break the circle")
        else:
            return
