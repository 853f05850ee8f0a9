"""Drawings made of letters: heights where the scale says, as wide as asked, nothing where there is nothing."""

from __future__ import annotations

from math import inf, nan

from passage.tell.sketch import TALL, Upright, columns, fan

FALLING = [Upright(90.0 - 10 * day, 100.0 - 10 * day, 110.0 - 10 * day) for day in range(9)]
FEET = [f"{day}" if day % 4 == 0 else "" for day in range(9)]


def test_a_fan_has_its_middle_in_every_column_and_words_above() -> None:
    words, *lines = fan(FALLING, FEET, "litres", 60)
    assert "litres" == words
    body = [line[8:].ljust(18) for line in lines[: TALL + 1]]
    assert all(1 == sum(row[at] == "#" for row in body) for at in range(18))
    assert "0       4        8" in lines[-1] or "0" in lines[-1]


def test_a_fan_is_never_wider_than_asked() -> None:
    year = [Upright(10.0, 12.0, 15.0)] * 53
    for wide in (40, 60, 80):
        assert max(map(len, fan(year, ["Feb", *[""] * 51, "Feb"], "days", wide))) <= wide


def test_a_level_is_drawn_where_the_fan_leaves_it_free() -> None:
    lines = fan([Upright(80.0, 90.0, 95.0)] * 5, [""] * 5, "%", 60, level=50.0)
    assert any("----------" in line and "|" in line for line in lines)


def test_what_never_arrives_reaches_the_top_and_nothing_at_all_draws_nothing() -> None:
    lines = fan([Upright(10.0, 12.0, inf), Upright(10.0, 12.0, 14.0)], ["", ""], "days", 60)
    assert ":" in lines[1]
    assert () == fan([Upright(nan, nan, nan)], [""], "days", 60)
    assert () == columns([0.0, 0.0], ["1", "2"], "in 100", 60)


def test_columns_stand_as_high_as_their_share_of_the_highest() -> None:
    _, *lines = columns([2.0, 6.0, 4.0], ["1", "2", "3"], "in 100", 60)
    heights = [sum(line[8 + 5 * at :].startswith("#") for line in lines) for at in range(3)]
    assert [2, 6, 4] == heights
