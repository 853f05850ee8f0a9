"""What is kept on disk is never wrong: another fact, another key; what is damaged or full spoils no answer."""

from __future__ import annotations

import os
import pickle
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner

from passage import kept
from passage.cli import main
from passage.crossings.ensemble import first_of
from passage.follows import noons_of
from passage.inputs.changes import changed
from passage.kept import keep, missing
from passage.mate import Mate
from tests.plan_cases import ROUTES, sailed

if TYPE_CHECKING:
    from passage.road import Outcome

CALLS: list[str] = []


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("PASSAGE_KEPT", str(tmp_path / "kept"))
    CALLS.clear()
    return tmp_path / "kept"


def typical(outcome: Outcome) -> float:
    CALLS.append("typical")
    return float(outcome.times.typical_h)


def nothing(outcome: Outcome) -> None:
    CALLS.append("nothing")


def fresh() -> Outcome:
    return replace(sailed(ROUTES[1]))


def asked(outcome: Outcome, work: Any = typical) -> Any:
    keep(outcome, [work])
    return outcome.once(work)


def test_a_second_outcome_of_the_same_facts_takes_what_the_first_worked_out(folder: Path) -> None:
    first, second = asked(fresh()), asked(fresh())
    assert ["typical"] == CALLS
    assert first == second == fresh().times.typical_h
    assert (None, None) == (asked(fresh(), nothing), asked(fresh(), nothing))
    assert ["typical", "nothing"] == CALLS


def test_any_fact_the_day_the_luck_and_the_number_of_crossings_are_in_the_key(folder: Path) -> None:
    one = fresh()
    crossings = one.crossings
    others = [
        replace(one, facts=changed(one.facts, water_l=150.0)),
        replace(one, facts=replace(one.facts, today=date(2026, 11, 26))),
        replace(one, crossings=first_of(crossings, 100)),
        replace(one, crossings=replace(crossings, seed=2)),
        replace(one, crossings=replace(crossings, depart=crossings.depart + timedelta(hours=1))),
        replace(one, shopping=False),
    ]
    for each in (one, *others):
        asked(each)
    assert len(others) + 1 == len(CALLS) == len(list(folder.iterdir()))


def test_another_tool_or_another_library_is_another_key(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked(fresh())
    monkeypatch.setattr(kept, "tool_key", lambda: "another")
    asked(fresh())
    monkeypatch.setattr(kept, "_beside", lambda: ["numpy-99.0.dist-info"])
    asked(fresh())
    assert 3 == len(CALLS)


@pytest.mark.parametrize("content", [b"", b"rubbish" * 20, pickle.dumps((1.0,))])
def test_what_is_damaged_is_worked_out_anew(content: bytes, folder: Path) -> None:
    right = asked(fresh())
    (path,) = folder.iterdir()
    path.write_bytes(content)
    assert [typical] == missing(fresh(), [typical])
    assert right == asked(fresh()) == asked(fresh())
    assert 2 == len(CALLS)


def test_a_folder_that_cannot_be_written_spoils_no_answer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    monkeypatch.setenv("PASSAGE_KEPT", str(tmp_path / "file" / "below"))
    assert fresh().times.typical_h == asked(fresh())


def test_nothing_is_kept_where_that_is_said_or_nobody_is_at_home(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PASSAGE_KEPT", "no")
    asked(fresh())
    monkeypatch.delenv("PASSAGE_KEPT")
    for name in ("HOME", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    asked(fresh())
    assert [typical] == missing(fresh(), [typical])
    assert not folder.exists()
    monkeypatch.setenv("XDG_CACHE_HOME", "/somewhere")
    assert Path("/somewhere/passage") == kept.kept_in() or os.name == "nt"


def test_it_stays_small_and_the_longest_unasked_go_first(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked(fresh())
    (old,) = folder.iterdir()
    os.utime(old, (1, 1))
    monkeypatch.setattr(kept, "MOST_B", old.stat().st_size + 10)
    asked(fresh(), nothing)
    assert ["nothing"] == [path.name.rpartition(".")[2] for path in folder.iterdir()]


def test_what_the_mate_worked_out_is_kept_too(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("passage.mate._processors", lambda: 2)
    outcome = fresh()
    with Mate() as mate:
        mate.set_to(outcome, missing(outcome, [noons_of]))
        keep(outcome, [noons_of])
        outcome.once(noons_of)
        assert mate.busy_s > 0.0
    assert [] == missing(fresh(), [noons_of])


def test_what_a_work_refuses_is_refused_and_not_kept(folder: Path) -> None:
    def refused(outcome: Outcome) -> float:
        raise ZeroDivisionError

    for _ in range(2):
        with pytest.raises(ZeroDivisionError):
            asked(fresh(), refused)
    assert not folder.exists()


def test_a_command_answers_the_same_the_second_time_without_the_long_work(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ["sail", str(sailed(ROUTES[0]).facts.folder), "--crossings", "40", "--json"]
    first = CliRunner().invoke(main, words)
    assert {"bracket_of", "breakage_of", "laid_in_of"} == {path.suffix[1:] for path in folder.iterdir()}
    monkeypatch.setattr("passage.crossings.bracket.bracket", None)  # what works it out is gone
    assert first.stdout == CliRunner().invoke(main, words).stdout
    assert 0 == first.exit_code
