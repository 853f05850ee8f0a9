"""``passage new``: seven answers make two folders and a first answer; a second voyage of the boat is one short file."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner, Result

from passage.cli import main
from passage.inputs.folder import read_folder

if TYPE_CHECKING:
    from pathlib import Path

ENDS = ("--from", "37 04.5N 8 37.5W", "--to", "Funchal", "--when", "June 2027")


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, object]]:
    folder = tmp_path_factory.mktemp("sea") / "down"
    result = run("new", folder, *ENDS, "--boat", "10 m, 48 m2", "--json")
    assert 0 == result.exit_code, result.output
    return folder, json.loads(result.stdout)


def test_two_folders_are_made_and_they_read(begun: tuple[Path, dict[str, object]]) -> None:
    folder, _ = begun
    facts = read_folder(folder)
    assert folder.parent / "my-boat" == facts.home.boat.resolve() if facts.home.boat else None
    assert "37 04.5N 8 37.5W to Funchal" == facts.voyage.departure.name
    assert 48.0 == facts.boat.hull.sail_area_m2
    assert ("waterline_length", "beam", "displacement") == facts.boat.hull.not_measured
    assert facts.electrics is not None


def test_the_first_answer_tells_how_long_and_what_it_hangs_on(begun: tuple[Path, dict[str, object]]) -> None:
    _, told = begun
    time = told["time"]
    assert isinstance(time, dict)
    assert 3.0 < time["typical_days"] < time["slow_end_days"] < 12.0  # some 480 miles in the Portuguese trade
    weighs = told["weighs"]
    assert isinstance(weighs, list)
    assert 3 == len(weighs)
    assert [row["moves_in_100"] for row in weighs] == sorted((row["moves_in_100"] for row in weighs), reverse=True)
    drawn = next(row for row in weighs if row["fact"] == "what draws on the battery")
    assert drawn["battery_low_in_100"] < drawn["battery_high_in_100"]
    assert drawn["slow_end_low_days"] == drawn["slow_end_high_days"]


def test_check_says_what_nobody_measured(begun: tuple[Path, dict[str, object]]) -> None:
    result = run("check", begun[0])
    assert 0 == result.exit_code, result.output
    assert "told from her length alone" in " ".join(result.output.split())


def test_a_second_voyage_of_the_boat_is_one_file_of_under_25_lines(begun: tuple[Path, dict[str, object]]) -> None:
    folder = begun[0].parent / "back"
    boat = begun[0].parent / "my-boat"
    result = run(
        "new", folder, "--from", "Funchal", "--to", "37 04.5N 8 37.5W", "--when", "August 2027", "--boat", boat
    )
    assert 0 == result.exit_code, result.output
    (file,) = (path for path in folder.iterdir() if path.is_file())
    assert len(file.read_text(encoding="utf-8").splitlines()) < 25
    assert read_folder(folder).boat == read_folder(begun[0]).boat


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "--from and --to say where"),
        (("--from", "Lagos, Portugal"), "--from and --to say where"),
        (("--from", "Lagos", "--to", "Funchal"), "several have this name"),
        (("--from", "47N 8E", "--to", "Funchal"), "nm off"),
        (("--from", "Funchal", "--to", "Funchal"), ""),
    ],
)
def test_what_cannot_be_begun_is_said_and_nothing_written(
    arguments: tuple[str, ...], said: str, tmp_path: Path
) -> None:
    result = run("new", tmp_path / "voyage", *arguments)
    assert 2 == result.exit_code
    assert said in result.output
    assert [] == list(tmp_path.iterdir())


def test_a_voyage_that_is_there_is_not_written_over(begun: tuple[Path, dict[str, object]]) -> None:
    before = (begun[0] / "voyage.toml").read_bytes()
    result = run("new", begun[0], *ENDS)
    assert 2 == result.exit_code
    assert "stands there already" in result.output
    assert before == (begun[0] / "voyage.toml").read_bytes()
