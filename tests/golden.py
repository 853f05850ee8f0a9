"""Writes the golden plans: page one, legs, times and water of two voyages at a fixed seed. Read the diff before
committing it.

make golden
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.plan.sheets import front, legs, times, water
from passage.road import walk
from passage.tell.records import as_json

HERE = Path(__file__).parent
ROUTES = HERE.parent / "routes"
VOYAGES = ("cape-town-st-helena", "opua-tonga")
CROSSINGS, SEED = 200, 1
TODAY = date(2026, 11, 25)


def golden_path(voyage: str) -> Path:
    return HERE / "golden" / f"{voyage}.json"


def tables_of(voyage: str) -> dict[str, Any]:
    facts = read_folder(ROUTES / voyage, TODAY)
    outcome = walk(facts, lay_ground(facts), Luck(SEED, CROSSINGS), facts.voyage.departure.depart)
    tables = {sheet.SHEET.name: as_json(sheet.SHEET.table(outcome)) for sheet in (front, legs, times, water)}
    return tables | {"page one says": front.said(front.table(outcome))._asdict()}


if __name__ == "__main__":
    for name in VOYAGES:
        text = json.dumps(tables_of(name), indent=1, ensure_ascii=False, allow_nan=False)
        golden_path(name).parent.mkdir(exist_ok=True)
        golden_path(name).write_text(text + "\n", encoding="utf-8")
