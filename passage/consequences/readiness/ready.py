"""Readiness of boat and papers for one passage, all together.

The register, the work, the papers, spares, seacocks and sails.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from math import isnan
from typing import TYPE_CHECKING

from passage.consequences.readiness.dates import PassageDates, Status
from passage.consequences.readiness.papers import PaperRow, paper_rows
from passage.consequences.readiness.register import ClassVerdict, Finding, assess, class_verdicts
from passage.consequences.readiness.rules import starter_rules
from passage.consequences.readiness.sails import Sails, sails_by_wind
from passage.consequences.readiness.seacocks import SeacockRow, seacock_rows
from passage.consequences.readiness.shakedown import Proof, shakedown
from passage.consequences.readiness.spares import Spares, spares_aboard
from passage.consequences.readiness.stowed import StowedRow, stowed_rows
from passage.consequences.readiness.work import WorkList, work_list
from passage.inputs.failure import Failure
from passage.tell.records import Record, reckoned, told, up

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.inputs.gear import Gear

CAUTIONS = (
    "Dates and lives are starter rules, each with where it comes from.",
    "The maker's label, the surveyor and the skipper overrule them.",
    "A thing in date can still be broken. Look at it.",
)


class CostSum(Record):
    """What the whole list costs, as far as given."""

    jobs_cost: float = told("jobs, the haul-out included")
    papers_cost: float = told("papers to get")
    gear_cost: float = told("gear due that no job mends")
    unpriced: tuple[str, ...] = told("lines without a price, by which the sum is too low")
    currency: str = told("currency of all of them")

    @reckoned("sum of the three")
    def total_cost(self) -> float:
        return self.jobs_cost + self.papers_cost + self.gear_cost


class Verdict(StrEnum):
    """What is to be said of boat and papers."""

    READY = "ready"
    PROVE_FIRST = "prove first"
    NOT_READY = "not ready"
    NOTHING_LISTED = "nothing listed"

    @property
    def words(self) -> str:
        return {
            Verdict.READY: "By its dates, yes.",
            Verdict.PROVE_FIRST: "Prove her first.",
            Verdict.NOT_READY: "Not yet.",
            Verdict.NOTHING_LISTED: "Nothing is listed.",
        }[self]


class Readiness(Record):
    """Boat and papers for one passage."""

    verdict: Verdict = told("ready, prove first, not ready; nothing listed where there is nothing to judge")
    because: tuple[str, ...] = told("names of the gear and papers that decide the verdict")
    dates: PassageDates = told("the days that everything is held against")
    engine_h: float = up("engine hours counted on for the passage, motoring and charging, at the slow end")
    depart_from: date = told("earliest honest departure: what the listed work and papers allow")
    decided_by: str = told("what decides that day: the work list or a paper; empty where nothing does")
    in_time: bool = told("whether that is no later than the departure planned")
    due_without_job: tuple[str, ...] = told("things due that no job mends, whose time is in no date here")
    classes: tuple[ClassVerdict, ...] = told("the worst of each class of failure, the gravest class first")
    findings: tuple[Finding, ...]
    not_listed: tuple[str, ...] = told("kinds of grave gear of which the register says nothing")
    proofs: tuple[Proof, ...] = told("things to prove before leaving")
    work: WorkList = told("open jobs, grouped by place and haul-out")
    papers: tuple[PaperRow, ...] = told("papers and formalities, the most pressing first")
    spares: Spares = told("what the spares do for the gear")
    stowed: tuple[StowedRow, ...] = told("what is stowed where, what runs out of date first")
    seacocks: tuple[SeacockRow, ...] = told("holes in the hull, from the bow aft")
    sails: Sails
    cost: CostSum = told("cost of work, papers and gear due, as far as given")
    cautions: tuple[str, ...] = told("what this cannot know", default=CAUTIONS)

    @reckoned("gear overdue, or due before departure, on passage or during the stay")
    def due(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.status > Status.AGE_UNKNOWN)

    @property
    def papers_to_do(self) -> tuple[PaperRow, ...]:
        """Papers not in order, but for notices to be sent from sea."""
        return tuple(row for row in self.papers if not (row.in_order or row.from_sea))


def readiness(gear: Gear, dates: PassageDates, engine_h: float = 0.0) -> Readiness:
    """Boat and papers against the passage at its slow end and the stay after it.

    engine_h: engine hours of the passage at the slow end.
    """
    findings = assess(gear, dates, engine_h)
    work = work_list(gear, dates.today)
    papers = paper_rows(gear, dates)
    verdict, because = _verdict(findings, papers)
    depart_from, decided_by = _earliest(work, papers, dates)
    return Readiness(
        dates=dates,
        engine_h=engine_h,
        not_listed=_not_listed(findings),
        verdict=verdict,
        because=because,
        classes=class_verdicts(findings),
        findings=findings,
        proofs=shakedown(gear, findings),
        work=work,
        papers=papers,
        spares=spares_aboard(gear),
        stowed=stowed_rows(gear, dates),
        seacocks=seacock_rows(gear),
        sails=sails_by_wind(gear.sails, gear.rig),
        depart_from=depart_from,
        decided_by=decided_by,
        in_time=depart_from <= dates.depart,
        due_without_job=tuple(it.name for it in _due(findings) if not it.jobs),
        cost=_cost(gear, work, papers, findings),
    )


def _verdict(findings: tuple[Finding, ...], papers: tuple[PaperRow, ...]) -> tuple[Verdict, tuple[str, ...]]:
    """The worst decides; what annoys is never asked, and a notice to be sent from sea holds nobody in harbour."""
    if not findings and not papers:
        return Verdict.NOTHING_LISTED, ()
    because = [it.name for it in _due(findings)]
    because += [row.label for row in papers if not (row.in_order or row.from_sea)]
    if because:
        return Verdict.NOT_READY, tuple(because)
    to_prove = [it.name for it in findings if it.failure is not Failure.ANNOYS and it.status > Status.FINE]
    return (Verdict.PROVE_FIRST, tuple(to_prove)) if to_prove else (Verdict.READY, ())


def _not_listed(findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Kinds that have a starter rule and stand nowhere on the register, the gravest first."""
    listed = {finding.kind.casefold() for finding in findings}
    grave = [rule for rule in starter_rules() if rule.failure is not Failure.ANNOYS and rule.kind not in listed]
    order = list(Failure)
    return tuple(dict.fromkeys(rule.kind for rule in sorted(grave, key=lambda rule: order.index(rule.failure))))


def _earliest(work: WorkList, papers: tuple[PaperRow, ...], dates: PassageDates) -> tuple[date, str]:
    reasons = [(dates.today, ""), (work.ready_on, "the work list")]
    reasons += [(row.depart_from, row.label) for row in papers]
    return max(reasons, key=lambda reason: reason[0])


def _due(findings: tuple[Finding, ...]) -> Iterator[Finding]:
    for finding in findings:
        if finding.status > Status.AGE_UNKNOWN and finding.failure is not Failure.ANNOYS:
            yield finding


def _cost(gear: Gear, work: WorkList, papers: tuple[PaperRow, ...], findings: tuple[Finding, ...]) -> CostSum:
    """Jobs, papers still to get, and gear that is due and has no job of its own to carry its price."""
    prices = {item.name: item.cost for item in gear.items}
    replaced = [it.name for it in findings if it.status > Status.AGE_UNKNOWN and not it.jobs]
    to_get = [row for row in papers if row.status is not Status.FINE]
    unpriced = [row.label for row in to_get if isnan(row.cost)]
    unpriced += [name for name in replaced if prices.get(name) is None]
    return CostSum(
        jobs_cost=work.cost,
        papers_cost=sum(row.cost for row in to_get if not isnan(row.cost)),
        gear_cost=sum(prices.get(name) or 0.0 for name in replaced),
        unpriced=(*work.without_cost, *unpriced),
        currency=gear.work.currency,
    )
