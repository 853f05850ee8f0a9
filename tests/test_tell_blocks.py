"""Blocks on a screen, on paper and in a browser."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from typing import TYPE_CHECKING

import pytest

from passage.tell.blocks import (
    END,
    STRONG,
    Beside,
    Break,
    Drawing,
    Head,
    Medium,
    Newspaper,
    Points,
    Say,
    Size,
    Title,
    Together,
    ToWrite,
    bare,
    grid,
    large,
    note,
    on_paper,
    on_screen,
    runs,
    shown_on,
    small,
    strong,
)
from passage.tell.paper import set_blocks
from passage.tell.terminal import SCREEN, Screen, blocks_text, grid_lines
from passage.tell.web import html

if TYPE_CHECKING:
    from collections.abc import Iterator

ROWS = (("keel tank", 97), ("bow tank", 125))
TABLE = grid(ROWS, ("tank", lambda row: row[0], "left 1fr"), ("left,\nlitres", lambda row: strong(row[1])))
CARD = (
    Title("Water"),
    Say("Yes.", Size.VERDICT),
    Say(f"Load {strong(171)} litres."),
    Head("Tanks", "Tank by tank"),
    TABLE,
    Points(("first", "second"), numbered=True),
    on_paper(Drawing("water", "Litres left"), ToWrite(2), Break()),
    on_screen(Say("only here")),
    Head("Nothing below"),
    Say(""),
)


def test_runs_carry_their_weights() -> None:
    text = f"a {strong(f'b {small(1)}')} {large('c')}"
    assert [((), "a "), (("strong",), "b "), (("strong", "small"), "1"), ((), " "), (("large",), "c")] == runs(text)
    assert "a b 1 c" == bare(text)


def test_what_is_empty_is_left_out_and_a_head_with_nothing_below_it() -> None:
    kinds = [type(block).__name__ for block in shown_on(Medium.SCREEN, CARD)]
    assert ["Title", "Say", "Say", "Head", "Grid", "Points", "Say"] == kinds
    assert [] == [*shown_on(Medium.PAPER, (Head("x"), grid((), ("a", str)), Together(()), Points(())))]


def test_the_terminal_puts_heads_in_the_margin_and_figures_to_the_right() -> None:
    expected = """\
Water             Yes.
                  Load 171 litres.

Tank by tank
            left,
tank       litres
keel tank      97
bow tank      125
                  1. first
                  2. second
                  only here"""
    assert expected == blocks_text(CARD)


@pytest.mark.parametrize("wide", [40, 60, 80, 140])
def test_nothing_is_wider_than_the_terminal(wide: int) -> None:
    long = "a name that goes on and on and on " * 4
    table = grid(
        [(long, long, 12345)], ("one", lambda r: r[0], "left"), ("two", lambda r: r[1], "left"), ("n", lambda r: r[2])
    )
    text = blocks_text((Title(long), Say(long), Head(long), table, note("W" * 200)), wide)
    assert max(map(len, text.splitlines())) <= wide
    assert "12345" in text


def test_paper_gets_each_kind_with_its_runs() -> None:
    laid = set_blocks((*CARD[:-2], Beside(((Say("left"),), (TABLE,)), ("1fr", "2fr")), Together((Say("kept"),))))
    kinds = [block["kind"] for block in laid]
    assert [
        "head",
        "say",
        "say",
        "head",
        "grid",
        "points",
        "drawing",
        "to-write",
        "break",
        "beside",
        "together",
    ] == kinds
    table = laid[4]
    assert (["1fr", "auto"], ["left", "right"]) == (table["wide"], table["align"])
    assert [{"weights": ["strong"], "text": "97"}] == table["rows"][0][1]


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.seen.append(tag)
        if tag not in ("br",):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert tag == self.open.pop()


def test_a_browser_gets_whole_tags_and_no_markup_of_a_person_s() -> None:
    text = html((*CARD, Say("<script>alert(1)</script>"), Beside(((Say("a"),), (TABLE,)))), {"water": "<svg></svg>"})
    tags = Tags()
    tags.feed(text)
    assert [] == tags.open
    assert "script" not in tags.seen
    assert {"h2", "h3", "table", "th", "td", "ol", "figure", "svg", "strong"} <= set(tags.seen)


def test_the_three_show_the_same_figures() -> None:
    on_each = (blocks_text(CARD), str(set_blocks(CARD)), html(CARD))
    for words in ("97", "125", "171", "keel tank", "second"):
        assert all(words in text for text in on_each)


def test_words_stand_over_the_rows_that_belong_together_and_what_is_written_by_hand_is_for_paper() -> None:
    """Every renderer has them; a terminal leaves out the column in which nothing stands."""
    rows = (("tins", "beans"), ("tins", "peas"), ("dry goods", "rice"))
    columns = (("what", lambda row: row[1], "left"), ("stowed where", lambda row: ""))
    listed = grid(rows, *columns, under=lambda row: row[0])
    assert ["tins", "beans", "peas", "dry goods", "rice"] == [bare(row[0]) for row in listed.rows]
    assert ["what", "tins", "beans", "peas", "dry goods", "rice"] == blocks_text((listed,)).splitlines()
    assert 2 == html((listed,)).count('<td colspan="2">')
    assert [1, 2, 2, 1, 2] == [len(row) for row in set_blocks((listed,))[0]["rows"]]


def test_what_runs_down_two_columns_on_paper_runs_on_elsewhere() -> None:
    blocks = (Newspaper((Head("Rudder lost"), Say("Sails down."))),)
    (paper,) = set_blocks(blocks)
    assert ("newspaper", ["head", "say"]) == (paper["kind"], [each["kind"] for each in paper["blocks"]])
    assert "Rudder lost       Sails down." == blocks_text(blocks)
    assert '<p class="body">Sails down.</p>' in html(blocks)
    assert [] == set_blocks((Newspaper(()),))


def test_a_table_of_many_narrow_columns_gives_up_a_space_between_them() -> None:
    columns = [(f"{number}", lambda row: row, "right") for number in range(12)]
    (_, row) = grid_lines(grid(["12345"], *columns))
    assert 12 * 5 + 11 == len(row) <= 80
    assert "12345 12345" in row


HEAVY = (
    Head("Water"),
    Say(f"Load {strong('171 litres of water')} and {large(12)} of {small('gas')}, or {strong('she runs short')}."),
    grid((("keel tank", 97), ("bow", 125)), ("tank", lambda row: row[0], "left"), ("left", lambda row: strong(row[1]))),
)


@pytest.fixture
def bold() -> Iterator[None]:
    kept = SCREEN.set(Screen(wide=80, bold=True))
    yield
    SCREEN.reset(kept)


@pytest.mark.parametrize("wide", [40, 60, 80, 140])
def test_weight_moves_no_letter(wide: int, bold: None) -> None:
    """Widths are counted without the marks: without them it is the plain text."""
    heavy = blocks_text(HEAVY, wide)
    SCREEN.set(Screen(wide=80))
    assert heavy != bare(heavy) == blocks_text(HEAVY, wide)


def test_a_bold_screen_keeps_the_key_figures_and_no_other_weight(bold: None) -> None:
    heavy = re.findall(f"{STRONG}([^{END}]*){END}", blocks_text((*HEAVY, Say("Not yet.", Size.VERDICT)), 40))
    expected = [*("171", "litres", "of", "water"), "12", *("she", "runs", "short"), "97", "125", "Not", "yet."]
    assert expected == heavy


def test_a_table_takes_the_room_of_a_wide_screen_and_sentences_do_not() -> None:
    long = "word " * 24
    table = grid(((long.strip(), 1),), ("what", lambda row: row[0], "left"), ("n", lambda row: row[1]))
    lengths = {}
    for wide in (60, 80, 140, 300):
        kept = SCREEN.set(Screen(wide))
        said, rows = blocks_text((Say(long * 4),)), blocks_text((table,))
        SCREEN.reset(kept)
        lengths[wide] = (max(map(len, said.splitlines())) <= min(wide, 80), len(rows.splitlines()))
        assert max(map(len, rows.splitlines())) <= min(wide, 140)
    assert {60: (True, 4), 80: (True, 3), 140: (True, 2), 300: (True, 2)} == lengths
