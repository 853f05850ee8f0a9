"""The mate: the same answers as the skipper's own, whatever becomes of the mate, and no process left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from passage import mate as mates
from passage.cli import main
from passage.follows import bracket_of, times_of
from passage.mate import Mate
from passage.plan.document import plan_tables, work_for_mate
from passage.plan.editions import WHOLE, only
from passage.shipped import shipped
from passage.tell.records import as_json
from tests.plan_cases import ROUTES, sailed

if TYPE_CHECKING:
    from passage.road import Outcome


ENDS = ("SIGTERM", "SIGHUP", "SIGKILL")


@pytest.fixture
def two_processors(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(mates, "_processors", lambda: 2)


def fresh() -> Outcome:
    """An outcome of which nothing is worked out yet."""
    return replace(sailed(ROUTES[1]))


@pytest.mark.usefixtures("two_processors")
def test_with_a_mate_every_number_is_the_same() -> None:
    outcome = fresh()
    with Mate() as mate:
        mate.set_to(outcome, work_for_mate(WHOLE))
        together = plan_tables(outcome)
    assert mate.busy_s > 0.0, "the mate did the work"
    alone = plan_tables(sailed(ROUTES[1]))
    assert as_json(together) == as_json(alone)
    assert list(together) == list(alone), "in the order of print"


@pytest.mark.usefixtures("two_processors")
@pytest.mark.parametrize(
    "dies",
    [
        "pass",
        "import sys; sys.stdin.buffer.read()",
        "raise SystemExit(3)",
        "print('no pickle')",
        "print('cwords\\nfor nothing')",  # to a reader of pickles, a module that there is not
        "print('I am')",  # a number that is none
        "print('N.')",  # and nothing at all
    ],
)
def test_a_mate_that_fails_costs_nothing_but_time(dies: str, monkeypatch: pytest.MonkeyPatch) -> None:
    called = [sys.executable, "-c", dies]
    monkeypatch.setattr(mates, "_called", lambda: subprocess.Popen(called, stdin=-1, stdout=-1, stderr=-3))
    outcome = fresh()
    with Mate() as mate:
        mate.set_to(outcome, [times_of])
        assert outcome.times == sailed(ROUTES[1]).times
    assert mate.busy_s == 0.0


def chatter(outcome: Outcome) -> str:
    """Work that prints, past Python as well."""
    print("a word between", flush=True)
    os.write(1, b"another\n")
    return outcome.facts.boat.hull.name


@pytest.mark.usefixtures("two_processors")
def test_what_the_work_prints_does_not_stand_among_the_results() -> None:
    outcome = fresh()
    with Mate() as mate:
        mate.set_to(outcome, [chatter, bracket_of])
        assert outcome.facts.boat.hull.name == outcome.once(chatter)
        assert outcome.bracket == sailed(ROUTES[1]).bracket
    assert mate.busy_s > 0.0, "the mate did the work"


@pytest.mark.parametrize(("processors", "wanted"), [(1, True), (2, False)])
def test_on_one_processor_or_unwanted_there_is_no_mate(
    processors: int, wanted: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(mates, "_processors", lambda: processors)
    monkeypatch.setattr(mates, "_called", lambda: pytest.fail("called"))
    with Mate(wanted) as mate:
        mate.set_to(fresh(), [times_of])


@pytest.mark.usefixtures("two_processors", "nothing_kept")
@pytest.mark.parametrize(("options", "calls"), [(["--only", "rota"], False), (["--short"], True), ([], True)])
def test_a_single_card_calls_no_mate(
    options: list[str], calls: bool, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    class Called(Exception):
        """And there the test ends."""

    def call() -> None:
        raise Called

    monkeypatch.setattr(mates, "_called", call)
    line = ["plan", str(shipped("routes") / ROUTES[1]), "--crossings", "20", "--out", str(tmp_path / "plan.pdf")]
    ended = CliRunner().invoke(main, [*line, *options])
    assert calls == isinstance(ended.exception, Called)
    assert calls or 0 == ended.exit_code


@pytest.mark.usefixtures("two_processors")
@pytest.mark.parametrize("program", ["/no/such/program", "", None])
def test_where_no_process_can_be_had_there_is_no_mate(program: str | None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", program)
    outcome = fresh()
    with Mate() as mate:
        mate.set_to(outcome, [times_of])
        assert outcome.times == sailed(ROUTES[1]).times


@pytest.mark.usefixtures("two_processors")
def test_a_mate_without_orders_or_in_the_middle_of_work_is_gone_at_the_end() -> None:
    with Mate() as idle, Mate() as busy:
        busy.set_to(fresh(), work_for_mate(WHOLE))
    for mate in (idle, busy):
        assert mate._process is not None
        assert mate._process.returncode is not None


def test_a_mate_is_given_only_what_the_edition_needs() -> None:
    assert work_for_mate(only("anchor")) == []
    assert bracket_of in work_for_mate(WHOLE)


@pytest.mark.skipif(os.name == "nt", reason="signals of another kind")
def test_a_mate_ends_with_the_skipper_whatever_ends_him() -> None:
    program = (
        "import time; from passage import mate; mate._processors = lambda: 2; found = mate.Mate(); "
        "print(found._process.pid, flush=True); time.sleep(60)"
    )
    with ExitStack() as ship:
        called = [subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True) for _ in ENDS]
        skippers = [ship.enter_context(skipper) for skipper in called]
        pids = [int(skipper.stdout.readline()) for skipper in skippers if skipper.stdout]
        time.sleep(
            3.0
        )  # the mates have begun; without orders they would wait for ever, but for the end of their orders
        for skipper, by in zip(skippers, ENDS, strict=True):
            skipper.send_signal(getattr(signal, by))
    end = time.monotonic() + 10.0
    while time.monotonic() < end and not all(map(_is_dead, pids)):
        time.sleep(0.1)
    assert [] == [by for pid, by in zip(pids, ENDS, strict=True) if not _is_dead(pid)]


def _is_dead(pid: int) -> bool:
    """Gone, or waiting only to be counted."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    status = Path(f"/proc/{pid}/stat")
    return status.exists() and status.read_text().rpartition(")")[2].split()[0] == "Z"
