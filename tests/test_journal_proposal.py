"""What the log proposes for the files: comments and lines kept, the file readable afterwards. Figures are invented."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from passage.inputs.boat import Boat
from passage.inputs.crew import Crew
from passage.inputs.folder import read_folder
from passage.inputs.template import write_template
from passage.inputs.toml import read_fact
from passage.journal.evidence import Lessons
from passage.journal.learning import Belief, Learned
from passage.journal.proposal import accept, propose
from passage.shipped import shipped
from tests.test_template import edit
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

SLOWER = Learned(Belief(0.9, 0.08), Belief(0.8, 0.03), 18, ())
THIRSTY = Learned(Belief(1.0, 0.2), Belief(1.2, 0.05), 19, ())
HUNGRY = Learned(Belief(1.0, 0.15), Belief(0.9, 0.08), 4, ())
NOTHING = Learned(Belief(1.0, 0.2), Belief(1.0, 0.2), 0, ())
TAUGHT = Lessons(SLOWER, THIRSTY, HUNGRY)


@pytest.fixture(params=["cape-town-st-helena", "lagos-azores", "opua-tonga", "template"])
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    if request.param == "template":
        write_template(tmp_path / "voyage", "Invented")
        edit(tmp_path / "voyage")
        return tmp_path / "voyage"
    whole(shipped("routes") / request.param, tmp_path / "voyage")
    return tmp_path / "voyage"


def comments(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.lstrip().startswith("#")]


def test_accepted_changes_read_back_and_every_comment_stays(folder: Path) -> None:
    facts = read_folder(folder)
    before = {name: (folder / name).read_text(encoding="utf-8") for name in ("boat.toml", "crew.toml")}
    proposal = propose(facts, TAUGHT)
    assert before["boat.toml"] == (folder / "boat.toml").read_text(encoding="utf-8")  # nothing until it is accepted
    accept(proposal)
    learned = read_folder(folder)
    assert learned.boat.engine and facts.boat.engine
    assert 0.9 > learned.boat.helm.performance_mean_share > 0.8
    assert 0.08 > learned.boat.helm.performance_sd_share > 0.04
    assert 0.9 * facts.boat.engine.consumption_l_h == pytest.approx(learned.boat.engine.consumption_l_h, abs=0.006)
    expected = 1.2 * facts.crew.water.drink_and_cook_l_per_day
    assert expected == pytest.approx(learned.crew.water.drink_and_cook_l_per_day, abs=0.006)
    for name, text in before.items():
        after = (folder / name).read_text(encoding="utf-8")
        assert comments(text) == comments(after)
        changed = set(text.splitlines()) - set(after.splitlines())
        assert len(changed) <= 3
    assert not list(folder.glob("*.new"))


def test_the_diff_shows_each_line_before_and_after(tmp_path: Path) -> None:
    whole(shipped("routes") / "cape-town-st-helena", tmp_path / "voyage")
    diff = propose(read_folder(tmp_path / "voyage"), TAUGHT).diff
    assert '-performance_mean = "90 %"\n' in diff
    assert '-consumption = "1.5 L/h"\n+consumption = "1.35 L/h"\n' in diff
    assert '-drink_and_cook = "3 L/day"\n+drink_and_cook = "3.6 L/day"\n' in diff
    assert "--- boat.toml" in diff


def test_nothing_learned_proposes_nothing(tmp_path: Path) -> None:
    whole(shipped("routes") / "cape-town-st-helena", tmp_path / "voyage")
    same = Learned(Belief(0.9, 0.08), Belief(0.9, 0.08), 0, ())
    proposal = propose(read_folder(tmp_path / "voyage"), Lessons(same, NOTHING, NOTHING))
    assert ((), (), "") == (proposal.changes, proposal.texts, proposal.diff)


@pytest.mark.parametrize(
    ("helm", "expected"),
    [
        ('[helm]\nperformance_mean = "90 %" # ours\n', 'performance_mean = "85 %" # ours\n'),
        ("[helm] # how we sail\n", '[helm] # how we sail\nperformance_mean = "'),
        ("[helm]\n# remark\n", '[helm]\nperformance_mean = "'),
        ('helm = { performance_mean = "90 %", motoring = true }\n', 'helm = { performance_mean = "'),
        ("", '\n[helm]\nperformance_mean = "'),
    ],
)
def test_whatever_way_the_table_is_written(tmp_path: Path, helm: str, expected: str) -> None:
    boat = tmp_path / "boat.toml"
    inline = helm.startswith("helm =")
    whole(shipped("routes") / "lagos-azores", tmp_path)
    text = boat.read_text(encoding="utf-8")
    boat.write_text(helm + text if inline else text + "\n" + helm, encoding="utf-8")
    facts = read_folder(tmp_path)
    accept(propose(facts, Lessons(SLOWER, NOTHING, NOTHING)))
    after = boat.read_text(encoding="utf-8")
    assert expected in after
    assert ("# ours" in helm) == ("# ours" in after)
    assert read_fact(boat, Boat).helm.performance_mean_share < 0.9


def test_windows_line_ends_stay(tmp_path: Path) -> None:
    whole(shipped("routes") / "opua-tonga", tmp_path / "voyage")
    crew = tmp_path / "voyage" / "crew.toml"
    crew.write_bytes(crew.read_bytes().replace(b"\n", b"\r\n"))
    accept(propose(read_folder(tmp_path / "voyage"), TAUGHT))
    content = crew.read_bytes()
    assert content.count(b"\r\n") == content.count(b"\n")
    assert 4.2 == read_fact(crew, Crew).water.drink_and_cook_l_per_day


def test_a_table_written_with_dots_is_changed_too(tmp_path: Path) -> None:
    whole(shipped("routes") / "opua-tonga", tmp_path / "voyage")
    crew = tmp_path / "voyage" / "crew.toml"
    text = crew.read_text(encoding="utf-8")
    at = text.index("[water]")
    crew.write_text("water.heat = true # dots\n" + text[:at], encoding="utf-8")
    accept(propose(read_folder(tmp_path / "voyage"), TAUGHT))
    assert 3.6 == read_fact(crew, Crew).water.drink_and_cook_l_per_day
    assert "water.heat = true # dots\n" in crew.read_text(encoding="utf-8")
