"""A voyage folder read whole: the demonstration voyages, and what concerns more than one file."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from passage.errors import InputFaults
from passage.inputs.folder import FILES, read_folder
from passage.inputs.troubles import TROUBLES_FILE
from passage.shipped import shipped
from tests.voyage_cases import whole

ROUTES = sorted(path for path in shipped("routes").iterdir() if path.is_dir())
BASE = Path(__file__).parent / "broken" / "base"


def test_there_are_three_demonstration_voyages() -> None:
    assert ["cape-town-st-helena", "lagos-azores", "opua-tonga"] == [path.name for path in ROUTES]


@pytest.mark.parametrize("route", ROUTES, ids=lambda path: path.name)
def test_a_demonstration_voyage_reads_and_says_what_is_invented(route: Path) -> None:
    facts = read_folder(route)
    assert 2 == len(facts.crew.people)
    assert 9 <= facts.boat.hull.length_overall_m <= 11
    for file in FILES:
        assert "INVENTED" in facts.home.path(file).read_text(encoding="utf-8").split("\n\n")[0]


@pytest.mark.parametrize("route", ROUTES, ids=lambda path: path.name)
def test_every_demonstration_voyage_has_refuges_and_says_what_of_them_is_invented(route: Path) -> None:
    assert len(read_folder(route).troubles.refuges) >= 2
    assert "INVENTED" in (route / TROUBLES_FILE).read_text(encoding="utf-8").split("\n\n")[0]


def test_one_demonstration_boat_brings_a_polar_and_the_others_are_estimated() -> None:
    assert [True, False, False] == [read_folder(route).polar is not None for route in ROUTES]


def test_the_way_to_tonga_crosses_the_date_line() -> None:
    waypoints = read_folder(shipped("routes") / "opua-tonga").voyage.waypoints
    assert waypoints[0].position.longitude_deg > 0 > waypoints[-1].position.longitude_deg


@pytest.mark.parametrize(
    ("name", "found"), [("none", "no such folder"), ("file", "this is a file"), ("bad\x00name", "no such folder")]
)
def test_a_folder_that_is_none_is_a_sentence(name: str, found: str, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(InputFaults, match=found):
        read_folder(tmp_path / name)


def test_an_empty_folder_misses_every_file(tmp_path: Path) -> None:
    with pytest.raises(InputFaults) as told:
        read_folder(tmp_path)
    assert sorted(FILES) == [fault.file for fault in told.value.faults]


def test_the_polar_is_read_even_where_the_boat_file_is_at_fault(tmp_path: Path) -> None:
    shutil.copytree(BASE, tmp_path / "v")
    boat, polar = tmp_path / "v" / "boat.toml", tmp_path / "v" / "polar.csv"
    boat.write_text(boat.read_text(encoding="utf-8").replace("9.1 m", "9.1"), encoding="utf-8")
    polar.write_text(polar.read_text(encoding="utf-8").replace("2.9", "x"), encoding="utf-8")
    with pytest.raises(InputFaults) as told:
        read_folder(tmp_path / "v")
    assert ["boat.toml", "polar.csv"] == [fault.file for fault in told.value.faults]


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("voyage.toml", "depart = ", "departs = "),
        ("boat.toml", "displacement = ", "displaces = "),
        ("crew.toml", "mass = ", "weight = "),
    ],
)
def test_a_fault_in_another_file_does_not_make_the_mate_nobody(file: str, old: str, new: str, tmp_path: Path) -> None:
    folder = tmp_path / "voyage"
    whole(ROUTES[0], folder)
    (folder / "watch.toml").write_text('[[person]]\nrole = "mate"\nstands = ["18:00-15:00"]\n')
    read_folder(folder)
    path = folder / file
    path.write_text(path.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputFaults) as told:
        read_folder(folder)
    assert {file} == {fault.file for fault in told.value.faults}


def test_crew_water_and_fuel_are_weighed_against_the_payload(tmp_path: Path) -> None:
    """D: 149 kg of crew, 85 + 54 L of water and 18 L sealed at 1 kg/L, 65 L of diesel at 0.84 kg/L: 360.6 kg."""
    shutil.copytree(BASE, tmp_path / "v")
    boat = tmp_path / "v" / "boat.toml"
    text = boat.read_text(encoding="utf-8")
    boat.write_text(text.replace("1250 kg", "361 kg"), encoding="utf-8")
    assert 361 == read_folder(tmp_path / "v").boat.hull.payload_kg
    boat.write_text(text.replace("1250 kg", "360 kg"), encoding="utf-8")
    with pytest.raises(InputFaults, match=re.escape("crew, water and fuel alone weigh 361 kg")):
        read_folder(tmp_path / "v")


OPTIONAL = ("electrics", "stores", "gear", "anchorage", "track", "watch", "troubles")


@pytest.mark.parametrize("file", [*(f"{name}.toml" for name in OPTIONAL), "pantry.csv"])
def test_a_folder_in_place_of_a_file_that_may_be_left_out_is_a_fault(file: str, tmp_path: Path) -> None:
    folder = whole(ROUTES[0], tmp_path / "voyage")
    (folder / file).unlink(missing_ok=True)
    (folder / file).mkdir()
    with pytest.raises(InputFaults, match=f"{file}: this is not a file"):
        read_folder(folder)


@pytest.mark.parametrize("file", [*(f"{name}.toml" for name in OPTIONAL), "pantry.csv"])
def test_a_link_to_nowhere_is_no_file_left_out(file: str, tmp_path: Path) -> None:
    folder = whole(ROUTES[0], tmp_path / "voyage")
    (folder / file).unlink(missing_ok=True)
    (folder / file).symlink_to("nowhere")
    with pytest.raises(InputFaults, match=f"{file}: missing file"):
        read_folder(folder)


def test_another_boat_without_anchors_is_sailed_without_an_anchorage() -> None:
    """The voyage tells where she will lie; whose anchors hold her there is not known."""
    voyage, other = shipped("routes") / "cape-town-st-helena", shipped("boats") / "ten-metre"
    assert read_folder(voyage).anchorage is not None
    assert read_folder(voyage, in_boat=other).anchorage is None
