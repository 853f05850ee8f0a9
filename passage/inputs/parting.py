"""A voyage folder of one piece parted in two: what is the boat's goes to a folder of her own, which the voyage names.

Texts are moved by line, so that every comment stays beside what it is about.
"""

from __future__ import annotations

import json
import os
import re
from pathlib import Path
from shutil import copytree
from typing import NamedTuple

from passage.disk import write_whole
from passage.errors import Fault, InputFaults
from passage.inputs.anchorage import ANCHORAGE_FILE
from passage.inputs.editing import blocks
from passage.inputs.folder import read_folder
from passage.inputs.home import HERS, VOYAGE_FILE
from passage.inputs.provisions import STORES_FILE
from passage.inputs.text import is_there, read_text
from passage.inputs.troubles import TROUBLES_FILE

PARTED = {  # the tables of each that are the voyage's own
    ANCHORAGE_FILE: ("anchorage",),
    TROUBLES_FILE: ("refuge",),
    STORES_FILE: ("diet", "dinner", "daily", "gas_bottle", "rain"),  # what is aboard, and what of the pantry is eaten
}


class Parted(NamedTuple):
    """The two folders, and the files of each that were written."""

    voyage: Path
    boat: Path
    boat_files: tuple[str, ...]
    voyage_files: tuple[str, ...]


def part(folder: Path, boat: Path) -> Parted:
    """Part a voyage folder; ``boat``: the folder to make. Nothing is lost: the two say what the one said.

    Raises InputFaults, nothing changed, for a folder with a fault, one that names a boat already, and a boat's folder
    that stands there.
    """
    facts = read_folder(folder)
    if facts.home.boat is not None:
        raise InputFaults(
            [Fault(VOYAGE_FILE, 0, "voyage.boat", facts.home.named, "she has a folder of her own already")]
        )
    if is_there(boat):
        raise InputFaults([Fault(str(boat), 0, "", "stands there already", "name a new folder for the boat")])
    hers, his = _texts(folder)
    if (table := facts.boat.polar.file) is not None and table.parent.resolve() == folder.resolve():
        hers[table.name] = read_text(table)
    his[VOYAGE_FILE] = _naming(read_text(folder / VOYAGE_FILE), os.path.relpath(boat, folder))
    from passage.inputs.schemas import FOLDER

    _write(boat, hers)
    if (folder / FOLDER).is_dir():
        copytree(folder / FOLDER, boat / FOLDER)
    _write(folder, his)
    for name in hers:
        if name not in his:
            (folder / name).unlink()
    return Parted(folder, boat, tuple(hers), tuple(his))


def _texts(folder: Path) -> tuple[dict[str, str], dict[str, str]]:
    """What stands in the boat's files and what is left in the voyage's, by name. Remarks at the head of a file that is
    parted stand in both.
    """
    hers = {name: read_text(folder / name) for name in HERS if name not in PARTED and is_there(folder / name)}
    his: dict[str, str] = {}
    for name, own in PARTED.items():
        if not is_there(folder / name):
            continue
        parts = [(key[0] if key else "", text) for key, text in blocks(read_text(folder / name))]
        if any(key not in ("", *own) for key, _ in parts):
            hers[name] = "".join(text for key, text in parts if key not in own)
        if any(key in own for key, _ in parts):
            his[name] = "".join(text for key, text in parts if key in ("", *own))
    return hers, his


def _naming(text: str, boat: str) -> str:
    """The voyage file with the boat's folder named first in its table."""
    named = json.dumps(Path(boat).as_posix(), ensure_ascii=False)
    return re.sub(r"(?m)^(\s*\[\s*voyage\s*\][^\n]*\n)", lambda found: f"{found[1]}boat = {named}\n", text, count=1)


def _write(folder: Path, texts: dict[str, str]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, f"{text.rstrip()}\n".encode())
