"""``passage.fleet`` and ``passage fleet`` from the file to the answer, the worker within this process."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

import passage
from passage.cli import main
from passage.fleets import api
from passage.inputs.folder import read_folder
from tests.fleet_cases import FILE, client, lay
from tests.test_plan_keys import unexplained

pytest.importorskip("distributed")


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(api, "local_workers", lambda number, memory_mb: client())
    return lay(tmp_path, FILE.replace(', "2027-07-01 09:00"', ""))


def run(*words: Any) -> Any:
    return CliRunner().invoke(main, ["fleet", *map(str, words)])


def test_from_the_file_to_the_answer_and_back_again_without_sailing(here: Path) -> None:
    told = run(here.name, "--page", "f.html", "--picture", "f.svg", "--json")
    assert 0 == told.exit_code, told.stderr
    answer = json.loads(told.stdout)
    assert set() == unexplained(answer, "fleet")
    assert ["Curlew", "fleet.zarr"] == [answer["by_boat"][0]["boat"], answer["store"]]
    assert "4 cells sailed" in told.stderr
    assert (here.parent / "f.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    assert (here.parent / "f.svg").read_text(encoding="utf-8").startswith("<svg")
    again = run(here.name)
    assert "Nothing was left to sail: 4 cells stood there." in again.stderr
    assert "Bittern: boats.csv line 4" in " ".join(again.stdout.split())

    dataset = passage.fleet(here)
    alone = passage.sail(read_folder(here.parent / "track", None, here.parent / "ten-metre"), 20, 1)
    assert np.array_equal(alone.crossings.arrival_h, dataset["arrival_h"].sel(boat="ten-metre").values.ravel())
    assert 4 == len(dataset.to_frame())


@pytest.mark.parametrize("where", ["FLEET.toml", "track/voyage.toml", "journal.db"])
def test_it_writes_over_nothing_of_anybody_s(where: str, here: Path) -> None:
    path = here.parent / where
    before = path.read_bytes() if path.exists() else None
    told = run(here.name, "--page", where)
    assert 2 == told.exit_code
    assert "name another file" in told.stderr
    assert before == (path.read_bytes() if path.exists() else None)


def test_a_fleet_file_that_is_not_there_is_a_sentence() -> None:
    told = run("nowhere.toml")
    assert 2 == told.exit_code
    assert "missing file" in told.stderr


def test_the_tutorials_of_the_guide_run_with_few_boats_and_years(here: Path) -> None:
    """Sixty boats and forty years in the guide; three of each here."""
    guide = (Path(__file__).parents[1] / "guide" / "fleet.md").read_text(encoding="utf-8")
    names: dict[str, Any] = {}
    for many, few in (("range(1, 61)", "range(1, 4)"), ("= 200", "= 20"), ("1981, 2020", "1981, 1983")):
        assert many in guide
        guide = guide.replace(many, few)
    for block in re.findall(r"```python\n(.*?)```", guide, re.DOTALL):
        exec(compile(block, "guide/fleet.md", "exec"), names)
    assert {"boat": 3, "climate": 4} == {name: names["many"].sizes[name] for name in ("boat", "climate")}
    last = names["many"]["arrival_h"].sel(climate="1983 of years.nc")
    assert (names["many"]["refused"].sel(climate="1982 of years.nc") == "").all()
    assert not last.isnull().all()
