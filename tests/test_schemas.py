"""The schemas for editors say what the readers read: the same keys, and the templates and demonstrations fit them."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from passage.inputs.schemas import FOLDER, MODELS, schema_name, schema_of
from passage.inputs.template import write_template
from passage.inputs.unedited import TEMPLATES
from tests.test_template import edit, keys_in

ROOT = Path(__file__).parents[1]


def misfits(value: Any, schema: dict[str, Any], whole: dict[str, Any], path: str = "") -> list[str]:
    """What of draft 2020-12 our schemas use: $ref, anyOf, type, properties, required, items, enum."""
    if "$ref" in schema:
        return misfits(value, whole["$defs"][schema["$ref"].rsplit("/", 1)[1]], whole, path)
    if "anyOf" in schema:
        tried = [misfits(value, each, whole, path) for each in schema["anyOf"]]
        return min(tried, key=len)
    if "enum" in schema and value not in schema["enum"]:
        return [f"{path}: {value!r} is none of {schema['enum']}"]
    if schema.get("type") == "object":
        return _table_misfits(value, schema, whole, path)
    if schema.get("type") == "array":
        if not isinstance(value, list):
            return [f"{path}: no list"]
        return [wrong for each in value for wrong in misfits(each, schema.get("items", {}), whole, f"{path}[]")]
    types = {"string": str, "integer": int, "number": (int, float), "boolean": bool, "null": type(None)}
    wanted: Any = types.get(schema.get("type", ""), object)
    return [] if isinstance(value, wanted) else [f"{path}: {value!r} is no {schema['type']}"]


def _table_misfits(value: Any, schema: dict[str, Any], whole: dict[str, Any], path: str) -> list[str]:
    if not isinstance(value, dict):
        return [f"{path}: no table"]
    known, more = schema.get("properties", {}), schema.get("additionalProperties", True)
    missing = [f"{path}: no {key}" for key in schema.get("required", ()) if key not in value]
    unknown = [f"{path}: unknown {key}" for key in value if key not in known and more is False]
    inner = [
        w for key, each in value.items() if key in known for w in misfits(each, known[key], whole, f"{path}.{key}")
    ]
    return missing + unknown + inner


def shipped_files(file: str) -> list[Path]:
    wholes = [TEMPLATES / file]
    if file in ("voyage.toml", "track.toml", "gear.toml", "watch.toml", "boat.toml", "crew.toml", "electrics.toml"):
        wholes += [*ROOT.glob(f"routes/*/{file}"), *ROOT.glob(f"boats/*/{file}")]
    return wholes


@pytest.mark.parametrize("file", MODELS)
def test_what_comes_with_the_tool_fits_the_schema(file: str) -> None:
    schema = schema_of(file)
    for path in shipped_files(file):
        assert [] == misfits(tomllib.loads(path.read_text(encoding="utf-8")), schema, schema), path


@pytest.mark.parametrize("file", MODELS)
def test_a_schema_has_every_key_of_its_reader_and_no_other(file: str) -> None:
    schema = schema_of(file)
    tables = [schema, *schema.get("$defs", {}).values()]
    assert keys_in(MODELS[file]) == {key for table in tables for key in table.get("properties", {})}


def test_a_slip_does_not_fit() -> None:
    schema = schema_of("crew.toml")
    person = {"role": "mate", "mass": 82, "age": 55, "sex": "X", "weight": "8 kg"}
    assert 3 == len(misfits({"person": [person]}, schema, schema))


def test_a_new_folder_names_the_schema_of_each_file_in_its_first_line(tmp_path: Path) -> None:
    write_template(tmp_path, "Away")
    edit(tmp_path)
    for file in MODELS:
        first = (tmp_path / file).read_text(encoding="utf-8").splitlines()[0]
        assert f"#:schema {schema_name(file)}" == first
        assert json.loads((tmp_path / schema_name(file)).read_text(encoding="utf-8")) == schema_of(file)
    assert (tmp_path / FOLDER).is_dir()
