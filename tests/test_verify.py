"""``passage verify``: every published value holds here, a wrong one would be seen, and the wheel carries the tables."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner

from passage.cli import main
from passage.plan.sheets.verified import verified_table, verified_text
from passage.verify import Checked, verify

CHECKS = verify()


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: f"{check.area}: {check.what}")
def test_it_holds(check: Checked) -> None:
    assert check.published == pytest.approx(check.ours, abs=check.tolerance)
    assert check.holds
    assert check.source
    assert check.standing in {"S", "R", "R2", "M", "D", "T"}


def test_every_area_is_checked() -> None:
    areas = {"sailings", "seeing", "sky", "variation", "wind", "sea", "speed", "people", "anchoring"}
    assert areas == {check.area for check in CHECKS}


def test_a_value_that_does_not_hold_is_told_and_counted() -> None:
    wrong = replace(CHECKS[0], ours=CHECKS[0].ours + 10 * CHECKS[0].tolerance)
    table = verified_table([wrong, CHECKS[1]])
    assert 1 == table["failed_count"]
    assert "1 DO NOT HOLD" in verified_text(table)


def test_the_command_tells_all_and_ends_well() -> None:
    result = CliRunner().invoke(main, ["verify", "--json"])
    assert 0 == result.exit_code
    assert len(CHECKS) == json.loads(result.stdout)["check_count"]
    assert "All hold." in CliRunner().invoke(main, ["verify"]).stdout
