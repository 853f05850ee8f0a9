"""Starter rules.

How often gear is looked at, serviced and replaced, by kind and material, each with where it comes from.

They stand in ``rules.csv`` beside this file. The owner's own rule and the maker's label always win over them.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from passage.inputs.failure import Failure

NEVER = 10**6  # months


@dataclass(frozen=True)
class PartRule:
    """One starter rule; None where nobody gives a figure.

    inspect_months, service_months, life_months: intervals; late_life_months: what the less cautious take;
    service_h, life_h: running hours. routine: what is looked at under way; practice: where customs differ;
    prove_when: "alongside", "day" or "night"; prove: how to prove the thing.
    """

    kind: str
    material: str
    failure: Failure
    inspect_months: int | None
    service_months: int | None
    life_months: int | None
    late_life_months: int | None
    service_h: int | None
    life_h: int | None
    routine: str
    standing: str
    source: str
    practice: str
    prove_when: str
    prove: str


@cache
def starter_rules() -> tuple[PartRule, ...]:
    text = (files(__package__) / "rules.csv").read_text(encoding="utf-8")
    return tuple(_rule(row) for row in csv.DictReader(text.splitlines()))


def rule_for(kind: str, material: str = "") -> PartRule | None:
    """The rule for a kind of gear in its material.

    For a material not known, the general one or the strictest of its kind.
    """
    of_kind = [rule for rule in starter_rules() if rule.kind == kind.casefold()]
    for wanted in (material.casefold(), ""):
        for rule in of_kind:
            if rule.material == wanted:
                return rule
    return min(of_kind, key=lambda rule: (rule.life_months or NEVER, rule.inspect_months or NEVER), default=None)


def _rule(row: dict[str, str]) -> PartRule:
    return PartRule(
        kind=row["kind"],
        material=row["material"],
        failure=Failure(row["failure"]),
        inspect_months=_count(row["inspect_months"]),
        service_months=_count(row["service_months"]),
        life_months=_count(row["life_months"]),
        late_life_months=_count(row["late_life_months"]),
        service_h=_count(row["service_h"]),
        life_h=_count(row["life_h"]),
        routine=row["routine"],
        standing=row["standing"],
        source=row["source"],
        practice=row["practice"],
        prove_when=row["prove_when"],
        prove=row["prove"],
    )


def _count(text: str) -> int | None:
    return int(text) if text else None
