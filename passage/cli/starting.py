"""The commands with which a voyage begins: a folder made from a few answers, a boat given a folder of her own."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from passage.cli.group import Summarised, main
from passage.cli.options import as_path, folder_argument, json_option, tell

if TYPE_CHECKING:
    from pathlib import Path


@main.command()
@folder_argument
@click.option("--name", help="Name of the voyage; the folder's name if left out.")
@json_option
def new(folder: Path, name: str | None, as_json: bool) -> None:
    """Make a commented voyage folder to edit."""
    from passage import api
    from passage.plan.sheets.before import new_card
    from passage.tell.terminal import blocks_text

    tell(api.new(folder, name or ""), as_json, lambda made: blocks_text(new_card(made)))


@main.group(cls=Summarised)
def boat() -> None:
    """One boat, many voyages."""


@boat.command()
@folder_argument
@click.option(
    "--to", "boat_folder", callback=as_path, metavar="FOLDER", help="The boat's folder; FOLDER-boat beside it."
)
@json_option
def split(folder: Path, boat_folder: Path | None, as_json: bool) -> None:
    """Part a voyage folder: what is the boat's goes to a folder of her own.

    The voyage then names her, and so may the next one: boat = "../my-boat" in voyage.toml. What a voyage's own
    files say overrules what the boat's say, key by key.
    """
    from passage import api
    from passage.plan.sheets.before import split_card
    from passage.tell.terminal import blocks_text

    tell(api.split(folder, boat_folder), as_json, lambda made: blocks_text(split_card(made)))
