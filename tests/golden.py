"""Writes the golden plans: page one, legs, times and water of two voyages at a fixed seed. Read the diff before
committing it.

make golden
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from passage.plan.sheets import front, legs, times, water
from passage.tell.records import as_json
from tests.plan_cases import sailed

HERE = Path(__file__).parent
VOYAGES = ("cape-town-st-helena", "opua-tonga")


def golden_path(voyage: str) -> Path:
    return HERE / "golden" / f"{voyage}.json"


def tables_of(voyage: str) -> dict[str, Any]:
    outcome = sailed(voyage)
    tables = {sheet.SHEET.name: as_json(sheet.SHEET.table(outcome)) for sheet in (front, legs, times, water)}
    return tables | {"page one says": front.said(front.table(outcome))._asdict()}


if __name__ == "__main__":
    for name in VOYAGES:
        text = json.dumps(tables_of(name), indent=1, ensure_ascii=False, allow_nan=False)
        golden_path(name).parent.mkdir(exist_ok=True)
        golden_path(name).write_text(text + "\n", encoding="utf-8")
