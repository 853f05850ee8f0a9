"""The pantry file: the starter list, the user's lines on top of it, and every fault told where it stands."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from passage.errors import InputFaults
from passage.inputs.pantry import GROUPS, PROTEIN_KCAL_PER_KG, Keeps, Pantry, read_pantry

STARTER = read_pantry(Path("there is no such pantry.csv"))
OWN = (
    "item,group,pack,energy,protein,water,keeps,cook,most,allergens,price,aboard\n"
    "bobotie,protein,400 g,150 kcal,9 g,70 %,30 d,yes,300 g,egg;milk,4.5,2\n"
)


def read(text: str, folder: Path, **how: bool) -> Pantry:
    path = folder / "pantry.csv"
    path.write_text(text, encoding="utf-8")
    return read_pantry(path, **how)


def test_the_starter_list_is_about_eighty_foods_of_every_group() -> None:
    assert 80 <= len(STARTER.foods) <= 100
    assert set(GROUPS) == {food.group for food in STARTER.foods}
    assert not any(food.own or food.aboard_packs for food in STARTER.foods)


def test_starter_energies_are_those_of_their_kind() -> None:
    """Planning densities of people.md 1.4 (P, composition data in general), kcal in a gram."""
    named = STARTER.named
    for item in ("white rice", "spaghetti", "wheat flour", "couscous"):
        assert 3.4 <= named[item].energy_kcal_per_kg / 1000 <= 3.65
    for item in ("almonds", "dark chocolate", "peanuts"):
        assert 5.5 <= named[item].energy_kcal_per_kg / 1000 <= 6.0
    assert 8.8 <= named["olive oil"].energy_kcal_per_kg / 1000 <= 8.85
    assert 2.5 == pytest.approx(named["bread"].energy_kcal_per_kg / 1000)
    for item in ("potatoes", "sweet potatoes"):
        assert 0.7 <= named[item].energy_kcal_per_kg / 1000 <= 0.9


def test_a_published_ration_is_found_again_in_the_starter_list() -> None:
    """R, World Food Programme: 400 g cereal, 60 pulses, 25 oil, 50 blended food, 15 sugar, 5 salt are 2100 kcal.

    Starter foods of the kind; three per cent for the difference between cereals.
    """
    ration = {"maize meal": 0.4, "dried beans": 0.06, "sunflower oil": 0.025, "rolled oats": 0.05, "sugar": 0.015}
    energy = sum(kg * STARTER.named[item].energy_kcal_per_kg for item, kg in ration.items())
    assert pytest.approx(2100.0, rel=0.03) == energy


def test_no_starter_food_is_beyond_its_protein() -> None:
    for food in STARTER.foods:
        assert food.protein_share * PROTEIN_KCAL_PER_KG <= 1.15 * food.energy_kcal_per_kg + 10, food.item


def test_an_own_line_stands_on_the_starter_list(tmp_path: Path) -> None:
    pantry = read("item,aboard,energy\nwhite rice,3,\nspaghetti,2,1500 kJ\n", tmp_path)
    rice, spaghetti = pantry.named["white rice"], pantry.named["spaghetti"]
    assert (3.0, 3600.0, True) == (rice.aboard_packs, rice.energy_kcal_per_kg, rice.own)
    assert 15_000 / 4.184 == pytest.approx(spaghetti.energy_kcal_per_kg)
    assert len(STARTER.foods) == len(pantry.foods)
    assert {"white rice", "spaghetti"} == {
        food.item for food in read("item\nwhite rice\nspaghetti\n", tmp_path, starter=False).foods
    }


def test_an_own_food_is_read_whole(tmp_path: Path) -> None:
    food = read(OWN, tmp_path).named["bobotie"]
    assert (0.4, 1500.0, 0.09, 4.5, 2.0) == (
        food.pack_kg,
        pytest.approx(food.energy_kcal_per_kg),
        pytest.approx(food.protein_share),
        food.price,
        food.aboard_packs,
    )
    assert frozenset({"egg", "milk"}) == food.allergens
    assert not food.ashore, "what is not said may not be landed"
    assert 600.0 == pytest.approx(food.pack_kcal)
    assert 0.42 == pytest.approx(food.gross_kg)


def test_tins_weigh_their_packaging_and_only_the_drained_part_is_eaten() -> None:
    """P: a tin adds 15 to 20 per cent of its contents."""
    tin = STARTER.named["tinned chickpeas"]
    assert 0.15 <= tin.gross_kg / tin.pack_kg - 1 <= 0.20
    assert 0.24 == pytest.approx(tin.eaten_kg)


def test_keeping_is_read_both_ways() -> None:
    assert Keeps(98.0, 0.0) == STARTER.named["white cabbage"].keeps
    assert Keeps(5.0) == STARTER.named["bread"].keeps


@pytest.mark.parametrize(
    ("key", "words", "old", "new"),
    [
        ("pack", "between 0.001 and 50", "400 g", "-400 g"),
        ("energy", "say in which unit", "150 kcal", "150"),
        ("energy", "no food has", "150 kcal", "15000 kcal"),
        ("energy", "write 'kcal'", "150 kcal", "150 cal"),
        ("protein", "between 0 g and 100 g", "9 g", "-9 g"),
        ("protein", "4 kcal a gram", "9 g", "60 g"),
        ("water", "together at most 100 %", "70 %", "95 %"),
        ("keeps", "12 h to 3650 d", "30 d", "0 d"),
        ("keeps", "from 0 to 40", "30 d", "30 d at 80 °C"),
        ("keeps", "in which unit", "30 d", "30"),
        ("cook", "yes, no", ",yes,", ",perhaps,"),
        ("group", "staple", ",protein,400", ",meat,400"),
        ("most", "a mass between", "300 g", "0 g"),
        ("price", "a number from 0", "4.5", "-4.5"),
        ("aboard", "a number from 0", ",2\n", ",two\n"),
        ("", "mind the commas", ",4.5,2", ",4,5,2"),
        ("", "unknown column", "price", "prize"),
        ("group", "stands twice", "item,group,pack", "item,group,group"),
        ("", "no column 'item'", "item,", "name,"),
        ("pack", "starter list has no such item", "400 g", ""),
        ("item", "an empty cell", "bobotie", ""),
    ],
)
def test_a_fault_is_told_at_its_line_and_column(key: str, words: str, old: str, new: str, tmp_path: Path) -> None:
    assert OWN.count(old) >= 1
    with pytest.raises(InputFaults) as told:
        read(OWN.replace(old, new, 1), tmp_path)
    fault = next(fault for fault in told.value.faults if words in str(fault))
    assert ("pantry.csv", key) == (fault.file, fault.key)
    assert fault.line in (1, 2)


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    text = "item,pack,energy\nwhite rice,-1 kg,360\nspaghetti,500,1 kJ\nspaghetti,,\n"
    with pytest.raises(InputFaults) as told:
        read(text, tmp_path)
    assert [(2, "energy"), (2, "pack"), (3, "pack"), (4, "item")] == [(f.line, f.key) for f in told.value.faults]


def test_a_pantry_that_cannot_feed_anyone_is_refused(tmp_path: Path) -> None:
    tea = "item,group,pack,energy,protein,keeps,cook,most\ntea,snack,250 g,0 kcal,0 g,700 d,yes,10 g\n"
    with pytest.raises(InputFaults, match="cannot feed anyone"):
        read(tea, tmp_path, starter=False)
    assert "tea" in read(tea, tmp_path).named


def test_an_empty_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match="no column 'item'"):
        read("# nothing\n\n", tmp_path)


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(noise=st.text(max_size=200), at=st.integers(0, len(OWN)))
def test_no_text_brings_a_traceback(noise: str, at: int, tmp_path: Path) -> None:
    path = tmp_path / "pantry.csv"
    path.write_bytes((OWN[:at] + noise + OWN[at:]).encode("utf-8", "surrogatepass"))
    try:
        read_pantry(path)
    except InputFaults as told:
        assert told.faults
