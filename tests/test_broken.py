"""The corpus of broken voyages: each breaks one thing and is told exactly that, at its file and line."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from passage.errors import Fault, InputFaults
from passage.inputs.folder import read_folder

HERE = Path(__file__).parent / "broken"
BASE = HERE / "base"
CASES: list[dict[str, Any]] = tomllib.loads((HERE / "cases.toml").read_text(encoding="utf-8"))["case"]
FILES = sorted(path.name for path in BASE.iterdir())


def broken(case: dict[str, Any], folder: Path) -> Path:
    """The sound voyage with one thing broken."""
    shutil.copytree(BASE, folder)
    path = folder / case["file"]
    if "route" in case:
        name_a_route(folder / "voyage.toml", case["route"])
    if case.get("gone"):
        path.unlink()
    elif "bytes" in case:
        path.write_bytes(bytes.fromhex(case["bytes"]))
    elif "whole" in case:
        path.write_text(case["whole"], encoding="utf-8")
    else:
        text = path.read_text(encoding="utf-8")
        assert text.count(case["find"]) == 1, "the text to break must stand there once"
        path.write_text(text.replace(case["find"], case["put"].replace("BRACKETS", "[" * 2000)), encoding="utf-8")
    return folder


def name_a_route(path: Path, more: str) -> None:
    """A GPX file named in place of the waypoints, from line 8 on."""
    text = path.read_text(encoding="utf-8")
    head, after = text[: text.index("[[waypoint]]")], text[text.index("[reserve]") :]
    path.write_text(f'{head}[route]\nfile = "route.gpx"\n{more}\n{after}', encoding="utf-8")


def test_the_sound_voyage_reads() -> None:
    facts = read_folder(BASE)
    assert facts.polar is not None
    assert (3, 3) == facts.polar.boat_speed_kn.shape


def test_the_corpus_is_large_and_its_cases_differ() -> None:
    assert len(CASES) >= 50
    assert len({case["name"] for case in CASES}) == len(CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case["name"]))
def test_the_one_fault_is_told_where_it_stands(case: dict[str, Any], tmp_path: Path) -> None:
    with pytest.raises(InputFaults) as told:
        read_folder(broken(case, tmp_path / "voyage"))
    (fault,) = told.value.faults
    assert (*case["at"], case["key"]) == (fault.file, fault.line, fault.key)
    for words in case["says"]:
        assert words in str(fault)


def test_the_faults_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    shutil.copytree(BASE, tmp_path / "voyage")
    for file, find in (
        ("voyage.toml", "1500 nm"),
        ("boat.toml", "9.1 m"),
        ("crew.toml", "68 kg"),
        ("polar.csv", "2.9"),
    ):
        path = tmp_path / "voyage" / file
        path.write_text(path.read_text(encoding="utf-8").replace(find, "x"), encoding="utf-8")
    with pytest.raises(InputFaults) as told:
        read_folder(tmp_path / "voyage")
    assert ["boat.toml", "crew.toml", "polar.csv", "voyage.toml"] == [fault.file for fault in told.value.faults]
    assert 4 == len(str(told.value).splitlines())


def answers(folder: Path) -> None:
    """Reading ends in facts or in faults that each fill one line; anything else is a fault of ours."""
    try:
        read_folder(folder)
    except InputFaults as told:
        assert told.faults
        for fault in told.faults:
            assert 1 == len(str(fault).splitlines())


def sound_but_for_one(place: Path) -> Path:
    """The sound voyage, copied at the first example; the others of a test break the same file."""
    folder = place / "voyage"
    return folder if folder.exists() else shutil.copytree(BASE, folder)


FUZZ = settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.mark.parametrize("file", FILES)
@FUZZ
@given(content=st.binary(max_size=200))
def test_random_bytes_never_raise_anything_else(file: str, content: bytes, tmp_path: Path) -> None:
    folder = sound_but_for_one(tmp_path)
    (folder / file).write_bytes(content)
    answers(folder)


@pytest.mark.parametrize("file", FILES)
@FUZZ
@given(data=st.data())
def test_random_edits_never_raise_anything_else(file: str, data: st.DataObject, tmp_path: Path) -> None:
    folder = sound_but_for_one(tmp_path)
    text = (BASE / file).read_text(encoding="utf-8")
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, min(start + 40, len(text))))
    put = data.draw(
        st.text(alphabet=st.characters(exclude_categories=["Cs"]) | st.sampled_from('"=[]{}.,\n#-09'), max_size=12)
    )
    (folder / file).write_text(text[:start] + put + text[end:], encoding="utf-8", newline="")
    answers(folder)


NUMBERS = ["1", "-1", "1e400", "9" * 5000, "nan", "inf", "0x10", "1_0.0", "1979-05-27", "07:32:00", "true"]
TEXTS = ['""', '"1 L"', '"99999999999 L"', '"\\u0000"', '"' + "a" * 300 + '"', "'''\nx'''"]
NESTS = ["[]", "{}", "[1]", "[{}]", "{x=1}", "[[[]]]"]
VALUES = st.sampled_from([*NUMBERS, *TEXTS, *NESTS])


@pytest.mark.parametrize("file", [name for name in FILES if name.endswith(".toml")])
@FUZZ
@given(data=st.data())
def test_values_of_any_type_never_raise_anything_else(file: str, data: st.DataObject, tmp_path: Path) -> None:
    folder = sound_but_for_one(tmp_path)
    lines = (BASE / file).read_text(encoding="utf-8").split("\n")
    keyed = [index for index, line in enumerate(lines) if " = " in line]
    index = data.draw(st.sampled_from(keyed))
    lines[index] = f"{lines[index].split(' = ')[0]} = {data.draw(VALUES)}"
    (folder / file).write_text("\n".join(lines), encoding="utf-8")
    answers(folder)


def test_faults_by_the_thousand_are_told_up_to_a_number() -> None:
    faults = [Fault("pairs.csv", line, "", "x", "write a number") for line in range(1, 20_001)]
    told = str(InputFaults(faults)).splitlines()
    assert 101 == len(told)
    assert "pairs.csv line 100: x; write a number" == told[-2]
    assert "and 19,900 more faults; mend these first" == told[-1]
