"""The commands that hand the plan on: to other programs in open formats, to a browser as one page."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from passage.cli.group import main
from passage.cli.options import breakage_option, here, json_option, moment, out_option, sailing_options, tell
from passage.cli.progress import at

if TYPE_CHECKING:
    from pathlib import Path

    from passage.api import Sailing

FORMATS = {"gpx": "gpx", "geojson": "geojson", "ics": "ics", "csv": "csv.zip", "netcdf": "nc"}


@main.command()
@sailing_options
@click.argument("format", type=click.Choice(list(FORMATS)))
@out_option("--out", "Where to write it.")
@json_option
def export(outcome: Sailing, format: str, out: Path | None, as_json: bool) -> None:
    """Write the plan in an open format.

    gpx: route and waypoints; geojson: track and run by day; ics: departure, landfall, reports, watches, sun; csv: every
    table, zipped; netcdf: the crossings.
    """
    from passage import api
    from passage.kept import keep
    from passage.plan.exports import work_behind
    from passage.plan.sheets.handed import HandedOn, handed_on_text

    keep(outcome, work_behind(format))
    path = out or here(outcome.facts.folder, FORMATS[format])
    with at(f"writing {format}"):
        api.write(path, outcome.export(format), outcome.facts)
    tell(HandedOn(format, str(path)), as_json, handed_on_text)


@main.command("page")
@sailing_options
@out_option("--out", "Where to write the page.")
@click.option(
    "--made", "today", metavar="DATE", callback=moment, help="Day the page is made, which it says; today if left out."
)
@breakage_option
@click.option(
    "--choices", "choosing", is_flag=True, help="With three to five tracks to choose between; takes twice as long."
)
@json_option
def page_command(outcome: Sailing, out: Path | None, choosing: bool, as_json: bool) -> None:
    """Write one page for a browser, a phone's too.

    It shows the crossings day by day, without a network.
    """
    from passage import api
    from passage.kept import keep
    from passage.plan.page import assemble

    keep(outcome, assemble.KEPT)
    path = out or here(outcome.facts.folder, "page.html")
    sailed = outcome.crossings
    with at("looking for tracks"):
        chosen = api.choices(outcome.facts, sailed.members, sailed.seed, sailed.depart) if choosing else ()
    with at("making the page"):
        told = assemble.written(outcome, path, chosen)
    tell(told, as_json, assemble.text)
