"""One boat and many voyages: two folders read as one, the voyage's word before the boat's, each fault in its file."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from passage.errors import InputFaults
from passage.inputs.folder import Facts, read_folder
from passage.shipped import shipped

OF_THE_BOAT = ("boat.toml", "crew.toml", "electrics.toml", "troubles.toml", "stores.toml", "polar.csv")


@pytest.fixture
def voyage(tmp_path: Path) -> Path:
    """The broken-voyage base, sound, in two folders side by side."""
    whole = Path(__file__).parent / "broken" / "base"
    (tmp_path / "boat").mkdir()
    (tmp_path / "voyage").mkdir()
    for file in whole.iterdir():
        shutil.copy(file, tmp_path / ("boat" if file.name in OF_THE_BOAT else "voyage") / file.name)
    name_boat(tmp_path / "voyage", "../boat")
    return tmp_path / "voyage"


def name_boat(folder: Path, boat: str) -> None:
    file = folder / "voyage.toml"
    text = file.read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith("boat =")]
    kept.insert(kept.index("[voyage]") + 1, f'boat = "{boat}"')
    file.write_text("\n".join(kept), encoding="utf-8")


def faults(folder: Path) -> list[str]:
    with pytest.raises(InputFaults) as told:
        read_folder(folder)
    return [str(fault) for fault in told.value.faults]


def same(one: Facts, other: Facts) -> bool:
    names = ("boat", "crew", "provisions", "pantry", "electrics", "watch", "gear", "anchorage", "troubles", "limits")
    return all(getattr(one, name) == getattr(other, name) for name in names if name != "boat")


def test_two_folders_say_what_one_said(voyage: Path) -> None:
    whole = read_folder(Path(__file__).parent / "broken" / "base")
    parted = read_folder(voyage)
    assert same(whole, parted)
    assert whole.boat.hull == parted.boat.hull
    assert voyage / "../boat/polar.csv" == parted.boat.polar.file
    assert voyage == parted.folder


def test_what_the_voyage_says_overrules_key_by_key(voyage: Path) -> None:
    before = read_folder(voyage).boat
    (voyage / "boat.toml").write_text('[helm]\ngust_limit = "33 kn"\ngust_resume = "27 kn"\n', encoding="utf-8")
    after = read_folder(voyage).boat
    assert (33.0, 27.0) == (after.helm.gust_limit_kn, after.helm.gust_resume_kn)
    assert before.helm.night_speed_share == after.helm.night_speed_share
    assert before.water_tanks == after.water_tanks


def test_a_list_of_tables_is_taken_whole(voyage: Path) -> None:
    (voyage / "boat.toml").write_text('[[water_tank]]\nname = "bladder"\ncapacity = "80 L"\n', encoding="utf-8")
    assert ["bladder"] == [tank.name for tank in read_folder(voyage).boat.water_tanks]


def test_a_fault_is_told_in_the_file_where_it_stands(voyage: Path) -> None:
    (voyage / "boat.toml").write_text('[helm]\ngust_limit = "five"\n[[water_tank]]\nname = "b"\n', encoding="utf-8")
    crew = voyage.parent / "boat" / "crew.toml"
    crew.write_text(crew.read_text(encoding="utf-8").replace("mass =", "weight =", 1), encoding="utf-8")
    told = faults(voyage)
    assert any(sentence.startswith("boat.toml line 2: helm.gust_limit:") for sentence in told)
    assert any(sentence.startswith("boat.toml line 3: water_tank[1].capacity: missing") for sentence in told)
    assert any(sentence.startswith("../boat/crew.toml line") for sentence in told)


def test_tables_of_figures_are_told_of_by_the_folder_they_stand_in(voyage: Path) -> None:
    (voyage.parent / "boat" / "polar.csv").write_text("speed\n1\n", encoding="utf-8")
    (voyage / "pantry.csv").rename(voyage.parent / "boat" / "pantry.csv")
    pantry = voyage.parent / "boat" / "pantry.csv"
    pantry.write_text(f"{pantry.read_text(encoding='utf-8')}\nunheard of\n", encoding="utf-8")
    told = faults(voyage)
    assert {"../boat/polar.csv", "../boat/pantry.csv"} == {sentence.split(" ")[0].rstrip(":") for sentence in told}


@pytest.mark.parametrize(
    ("boat", "said"),
    [
        ("../bote", "no folder"),
        ("boat.toml", "no folder"),
        (".", "is this folder"),
        ("../voyage", "is this folder"),
        ("voyage.toml", "is a file"),
        ("ring", "no folder"),
        ("x" * 5000, "no folder"),
    ],
)
def test_a_boat_that_is_not_there_is_one_sentence(boat: str, said: str, voyage: Path) -> None:
    (voyage / "ring").symlink_to(voyage / "ring")
    name_boat(voyage, boat)
    (sentence,) = faults(voyage)
    assert sentence.startswith("voyage.toml line ")
    assert said in sentence


def test_a_boat_that_is_no_text_is_a_fault_of_its_key(voyage: Path) -> None:
    file = voyage / "voyage.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('boat = "../boat"', "boat = 7"), encoding="utf-8")
    assert any("voyage.boat: 7; give the name" in sentence for sentence in faults(voyage))


def test_a_voyage_file_that_is_no_toml_hides_nothing_else_behind_missing_files(voyage: Path) -> None:
    (voyage / "voyage.toml").write_text("[voyage\n", encoding="utf-8")
    (sentence,) = faults(voyage)
    assert sentence.startswith("voyage.toml line 1: a table's name without its closing bracket")


def test_folders_of_old_are_read_as_before() -> None:
    for folder in shipped("routes").iterdir():
        assert read_folder(folder).voyage.waypoints


def test_every_shipped_voyage_is_whole() -> None:
    """Hers or the voyage's own: what sails, who, what feeds them and the lamps, and what is done when it breaks."""
    files = ("boat.toml", "crew.toml", "stores.toml", "electrics.toml", "troubles.toml")
    for folder in shipped("routes").iterdir():
        home = read_folder(folder).home
        assert [] == [name for name in files if not home.has(name)], folder.name
