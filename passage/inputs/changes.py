"""Facts with something in them changed from code, held to the same limits as the file."""

from __future__ import annotations

from dataclasses import fields, replace
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from passage.errors import Fault, InputFaults
from passage.inputs.toml import Measured, Section, shown_value

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.inputs.boat import Boat, Tank
    from passage.inputs.folder import Facts

Path = tuple[str, ...]


def changed(facts: Facts, **changes: Any) -> Facts:
    """The facts with other values. Keys are the fields' names with their units, as ``performance_mean_share=0.8``;
    where two sections have a field of one name, the section stands before it, ``gas__per_person_day_kg=0.1``; values
    are floats, or texts as a file has them. ``water_l`` and ``fuel_l`` are litres to draw in all, shared out among the
    tanks as now.

    Raises InputFaults for names that no file has, and for what a file may not say.
    """
    paths = dict.fromkeys(_paths(facts))
    faults: list[Fault] = []
    for name, value in changes.items():
        try:
            facts = _with_one(facts, name, value, list(paths))
        except InputFaults as refusal:
            faults += refusal.faults
    if faults:
        raise InputFaults(faults)
    return facts


def _with_one(facts: Facts, name: str, value: Any, paths: list[Path]) -> Facts:
    if name in ("water_l", "fuel_l"):
        return replace(facts, boat=_poured(facts.boat, name, value))
    wanted = tuple(name.split("__"))
    found = [path for path in paths if path[-len(wanted) :] == wanted]
    if len(found) != 1:
        raise InputFaults([_no_such(name, found, paths)])
    (first, *rest) = found[0]
    changes: dict[str, Any] = {first: _set(getattr(facts, first), tuple(rest), value, name)}
    return replace(facts, **changes)


def _no_such(name: str, found: list[Path], paths: list[Path]) -> Fault:
    if found:
        ways = ", ".join("__".join(path[-2:]) for path in found)
        return Fault("with_", 0, name, "several sections have a field of this name", f"write one of {ways}")
    near = get_close_matches(name.split("__")[-1], {path[-1] for path in paths}, n=1, cutoff=0.0)
    return Fault("with_", 0, name, "no file has a field of this name", f"the nearest is {near[0]}")


def _paths(facts: Facts) -> Iterator[Path]:
    """Every field of every section, but for those in lists."""
    for each in fields(facts):
        section = getattr(facts, each.name)
        if isinstance(section, Section):
            yield from ((each.name, *path) for path in _within(section))


def keys_of(facts: Facts) -> dict[str, tuple[str, str]]:
    """Every key that stands in one section alone, as the files write it: its field's name and the kind of its quantity,
    empty for what is no quantity.
    """
    found: dict[str, list[tuple[str, str]]] = {}
    for each in fields(facts):
        section = getattr(facts, each.name)
        if isinstance(section, Section):
            for key, told in _keys(section):
                found.setdefault(key, []).append(told)
    return {key: told[0] for key, told in found.items() if len(told) == 1}


def _keys(section: Section) -> Iterator[tuple[str, tuple[str, str]]]:
    for name, field in type(section).model_fields.items():
        inner = getattr(section, name)
        if isinstance(inner, Section):
            yield from _keys(inner)
        else:
            measured = next((mark for mark in field.metadata if isinstance(mark, Measured)), None)
            yield field.alias or name, (name, measured.kind if measured else "")


def _within(section: Section) -> Iterator[Path]:
    for name in type(section).model_fields:
        inner = getattr(section, name)
        if isinstance(inner, Section):
            yield from ((name, *path) for path in _within(inner))
        else:
            yield (name,)


def _set(section: Section, path: Path, value: Any, name: str) -> Section:
    first, *rest = path
    new = _set(getattr(section, first), tuple(rest), value, name) if rest else value
    kept = {field: getattr(section, field) for field in section.model_fields_set}
    try:
        return type(section)(**kept | {first: new})
    except ValidationError as refusal:
        told = refusal.errors()[0]
        raise InputFaults([Fault("with_", 0, name, shown_value(value), told["msg"])]) from None


def _poured(boat: Boat, name: str, litres: float) -> Boat:
    """The tanks with so many litres to draw in all, each filled alike; larger ones where they do not hold as much."""
    field = "water_tanks" if name == "water_l" else "fuel_tanks"
    tanks: tuple[Tank, ...] = getattr(boat, field)
    now = sum(tank.usable_l for tank in tanks)
    if not tanks or now <= 0.0 or litres < 0.0:
        raise InputFaults(
            [Fault("with_", 0, name, f"{litres:g} litres", "the boat has no tank to put them in, or give 0 or more")]
        )
    return boat.model_copy(update={field: tuple(_filled(tank, tank.usable_l * litres / now) for tank in tanks)})


def _filled(tank: Tank, usable_l: float) -> Tank:
    in_it = usable_l + tank.unusable_l
    holds = max(tank.capacity_l, in_it)
    return tank.model_copy(update={"capacity_l": holds, "filled_share": in_it / holds})
