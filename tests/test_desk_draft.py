"""Nothing typed is lost, no file is written unasked, and what another hand wrote is never written over."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tomllib
from time import sleep
from typing import TYPE_CHECKING

import pytest

from passage.desk.draft import DRAFT_FILE, ChangedMeanwhile, Draft, contained
from passage.errors import InputFaults
from passage.inputs.folder import read_folder
from tests.desk_cases import voyage_in

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

TANK = ("water_tank", 0, "capacity")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return voyage_in(tmp_path)


def texts(folder: Path) -> Mapping[str, str]:
    return {str(path): path.read_text(encoding="utf-8") for path in folder.parents[1].rglob("*.toml")}


def boat_file(folder: Path) -> Path:
    return folder.parents[1] / "boats" / "nine-metre" / "boat.toml"


def test_a_change_is_read_and_no_file_is_written(folder: Path) -> None:
    before, draft = texts(folder), Draft.of(folder)
    assert draft.set("boat.toml", TANK, "60 L")
    assert 60.0 == draft.facts().boat.water_tanks[0].capacity_l
    assert before == texts(folder)
    assert 90.0 == read_folder(folder).boat.water_tanks[0].capacity_l


def test_saving_writes_what_the_difference_shows_and_nothing_else(folder: Path) -> None:
    draft = Draft.of(folder)
    draft.set("boat.toml", TANK, "60 L")
    shown = draft.diff()
    assert ['-capacity = "90 L"', '+capacity = "60 L"'] == [
        line for line in shown.splitlines() if line[:1] in "+-" and line[:3] not in ("+++", "---")
    ]
    before = texts(folder)
    assert ["../../boats/nine-metre/boat.toml"] == draft.save()
    after = texts(folder)
    assert {str(boat_file(folder))} == {path for path in after if after[path] != before[path]}
    assert before[str(boat_file(folder))].replace('"90 L"', '"60 L"', 1) == after[str(boat_file(folder))]
    assert "" == draft.diff() and not (folder / DRAFT_FILE).exists()


def test_a_key_goes_where_it_stands_or_where_such_a_key_belongs(folder: Path) -> None:
    draft = Draft.of(folder)
    draft.set("stores.toml", ("diet", "minimise"), "mass")  # the voyage's own table
    draft.set("stores.toml", ("motor", "sea_factor"), 1.6)  # the boat's
    draft.set("watch.toml", ("settled", "sleep"), "6 h")  # a file that is not there
    changed = {path.parent.name + "/" + path.name for path in draft.changed_files}
    assert {"nine-metre/stores.toml", "nine-metre/watch.toml"} == changed
    assert 6.0 == draft.facts().watch.settled.sleep_h


def test_undo_takes_back_one_change_after_another_to_what_is_saved(folder: Path) -> None:
    draft = Draft.of(folder)
    draft.set("boat.toml", TANK, "60 L")
    draft.remove("boat.toml", ("water_tank", 1))
    assert draft.undo()
    assert 60.0 == draft.facts().boat.water_tanks[0].capacity_l and 3 == len(draft.facts().boat.water_tanks)
    assert draft.undo() and "" == draft.diff() and not draft.undo()


def test_what_was_not_saved_is_there_the_next_time(folder: Path) -> None:
    draft = Draft.of(folder)
    draft.set("boat.toml", TANK, "60 L")
    draft.add("boat.toml", ("water_tank", 3), {"name": "more cans", "capacity": "20 L"})
    again = Draft.of(folder)
    assert draft.diff() == again.diff() != ""
    again.undo_all()
    assert "" == Draft.of(folder).diff()


def test_a_file_changed_meanwhile_is_told_and_not_written_over(folder: Path) -> None:
    draft = Draft.of(folder)
    draft.set("boat.toml", TANK, "60 L")
    path = boat_file(folder)
    path.write_text(path.read_text().replace('sail_area = "36 m2"', 'sail_area = "37 m2"'))
    theirs = texts(folder)
    with pytest.raises(ChangedMeanwhile, match=r"nine-metre/boat\.toml"):
        draft.save()
    assert theirs == texts(folder)
    draft.read_again()
    draft.save()
    boat = read_folder(folder).boat
    assert (37.0, 60.0) == (boat.hull.sail_area_m2, boat.water_tanks[0].capacity_l)


def test_a_change_whose_place_is_gone_is_told(folder: Path) -> None:
    draft = Draft.of(folder)
    draft.set("boat.toml", ("water_tank", 2, "capacity"), "30 L")
    path = boat_file(folder)
    text = path.read_text()
    path.write_text(text[: text.rindex("[[water_tank]]")] + text[text.index("[emergency_water]") :])
    draft.read_again()
    assert ["boat.toml: water_tank.3.capacity = 30 L"] == draft.lost


def test_a_new_file_is_begun_and_read(folder: Path) -> None:
    draft = Draft.of(folder)
    draft.set("track.toml", ("limits", "clear_by_day"), "7 nm")
    assert 7.0 == draft.facts().limits.limits.clear_by_day_nm
    assert ["track.toml"] == draft.save()
    assert {"limits": {"clear_by_day": "7 nm"}} == tomllib.loads((folder / "track.toml").read_text())


@pytest.mark.parametrize("value", ["x", {"a": 1}, [{"a": [1]}], True, 3])
def test_whatever_a_value_is_the_file_can_be_read_again(folder: Path, value: object) -> None:
    draft = Draft.of(folder)
    draft.set("boat.toml", ("helm", "gust_factor"), value)
    assert value == tomllib.loads(draft.texts[draft.home.boats_path("boat.toml")])["helm"]["gust_factor"]


def test_a_folder_that_cannot_be_written_keeps_the_changes_in_the_desk(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device", "x")

    monkeypatch.setattr("passage.desk.draft.write_whole", full)
    draft = Draft.of(folder)
    draft.set("boat.toml", TANK, "60 L")
    assert not draft.kept and 60.0 == draft.facts().boat.water_tanks[0].capacity_l
    before = texts(folder)
    with pytest.raises(OSError, match="No space"):
        draft.save()
    assert before == texts(folder) and draft.diff()


def test_a_draft_that_somebody_broke_is_let_be(folder: Path) -> None:
    (folder / DRAFT_FILE).write_text('[["../../x", 1, "set"], 3]')
    assert "" == Draft.of(folder).diff()


def test_a_link_that_leads_out_is_outside(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "out").symlink_to(tmp_path)
    assert contained(tmp_path / "in", tmp_path / "in" / "x")
    assert not contained(tmp_path / "in", tmp_path / "in" / "out" / "y")
    assert not contained(tmp_path / "in", tmp_path / "in" / ".." / "y")


SAVES = """
import sys
from pathlib import Path
from passage.desk.draft import Draft
folder = Path(sys.argv[1])
draft = Draft.of(folder)
print("ready", flush=True)
for number in range(100_000):
    draft.set("boat.toml", ("water_tank", 0, "capacity"), f"{50 + number % 40} L")
    draft.set("voyage.toml", ("reserve", "typical_factor"), 1.5 + number % 3 / 10)
    draft.save()
"""


@pytest.mark.skipif(os.name == "nt", reason="there is no SIGKILL")
@pytest.mark.parametrize("after_s", [0.05, 0.11])
def test_killed_in_the_middle_of_saving_every_file_is_whole_and_the_rest_is_kept(folder: Path, after_s: float) -> None:
    process = subprocess.Popen([sys.executable, "-c", SAVES, str(folder)], stdout=subprocess.PIPE)
    with process:
        assert process.stdout is not None
        assert b"ready\n" == process.stdout.readline()
        sleep(after_s)
        process.send_signal(signal.SIGKILL)
    facts = read_folder(folder)
    assert 50.0 <= facts.boat.water_tanks[0].capacity_l <= 90.0
    again = Draft.of(folder)
    assert not again.lost
    again.facts()


def test_a_boat_that_is_named_otherwise_has_her_own_files_changed(folder: Path) -> None:
    draft = Draft.of(folder)
    draft.set("voyage.toml", ("voyage", "boat"), "../../boats/ten-metre")
    draft.set("boat.toml", ("helm", "night_speed"), "80 %")
    assert ["voyage.toml", "../../boats/ten-metre/boat.toml"] == draft.save()
    assert 'night_speed = "80 %"' in (folder.parents[1] / "boats" / "ten-metre" / "boat.toml").read_text()


def test_a_file_that_is_no_text_is_told_of_and_the_rest_can_be_changed(folder: Path) -> None:
    boat_file(folder).write_bytes(b"name = \xff\n")
    draft = Draft.of(folder)
    draft.set("voyage.toml", ("reserve", "typical_factor"), 2.0)
    with pytest.raises(InputFaults, match="not UTF-8"):
        draft.facts()
    assert ["voyage.toml"] == draft.save()
