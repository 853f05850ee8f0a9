"""The commands as a person meets them: answers on stdout, sentences on stderr, exit status 2, and a cheap --help."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import cast

import click
import pytest
from click.testing import CliRunner, Result

from passage.cli import main
from passage.cli.group import BY_USE, _columns
from passage.inputs.folder import read_folder
from passage.plan.sheets import legs
from tests.test_plan_keys import unexplained
from tests.test_template import edit
from tests.voyage_cases import whole

ROUTES = Path(__file__).parents[1] / "routes"
DEMO = ROUTES / "cape-town-st-helena"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def answer(*arguments: object) -> dict[str, object]:
    result = run(*arguments, "--json")
    assert 0 == result.exit_code, result.stderr
    table: dict[str, object] = json.loads(result.stdout)
    return table


def test_a_new_folder_checks_and_sails(tmp_path: Path) -> None:
    folder = tmp_path / "my-crossing"
    assert 0 == run("new", folder, "--template").exit_code
    assert 2 == run("check", folder).exit_code  # nobody has replaced its examples
    edit(folder)
    assert 0 == run("check", folder).exit_code
    assert "days" in run("sail", folder, "--crossings", 20).stdout


def test_new_never_overwrites(tmp_path: Path) -> None:
    folder = tmp_path / "my-crossing"
    run("new", folder, "--template")
    before = (folder / "boat.toml").read_bytes()
    again = run("new", folder, "--template")
    assert 2 == again.exit_code
    assert "stands there already" in again.stderr
    assert before == (folder / "boat.toml").read_bytes()


@pytest.mark.parametrize("command", ["check", "legs", "sail", "stores", "plan"])
def test_faults_are_sentences_and_exit_status_2(command: str, tmp_path: Path) -> None:
    folder = whole(DEMO, tmp_path / "voyage")
    text = (folder / "boat.toml").read_text(encoding="utf-8")
    (folder / "boat.toml").write_text(text.replace('"9.1 m"', '"9.1 parsecs"'), encoding="utf-8")
    result = run(command, folder)
    assert 2 == result.exit_code
    assert "boat.toml line 6: boat.length_overall" in result.stderr
    assert "" == result.stdout
    assert "Traceback" not in result.output


def test_a_folder_that_is_not_there_is_a_sentence() -> None:
    result = run("plan", "nowhere-at-all")
    assert 2 == result.exit_code
    assert "no such folder" in result.stderr


def test_a_plan_that_cannot_be_written_is_a_sentence(tmp_path: Path) -> None:
    result = run("plan", DEMO, "--only", "fire", "--crossings", 20, "--out", tmp_path / "missing" / "plan.pdf")
    assert 2 == result.exit_code
    assert "plan.pdf" in result.stderr


@pytest.mark.parametrize("date", ["2027-02-30", "soon", "10/02/2027", "2035-01-01"])
def test_a_date_that_cannot_be_is_refused(date: str) -> None:
    result = run("sail", DEMO, "--depart", date)
    assert 2 == result.exit_code
    assert date in result.stderr


@pytest.mark.usefixtures("nothing_kept")
def test_plan_writes_a_pdf_and_says_where_and_the_same_seed_and_date_give_the_same_bytes(tmp_path: Path) -> None:
    one, two = (tmp_path / name for name in ("one.pdf", "two.pdf"))
    for path in (one, two):
        result = run(
            "plan", DEMO, "--crossings", 40, "--short", "--out", path, "--paper", "us-letter", "--made", "2026-11-25"
        )
        assert 0 == result.exit_code, result.stderr
        assert str(path) in result.stdout
    assert one.read_bytes().startswith(b"%PDF")
    assert one.read_bytes() == two.read_bytes()


def test_another_departure_and_seed_are_other_crossings() -> None:
    february = answer("sail", DEMO, "--crossings", 20)
    july = answer("sail", DEMO, "--crossings", 20, "--depart", "2027-07-10")
    other = answer("sail", DEMO, "--crossings", 20, "--seed", 2)
    assert february != july
    assert february != other


def test_help_costs_little_and_imports_nothing_heavy() -> None:
    """The heavy libraries come in only when a command needs them; how long that takes is a benchmark, not a test."""
    code = (
        "import sys\nfrom click.testing import CliRunner\nfrom passage.cli import main\n"
        "assert CliRunner().invoke(main, ['plan', '--help']).exit_code == 0\n"
        "heavy = {'numpy', 'pint', 'pydantic', 'xarray', 'shapely', 'skyfield', 'netCDF4', 'typst', 'pandas'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "[]" == done.stdout.strip()


@pytest.mark.usefixtures("nothing_kept")
def test_planning_the_demonstration_never_imports_what_it_does_not_use(tmp_path: Path) -> None:
    code = (
        "import sys\nfrom passage import mate\nfrom passage.cli import main\nmate._processors = lambda: 1\n"
        f"arguments = ['plan', {str(DEMO)!r}, '--crossings', '20', '--out', {str(tmp_path / 'p.pdf')!r}]\n"
        "main(arguments, standalone_mode=False)\n"
        "unused = {'xarray', 'scipy.stats', 'scipy.interpolate', 'pandas', 'pvlib'}\n"
        "print(sorted(unused & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "[]" == done.stdout.strip().splitlines()[-1]


def test_a_current_that_wins_is_refused_in_a_sentence(tmp_path: Path) -> None:
    folder = whole(DEMO, tmp_path / "voyage")
    text = (folder / "voyage.toml").read_text(encoding="utf-8")
    foul = text.replace('sailing = "great circle"', 'sailing = "great circle"\nset = "135 deg"\ndrift = "7 kn"')
    (folder / "voyage.toml").write_text(foul, encoding="utf-8")
    result = run("sail", folder, "--crossings", 20)
    assert 2 == result.exit_code
    assert "current" in result.stderr


def test_an_output_folder_that_is_missing_is_named(tmp_path: Path) -> None:
    result = run("export", DEMO, "gpx", "--crossings", 20, "--out", tmp_path / "missing" / "x.gpx")
    assert 2 == result.exit_code
    assert f"there is no folder {tmp_path / 'missing'}" in result.stderr


@pytest.mark.usefixtures("nothing_kept")
def test_the_time_of_every_step_is_told_and_adds_up(tmp_path: Path) -> None:
    args = ["plan", str(DEMO), "--crossings", "20", "--out", str(tmp_path / "p.pdf"), "--timings"]
    told = json.loads(CliRunner().invoke(main, [*args, "--only", "legs", "--json"]).stdout)
    steps = {row["step"]: row for row in told["timings"]["timings"]}
    assert {"reading", "laying the track", "sailing", "legs", "drawing", "typesetting"} <= set(steps)
    assert "troubles" not in steps
    assert 1.0 == pytest.approx(sum(row["share"] for row in steps.values()), abs=0.05)
    assert told["timings"]["total_s"] == pytest.approx(sum(row["took_s"] for row in steps.values()), abs=0.05)
    text = CliRunner().invoke(main, [*args, "--only", "legs"]).stdout
    assert "typesetting" in text
    assert "in all" in text


def test_speed_shows_both_tables_and_how_far_pairs_fit(tmp_path: Path) -> None:
    noted, page, picture = (tmp_path / name for name in ("noted.csv", "speed.pdf", "speed.svg"))
    noted.write_text("wind_speed_kn,wind_angle_deg,boat_speed_kn\n14,120,6.1\n", encoding="utf-8")
    told = answer("speed", ROUTES / "opua-tonga", "--pairs", noted, "--pair", 10, 60, 4.9, "--out", page)
    speed = told["speed"]
    assert isinstance(speed, dict)
    assert [True, True] == [speed["speeds"]["estimated"], speed["speeds"]["sails_by_sea"]]
    assert 2 == speed["pairs"]["count"]
    assert page.read_bytes().startswith(b"%PDF")
    assert set() == unexplained(told, "speed")
    words = run("speed", DEMO, "--full", "--out", picture).stdout
    assert "her own table. The crossings sail by the table for smooth water" in " ".join(words.split())
    assert picture.read_text("utf-8").startswith("<svg")


def test_speed_refuses_a_pair_that_cannot_be() -> None:
    result = run("speed", DEMO, "--pair", 10, 400, 5)
    assert 2 == result.exit_code
    assert "give a number from 0 to 180" in result.stderr


def test_the_masthead_s_wind_is_brought_down(tmp_path: Path) -> None:
    folder = whole(DEMO, tmp_path / "voyage")
    text = (folder / "boat.toml").read_text(encoding="utf-8")
    (folder / "boat.toml").write_text(text.replace("[polar]", 'masthead_height = "15 m"\n[polar]'), encoding="utf-8")
    found = [answer("speed", path, "--pair", 12, 90, 5)["speed"] for path in (DEMO, folder)]
    ratios = [speed["pairs"]["against_smooth"]["ratio"] for speed in found if isinstance(speed, dict)]
    assert ratios[1] > ratios[0]


def test_speed_of_a_log_that_is_not_there_is_a_sentence() -> None:
    result = run("speed", DEMO, "--log")
    assert 2 == result.exit_code
    assert "holds no log yet" in result.stderr


def test_a_name_longer_than_any_disk_takes_is_a_sentence(tmp_path: Path) -> None:
    done = CliRunner().invoke(main, ["new", str(tmp_path / ("x" * 300)), "--template", "--name", "long"])
    assert 2 == done.exit_code
    assert "File name too long" in done.stderr


def test_help_begins_with_the_four_that_a_crew_lives_on_and_has_every_command_once() -> None:
    told = [name for names in BY_USE.values() for name in names]
    assert ["check", "plan", "now", "log"] == told[:4]
    assert sorted(main.commands) == sorted(told)
    shown = CliRunner().invoke(main, ["--help"]).stdout
    assert told == re.findall(r"^  ([a-z]+) ", shown.partition("four:")[2], re.MULTILINE)


@pytest.mark.parametrize("group", [[], ["log"]], ids=["passage", "log"])
@pytest.mark.parametrize("wide", [60, 80, 140])
def test_no_summary_of_a_command_is_cut(group: list[str], wide: int) -> None:
    """At 60 columns they are wrapped; at 80 every command of the tool has one line."""
    shown = CliRunner().invoke(main, [*group, "--help"], terminal_width=wide - 2).stdout
    assert not re.search(r"\w\.\.\.$", shown, re.MULTILINE)
    assert max(map(len, shown.splitlines())) < wide
    of_group = cast("click.Group", main.commands["log"]) if group else main
    for name, command in of_group.commands.items():
        summary = (command.help or "").partition("\n\n")[0].removesuffix(".")
        assert f"{name} {' '.join(summary.split())}" in " ".join(shown.split())
        assert group or wide == 60 or re.search(rf"^  {name} +{re.escape(summary)}", shown, re.MULTILINE)


def test_a_seed_that_no_file_of_crossings_can_hold_is_refused() -> None:
    done = CliRunner().invoke(main, ["export", str(DEMO), "netcdf", "--seed", "1" + 30 * "0"])
    assert 2 == done.exit_code
    assert "--seed" in done.stderr


def test_full_prints_every_block_of_the_sheet_and_the_short_answer_says_how_to_get_it() -> None:
    whole = legs.SHEET.text(legs.table(read_folder(DEMO, date.today())))
    assert f"{whole}\n" == run("legs", DEMO, "--full").stdout
    short = run("legs", DEMO).stdout
    assert len(short.splitlines()) <= 24
    assert "More              --full" in short
    narrow = run("legs", DEMO, "north-east").stdout
    assert "north-east of St Helena" in narrow and len(narrow) < len(whole)
    refused = run("legs", DEMO, "volcano")
    assert (2, True) == (refused.exit_code, "volcano: nothing is said of it here" in refused.stderr)


def test_help_is_told_to_a_terminal_of_one_column_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("os.get_terminal_size", lambda: os.terminal_size((1, 1)))
    assert "check" in click.Context(main, terminal_width=_columns()).get_help()
