"""Options and answers that the commands share."""

from __future__ import annotations

import errno
import functools
import os
import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

from passage.errors import NotTold
from passage.hidden import uncovered, uncovered_json
from passage.steps import Steps

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from datetime import datetime
    from pathlib import Path

    from passage.api import Sailing
    from passage.plan.editions import Edition
    from passage.plan.sheet import Sheet


LONG_S = 0.5  # work that takes longer says what it is at
LARGEST_SEED = 999_999_999  # nine digits, which a file of crossings can hold
CLEAR = "\r\x1b[K"  # the line that the terminal stands on


def as_path(ctx: click.Context, param: click.Parameter, text: str | None) -> Path | None:
    """A path from an option; only a command that is run loads what that takes, so that --help need not."""
    from pathlib import Path

    return Path(text) if text is not None else None


def here(folder: Path, ending: str) -> Path:
    """A file named after a voyage's folder, where the command is run."""
    from pathlib import Path

    return Path(f"{folder.resolve().name}.{ending}")


folder_argument = click.argument("folder", callback=as_path)


def out_option(name: str, about: str) -> Callable[..., Any]:
    """An option that names a file to be written."""
    return click.option(name, type=click.Path(dir_okay=False), callback=as_path, help=about)


paper_option = click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)


seed_option = click.option(
    "--seed", type=click.IntRange(0, LARGEST_SEED), default=1, show_default=True, help="Another seed, another luck."
)


json_option = click.option("--json", "as_json", is_flag=True, help="Print the numbers as JSON; keys are in the guide.")


def moment(ctx: click.Context, param: click.Parameter, text: str | None) -> datetime | None:
    """A day and hour in UTC, or a day alone for its noon, from an option."""
    from passage.api import moment as departure_at
    from passage.units import Misread

    try:
        return departure_at(text) if text else None
    except Misread as misread:
        raise click.BadParameter(str(misread), ctx, param) from None


def place(ctx: click.Context, param: click.Parameter, text: str | None) -> tuple[float, float] | None:
    """Latitude and longitude from an option."""
    from passage.api import position as parse_position
    from passage.units import Misread

    try:
        return parse_position(text) if text else None
    except Misread as misread:
        raise click.BadParameter(str(misread), ctx, param) from None


def finite(ctx: click.Context, param: click.Parameter, value: float | None) -> float | None:
    """A number from an option; 'nan' lies within any bounds, for click."""
    if value is not None and value != value:
        raise click.BadParameter("this is no number", ctx, param)
    return value


class _Named(click.Option):
    """An option whose help lists the sheets of the plan; they are looked up when the help is asked for."""

    def get_help_record(self, ctx: click.Context) -> tuple[str, str] | None:
        from passage.plan.editions import names_in_words

        record = super().get_help_record(ctx)
        return record and (record[0], f"{record[1]} Names: {names_in_words()}.")


def _chosen(ctx: click.Context, param: click.Parameter, names: str | None) -> Edition | None:
    """The edition asked for; None for the whole plan."""
    short = ctx.params.pop("short")
    if short and names is not None:
        raise click.UsageError("--short and --only do not go together: --only chooses the sheets itself")
    if not short and names is None:
        return None
    from passage.plan.editions import SHORT, only

    return SHORT if names is None else only(names)


def edition_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """What of the plan to print; the command is given an ``edition``, None for the whole."""
    short = click.option("--short", is_flag=True, is_eager=True, help="Four pages: what is needed most.")
    named = click.option(
        "--only",
        "edition",
        cls=_Named,
        metavar="NAMES",
        callback=_chosen,
        help="These sheets or cards alone, with commas between, as in rota,distress.",
    )
    return short(named(command))


def crossing_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The folder, how many crossings, their luck and their day."""
    options = (
        click.option(
            "--crossings", type=click.IntRange(20, 20_000), default=1000, show_default=True, help="How many to sail."
        ),
        seed_option,
        click.option(
            "--depart",
            metavar="DATE",
            callback=moment,
            help="Leave then instead, in UTC: '2027-02-10' or '2027-02-10 08:00'.",
        ),
        folder_argument,
    )
    return functools.reduce(lambda decorated, option: option(decorated), reversed(options), command)


def sailing_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Options of every command that sails the crossings; the command is given an ``outcome`` instead."""

    @crossing_options
    @functools.wraps(command)
    def sailing_command(
        folder: Path,
        crossings: int,
        seed: int,
        depart: datetime | None,
        today: datetime | None = None,
        **others: Any,
    ) -> Any:
        return command(outcome=sailed(folder, crossings, seed, depart, today), **others)

    return sailing_command


def sailed(
    folder: Path,
    crossings: int,
    seed: int,
    depart: datetime | None,
    today: datetime | None = None,
    steps: Steps | None = None,
) -> Sailing:
    steps = steps or Steps()
    with steps("reading"):
        from passage import api

        facts = api.read(folder, today.date() if today else None)
    with steps("laying the track"):
        ground = api.lay(facts, depart or facts.voyage.departure.depart)
    with steps("sailing"), Progress("sailing") as progress:
        return api.sail(facts, crossings, seed, depart, ground=ground, progress=progress)


@contextmanager
def working() -> Iterator[Steps]:
    """Steps of long work, named on stderr once it has taken half a second; silent where that is no terminal."""

    def told(step: str) -> None:
        if _watched() and steps.since_loaded > LONG_S:
            click.echo(f"{CLEAR}working: {step}", nl=False, err=True)

    steps = Steps(told)
    try:
        yield steps
    finally:
        if _watched():
            click.echo(CLEAR, nl=False, err=True)


def _watched() -> bool:
    """Whether somebody sees what is said on stderr as it is said; None: it was closed before we began."""
    return sys.stderr is not None and sys.stderr.isatty()


class Progress:
    """A bar on stderr for work that has taken half a second; silent where stderr is no terminal."""

    def __init__(self, label: str) -> None:
        from time import monotonic

        self._label, self._clock, self._start, self._drawn = label, monotonic, monotonic(), False

    def __enter__(self) -> Callable[[float], None]:
        return self._show

    def __exit__(self, *_: object) -> None:
        if self._drawn:
            click.echo(CLEAR, nl=False, err=True)

    def _show(self, share: float) -> None:
        if _watched() and self._clock() - self._start > LONG_S:
            self._drawn = True
            done = int(40 * min(share, 1.0))
            click.echo(
                f"\r{self._label} {'=' * done}{' ' * (40 - done)} {100 * min(share, 1.0):3.0f} %", nl=False, err=True
            )


def tell_sheets(outcome: Sailing, as_json: bool, *sheets: Sheet) -> None:
    """The records of some sheets under their names, or their cards one after another."""
    tell_records({sheet.name: sheet.table(outcome) for sheet in sheets}, as_json, *sheets)


def tell_records(records: dict[str, Any], as_json: bool, *sheets: Sheet) -> None:
    def text(_: Any) -> str:
        return "\n\n".join(sheet.text(records[sheet.name]) for sheet in sheets)

    tell(records, as_json, text)


def warn(sentences: Iterable[str]) -> None:
    """What there is to say beside the answer, on stderr."""
    from passage.cli.screen import BOLD, NORMAL, shows_weight

    mark = f"{BOLD}Warning:{NORMAL} " if shows_weight(sys.stderr) else ""
    for sentence in sentences:
        click.echo(f"{mark}{uncovered(sentence)}", err=True)


def _on_screen(table: Any, text: Callable[[Any], str]) -> str:
    from passage.cli.screen import in_bold, screen
    from passage.tell.terminal import SCREEN

    shown = screen()
    kept = SCREEN.set(shown)
    try:
        said = text(table)
    finally:
        SCREEN.reset(kept)
    return in_bold(said) if shown.bold else uncovered(said)


def tell(table: Any, as_json: bool, text: Callable[[Any], str]) -> None:
    """Print it, as JSON or in words. Raises NotTold where what it is printed to takes no more."""
    if as_json:
        import json

        from passage.tell.records import as_json as in_json

        said = uncovered_json(json.dumps(in_json(table), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        said = _on_screen(table, text)
    try:
        click.echo(said)
    except OSError as trouble:
        if trouble.errno == errno.EPIPE:  # who reads has read enough; click ends it without a word
            raise
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # or what waits to be printed fails once more
        raise NotTold(f"The answer could not be printed: {trouble.strerror}.") from None
