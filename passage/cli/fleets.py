"""The command for many boats."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from passage.cli.group import main
from passage.cli.options import answer, answer_options, as_path, out_option
from passage.cli.progress import at, now_at, quiet

if TYPE_CHECKING:
    from pathlib import Path

    from passage.cli.options import Asked
    from passage.fleets.run import At, Ran

LOST_STATUS = 1  # cells are still to be sailed


@main.command("fleet")
@click.argument("file", callback=as_path, metavar="FLEET.toml")
@click.option("--out", callback=as_path, metavar="FOLDER", help="The Zarr store; named after the file if left out.")
@click.option("--workers", type=click.IntRange(1, 1024), help="Processes; as many as processors if left out.")
@click.option(
    "--memory", type=click.IntRange(300, 1_000_000), default=1000, show_default=True, help="MB that each may use."
)
@click.option("--scheduler", metavar="ADDRESS", help="Take the workers of a dask scheduler: tcp://..., or its file.")
@out_option("--page", "Write one page for a browser there.")
@out_option("--picture", "Write who comes in when there, as SVG.")
@answer_options
def fleet(
    file: Path,
    out: Path | None,
    workers: int | None,
    memory: int,
    scheduler: str | None,
    page: Path | None,
    picture: Path | None,
    asked: Asked,
) -> None:
    """Many boats, days or years: who comes in when.

    Boats, tracks, departures and climates of a fleet file, every cell sailed as one boat is. What stands in the store
    is not sailed again: stopped, it goes on where it was.
    """
    from passage.fleets.api import sail_fleet
    from passage.plan.sheets.fleet import fleet_card, fleet_short

    with at("reading the fleet"):
        _, told, ran = sail_fleet(
            file,
            out,
            workers=workers,
            memory_mb=memory,
            scheduler=scheduler,
            progress=_tell,
            page=page,
            picture=picture,
            ready=_ready,
        )
    _tell_run(ran, workers_here=scheduler is None, memory_mb=memory)
    answer(told, asked, lambda: fleet_short(told), lambda: fleet_card(told))
    if ran.lost:
        sys.exit(LOST_STATUS)


def _ready(dashboard: str) -> None:
    now_at("sailing the fleet")
    if dashboard:
        click.echo(f"dask's dashboard: {dashboard}", err=True)


def _tell(far: At) -> None:
    left = f"{far.left_s / 60.0:,.0f} min" if far.left_s >= 120.0 else f"{far.left_s:.0f} s"
    now_at(f"sailing the fleet: {far.cells:,} of {far.of:,} cells, {far.per_s:.1f} a second, {left} left")


def _tell_run(ran: Ran, *, workers_here: bool, memory_mb: int) -> None:
    """What this run did, on stderr."""
    quiet()
    if not ran.cells:
        click.echo(f"Nothing was left to sail: {ran.kept:,} cells stood there.", err=True)
        return
    kept = f", {ran.kept:,} stood there" if ran.kept else ""
    within = f"; no worker had more than {ran.peak_mb:.0f} MB of {memory_mb:,}" if workers_here and ran.peak_mb else ""
    sailed = ran.cells - len(ran.lost)
    rate = sailed / max(ran.seconds, 1e-6)
    click.echo(f"{sailed:,} cells sailed in {ran.seconds:,.0f} s, {rate:.1f} a second{kept}{within}.", err=True)
