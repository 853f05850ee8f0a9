"""Pins, not truths: two whole voyages at a fixed seed. ``make golden`` rewrites them; a person reads the diff.

Words must be the same. Numbers may differ by 2 per cent or one in the last place: another processor rounds the
simulation's single-precision arithmetic otherwise, and a boat that heaves to an hour earlier is not a fault.
"""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.golden import VOYAGES, golden_path, tables_of


def differences(expected: Any, found: Any, path: str = "") -> list[str]:
    if isinstance(expected, dict) and isinstance(found, dict):
        if expected.keys() != found.keys():
            return [f"{path}: keys {sorted(expected.keys() ^ found.keys())}"]
        return [told for key in expected for told in differences(expected[key], found[key], f"{path}.{key}")]
    if isinstance(expected, list) and isinstance(found, list):
        if len(expected) != len(found):
            return [f"{path}: {len(expected)} rows, now {len(found)}"]
        pairs = enumerate(zip(expected, found, strict=True))
        return [told for row, (old, new) in pairs for told in differences(old, new, f"{path}[{row}]")]
    if isinstance(expected, float | int) and isinstance(found, float | int):
        return [] if found == pytest.approx(expected, rel=0.02, abs=1.0) else [f"{path}: {expected}, now {found}"]
    return [] if expected == found else [f"{path}: {expected!r}, now {found!r}"]


@pytest.mark.parametrize("voyage", VOYAGES)
def test_the_plan_is_what_it_was(voyage: str) -> None:
    expected = json.loads(golden_path(voyage).read_text(encoding="utf-8"))
    assert [] == differences(expected, json.loads(json.dumps(tables_of(voyage))))


def test_a_change_is_seen() -> None:
    assert [".a[0].b: 100, now 110"] == differences({"a": [{"b": 100}]}, {"a": [{"b": 110}]})
    assert [".a: 'yes', now 'no'"] == differences({"a": "yes"}, {"a": "no"})
