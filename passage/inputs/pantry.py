"""The pantry: what foods are, and how much of each is aboard, from a tidy CSV file.

    item,pack,energy,protein,aboard
    white rice,1 kg,360 kcal,7 g,4

Any of COLUMNS may stand in it, in any order; energy, protein and water are for 100 g of what is eaten. For an item of
the starter list a cell left empty, or a column left out, takes the starter list's figure. Lines that begin with ``#``
and empty lines are passed over.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from passage.errors import Fault, InputFaults
from passage.inputs.text import is_there, read_text
from passage.units import NUMBER, Misread, quantity, shown

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

PANTRY_FILE = "pantry.csv"
STARTER = Path(__file__).parent / "data" / "foods.csv"
GROUPS = ("staple", "pulse", "protein", "dairy", "fat", "produce", "snack")
# Packaging by mass of contents: cans 15 to 20 per cent, glass 40 to 60, soft packs 5 (common practice, no source).
PACKAGING_SHARE = {"none": 0.0, "soft": 0.05, "tin": 0.18, "glass": 0.5}
KCAL_PER_WH = 3600 / 4184
PUREST_FAT_KCAL_PER_KG = 9100.0  # Atwater's 9 kcal per g, and what rounding adds
PROTEIN_KCAL_PER_KG = 4000.0  # Atwater general factor
ATWATER_SLACK = 1.15  # specific factors and rounding on labels stay within it


@dataclass(frozen=True)
class Keeps:
    """How long a food keeps. at_c None: ``days`` unchilled at 20 to 27 degrees C; else days at that temperature, to be
    carried to the temperatures of the track by the rate rule.
    """

    days: float
    at_c: float | None = None


@dataclass(frozen=True)
class Food:
    """One item of the pantry. Energy, protein and water are for what is eaten, edible_share of the pack.

    pack_kg: without packaging; most_kg_per_day: for one person; ashore: what is left may as a rule be landed;
    aboard_packs: what is stowed already; own: whether the line is the user's own or the starter list's.
    """

    item: str
    group: str
    aisle: str
    pack_kg: float
    packaging: str
    edible_share: float
    energy_kcal_per_kg: float
    protein_share: float
    water_share: float
    keeps: Keeps
    cook: bool
    most_kg_per_day: float
    ashore: bool
    allergens: frozenset[str]
    price: float | None
    aboard_packs: float
    own: bool

    @property
    def eaten_kg(self) -> float:
        """What one pack puts on the plates, kg."""
        return self.pack_kg * self.edible_share

    @property
    def gross_kg(self) -> float:
        """One pack as it is carried aboard, kg."""
        return self.pack_kg * (1.0 + PACKAGING_SHARE[self.packaging])

    @property
    def pack_kcal(self) -> float:
        return self.eaten_kg * self.energy_kcal_per_kg

    @property
    def pack_protein_kg(self) -> float:
        return self.eaten_kg * self.protein_share


@dataclass(frozen=True)
class Pantry:
    """Every food that may be eaten or bought, in the order of the lists."""

    foods: tuple[Food, ...]

    @property
    def named(self) -> dict[str, Food]:
        return {food.item: food for food in self.foods}

    @property
    def aboard(self) -> tuple[Food, ...]:
        return tuple(food for food in self.foods if food.aboard_packs > 0)

    @property
    def allergens(self) -> frozenset[str]:
        return frozenset().union(*(food.allergens for food in self.foods))


def _measure(kind: str, least: float, most: float, factor: float = 1.0) -> Callable[[str], float]:
    """A reader of quantities; least, most: limits of the value times ``factor``."""

    def read(text: str) -> float:
        value = quantity(text, kind) * factor
        if not least <= value <= most:
            raise Misread(
                shown(text), f"give a {kind} between {least / factor:.4g} and {most / factor:.4g} {_SIGN[kind]}"
            )
        return value

    return read


_SIGN = {"mass": "kg", "energy": "Wh", "share": "of one"}


def _per_100_g_kcal(text: str) -> float:
    if NUMBER.fullmatch(text):
        raise Misread(shown(text), "say in which unit, such as '360 kcal' or '1500 kJ'")
    value = quantity(text, "energy") * KCAL_PER_WH * 10.0
    if not 0 <= value <= PUREST_FAT_KCAL_PER_KG:
        raise Misread(shown(text), "no food has less than 0 or more than 900 kcal (3770 kJ) in 100 g")
    return round(value, 6)


def _per_100_g(text: str) -> float:
    value = quantity(text, "mass") * 10.0
    if not 0 <= value <= 1:
        raise Misread(shown(text), "give grams in 100 g, between 0 g and 100 g")
    return value


def _number(most: float) -> Callable[[str], float]:
    def read(text: str) -> float:
        if not NUMBER.fullmatch(text) or not 0 <= float(text) <= most:
            raise Misread(shown(text), f"give a number from 0 to {most:g}")
        return float(text)

    return read


def _keeps(text: str) -> Keeps:
    life, at, warmth = text.partition(" at ")
    days, at_c = quantity(life, "duration") / 24.0, quantity(warmth, "temperature") if at else None
    if not 0.5 <= days <= 3650 or (at_c is not None and not 0 <= at_c <= 40):
        raise Misread(shown(text), "give 12 h to 3650 d, and a temperature from 0 to 40 °C, such as '98 d at 0 °C'")
    return Keeps(days, at_c)


def _word_of(*words: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in words:
            raise Misread(shown(text), f"write one of {', '.join(words)}")
        return text

    return read


def _yes(text: str) -> bool:
    return _word_of("yes", "no")(text) == "yes"


def _label(text: str) -> str:
    if not text or len(text) > 60 or not text.isprintable():
        raise Misread(shown(text), "write a name of 1 to 60 letters")
    return text


def _allergens(text: str) -> frozenset[str]:
    return frozenset(_label(word.strip().lower()) for word in text.split(";") if word.strip())


@dataclass(frozen=True)
class _Column:
    """One column: the Food's field, how a cell is read, and what an empty one means (None: it must be given)."""

    field: str
    read: Callable[[str], Any]
    empty: str | None = None


COLUMNS: Mapping[str, _Column] = {
    "item": _Column("item", _label),
    "group": _Column("group", _word_of(*GROUPS)),
    "aisle": _Column("aisle", _label, "other"),
    "pack": _Column("pack_kg", _measure("mass", 0.001, 50)),
    "packaging": _Column("packaging", _word_of(*PACKAGING_SHARE), "soft"),
    "edible": _Column("edible_share", _measure("share", 0.05, 1), "100 %"),
    "energy": _Column("energy_kcal_per_kg", _per_100_g_kcal),
    "protein": _Column("protein_share", _per_100_g),
    "water": _Column("water_share", _measure("share", 0, 1), "0 %"),
    "keeps": _Column("keeps", _keeps),
    "cook": _Column("cook", _yes),
    "most": _Column("most_kg_per_day", _measure("mass", 0.001, 5)),
    "ashore": _Column("ashore", _yes, "no"),
    "allergens": _Column("allergens", _allergens),
    "price": _Column("price", _number(1e5)),
    "aboard": _Column("aboard_packs", _number(10_000), "0"),
}
_MAY_BE_EMPTY: dict[str, Any] = {"allergens": frozenset(), "price": None}


def read_pantry(path: Path, starter: bool = True) -> Pantry:
    """The user's pantry on top of the starter list; the starter list alone where there is no such file.

    starter False leaves out the starter list's items that the user does not name. Raises InputFaults with
    everything wrong in the file, a pantry that cannot feed anyone among it.
    """
    known = {food.item: (food, cells) for food, cells in _starter_rows()}
    if not is_there(path):
        return Pantry(tuple(food for food, _ in known.values()))
    faults: list[Fault] = []
    own = [food for row in _rows(path) if (food := _food(path.name, row, known, faults))]
    if faults:
        raise InputFaults(faults)
    kept = [food for item, (food, _) in known.items() if starter and item not in {mine.item for mine in own}]
    pantry = Pantry((*own, *kept))
    if not any(food.pack_kcal > 0 for food in pantry.foods) or not any(
        food.pack_protein_kg > 0 for food in pantry.foods
    ):
        raise InputFaults(
            [Fault(path.name, 0, "", "no food with energy and protein", "this pantry cannot feed anyone")]
        )
    return pantry


@dataclass(frozen=True)
class _Row:
    line: int
    cells: dict[str, str]
    repeats: int


def _starter_rows() -> Iterator[tuple[Food, dict[str, str]]]:
    faults: list[Fault] = []
    for row in _rows(STARTER):
        if food := _food(STARTER.name, row, None, faults):
            yield food, row.cells
    if faults:
        raise InputFaults(faults)


def _rows(path: Path) -> Iterator[_Row]:
    """The lines below the header, each with its number. Raises InputFaults where the header is at fault."""
    lines = enumerate(read_text(path).split("\n"), 1)
    kept = [(line, text.strip()) for line, text in lines if text.strip() and not text.lstrip().startswith("#")]
    header = _cells(path, *kept[0]) if kept else []
    if faults := list(_header_faults(path, kept[0][0] if kept else 0, header)):
        raise InputFaults(faults)
    first: dict[str, int] = {}
    for line, text in kept[1:]:
        cells = _cells(path, line, text)
        if len(cells) != len(header):
            found = f"{len(cells)} cells"
            raise InputFaults([Fault(path.name, line, "", found, f"the header has {len(header)}; mind the commas")])
        named = dict(zip(header, cells, strict=True))
        yield _Row(line, named, first.get(named["item"], 0))
        first.setdefault(named["item"], line)


def _cells(path: Path, line: int, text: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([text]))]
    except csv.Error:
        raise InputFaults([Fault(path.name, line, "", shown(text), "this is no line of a CSV table")]) from None


def _header_faults(path: Path, line: int, header: list[str]) -> Iterator[Fault]:
    if "item" not in header:
        parted = len(header) == 1 and re.search(r"[;\t]", header[0])
        wanted = (
            "part its columns with commas, and so every line"
            if parted
            else f"begin it with some of {','.join(COLUMNS)}"
        )
        yield Fault(path.name, line, "", f"no column 'item' in {shown(','.join(header))}", wanted)
        return
    for name in header:
        if name not in COLUMNS:
            yield Fault(path.name, line, "", f"unknown column {shown(name)}", f"the columns are {','.join(COLUMNS)}")
        elif header.count(name) > 1:
            yield Fault(path.name, line, name, "this column stands twice", "keep one of them")


def _food(
    file: str, row: _Row, known: Mapping[str, tuple[Food, dict[str, str]]] | None, faults: list[Fault]
) -> Food | None:
    """The food of a line, or None and its faults added. known: the starter list, whose figures fill empty cells."""
    item = row.cells["item"]
    told = (
        [Fault(file, row.line, "item", f"{shown(item)} again", f"it stands on line {row.repeats}")]
        if row.repeats
        else []
    )
    starter = known[item][1] if known and item in known else {}
    fields: dict[str, Any] = {}
    for name, column in COLUMNS.items():
        try:
            fields[column.field] = _cell(name, column, row.cells.get(name, "") or starter.get(name, ""))
        except Misread as misread:
            told.append(Fault(file, row.line, name, misread.found, misread.wanted))
    if not told:
        food = Food(**fields, own=known is not None)
        told = [Fault(file, row.line, *said) for said in _unlikely(food)]
    faults += told
    return None if told else food


def _cell(name: str, column: _Column, text: str) -> Any:
    text = text or column.empty or ""
    if text:
        return column.read(text)
    if name in _MAY_BE_EMPTY:
        return _MAY_BE_EMPTY[name]
    raise Misread("an empty cell", "give it; the starter list has no such item to take it from")


def _unlikely(food: Food) -> Iterator[tuple[str, str, str]]:
    """Figures that are well written but cannot be meant together: key, found, wanted."""
    if food.protein_share * PROTEIN_KCAL_PER_KG > ATWATER_SLACK * food.energy_kcal_per_kg + 10:
        found = f"{food.protein_share * 100:g} g of protein with {food.energy_kcal_per_kg / 10:g} kcal in 100 g"
        yield "protein", found, "protein alone gives 4 kcal a gram; mend one of the two"
    if food.protein_share + food.water_share > 1.001:
        yield "water", f"{food.water_share:.0%} water and {food.protein_share:.0%} protein", "together at most 100 %"
