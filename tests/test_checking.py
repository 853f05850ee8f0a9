"""Whatever makes the plan refuse makes ``check`` refuse, with the same sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

import passage
from passage.checking import NEEDED
from passage.cli import main
from passage.road import Outcome
from passage.sailed import worked
from passage.shipped import shipped
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

NIGHTS_ONLY = "".join(f'[[person]]\nrole = "{role}"\nstands = ["18:00-20:00"]\n' for role in ("mate", "skipper"))
AGAINST_HER = 'set = "100 deg"\ndrift = "7.5 kn"\n'
REFUSED = {
    "a current that wins": (
        "voyage.toml",
        'position = "38 18.0N 28 27.0W"',
        'set = "100 deg"\ndrift = "7.5 kn"\n',
        "front",
    ),
    "hours that nobody stands": ("watch.toml", "", NIGHTS_ONLY, "rota"),
    "land on a leg": ("voyage.toml", "", '[[waypoint]]\nname = "inland"\nposition = "39 30N 8 00W"\n', "front"),
    "a refuge ashore": ("troubles.toml", "", '[[refuge]]\nname = "inland"\nposition = "39 30N 8 00W"\n', "refuges"),
    "a forecast that is none": ("voyage.toml", "", '[forecast]\nfile = "voyage.toml"\n', "front"),
    "winds that are none": ("voyage.toml", "[voyage]", 'climate = "stores.toml"\n', "front"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_the_plan_refuses_check_refuses_in_the_same_words(case: str, tmp_path: Path) -> None:
    file, after, line, card = REFUSED[case]
    folder = whole(shipped("routes") / "lagos-azores", tmp_path / "v")
    path = folder / file
    text = path.read_text(encoding="utf-8") if path.exists() else ""
    path.write_text(text.replace(after, f"{after}\n{line}", 1) if after else f"{text}\n{line}", encoding="utf-8")
    checked = CliRunner().invoke(main, ["check", str(folder)])
    out = str(tmp_path / "p.pdf")
    planned = CliRunner().invoke(main, ["plan", str(folder), "--crossings", "20", "--only", card, "--out", out])
    assert (2, 2) == (checked.exit_code, planned.exit_code), checked.output + planned.output
    assert planned.stderr.splitlines()[0] in checked.stderr


def test_check_asks_for_everything_that_follows_from_the_crossings() -> None:
    """But for the watches, asked for where a file bounds them; what the bracket and the speeds are made of cannot
    refuse.
    """
    parts = {name for name, value in vars(Outcome).items() if isinstance(value, worked)}
    assert parts - set(NEEDED) == {"by_day", "bracket", "wind_sea", "fast_kn", "watches"}


def test_a_sound_voyage_is_sound() -> None:
    assert 5 == passage.check(passage.read(shipped("routes") / "lagos-azores")).waypoint_count
