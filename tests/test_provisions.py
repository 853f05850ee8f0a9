"""The stores file, alone and against the pantry: defaults, and every fault told where it stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from passage.errors import InputFaults
from passage.inputs.crew import Crew
from passage.inputs.home import Home
from passage.inputs.provisions import Provisions, read_provisions, refused
from passage.inputs.toml import read_fact
from tests.stores_cases import food

BOATS = Path(__file__).parents[1] / "boats"


def read(text: str, folder: Path, pantry: str | None = None) -> Provisions:
    (folder / "stores.toml").write_text(text, encoding="utf-8")
    if pantry is not None:
        (folder / "pantry.csv").write_text(pantry, encoding="utf-8")
    return read_provisions(Home(folder))[0]


def test_a_folder_without_either_file_takes_defaults_and_the_starter_list(tmp_path: Path) -> None:
    provisions, pantry = read_provisions(Home(tmp_path))
    assert Provisions() == provisions
    assert len(pantry.foods) >= 80


def test_every_folder_shipped_reads() -> None:
    for folder in sorted(path for path in BOATS.iterdir() if path.is_dir()):
        assert read_provisions(Home(folder))[1].foods


def test_keys_are_read_with_their_units(tmp_path: Path) -> None:
    text = """
[activity]
self_steering = false
mixed_wind = "18 kn"
[diet]
protein_per_kg = "1.2 g"
produce = "300 g"
[gas]
per_person_day = "60 g"
[[gas_bottle]]
name = "a"
content = "2.7 kg"
count = 2
[watermaker]
output = "5 L/h"
run = "2 h"
energy_per_litre = "18 kJ"
[rain]
claimed = "2 L/day"
[motor]
charging = "0.8 L/h"
[[daily]]
name = "kibble"
unit = "g"
per_day = 80
aboard = 2500
unit_mass = "1 g"
[remedy]
water_can = "10 L"
target = "2 %"
"""
    told = read(text, tmp_path)
    assert not told.activity.self_steering
    assert 0.0012 == pytest.approx(told.diet.protein_per_kg_kg)
    assert 5.4 == pytest.approx(told.gas_kg)
    assert told.watermaker is not None
    assert 5.0 == pytest.approx(told.watermaker.energy_per_litre_wh)
    assert 2.0 == told.rain.claimed_l_per_day
    assert 0.001 == pytest.approx(told.daily[0].unit_mass_kg)
    assert (10.0, 0.02) == (told.remedy.water_can_l, told.remedy.target_share)


@pytest.mark.parametrize(
    ("key", "line", "words", "text"),
    [
        ("diet.allergens[1]", 2, "no item declares it, so it would guard nobody", '[diet]\nallergens = ["penauts"]'),
        ("diet.dislikes[1]", 2, "no item of the pantry", '[diet]\ndislikes = ["xyzzy"]'),
        ("diet.likes[1]", 2, 'did you mean "spaghetti"?', '[diet]\nlikes = ["spagetti"]'),
        ("diet.likes[1]", 2, "among the dislikes too", '[diet]\nlikes = ["bread"]\ndislikes = ["bread"]'),
        ("diet.minimise", 2, "no item of the pantry has a price", '[diet]\nminimise = "cost"'),
        ("dinner[1].uses.white ric", 3, "did you mean", '[[dinner]]\nname = "a"\nuses = { "white ric" = "200 g" }'),
        (
            "dinner[1].uses.almonds",
            5,
            "it declares nuts",
            '[diet]\nallergens = ["nuts"]\n[[dinner]]\nname = "a"\nuses = { almonds = "200 g" }',
        ),
        ("dinner[1].uses.bread", 3, "between 0.001 kg", '[[dinner]]\nname = "a"\nuses = { bread = "-200 g" }'),
        ("activity", 1, "must not fall", "[activity]\nmixed = 2.4"),
        ("activity.mixed_wind", 2, "cannot exceed heavy_wind", '[activity]\nmixed_wind = "40 kn"'),
        ("gas_bottle[1].content", 3, "between 0.1 kg", '[[gas_bottle]]\nname = "a"\ncontent = "-3 kg"'),
        (
            "watermaker.energy_per_litre",
            4,
            "with its unit",
            '[watermaker]\noutput = "5 L/h"\nrun = "1 h"\nenergy_per_litre = 25',
        ),
        ("daily[1].per_day", 4, "greater than 0", '[[daily]]\nname = "a"\nunit = "g"\nper_day = 0\naboard = 1'),
    ],
)
def test_a_fault_is_told_at_its_line_and_key(key: str, line: int, words: str, text: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaults) as told:
        read(text, tmp_path)
    (fault,) = told.value.faults
    assert ("stores.toml", line, key) == (fault.file, fault.line, fault.key)
    assert words in str(fault)


def test_faults_of_both_files_are_told_together(tmp_path: Path) -> None:
    with pytest.raises(InputFaults) as told:
        read("[gas]\nper_person_day = 50", tmp_path, "item,pack\nwhite rice,-1 kg\n")
    assert ["pantry.csv", "stores.toml"] == [fault.file for fault in told.value.faults]


def test_limits_that_leave_nothing_to_eat_are_refused(tmp_path: Path) -> None:
    pantry = "item\nwhite rice\nspaghetti\n"
    text = '[diet]\nstarter_list = false\ndislikes = ["white rice"]\nallergens = ["gluten"]'
    with pytest.raises(InputFaults, match="cannot feed anyone"):
        read(text, tmp_path, pantry)


def test_a_crew_of_nobody_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "crew.toml"
    path.write_text("person = []\n", encoding="utf-8")
    with pytest.raises(InputFaults, match="at least 1"):
        read_fact(path, Crew)


def test_why_a_food_is_refused() -> None:
    diet = Provisions.model_validate({"diet": {"allergens": ["nuts"], "dislikes": ["liver"]}}).diet
    assert "it declares nuts" == refused(food("cake", allergens=frozenset({"nuts", "egg"})), diet)
    assert "it stands among the dislikes" == refused(food("liver"), diet)
    assert "" == refused(food("bread"), diet)
