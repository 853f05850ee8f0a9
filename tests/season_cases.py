"""The shipped season sailed once for all tests of seasons, and copies of it with a word changed."""

from __future__ import annotations

import shutil
from functools import cache
from typing import TYPE_CHECKING

from passage.inputs.season_folder import read_season
from passage.seasons.sail import Round, sail_season
from passage.shipped import shipped
from tests.plan_cases import MADE
from tests.shared import shared

if TYPE_CHECKING:
    from pathlib import Path

SHIPPED = shipped("seasons") / "atlantic-round"
CROSSINGS = 40


@cache
def sailed() -> Round:
    return shared("atlantic-round", lambda: sail_season(read_season(SHIPPED, MADE), CROSSINGS, 1))


def copied(to: Path, *changes: tuple[str, str]) -> Path:
    """A copy whose season.toml has other words."""
    shutil.copytree(SHIPPED, to, dirs_exist_ok=True)
    text = (to / "season.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    (to / "season.toml").write_text(text, encoding="utf-8")
    return to
