"""Commands about the winds of years: those on record, and a record of your own."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from passage.cli.group import Summarised, main
from passage.cli.options import (
    answer_options,
    answer_text,
    as_path,
    folder_argument,
    json_option,
    moment,
    say_once,
    seed_option,
    tell,
)
from passage.cli.progress import at

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from passage.cli.options import Asked


@main.command()
@click.option(
    "--depart", metavar="DATE", callback=moment, help="Leave then instead, in UTC; of the years day and month."
)
@click.option("--crossings", type=click.IntRange(20, 2_000), default=200, show_default=True, help="In each year.")
@seed_option
@folder_argument
@answer_options
def years(folder: Path, depart: datetime | None, crossings: int, seed: int, asked: Asked) -> None:
    """The passage in the winds of real years, beside the averages.

    Months of 1982 to 1992, or of your own climate file.
    """
    from passage import api
    from passage.plan.sheets import years as sheet

    facts = api.read(folder)

    def told() -> str:
        with at("sailing year by year"):
            table = api.years(facts, crossings, seed, depart)
        return answer_text({"years": table}, asked, lambda: sheet.years_card(table), lambda: sheet.full_card(table))

    say_once(facts, "years", asked, told, crossings, seed, depart)


@main.group(cls=Summarised)
def climate() -> None:
    """A climate of your own record of the wind."""


@climate.command("build")
@click.argument("sources", nargs=-1, required=True)
@click.option("--out", required=True, callback=as_path, help="Where to write the climate file, as NetCDF.")
@click.option("--full", is_flag=True, help="Also what is in the file, and how it is used.")
@json_option
def build(sources: tuple[str, ...], out: Path, full: bool, as_json: bool) -> None:
    """Make a climate file and real years of hourly wind.

    SOURCES are files or Zarr folders of hourly to 6-hourly wind at 10 m, any years, any grid.
    """
    from passage import api
    from passage.plan.sheets import climate as sheet
    from passage.tell.terminal import blocks_text

    with at("summing month by month") as progress:
        told = api.build_climate(sources, out, progress)
    tell(told, as_json, lambda _: blocks_text(sheet.full_card(told) if full else sheet.built_card(told)))
