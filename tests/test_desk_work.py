"""What the desk says follows is what the plan says, whatever was changed; a newer change drops the older work."""

from __future__ import annotations

import random
import tomllib
from dataclasses import replace
from threading import Event
from typing import TYPE_CHECKING, Any

import pytest

from passage import api
from passage.desk import orders, work
from passage.desk.answer import quick_part, whole_part
from passage.desk.draft import Draft
from passage.desk.work import Order, Result, Worker
from passage.errors import InputFaults, PassageError
from passage.inputs.folder import read_folder
from passage.inputs.keys import Key, tables_of
from passage.inputs.schemas import MODELS
from passage.inputs.text import unsaved
from passage.plan.sheets import front
from tests.desk_cases import voyage_in
from tests.hostile import VALUES

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from passage.inputs.folder import Facts

EDITS = 25  # here; 200 in benchmarks/desk.py


def edit_by_chance(draft: Draft, chance: random.Random) -> None:
    """Any key of any file given any value: sound ones, and those that nobody would write."""
    keys = [key for file in MODELS for table in tables_of(file) for key in table.keys]
    key = chance.choice(keys)
    path = tuple(chance.randrange(2) if part == "*" else part for part in key.path)
    try:
        if chance.random() < 0.1 and len(path) == 3:
            draft.remove(key.file, path[:2])
        else:
            draft.set(key.file, path, _value(key, chance))
    except ValueError:
        return  # told beside the field, and the files are as they were


def _value(key: Key, chance: random.Random) -> Any:
    if chance.random() < 0.5 and key.default:
        return {"yes": True, "no": False}.get(key.default, key.default)
    try:
        return tomllib.loads(f"x = {chance.choice(VALUES)}")["x"]
    except ValueError:
        return None


def random_edits(folder: Path, edits: int) -> tuple[int, int]:
    """Edits by chance, each saved and read again: how often the files are then sound, and how often they are told of,
    which is then put right. What the desk knew before saving is what the files say after it.
    """
    chance, draft, told = random.Random(21), Draft.of(folder), 0
    for _ in range(edits):
        before = dict(draft.base)
        edit_by_chance(draft, chance)
        shown = _read(draft.facts)
        draft.save()
        for text in draft.base.values():
            tomllib.loads(text)
        saved = _read(lambda: read_folder(folder))
        assert shown == saved
        if isinstance(saved, str):
            told += 1
            for path in draft.base.keys() - before.keys():
                path.unlink()
            for path, text in before.items():
                path.write_text(text, encoding="utf-8")
            draft = Draft.of(folder)
    return edits - told, told


def _read(read: Callable[[], Facts]) -> object:
    """What a voyage says, or what is told of it."""
    try:
        facts = read()
    except InputFaults as faults:
        return str(faults)
    return facts.voyage, facts.boat, facts.crew, facts.electrics, facts.watch, facts.gear, facts.troubles


def test_random_edits_leave_files_that_check_passes_or_tells_of(tmp_path: Path) -> None:
    sound, told = random_edits(voyage_in(tmp_path), EDITS)
    assert sound > 3 and told > 3


def test_the_desk_says_of_a_draft_what_the_plan_says_once_it_is_saved(tmp_path: Path) -> None:
    folder = voyage_in(tmp_path)
    draft = Draft.of(folder)
    draft.set("boat.toml", ("water_tank", 0, "capacity"), "60 L")
    draft.set("boat.toml", ("helm", "night_speed"), "80 %")
    with unsaved(draft.texts):
        shown = whole_part(api.sail(read_folder(folder), 50))
    draft.save()
    sailing = api.sail(read_folder(folder), 50)
    page = front.table(sailing)
    told = {line.key: line for line in shown.lines}
    assert f"{page.time.typical_days:u}" == told["typical"].words
    assert f"{page.time.slow_end_days:u}" == told["slow_end"].words
    assert f"{page.water.load_l:u}" == told["load"].words
    assert front.said(page).verdict == told["verdict"].words
    assert page.as_boats_break and f"{page.as_boats_break.times.slow_end_days:u}" == told["breaks"].words
    quick = {line.key: line for line in quick_part(replace(sailing, shopping=False)).lines}
    assert all(told[key].words == line.words for key, line in quick.items())


class Heard:
    """What a worker told, and a way to wait for it."""

    def __init__(self) -> None:
        self.results: list[Result] = []
        self.last: dict[int, Event] = {}

    def __call__(self, result: Result) -> None:
        self.results.append(result)
        if result.last:
            self.last.setdefault(result.number, Event()).set()

    def wait(self, number: int) -> list[Result]:
        assert self.last.setdefault(number, Event()).wait(60.0)
        return [result for result in self.results if result.number == number]


def test_a_worker_answers_the_newest_order_and_is_called_again_when_it_was_killed(tmp_path: Path) -> None:
    folder, heard = voyage_in(tmp_path), Heard()
    worker = Worker(heard)
    try:
        for number in (1, 2, 3):
            worker.set_to(Order(number, "few", folder, {}, {}))
        parts = [result.value for result in heard.wait(3) if result.value]
        assert [200, 200] == [part.crossings for part in parts] and parts[-1].boats
        assert not [result for result in heard.results if result.number == 2 and result.last]
        process = worker._process
        assert process is not None
        worker.set_to(Order(4, "all", folder, {}, {}))
        process.kill()
        assert work.ENDED == heard.wait(4)[-1].refused
        broken = dict.fromkeys((folder / "voyage.toml",), "[boat")
        worker.set_to(Order(5, "few", folder, broken, {}))
        assert heard.wait(5)[-1].faults
    finally:
        worker.end()


def test_between_two_steps_a_newer_order_is_looked_for(tmp_path: Path) -> None:
    """As it would be by a worker: raising there ends the work, in the middle of the sailing too."""
    facts = read_folder(voyage_in(tmp_path))

    class Newer(Exception):
        pass

    def look(*_: object) -> None:
        raise Newer

    with pytest.raises(Newer):
        list(orders.few(facts, look, look))


def test_what_is_refused_while_sailing_is_told_and_not_a_crash(tmp_path: Path) -> None:
    folder = voyage_in(tmp_path)
    draft = Draft.of(folder)
    draft.set("voyage.toml", ("waypoint", 2, "position"), "20 00.0S 20 00.0E")
    with unsaved(draft.texts), pytest.raises(PassageError, match="nm of land"):
        api.sail(draft.facts(), 20)


def test_what_comes_before_the_server_is_up_is_not_lost(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import asyncio

    from passage.desk.desk import Desk
    from passage.desk.part import Line, PartialAnswer

    monkeypatch.setattr(Worker, "set_to", lambda *_: None)
    desk = Desk(voyage_in(tmp_path))
    desk._hand_over(Result(1, PartialAnswer(200, (Line("typical", "Typical passage", "18.0 days"),))))
    assert desk.answers.newest is None

    async def up() -> None:
        desk.begin_loop()

    asyncio.run(up())
    assert desk.answers.newest and "18.0 days" == desk.answers.newest.lines[0].words
