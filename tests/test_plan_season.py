"""How a season is told: in a screen, whole, as a strip, and which passage is the weakest."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from functools import cache
from math import nan
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from passage.cli import main
from passage.plan.seasonstrip import ends_of, months_between, season_strip
from passage.plan.sheets.season import SeasonTold, Stands, season_card, season_short, table, weakest
from passage.tell.terminal import blocks_text
from tests.plan_cases import words_on
from tests.season_cases import copied, sailed
from tests.test_plan_keys import unexplained

if TYPE_CHECKING:
    from pathlib import Path


@cache
def told() -> SeasonTold:
    return table(sailed())


def test_a_season_is_told_in_a_screen() -> None:
    lines = blocks_text(season_short(told()), tight=True).splitlines()
    assert len(lines) <= 22  # and the two that say there is more
    assert all(len(line) <= 80 for line in lines)
    assert "#" in lines[2]
    assert any("XXXX" in line for line in lines)


def test_the_strip_has_a_bar_for_every_passage_and_a_name_for_every_wall() -> None:
    drawn = season_strip(told())
    assert 4 == drawn.count('fill="#000" stroke-linejoin="round" stroke="#000" stroke-width="0.6"')
    for words in ("Le Marin to", "hurricane season 2028", "2027", "2028"):
        assert words in drawn
    first, last = ends_of(told())
    assert first < told().begins_utc < (told().ends_utc or last) < last


def test_months_between_begin_on_their_first_day() -> None:
    assert [date(2027, 12, 1), date(2028, 1, 1)] == list(months_between(date(2027, 11, 2), date(2028, 1, 31)))
    assert [date(2027, 11, 1)] == list(months_between(date(2027, 11, 1), date(2027, 11, 30)))


def test_a_wall_stands_as_often_as_seasons_break_it() -> None:
    wall = next(each for each in told().walls if each.place == "Le Marin to Horta")
    share = wall.broken_in_100 / 100.0
    expected = (
        Stands.TYPICALLY
        if share >= 0.5
        else Stands.SLOW_END
        if share > 0.05
        else Stands.RARELY
        if share
        else Stands.CLEAR
    )
    assert expected is wall.stands
    assert wall.spare_slow_days <= wall.spare_typical_days


def test_the_weakest_is_the_one_that_fails_most_and_says_of_what() -> None:
    passages, walls = told().passages, told().walls
    dry = replace(passages[1], short_in_100=60.0, first_out="water")
    weak = weakest((passages[0], dry, *passages[2:]), walls)
    assert (2, "water runs out", 60.0) == (weak.number, weak.why, weak.in_100)
    late = replace(walls[-1], broken_in_100=80.0)
    assert 4 == weakest((passages[0], dry, *passages[2:]), (*walls[:-1], late)).number


def test_where_nothing_fails_the_windiest_is_named_without_a_share() -> None:
    calm = [
        replace(
            each, short_in_100=0.0, storms_in_100=0.0, battery_low_in_100=nan, port=None, strong_h=float(each.number)
        )
        for each in told().passages
    ]
    weak = weakest(calm, ())
    assert 4 == weak.number
    assert "most strong wind" in weak.why
    assert weak.in_100 != weak.in_100


def test_the_whole_tells_dates_walls_stores_ports_and_what_falls_due() -> None:
    text = blocks_text(season_card(told()))
    for words in ("02 Oct 2027", "hurricane season 2028", "Carried on: gas", "Mended: liferaft", "replace flare pack"):
        assert words in text


def test_the_command_prints_keys_and_paper(tmp_path: Path) -> None:
    folder, out = copied(tmp_path / "season"), tmp_path / "season.pdf"
    text = (folder / "season.toml").read_text(encoding="utf-8")
    two = text.split('[[passage]]\nvoyage = "le-marin-horta"')[0] + text[text.index("[[wall]]") :].split("[[wall]]")[1]
    two = two.replace('name = "hurricane', '[[wall]]\nname = "hurricane')
    (folder / "season.toml").write_text(two, encoding="utf-8")
    run = CliRunner().invoke(main, ["season", str(folder), "--crossings", "20", "--json", "--out", str(out)])
    assert 0 == run.exit_code, run.output
    answer = json.loads(run.output)
    assert set() == unexplained(answer, "season")
    assert 2 == len(answer["season"]["passages"])
    words = " ".join(words_on(out))
    assert "Round the North Atlantic" in words
    assert "Weakest passage" in words


@pytest.mark.parametrize("name", ["season.toml", "voyage.toml"])
def test_paper_is_not_written_over_what_the_season_is_made_of(name: str, tmp_path: Path) -> None:
    target = tmp_path / name
    target.write_text("x", encoding="utf-8")
    run = CliRunner().invoke(main, ["season", str(tmp_path), "--out", str(target)])
    assert 2 == run.exit_code
    assert "x" == target.read_text(encoding="utf-8")
