"""JSON Schemas of the TOML files, made of the very models that read them: an editor can then offer keys and mark slips.

Draft 2020-12, as pydantic makes them. What a reader finds out beyond a schema, such as whether a tank fits the boat, is
told by ``passage check`` alone.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from pydantic.json_schema import GenerateJsonSchema

from passage.inputs.anchorage import AnchorageFile
from passage.inputs.boat import Boat
from passage.inputs.crew import Crew
from passage.inputs.electrics import Electrics
from passage.inputs.gear import Gear
from passage.inputs.provisions import Provisions
from passage.inputs.search import TrackLimits
from passage.inputs.season import SeasonFile
from passage.inputs.troubles import Troubles
from passage.inputs.voyage import Voyage
from passage.inputs.watch import Watch

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pydantic.json_schema import JsonSchemaValue
    from pydantic_core import core_schema

    from passage.inputs.toml import Section

FOLDER = "schemas"  # beside the files that name them
MODELS: Mapping[str, type[Section]] = {
    "voyage.toml": Voyage,
    "boat.toml": Boat,
    "crew.toml": Crew,
    "electrics.toml": Electrics,
    "stores.toml": Provisions,
    "gear.toml": Gear,
    "anchorage.toml": AnchorageFile,
    "watch.toml": Watch,
    "troubles.toml": Troubles,
    "track.toml": TrackLimits,
}
EVERY: Mapping[str, type[Section]] = {**MODELS, "season.toml": SeasonFile}  # a season is of many voyages


class _Ours(GenerateJsonSchema):
    """What a reader of ours reads in its own way, a position or a month, may be any value to an editor."""

    def function_plain_schema(self, schema: core_schema.PlainValidatorFunctionSchema) -> JsonSchemaValue:
        return {}


def schema_of(file: str) -> dict[str, Any]:
    """The schema of one of the files by its name. Keys are as the file has them."""
    return EVERY[file].model_json_schema(by_alias=True, schema_generator=_Ours)


def schema_name(file: str) -> str:
    """Where the schema of a file lies, seen from its folder."""
    return f"{FOLDER}/{file.removesuffix('.toml')}.json"


def schema_texts(files: Mapping[str, str]) -> dict[str, str]:
    """The files, each naming its schema in its first line, and the schemas; tables of figures have none."""
    named = {name: f"#:schema {schema_name(name)}\n{text}" if name in EVERY else text for name, text in files.items()}
    schemas = {schema_name(name): f"{json.dumps(schema_of(name), indent=1)}\n" for name in files if name in EVERY}
    return named | schemas
