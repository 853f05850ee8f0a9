"""Sailing a fleet's table on dask: a lazy task for each cell, blocks written as they come in, few of them under way."""

from __future__ import annotations

import os
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from signal import SIG_IGN, SIGINT, signal
from threading import current_thread, main_thread
from time import monotonic
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.content import tool_key
from passage.errors import MissingExtra, PassageError
from passage.fleets.cell import Asked, sail_cell

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from passage.fleets.cell import Values
    from passage.fleets.store import Store
    from passage.fleets.table import Block, Fleet

EXTRA = "fleet"
MEMORY_MB = 1000  # of a worker, beyond which it is ended and its cells are sailed elsewhere
CELLS_AHEAD = 3  # for each worker, sailed or waiting
MOST_TRIES = 3  # of a cell whose worker dies under it
CONNECT_S = 20
ASKS_EVERY_S = 5.0
# One thread for each, and arrays of some megabytes from memory that is kept: given back to the system and asked for
# again, as dask has it, they cost half as much again as the sailing.
WORKERS_ENVIRONMENT = {
    **dict.fromkeys(("OMP_NUM_THREADS", "MKL_NUM_THREADS", "OPENBLAS_NUM_THREADS"), 1),
    "MALLOC_TRIM_THRESHOLD_": 256 << 20,
    "MALLOC_MMAP_THRESHOLD_": 32 << 20,
}
# What dask does by the clock in every process, beside the sailing and for as long as it lasts: look where a thread is,
# whether the loop is late, at memory and load, and which worker might take from another; all told a sixth of a cell.
SELDOM = {
    "distributed.worker.profile.enabled": False,
    "distributed.admin.tick.interval": "500 ms",
    "distributed.admin.system-monitor.interval": "5 s",
    "distributed.worker.memory.monitor-interval": "500 ms",
    "distributed.scheduler.active-memory-manager.start": False,
    "distributed.scheduler.work-stealing": False,
}
CRITICAL = 50  # what dask itself may say on stderr


class At(NamedTuple):
    """How far a run is: cells done of so many, those of an earlier run left out."""

    cells: int
    of: int
    seconds: float

    @property
    def per_s(self) -> float:
        return self.cells / max(self.seconds, 1e-6)

    @property
    def left_s(self) -> float:
        """By the rate so far."""
        return (self.of - self.cells) / max(self.per_s, 1e-9)


class Lost(NamedTuple):
    """A cell that came to nothing, by boat, track, day and climate."""

    boat: str
    track: str
    cell: str
    why: str


@dataclass
class Ran:
    """What a run did. kept: cells of an earlier one; lost: those that no worker could sail, with the reason: they are
    still to be sailed; peak_mb: the most memory that any worker has had.
    """

    cells: int = 0
    kept: int = 0
    seconds: float = 0.0
    bytes_written: int = 0
    peak_mb: float = 0.0
    lost: list[Lost] = field(default_factory=list)


def run(
    fleet: Fleet,
    store: Store,
    client: Any,
    told: Callable[[At], None] | None = None,
    sail: Callable[..., Values | str] = sail_cell,
) -> Ran:
    """Sail what the store does not hold. client: of ``distributed``; sail: what a cell does.

    Raises InputFaults where the store is not this fleet's, OSError where the disk refuses: what is written stays, and
    the same run goes on from there.
    """
    with store.opened():
        kept = store.keys()
        wanted = [(block, key) for block in fleet.blocks() if kept.get(block.number) != (key := fleet.key(block))]
        of = sum(len(block.cells) for block, _ in wanted)
        voyage = _Run(fleet, store, client, sail, Ran(kept=fleet.cells - of))
        voyage.go(wanted, lambda at: told(at._replace(of=of)) if told else None)
        return voyage.ran


class _Run:
    """Blocks under way, and what has come in of each."""

    def __init__(self, fleet: Fleet, store: Store, client: Any, sail: Callable[..., Values | str], ran: Ran) -> None:
        self.ran = ran
        self._fleet, self._store, self._client, self._sail = fleet, store, client, sail
        self._asked = Asked(fleet.crossings, fleet.seed, fleet.days, tuple(fleet.stores))
        self._asked_at, self._workers = monotonic() - 2 * ASKS_EVERY_S, 1
        self._ahead = CELLS_AHEAD
        self._under_way: dict[str, tuple[_Part, int]] = {}  # by the future's key, with the cell's number in its block

    def go(self, wanted: Sequence[tuple[Block, str]], told: Callable[[At], None]) -> None:
        from distributed import as_completed

        coming = as_completed(with_results=True, raise_errors=False)
        waiting, began = iter(wanted), monotonic()
        self._ahead = max([CELLS_AHEAD, *(len(block.cells) for block, _ in wanted)])
        self._send(waiting, coming)
        for future, result in coming:
            self._take(future, result)
            self.ran.seconds = monotonic() - began
            told(At(self.ran.cells, 0, self.ran.seconds))
            self._send(waiting, coming)

    def _send(self, waiting: Iterator[tuple[Block, str]], coming: Any) -> None:
        """More blocks, until every worker has a whole one ahead of it: cells go where the facts of their block are, and
        none waits for another's to be done. Of a boat that is refused there is nothing to sail.
        """
        while len(self._under_way) < self._ahead * self._there() and (following := next(waiting, None)) is not None:
            part = _Part(*following)
            refused = self._fleet.facts[part.block.boat, part.block.track]
            if isinstance(refused, str):
                part.cells = dict.fromkeys(range(len(part.block.cells)), refused)
                self.ran.cells += len(part.cells)
                self._write(part)
                continue
            for number, future in enumerate(self._client.compute(self._tasks(part.block))):
                self._under_way[future.key] = (part, number)
                coming.add(future)

    def _there(self) -> int:
        """How many workers are there; asked again now and then, for they come and go."""
        if monotonic() > self._asked_at + ASKS_EVERY_S:
            self._asked_at, self._workers = monotonic(), max(len(self._client.nthreads()), 1)
        return self._workers

    def _tasks(self, block: Block) -> list[Any]:
        """A lazy task for each cell; the facts that they share go along once."""
        from dask.delayed import delayed

        fleet = self._fleet
        climates = [fleet.climates[each] for each in block.climates]
        facts = {each.file: delayed(fleet.facts_in(block, each), traverse=False) for each in climates}
        sail = delayed(self._sail, pure=False)
        cells = ((fleet.departures[day], fleet.climates[climate]) for day, climate in block.cells)
        return [sail(facts[climate.file], self._asked, depart, climate.year) for depart, climate in cells]

    def _take(self, future: Any, result: Any) -> None:
        """A cell came in; the last of its block writes it."""
        part, number = self._under_way.pop(future.key)
        if future.status == "finished":
            part.cells[number] = result
        else:
            part.lost = True
            self.ran.lost.append(self._lost(part.block, number, _reason(result)))
        future.release()
        self.ran.cells += 1
        self._write(part)

    def _write(self, part: _Part) -> None:
        """A block that is whole."""
        if part.lost or len(part.cells) < len(part.block.cells):
            return
        cells = [part.cells[number] for number in range(len(part.cells))]
        try:
            self.ran.bytes_written += self._store.write(part.block, part.key, cells)
        except OSError as trouble:
            more = "what is written stays; make room there and start the same again"
            raise OSError(trouble.errno, f"{trouble.strerror}; {more}", trouble.filename) from None

    def _lost(self, block: Block, number: int, why: str) -> Lost:
        fleet, (day, climate) = self._fleet, block.cells[number]
        cell = f"{fleet.departures[day]:%Y-%m-%d}, {fleet.climates[climate].label}"
        return Lost(fleet.boats[block.boat], fleet.tracks[block.track], cell, why)


@dataclass
class _Part:
    """A block under way. lost: whether a cell of it came to nothing."""

    block: Block
    key: str
    cells: dict[int, Values | str] = field(default_factory=dict)
    lost: bool = False


def _reason(error: Any) -> str:
    """Why a cell came to nothing, in words: its worker died again and again, or something that nobody foresaw."""
    error = error[1] if isinstance(error, tuple) else error
    if type(error).__name__ == "KilledWorker":
        return f"its worker was ended {MOST_TRIES} times under it, out of memory or from outside"
    return f"{type(error).__name__}: {error}"


@contextmanager
def local_workers(number: int | None = None, memory_mb: float = MEMORY_MB, *, processes: bool = True) -> Iterator[Any]:
    """A client of so many processes of this machine, one for each processor if left out; one that needs more memory is
    ended. processes False: within this one, unbounded. Raises MissingExtra.
    """
    refuse_without()
    import dask
    from distributed import Client, LocalCluster

    settings = {
        "distributed.scheduler.allowed-failures": MOST_TRIES - 1,
        "distributed.nanny.pre-spawn-environ": WORKERS_ENVIRONMENT,
        **SELDOM,
    }
    with dask.config.set(settings):
        with _deaf_to_interrupts():
            cluster = LocalCluster(
                n_workers=number or processors(),
                threads_per_worker=1,
                processes=processes,
                memory_limit=f"{memory_mb:.0f} MB" if processes else 0,
                dashboard_address="127.0.0.1:0",
                silence_logs=CRITICAL,
            )
        with cluster, Client(cluster, timeout=CONNECT_S) as client:
            yield client


@contextmanager
def _deaf_to_interrupts() -> Iterator[None]:
    """Processes begun meanwhile leave a Ctrl-C to this one, which ends them: none tells of its own end."""
    if current_thread() is not main_thread():
        yield
        return
    heard = signal(SIGINT, SIG_IGN)
    try:
        yield
    finally:
        signal(SIGINT, heard)


@contextmanager
def workers_at(address: str) -> Iterator[Any]:
    """A client of workers that are there: ``tcp://host:8786``, or the file that their scheduler writes.

    Raises MissingExtra, and PassageError where nobody answers or they have another version of the tool.
    """
    refuse_without()
    from distributed import Client

    given = {"address": address} if "://" in address else {"scheduler_file": address}
    try:
        if "scheduler_file" in given:
            Path(address).stat()  # or dask would wait for it for ever
        client = Client(**given, timeout=CONNECT_S)
        client.wait_for_workers(1, timeout=CONNECT_S)
    except (OSError, ValueError, TimeoutError) as error:
        wanted = "start them with: dask scheduler, and: dask worker ADDRESS --nthreads 1"
        raise PassageError(f"{address}: no scheduler with workers answers there ({error}); {wanted}") from None
    with client:
        for where, key in client.run(tool_key).items():
            if key != tool_key():
                raise PassageError(f"the worker at {where} has another passage than this one; install the same there")
        yield client


def dashboard(client: Any) -> str:
    """The address of dask's own, '' where it is not installed."""
    return str(client.dashboard_link) if _there("bokeh") else ""


def processors() -> int:
    """Those that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def peak_mb(client: Any) -> float:
    """The most memory that any of the workers has had."""
    return float(max(client.run(_my_peak_mb).values(), default=0.0))


def _my_peak_mb() -> float:
    """On Linux of this process alone: what ``getrusage`` tells begins with the peak of the one that called it."""
    import resource
    import sys

    own = Path("/proc/self/status")
    if own.is_file():
        peak = next((line for line in own.read_text("utf-8").splitlines() if line.startswith("VmHWM:")), "")
        if peak:
            return int(peak.split()[1]) / 1024.0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024.0**2 if sys.platform == "darwin" else 1024.0)


def _there(name: str) -> bool:
    from importlib.util import find_spec

    return find_spec(name) is not None


def refuse_without() -> None:
    """Raises MissingExtra."""
    if not all(_there(name) for name in ("distributed", "zarr", "xarray")):
        raise MissingExtra(EXTRA, "sailing a fleet")
