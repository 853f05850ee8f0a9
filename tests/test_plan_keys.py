"""No key without its meaning: what --json prints is documented, and the generated guide is up to date."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

import pytest

from passage.plan.document import plan_tables
from passage.plan.keys import KEYS
from passage.plan.sheets import before
from passage.tell.records import as_json
from tests.plan_cases import ROUTES, sailed

GUIDE = Path(__file__).parents[1] / "guide"


def keys_in(value: Any) -> set[str]:
    if isinstance(value, dict):
        return set(value) | {key for inner in value.values() for key in keys_in(inner)}
    return {key for inner in value for key in keys_in(inner)} if isinstance(value, list) else set()


@pytest.mark.parametrize("route", ROUTES)
def test_every_key_printed_has_a_meaning(route: str) -> None:
    outcome = sailed(route)
    tables = plan_tables(outcome)
    printed = {key for table in tables.values() for key in keys_in(as_json(table))}
    printed |= keys_in(before.check_table(outcome.facts, outcome.ground).to_json())
    assert set() == printed - set(KEYS)


@pytest.mark.parametrize("page", ["commands", "keys", "api"])
def test_the_generated_pages_of_the_guide_are_up_to_date(page: str) -> None:
    spec = importlib.util.spec_from_file_location("guide_build", GUIDE / "build.py")
    assert spec is not None
    assert spec.loader is not None
    build = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(build)
    expected = {"commands": build.commands_page, "keys": build.keys_page, "api": build.api_page}[page]()
    assert expected == (GUIDE / f"{page}.md").read_text(encoding="utf-8")
