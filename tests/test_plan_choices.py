"""Tracks to choose between on screen and on paper."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import pytest

from passage.plan.document import write_choices
from passage.plan.sheets import choices as sheet
from passage.tell.terminal import blocks_text
from tests.plan_cases import words_on
from tests.test_choosing import chosen
from tests.test_plan_keys import unexplained

if TYPE_CHECKING:
    from pathlib import Path


@cache
def table() -> sheet.Choices:
    return sheet.table(chosen())


def test_the_short_answer_fits_a_terminal() -> None:
    lines = blocks_text(sheet.choices_short(table()), tight=True).splitlines()
    assert len(lines) < 24
    assert max(map(len, lines)) <= 80
    assert all(f"Track {track.number}" in "\n".join(lines) for track in table().tracks)


def test_the_table_is_rounded_json_and_every_key_is_explained() -> None:
    told = json.loads(json.dumps(table().to_json(), allow_nan=False))
    assert table().to_json() == told
    assert set() == unexplained({"choices": told}, "track --choices")
    assert list(range(1, len(chosen()) + 1)) == [track["number"] for track in told["tracks"]]
    assert [one.distance_nm for one in chosen()] == pytest.approx([t["distance_nm"] for t in told["tracks"]], abs=0.5)


def test_every_choice_has_its_column_its_sentence_and_its_waypoints() -> None:
    text = blocks_text(sheet.choices_card(table()))
    assert all(len(line) <= 80 for line in text.splitlines())
    words = " ".join(text.split())
    for number, one in enumerate(chosen(), 1):
        assert f"Track {number}" in words
        assert one.why in words
        assert f"{one.slow_end_days}" in words
    assert [len(one.voyage.waypoints) for one in chosen()] == [len(track.waypoints) for track in table().tracks]


def test_a_track_never_near_land_is_said_to_be_farther_than_is_looked() -> None:
    first, *others = chosen()
    told = sheet.table([replace(first, farthest_nm=math.inf), *others])
    assert "over 600" in blocks_text(sheet.choices_card(told))
    assert told.to_json()["tracks"][0]["farthest_nm"] is None


def test_all_tracks_are_on_one_page_with_their_chart(tmp_path: Path) -> None:
    pytest.importorskip("typst")
    write_choices(chosen(), tmp_path / "choices.pdf")
    (page,) = words_on(tmp_path / "choices.pdf")
    words = " ".join(page.split())
    assert "Which track?" in words
    assert "The official chart decides" in words
