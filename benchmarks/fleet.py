"""How a fleet grows: cells, workers, crossings, bytes; what the scheduler takes; killed twenty times; over TCP.

    python benchmarks/fleet.py grow               # time and memory against cells, workers, crossings; bytes a cell
    python benchmarks/fleet.py asleep             # cells that only sleep, on many workers: what the scheduler takes
    python benchmarks/fleet.py killed             # 20 times kill -9 at a random moment, started again: the same bytes?
    python benchmarks/fleet.py tcp                # a scheduler and two workers as processes of their own, over loopback
    python benchmarks/fleet.py rally              # 200 boats x 12 departures x 200 crossings; one worker, two; 20 kills

Boats are invented, the track is the shipped one to the Azores. Each prints what it saw; nothing is a limit here.
"""

from __future__ import annotations

import argparse
import os
import pickle
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.fleets.cell import Asked, sail_cell
from passage.fleets.run import WORKERS_ENVIRONMENT, local_workers, peak_mb, run
from passage.fleets.store import Store
from passage.fleets.table import Fleet, table_of
from passage.shipped import shipped

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from passage.fleets.cell import Values
    from passage.fleets.run import At
    from passage.inputs.folder import Facts

ASLEEP_S = 0.25  # what a cell of 200 crossings takes
KILLS = 20
UP_S = 5.0  # until the workers of a command are there
TRIED = ((5, 2, 200, 1), (5, 12, 200, 1), (5, 12, 200, 2), (2, 6, 1000, 2), (40, 12, 20, 2))


def lay(folder: Path, boats: int, departures: int, crossings: int) -> Path:
    """An invented fleet of so many boats."""
    chance = random.Random(boats)
    rows = ["name,length_m,crew,water_l,fuel_l,panels_w,bank_ah"]
    rows += [
        f"Boat {n},{chance.uniform(8.5, 15.0):.1f},{chance.choice((1, 2, 3))},{chance.uniform(100, 400):.0f},90,200,300"
        for n in range(1, boats + 1)
    ]
    (folder / "track").mkdir(parents=True)
    voyage = (shipped("routes") / "lagos-azores" / "voyage.toml").read_text(encoding="utf-8")
    lines = [line for line in voyage.splitlines() if not line.startswith("boat = ")]
    (folder / "track" / "voyage.toml").write_text("\n".join(lines), encoding="utf-8")
    (folder / "boats.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    (folder / "FLEET.toml").write_text(
        f'[fleet]\ncrossings = {crossings}\n[boats]\nfile = "boats.csv"\n[tracks]\nfolders = ["track"]\n'
        f'[departures]\nfirst = "2027-04-03 09:00"\ncount = {departures}\nevery = "14 d"\n',
        encoding="utf-8",
    )
    return folder / "FLEET.toml"


@contextmanager
def fleet_of(boats: int, departures: int, crossings: int) -> Iterator[tuple[Path, Fleet]]:
    with tempfile.TemporaryDirectory() as made:
        file = lay(Path(made) / "fleet", boats, departures, crossings)
        yield file, table_of(file)


def digest(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


class Sailed(NamedTuple):
    """A run. cpu_s: of all workers together; client_s: of this process, scheduler and store; peaks_mb: the most that
    any worker had had by each quarter of the cells; up_s: until the first worker was there.
    """

    seconds: float
    cpu_s: float
    client_s: float
    peaks_mb: list[float]
    up_s: float


def sailed(table: Fleet, folder: Path, workers: int) -> Sailed:
    shutil.rmtree(folder, ignore_errors=True)
    began = time.perf_counter()
    with local_workers(workers) as client:
        client.submit(sum, (1, 2)).result()
        up_s = time.perf_counter() - began
        client.run(_warm, table.a_voyage, _asked(table), table.departures[0])
        before, own = client.run(time.process_time), time.process_time()
        peaks: list[float] = []

        def told(at: At) -> None:
            if at.cells * 4 >= (len(peaks) + 1) * at.of:
                peaks.append(peak_mb(client))

        ran = run(table, Store(folder, table), client, told)
        assert not ran.lost
        own, after = time.process_time() - own, client.run(time.process_time)
        return Sailed(ran.seconds, sum(after.values()) - sum(before.values()), own, peaks, up_s)


def _warm(facts: Facts, asked: Asked, depart: datetime) -> None:
    """What a worker loads once: the tool, the coast, and what a first cell asks for."""
    sail_cell(facts, asked, depart, None)


def _asked(table: Fleet) -> Asked:
    return Asked(table.crossings, table.seed, table.days, tuple(table.stores))


class Plain(NamedTuple):
    """A cell by itself, in this process: by the clock and by the processor."""

    seconds: float
    cpu_s: float


def plain(table: Fleet, most: int) -> Plain:
    """The mean of so many cells, from all over the table."""
    cells = [(facts, day) for facts in table.facts.values() for day in table.departures]
    some = cells[:: max(len(cells) // most, 1)]
    _warm(some[0][0], _asked(table), some[0][1])  # type: ignore[arg-type]
    began, cpu = time.perf_counter(), time.process_time()
    for facts, day in some:
        sail_cell(facts, _asked(table), day, None)  # type: ignore[arg-type]
    return Plain((time.perf_counter() - began) / len(some), (time.process_time() - cpu) / len(some))


def grow(arguments: argparse.Namespace) -> None:
    print("boats days crossings workers  cells  seconds   MB by quarters       ms of processor a cell:  store B/cell")
    print("                                                                      plain worker client")
    for boats, days, crossings, workers in TRIED:
        with fleet_of(boats, days, crossings) as (file, table):
            alone, seen = plain(table, 20), sailed(table, file.with_name("s.zarr"), workers)
            size = sum(map(len, digest(file.with_name("s.zarr")).values())) / table.cells
            each = [1000.0 * s for s in (alone.cpu_s, seen.cpu_s / table.cells, seen.client_s / table.cells)]
            print(
                f"{boats:5} {days:4} {crossings:9} {workers:7} {table.cells:6} {seen.seconds:8.1f}   "
                f"{' '.join(f'{peak:4.0f}' for peak in seen.peaks_mb):20} "
                f"{each[0]:6.0f} {each[1]:6.0f} {each[2]:6.1f} {size:13.0f}",
                flush=True,
            )
    moved(table)


def moved(table: Fleet) -> None:
    """Bytes to a worker and back for a cell: the facts go along once a block."""
    asked, facts = _asked(table), table.a_voyage
    there = len(pickle.dumps(facts))
    back = len(pickle.dumps(sail_cell(facts, asked, table.departures[0], None)))
    print(
        f"facts {there:,} bytes a block of {len(table.departures)}, answer {back:,} bytes a cell of {table.crossings}"
    )


def sleep_cell(facts: Facts, asked: Asked, depart: datetime, year: int | None) -> Values | str:
    time.sleep(ASLEEP_S)
    return _ANSWER[0]


_ANSWER: list[Any] = []


def asleep(arguments: argparse.Namespace) -> None:
    """Workers as threads of one process: they only sleep, so what is seen is the scheduler and the store."""
    with fleet_of(arguments.boats, 12, 200) as (file, table):
        _ANSWER[:] = [sail_cell(table.a_voyage, _asked(table), table.departures[0], None)]
        for workers in (1, 10, 30, 100):
            boats = table.boats if workers == 100 else table.boats[: max(2, workers * 2)]
            some, folder = replace(table, boats=boats), file.with_name(f"{workers}.zarr")
            with local_workers(workers, processes=False) as client:
                began = time.process_time()
                ran = run(some, Store(folder, some), client, None, sleep_cell)
                busy = time.process_time() - began
            best = some.cells * ASLEEP_S / workers
            print(
                f"{workers:4} workers asleep: {some.cells:6} cells in {ran.seconds:6.1f} s, "
                f"{some.cells / ran.seconds:6.1f} a second, at best {best:6.1f} s; "
                f"processor {1000 * busy / some.cells:5.1f} ms a cell",
                flush=True,
            )


def killed(arguments: argparse.Namespace) -> None:
    """The whole command as a process of its own, killed at a moment drawn over the length of a run."""
    chance = random.Random(22)
    with fleet_of(6, 2, 50) as (file, _):
        command = [sys.executable, "-m", "passage", "fleet", str(file), "--workers", "2", "--out"]
        began = time.perf_counter()
        subprocess.run([*command, str(file.with_name("whole.zarr"))], check=True, capture_output=True)
        took, whole = time.perf_counter() - began, digest(file.with_name("whole.zarr"))
        print(f"undisturbed: {took:.1f} s, {len(whole)} files")
        half = 0
        for number in range(KILLS):
            folder, moment = file.with_name(f"{number}.zarr"), chance.uniform(0.3 * took, took)
            process = subprocess.Popen([*command, str(folder)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            time.sleep(moment)
            os.kill(process.pid, signal.SIGKILL)
            process.wait()
            left = len(digest(folder)) if folder.exists() else 0
            half += 0 < left < len(whole)
            subprocess.run([*command, str(folder)], check=True, capture_output=True)
            same = digest(folder) == whole
            print(f"killed at {moment:4.1f} s with {left:3} files: {'the same' if same else 'DIFFERS'}", flush=True)
            assert same
        print(f"{KILLS} kills, {half} of them in the midst of a store: all the same, byte for byte")


def tcp(arguments: argparse.Namespace) -> None:
    """Everything a process of its own, as on several machines."""
    with fleet_of(6, 2, 50) as (file, _):
        command = [sys.executable, "-m", "passage", "fleet", str(file), "--out"]
        with _workers_over_tcp(file.with_name("scheduler.json")) as where:
            subprocess.run([*command, str(file.with_name("tcp.zarr")), "--scheduler", str(where)], check=True)
        subprocess.run([*command, str(file.with_name("own.zarr"))], check=True, stdout=subprocess.DEVNULL)
        same = digest(file.with_name("tcp.zarr")) == digest(file.with_name("own.zarr"))
        print("over TCP and by own workers:", "the same, byte for byte" if same else "DIFFERS")
        assert same


@contextmanager
def _workers_over_tcp(where: Path) -> Iterator[Path]:
    """A scheduler and two workers as processes of their own, on loopback; the file by which they find one another."""
    shared = ["--scheduler-file", str(where), "--no-dashboard"]
    started = [_dask("scheduler", "--host", "127.0.0.1", "--port", "0", *shared)]
    try:
        while not where.exists():
            time.sleep(0.1)
        started += [_dask("worker", "--nthreads", "1", *shared) for _ in range(2)]
        yield where
    finally:
        for process in reversed(started):
            process.terminate()
            process.wait()


def _dask(what: str, *words: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-m", f"distributed.cli.dask_{what}", *words], stderr=subprocess.DEVNULL)


def rally(arguments: argparse.Namespace) -> None:
    """Two workers beside one, and beside the sum of plain runs; killed again and again, and ended by workers that are
    processes of their own.
    """
    with fleet_of(arguments.boats, arguments.days, arguments.crossings) as (file, table):
        alone, seen = plain(table, 60), {}
        print(f"{table.cells} cells; plain {alone.seconds:.4f} s each, {alone.cpu_s:.4f} of processor", flush=True)
        print(f"with as many in another process beside them {_side_by_side(file):.2f} times as long", flush=True)
        for workers in (1, 2):
            now = seen[workers] = sailed(table, file.with_name(f"{workers}.zarr"), workers)
            quarters = ", ".join(f"{peak:.0f}" for peak in now.peaks_mb)
            print(
                f"{workers} worker(s): {now.seconds:.1f} s, {now.cpu_s:.1f} of processor, {now.client_s:.1f} of this "
                f"process; MB of a worker by quarters {quarters}; up after {now.up_s:.1f} s",
                flush=True,
            )
        one, two, whole = seen[1], seen[2], alone.seconds * table.cells
        print(f"two are {one.seconds / two.seconds:.2f} times as fast as one")
        print(f"one takes {one.seconds / whole:.2f} of the sum of plain cells, {whole:.1f} s;", end=" ")
        print(f"by processor {one.cpu_s / (alone.cpu_s * table.cells):.2f}")
        same = digest(file.with_name("1.zarr")) == digest(file.with_name("2.zarr"))
        print("one and two: the same, byte for byte" if same else "one and two: DIFFERS", flush=True)
        if arguments.kills:
            _killed_again_and_again(file, two.seconds, arguments.kills)


def _side_by_side(file: Path) -> float:
    """How much longer plain cells take when as many are sailed beside them in another process, with no dask at all:
    what two workers of this machine can do at best is two over this.
    """
    command = [sys.executable, __file__, "plain", "--fleet", str(file)]
    environment = os.environ | {name: str(value) for name, value in WORKERS_ENVIRONMENT.items()}

    def seconds(processes: int) -> float:
        started = [subprocess.Popen(command, stdout=subprocess.PIPE, env=environment) for _ in range(processes)]
        return max(float(process.communicate()[0]) for process in started)

    return seconds(2) / seconds(1)


def plain_cells(arguments: argparse.Namespace) -> None:
    """Only for ``_side_by_side``: seconds of a plain cell, printed."""
    print(plain(table_of(arguments.fleet), 60).seconds)


def _killed_again_and_again(file: Path, whole_s: float, kills: int) -> None:
    """The command, killed at random moments, the rest sailed over TCP: the bytes of two workers?"""
    folder, chance = file.with_name("killed.zarr"), random.Random(22)
    command = [sys.executable, "-m", "passage", "fleet", str(file), "--out", str(folder)]
    whole, began, seen = digest(file.with_name("2.zarr")), time.perf_counter(), []
    for _ in range(kills):
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(UP_S + chance.uniform(0.0, 1.6 * whole_s / kills))
        seen.append(process.poll())
        os.kill(process.pid, signal.SIGKILL)
        process.wait()
        seen[-1] = len(digest(folder)) if seen[-1] is None and folder.exists() else -1
    print(f"killed {kills} times, with so many files of {len(whole)}: {', '.join(map(str, seen))}", flush=True)
    with _workers_over_tcp(file.with_name("scheduler.json")) as where:
        subprocess.run([*command, "--scheduler", str(where)], check=True, stdout=subprocess.DEVNULL)
    same = "the same, byte for byte" if digest(folder) == whole else "DIFFERS"
    print(f"the rest sailed over TCP; all in {time.perf_counter() - began:.0f} s: {same}")


def main(words: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=WHAT)
    parser.add_argument("--boats", type=int, default=200)
    parser.add_argument("--days", type=int, default=12)
    parser.add_argument("--crossings", type=int, default=200)
    parser.add_argument("--kills", type=int, default=KILLS, help="of the rally; none of it with 0")
    parser.add_argument("--fleet", type=Path, help=argparse.SUPPRESS)
    arguments = parser.parse_args(words)
    WHAT[arguments.what](arguments)


WHAT = {"grow": grow, "asleep": asleep, "killed": killed, "tcp": tcp, "rally": rally, "plain": plain_cells}


if __name__ == "__main__":
    main()
