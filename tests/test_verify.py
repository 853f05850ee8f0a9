"""``passage verify``: every published value holds here, a wrong one would be seen, and the wheel carries the tables."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from passage.cli import main
from passage.plan.sheets.verified import Verified, full_text, verified_text
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
    text = full_text(Verified(CHECKS))
    assert max(map(len, text.splitlines())) < 80
    assert all(check.source[:50] in text and check.what[:70] in text for check in CHECKS)
    wide = replace(CHECKS[0], published=1234.5, ours=1234.75, tolerance=0.1, what="W" * 200, source="s" * 200)
    shown = full_text(Verified((wide,))).splitlines()
    assert max(map(len, shown)) < 80
    assert ["1234.5", "1234.8", "m", "2.5e-01", "0.1"] == next(line for line in shown if "1234.5" in line).split()


def test_the_short_answer_is_the_verdict_and_a_line_for_each_area_in_24_lines() -> None:
    shown = verified_text(Verified(CHECKS)).splitlines()
    assert len(shown) <= 24
    assert max(map(len, shown)) <= 80
    assert f"{len(CHECKS)} checks. All hold." == shown[0].strip()
    rows = [line.split() for line in shown if line.split()[0] in {check.area for check in CHECKS}]
    assert len(CHECKS) == sum(int(row[1]) for row in rows) == sum(int(row[2]) for row in rows)
    assert all(0.0 <= float(row[3]) <= 1.0 for row in rows)


def test_the_short_answer_shows_what_fails_in_full_and_by_how_many_tolerances() -> None:
    """Half a unit, held to a fifth of one: two and a half tolerances, invented; 1.001 of them does not read as 1."""
    right = replace(CHECKS[0], area="sea", published=10.0, ours=10.1, tolerance=0.2)
    wrong = replace(right, area="sky", ours=10.5, what="a wrong one", source="nobody", standing="M")
    hair = replace(right, area="wind", ours=10.2002)
    lost = replace(right, area="gear", ours=float("nan"))
    shown = verified_text(Verified((right, wrong, hair, replace(right, area="gear"), lost)))
    assert "5 checks. 3 DO NOT HOLD, marked !" == shown.splitlines()[0].strip()
    failed = next(line for line in shown.splitlines() if "a wrong one" in line)
    assert failed in full_text(Verified((wrong,)))
    assert "from nobody [M]" in shown
    rows = [line.split() for line in shown.splitlines()]
    assert ["sea", "1", "1", "0.50"] in rows
    assert ["sky", "1", "0", "2.50"] in rows
    assert ["wind", "1", "0", "1.01"] in rows
    assert ["gear", "2", "1", "no", "number"] in rows


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
    full = CliRunner().invoke(main, ["verify", "--full"]).stdout
    assert f"{full_text(Verified(CHECKS))}\n" == full
