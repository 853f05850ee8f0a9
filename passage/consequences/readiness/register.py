"""The gear register against the passage dates.

What is overdue, what falls due on the way, what nobody knows the age of.

Within a class of failure the worst thing decides, never an average; what merely annoys never keeps her in harbour.
"""

from __future__ import annotations

from datetime import date
from difflib import get_close_matches
from typing import TYPE_CHECKING

from passage.consequences.readiness.dates import PassageDates, Status, add_months, status_of
from passage.consequences.readiness.rules import PartRule, rule_for, starter_rules
from passage.inputs.failure import Failure
from passage.inputs.gear import Gear, GearItem, Seacock
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Iterator

LABEL = "maker's label"
OWN_RULE = "own rule"


class Deadline(Record):
    """One day or running hour by which something is wanted; late_due: last good day by the least cautious practice."""

    what: str = told("what is due: inspect, service or replace")
    due: date | None = told("last good day; null where the age is unknown, or for what goes by running hours")
    status: Status = told("how it stands")
    source: str = told("whose rule it is")
    standing: str = told("the rule's standing")
    hours_left: float | None = None
    late_due: date | None = None

    @property
    def whose(self) -> str:
        return f"{self.source} ({self.standing})"


class Finding(Record):
    """How one thing stands; the worst deadline decides."""

    name: str = told("its name in the voyage's files")
    kind: str
    failure: Failure = told("what a failure of it does: sinks us, stops us, hurts someone, annoys")
    place: str = told("where on board")
    status: Status = told("how it stands")
    deadlines: tuple[Deadline, ...]
    remarks: tuple[str, ...] = told("what else is to be said of it")
    jobs: tuple[str, ...] = told("open jobs on the work list that mend it", default=())

    @reckoned("the deadline that decides; null where nothing can be held against it")
    def governing(self) -> Deadline | None:
        """The deadline that decides: the worst, and of those the earliest."""
        worst = [deadline for deadline in self.deadlines if deadline.status is self.status]
        return min(worst, key=lambda deadline: deadline.due or date.max, default=None)


class ClassVerdict(Record):
    """The worst of one class of failure; fine for an empty class."""

    failure: Failure = told("the class")
    worst: Status = told("how the worst thing of the class stands")
    decided_by: tuple[str, ...] = told("names of the things that stand so")
    count: int = told("things of the class on the register")


def assess(gear: Gear, dates: PassageDates, engine_h: float = 0.0) -> tuple[Finding, ...]:
    """Every item and seacock of the register, the gravest class first and the worst first within it.

    engine_h: engine hours that the passage takes at the slow end; counted only on rules that go by running hours.
    """
    things = (*gear.items, *(as_item(seacock) for seacock in gear.seacocks))
    findings = [_finding(item, dates, engine_h, _jobs_on(item.name, gear)) for item in things]
    order = list(Failure)
    return tuple(sorted(findings, key=lambda finding: (order.index(finding.failure), -finding.status)))


def class_verdicts(findings: tuple[Finding, ...]) -> tuple[ClassVerdict, ...]:
    """The worst of each class, in the order of gravity."""
    return tuple(_class_verdict(failure, [it for it in findings if it.failure is failure]) for failure in Failure)


def as_item(seacock: Seacock) -> GearItem:
    """A seacock as an item of the register; working it counts as no inspection, drawing and tapping it does."""
    return GearItem(
        name=seacock.name,
        kind="seacock",
        material=seacock.material,
        place=seacock.place,
        fitted=seacock.fitted,
        serviced=seacock.serviced,
        inspected=seacock.inspected,
    )


def _jobs_on(name: str, gear: Gear) -> tuple[str, ...]:
    return tuple(job.name for job in gear.jobs if job.gear == name and not job.done)


def _class_verdict(failure: Failure, findings: list[Finding]) -> ClassVerdict:
    worst = max((finding.status for finding in findings), default=Status.FINE)
    decided_by = tuple(it.name for it in findings if it.status is worst) if worst is not Status.FINE else ()
    return ClassVerdict(failure, worst, decided_by, len(findings))


def _finding(item: GearItem, dates: PassageDates, engine_h: float, jobs: tuple[str, ...]) -> Finding:
    rule = rule_for(item.kind, item.material)
    deadlines = tuple(_deadlines(item, rule, dates, engine_h))
    unproven = Status.UNPROVEN if item.unproven else Status.FINE
    status = max((*(deadline.status for deadline in deadlines), unproven, _ignorance(item, deadlines)))
    return Finding(
        name=item.name,
        kind=item.kind,
        failure=item.failure or (rule.failure if rule else Failure.SINKS),
        place=item.place,
        status=status,
        deadlines=deadlines,
        remarks=tuple(_remarks(item, rule, deadlines, dates)),
        jobs=jobs,
    )


def _ignorance(item: GearItem, deadlines: tuple[Deadline, ...]) -> Status:
    """A thing that nothing can be held against is not fine, however well its age is known."""
    if deadlines:
        return Status.FINE
    return Status.NO_RULE if item.fitted or item.serviced or item.inspected else Status.AGE_UNKNOWN


def _deadlines(item: GearItem, rule: PartRule | None, dates: PassageDates, engine_h: float) -> Iterator[Deadline]:
    yield from _replacement(item, rule, dates)
    yield from _service(item, rule, dates)
    yield from _running_hours(item, rule, engine_h, dates)
    if rule and rule.inspect_months:
        looked_at = _latest(item.inspected, item.serviced, item.fitted)
        yield _by_months("inspect", looked_at, rule.inspect_months, (rule.source, rule.standing), dates)


def _replacement(item: GearItem, rule: PartRule | None, dates: PassageDates) -> Iterator[Deadline]:
    """Label and own rule stand beside one another, the earlier decides; the starter rule only where both are silent.

    A label's date is the next service for things that are serviced and not replaced, so it silences that
    starter rule too.
    """
    if item.expires:
        yield Deadline("replace", item.expires, status_of(item.expires, dates), LABEL, "given")
    if item.replace_every_months:
        yield _by_months("replace", item.fitted, item.replace_every_months, (OWN_RULE, "given"), dates)
    elif rule and rule.life_months and not item.expires:
        late = rule.late_life_months
        yield _by_months("replace", item.fitted, rule.life_months, (rule.source, rule.standing), dates, late)


def _service(item: GearItem, rule: PartRule | None, dates: PassageDates) -> Iterator[Deadline]:
    last = _latest(item.serviced, item.fitted)
    if item.service_every_months:
        yield _by_months("service", last, item.service_every_months, (OWN_RULE, "given"), dates)
    elif rule and rule.service_months and not item.expires:
        yield _by_months("service", last, rule.service_months, (rule.source, rule.standing), dates)


def _running_hours(item: GearItem, rule: PartRule | None, engine_h: float, dates: PassageDates) -> Iterator[Deadline]:
    """Service by engine hours, unknown where the owner's own rule lacks the hours run; a life by hours under sail, of
    which all that the passage takes at the slow end are counted.
    """
    interval_h = item.service_every_h or (rule.service_h if rule else None)
    source, standing = (OWN_RULE, "given") if item.service_every_h or rule is None else (rule.source, rule.standing)
    if interval_h and item.running_h is not None:
        left = interval_h - item.running_h
        yield Deadline("service", None, _hours_status(left, engine_h), source, standing, left - engine_h)
    elif item.service_every_h:
        yield Deadline("service", None, Status.AGE_UNKNOWN, source, standing)
    if rule and rule.life_h and item.running_h is not None:
        left = rule.life_h - item.running_h
        sea_h = (dates.slow_end - dates.depart).days * 24.0
        yield Deadline("replace", None, _hours_status(left, sea_h), rule.source, rule.standing, left - sea_h)


def _hours_status(left_h: float, passage_h: float) -> Status:
    if left_h <= 0.0:
        return Status.OVERDUE
    return Status.DUE_DURING if left_h <= passage_h else Status.FINE


def _by_months(
    what: str,
    since: date | None,
    months: int,
    whose: tuple[str, str],
    dates: PassageDates,
    late_months: int | None = None,
) -> Deadline:
    source, standing = whose
    if since is None:
        return Deadline(what, None, Status.AGE_UNKNOWN, source, standing)
    due = add_months(since, months)
    late_due = add_months(since, late_months) if late_months else None
    return Deadline(what, due, status_of(due, dates), source, standing, late_due=late_due)


def _remarks(
    item: GearItem, rule: PartRule | None, deadlines: tuple[Deadline, ...], dates: PassageDates
) -> Iterator[str]:
    if item.unproven:
        yield f"unproven: {item.unproven}"
    if rule is None:
        yield f"no starter rule for kind '{item.kind}'{_near_kind(item.kind)}; give your own rule or the maker's label"
        if item.failure is None:
            yield "what its failure does is not said, so the gravest is taken"
        return
    if rule.material and rule.material != item.material.casefold():
        given = f"material '{item.material}' not known here" if item.material else "material not given"
        yield f"{given}: the strictest rule of its kind is taken, for {rule.material}"
    if rule.service_h and item.running_h is None:
        yield f"running hours not given; the rule also asks for service every {rule.service_h} h"
    if rule.practice:
        yield rule.practice
    if any(it.status > Status.AGE_UNKNOWN and it.late_due and it.late_due > dates.last_day for it in deadlines):
        yield "Past the cautious life, within the longest that some take: have it looked at by someone who knows"


def _near_kind(kind: str) -> str:
    near = get_close_matches(kind, {rule.kind for rule in starter_rules()}, n=1, cutoff=0.7)
    return f" (did you mean '{near[0]}'?)" if near else ""


def _latest(*days: date | None) -> date | None:
    return max((day for day in days if day), default=None)
