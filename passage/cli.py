"""The commands. No arithmetic and no formatting here: facts are read, the road is walked, `plan` says it.

Heavy imports stand inside the functions that need them, so that ``passage --help`` costs little more than click.
"""

from __future__ import annotations

import functools
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from passage import __version__
from passage.errors import PassageError

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from passage.road import Outcome

FAULT_STATUS = 2


class Commands(click.Group):
    """A group that turns whatever the tool refuses into sentences on stderr and exit status 2."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except PassageError as refusal:
            click.echo(str(refusal), err=True)
        except OSError as trouble:
            click.echo(f"{trouble.filename or 'a file'} cannot be read or written: {trouble.strerror}", err=True)
        sys.exit(FAULT_STATUS)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="passage")
def main() -> None:
    """Plan an ocean passage in a small boat: the same thousand crossings decide time and stores together.

    Everything it says defers to official forecasts and charts, to the COLREGs, to the rescue services and to the
    skipper.
    """


folder_argument = click.argument("folder", type=click.Path(path_type=Path))
json_option = click.option("--json", "as_json", is_flag=True, help="Print the numbers as JSON; keys are in the guide.")


def _moment(ctx: click.Context, param: click.Parameter, text: str | None) -> datetime | None:
    """A day and hour in UTC, or a day alone for its noon, from an option."""
    from passage.inputs.voyage import departure_at
    from passage.units import Misread

    try:
        return departure_at(text) if text else None
    except Misread as misread:
        raise click.BadParameter(str(misread), ctx, param) from None


def sailing_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Options of every command that sails the crossings; the command is given an ``outcome`` instead."""

    @click.option(
        "--crossings", type=click.IntRange(20, 20_000), default=1000, show_default=True, help="How many to sail."
    )
    @click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Another seed, another luck.")
    @click.option(
        "--depart",
        metavar="DATE",
        callback=_moment,
        help="Leave then instead, in UTC: '2027-02-10' or '2027-02-10 08:00'.",
    )
    @folder_argument
    @functools.wraps(command)
    def sailing_command(folder: Path, crossings: int, seed: int, depart: datetime | None, **others: Any) -> Any:
        return command(outcome=_sailed(folder, crossings, seed, depart), **others)

    return sailing_command


def _sailed(folder: Path, crossings: int, seed: int, depart: datetime | None) -> Outcome:
    from passage.crossings.wind import Luck
    from passage.inputs.folder import read_folder
    from passage.road import lay_ground, walk

    facts = read_folder(folder)
    ground = lay_ground(facts)
    with _Progress("sailing") as progress:
        return walk(facts, ground, Luck(seed, crossings), depart or facts.voyage.departure.depart, progress)


class _Progress:
    """A bar on stderr for work that has taken more than a second; silent where stderr is no terminal."""

    def __init__(self, label: str) -> None:
        from time import monotonic

        self._label, self._clock, self._start, self._drawn = label, monotonic, monotonic(), False

    def __enter__(self) -> Callable[[float], None]:
        return self._show

    def __exit__(self, *_: object) -> None:
        if self._drawn:
            click.echo("\r\x1b[K", nl=False, err=True)

    def _show(self, share: float) -> None:
        if sys.stderr.isatty() and self._clock() - self._start > 1.0:
            self._drawn = True
            done = int(40 * min(share, 1.0))
            click.echo(
                f"\r{self._label} {'=' * done}{' ' * (40 - done)} {100 * min(share, 1.0):3.0f} %", nl=False, err=True
            )


def _tell(table: dict[str, Any], as_json: bool, text: Callable[[dict[str, Any]], str]) -> None:
    if as_json:
        import json

        click.echo(json.dumps(table, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        click.echo(text(table))


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", help="Name of the voyage; the folder's name if left out.")
@json_option
def new(folder: Path, name: str | None, as_json: bool) -> None:
    """Make a commented voyage folder to edit."""
    from passage.inputs.template import write_template
    from passage.plan.sheets.before import new_table, new_text

    _tell(new_table(folder, write_template(folder, name or folder.resolve().name)), as_json, new_text)


@main.command()
@folder_argument
@json_option
def check(folder: Path, as_json: bool) -> None:
    """Read the folder and tell every fault in it; lay the track and look for land."""
    from passage.inputs.folder import read_folder
    from passage.plan.sheets.before import check_table, check_text
    from passage.road import lay_ground

    facts = read_folder(folder)
    _tell(check_table(facts, lay_ground(facts)), as_json, check_text)


@main.command("legs")
@folder_argument
@json_option
def legs_command(folder: Path, as_json: bool) -> None:
    """Legs with true and magnetic courses, distances, and the nearest land."""
    from passage.inputs.folder import read_folder
    from passage.plan.sheets import legs
    from passage.road import lay_ground

    facts = read_folder(folder)
    _tell(legs.table(facts, lay_ground(facts)), as_json, legs.text)


@main.command()
@sailing_options
@json_option
def sail(outcome: Outcome, as_json: bool) -> None:
    """Sail the crossings: how long it takes, typically and at the slow end."""
    from passage.plan.sheets import times

    _tell(times.table(outcome), as_json, times.text)


@main.command()
@sailing_options
@json_option
def stores(outcome: Outcome, as_json: bool) -> None:
    """Does the water last, and what is to be loaded."""
    from passage.plan.sheets import water

    _tell(water.table(outcome), as_json, water.text)


@main.command()
@sailing_options
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Where to write the PDF.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@click.option(
    "--made", metavar="DATE", callback=_moment, help="Day to print as the day the plan was made; today if left out."
)
@json_option
def plan(
    outcome: Outcome, out: Path | None, paper: Literal["a4", "us-letter"], made: datetime | None, as_json: bool
) -> None:
    """Print the whole plan as PDF, with a summary here."""
    from passage.plan.document import write_plan
    from passage.plan.sheets import front

    path = out or Path(f"{outcome.facts.folder.resolve().name}.plan.pdf")
    write_plan(outcome, path, paper, made.date() if made else None)
    _tell(front.table(outcome) | {"plan": str(path)}, as_json, front.text)
