"""Examples of the template that nobody has replaced: a plan made of them would look like one of a real voyage."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from passage.errors import InputFaults
from passage.inputs.toml import read_document

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.errors import Fault
    from passage.inputs.home import Home

TEMPLATES = Path(__file__).parent / "templates"
INVENTED = {  # the tables whose example nobody's own could equal by chance
    "voyage.toml": "waypoint",
    "boat.toml": "boat",
    "crew.toml": "person",
    "electrics.toml": "load",
    "anchorage.toml": "anchor",
}
NEEDED = ("voyage.toml", "boat.toml", "crew.toml")


def unedited(home: Home) -> Iterator[Fault]:
    """A fault for each table of examples that stands as the template has it."""
    for name, key in INVENTED.items():
        path = home.path(name)
        if not home.has(name):
            continue
        try:
            values = read_document(path).values
        except InputFaults:  # told by who reads it
            continue
        if key in values and values[key] == read_document(TEMPLATES / name).values[key]:
            wanted = "write your own" if name in NEEDED else "write your own, or take the file out of the folder"
            yield home.document(name).fault((key,), "as in the template: every figure of it is invented", wanted)
