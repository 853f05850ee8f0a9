"""Tracks to choose between on screen and on paper."""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from passage.plan.document import write_choices
from passage.plan.keys import KEYS
from passage.plan.printed import Table, rounded
from passage.plan.sheets import choices as sheet
from tests.test_choosing import chosen
from tests.test_plan_keys import keys_in

if TYPE_CHECKING:
    from pathlib import Path


@cache
def table() -> Table:
    return sheet.table(chosen())


def test_the_table_is_rounded_json_and_every_key_is_explained() -> None:
    assert table() == json.loads(json.dumps(rounded(table()), allow_nan=False))
    assert set() == keys_in(table()) - set(KEYS)


def test_every_choice_has_its_column_its_sentence_and_its_waypoints() -> None:
    text = sheet.text(table())
    assert all(len(line) <= 80 for line in text.splitlines())
    words = " ".join(text.split())
    for number, one in enumerate(chosen(), 1):
        assert f"Track {number}" in words
        assert one.why in words
    assert [len(one.voyage.waypoints) for one in chosen()] == [len(each["waypoints"]) for each in table()["choices"]]


def test_all_tracks_are_on_one_page_with_their_chart(tmp_path: Path) -> None:
    pytest.importorskip("typst")
    write_choices(chosen(), tmp_path / "choices.pdf")
    pages = PdfReader(tmp_path / "choices.pdf").pages
    assert 1 == len(pages)
    words = " ".join(pages[0].extract_text().split())
    assert "Which track?" in words
    assert "The official chart decides" in words
