"""A voyage begun from a few answers: her boat's folder, a first track from the search, the voyage that names both."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from passage.choosing import first_track
from passage.crossings.at_sea import sailing_polar
from passage.crossings.helm import rig_out
from passage.errors import Fault, InputFaults
from passage.inputs.boat import Boat
from passage.inputs.electrics import ELECTRICS_FILE
from passage.inputs.firstfiles import boat_toml, crew_toml, electrics_toml, stores_toml, voyage_toml
from passage.inputs.home import VOYAGE_FILE, Home
from passage.inputs.making import write_together
from passage.inputs.polar import read_polar
from passage.inputs.provisions import STORES_FILE
from passage.inputs.schemas import schema_texts
from passage.inputs.search import TrackLimits
from passage.inputs.text import is_there
from passage.inputs.toml import document_of

if TYPE_CHECKING:
    from passage.crossings.helm import Vessel
    from passage.inputs.answers import Answers

BOAT_FOLDER = "my-boat"


class Begun(NamedTuple):
    """The folders and the files written in each; ``boat_files`` is empty for a boat that was there."""

    voyage: Path
    boat: Path
    voyage_files: tuple[str, ...]
    boat_files: tuple[str, ...]


def begin(folder: Path, name: str, answers: Answers) -> Begun:
    """Write the voyage and, unless ``answers.boat`` is the folder of one, her boat beside it.

    Raises InputFaults and RouteRefused, nothing written.
    """
    if is_there(folder / VOYAGE_FILE):
        raise InputFaults([Fault(VOYAGE_FILE, 0, "", "stands there already", "name a new folder")])
    boat, files = _boat(folder, answers)
    vessel = _vessel(boat, files)
    ends = (answers.start.position, answers.goal.position)
    places, told = first_track(*ends, vessel, TrackLimits(), answers.depart)
    named = Path(os.path.relpath(boat.resolve(), folder.resolve())).as_posix()
    texts = {boat / file: text for file, text in schema_texts(files).items()}
    voyage = schema_texts({VOYAGE_FILE: voyage_toml(name, named, answers, places, told)})
    write_together(texts | {folder / file: text for file, text in voyage.items()})
    return Begun(folder, boat, (VOYAGE_FILE,), tuple(files))


def known_boat(folder: Path) -> Path | None:
    """The boat's folder that an earlier first voyage made beside this one."""
    boat = folder.resolve().parent / BOAT_FOLDER
    return boat if (boat / "boat.toml").is_file() else None


def _boat(folder: Path, answers: Answers) -> tuple[Path, dict[str, str]]:
    """Her folder, and the files to make in it: none for a boat that is there."""
    if isinstance(answers.boat, Path):
        return answers.boat, {}
    beside = folder.resolve().parent
    names = (BOAT_FOLDER, f"{folder.resolve().name}-boat")
    boat = next((beside / name for name in names if not is_there(beside / name)), None)
    if boat is None:
        raise InputFaults([Fault(names[1], 0, "", "stands there already", "name it as the boat, or move it away")])
    files = {"boat.toml": boat_toml(answers.boat, answers), "crew.toml": crew_toml(answers.crew)}
    files[STORES_FILE] = stores_toml()
    if answers.bank_ah:
        files[ELECTRICS_FILE] = electrics_toml(answers)
    return boat, files


def _vessel(boat: Path, files: dict[str, str]) -> Vessel:
    """How she sails: as written, or by the file that is there. Raises InputFaults."""
    home = Home(boat)
    document = document_of(files["boat.toml"], boat / "boat.toml") if files else home.must("boat.toml")
    facts = document.read(Boat)
    polar = read_polar(facts.polar.file, facts.hull.hull_speed_kn) if facts.polar.file else None
    return rig_out(facts, sailing_polar(facts, polar))
