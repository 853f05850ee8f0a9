"""Things to prove before leaving: alongside, in a day's sail and in a night's, with how to prove each."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from passage.consequences.readiness.dates import Status
from passage.consequences.readiness.rules import rule_for
from passage.inputs.failure import Failure
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.consequences.readiness.register import Finding
    from passage.inputs.gear import Gear

ANY_PROOF = "Use it in earnest, in a fresh breeze, and look at it again afterwards."


class When(StrEnum):
    """What it takes to prove a thing."""

    ALONGSIDE = "alongside"
    DAY = "day"
    NIGHT = "night"

    @property
    def words(self) -> str:
        return {When.ALONGSIDE: "Alongside", When.DAY: "In a day's sail", When.NIGHT: "In a night's sail"}[self]


class Proof(Record):
    """One thing to prove before leaving."""

    when: When = told("alongside, in a day's sail or in a night's")
    name: str = told("its name")
    failure: Failure
    why: str = told("what is not known of it")
    how: str = told("how to prove it")


def shakedown(gear: Gear, findings: tuple[Finding, ...]) -> tuple[Proof, ...]:
    """Everything of unknown age, without a rule, or unproven since refit or repair, whatever else is due; not what only
    annoys.
    """
    materials = {item.name: item.material for item in gear.items}
    materials |= {seacock.name: seacock.material for seacock in gear.seacocks}
    grave = [finding for finding in findings if finding.failure is not Failure.ANNOYS]
    proofs = [
        _proof(finding, materials[finding.name], why) for finding in grave if (why := _what_is_not_known(finding))
    ]
    return tuple(sorted(proofs, key=lambda proof: list(When).index(proof.when)))


def _what_is_not_known(finding: Finding) -> str:
    for remark in finding.remarks:
        if remark.startswith("unproven: "):
            return remark
    if finding.status is Status.NO_RULE:
        return finding.remarks[0]
    ages = [deadline.what for deadline in finding.deadlines if deadline.status is Status.AGE_UNKNOWN]
    if ages or finding.status is Status.AGE_UNKNOWN:
        return Status.AGE_UNKNOWN.words
    return ""


def _proof(finding: Finding, material: str, why: str) -> Proof:
    rule = rule_for(finding.kind, material)
    return Proof(
        When(rule.prove_when) if rule else When.DAY,
        finding.name,
        finding.failure,
        why,
        rule.prove if rule else ANY_PROOF,
    )
