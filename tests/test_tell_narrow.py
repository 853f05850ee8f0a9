"""What an answer says of a word alone: parts by their head, rows, points and paragraphs by what stands in them."""

from __future__ import annotations

import pytest

from passage.errors import InputFaults
from passage.tell.blocks import Blocks, Head, Points, Say, grid, note, strong
from passage.tell.narrow import narrowed
from passage.tell.terminal import blocks_text

ANSWER: Blocks = (
    Head("RUDDER LOST"),
    Say("Sail on without."),
    Head("Due"),
    grid(
        (("standing rigging", "2026"), ("keel", "2027")),
        ("what", lambda row: strong(row[0]), "left"),
        ("by", lambda row: row[1]),
    ),
    note("Keel: by survey. No rigging is named here first."),
    Head("Steps"),
    Points(("lash the rudder", "bright lights on"), numbered=True),
)


def said(*words: str) -> str:
    return " ".join(blocks_text(narrowed(ANSWER, words)).split())


def test_a_head_with_the_word_brings_its_whole_part_and_points_stand_alone() -> None:
    assert "RUDDER LOST Sail on without. Steps lash the rudder" == said("rudder")


def test_of_a_table_only_the_rows_with_the_word_at_its_beginning_are_told() -> None:
    assert "Due what by standing rigging 2026" == said("rig")


def test_a_note_is_told_where_it_begins_with_the_word() -> None:
    assert "Due what by keel 2027 Keel: by survey. No rigging is named here first." == said("keel")


def test_several_words_tell_what_any_of_them_would() -> None:
    assert "standing rigging" in said("rig", "keel")
    assert "keel 2027" in said("rig", "keel")


def test_an_unknown_word_is_refused_with_the_nearest() -> None:
    with pytest.raises(InputFaults, match="ruddr: nothing is said of it here; did you mean rudder"):
        narrowed(ANSWER, ("ruddr",))
