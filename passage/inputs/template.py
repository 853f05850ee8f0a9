"""A fresh voyage folder to start from, every key explained."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from passage.errors import Fault, InputFaults
from passage.inputs.anchorage import ANCHORAGE_FILE
from passage.inputs.electrics import ELECTRICS_FILE
from passage.inputs.folder import FILES
from passage.inputs.gear import GEAR_FILE
from passage.inputs.making import write_together
from passage.inputs.pantry import PANTRY_FILE
from passage.inputs.provisions import STORES_FILE
from passage.inputs.search import TRACK_FILE
from passage.inputs.toml import LONGEST_NAME
from passage.inputs.troubles import TROUBLES_FILE
from passage.inputs.unedited import TEMPLATES
from passage.inputs.watch import WATCH_FILE
from passage.units import shown

if TYPE_CHECKING:
    from pathlib import Path

WRITTEN = (
    *FILES,
    ELECTRICS_FILE,
    STORES_FILE,
    PANTRY_FILE,
    GEAR_FILE,
    ANCHORAGE_FILE,
    WATCH_FILE,
    TROUBLES_FILE,
    TRACK_FILE,
)
_NAME = 'name = "My passage"'


def write_template(folder: Path, name: str) -> list[Path]:
    """Write the files of a voyage called ``name`` into ``folder``, made where it is missing.

    Returns their paths. Raises InputFaults, nothing written, where one of them stands there already.
    """
    if not 1 <= len(name.strip()) <= LONGEST_NAME or not name.isprintable():
        raise InputFaults(
            [
                Fault(
                    "voyage.toml",
                    0,
                    "voyage.name",
                    shown(name),
                    f"give a name of one line, at most {LONGEST_NAME} letters",
                )
            ]
        )
    from passage.inputs.schemas import schema_texts  # every model there is, for one command alone

    paths = [folder / file for file in WRITTEN]
    standing = [path for path in paths if path.exists()]
    if standing:
        raise InputFaults([Fault(path.name, 0, "", "stands there already", "name a new folder") for path in standing])
    texts = schema_texts({path.name: _filled(path.name, name) for path in paths})
    write_together({folder / file: text for file, text in texts.items()})
    return paths


def _filled(file: str, name: str) -> str:
    text = (TEMPLATES / file).read_text(encoding="utf-8")
    # JSON's quoting of text is TOML's too.
    return text.replace(_NAME, f"name = {json.dumps(name, ensure_ascii=False)}") if file == "voyage.toml" else text
