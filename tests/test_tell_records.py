"""Records told from one declaration: JSON, keys, print, frames."""

from __future__ import annotations

import json
import math
import pickle
from dataclasses import FrozenInstanceError, replace
from datetime import UTC, date, datetime
from enum import IntEnum, StrEnum

import pandas as pd
import pytest

from passage.tell.figures import Side
from passage.tell.frames import frame, to_csv
from passage.tell.records import Record, Rows, as_json, down, keys_of, reckoned, told, up


class Standing(IntEnum):
    FINE = 0
    OVER_DUE = 1

    @property
    def words(self) -> str:
        return "quite fine" if self is Standing.FINE else "long overdue"


class Answer(StrEnum):
    YES = "yes"


class Part(Record):
    name: str = told("its name")
    left_l: float = down("litres left")


class Tank(Record):
    """Invented."""

    tank: str = told("its name")
    load_l: float = up("litres to load")
    raw: list[float]
    standing: Standing = told("how it stands")
    answer: Answer = told("whether it lasts", default=Answer.YES)
    due: date | None = told("last good day", default=None)
    at_utc: datetime = told("when", default=datetime(2027, 2, 10, 8, tzinfo=UTC))
    parts: tuple[Part, ...] = told("its parts", default=())
    first: Part | None = told("the first of them", default=None)

    @reckoned("days that it lasts", Side.DOWN)
    def lasts_days(self) -> float:
        return self.load_l / 8.0


TANK = Tank(
    "keel", 97.2, [1.0], Standing.OVER_DUE, due=date(2027, 3, 1), parts=(Part("pump", 3.9), Part("tap", math.inf))
)


def test_json_is_rounded_to_its_side_in_the_order_declared_and_leaves_out_what_is_not_told() -> None:
    expected = {
        "tank": "keel",
        "load_l": 98,
        "standing": "over due",
        "answer": "yes",
        "due": "2027-03-01",
        "at_utc": "2027-02-10T08:00+00:00",
        "parts": [{"name": "pump", "left_l": 3}, {"name": "tap", "left_l": None}],
        "first": None,
        "lasts_days": 12.1,
    }
    assert expected == TANK.to_json() == json.loads(json.dumps(TANK.to_json(), allow_nan=False))
    assert list(expected) == list(TANK.to_json())
    assert [expected] == as_json((TANK,))


def test_print_is_the_same_numbers_as_a_person_reads_them() -> None:
    printed = TANK.printed()
    assert ("98", "long overdue", "Mon 1 Mar 2027", "–") == (
        printed["load_l"],
        printed["standing"],
        printed["due"],
        printed["first"],
    )
    assert [{"name": "pump", "left_l": "3"}, {"name": "tap", "left_l": "–"}] == printed["parts"]
    assert "98 litres for 12.1 days" == f"{TANK.load_l:u} for {TANK.lasts_days:u}"


def test_every_key_has_its_whole_path_meaning_unit_and_side() -> None:
    keys = {key.path: key for key in keys_of(Tank, "tanks")}
    assert ["tanks.tank", "tanks.load_l", "tanks.standing"] == list(keys)[:3]
    assert {"tanks.parts[]", "tanks.parts[].left_l", "tanks.first.left_l", "tanks.lasts_days"} <= set(keys)
    assert ("litres to load", "litres", Side.UP) == keys["tanks.load_l"][1:]
    assert ("litres", Side.DOWN) == keys["tanks.parts[].left_l"][2:]
    assert "" == keys["tanks.tank"].unit


def test_records_are_frozen_and_a_changed_copy_tells_itself_anew() -> None:
    with pytest.raises(FrozenInstanceError):
        TANK.load_l = 3.0  # type: ignore[misc]
    assert 12.1 == TANK.to_json()["lasts_days"]
    assert (41, 5.0) == (
        replace(TANK, load_l=40.4).to_json()["load_l"],
        replace(TANK, load_l=40.4).to_json()["lasts_days"],
    )


def test_a_figure_taken_over_is_told_as_its_new_field_is() -> None:
    assert 97 == Part("of the keel", TANK.load_l).to_json()["left_l"]


def test_a_record_goes_through_pickle() -> None:
    assert TANK.to_json() == pickle.loads(pickle.dumps(TANK)).to_json()


def test_a_repr_is_short() -> None:
    assert repr(TANK).startswith("Tank(tank=keel, load_l=98, standing=long overdue")
    assert "parts=2 x Part" in repr(TANK)
    assert len(repr(TANK).splitlines()) == 1


def test_a_frame_reads_back_what_json_says() -> None:
    frames = TANK.frames()
    assert [".", "parts"] == list(frames)
    assert [98] == frames["."]["load_l"].tolist()
    assert ["pump", "tap"] == frames["parts"]["name"].tolist()
    assert [3.0] == frames["parts"]["left_l"].dropna().tolist()
    assert {"load_l": "litres"}.items() <= frame((TANK,)).attrs["units"].items()
    assert "its name" == frame((TANK,)).attrs["means"]["tank"]
    assert ["pump", "tap"] == TANK.to_frame()["name"].tolist(), "the first list of rows in it"
    assert [98, 98] == Rows((TANK, TANK)).to_frame()["load_l"].tolist()


def test_rows_within_rows_know_whose_they_are() -> None:
    class Both(Record):
        tanks: tuple[Tank, ...] = told("tanks")

    inner = Both((TANK, TANK)).frames()["tanks.parts"]
    assert [1, 1, 2, 2] == inner["row"].tolist()


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@x"])
def test_csv_has_no_cell_that_a_spreadsheet_would_reckon(name: str) -> None:
    text = to_csv(pd.DataFrame({"name": [name], "left_l": [-3]}))
    assert f"name,left_l\r\n'{name},-3\r\n" == text
