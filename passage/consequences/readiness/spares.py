"""Spares: which serve more than one thing, which single one covers most, and what has none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.readiness.rules import rule_for
from passage.inputs.failure import Failure
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.inputs.gear import Gear, GearItem, Spare


class PartRow(Record):
    """One part that wears."""

    part: str = told("size, thread or number of the part")
    used_by: tuple[str, ...] = told("gear that uses it")
    failure: Failure = told("the gravest failure among that gear")
    aboard: int = told("spares of it aboard")
    places: tuple[str, ...] = told("where they are")


class SpareCover(Record):
    """One spare and all the gear it fits."""

    name: str = told("its name")
    count: int = told("how many are aboard")
    fits: tuple[str, ...] = told("gear that it fits")


class Spares(Record):
    """What the spares do for the gear; shared: parts used by more than one thing; missing: parts with none aboard."""

    parts: tuple[PartRow, ...] = told("parts that wear, the gravest first")
    shared: tuple[PartRow, ...]
    missing: tuple[PartRow, ...]
    widest: tuple[SpareCover, ...] = told("the spares aboard that fit most")
    idle: tuple[str, ...] = told("spares that fit nothing on the register")


def spares_aboard(gear: Gear) -> Spares:
    """What the spares on the list do for the gear on the register.

    Parts are the same when written the same, case apart.
    """
    names = dict.fromkeys(part.casefold() for item in gear.items for part in item.parts)
    order = list(Failure)
    parts = sorted((_part_row(name, gear) for name in names), key=lambda row: order.index(row.failure))
    covers = [_cover(spare, gear.items) for spare in gear.spares]
    most = max((len(cover.fits) for cover in covers if cover.count), default=0)
    return Spares(
        parts=tuple(parts),
        shared=tuple(row for row in parts if len(row.used_by) > 1),
        missing=tuple(row for row in parts if row.aboard == 0),
        widest=tuple(cover for cover in covers if cover.count and most and len(cover.fits) == most),
        idle=tuple(cover.name for cover in covers if not cover.fits),
    )


def _part_row(name: str, gear: Gear) -> PartRow:
    users = [item for item in gear.items if name in _parts(item)]
    spares = [spare for spare in gear.spares if name in _serves_as(spare) and spare.count]
    written = next(part for item in users for part in item.parts if part.casefold() == name)
    return PartRow(
        part=written,
        used_by=tuple(item.name for item in users),
        failure=min((_failure(item) for item in users), key=list(Failure).index),
        aboard=sum(spare.count for spare in spares),
        places=tuple(dict.fromkeys(spare.place for spare in spares if spare.place)),
    )


def _cover(spare: Spare, items: Sequence[GearItem]) -> SpareCover:
    return SpareCover(spare.name, spare.count, tuple(item.name for item in items if _parts(item) & _serves_as(spare)))


def _parts(item: GearItem) -> set[str]:
    return {part.casefold() for part in item.parts}


def _serves_as(spare: Spare) -> set[str]:
    return {part.casefold() for part in (spare.part, *spare.fits)}


def _failure(item: GearItem) -> Failure:
    rule = rule_for(item.kind, item.material)
    return item.failure or (rule.failure if rule else Failure.SINKS)
