"""``passage verify``: every published value holds here, a wrong one would be seen, and the wheel carries the tables."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from passage.cli import main
from passage.plan.sheets.verified import Verified, verified_text
from passage.verify import Checked, verify

CHECKS = verify()


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: f"{check.area}: {check.what}")
def test_it_holds(check: Checked) -> None:
    assert check.published == pytest.approx(check.ours, abs=check.tolerance)
    assert check.holds
    assert check.source
    assert check.standing in {"S", "R", "R2", "M", "D", "T"}


def test_every_area_is_checked() -> None:
    areas = {"sailings", "seeing", "sky", "variation", "wind", "sea", "cyclones", "speed"}
    areas |= {"current", "people", "anchoring"}
    assert areas == {check.area for check in CHECKS}


def test_the_guide_tells_the_currents_as_they_are_found() -> None:
    """To the hundredth of a knot that it prints."""
    page = (Path(__file__).parents[1] / "guide" / "current.md").read_text(encoding="utf-8")
    rows = [[cell.strip() for cell in line.strip("|").split(" | ")] for line in page.splitlines()]
    told = {cells[0]: float(cells[3]) for cells in rows if len(cells) == 6 and cells[3].replace(".", "").isdigit()}
    found = {check.what: check.ours for check in CHECKS if check.unit == "kn" and check.what in told}
    assert 16 == len(found)
    assert told == pytest.approx(found, abs=0.0051)


def test_a_value_that_does_not_hold_is_told_and_counted() -> None:
    wrong = replace(CHECKS[0], ours=CHECKS[0].ours + 10 * CHECKS[0].tolerance)
    table = Verified((wrong, CHECKS[1]))
    assert 1 == table.failed_count
    assert "1 DO NOT HOLD" in verified_text(table)


def test_the_table_fits_a_terminal_and_tells_value_ours_difference_tolerance_and_source() -> None:
    text = verified_text(Verified(CHECKS))
    assert max(map(len, text.splitlines())) < 80
    assert all(check.source[:50] in text and check.what[:70] in text for check in CHECKS)
    wide = replace(CHECKS[0], published=1234.5, ours=1234.75, tolerance=0.1, what="W" * 200, source="s" * 200)
    shown = verified_text(Verified((wide,))).splitlines()
    assert max(map(len, shown)) < 80
    assert ["1234.5", "1234.8", "m", "2.5e-01", "0.1"] == next(line for line in shown if "1234.5" in line).split()


@pytest.mark.parametrize("options", [[], ["--json"]], ids=["table", "json"])
def test_the_command_ends_with_1_where_one_does_not_hold(monkeypatch: pytest.MonkeyPatch, options: list[str]) -> None:
    wrong = replace(CHECKS[0], ours=CHECKS[0].ours + 10 * CHECKS[0].tolerance)
    monkeypatch.setattr("passage.verify.verify", lambda: (wrong, CHECKS[1]))
    result = CliRunner().invoke(main, ["verify", *options])
    assert 1 == result.exit_code
    assert ("DO NOT HOLD" in result.stdout) != bool(options)


def test_the_command_tells_all_and_ends_well() -> None:
    result = CliRunner().invoke(main, ["verify", "--json"])
    assert 0 == result.exit_code
    assert len(CHECKS) == json.loads(result.stdout)["check_count"]
    assert "All hold." in CliRunner().invoke(main, ["verify"]).stdout
