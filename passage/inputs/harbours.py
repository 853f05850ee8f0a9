"""Harbours by name: towns by the sea, so that a first plan can be asked for without a chart.

Source: GeoNames (CC BY 4.0), towns of 500 inhabitants and more within some six miles of the coastline, as packed by
``coastline/build_harbours.py``. A position is a town's middle: it may be ashore and it is no berth. Many a small
harbour and most anchorages are missing. The chart decides.
"""

from __future__ import annotations

import csv
import lzma
import re
import unicodedata
from difflib import get_close_matches
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from passage.inputs.position import parse_position
from passage.positions import Position
from passage.shipped import shipped
from passage.units import Misread, shown

if TYPE_CHECKING:
    from collections.abc import Sequence

FILE = "harbours.csv.xz"
MOST_TOLD = 6
INSTEAD = 'take its position from the chart, such as "37 05.5N 8 40.0W"'


class Place(NamedTuple):
    """A harbour or a position. country: empty for a position, whose name says where it is."""

    name: str
    country: str
    position: Position

    @property
    def whole(self) -> str:
        return f"{self.name}, {self.country}" if self.country else self.name


class _Town(NamedTuple):
    place: Place
    names: tuple[str, ...]  # folded


def place(text: str) -> Place:
    """A position in any sailor's form, or a harbour by name, with its country where several have the name.

    Raises Misread for a name that nothing or too much has.
    """
    if re.search(r"\d", text):
        here = parse_position(text)
        return Place(" ".join(text.split()), "", here)
    name, _, country = (part.strip() for part in text.partition(","))
    if not folded(name):
        raise Misread(shown(text), f"name a harbour, or {INSTEAD}")
    found = _by_name(name, country)
    if not found:
        raise Misread(shown(text), _not_found(folded(name)))
    if len(found) > 1:
        ways = "; ".join(one.whole for one in found[:MOST_TOLD])
        raise Misread(shown(text), f"several have this name, say which: {ways}{' ...' * (len(found) > MOST_TOLD)}")
    return found[0]


def folded(name: str) -> str:
    """Without accents, capitals and signs, as it is looked for."""
    return "".join(letter for letter in unicodedata.normalize("NFKD", name).casefold() if letter.isalnum())


@cache
def _towns() -> tuple[_Town, ...]:
    """The largest first."""
    with lzma.open(shipped("coastline") / FILE, "rt", encoding="utf-8") as file:
        rows = csv.reader(file)
        next(rows)
        return tuple(
            _Town(
                Place(name, country, Position(float(lat), float(lon))),
                (folded(name), *(folded(other) for other in also.split(";") if other)),
            )
            for name, country, lat, lon, _, also in rows
        )


def _by_name(name: str, country: str) -> Sequence[Place]:
    """Towns of the name, and larger ones with a word or more behind it; or else those that have it among their other
    names; or else, where the country is said, those that begin with it.
    """
    towns, key = _towns(), folded(name)
    exact = next((at for at, town in enumerate(towns) if town.names[0] == key), 0)
    longer = [town for town in towns[:exact] if town.place.name.casefold().startswith(f"{name.casefold()} ")]
    for found in (
        [*longer, *(town for town in towns if town.names[0] == key)],
        [town for town in towns if key in town.names],
        [town for town in towns if country and town.names[0].startswith(key)],
    ):
        if there := _of_country([town.place for town in found], country):
            return there
    return []


def _of_country(places: Sequence[Place], country: str) -> Sequence[Place]:
    """The largest of each country, those of one country alone where one is named: by its beginning, or a state's."""
    meant = folded(country)
    largest: dict[str, Place] = {}
    for each in places:
        if not meant or any(folded(part).startswith(meant) for part in (each.country, *each.country.split(", "))):
            largest.setdefault(each.country, each)
    return list(largest.values())


def _not_found(name: str) -> str:
    names = {town.names[0]: town.place for town in reversed(_towns())}
    begun = [town.names[0] for town in _towns() if town.names[0].startswith(name)]
    near = dict.fromkeys([*begun[:1], *get_close_matches(name, names, n=3, cutoff=0.75)])
    close = "; ".join(names[each].whole for each in near)
    return f"{f'did you mean {close}? Or ' if close else 'no town by the sea of this name is known here: '}{INSTEAD}"
