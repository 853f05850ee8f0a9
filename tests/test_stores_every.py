"""The list of stores: a new one is a file and a line, as DEVELOPERS.md shows, and stands wherever a store stands."""

from __future__ import annotations

import importlib.util
import io
import re
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from passage.consequences.stores import every
from passage.consequences.stores.every import every_store
from passage.crossings.ensemble import first_of
from passage.inputs.provisions import DailyThing
from passage.plan.document import plan_tables
from passage.plan.exports import csv
from passage.plan.sheet import Room
from passage.plan.sheets import stores
from passage.troubles.reckon import reckon_troubles
from tests.plan_cases import ROUTES, fresh
from tests.stores_cases import boat, laden, steady_crossings

if TYPE_CHECKING:
    from passage.road import Outcome

DEVELOPERS = Path(__file__).parents[1] / "DEVELOPERS.md"


def named(rows: list[dict[str, Any]], key: str = "name") -> dict[str, Any]:
    (row,) = (row for row in rows if row[key] == "soap")
    return row


def few() -> Outcome:
    """The first crossings of the demonstration voyage, nothing worked out of them yet."""
    whole = fresh(ROUTES[0])
    return replace(whole, crossings=first_of(whole.crossings, 60))


@pytest.fixture
def with_soap(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Outcome:
    """The demonstration voyage once the file of DEVELOPERS.md stands beside the others, and its line in the list."""
    shown = re.search(r"\*\*A store\.\*\*.*?```python\n(.*?)```", DEVELOPERS.read_text(encoding="utf-8"), re.DOTALL)
    assert shown
    file = tmp_path / "soap.py"
    file.write_text(shown[1], encoding="utf-8")
    spec = importlib.util.spec_from_file_location("soap", file)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    monkeypatch.setattr(every, "LAWS", [*every.LAWS, module.soap_to_landfall])
    return few()


def test_a_new_store_stands_in_every_table_fan_export_and_trouble(with_soap: Outcome) -> None:
    """D: two people use 20 g a day; two kilograms last 100 days and put nothing short."""
    tables = plan_tables(with_soap)
    told = tables["stores"]
    row = named(told.to_json()["stores"])
    assert (2, 0, True) == (row["aboard"], row["shortage"]["short"]["count"], row["said"])
    assert len(row["left_by_day"]) >= with_soap.times.slow_end_h // 24
    assert "soap" in {column.store for column in told.hand_table.columns}
    assert 2.0 == pytest.approx(named(told.to_json()["stowed"]["rows"], "item")["mass_kg"])
    assert "soap" in tables["front"].stores.lasting
    drawings = stores.drawings(with_soap, tables, Room(400.0, 700.0))
    place = next(n for n, store in enumerate(with_soap.stores.all) if store.name == "soap")
    assert drawings[f"store{place}"].startswith("<svg")
    assert "soap" in stores.SHEET.text(told)
    with zipfile.ZipFile(io.BytesIO(csv.export(with_soap))) as archive:
        for file in ("stores.stores", "stores.stores.left_by_day", "stores.hand_table.columns", "stores.stowed.rows"):
            assert b"soap" in archive.read(f"{file}.csv"), file
    for effect in with_soap.once(reckon_troubles).effects:
        assert "soap" in {thing.name for thing in effect.lasting}, effect.trouble.name


def test_the_new_store_is_no_other_s_business(with_soap: Outcome) -> None:
    before = few()
    every_one = {store.name: store for store in with_soap.stores.all}
    soap = every_one.pop("soap")
    assert 2.0 - 0.020 * with_soap.crossings.arrival_h / 24.0 == pytest.approx(soap.left, rel=1e-6)
    assert [*every_one] == [store.name for store in before.stores.all if store.name != "soap"]


def test_what_she_has_none_of_is_left_out_and_the_named_things_come_last() -> None:
    soap = DailyThing(name="soap", unit="kg", per_day=1, aboard=9)
    crossings = steady_crossings([5.0])
    assert ["water", "food", "fuel", "gas"] == [store.name for store in every_store(laden(crossings))]
    engineless = boat(engine=None, fuel={"landfall_reserve": "0 L"})
    names = [store.name for store in every_store(laden(crossings, her=engineless, daily=(soap,)))]
    assert ["water", "food", "gas", "soap"] == names


def test_what_may_be_added_of_each_store_weighs_what_it_weighs() -> None:
    """D, from common practice: a litre of water 1 kg, of diesel 0.84, its can 60 g; a steel bottle 1.1 times its gas;
    3000 kcal in a kilogram of dry food; pills by their own mass."""
    pills = DailyThing(name="pills", unit="pills", per_day=2, aboard=9, unit_mass_kg=0.001)
    drawn = {store.name: store for store in every_store(laden(steady_crossings([5.0]), daily=(pills,)))}
    pieces = {name: (store.piece.amount, store.piece.mass_kg) for name, store in drawn.items() if store.piece}
    day_kcal = drawn["food"].daily
    expected = {
        "water": (20.0, 20.0 * 1.06),
        "food": (day_kcal, day_kcal / 3000.0),
        "fuel": (20.0, 20.0 * 0.90),
        "gas": (2.7, 2.7 * 2.1),
        "pills": (14.0, 0.014),
    }
    assert expected.keys() == pieces.keys()
    for name, (amount, mass_kg) in expected.items():
        assert (pytest.approx(amount), pytest.approx(mass_kg)) == pieces[name], name
    masses = {name: store.kg_per_unit for name, store in drawn.items()}
    assert {"water": 1.0, "food": 1 / 3000, "fuel": 0.84, "gas": 1.0, "pills": 0.001} == pytest.approx(masses)


def test_no_store_is_drawn_down_before_departure_or_after_landfall() -> None:
    crossings = steady_crossings([5.0, 8.0])
    for store in every_store(laden(crossings)):
        ends = np.ceil(crossings.arrival_h).astype(int) - 1
        needed = store.drawing.needed(slice(None))
        assert needed[np.arange(crossings.members), ends] == pytest.approx(needed[:, -1]), store.name
