"""Sentences on what runs short, for the sheets that tell it."""

from __future__ import annotations

from math import isfinite, isnan
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from passage.consequences.stores.landfall import StoresAnswer
    from passage.consequences.stores.together import Remedy


def first_out_words(answer: StoresAnswer) -> str:
    first = answer.first_out
    if first is None:
        return ""
    name = first.name[:1].upper() + first.name[1:]
    day = "" if isnan(first.typical_day) else f", as a rule on day {first.typical_day}"
    return f"{name} is the first to run out: in {first.first.count} of the {answer.crossings} crossings{day}."


def remedy_words(remedy: Remedy | None) -> str:
    if remedy is None:
        return "Nothing that may be added mends it: leave in another month, or call somewhere on the way."
    if not remedy.parts:
        return ""
    short = {0: "no crossing", 1: "1 crossing"}.get(remedy.after.count, f"{remedy.after.count} crossings")
    brings = f"{short} of {remedy.after.members} short of anything"
    price = f", for {remedy.price}" if isfinite(remedy.price) else ""
    return f"The lightest remedy: {' and '.join(remedy.parts)}, {remedy.mass_kg:u}{price}, leaves {brings}."


def not_counted_words(answer: StoresAnswer) -> str:
    names = ", ".join(answer.not_counted)
    return f"Not counted, because no file says how much is aboard: {names}." if names else ""
