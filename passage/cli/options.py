"""Options and answers that the commands share."""

from __future__ import annotations

import errno
import functools
import os
import sys
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import click

from passage.cli.progress import at, quiet
from passage.errors import NotTold
from passage.hidden import uncovered, uncovered_json
from passage.steps import Steps

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from datetime import datetime
    from pathlib import Path

    from passage.api import Facts, Sailing
    from passage.plan.editions import Edition
    from passage.plan.sheet import Sheet
    from passage.tell.blocks import Blocks

    Work = Callable[[Any], Any]


Result = TypeVar("Result")

LARGEST_SEED = 999_999_999  # nine digits, which a file of crossings can hold


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


class Asked(NamedTuple):
    """How much of an answer is wanted. full: all of it; words: what is said of these alone; else in short."""

    full: bool
    words: tuple[str, ...]
    as_json: bool

    @property
    def in_short(self) -> bool:
        return not (self.full or self.words)

    def of(self, short: Callable[[], Blocks], full: Callable[[], Blocks]) -> Blocks:
        """The blocks to print; those of the whole are made only where it is asked for. Raises InputFaults for a word
        of which nothing is said.
        """
        if self.in_short:
            said = short()
            return (*said, *_more()) if len(said) > 1 else said
        if not self.words:
            return full()
        from passage.tell.narrow import narrowed

        return narrowed(full(), self.words)


def _more() -> Blocks:
    from passage.tell.blocks import Head, Say

    return (Head("More"), Say("--full, or a word behind the folder for what is said of that"))


def answer_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """How much to print; the command is given ``asked``. Stands below what gives the folder."""

    @functools.wraps(command)
    def with_asked(full: bool, words: tuple[str, ...], as_json: bool, **others: Any) -> Any:
        return command(asked=Asked(full, words, as_json), **others)

    named = click.argument("words", nargs=-1, metavar="[WORD]...")
    whole = click.option(
        "--full", is_flag=True, help="Print all of it; a WORD behind the folder, what is said of that."
    )
    return named(whole(json_option(with_asked)))


def answer(
    told: Any, asked: Asked, short: Callable[[], Blocks], full: Callable[[], Blocks], *, tight: bool = False
) -> None:
    """Print it as JSON, in short, whole, or what is said of some words. tight: the whole without empty lines too."""
    say(answer_text(told, asked, short, full, tight=tight))


def answer_text(
    told: Any, asked: Asked, short: Callable[[], Blocks], full: Callable[[], Blocks], *, tight: bool = False
) -> str:
    """What ``answer`` prints."""

    def text(_: Any) -> str:
        from passage.tell.terminal import blocks_text

        return blocks_text(asked.of(short, full), tight=tight or asked.in_short)

    return _written(told, asked.as_json, text)


def say_once(facts: Facts, name: str, asked: Asked, make: Callable[[], str], *said: Any, anew: bool = False) -> None:
    """Print an answer, from the disk where the same was asked of the same before. said: all that it hangs on beside
    the facts and their files, and how much of it is asked for; anew: where a file is written with it.
    """
    from passage.cli.screen import screen
    from passage.kept import answered

    say(make() if anew else answered(facts, name, (*said, asked, screen()), make))


class _Named(click.Option):
    """An option whose help lists the sheets of the plan; they are looked up when the help is asked for."""

    def get_help_record(self, ctx: click.Context) -> tuple[str, str] | None:
        from passage.plan.editions import names_in_words

        record = super().get_help_record(ctx)
        return record and (record[0], f"{record[1]} Names: {names_in_words()}.")


def _chosen(ctx: click.Context, param: click.Parameter, names: str | None) -> Edition | None:
    """The edition asked for; None for the whole plan."""
    short, log_pages = ctx.params.pop("short"), ctx.params.pop("log_pages")
    if short and names is not None:
        raise click.UsageError("--short and --only do not go together: --only chooses the sheets itself")
    if not short and names is None and log_pages == 1:
        return None
    from passage.plan.editions import SHORT, WHOLE, only

    chosen = SHORT if short else WHOLE if names is None else only(names)
    return chosen._replace(log_pages=log_pages)


def edition_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """What of the plan to print; the command is given an ``edition``, None for the whole."""
    short = click.option("--short", is_flag=True, is_eager=True, help="Four pages: what is needed most.")
    log_pages = click.option(
        "--log-pages",
        type=click.IntRange(1, 50),
        default=1,
        show_default=True,
        is_eager=True,
        metavar="N",
        help="Print the blank page of the log so many times.",
    )
    named = click.option(
        "--only",
        "edition",
        cls=_Named,
        metavar="NAMES",
        callback=_chosen,
        help="These sheets or cards alone, with commas between, as in rota,distress.",
    )
    return short(named(log_pages(command)))


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


breakage_option = click.option(
    "--nothing-breaks", is_flag=True, help="Leave out the crossings in which things break, as 'count = false' does."
)


def sailing_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Options of every command that sails the crossings; the command is given what is ``to_sail`` instead."""

    @crossing_options
    @functools.wraps(command)
    def sailing_command(
        folder: Path,
        crossings: int,
        seed: int,
        depart: datetime | None,
        today: datetime | None = None,
        nothing_breaks: bool = False,
        **others: Any,
    ) -> Any:
        to_sail = read_to_sail(folder, crossings, seed, depart, today, nothing_breaks=nothing_breaks)
        return command(to_sail=to_sail, **others)

    return sailing_command


@dataclass
class ToSail:
    """Crossings that are sailed when they are first asked for: an answer that was kept on disk needs none."""

    facts: Facts
    crossings: int
    seed: int
    depart: datetime | None
    steps: Steps

    @functools.cached_property
    def outcome(self) -> Sailing:
        from passage import api

        with self.steps("laying the track"), at("laying the track"):
            ground = api.lay(self.facts, self._departs)
        with self.steps("sailing"), at("sailing") as progress:
            return api.sail(self.facts, self.crossings, self.seed, self._departs, ground=ground, progress=progress)

    def answered(self, name: str, make: Callable[[], Result], *said: Any) -> Result:
        """What is made of the outcome, from the disk where the same was made before. said: what else it hangs on."""
        from passage.kept import answered

        return answered(self.facts, name, (*self._luck, *said), make)

    def say_once(self, name: str, asked: Asked, make: Callable[[], str]) -> None:
        """Print what is made of the outcome, from the disk where the same was asked before."""
        say_once(self.facts, name, asked, make, *self._luck)

    @contextmanager
    def worked_on(
        self, keep: Sequence[Work], mate: Sequence[Work] = (), found: Sequence[Work] = ()
    ) -> Iterator[Sailing]:
        """The outcome while something is made of it. keep: work behind it, to be kept on disk; mate: of it, what a
        second process is at meanwhile, in the order in which it will be asked for; found: what is taken from the disk
        where it is there.
        """
        from passage import kept
        from passage.mate import Mate

        with Mate(wanted=bool(mate)) as second:
            outcome = self.outcome
            second.set_to(outcome, kept.missing(outcome, mate))
            lacking = kept.missing(outcome, found)
            kept.keep(outcome, [*keep, *(work for work in found if work not in lacking)])
            yield outcome
        self.steps.meanwhile_s = second.busy_s

    @property
    def _luck(self) -> tuple[int, int, datetime]:
        return self.crossings, self.seed, self._departs

    @property
    def _departs(self) -> datetime:
        return self.depart or self.facts.voyage.departure.depart


def read_to_sail(
    folder: Path,
    crossings: int,
    seed: int,
    depart: datetime | None,
    today: datetime | None = None,
    steps: Steps | None = None,
    *,
    nothing_breaks: bool = False,
) -> ToSail:
    steps = steps or Steps()
    with steps("reading"), at("reading"):
        from passage import api

        facts = api.read(folder, today.date() if today else None)
        facts = api.unbreakable(facts) if nothing_breaks else facts
    return ToSail(facts, crossings, seed, depart, steps)


def typed(before: str) -> str:
    """A line typed at a prompt; a terminal lets it be edited. Raises EOFError."""
    if sys.stdin.isatty():
        from contextlib import suppress

        with suppress(ImportError):  # not on every system
            import readline  # noqa: F401
    return input(before)


def tell_sheets(to_sail: ToSail, asked: Asked, *sheets: Sheet) -> None:
    """The records of some sheets under their names, or their cards one after another."""
    name = "-".join(sheet.name for sheet in sheets)
    to_sail.say_once(name, asked, lambda: records_text(_records(to_sail.outcome, sheets), asked, *sheets))


def _records(outcome: Sailing, sheets: Sequence[Sheet]) -> dict[str, Any]:
    from passage.kept import keep

    keep(outcome, [work for sheet in sheets for work in sheet.kept])
    records = {}
    for number, sheet in enumerate(sheets, 1):
        with at(f"working out {sheet.name}, {number} of {len(sheets)}"):
            records[sheet.name] = sheet.table(outcome)
    return records


def records_text(records: dict[str, Any], asked: Asked, *sheets: Sheet) -> str:
    """The records as JSON, or the cards of their sheets."""
    return answer_text(
        records,
        asked,
        lambda: tuple(block for sheet in sheets for block in sheet.in_short(records[sheet.name])),
        lambda: tuple(block for sheet in sheets for block in sheet.blocks(records[sheet.name])),
    )


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
    """Print it, as JSON or in words. Raises as ``say``."""
    say(_written(table, as_json, text))


def _written(table: Any, as_json: bool, text: Callable[[Any], str]) -> str:
    if not as_json:
        return _on_screen(table, text)
    import json

    from passage.tell.records import as_json as in_json

    return uncovered_json(json.dumps(in_json(table), indent=2, ensure_ascii=False, allow_nan=False))


def say(said: str) -> None:
    """Print it. Raises NotTold where what it is printed to takes no more."""
    quiet()
    try:
        click.echo(said)
    except OSError as trouble:
        if trouble.errno == errno.EPIPE:  # who reads has read enough; click ends it without a word
            raise
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # or what waits to be printed fails once more
        raise NotTold(f"The answer could not be printed: {trouble.strerror}.") from None
