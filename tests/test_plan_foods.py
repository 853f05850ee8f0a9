"""Foods by a part of their name, from the list that comes with the tool and from a pantry of one's own."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from passage import api
from passage.cli import main
from passage.inputs.pantry import GROUPS
from passage.shipped import shipped
from tests.test_plan_keys import unexplained

BASE = Path(__file__).parent / "broken" / "base"


def test_every_word_asked_for_is_in_what_is_found() -> None:
    every = api.foods()
    assert every.known == len(every.foods) >= 80
    found = api.foods("white ric")
    assert ["white rice"] == [row.item for row in found.foods]
    assert {"pulse"} <= {row.group for row in api.foods("pulse").foods}
    assert set(GROUPS) == {row.group for row in every.foods}


def test_a_food_is_told_with_its_energy_as_on_a_label() -> None:
    (rice,) = api.foods("white rice").foods
    assert 340 < rice.energy_kcal < 370  # raw white rice: 350 to 365 kcal in 100 g on any packet (P)
    assert 6.0 < rice.protein_g < 9.0


def test_a_pantry_of_ones_own_is_among_them() -> None:
    (rusks,) = api.foods("our rusks", BASE).foods
    assert (True, 4.0) == (rusks.own, rusks.aboard)
    assert any(row.aboard > 0 for row in api.foods("", shipped("routes") / "opua-tonga").foods)


def test_what_is_not_there_is_answered_by_the_nearest() -> None:
    told = api.foods("spagetti")
    assert () == told.foods
    assert "spaghetti" in told.near
    assert "The nearest names are spaghetti" in CliRunner().invoke(main, ["foods", "spagetti"]).output


def test_the_command_tells_all_it_prints() -> None:
    result = CliRunner().invoke(main, ["foods", "bean", "--json"])
    assert 0 == result.exit_code, result.output
    assert set() == unexplained(json.loads(result.stdout), "foods")
