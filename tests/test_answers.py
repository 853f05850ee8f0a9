"""The seven answers: from options and from a file, defaults for the rest, each fault a sentence where it stands."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

import pytest

from passage.errors import InputFaults
from passage.inputs.answers import QUESTIONS, Answers, Hand, NewBoat, answers_of
from passage.inputs.firstfiles import boat_toml

if TYPE_CHECKING:
    from pathlib import Path

TODAY = date(2026, 11, 28)


def read(**texts: str) -> Answers:
    return answers_of(texts, today=TODAY)


def told(**texts: str) -> str:
    with pytest.raises(InputFaults) as faults:
        read(**texts)
    return str(faults.value)


def test_every_question_has_a_default_that_reads_and_says_what_it_is_for() -> None:
    found = read()
    assert (10.0, None, None) == found.boat
    assert 2 == len(found.crew)
    assert all(question.default and question.about for question in QUESTIONS)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("June", datetime(2027, 6, 15, 9, tzinfo=UTC)),
        ("dec", datetime(2026, 12, 15, 9, tzinfo=UTC)),
        ("November", datetime(2027, 11, 15, 9, tzinfo=UTC)),
        ("June 2028", datetime(2028, 6, 15, 9, tzinfo=UTC)),
        ("2027-06-12", datetime(2027, 6, 12, 12, tzinfo=UTC)),
        ("2027-06-12 08:00", datetime(2027, 6, 12, 8, tzinfo=UTC)),
    ],
)
def test_a_month_is_the_next_of_its_name(text: str, day: datetime) -> None:
    assert day == read(when=text).depart


def test_a_boat_is_her_measures_in_any_order_and_unit() -> None:
    assert NewBoat(10.2, 6800.0, 48.0) == read(boat="10.2 m, 6.8 t, 48 m2").boat
    assert NewBoat(10.2, None, 48.0) == read(boat="10.2 m, 48 m2").boat
    assert pytest.approx((33 * 0.3048, 12_000 * 0.45359237)) == read(boat="33 ft, 12000 lb").boat[:2]  # type: ignore[index]


def test_a_boat_is_the_folder_of_one(tmp_path: Path) -> None:
    (tmp_path / "boat.toml").write_text("", encoding="utf-8")
    assert tmp_path == read(boat=str(tmp_path)).boat


def test_a_crew_is_counted_or_told() -> None:
    assert (Hand(None, None, None),) * 3 == read(crew="3").crew
    assert (Hand("F", 52, 61.0), Hand("M", 55, 82.0)) == read(crew="F 52 61 kg, M 55 82 kg").crew


def test_tanks_and_power_may_lack_the_half() -> None:
    assert (180.0, None) == (read(tanks="180 L").water_l, read(tanks="180 L, none").fuel_l)
    assert (0.0, 0.0) == (read(power="none").panels_w, read(power="none").bank_ah)
    assert (0.0, 220.0) == (read(power="none, 220 Ah").panels_w, read(power="none, 220 Ah").bank_ah)


@pytest.mark.parametrize(
    ("key", "text", "said"),
    [
        ("when", "Ju", "name a month"),
        ("when", "2027-02-30", "no such day"),
        ("when", "June 2044", "variation is known for"),
        ("boat", "big", "give her length"),
        ("boat", "10", "say in which unit"),
        ("boat", "2 m", "give 5 m to 24 m"),
        ("boat", "10 m, heavy", "write a number and a unit"),
        ("crew", "0", "1 to 8 people"),
        ("crew", "two", "of each sex, age and weight"),
        ("crew", "F 12 61 kg", "16 to 95 years"),
        ("tanks", "40 qt", "a quart is a quarter"),
        ("power", "200 W", "panels and house bank"),
        ("power", "200 Ah, 200 W", "'Ah' is not a unit read here"),
    ],
)
def test_each_wrong_answer_is_one_sentence_under_its_option(key: str, text: str, said: str) -> None:
    sentence = told(**{key: text})
    assert sentence.startswith(f"--{key}: ")
    assert said in sentence
    assert 1 == len(sentence.splitlines())


def test_a_file_answers_and_an_option_counts_before_it(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text('from = "Opua"\nto = "Suva"\ncrew = "1"\n', encoding="utf-8")
    found = answers_of({"crew": "3"}, file, TODAY)
    assert ("Opua", "Suva", 3) == (found.start.name, found.goal.name, len(found.crew))


def test_a_fault_of_a_file_names_its_line(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text('from = "Opua"\nto = 7\nbote = "10 m"\n', encoding="utf-8")
    with pytest.raises(InputFaults) as faults:
        answers_of({}, file, TODAY)
    assert [("mine.toml", 2, "to"), ("mine.toml", 3, "bote")] == [fault[:3] for fault in faults.value.faults]
    file.write_text('from = "Opua"\nto = "Suva"\ntanks = "40 qt"\n', encoding="utf-8")
    with pytest.raises(InputFaults, match=r"mine\.toml line 3: tanks: "):
        answers_of({}, file, TODAY)


@pytest.mark.parametrize(("tanks", "us"), [("40 gal, 20 gal", True), ("40 imp gal", False), ("200 L, 100 L", False)])
def test_who_tells_gallons_is_answered_in_gallons(tanks: str, us: bool) -> None:
    answers = answers_of({"from": "Lagos, Portugal", "to": "Horta, Portugal", "tanks": tanks})
    assert us is answers.in_gallons
    assert isinstance(answers.boat, NewBoat)
    assert us is ('units = "us"' in boat_toml(answers.boat, answers))
