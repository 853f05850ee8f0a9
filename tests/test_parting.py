"""``passage boat split``: two folders say what the one said, comments stay, and nothing is lost where it is refused."""

from __future__ import annotations

import re
import shutil
from dataclasses import fields
from pathlib import Path

import pytest
from click.testing import CliRunner

from passage.cli import main
from passage.errors import InputFaults
from passage.inputs.folder import Facts, read_folder
from passage.inputs.parting import part

BASE = Path(__file__).parent / "broken" / "base"


@pytest.fixture
def voyage(tmp_path: Path) -> Path:
    return Path(shutil.copytree(BASE, tmp_path / "voyage"))


def said(facts: Facts) -> dict[str, str]:
    """Everything that the folder says, but for where files lie."""
    names = [each.name for each in fields(facts) if each.name not in ("home", "voyage_file", "voyage")]
    told = {name: re.sub(r"PosixPath\('[^']*'\)", "", repr(getattr(facts, name))) for name in names}
    return {"waypoints": repr(facts.voyage.waypoints)} | told


def test_two_folders_say_what_the_one_said(voyage: Path) -> None:
    before = said(read_folder(voyage))
    found = part(voyage, voyage.parent / "boat")
    assert before == said(read_folder(voyage))
    assert {"boat.toml", "crew.toml", "electrics.toml", "polar.csv"} <= set(found.boat_files)
    assert not (voyage / "boat.toml").exists()
    assert '[voyage]\nboat = "../boat"\n' in (voyage / "voyage.toml").read_text(encoding="utf-8")


def test_every_line_stands_in_one_of_the_two(voyage: Path) -> None:
    def lines(folder: Path) -> list[str]:
        texts = [path.read_text(encoding="utf-8") for path in sorted(folder.iterdir())]
        return [line for text in texts for line in text.splitlines() if line.strip()]

    before = lines(voyage)
    part(voyage, voyage.parent / "boat")
    after = lines(voyage) + lines(voyage.parent / "boat")
    assert {*before, 'boat = "../boat"'} == set(after)


def test_refuges_and_anchorage_stay_with_the_voyage(voyage: Path) -> None:
    part(voyage, voyage.parent / "boat")
    for name, own in (("troubles.toml", "[[refuge]]"), ("anchorage.toml", "[anchorage]")):
        assert own in (voyage / name).read_text(encoding="utf-8")
        assert own not in (voyage.parent / "boat" / name).read_text(encoding="utf-8")


def test_a_second_voyage_of_the_same_boat_is_one_file(voyage: Path) -> None:
    part(voyage, voyage.parent / "boat")
    second = voyage.parent / "second"
    second.mkdir()
    shutil.copy(voyage / "voyage.toml", second)
    facts = read_folder(second)
    assert facts.electrics is not None
    assert facts.anchorage is None
    assert () == facts.troubles.refuges


@pytest.mark.parametrize("case", ["parted already", "there already", "at fault"])
def test_what_is_refused_is_left_as_it_is(case: str, voyage: Path) -> None:
    boat = voyage.parent / "boat"
    if case == "parted already":
        part(voyage, boat)
        boat = voyage.parent / "other"
    elif case == "there already":
        boat.mkdir()
    else:
        (voyage / "crew.toml").write_text("", encoding="utf-8")
    before = {path: path.read_bytes() for path in voyage.parent.rglob("*") if path.is_file()}
    with pytest.raises(InputFaults):
        part(voyage, boat)
    assert before == {path: path.read_bytes() for path in voyage.parent.rglob("*") if path.is_file()}


def test_the_command_says_what_it_made(voyage: Path) -> None:
    result = CliRunner().invoke(main, ["boat", "split", str(voyage)])
    assert 0 == result.exit_code, result.output
    assert "boat.toml" in result.output
    assert (voyage.parent / "voyage-boat" / "boat.toml").exists()
