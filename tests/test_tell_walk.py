"""Every figure of every record through JSON, print, frames, CSV, the page of keys and the three media, on voyages."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from datetime import date, datetime
from html import unescape
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd
import pytest

from passage.plan.document import SHEETS
from passage.tell.blocks import Medium, Newspaper, Together, shown_on
from passage.tell.figures import Count, Figure
from passage.tell.frames import frames, to_csv
from passage.tell.paper import set_blocks
from passage.tell.records import Record, as_json, as_printed, keys_of, tellings
from passage.tell.terminal import blocks_text
from passage.tell.web import html
from tests.plan_cases import ROUTES, tables_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from passage.tell.blocks import Block

VOYAGES = ROUTES
FIGURE = re.compile(r"−?\d+(?:,\d{3})*(?:\.\d+)?")


def records(route: str) -> dict[str, Any]:
    return {name: table for name, table in tables_of(route).items() if isinstance(table, Record)}


class Told(NamedTuple):
    """One told value: its whole path without the numbers of rows, and where it comes out as JSON and as print."""

    path: str
    value: Any
    json: Any
    words: Any


def walked(value: Any, json: Any, words: Any, path: str) -> Iterator[Told]:
    """Every told value below one, with what JSON and print make of it, gone through side by side."""
    if isinstance(value, Record):
        assert list(tellings(type(value))) == list(json), path
        for name in tellings(type(value)):
            yield from walked(getattr(value, name), json[name], words[name], f"{path}.{name}")
    elif isinstance(value, (list, tuple)):
        assert len(value) == len(json), path
        for each, inner, said in zip(value, json, words, strict=True):
            yield from walked(each, inner, said, path)
    else:
        yield Told(path, value, json, words)


def told_of(name: str, record: Record) -> list[Told]:
    return list(walked(record, as_json(record), as_printed(record), name))


TOGETHER = {"stores": ("stores", "water", "food"), "ready": ("ready", "sails"), "watch": ("watches", "looks")}
BY_COMMAND = TOGETHER | {name: (name,) for name in ("times", "power", "troubles", "winds", "legs", "anchor", "when")}
LINES, COLUMNS = 24, 80  # of a terminal
MORE = 1  # line that says how to see all of it


@pytest.mark.parametrize("route", VOYAGES)
def test_every_short_answer_fits_a_terminal(route: str) -> None:
    told = records(route)
    sheets = {sheet.name: sheet for sheet in SHEETS}
    for command, names in BY_COMMAND.items():
        blocks = [block for name in names if name in told for block in sheets[name].in_short(told[name])]
        lines = blocks_text(blocks, tight=True).splitlines()
        assert len(lines) <= LINES - MORE, (command, lines)
        assert all(len(line) <= COLUMNS for line in lines), (command, lines)
        assert all(sheets[name].short for name in names), command
        narrow = blocks_text(blocks, 60, tight=True).splitlines()
        assert all(len(line) <= 60 for line in narrow), (command, narrow)


def read_back(words: str) -> float:
    """A printed figure as a number, by its own reading: east and north positive."""
    number = float(re.sub(r"[^\d.−]", "", words).replace("−", "-"))
    return -number if words.endswith((" W", " S")) else number


@pytest.mark.parametrize("route", VOYAGES)
def test_every_figure_is_one_in_json_and_in_print(route: str) -> None:
    every = [told for name, record in records(route).items() for told in told_of(name, record)]
    figures = [told for told in every if isinstance(told.value, (Figure, Count))]
    assert len(figures) > 2000
    for told in figures:
        assert told.value.number == told.json, told
        assert f"{told.value}" == told.words, told
        if told.json is None:
            assert "–" == told.words, told
        elif not told.path.endswith("_change_deg"):
            assert read_back(told.words) == pytest.approx(told.json, abs=1e-9), told


@pytest.mark.parametrize("route", VOYAGES)
def test_days_and_moments_are_the_same_in_json_and_in_print(route: str) -> None:
    every = [told for name, record in records(route).items() for told in told_of(name, record)]
    times = [told for told in every if isinstance(told.value, date)]
    assert times
    for told in times:
        kind = datetime if isinstance(told.value, datetime) else date
        again = kind.fromisoformat(told.json)
        assert f"{told.value}".startswith(f"{again:%a} {again.day} {again:%b %Y}"), told
        assert told.words == f"{told.value}", told


@pytest.mark.parametrize("route", VOYAGES)
def test_every_value_has_its_key(route: str) -> None:
    for name, record in records(route).items():
        known = {key.path.replace("[]", "") for key in keys_of(type(record), name)}
        assert {told.path for told in told_of(name, record)} <= known


def rows_at(json: Any, path: Sequence[str]) -> list[dict[str, Any]]:
    """The rows of JSON at a path, through every list on the way."""
    found = [json]
    for name in path:
        found = [inner for each in found if each is not None for inner in _listed(each.get(name))]
    return found


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value] if value is not None else []


@pytest.mark.parametrize("route", VOYAGES)
def test_frames_and_their_csv_read_back_what_json_says(route: str) -> None:
    cells = 0
    for name, record in records(route).items():
        json = as_json(record)
        for path, table in frames(record, name).items():
            rows = rows_at(json, path.split(".")[1:])
            assert len(rows) == len(table), path
            read = list(csv.DictReader(io.StringIO(to_csv(table))))
            for column in table.columns.drop(["row", "of"], errors="ignore"):
                for row, cell, text in zip(rows, table[column], read, strict=True):
                    expected: Any = row
                    for part in column.split("."):
                        expected = None if expected is None else expected.get(part)
                    assert same(expected, cell), (path, column, expected, cell)
                    assert same_text(expected, text[column]), (path, column, expected, text[column])
                    cells += 1
    assert cells > 2000


def same(json: Any, cell: Any) -> bool:
    if json is None:
        return cell is None or bool(pd.isna(cell)) or cell == ""
    if isinstance(json, list):
        return bool("; ".join("" if each is None else str(each) for each in json) == cell)
    return bool(as_json(cell) == json) or pd.Timestamp(cell).isoformat().startswith(str(json)[:16])


def same_text(json: Any, text: str) -> bool:
    """A cell of the CSV: numbers as numbers, texts as texts, a quote before what would be a formula."""
    if json is None:
        return text == ""
    if isinstance(json, (int, float)) and not isinstance(json, bool):
        return float(text) == json
    said = "; ".join("" if each is None else str(each) for each in json) if isinstance(json, list) else str(json)
    return said in (text, text[1:]) or text.replace(" ", "T").startswith(said[:16])


def figures_in(text: str) -> set[str]:
    return set(FIGURE.findall(text))


def words_of_paper(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        if "weights" in value:
            yield value["text"]
        elif value.get("kind") == "verbatim":
            yield from value["lines"]
        else:
            for inner in value.values():
                yield from words_of_paper(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from words_of_paper(inner)


def kept(blocks: Sequence[Block], medium: Medium) -> tuple[Block, ...]:
    """What one medium shows, within what is kept together too, so that every renderer can be asked for it."""
    return tuple(
        replace(block, blocks=kept(block.blocks, medium)) if isinstance(block, (Newspaper, Together)) else block
        for block in shown_on(medium, tuple(blocks))
    )


@pytest.mark.parametrize("route", VOYAGES)
def test_screen_paper_and_page_show_the_same_figures(route: str) -> None:
    """Of what is for all of them; what is for one alone is made of the same record."""
    tables = records(route)
    for sheet in (sheet for sheet in SHEETS if sheet.name in tables and sheet.cards):
        blocks = sheet.blocks(tables[sheet.name])
        for medium in Medium:
            shown = kept(blocks, medium)
            screen = figures_in(re.sub(r"(?m)^ *\d+\. ", "", blocks_text(shown)))  # numbers of a list are the medium's
            page = figures_in(unescape(re.sub(r"<[^>]*>", " ", html(shown))))
            paper = figures_in(" ".join(words_of_paper(set_blocks(shown))))
            assert page == paper, (sheet.name, page ^ paper)
            if medium is Medium.SCREEN:
                assert screen <= paper, (sheet.name, screen - paper)
