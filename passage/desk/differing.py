"""What saving would change, key by key and in the words of the forms."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from passage.desk.forms import section_of
from passage.inputs.keys import tables_of
from passage.inputs.schemas import MODELS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.desk.draft import Draft
    from passage.desk.forms import Field, Section

    Place = tuple[str, int, int]  # title of an entry, which of that title, and which key


class Difference(NamedTuple):
    """A key that saving would change. where: its table or entry; was, will_be: empty where it does not stand."""

    where: str
    label: str
    was: str
    will_be: str


def differences(draft: Draft) -> list[Difference]:
    """In the order of the forms. Entries of a list are the same where their names are."""
    return [each for file in MODELS for each in _in_file(draft, file)]


def _in_file(draft: Draft, file: str) -> Iterator[Difference]:
    before, after = draft.document(file, saved=True), draft.document(file)
    if before.values == after.values:
        return
    for table in tables_of(file):
        was = _fields(section_of(table, before, {}, {}))
        will_be = _fields(section_of(table, after, {}, {}))
        for place in dict.fromkeys((*was, *will_be)):
            here = will_be.get(place) or was[place]
            values = tuple(there[place].value if place in there else "" for there in (was, will_be))
            if values[0] != values[1]:
                yield Difference(place[0], here.key.label, *values)


def _fields(section: Section) -> dict[Place, Field]:
    found: dict[Place, Field] = {}
    seen: dict[str, int] = {}
    for entry in section.entries:
        nth = seen[entry.title] = seen.get(entry.title, -1) + 1
        found |= {(entry.title, nth, at): field for at, field in enumerate(entry.fields)}
    return found
