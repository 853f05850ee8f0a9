"""No key without its meaning: what --json prints is documented, and the generated guide is up to date."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner

from passage.cli import main
from passage.plan.document import SHEETS
from passage.plan.keys import PRINTED, paths
from passage.shipped import shipped
from tests.plan_cases import ROUTES, tables_of

DEMO = shipped("routes") / "cape-town-st-helena"
GUIDE = Path(__file__).parents[1] / "guide"


def paths_in(value: Any, path: str = "") -> set[str]:
    """The paths of all keys in JSON, ``[]`` behind what is a list of objects."""
    if isinstance(value, dict):
        inner = (paths_in(each, f"{path}.{name}".lstrip(".")) for name, each in value.items())
        return {f"{path}.{name}".lstrip(".") for name in value}.union(*inner)
    if isinstance(value, list):
        return set().union(*(paths_in(each, f"{path}[]") for each in value))
    return set()


def unexplained(told: Any, command: str) -> set[str]:
    """Paths of a command's JSON that no record declares. Of a list it is not asked whether it is one: it may be
    empty.
    """
    return {path.replace("[]", "") for path in paths_in(told)} - {path.replace("[]", "") for path in paths(command)}


@pytest.mark.parametrize("route", ROUTES)
def test_every_sheet_of_the_plan_is_of_its_record(route: str) -> None:
    for sheet in SHEETS:
        table = tables_of(route).get(sheet.name)
        assert table is None or (sheet.record is not None and isinstance(table, sheet.record)), sheet.name


ELSEWHERE = (
    "log",
    "now",
    "relearn",
    "new",
    "verify",
    "track",
    "boat",
    "compare",
    "foods",
    "climate",
    "season",
    "fleet",
)


@pytest.mark.parametrize(
    "command",
    [name for name in PRINTED if name.split()[0].strip(",") not in ELSEWHERE],
)
def test_every_key_that_a_command_prints_has_its_whole_path_and_meaning(command: str, tmp_path: Path) -> None:
    """Those ELSEWHERE are held where these commands are tested."""
    sails = [] if command in ("check", "legs", "speed", "anchor") else ["--crossings", "20"]
    more = {
        "when": ["--weeks", "2"],
        "plan": ["--timings", "--out", str(tmp_path / "p.pdf"), "--only", "front"],
        "page": ["--out", str(tmp_path / "p.html")],
        "export": ["gpx", "--out", str(tmp_path / "p.gpx")],
        "speed": ["--pair", "10", "60", "4.9"],
    }
    result = CliRunner().invoke(main, [command, str(DEMO), *sails, *more.get(command, []), "--json"])
    assert 0 == result.exit_code, result.output
    told = json.loads(result.stdout)
    assert paths_in(told)
    assert set() == unexplained(told, command)


def test_no_two_commands_are_left_out() -> None:
    """Every command of the program that prints JSON stands in the page of keys; the desk prints none."""
    told = {name.strip(",") for line in PRINTED for name in line.split()}
    log = main.get_command(click.Context(main), "log")
    assert isinstance(log, click.Group)
    printing = {
        name for name, command in main.commands.items() if isinstance(command, click.Group) or prints_json(command)
    }
    assert "plan" in printing
    assert printing | set(log.list_commands(click.Context(log))) <= told


def prints_json(command: click.Command) -> bool:
    return any("--json" in parameter.opts for parameter in command.params)


@pytest.mark.parametrize("page", ["commands", "keys", "api"])
def test_the_generated_pages_of_the_guide_are_up_to_date(page: str) -> None:
    spec = importlib.util.spec_from_file_location("guide_build", GUIDE / "build.py")
    assert spec is not None
    assert spec.loader is not None
    build = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(build)
    expected = {"commands": build.commands_page, "keys": build.keys_page, "api": build.api_page}[page]()
    assert expected == (GUIDE / f"{page}.md").read_text(encoding="utf-8")
