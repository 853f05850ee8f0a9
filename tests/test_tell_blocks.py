"""Blocks on a screen, on paper and in a browser."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest

from passage.tell.blocks import (
    Beside,
    Break,
    Drawing,
    Head,
    Medium,
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
from passage.tell.terminal import blocks_text
from passage.tell.web import html

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
