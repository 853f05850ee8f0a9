"""Pins, not truths: two whole voyages at a fixed seed. ``make golden`` rewrites them; a person reads the diff.

Words must be the same. Numbers may differ by 2 per cent or one in the last place: another processor rounds the
simulation's single-precision arithmetic otherwise, and a boat that heaves to an hour earlier is not a fault.
"""

from __future__ import annotations

import json
from decimal import Decimal
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
    if _is_number(expected) and _is_number(found):
        return [] if abs(found - expected) <= _allowed(expected) else [f"{path}: {expected}, now {found}"]
    alike = expected == found and isinstance(expected, bool) == isinstance(found, bool)
    return [] if alike else [f"{path}: {expected!r}, now {found!r}"]


def _is_number(value: Any) -> bool:
    return isinstance(value, int | Decimal) and not isinstance(value, bool)


def _allowed(expected: int | Decimal) -> Decimal:
    """2 per cent, or one in the last place of this very number as it is printed."""
    number = Decimal(expected)
    exponent = number.as_tuple().exponent
    assert isinstance(exponent, int)
    return max(abs(number) / 50, Decimal(1).scaleb(min(exponent, 0)))


def read(text: str) -> Any:
    """Numbers as they are printed, to the place."""
    return json.loads(text, parse_float=Decimal)


@pytest.mark.parametrize("voyage", VOYAGES)
def test_the_plan_is_what_it_was(voyage: str) -> None:
    expected = read(golden_path(voyage).read_text(encoding="utf-8"))
    assert [] == differences(expected, read(json.dumps(tables_of(voyage))))


def test_a_change_is_seen() -> None:
    assert [".a[0].b: 100, now 110"] == differences({"a": [{"b": 100}]}, {"a": [{"b": 110}]})
    assert [".a: 'yes', now 'no'"] == differences({"a": "yes"}, {"a": "no"})


@pytest.mark.parametrize(
    ("was", "now", "seen"),
    [
        ("18.9", "19.2", False),  # 2 per cent
        ("18.9", "19.3", True),
        ("1.2", "1.3", False),  # one in the last place
        ("1.2", "1.4", True),
        ("3", "4", False),
        ("3", "5", True),
        ("0.04", "0.05", False),
        ("0.04", "0.06", True),
        ("true", "false", True),
        ("1", "true", True),
        ("null", "0", True),
    ],
)
def test_what_may_differ_is_2_per_cent_or_one_in_the_last_place_and_no_more(was: str, now: str, seen: bool) -> None:
    assert seen == bool(differences(read(was), read(now)))
