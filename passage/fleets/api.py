"""A fleet as the library has it: ``passage.fleet("FLEET.toml")`` sails what is not sailed yet and gives the Dataset."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from passage.errors import Fault, InputFaults
from passage.fleets.run import MEMORY_MB, Ran, dashboard, local_workers, peak_mb, refuse_without, run, workers_at
from passage.fleets.table import table_of
from passage.inputs.output import write_out

if TYPE_CHECKING:
    from collections.abc import Callable
    from contextlib import AbstractContextManager
    from typing import Any

    from passage.fleets.dataset import FleetDataset
    from passage.fleets.run import At
    from passage.fleets.table import Fleet
    from passage.plan.sheets.fleet import FleetTold

ENDING = ".zarr"


class FleetSailed(NamedTuple):
    """dataset: every figure; told: what people are told of it; ran: what this run did."""

    dataset: FleetDataset
    told: FleetTold
    ran: Ran


def fleet(
    file: str | Path,
    out: str | Path | None = None,
    *,
    workers: int | None = None,
    memory_mb: float = MEMORY_MB,
    scheduler: str | None = None,
    progress: Callable[[At], None] | None = None,
) -> FleetDataset:
    """Sail a fleet file's table of boats, tracks, departures and climates, and give it as an ``xarray.Dataset`` whose
    ``to_frame()`` has a row for every cell.

    out: the Zarr store, named after the file where left out; what stands in it is not sailed again. workers: processes,
    as many as there are processors if left out, each within ``memory_mb``; scheduler: the address or the file of a dask
    scheduler whose workers are taken instead. Every cell has the very bits of ``passage.sail``, whoever sails it. Needs
    the extra ``fleet``. Raises InputFaults, MissingExtra, and OSError where the disk refuses: the same again goes on.
    """
    return sail_fleet(file, out, workers=workers, memory_mb=memory_mb, scheduler=scheduler, progress=progress).dataset


def sail_fleet(
    file: str | Path,
    out: str | Path | None = None,
    *,
    workers: int | None = None,
    memory_mb: float = MEMORY_MB,
    scheduler: str | None = None,
    progress: Callable[[At], None] | None = None,
    page: Path | None = None,
    picture: Path | None = None,
    ready: Callable[[str], None] | None = None,
) -> FleetSailed:
    """As ``fleet``, with what people are told, written as a page for a browser and a picture (SVG) where asked. ready:
    called with the address of dask's own dashboard, '' without one, when the workers are there.
    """
    table = table_of(Path(file))
    refuse_without()
    from passage.fleets.dataset import open_store
    from passage.fleets.store import Store
    from passage.fleets.told import fleet_told
    from passage.plan.sheets import fleet as sheet

    folder = Path(out) if out else Path(Path(file).stem.lower() + ENDING)
    store = Store(folder, table)
    if store.whole():
        ran = Ran(kept=table.cells)
    else:
        with _workers(workers, memory_mb, scheduler) as client:
            if ready:
                ready(dashboard(client))
            ran = run(table, store, client, progress)
            ran.peak_mb = peak_mb(client)
    dataset = open_store(folder)
    written = tuple(str(path) for path in (page, picture) if path)
    told = fleet_told(dataset, str(folder), ran.lost, written)
    for path, made in ((page, sheet.page), (picture, sheet.picture)):
        if path:
            _write(path, made(told).encode(), table, Path(file))
    return FleetSailed(dataset, told, ran)


def _workers(number: int | None, memory_mb: float, scheduler: str | None) -> AbstractContextManager[Any]:
    return local_workers(number, memory_mb) if scheduler is None else workers_at(scheduler)


def _write(path: Path, content: bytes, table: Fleet, file: Path) -> None:
    """Never over the fleet's own file, a voyage's or a log. Raises InputFaults, OSError."""
    if path.is_file() and path.samefile(file):
        raise InputFaults([Fault(str(path), 0, "", "the fleet's own file stands there", "name another file to write")])
    write_out(path, content, table.a_voyage)
