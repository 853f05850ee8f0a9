"""The foods that a pantry may name, found by a part of the name: energy, protein, keeping, price and what is aboard."""

from __future__ import annotations

from difflib import get_close_matches
from math import nan
from typing import TYPE_CHECKING

from passage.tell.blocks import Blocks, Head, Say, grid
from passage.tell.customary import unit_words
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.inputs.pantry import Food, Pantry


class FoodRow(Record):
    """One food."""

    item: str = told("its name, as a pantry or a dinner writes it")
    group: str = told("staple, pulse, protein, dairy, fat, produce or snack")
    pack_g: float = told("one pack without packaging, grams")
    energy_kcal: float = told("energy of 100 g as eaten, kilocalories")
    protein_g: float = told("protein of 100 g as eaten, grams")
    keeps_days: float = told("days it keeps, at the temperature of the next field")
    keeps_at_c: float = told("at which temperature; null for 20 to 27 °C", unit="°C", places=0)
    price: float = told("price of a pack; null where the pantry gives none")
    aboard: float = told("packs aboard", places=1)
    own: bool = told("whether the pantry gives it or the list that comes with the tool")


class Foods(Record):
    """What was found."""

    asked: str = told("the part of a name asked for; empty for all")
    known: int = told("how many foods there are in all")
    foods: tuple[FoodRow, ...] = told("those found, by name")
    near: tuple[str, ...] = told("the nearest names, where none was found")


def found(pantry: Pantry, part: str) -> Foods:
    """The foods whose name, group or allergens hold each word of ``part``."""
    words = part.casefold().split()
    rows = [food for food in pantry.foods if all(word in _text(food) for word in words)]
    near = get_close_matches(part, [food.item for food in pantry.foods], n=5, cutoff=0.4) if not rows else []
    told_rows = tuple(_row(food) for food in sorted(rows, key=lambda food: food.item))
    return Foods(part, len(pantry.foods), told_rows, tuple(near))


def _text(food: Food) -> str:
    return " ".join((food.item, food.group, *food.allergens)).casefold()


def _row(food: Food) -> FoodRow:
    return FoodRow(
        item=food.item,
        group=food.group,
        pack_g=1000.0 * food.pack_kg,
        energy_kcal=food.energy_kcal_per_kg / 10.0,
        protein_g=100.0 * food.protein_share,
        keeps_days=food.keeps.days,
        keeps_at_c=nan if food.keeps.at_c is None else food.keeps.at_c,
        price=nan if food.price is None else food.price,
        aboard=food.aboard_packs,
        own=food.own,
    )


def foods_card(told: Foods) -> Blocks:
    asked = f" with '{told.asked}' in the name or group" if told.asked else ""
    return (
        Head(f"{len(told.foods)} of {told.known} foods{asked}"),
        grid(
            told.foods,
            ("food", lambda row: row.item, "left 1fr"),
            ("group", lambda row: row.group, "left"),
            (f"pack {unit_words('g')}", lambda row: row.pack_g),
            ("kcal", lambda row: row.energy_kcal),
            ("protein g", lambda row: row.protein_g),
            ("keeps", lambda row: _keeps_words(row), "left"),
            ("price", lambda row: row.price),
            ("aboard", lambda row: row.aboard),
        ),
        Say(f"The nearest names are {', '.join(told.near)}." if told.near else ""),
        Say("Energy and protein are for 100 g; the label on the packet is right." if told.foods else ""),
    )


def _keeps_words(row: FoodRow) -> str:
    cold = f" at {row.keeps_at_c:u}" if row.keeps_at_c == row.keeps_at_c else ""
    return f"{row.keeps_days:.0f} d{cold}"
