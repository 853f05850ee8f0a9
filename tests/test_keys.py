"""Every key as one would explain it, from the models that read the files and the template that explains them."""

from __future__ import annotations

from datetime import date

import pytest

from passage.inputs.keys import Key, Shape, as_shown, as_typed, tables_of
from passage.inputs.schemas import MODELS


def key(file: str, *path: str) -> Key:
    return next(each for table in tables_of(file) for each in table.keys if each.path == path)


def test_a_quantity_has_its_unit_limits_default_and_meaning() -> None:
    limit = key("boat.toml", "helm", "gust_limit")
    assert (Shape.QUANTITY, "kn", "15 kn to 80 kn", "40 kn") == (limit.shape, limit.unit, limit.limits, limit.default)
    assert limit.meaning.startswith("She heaves to, or runs off")
    assert "Gust limit" == limit.label


def test_an_optional_quantity_is_one_too() -> None:
    assert ("m", "") == (key("boat.toml", "boat", "draught").unit, key("boat.toml", "boat", "draught").default)


@pytest.mark.parametrize(
    ("file", "path", "shape"),
    [
        ("boat.toml", ("helm", "motoring"), Shape.YES),
        ("boat.toml", ("helm", "gust_factor"), Shape.NUMBER),
        ("crew.toml", ("person", "*", "age"), Shape.WHOLE),
        ("crew.toml", ("person", "*", "sex"), Shape.CHOICE),
        ("voyage.toml", ("voyage", "climate"), Shape.FILE),
        ("stores.toml", ("diet", "likes"), Shape.NAMES),
        ("gear.toml", ("gear", "*", "fitted"), Shape.DAY),
        ("electrics.toml", ("wind_generator", "curve"), Shape.OTHER),
        ("voyage.toml", ("voyage", "depart"), Shape.TEXT),
    ],
)
def test_a_key_is_written_as_its_model_reads_it(file: str, path: tuple[str, ...], shape: Shape) -> None:
    assert shape is key(file, *path).shape


def test_a_default_kept_in_another_form_is_told_as_a_file_has_it() -> None:
    assert "1 crossing in 20" == key("voyage.toml", "reserve", "slow_end").default


def test_every_file_has_its_keys_and_nearly_every_key_a_meaning() -> None:
    keys = [each for file in MODELS for table in tables_of(file) for each in table.keys]
    assert len(keys) == len({(each.file, each.path) for each in keys}) > 350
    silent = {".".join(each.path) for each in keys if not each.meaning}
    assert 40 > len(silent), silent


def test_what_is_typed_becomes_what_a_file_holds() -> None:
    assert "90 L" == as_typed(key("boat.toml", "water_tank", "*", "capacity"), " 90 ")
    assert "20 US gal" == as_typed(key("boat.toml", "water_tank", "*", "capacity"), "20 US gal")
    assert False is as_typed(key("boat.toml", "helm", "motoring"), "no")
    assert 53 == as_typed(key("crew.toml", "person", "*", "age"), "53")
    assert ["rice", "oats"] == as_typed(key("stores.toml", "diet", "likes"), "rice, oats")
    assert date(2024, 5, 31) == as_typed(key("gear.toml", "gear", "*", "fitted"), "2024-05-31")
    assert [{"speed": "3 kn"}] == as_typed(key("electrics.toml", "wind_generator", "curve"), '[{ speed = "3 kn" }]')
    assert None is as_typed(key("boat.toml", "helm", "gust_limit"), "  ")


@pytest.mark.parametrize("text", ["[1, ", "1\nb = 2", "]]", '"""'])
def test_what_no_toml_could_be_is_refused_in_words(text: str) -> None:
    with pytest.raises(ValueError, match="write it as the file has it"):
        as_typed(key("electrics.toml", "wind_generator", "curve"), text)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("stores.toml", "dinner", "*", "uses"), {"white rice": "180 g", "onions": "1 kg"}),
        (("electrics.toml", "wind_generator", "curve"), [{"speed": "8 kn", "power": "0 W"}]),
        (("boat.toml", "helm", "stand_off"), True),
        (("gear.toml", "gear", "*", "fitted"), date(2020, 1, 2)),
    ],
)
def test_what_is_shown_can_be_typed_again(path: tuple[str, ...], value: object) -> None:
    meant = key(*path)
    assert value == as_typed(meant, as_shown(meant, value))
