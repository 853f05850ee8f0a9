"""What a beginner writes wrong: each file gets one right sentence, which says how the line would be right."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

import pytest

from passage.errors import InputFaults
from passage.inputs.folder import read_folder
from tests.test_broken import BASE, HERE, broken

if TYPE_CHECKING:
    from pathlib import Path

CASES: list[dict[str, Any]] = tomllib.loads((HERE / "beginners.toml").read_text(encoding="utf-8"))["case"]


def test_there_are_more_than_eighty_and_they_differ() -> None:
    assert len({(case["file"], case["put"]) for case in CASES}) >= 80


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case["name"]))
def test_a_beginners_file_gets_one_right_sentence(case: dict[str, Any], tmp_path: Path) -> None:
    with pytest.raises(InputFaults) as told:
        read_folder(broken(case, tmp_path / "voyage"))
    (fault,) = told.value.faults
    assert case["at"] == [fault.file, fault.line]
    for text in case["says"]:
        assert text in str(fault), str(fault)


def test_the_sound_voyage_has_none_of_them() -> None:
    assert read_folder(BASE).boat.hull.name
