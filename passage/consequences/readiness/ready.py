"""Readiness of boat and papers for one passage, all together.

The register, the work, the papers, spares, seacocks and sails.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from passage.consequences.readiness.dates import Status
from passage.consequences.readiness.papers import PaperRow, paper_rows
from passage.consequences.readiness.register import ClassVerdict, Finding, assess, class_verdicts
from passage.consequences.readiness.rules import starter_rules
from passage.consequences.readiness.sails import SailPlan, StormSail, sail_table, storm_sails
from passage.consequences.readiness.seacocks import SeacockRow, seacock_rows
from passage.consequences.readiness.shakedown import Proof, shakedown
from passage.consequences.readiness.spares import Spares, spares_aboard
from passage.consequences.readiness.work import WorkList, work_list
from passage.inputs.gear import Failure, Gear

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from passage.consequences.readiness.dates import PassageDates

CAUTIONS = (
    "Dates and lives are starter rules, each with where it comes from.",
    "The maker's label, the surveyor and the skipper overrule them.",
    "A thing in date can still be broken. Look at it.",
)


@dataclass(frozen=True)
class CostSum:
    """What the whole list costs, as far as given; unpriced: lines without a figure, so the sum is too low by them."""

    jobs: float
    papers: float
    gear_due: float
    unpriced: tuple[str, ...]
    currency: str

    @property
    def total(self) -> float:
        return self.jobs + self.papers + self.gear_due


@dataclass(frozen=True)
class Readiness:
    """Everything `passage ready` tells.

    verdict: "ready", "prove first", "not ready", or "nothing listed" where there is nothing to judge; because:
    what decides; not_listed: kinds of gear whose failure does more than annoy and of which the register says
    nothing; engine_h: engine hours counted on; depart_from: earliest honest departure; decided_by: what sets it;
    due_without_job: things due that no job on the work list mends, whose time is therefore in no date here.
    """

    dates: PassageDates
    engine_h: float
    not_listed: tuple[str, ...]
    verdict: str
    because: tuple[str, ...]
    classes: tuple[ClassVerdict, ...]
    findings: tuple[Finding, ...]
    proofs: tuple[Proof, ...]
    work: WorkList
    papers: tuple[PaperRow, ...]
    spares: Spares
    seacocks: tuple[SeacockRow, ...]
    sails: tuple[SailPlan, ...]
    storm_sails: tuple[StormSail, ...]
    depart_from: date
    decided_by: str
    in_time: bool
    due_without_job: tuple[str, ...]
    cost: CostSum
    cautions: tuple[str, ...] = CAUTIONS


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
        seacocks=seacock_rows(gear),
        sails=sail_table(gear.sails),
        storm_sails=storm_sails(gear.sails, gear.rig),
        depart_from=depart_from,
        decided_by=decided_by,
        in_time=depart_from <= dates.depart,
        due_without_job=tuple(it.name for it in _due(findings) if not it.jobs),
        cost=_cost(gear, work, papers, findings),
    )


def _verdict(findings: tuple[Finding, ...], papers: tuple[PaperRow, ...]) -> tuple[str, tuple[str, ...]]:
    """The worst decides; what annoys is never asked, and a notice to be sent from sea holds nobody in harbour."""
    if not findings and not papers:
        return "nothing listed", ()
    because = [it.name for it in _due(findings)]
    because += [row.label for row in papers if row.status is not Status.FINE and not row.from_sea]
    if because:
        return "not ready", tuple(because)
    to_prove = [it.name for it in findings if it.failure is not Failure.ANNOYS and it.status > Status.FINE]
    return ("prove first", tuple(to_prove)) if to_prove else ("ready", ())


def _not_listed(findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Kinds that have a starter rule and stand nowhere on the register, the gravest first."""
    listed = {finding.kind.casefold() for finding in findings}
    grave = [rule for rule in starter_rules() if rule.failure is not Failure.ANNOYS and rule.kind not in listed]
    order = list(Failure)
    return tuple(dict.fromkeys(rule.kind for rule in sorted(grave, key=lambda rule: order.index(rule.failure))))


def _earliest(work: WorkList, papers: tuple[PaperRow, ...], dates: PassageDates) -> tuple[date, str]:
    reasons = [(dates.today, "nothing"), (work.ready_on, "the work list")]
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
    unpriced = [row.label for row in to_get if row.cost is None]
    unpriced += [name for name in replaced if prices.get(name) is None]
    return CostSum(
        jobs=work.cost,
        papers=sum(row.cost or 0.0 for row in to_get),
        gear_due=sum(prices.get(name) or 0.0 for name in replaced),
        unpriced=(*work.without_cost, *unpriced),
        currency=gear.work.currency,
    )
