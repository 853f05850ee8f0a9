"""The commands that hand the plan on: to other programs in open formats, to a browser as one page."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from passage.cli.group import main
from passage.cli.options import ToSail, breakage_option, here, json_option, moment, out_option, sailing_options, tell
from passage.cli.progress import at

if TYPE_CHECKING:
    from pathlib import Path


FORMATS = {"gpx": "gpx", "geojson": "geojson", "ics": "ics", "csv": "csv.zip", "netcdf": "nc"}


@main.command()
@sailing_options
@click.argument("format", type=click.Choice(list(FORMATS)))
@out_option("--out", "Where to write it.")
@json_option
def export(to_sail: ToSail, format: str, out: Path | None, as_json: bool) -> None:
    """Write the plan in an open format.

    gpx: route and waypoints; geojson: track and run by day; ics: departure, landfall, reports, watches, sun; csv: every
    table, zipped; netcdf: the crossings.
    """
    from passage import api
    from passage.plan.sheets.handed import HandedOn, handed_on_text

    path = out or here(to_sail.facts.folder, FORMATS[format])
    with at(f"writing {format}"):
        content = to_sail.answered(f"export-{format}", lambda: _exported(to_sail, format))
        api.write(path, content, to_sail.facts)
    tell(HandedOn(format, str(path)), as_json, handed_on_text)


def _exported(to_sail: ToSail, format: str) -> bytes:
    from passage.plan.exports import work_behind, work_for_mate

    with to_sail.worked_on(work_behind(format), work_for_mate(format)) as outcome:
        return outcome.export(format)


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
def page_command(to_sail: ToSail, out: Path | None, choosing: bool, as_json: bool) -> None:
    """Write one page for a browser, a phone's too.

    It shows the crossings day by day, without a network.
    """
    from passage import api
    from passage.plan.sheets.handed import PageWritten, page_text

    path = out or here(to_sail.facts.folder, "page.html")
    content, sailed = to_sail.answered("page", lambda: _page(to_sail, choosing), choosing)
    api.write(path, content, to_sail.facts)
    tell(PageWritten(str(path), len(content), sailed), as_json, page_text)


def _page(to_sail: ToSail, choosing: bool) -> tuple[bytes, int]:
    """The page, and how many crossings it shows."""
    from passage import api
    from passage.plan.page import assemble

    with to_sail.worked_on(assemble.KEPT, found=assemble.FOUND) as outcome:
        sailed = outcome.crossings
        with at("looking for tracks"):
            chosen = api.choices(outcome.facts, sailed.members, sailed.seed, sailed.depart) if choosing else ()
        with at("making the page"):
            return assemble.page_html(outcome, chosen), outcome.times.crossings
