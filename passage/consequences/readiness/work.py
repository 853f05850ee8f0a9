"""The work list before leaving.

What in which order, what it takes and costs, and the earliest day one can honestly leave.

The crew does one job after another, so many hours a day. She is hauled out once, for all the jobs that ask for
it; the others can be done afloat or ashore. Jobs whose neglect merely annoys are listed and not waited for.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor
from typing import TYPE_CHECKING

from passage.inputs.gear import HOURS_PER_DAY, Failure, Gear, Job

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True)
class WorkStep:
    """One job in its turn. begin, end: days, both worked on; None for jobs that are not waited for."""

    name: str
    place: str
    hauled: bool
    failure: Failure
    begin: date | None
    end: date | None
    work_h: float | None
    cost: float | None
    after: tuple[str, ...]


@dataclass(frozen=True)
class WorkGroup:
    """The jobs of one place, in or out of the water, with the sums of what is given."""

    place: str
    hauled: bool
    names: tuple[str, ...]
    work_h: float
    cost: float


@dataclass(frozen=True)
class WorkList:
    """All open jobs. ready_on: first day she could leave, the work alone considered.

    without_hours, without_cost: jobs whose figures are missing, so that day and sum are too good by what they take.
    """

    steps: tuple[WorkStep, ...]
    groups: tuple[WorkGroup, ...]
    ready_on: date
    hauled_from: date | None
    hauled_to: date | None
    work_h: float
    cost: float
    without_hours: tuple[str, ...]
    without_cost: tuple[str, ...]


@dataclass
class _Yard:
    """Where the work stands while it is being laid out; clock in days from this morning."""

    clock_d: float = 0.0
    hauled: bool = False
    hauled_from_d: float | None = None
    hauled_to_d: float | None = None


def work_list(gear: Gear, today: date) -> WorkList:
    """The open jobs in an order that dependencies, waiting times and one haul-out allow."""
    jobs = [job for job in gear.jobs if not job.done]
    needed = _needed(jobs)
    steps, yard = _lay_out([job for job in jobs if job.name in needed], gear, today)
    steps += [_step(job, None, None) for job in jobs if job.name not in needed]
    hauling_cost = gear.work.haul_out_cost or 0.0 if yard.hauled_from_d is not None else 0.0
    return WorkList(
        steps=tuple(steps),
        groups=_groups(steps),
        ready_on=today + timedelta(days=ceil(yard.clock_d - 1e-9)),
        hauled_from=_day(today, yard.hauled_from_d),
        hauled_to=_day(today, yard.hauled_to_d),
        work_h=sum(job.work_h or 0.0 for job in jobs),
        cost=sum(job.cost or 0.0 for job in jobs) + hauling_cost,
        without_hours=tuple(job.name for job in jobs if job.work_h is None),
        without_cost=tuple(job.name for job in jobs if job.cost is None),
    )


def _needed(jobs: Sequence[Job]) -> set[str]:
    """Jobs whose neglect does more than annoy, and all that must come before them."""
    return _with_all_before([job.name for job in jobs if job.failure is not Failure.ANNOYS], jobs)


def _with_all_before(names: Sequence[str], jobs: Sequence[Job]) -> set[str]:
    by_name = {job.name: job for job in jobs}
    found: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name in by_name and name not in found:
            found.add(name)
            waiting += by_name[name].after
    return found


def _lay_out(jobs: list[Job], gear: Gear, today: date) -> tuple[list[WorkStep], _Yard]:
    yard, steps = _Yard(), []
    remaining = list(jobs)
    chains_d = _chains_d(jobs, gear.work.daily_work_h)
    before_hauled = _with_all_before([job.name for job in jobs if job.hauled], jobs)
    while remaining:
        open_jobs = _open(remaining)
        yard.clock_d = max(yard.clock_d, min(_lead_d(job) for job in open_jobs))
        available = [job for job in open_jobs if _lead_d(job) <= yard.clock_d]
        job = min(available, key=lambda job: _turn(job, yard, before_hauled, chains_d))
        remaining.remove(job)
        steps.append(_work(job, yard, gear, today))
        if yard.hauled and not any(job.hauled for job in remaining):
            _launch(yard, gear)
    return steps, yard


def _open(remaining: Sequence[Job]) -> list[Job]:
    """Jobs that wait for no other that is still to do."""
    names = {job.name for job in remaining}
    return [job for job in remaining if not names.intersection(job.after)]


def _turn(job: Job, yard: _Yard, before_hauled: set[str], chains_d: dict[str, float]) -> tuple[bool, bool, float]:
    """The smaller the sooner. Hauled, the hauled jobs come first; afloat, what they wait for, and themselves last."""
    first = job.hauled if yard.hauled else not job.hauled
    return (not first, job.name not in before_hauled, -chains_d[job.name])


def _chains_d(jobs: Sequence[Job], daily_work_h: float) -> dict[str, float]:
    """For each job the days of work in the longest chain that begins with it."""
    chains: dict[str, float] = {}

    def chain(job: Job) -> float:
        if job.name not in chains:
            followers = [chain(other) for other in jobs if job.name in other.after]
            chains[job.name] = (job.work_h or 0.0) / daily_work_h + max(followers, default=0.0)
        return chains[job.name]

    for job in jobs:
        chain(job)
    return chains


def _work(job: Job, yard: _Yard, gear: Gear, today: date) -> WorkStep:
    if job.hauled and not yard.hauled:
        yard.hauled, yard.hauled_from_d = True, yard.clock_d
        yard.clock_d += gear.work.haul_out_h / HOURS_PER_DAY / 2.0
    begin_d = yard.clock_d
    yard.clock_d += (job.work_h or 0.0) / gear.work.daily_work_h
    last_d = max(begin_d, ceil(yard.clock_d - 1e-9) - 1.0)
    return _step(job, _day(today, begin_d), _day(today, last_d))


def _launch(yard: _Yard, gear: Gear) -> None:
    yard.clock_d += gear.work.haul_out_h / HOURS_PER_DAY / 2.0
    yard.hauled, yard.hauled_to_d = False, yard.clock_d


def _lead_d(job: Job) -> float:
    return job.lead_h / HOURS_PER_DAY


def _step(job: Job, begin: date | None, end: date | None) -> WorkStep:
    return WorkStep(job.name, job.place, job.hauled, job.failure, begin, end, job.work_h, job.cost, job.after)


def _groups(steps: Sequence[WorkStep]) -> tuple[WorkGroup, ...]:
    """By place and haul-out, in the order in which the work comes to them."""
    keys = dict.fromkeys((step.hauled, step.place) for step in steps)
    return tuple(_group(key, [step for step in steps if (step.hauled, step.place) == key]) for key in keys)


def _group(key: tuple[bool, str], steps: Sequence[WorkStep]) -> WorkGroup:
    hauled, place = key
    return WorkGroup(
        place,
        hauled,
        tuple(step.name for step in steps),
        sum(step.work_h or 0.0 for step in steps),
        sum(step.cost or 0.0 for step in steps),
    )


def _day(today: date, clock_d: float | None) -> date | None:
    return None if clock_d is None else today + timedelta(days=floor(clock_d + 1e-9))
