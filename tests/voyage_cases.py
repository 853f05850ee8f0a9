"""The shipped voyages in one folder each, as voyages were before boats had folders of their own: for tests to break."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

from passage.inputs.home import BOAT_KEY, home_of
from passage.inputs.toml import read_document

if TYPE_CHECKING:
    from pathlib import Path


def whole(route: Path, to: Path) -> Path:
    """Copy a voyage to a new folder with the files of the boat that it names among its own."""
    home = home_of(route, read_document(route / "voyage.toml"))
    assert home.boat is not None
    shutil.copytree(home.boat, to, dirs_exist_ok=True)
    for file in route.iterdir():
        if not file.is_file():
            continue
        text = file.read_text(encoding="utf-8")
        before = (to / file.name).read_text(encoding="utf-8") if (to / file.name).exists() else ""
        (to / file.name).write_text(f"{before}{text}", encoding="utf-8")
    voyage = to / "voyage.toml"
    rows = voyage.read_text(encoding="utf-8").splitlines(keepends=True)
    voyage.write_text("".join(row for row in rows if not row.startswith(f"{BOAT_KEY[-1]} = ")), encoding="utf-8")
    return to
