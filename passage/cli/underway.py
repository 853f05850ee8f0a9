"""The commands that answer from the log: where we are and what lasts; what it taught for the next passage."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import click

from passage.cli.group import main
from passage.cli.options import (
    Asked,
    answer,
    answer_options,
    folder_argument,
    out_option,
    paper_option,
    seed_option,
    warn,
)
from passage.cli.progress import at

if TYPE_CHECKING:
    from pathlib import Path


@main.command()
@folder_argument
@click.option(
    "--if",
    "what",
    default="",
    metavar="TEXT",
    help="Suppose one thing: 'motor 20 h', 'ration 2 L', 'speed 80 %', 'rudder lost'.",
)
@click.option("--time", default="", metavar="UTC", help="The moment to ask for; this one if left out.")
@click.option("--crossings", type=click.IntRange(20, 20_000), default=1000, show_default=True, help="How many to sail.")
@seed_option
@out_option("--card", "Print it there too, on one page of PDF.")
@paper_option
@answer_options
def now(
    folder: Path,
    what: str,
    time: str,
    crossings: int,
    seed: int,
    card: Path | None,
    paper: Literal["a4", "us-letter"],
    asked: Asked,
) -> None:
    """Where we are by the log, when we are in, and what lasts.

    The crossings are sailed from here.
    """
    from passage import logbook
    from passage.api import read
    from passage.plan.sheets import now as sheet

    facts = read(folder)
    with at("sailing from here") as progress:
        told = logbook.now(facts, what, time, crossings, seed, progress)
    if card:
        from passage.plan.document import write_now

        write_now(told, facts, card, paper)
    answer(told, asked, lambda: sheet.now_short(told), lambda: sheet.now_card(told), tight=True)
    warn(logbook.read(folder).warnings)


@main.command()
@folder_argument
@click.option("--accept", is_flag=True, help="Write the changes into the files, and a note of it into the log.")
@click.option("--yes", is_flag=True, help="Learn from a log without a landfall, or once more.")
@answer_options
def relearn(folder: Path, accept: bool, yes: bool, asked: Asked) -> None:
    """What the log taught, as changes for you to accept.

    After landfall; the changes are to boat.toml and crew.toml.
    """
    from passage import logbook
    from passage.api import read
    from passage.plan.sheets import relearned as sheet

    with at("learning from the log"):
        told, warnings = logbook.relearn(read(folder), accept=accept, yes=yes)
    answer(told, asked, lambda: sheet.relearned_short(told), lambda: sheet.relearned_card(told))
    warn(warnings)
