"""The log, now and relearn as a person meets them: sentences, exit status, and nothing kept that was not meant."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from passage.cli import main
from passage.journal.entries import DECK_ROUND, FIELDS, OPTIONS
from passage.journal.storage import COPY, DATABASE, read_journal
from passage.plan import keys
from tests.test_plan_keys import unexplained
from tests.voyage_cases import whole

DEMO = Path(__file__).parents[1] / "routes" / "cape-town-st-helena"
ASK = ("--crossings", "20", "--time", "2027-02-13 03:00")


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def said(*arguments: object) -> str:
    result = run(*arguments)
    assert 0 == result.exit_code, result.output
    return result.stdout


def refused(*arguments: object) -> str:
    result = run(*arguments)
    assert 2 == result.exit_code, result.output
    assert "Traceback" not in result.output
    return result.stderr


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Invented: two days out, with a log that holds no numbers of the plan."""
    folder = Path(whole(DEMO, tmp_path / "voyage"))
    said("log", "start", folder, "--without-plan", "--fuel", "85", "--engine", "100", "--yes")
    for day, place in ((11, "32 40S 16 50E"), (12, "31 30S 15 20E")):
        given = ("--position", place, "--wind", "SE 14", "--water", "keel tank=80", "--sleep", "skipper=6")
        said("log", "noon", folder, "--time", f"2027-02-{day} 12:00", *given, "--yes")
    return folder


def test_a_noon_is_answered_with_the_run(folder: Path) -> None:
    given = ("--position", "30 20S 14 00E", "--course", "315", "--log", "95", "--yes")
    words = said("log", "noon", folder, "--time", "2027-02-13 12:00", *given)
    assert "Entry 4 kept: noon, 2027-02-13 12:00 UTC." in words
    assert "miles made good on 3" in words
    assert "Set " in words


def test_every_field_of_an_entry_is_an_option(folder: Path) -> None:
    words = said("log", "noon", "--help")
    assert [] == [name for name in OPTIONS if f"--{name} " not in words]


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        (("--position", "95 00S 14 00E"), "position"),
        (("--wind", "from over there"), "write where it blows from"),
        (("--water", "sump=20"), "no such tank; there are"),
        (("--water", "20"), "say which tank"),
        (("--battery", "300"), "give 0 to 100 %"),
        (("--bilge", "2.5"), "whole number"),
        (("--time", "yesterday"), "write the time in UTC"),
        (("--speed", "nan"), "speed"),
        (("--log", "1e999"), "log"),
        (("--sleep", "cook=8"), "no such person"),
    ],
)
def test_what_cannot_be_read_is_a_sentence_and_nothing_is_kept(
    folder: Path, given: tuple[str, str], wanted: str
) -> None:
    assert wanted in refused("log", "noon", folder, *given, "--yes")
    assert 3 == len(read_journal(folder).entries)


def test_every_fault_is_told_at_once(folder: Path) -> None:
    told = refused("log", "noon", folder, "--position", "nowhere", "--wind", "much", "--cloud", "11", "--yes")
    assert 3 == len(told.splitlines())


def test_a_doubt_is_a_question_and_yes_answers_it(folder: Path) -> None:
    far = ("--time", "2027-02-13 12:00", "--position", "24 20S 14 00E")
    told = refused("log", "noon", folder, *far)
    assert "miles in 24 hours" in told
    assert "--yes" in told
    assert 3 == len(read_journal(folder).entries)
    said("log", "noon", folder, *far, "--yes")
    assert 4 == len(read_journal(folder).entries)


def test_a_correction_stands_beside_what_it_corrects(folder: Path) -> None:
    said("log", "correct", folder, 3, "--position", "31 20S 15 20E", "--yes")
    said("log", "note", folder, "whale", "to", "port", "--time", "2027-02-12 15:00", "--yes")
    said("log", "used", folder, "opened bow tank", "--time", "2027-02-12 16:00", "--yes")
    lines = said("log", "show", folder).splitlines()
    assert "corrected by 4: 31°20.0'S" in lines[3]
    assert "note      whale to port" in lines[4]
    assert "opened bow tank" in lines[5]
    said("log", "correct", folder, 5, "--strike")
    assert "no entry 99" in refused("log", "correct", folder, 99, "--wind", "SE 10")
    assert "nothing said" in refused("log", "correct", folder, 2)


def test_every_command_of_the_log_answers_in_json_too_and_every_key_has_its_meaning(folder: Path) -> None:
    """Run in an order that leaves each something to say, every field of an entry among them."""
    each = {"tank": "keel tank=70", "person": "mate=7", "part": "rudder=ok", "job": "chafe gear on the vane lines=ok"}
    plain = {"position": "30 20S 14 00E", "wind": "SE F5", "battery": "80 %", "speed": "4 kn", "log": "96 nm"}
    plain |= {
        "course": "315 deg",
        "sea": "2 m",
        "fuel": "80 L",
        "engine": "101 h",
        "hove-to": "1 h",
        "barometer": "1016",
    }
    given = [
        word
        for option, field in OPTIONS.items()
        for word in (f"--{option}", plain.get(option) or each.get(field.each) or "3")
    ]
    at = ("--time", "2027-02-13 12:00")
    asked: dict[str, tuple[object, ...]] = {
        "start": ("--time", "2027-02-01 12:00", "--without-plan"),
        "noon": (*at, *given),
        "entry": ("weather", *at, "--barometer", "1012 hPa"),
        "note": ("whale", *at),
        "used": ("opened bow tank", *at),
        "correct": (5, "--strike", "--time", "2027-02-12 12:00", "--battery", "12.4 V"),
        "landfall": ("--time", "2027-02-14 12:00", "--position", "29 30S 13 00E"),
        "show": (),
        "check": (),
        "rebuild": ("copy",),
        "export": ("csv",),
        "report": ("--type", "FR"),
    }
    commands = main.get_command(click.Context(main), "log")
    assert isinstance(commands, click.Group)
    assert set(asked) == set(commands.list_commands(click.Context(commands))) - {
        "ask"
    }  # which asks, and prints no JSON
    asks = {"start", "noon", "entry", "note", "used", "correct", "landfall"}
    answers = {
        name: json.loads(said("log", name, folder, *more, "--json", *(["--yes"] if name in asks else [])))
        for name, more in asked.items()
    }
    for name, answer in answers.items():
        (line,) = (line for line in keys.PRINTED if line.startswith("log") and name in line.replace(",", "").split())
        unknown = unexplained(answer, line)
        typed = {path.split(".fields.", 1)[1] for path in unknown if ".fields." in path}
        assert set() == {path for path in unknown if ".fields." not in path}
        assert {part for path in typed for part in path.split(".")} <= set(keys.TYPED)
    assert {"name": "keel tank", "value": 70.0} in answers["noon"]["kept"]["fields"]["water_l"]
    assert {field.name for field in FIELDS} - {"position", "wind", "battery"} <= set(answers["noon"]["kept"]["fields"])
    assert [None, None, None, None, None, None, None, None, 5, None] == [e["corrects"] for e in answers["show"]["kept"]]
    assert [True, 10, 10] == [answers["check"][key] for key in ("whole", "in_database", "in_copy")]
    assert answers["export"]["text"].startswith("number,kind")
    assert answers["report"]["text"].startswith("FR\n")
    assert ["journal.txt.old-1"] == answers["rebuild"]["set_aside"]


def test_a_second_departure_is_questioned(folder: Path) -> None:
    assert "A log of 3 entries stands here" in refused("log", "start", folder)


@pytest.mark.parametrize("command", ["show", "check", "noon", "landfall"])
def test_a_folder_without_a_log_says_how_to_begin(command: str, tmp_path: Path) -> None:
    assert "passage log start" in refused("log", command, tmp_path)


def test_a_folder_that_is_not_there_is_a_sentence() -> None:
    assert "holds no log" in refused("log", "noon", "nowhere-at-all", "--wind", "SE 10")
    assert "no such folder" in refused("now", "nowhere-at-all")


def test_check_finds_what_is_wrong_and_rebuild_mends_it(folder: Path) -> None:
    assert "All is well." in said("log", "check", folder)
    (folder / DATABASE).write_bytes(b"no database " * 500)
    result = run("log", "check", folder)
    assert 1 == result.exit_code
    assert "passage log rebuild database" in result.stdout
    assert "Set aside: journal.db.old-1" in said("log", "rebuild", folder, "database")
    assert "All is well." in said("log", "check", folder)
    (folder / COPY).unlink()
    said("log", "rebuild", folder, "copy")
    assert "All is well." in said("log", "check", folder)


def test_exports_go_to_the_screen_or_a_file(folder: Path, tmp_path: Path) -> None:
    assert said("log", "export", folder, "csv").startswith("number,kind,time_utc,written_utc,corrects,lat_deg,lon_deg")
    said("log", "export", folder, "gpx", "--out", tmp_path / "log.gpx")
    assert (tmp_path / "log.gpx").read_text(encoding="utf-8").count("<trkpt") == 3
    dates = said("log", "export", folder, "ics")
    assert 4 == dates.count("BEGIN:VEVENT"), "report, landfall, overdue, rescue service"
    assert "journal" not in refused("log", "export", folder, "gpx", "--out", tmp_path / "no" / "log.gpx")


def test_every_entry_is_a_row_of_the_csv_and_reads_back_what_json_says(folder: Path) -> None:
    said("log", "correct", folder, 3, "--water", "keel tank=70", "--bilge", "7", "--yes")
    rows = list(csv.DictReader(io.StringIO(said("log", "show", folder, "--csv"))))
    kept = json.loads(said("log", "show", folder, "--json"))["kept"]
    assert ["1", "2", "3", "4"] == [row["number"] for row in rows]
    for row, entry in zip(rows, kept, strict=True):
        assert all(row[name] == ("" if entry[name] is None else str(entry[name])) for name in ("kind", "corrects"))
        assert row["time_utc"] == entry["time_utc"]
        assert row["lat_deg"] == str(entry["fields"].get("lat_deg", ""))
    assert ["", "80.0", "80.0", "70.0"] == [row["water_l keel tank"] for row in rows]
    assert ["", "", "", "7"] == [row["bilge_strokes"] for row in rows]
    assert "tanks_l" not in rows[0]


def test_reports_say_where_she_is(folder: Path) -> None:
    told = said("log", "report", folder, "--defects", "vane out of order", "--every", "12 h")
    assert told.startswith("PR\nA/")
    assert "C/3130S 01520E" in told
    assert "N/122000Z" in told  # D: every twelve hours from the departure at 0800; the last entry is of noon
    assert "Q/VANE OUT OF ORDER" in told
    assert len(said("log", "report", folder, "--type", "satellite").rstrip("\n")) <= 160
    assert "Ring the rescue authority" in said("log", "report", folder, "--type", "missed")
    assert "give 1 h to 240 h" in refused("log", "report", folder, "--every", "0 h")
    assert "--every" in refused("log", "report", folder, "--every", "often")


def test_now_is_one_screen_of_80_columns(folder: Path) -> None:
    assert len(said("now", folder, *ASK).splitlines()) <= 24
    lines = said("now", folder, "--full", *ASK).splitlines()
    assert len(lines) <= 30
    assert max(map(len, lines)) <= 80
    labels = {line.split("  ")[0] for line in lines}
    wanted = {"Position", "To go", "Made good", "Landfall", "Water", "Tonight", "Refuge", "Learned"}
    assert set() == wanted - labels
    assert "reckoned, 15 h since a fix" in "\n".join(lines)


def test_the_plan_s_rota_is_tonight_s(tmp_path: Path) -> None:
    folder = Path(whole(DEMO, tmp_path / "voyage"))
    said("log", "start", folder, "--yes")
    watches = json.loads(said("now", folder, "--crossings", "20", "--time", "2027-02-10 20:00", "--json"))["now"][
        "watches"
    ]
    assert {"skipper", "mate"} == {name for turn in watches for name in turn["who"]}
    hours = [int(turn["from_ship"]) for turn in watches]
    assert all(hour <= 1800 for hour in hours[:1]) and all(hour >= 1800 or hour < 600 for hour in hours[1:])


def test_now_as_json_and_as_a_card(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "card.pdf"
    for paper in ("a4", "us-letter"):
        table = json.loads(said("now", folder, *ASK, "--json", "--card", path, "--paper", paper, "--if", "rudder lost"))
        assert "Rudder lost" == table["now"]["if_words"]
        reader = PdfReader(BytesIO(path.read_bytes()))
        (page,) = reader.pages
        sizes: dict[str, float] = {}
        page.extract_text(visitor_text=lambda text, _, __, ___, size, sizes=sizes: sizes.update({text.strip(): size}))
        grave = [row["says"].split()[0] for row in table["lines"] if row["grave"]]
        for word in grave:
            found = [size for text, size in sizes.items() if text.startswith(word)]
            assert found and max(found) >= 17.0, word


def test_the_card_keeps_to_one_page_however_much_calls_for_attention(folder: Path, tmp_path: Path) -> None:
    found = [f"{part}={'worn through and in need of mending at the next chance. ' * 3}" for part in DECK_ROUND]
    given = [word for each in found for word in ("--deck", each)] + ["--sleep", "skipper=2", "--sleep", "mate=2"]
    said("log", "noon", folder, "--time", "2027-02-13 12:00", "--position", "30 20S 14 00E", *given, "--yes")
    path = tmp_path / "card.pdf"
    for paper in ("a4", "us-letter"):
        said("now", folder, "--crossings", "20", "--time", "2027-02-13 13:00", "--card", path, "--paper", paper)
        (page,) = PdfReader(BytesIO(path.read_bytes())).pages
        assert "Overruled by" in page.extract_text()


@pytest.mark.parametrize("what", ["lost tank", "fly home", "motor 500 h", "ration 50 L", "", "lost"])
def test_a_question_that_is_not_understood_is_a_sentence(folder: Path, what: str) -> None:
    result = run("now", folder, *ASK, "--if", what)
    if what:
        assert 2 == result.exit_code
        assert "if: " in result.stderr
    else:
        assert "What if" not in result.stdout


def test_relearn_shows_and_changes_nothing_until_accepted(folder: Path) -> None:
    before = (folder / "boat.toml").read_bytes()
    assert "no landfall" in refused("relearn", folder)
    words = said("relearn", folder, "--yes")
    assert "performance_mean" in words
    assert "--accept" in words
    told = json.loads(said("relearn", folder, "--yes", "--json"))
    assert "performance_mean" in {change["key"].split(".")[-1] for change in told["changes"]}
    assert not told["accepted"]
    assert set() == unexplained(told, "relearn")
    assert before == (folder / "boat.toml").read_bytes()
    said("relearn", folder, "--yes", "--accept")
    assert before != (folder / "boat.toml").read_bytes()
    assert "relearned" in said("log", "show", folder)
    assert 0 == run("check", folder).exit_code


def test_where_nothing_is_learned_no_file_is_said_to_be_changed(folder: Path) -> None:
    said("log", "start", folder, "--without-plan", "--yes")
    words = said("relearn", folder, "--yes", "--accept")
    assert "Nothing to change." in words
    assert "The files are changed" not in words


@pytest.mark.parametrize("as_json", [(), ("--json",)])
def test_a_noon_imports_nothing_heavy(as_json: tuple[str, ...], folder: Path) -> None:
    """What a noon costs is a benchmark; that it pays for nothing it does not use is a test."""
    arguments = ["log", "noon", str(folder), "--time", "2027-02-13 12:00", "--wind", "SE 10", "--yes", *as_json]
    code = (
        f"import sys\nfrom passage.cli import main\nmain({arguments!r}, standalone_mode=False)\n"
        "heavy = {'numpy', 'pint', 'pydantic', 'xarray', 'shapely', 'skyfield', 'netCDF4', 'typst', 'pandas'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "[]" == done.stdout.strip().splitlines()[-1]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_an_entry_kept_whose_answer_cannot_be_printed_is_not_called_lost(folder: Path) -> None:
    command = [sys.executable, "-m", "passage", "log", "note", str(folder), "ship astern", "--yes"]
    with Path("/dev/full").open("w") as full:
        told = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True)
    assert (
        0,
        "Entry 4 is kept. The answer could not be printed: No space left on device. Do not write it again.\n",
    ) == (
        told.returncode,
        told.stderr,
    )
    assert 4 == len(read_journal(folder).entries)
    with Path("/dev/full").open("w") as full:
        show = subprocess.run([*command[:4], "show", str(folder)], stdout=full, stderr=subprocess.PIPE, text=True)
    assert (2, "The answer could not be printed: No space left on device.\n") == (show.returncode, show.stderr)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
@pytest.mark.parametrize("to", [">&-", ">&- 2>&-", ">/dev/full 2>&1"])
def test_an_entry_is_kept_though_nothing_can_be_said_of_it(folder: Path, to: str) -> None:
    """Closed, or full to the last, which would invite to write it again."""
    words = [sys.executable, "-m", "passage", "log", "note", str(folder), "ship astern", "--yes"]
    done = subprocess.run(["sh", "-c", f'exec "$@" {to}', "sh", *words], capture_output=True, text=True)
    assert (0, "") == (done.returncode, done.stderr)
    assert 4 == len(read_journal(folder).entries)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_help_that_cannot_be_printed_is_a_sentence() -> None:
    for words in ([], ["log"]):
        with Path("/dev/full").open("w") as full:
            command = [sys.executable, "-m", "passage", *words, "--help"]
            done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True)
        assert (2, "a file cannot be read or written: No space left on device\n") == (done.returncode, done.stderr)
