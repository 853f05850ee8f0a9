"""The commands with which a voyage begins: a folder made from a few answers, a boat given a folder of her own."""

from __future__ import annotations

import functools
import sys
from typing import TYPE_CHECKING, Any

import click

from passage.cli.group import Summarised, main
from passage.cli.options import as_path, crossing_options, folder_argument, json_option, tell
from passage.cli.progress import at, quiet

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime
    from pathlib import Path

    from passage.api import Question


def _answered(command: Callable[..., Any]) -> Callable[..., Any]:
    """An option for each question; the command is given them as ``typed``, those left out left out."""

    @functools.wraps(command)
    def with_answers(**arguments: Any) -> Any:
        typed = {key: arguments.pop(f"answer_{key}") for key in ANSWERS}
        return command(typed={key: text for key, text in typed.items() if text}, **arguments)

    options = [click.option(f"--{key}", f"answer_{key}", metavar="TEXT", help=said) for key, said in ANSWERS.items()]
    return functools.reduce(lambda decorated, option: option(decorated), reversed(options), with_answers)


ANSWERS = {
    "from": "A harbour by name, with its country, or a position.",
    "to": "The same.",
    "when": "A month, or a day: 'June', 'June 2027', '2027-06-12'.",
    "boat": "'10.2 m', '10.2 m, 6.8 t, 48 m2', or the folder of a boat.",
    "crew": "How many, or 'F 52 61 kg, M 55 82 kg'.",
    "tanks": "Water and fuel: '200 L, 100 L'; water alone without an engine.",
    "power": "Panels and house bank: '200 W, 200 Ah', or 'none'.",
}


@main.command()
@folder_argument
@_answered
@click.option("--answers", "file", callback=as_path, metavar="FILE", help="A TOML file with any of these seven.")
@click.option("--name", help="Name of the voyage; from its harbours if left out.")
@click.option("--template", is_flag=True, help="Ask nothing: every file there is, every key explained, to edit.")
@json_option
def new(
    folder: Path, typed: dict[str, str], file: Path | None, name: str | None, template: bool, as_json: bool
) -> None:
    """Begin a voyage: seven questions, and a first answer.

    Each has a default. Without a terminal, or with --from and --to or --answers, nothing is asked.
    """
    from passage import api
    from passage.tell.terminal import blocks_text

    if template:
        from passage.plan.sheets.before import new_card

        tell(api.new(folder, name or ""), as_json, lambda made: blocks_text(new_card(made)))
        return
    if file is None and not {"from", "to"} <= typed.keys():
        if not sys.stdin.isatty():
            raise click.UsageError("--from and --to say where from and where to; or --answers FILE, or --template")
        typed = _ask(folder, typed)
    from passage.plan.sheets.first import begun_card

    with at("laying a first track and sailing it") as progress:
        begun = api.begin(folder, typed, name or "", file=file, progress=progress)
    tell(begun, as_json, lambda told: blocks_text(begun_card(told)))


def _ask(folder: Path, typed: dict[str, str]) -> dict[str, str]:
    """The questions one by one, each again until it can be read; those of a boat that is known are not asked."""
    from passage import api

    quiet()  # the line of what work is at would stand over the questions
    click.echo("Seven questions; Enter takes what stands in brackets.\n", err=True)
    for question in api.questions(folder):
        known = typed.get("boat", "") and question.key in OF_A_NEW_BOAT and api.is_boat(typed["boat"])
        if question.key not in typed and not known:
            typed[question.key] = _one(question)
    click.echo(err=True)
    return typed


WIDTH = 78  # columns of a question
OF_A_NEW_BOAT = ("crew", "tanks", "power")


def _one(question: Question) -> str:
    from passage import api

    click.echo(click.wrap_text(f"{question.asks}: {question.about}", WIDTH, "", "  "), err=True)
    while True:
        text: str = click.prompt(f"  {question.asks}", default=question.default, err=True)
        if not (why := api.unread(question, text)):
            return text
        click.echo(click.wrap_text(why, WIDTH, "  ", "  "), err=True)


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


@main.command("compare")
@crossing_options
@click.option(
    "--with",
    "refits",
    multiple=True,
    required=True,
    metavar="TEXT",
    help="'panels 350 W for 400', 'water +40 L', 'performance_mean 85 %', 'trysail 8 kg', a boat's folder; again.",
)
@json_option
def compare_command(
    folder: Path, crossings: int, seed: int, depart: datetime | None, refits: tuple[str, ...], as_json: bool
) -> None:
    """Refits side by side, by the same crossings.

    Each is tried by itself: days, stores, battery, watches, weight and, where a price is said, what it buys.
    """
    from passage import api
    from passage.plan.sheets import compared
    from passage.tell.terminal import blocks_text

    with at("sailing") as progress:
        told = compared.table(api.compare(api.read(folder), refits, crossings, seed, depart, progress))
    tell({"compare": told}, as_json, lambda _: blocks_text(compared.compared_card(told)))


@main.command("foods")
@click.argument("part", default="")
@click.option("--in", "folder", callback=as_path, metavar="FOLDER", help="With the pantry of this voyage or boat.")
@json_option
def foods_command(part: str, folder: Path | None, as_json: bool) -> None:
    """Foods that a pantry may name, by a part of the name.

    Energy and protein of 100 g, how long it keeps, price and what is aboard.
    """
    from passage import api
    from passage.plan.sheets.foods import foods_card
    from passage.tell.terminal import blocks_text

    tell(api.foods(part, folder), as_json, lambda told: blocks_text(foods_card(told)))


@main.command("desk")
@click.argument("folder", callback=as_path, default=".")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="To be reached at; a free one if left out.")
@click.option("--no-browser", is_flag=True, help="Open no browser: print the address alone.")
def desk_command(folder: Path, port: int, no_browser: bool) -> None:
    """Plan in the browser: facts left, what follows right.

    Served on this machine alone, until Ctrl-C. FOLDER is a voyage's, or one in which voyages are or are to be; this one
    if left out. Needs the extra 'desk'.
    """
    from passage.cli.progress import quiet
    from passage.desk.serve import serve

    quiet()
    serve(folder, lambda address: click.echo(f"The desk: {address}\nCtrl-C closes it."), port, browser=not no_browser)
