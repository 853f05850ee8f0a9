"""What each part of the anchor line bears: breaking and working load, in newtons, with where the figure comes from."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import pi

SIZE_STEP_MM = 0.3  # chain within this of a table's size is taken to be that size
REJECT_WEAR = 0.9  # common practice: chain worn by a tenth of the wire of its links is scrap
ROPE_SAFETY = 8.0  # least breaking load of rope over the load, as the same boat-builders' rule asks (R2)
STRONG_POINT_SAFETY = 2.0
NYLON_N_PER_MM2 = 200.0  # laid nylon, new and unknotted, per square of its diameter (M, European rope standard)


@dataclass(frozen=True)
class Strength:
    """Breaking and working load of one part, newtons, its mass, and where they come from."""

    breaking_n: float
    working_n: float
    mass_kg_per_m: float
    source: str
    standing: str


@dataclass(frozen=True)
class ChainSize:
    """One row of a published chain table.

    Where it prints working loads only (NACM), breaking is four times that, three for G43.
    """

    diameter_mm: float
    grade: float
    breaking_kn: float
    working_kn: float
    mass_kg_per_m: float
    table: str
    standing: str


@cache
def chain_sizes() -> tuple[ChainSize, ...]:
    text = (files(__package__) / "chain_sizes.csv").read_text(encoding="utf-8")
    return tuple(_chain_size(row) for row in csv.DictReader(text.splitlines()))


def chain_breaking_n(diameter_mm: float, grade: float) -> float:
    """Two link sides in tension: F = 2 (pi/4) d² times the mean stress at breaking, ten times the grade in N/mm²."""
    return 2.0 * pi / 4.0 * diameter_mm**2 * grade * 10.0


def chain_mass_kg_per_m(diameter_mm: float) -> float:
    """Mass of short-link chain, 0.0219 d² kg a metre (D)."""
    return 0.0219 * diameter_mm**2


def chain_strength(diameter_mm: float, grade: float, measured_mm: float | None = None) -> Strength:
    """Strength of a chain of a nominal size and grade, weakened by the square of what wear has left of its links.

    A published table where it holds the size and grade, else the formula with a quarter of breaking as working load.
    """
    size = _table_size(diameter_mm, grade) or _by_formula(diameter_mm, grade)
    left = 1.0 if measured_mm is None else min(1.0, measured_mm / diameter_mm) ** 2
    return Strength(
        size.breaking_kn * 1000.0 * left, size.working_kn * 1000.0 * left, size.mass_kg_per_m, size.table, size.standing
    )


def chain_is_worn_out(diameter_mm: float, measured_mm: float | None) -> bool:
    return measured_mm is not None and measured_mm <= REJECT_WEAR * diameter_mm


def rope_strength(diameter_mm: float, breaking_n: float | None = None) -> Strength:
    """Strength of rope: the maker's breaking load, or that of new laid nylon; an eighth of it is the working load."""
    mass = 0.0006 * diameter_mm**2  # laid nylon about 0.12 kg a metre at 14 mm; floats little, so hardly matters
    if breaking_n is not None:
        return Strength(breaking_n, breaking_n / ROPE_SAFETY, mass, "maker's breaking load, as given", "given")
    guessed = NYLON_N_PER_MM2 * diameter_mm**2
    return Strength(guessed, guessed / ROPE_SAFETY, mass, "new laid nylon of this diameter, as a guess", "M")


def _table_size(diameter_mm: float, grade: float) -> ChainSize | None:
    near = [
        size for size in chain_sizes() if size.grade == grade and abs(size.diameter_mm - diameter_mm) <= SIZE_STEP_MM
    ]
    return min(near, key=lambda size: abs(size.diameter_mm - diameter_mm), default=None)


def _by_formula(diameter_mm: float, grade: float) -> ChainSize:
    breaking_kn = chain_breaking_n(diameter_mm, grade) / 1000.0
    mass = chain_mass_kg_per_m(diameter_mm)
    return ChainSize(diameter_mm, grade, breaking_kn, breaking_kn / 4.0, mass, "2 (pi/4) d² grade", "R2")


def _chain_size(row: dict[str, str]) -> ChainSize:
    table, standing = row.pop("table"), row.pop("standing")
    return ChainSize(**{key: float(value) for key, value in row.items()}, table=table, standing=standing)
