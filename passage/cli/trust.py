"""The command that holds the tool against what others published."""

from __future__ import annotations

import sys

import click

from passage.cli.group import main
from passage.cli.options import json_option, tell
from passage.cli.progress import at


@main.command()
@click.option("--full", is_flag=True, help="Print every value beside ours, not only what does not hold.")
@json_option
def verify(full: bool, as_json: bool) -> None:
    """Hold published check values against this tool.

    Worked out on this machine; exit status 1 if any does not hold.
    """
    from passage import api
    from passage.plan.sheets.verified import full_text, verified_text

    with at("holding published values against ours"):
        table = api.verify()
    tell(table, as_json, full_text if full else verified_text)
    sys.exit(1 if table.failed_count else 0)
