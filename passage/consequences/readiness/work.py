"""The work list before leaving.

What in which order, what it takes and costs, and the earliest day one can honestly leave.

The crew does one job after another, so many hours a day. She is hauled out once, for all the jobs that ask for
it; the others can be done afloat or ashore. Jobs whose neglect merely annoys are listed and not waited for.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from graphlib import TopologicalSorter
from math import nan
from typing import TYPE_CHECKING

import numpy as np

from passage.inputs.failure import Failure
from passage.inputs.gear import Gear, Job
from passage.tell.figures import Side, whole
from passage.tell.records import Record, reckoned, told, up

if TYPE_CHECKING:
    from collections.abc import Sequence


class WorkStep(Record):
    """One job in its turn."""

    number: int = told("number of the job in the order of the whole work")
    name: str = told("name of the job")
    place: str
    hauled: bool
    failure: Failure = told("what leaving it undone does")
    begin: date | None = told("first day of work; null for a job that is not waited for")
    end: date | None = told("last day of work")
    work_h: float = up("hours of work; null where not given")
    cost: float = told("its cost; null where not given")
    after: tuple[int, ...] = told("numbers of the jobs that come first")


class WorkGroup(Record):
    """The jobs of one place, in or out of the water, with the sums of what is given."""

    place: str = told("where")
    hauled: bool = told("whether she must be out of the water")
    steps: tuple[WorkStep, ...] = told("the jobs of the group")

    @reckoned("hours of them, as far as given", Side.UP)
    def work_h(self) -> float:
        return float(np.nansum([step.work_h for step in self.steps]))

    @reckoned("cost of them, as far as given")
    def cost(self) -> float:
        return float(np.nansum([step.cost for step in self.steps]))


class WorkList(Record):
    """All open jobs; what is not given makes day and sum too good by what it takes."""

    steps: tuple[WorkStep, ...]
    ready_on: date = told("first day she could leave, the work alone considered")
    hauled_from: date | None = told("day she is lifted out")
    hauled_to: date | None = told("day she is launched")
    work_h: float = up("hours of the crew's work, as far as given")
    cost: float
    without_hours: tuple[str, ...] = told("jobs whose hours are not given")
    without_cost: tuple[str, ...] = told("jobs whose cost is not given")
    groups: tuple[WorkGroup, ...] = told("jobs of one place, in or out of the water")


_Laid = tuple[Job, date | None, date | None]  # a job with the first and the last day of its work


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
    steps += [(job, None, None) for job in jobs if job.name not in needed]
    told_steps = _steps(steps)
    hauling_cost = gear.work.haul_out_cost or 0.0 if yard.hauled_from_d is not None else 0.0
    return WorkList(
        steps=told_steps,
        groups=_groups(told_steps),
        ready_on=today + timedelta(days=whole(yard.clock_d, Side.UP)),
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


def _lay_out(jobs: list[Job], gear: Gear, today: date) -> tuple[list[_Laid], _Yard]:
    yard = _Yard()
    steps: list[_Laid] = []
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
    followers: dict[str, list[str]] = {job.name: [] for job in jobs}
    for job in jobs:
        for first in job.after:
            followers.setdefault(first, []).append(job.name)
    work_d = {job.name: (job.work_h or 0.0) / daily_work_h for job in jobs}
    chains: dict[str, float] = {}
    for name in TopologicalSorter(followers).static_order():
        chains[name] = work_d.get(name, 0.0) + max((chains[each] for each in followers[name]), default=0.0)
    return chains


def _work(job: Job, yard: _Yard, gear: Gear, today: date) -> _Laid:
    if job.hauled and not yard.hauled:
        yard.hauled, yard.hauled_from_d = True, yard.clock_d
        yard.clock_d += gear.work.haul_out_h / 24.0 / 2.0
    begin_d = yard.clock_d
    yard.clock_d += (job.work_h or 0.0) / gear.work.daily_work_h
    last_d = max(begin_d, whole(yard.clock_d, Side.UP) - 1.0)
    return (job, _day(today, begin_d), _day(today, last_d))


def _launch(yard: _Yard, gear: Gear) -> None:
    yard.clock_d += gear.work.haul_out_h / 24.0 / 2.0
    yard.hauled, yard.hauled_to_d = False, yard.clock_d


def _lead_d(job: Job) -> float:
    return job.lead_h / 24.0


def _steps(laid: Sequence[_Laid]) -> tuple[WorkStep, ...]:
    numbers = {job.name: number for number, (job, _, _) in enumerate(laid, start=1)}
    return tuple(
        WorkStep(
            number=numbers[job.name],
            name=job.name,
            place=job.place,
            hauled=job.hauled,
            failure=job.failure,
            begin=begin,
            end=end,
            work_h=nan if job.work_h is None else job.work_h,
            cost=nan if job.cost is None else job.cost,
            after=tuple(numbers[name] for name in job.after if name in numbers),
        )
        for job, begin, end in laid
    )


def _groups(steps: Sequence[WorkStep]) -> tuple[WorkGroup, ...]:
    """By place and haul-out, in the order in which the work comes to them."""
    keys = dict.fromkeys((step.hauled, step.place) for step in steps)
    return tuple(
        WorkGroup(
            place or "anywhere", hauled, tuple(step for step in steps if (step.hauled, step.place) == (hauled, place))
        )
        for hauled, place in keys
    )


def _day(today: date, clock_d: float | None) -> date | None:
    return None if clock_d is None else today + timedelta(days=whole(clock_d, Side.DOWN))
