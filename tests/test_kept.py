"""What is kept on disk is never wrong: another fact, another key; what is damaged or full spoils no answer."""

from __future__ import annotations

import os
import pickle
import shutil
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner

from passage import kept
from passage.cli import main
from passage.content import tool_key
from passage.crossings.ensemble import first_of
from passage.follows import noons_of
from passage.inputs.changes import changed
from passage.inputs.folder import read_folder
from passage.kept import answered, keep, missing
from passage.mate import Mate
from passage.shipped import shipped
from tests.plan_cases import ROUTES, sailed
from tests.voyage_cases import whole

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


def test_what_is_kept_is_known_to_be_had(folder: Path) -> None:
    outcome = fresh()
    assert not outcome.knows(typical)
    keep(outcome, [typical])
    assert outcome.knows(typical)
    outcome.once(typical)
    assert outcome.knows(typical)
    assert not fresh().knows(typical)


def test_what_a_work_refuses_is_refused_and_not_kept(folder: Path) -> None:
    def refused(outcome: Outcome) -> float:
        raise ZeroDivisionError

    for _ in range(2):
        with pytest.raises(ZeroDivisionError):
            asked(fresh(), refused)
    assert not folder.exists()


def test_a_part_of_an_answer_is_taken_by_another_command(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    words = ["sail", str(sailed(ROUTES[0]).facts.folder), "--crossings", "40"]
    first = CliRunner().invoke(main, words)
    assert {"bracket_of", "breakage_of", "laid_in_of", ""} == {path.suffix[1:] for path in folder.iterdir()}
    (folder / next(path.name for path in folder.iterdir() if not path.suffix)).unlink()
    monkeypatch.setattr("passage.crossings.bracket.bracket", None)  # what works it out is gone
    assert first.stdout == CliRunner().invoke(main, words).stdout
    assert 0 == first.exit_code


# ---------------------------------------------------------------- whole answers


@pytest.fixture
def voyage(tmp_path: Path) -> Path:
    return whole(shipped("routes") / ROUTES[0], tmp_path / "voyage")


def answer_of(folder: Path, work: Any = lambda: CALLS.append("asked") or "an answer", *said: Any) -> Any:
    return answered(read_folder(folder, date(2026, 11, 25)), "answer", said, work)


@pytest.mark.parametrize(
    "words",
    [
        ["sail"],
        ["power", "--json"],
        ["page", "--out", "OUT"],
        ["export", "gpx", "--out", "OUT"],
        ["plan", "--only", "legs,battery", "--out", "OUT"],
    ],
)
def test_a_command_asked_again_answers_the_same_and_sails_nothing(
    words: list[str], voyage: Path, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    command, *options = [str(out) if word == "OUT" else word for word in words]
    line = [command, str(voyage), *options, "--crossings", "20"]
    first = CliRunner().invoke(main, line)
    written = out.read_bytes() if out.exists() else None
    out.unlink(missing_ok=True)
    monkeypatch.setattr("passage.api.lay_ground", None)  # what lays the track and sails it is gone
    monkeypatch.setattr("passage.api.walk", None)
    again = CliRunner().invoke(main, line)
    assert (0, 0) == (first.exit_code, again.exit_code)
    assert first.stdout == again.stdout
    assert written == (out.read_bytes() if out.exists() else None)


def test_any_byte_of_the_voyages_files_and_how_it_is_asked_are_in_an_answers_key(voyage: Path, folder: Path) -> None:
    assert "an answer" == answer_of(voyage) == answer_of(voyage)
    assert 1 == len(CALLS)
    with (voyage / "voyage.toml").open("a", encoding="utf-8") as file:
        file.write("# a remark changes the fingerprint that is printed\n")
    answer_of(voyage)
    answer_of(voyage.rename(voyage.with_name("moved")))
    moved = voyage.with_name("moved")
    answered(read_folder(moved, date(2026, 11, 26)), "answer", (), lambda: CALLS.append("the next day"))
    for said in ((1000, 1), (1000, 2), (999, 1), ("a4",), ("us-letter",)):
        answer_of(moved, lambda: CALLS.append("otherwise"), *said)
    assert 9 == len(CALLS)


def test_any_file_of_the_tool_is_in_the_key(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    shutil.copytree(Path(kept.__file__).parent / "plan" / "pages", tmp_path / "pages")
    monkeypatch.setattr("passage.content.__file__", str(tmp_path / "content.py"))
    before = tool_key.__wrapped__()
    with (tmp_path / "pages" / "plan.typ").open("a", encoding="utf-8") as file:
        file.write("\n")
    assert before != tool_key.__wrapped__()


def test_a_file_written_in_while_it_is_worked_out_leaves_nothing_behind(voyage: Path, folder: Path) -> None:
    def meanwhile() -> str:
        with (voyage / "crew.toml").open("a", encoding="utf-8") as file:
            file.write("# by another hand\n")
        return "half old, half new"

    assert "half old, half new" == answer_of(voyage, meanwhile)
    assert not folder.exists()


def test_an_answer_under_anothers_name_or_cut_short_or_another_users_is_given_anew(
    voyage: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answer_of(voyage, lambda: "another", "otherwise")
    (other,) = folder.iterdir()
    answer_of(voyage)
    (path,) = set(folder.iterdir()) - {other}
    right = path.read_bytes()
    for wrong in (other.read_bytes(), right[:-1], right[:40], right + b" "):
        path.write_bytes(wrong)
        assert "an answer" == answer_of(voyage)
    assert 5 == len(CALLS)
    if hasattr(os, "getuid"):
        monkeypatch.setattr(os, "getuid", lambda: path.stat().st_uid + 1)
        answer_of(voyage)
        assert 6 == len(CALLS)


def test_two_writers_at_once_leave_one_whole_answer(voyage: Path, folder: Path) -> None:
    def within() -> str:
        assert "an answer" == answer_of(voyage)  # another command is there first
        return "an answer"

    assert "an answer" == answer_of(voyage, within) == answer_of(voyage)
    assert ["asked"] == CALLS
    assert 1 == len(list(folder.iterdir()))


def test_a_giant_is_not_kept(voyage: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "LARGEST_B", 10)
    answer_of(voyage)
    assert not folder.exists()
