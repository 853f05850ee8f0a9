"""A figure on the sources pages: what it is, its value as a sailor writes it, and whose it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.inputs.told import plainly
from passage.tell.customary import unit_words
from passage.tell.figures import amount
from passage.tell.records import Record, told
from passage.units import KINDS

if TYPE_CHECKING:
    from passage.inputs.toml import Section

DEFAULT = "default: common practice"
YOURS = "your file"


class Row(Record):
    """One figure that the plan stands on."""

    what: str = told("what is said")
    value: str = told("its value, empty where it is to be filled in")
    source: str = told("whose it is and where it comes from")


LABELLED_KG = 0.002  # protein is in grams on the labels of both sides


def figure(section: Section, name: str, words: str, default: str = DEFAULT) -> Row:
    value = getattr(section, name)
    return Row(words, _worded(value, name), whose(section, name, default))


def whose(section: Section, name: str, default: str = DEFAULT) -> str:
    return YOURS if name in section.model_fields_set else default


def _worded(value: object, name: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    kinds = [kind for kind, meant in KINDS.items() if name.endswith(meant.suffix)]
    if not kinds or not isinstance(value, float):
        return f"{value:g}" if isinstance(value, float) else str(value)
    kind = max(kinds, key=lambda kind: len(KINDS[kind].suffix))  # litres an hour end as hours do
    if kind == "mass" and 0.0 < value < 1.0:
        in_grams = unit_words("g") == "g" or value < LABELLED_KG
        return f"{1000.0 * value:.4g} g" if in_grams else f"{amount(1000.0 * value, 'g'):u}"
    return plainly(float(f"{value:.{3 if kind == 'share' else 4}g}"), kind)
