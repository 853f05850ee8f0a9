"""Four boats, invented, one of them at fault, on a short track from two days: small enough to sail in a test."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from passage.fleets.table import Fleet, table_of
from passage.shipped import shipped

if TYPE_CHECKING:
    from passage.fleets.cell import Values
    from passage.fleets.table import Block

BOATS = """name,length_m,displacement_kg,sail_area_m2,crew,water_l,fuel_l,panels_w,bank_ah,performance_in_100
# all invented
Curlew,10.2,6800,48,2,20,120,200,220,88
Bittern,3,,,2,100,,,,
Dunlin,9,,,1,200,,,,
"""
TRACK = """waypoint = [
    { name = "off Lagos", position = "37 00.0N 8 39.0W" },
    { name = "off Porto Santo", position = "33 06.0N 16 15.0W" },
]

[voyage]
name = "Lagos to Porto Santo"
depart = "2027-06-01 09:00"
boat = "hers"
"""
FILE = """[fleet]
name = "Waders"
crossings = 20

[boats]
file = "boats.csv"
folders = ["ten-metre"]

[tracks]
folders = ["track"]

[departures]
days = ["2027-06-01 09:00", "2027-07-01 09:00"]
"""


def lay(folder: Path, file: str = FILE, boats: str = BOATS) -> Path:
    """The fleet file, with all that it names beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copytree(shipped("boats") / "ten-metre", folder / "ten-metre", dirs_exist_ok=True)
    shutil.copytree(shipped("boats") / "ten-metre", folder / "track" / "hers", dirs_exist_ok=True)
    (folder / "track" / "voyage.toml").write_text(TRACK, encoding="utf-8")
    (folder / "boats.csv").write_text(boats, encoding="utf-8")
    (folder / "FLEET.toml").write_text(file, encoding="utf-8")
    return folder / "FLEET.toml"


@cache
def fleet() -> Fleet:
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        return table_of(lay(Path(folder)))


def figures_of(table: Fleet, block: Block) -> list[Values | str]:
    """Invented figures of the right shapes, the same for the same block; a boat that is refused has none."""
    import numpy as np

    from passage.fleets.schema import VARIABLES, sizes

    refused = table.facts[block.boat, block.track]
    if isinstance(refused, str):
        return [refused] * len(block.cells)
    lengths = sizes(table)
    made: list[Values | str] = []
    for cell in block.cells:
        chance = np.random.default_rng((block.boat, *cell))
        made.append({each.name: chance.random([lengths[name] for name in each.beside]) for each in VARIABLES})
    return made


def bytes_in(folder: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def client() -> Any:
    """One worker within this process: what is sailed is the same."""
    from passage.fleets.run import local_workers

    return local_workers(1, processes=False)
