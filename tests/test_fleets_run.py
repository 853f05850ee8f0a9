"""A fleet on dask: few cells under way, whole blocks written, what fails told by name and nothing lost."""

from __future__ import annotations

import errno
import os
import signal
import threading
import time
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from passage.disk import Unhurried
from passage.errors import MissingExtra, PassageError
from passage.fleets import run as running
from passage.fleets.run import At, local_workers, peak_mb, run, workers_at
from passage.fleets.schema import SHARES
from passage.fleets.store import Store
from passage.fleets.table import Climate
from tests.fleet_cases import bytes_in, client, figures_of, fleet

pytest.importorskip("distributed")

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime
    from pathlib import Path

    from passage.fleets.cell import Asked, Values
    from passage.inputs.folder import Facts


@pytest.fixture(scope="module")
def worker() -> Iterator[Any]:
    with client() as one:
        yield one


def invented(facts: Facts, asked: Asked, depart: datetime, year: int | None) -> Values:
    """Figures of the right shapes that hang on what a cell is asked, without sailing it."""
    chance = np.random.default_rng((len(facts.boat.hull.name), int(depart.timestamp()), year or 0))
    table = fleet()
    cell = figures_of(table, next(iter(table.blocks())))[0]
    assert not isinstance(cell, str)
    return {name: chance.random(values.shape) for name, values in cell.items()}


def slow(facts: Facts, asked: Asked, depart: datetime, year: int | None) -> Values:
    time.sleep(0.15)
    return invented(facts, asked, depart, year)


def stumbling(facts: Facts, asked: Asked, depart: datetime, year: int | None) -> Values:
    if facts.boat.hull.name == "Dunlin" and depart.month == 7:
        raise ZeroDivisionError("nobody foresaw this")
    return invented(facts, asked, depart, year)


def test_a_table_is_sailed_cell_by_cell_and_told_as_it_goes(worker: Any, tmp_path: Path) -> None:
    told: list[At] = []
    table = fleet()
    ran = run(table, Store(tmp_path / "s.zarr", table), worker, told.append, invented)
    assert (8, 0, []) == (ran.cells, ran.kept, ran.lost)
    assert 8 == told[-1].cells == told[-1].of
    assert 0.0 == told[-1].left_s < told[0].left_s
    again = run(table, Store(tmp_path / "s.zarr", table), worker, None, invented)
    assert (0, 8) == (again.cells, again.kept)


def test_a_cell_that_fails_is_told_by_name_and_tried_again_by_the_next_run(worker: Any, tmp_path: Path) -> None:
    table, folder = fleet(), tmp_path / "s.zarr"
    ran = run(table, Store(folder, table), worker, None, stumbling)
    (lost,) = ran.lost
    assert ("Dunlin", "track", "2027-07-01, averages") == lost[:3]
    assert "ZeroDivisionError: nobody foresaw this" == lost.why
    assert not Store(folder, table).whole()
    again = run(table, Store(folder, table), worker, None, invented)
    assert (2, 6, []) == (again.cells, again.kept, again.lost)
    run(table, Store(tmp_path / "other.zarr", table), worker, None, invented)
    assert bytes_in(tmp_path / "other.zarr") == bytes_in(folder)


def test_a_full_disk_ends_it_with_a_sentence_and_the_next_run_goes_on(worker: Any, tmp_path: Path) -> None:
    class Full(Unhurried):
        """Full in the midst of the blocks."""

        room = 95

        def append(self, path: Path, content: bytes) -> None:
            self.room -= 1
            if self.room < 0:
                raise OSError(errno.ENOSPC, "No space left on device")
            super().append(path, content)

    table, folder = fleet(), tmp_path / "s.zarr"
    with pytest.raises(OSError, match="No space left on device; what is written stays") as refusal:
        run(table, Store(folder, table, Full()), worker, None, invented)
    assert str(folder) in str(refusal.value.filename)
    assert run(table, Store(folder, table), worker, None, invented).kept > 0


def test_however_long_the_table_only_so_many_cells_are_under_way(worker: Any, tmp_path: Path) -> None:
    years = tuple(Climate(str(year), None, year) for year in range(1900, 1950))
    table = replace(fleet(), climates=years, departures=fleet().departures[:1])
    most = []

    class Watched(running._Run):
        """One that is looked at as cells come in."""

        def _take(self, future: Any, result: Any) -> None:
            most.append(len(self._under_way))
            super()._take(future, result)

    store = Store(tmp_path / "s.zarr", table)
    with store.opened():
        watched = Watched(table, store, worker, invented, running.Ran())
        watched.go([(block, table.key(block)) for block in table.blocks()], lambda at: None)
    assert 200 == watched.ran.cells
    longest = max(len(block.cells) for block in table.blocks())
    assert max(most) < 2 * max(longest, running.CELLS_AHEAD)  # a block more than are wanted ahead


def test_two_processes_of_which_one_is_killed_write_what_one_writes(worker: Any, tmp_path: Path) -> None:
    """Killed by hand in the midst of its cells: they are sailed elsewhere. The memory of each is bounded."""
    table = fleet()
    run(table, Store(tmp_path / "one.zarr", table), worker, None, slow)
    with local_workers(2, 500) as two:
        assert [500_000_000] * 2 == [each["memory_limit"] for each in two.scheduler_info()["workers"].values()]
        victim = next(iter(two.run(os.getpid).values()))
        threading.Timer(0.25, os.kill, (victim, signal.SIGKILL)).start()
        ran = run(table, Store(tmp_path / "two.zarr", table), two, None, slow)
        assert 0.0 < peak_mb(two) < 500.0
    assert [] == ran.lost
    assert bytes_in(tmp_path / "one.zarr") == bytes_in(tmp_path / "two.zarr")


def test_where_no_scheduler_answers_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(running, "CONNECT_S", 0.3)
    for address in ("tcp://127.0.0.1:9", str(tmp_path / "none.json")):
        with pytest.raises(PassageError, match="no scheduler with workers answers"), workers_at(address):
            pass


def test_without_dask_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(running, "_there", lambda name: name != "distributed")
    with pytest.raises(MissingExtra, match=r"slow-end\[fleet\]"), local_workers(1):
        pass


def test_the_shares_hold_the_middle_and_both_ends() -> None:
    assert {0.05, 0.5, 0.95} <= set(SHARES)


def test_workers_that_begin_leave_an_interrupt_to_the_skipper() -> None:
    heard = signal.getsignal(signal.SIGINT)
    with running._deaf_to_interrupts():
        assert signal.SIG_IGN is signal.getsignal(signal.SIGINT)
    assert heard is signal.getsignal(signal.SIGINT)
