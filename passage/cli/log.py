"""The log: commands that keep, correct, show, check and hand on what is written down at sea.

A noon must answer in a third of a second, so nothing of the road is imported by what only keeps.
"""

from __future__ import annotations

import functools
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Literal

import click

from passage.cli.group import log
from passage.cli.options import folder_argument, json_option, out_option, read_to_sail, tell
from passage.cli.progress import at
from passage.errors import NotTold
from passage.logbook import BETWEEN, OPTIONS

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from passage.logbook import Logged, ReportType

time_option = click.option("--time", default="", metavar="UTC", help="'2027-02-12 12:00', or '12:00'; now if left out.")
position_option = click.option("--position", default="", help="In any sailor's form: '28 14.2S 5 12.0W'.")
yes_option = click.option("--yes", is_flag=True, help="It is so, however hard to believe.")
every_option = click.option(
    "--every",
    default="",
    metavar="HOURS",
    help="From one report to the next; as the float plan says, or 24 h, if left out.",
)


def entry_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """An option for every field of an entry; the command is given them as ``given``, those left out left out."""

    @functools.wraps(command)
    def with_fields(**arguments: Any) -> Any:
        given = {name: arguments.pop(name.replace("-", "_")) for name in OPTIONS}
        return command(given={name: value for name, value in given.items() if value}, **arguments)

    options = [_field_option(name) for name in OPTIONS]
    return functools.reduce(lambda decorated, option: option(decorated), reversed(options), with_fields)


def _field_option(name: str) -> Callable[..., Any]:
    field = OPTIONS[name]
    if not field.each:
        return click.option(f"--{name}", metavar="TEXT", help=_sentence(field.meaning))
    return click.option(
        f"--{name}", multiple=True, metavar=f"{field.each.upper()}=TEXT", help=_sentence(f"{field.meaning}; again each")
    )


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _said(logged: Logged, as_json: bool) -> None:
    from passage.plan.sheets.log import said_card
    from passage.tell.terminal import blocks_text

    try:
        tell(logged, as_json, lambda _: blocks_text(said_card(logged)))
    except NotTold as trouble:
        with suppress(OSError):  # that nothing can be said of it is no reason to call it lost
            click.echo(f"Entry {logged.entry.number} is kept. {trouble} Do not write it again.", err=True)


@log.command()
@folder_argument
@time_option
@entry_options
@click.option(
    "--without-plan", is_flag=True, help="Do not sail the crossings for the plan's numbers to be held against."
)
@yes_option
@json_option
def start(folder: Path, time: str, given: dict[str, Any], without_plan: bool, yes: bool, as_json: bool) -> None:
    """Begin the log at the departure; the plan's own numbers are kept in it, to be held against what comes."""
    from passage import logbook
    from passage.api import read

    facts, at = read(folder), logbook.moment(yes)
    logbook.ask_for_anew(folder, at)
    plan = None if without_plan else _planned(folder, logbook.departure(facts, at, time))
    position = given.pop("position", "")
    _said(logbook.start(folder, facts, at, time=time, position=position, plan=plan, given=given), as_json)


def _planned(folder: Path, depart: Any) -> dict[str, Any]:
    from passage.api import CROSSINGS, SEED
    from passage.logbook import planned

    return planned(read_to_sail(folder, CROSSINGS, SEED, depart).outcome)


@log.command()
@folder_argument
def ask(folder: Path) -> None:
    """Ask for the next entry, field by field.

    Enter keeps what was before, '?' says what a field is. What was answered is offered again after an interruption.
    """
    from passage import logbook
    from passage.cli.options import typed
    from passage.plan.sheets.log import asked_card, enter_words
    from passage.tell.terminal import blocks_text

    asking = logbook.asking(folder)
    try:
        prompt = next(asking)
        while True:
            tell(prompt, False, lambda prompt: blocks_text(asked_card(prompt), tight=True))
            prompt = asking.send(typed(enter_words(prompt)))
    except StopIteration as done:
        _said(done.value, False)
    except (EOFError, KeyboardInterrupt):
        click.echo("\nNothing is kept yet; the answers so far are offered again next time.", err=True)
        click.get_current_context().exit(1)


def ask_here(ctx: click.Context) -> None:
    """Where no folder is named: ask for the voyage in which the command is run, or say what there is."""
    from pathlib import Path

    from passage.logbook import has_log

    if has_log(Path()):
        ctx.invoke(ask, folder=Path())
    else:
        click.echo(ctx.get_help())


@log.command()
@folder_argument
@time_option
@entry_options
@yes_option
@json_option
def noon(folder: Path, time: str, given: dict[str, Any], yes: bool, as_json: bool) -> None:
    """Keep a noon: whatever is known; without a position it is reckoned by course and miles."""
    from passage import logbook

    _said(logbook.noon(folder, given, logbook.moment(yes), time), as_json)


@log.command()
@folder_argument
@time_option
@entry_options
@yes_option
@json_option
def landfall(folder: Path, time: str, given: dict[str, Any], yes: bool, as_json: bool) -> None:
    """Keep the landfall: the last noon."""
    from passage import logbook

    _said(logbook.landfall(folder, given, logbook.moment(yes), time), as_json)


@log.command()
@folder_argument
@click.argument("words", nargs=-1, required=True)
@time_option
@position_option
@yes_option
@json_option
def note(folder: Path, words: tuple[str, ...], time: str, position: str, yes: bool, as_json: bool) -> None:
    """Keep a remark, with a position where one is given."""
    from passage import logbook

    _said(logbook.note(folder, " ".join(words), logbook.moment(yes), time, position), as_json)


@log.command("entry")
@folder_argument
@click.argument("kind", type=click.Choice(BETWEEN))
@time_option
@entry_options
@yes_option
@json_option
def entry_between(folder: Path, kind: str, time: str, given: dict[str, Any], yes: bool, as_json: bool) -> None:
    """Keep an entry between noons: weather, sails, watch, sighting."""
    from passage import logbook

    _said(logbook.between(folder, kind, given, logbook.moment(yes), time), as_json)


@log.command()
@folder_argument
@click.argument("words", nargs=-1, required=True)
@time_option
@yes_option
@json_option
def used(folder: Path, words: tuple[str, ...], time: str, yes: bool, as_json: bool) -> None:
    """Keep that something was opened, changed or finished: 'opened bow tank'."""
    from passage import logbook

    _said(logbook.used(folder, " ".join(words), logbook.moment(yes), time), as_json)


@log.command()
@folder_argument
@click.argument("number", type=click.IntRange(1))
@time_option
@entry_options
@click.option("--strike", is_flag=True, help="Leave the entry out of all reckoning.")
@yes_option
@json_option
def correct(
    folder: Path, number: int, time: str, given: dict[str, Any], strike: bool, yes: bool, as_json: bool
) -> None:
    """Correct entry NUMBER: the fields given stand in place of its own, and the entry stays to be read."""
    from passage import logbook

    _said(logbook.correct(folder, number, given, logbook.moment(yes), time=time, strike=strike), as_json)


@log.command()
@folder_argument
@click.option("--csv", "as_csv", is_flag=True, help="Print a row for each entry, corrections too, as CSV.")
@json_option
def show(folder: Path, as_csv: bool, as_json: bool) -> None:
    """Show every entry, corrections under what they correct."""
    from passage import logbook
    from passage.plan.sheets.log import show_card
    from passage.tell.terminal import blocks_text

    if as_csv:
        click.echo(logbook.as_csv(folder), nl=False)
    else:
        tell(logbook.read(folder), as_json, lambda journal: blocks_text(show_card(journal)))


@log.command()
@folder_argument
@json_option
def check(folder: Path, as_json: bool) -> None:
    """Hold the two copies of the log against each other; exit status 1 where they are at odds."""
    from passage.logbook import check as held

    found = held(folder)
    tell(found, as_json, lambda _: "\n".join(found.sentences))
    click.get_current_context().exit(0 if found.whole else 1)


@log.command()
@folder_argument
@click.argument("which", type=click.Choice(["database", "copy"]))
@json_option
def rebuild(folder: Path, which: Literal["database", "copy"], as_json: bool) -> None:
    """Make one copy of the log anew from all that either holds whole; the old file is set aside."""
    from passage.logbook import rebuild as rebuilt
    from passage.plan.sheets.log import Rebuilt, rebuilt_card
    from passage.tell.terminal import blocks_text

    tell(Rebuilt(rebuilt(folder, which)), as_json, lambda told: blocks_text(rebuilt_card(told)))


@log.command()
@folder_argument
@click.argument("form", type=click.Choice(["csv", "gpx", "ics"]))
@every_option
@out_option("--out", "Where to write it; here if left out.")
@json_option
def export(folder: Path, form: Literal["csv", "gpx", "ics"], every: str, out: Path | None, as_json: bool) -> None:
    """Write the log as CSV, its track as GPX, or the next report and the landfall as calendar dates."""
    from passage import logbook
    from passage.api import read
    from passage.plan.sheets.handed import HandedOn, handed_on_text

    facts = read(folder)
    text = logbook.export(facts, form, _hours(every, facts), out)
    tell(HandedOn(form, str(out), "") if out else HandedOn(form, "", text), as_json, handed_on_text)


@log.command()
@folder_argument
@click.option(
    "--type",
    "kind",
    type=click.Choice(["SP", "PR", "DR", "FR", "satellite", "missed"]),
    default="PR",
    show_default=True,
    help="Sailing plan, position, deviation or final report; 160 letters for a satellite; what the shore contact does "
    "when a report is missed.",
)
@every_option
@click.option("--defects", default="", help="What is broken.")
@click.option("--weather", default="", help="Wind and sea.")
@click.option("--radio", default="", help="Where she listens.")
@click.option("--contact", default="", help="Who knows of the voyage ashore.")
@click.option("--remarks", default="", help="Anything else.")
@json_option
def report(
    folder: Path, kind: ReportType | Literal["satellite", "missed"], every: str, as_json: bool, **said: str
) -> None:
    """Say where she is and when she will be in, in the lines of a ship report or in 160 letters."""
    from passage import logbook
    from passage.api import read
    from passage.plan.sheets.handed import HandedOn, handed_on_text

    facts = read(folder)
    every_h = _hours(every, facts)
    with at("sailing from here") as progress:
        text = logbook.report(facts, kind, every_h, progress, **said)
    tell(HandedOn(kind, "", text), as_json, handed_on_text)


def _hours(text: str, facts: Any) -> float:
    """From one report to the next: as asked, or by the schedule of the float plan."""
    if not text:
        from passage.logbook import report_every_h

        return report_every_h(facts)
    from passage.errors import Fault, InputFaults
    from passage.units import Misread, quantity

    try:
        hours = quantity(text, "duration")
    except Misread as misread:
        raise InputFaults([Fault("--every", 0, "", misread.found, misread.wanted)]) from None
    if not 1.0 <= hours <= 240.0:
        raise InputFaults([Fault("--every", 0, "", f"{hours:g} h", "give 1 h to 240 h")])
    return hours
