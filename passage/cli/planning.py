"""The commands before she sails: read the facts, walk the road, let `plan` say it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import click

from passage.cli.group import main
from passage.cli.options import (
    Asked,
    ToSail,
    answer,
    answer_options,
    answer_text,
    as_path,
    breakage_option,
    crossing_options,
    edition_options,
    finite,
    folder_argument,
    here,
    moment,
    out_option,
    paper_option,
    place,
    read_to_sail,
    records_text,
    sailing_options,
    say,
    say_once,
    seed_option,
    tell_sheets,
)
from passage.cli.progress import at, now_at

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from passage.api import Facts
    from passage.plan.editions import Edition
    from passage.plan.sheets.front import Front


@main.command()
@folder_argument
@answer_options
def check(folder: Path, asked: Asked) -> None:
    """Read the folder and tell every fault in it.

    It lays the track, tries the refuges and looks for land.
    """
    from passage import api

    facts = api.read(folder)
    say_once(facts, "check", asked, lambda: _checked(facts, asked))


def _checked(facts: Facts, asked: Asked) -> str:
    from passage import api
    from passage.plan.sheets.before import check_card, check_short

    with at("laying the track and looking for land"):
        told = api.check(facts)
    return answer_text(told, asked, lambda: check_short(told), lambda: check_card(told))


@main.command("legs")
@folder_argument
@answer_options
def legs_command(folder: Path, asked: Asked) -> None:
    """Legs with courses and distances, and the land beside each.

    Courses are true and magnetic; land is told where it is crossed and where it is near.
    """
    from passage import api
    from passage.plan.sheets import legs

    say(records_text({"legs": legs.table(api.read(folder))}, asked, legs.SHEET))


@main.command()
@sailing_options
@breakage_option
@answer_options
def sail(to_sail: ToSail, asked: Asked) -> None:
    """Sail the crossings: how long it takes.

    Typically, at the quick end and at the slow end.
    """
    from passage.plan.sheets import times

    tell_sheets(to_sail, asked, times.SHEET)


@main.command()
@crossing_options
@click.option(
    "--choices", "choosing", is_flag=True, help="Sail three to five tracks that differ, and say why each is so."
)
@out_option("--out", "Write a chart of the tracks there, as PDF.")
@paper_option
@answer_options
def track(
    folder: Path,
    crossings: int,
    seed: int,
    depart: datetime | None,
    choosing: bool,
    out: Path | None,
    paper: Literal["a4", "us-letter"],
    asked: Asked,
) -> None:
    """Look for a better track, and sail it beside the one drawn."""
    if choosing:
        _choices(folder, crossings, seed, depart, out, paper, asked)
        return
    from passage import api

    facts = api.read(folder)

    def told() -> str:
        from dataclasses import replace

        from passage.plan.sheets import track as sheet

        with at("looking for a better track"):
            found = api.track(facts, crossings, seed, depart)
        table = sheet.table(found, facts.limits)
        if out:
            from passage.plan.document import write_track

            write_track(found, out, paper)
            table = replace(table, chart=str(out))
        return answer_text({"track": table}, asked, lambda: sheet.track_short(table), lambda: sheet.track_card(table))

    say_once(facts, "track", asked, told, crossings, seed, depart, anew=out is not None)


def _choices(
    folder: Path,
    crossings: int,
    seed: int,
    depart: datetime | None,
    out: Path | None,
    paper: Literal["a4", "us-letter"],
    asked: Asked,
) -> None:
    from passage import api

    facts = api.read(folder)

    def told() -> str:
        from passage.plan.sheets import choices as sheet

        with at("looking for tracks to choose between, and sailing them"):
            chosen = api.choices(facts, crossings, seed, depart)
        if out:
            from passage.plan.document import write_choices

            write_choices(chosen, out, paper)
        table = sheet.table(chosen, str(out or ""))
        return answer_text(
            {"choices": table}, asked, lambda: sheet.choices_short(table), lambda: sheet.choices_card(table)
        )

    say_once(facts, "choices", asked, told, crossings, seed, depart, anew=out is not None)


@main.command()
@click.option("--from", "first", metavar="DATE", callback=moment, help="The first departure, in UTC; the voyage's own.")
@click.option("--weeks", type=click.IntRange(1, 53), default=52, show_default=True, help="How many, a week apart.")
@click.option("--crossings", type=click.IntRange(20, 2_000), default=500, show_default=True, help="From each of them.")
@seed_option
@folder_argument
@out_option("--out", "Write the strip there, as PDF.")
@paper_option
@answer_options
def when(
    folder: Path,
    first: datetime | None,
    weeks: int,
    crossings: int,
    seed: int,
    out: Path | None,
    paper: Literal["a4", "us-letter"],
    asked: Asked,
) -> None:
    """Which week to leave: departures of a year beside one another."""
    from passage import api
    from passage.plan.sheets import when as sheet

    facts = api.read(folder)

    def told() -> str:
        with at("sailing from week to week") as progress:
            table = api.when(facts, first, weeks, crossings, seed, progress, out, paper)
        return records_text({"when": table}, asked, sheet.SHEET)

    say_once(facts, "when", asked, told, first, weeks, crossings, seed, anew=out is not None)


@main.command()
@click.option("--crossings", type=click.IntRange(20, 2_000), default=500, show_default=True, help="Seasons to sail.")
@seed_option
@folder_argument
@out_option("--out", "Write strip and tables there, as PDF.")
@paper_option
@click.option("--begin", is_flag=True, help="First write season.toml, of the voyages in the folder, to edit.")
@answer_options
def season(
    folder: Path,
    crossings: int,
    seed: int,
    out: Path | None,
    paper: Literal["a4", "us-letter"],
    begin: bool,
    asked: Asked,
) -> None:
    """A year of passages, by season.toml: dates, walls, what is carried.

    Each passage leaves where and when the one before it ends; the weakest is named.
    """
    from passage import api
    from passage.plan.sheets import season as sheet

    with at("sailing from port to port") as progress:
        if begin:
            click.echo(f"{api.begin_season(folder)} is made: mend the days in port in it.", err=True)
        told = api.season(folder, crossings, seed, progress=progress, strip=out, paper=paper)
    answer({"season": told}, asked, lambda: sheet.season_short(told), lambda: sheet.season_card(told))


@main.command("speed")
@folder_argument
@click.option("--pairs", callback=as_path, help="Your own pairs, a CSV with the columns of a polar table.")
@click.option("--pair", "typed", nargs=3, type=float, multiple=True, help="Wind speed, wind angle, boat speed; again.")
@click.option("--log", "from_log", is_flag=True, help="Hold the days of the voyage's log against the table too.")
@out_option("--out", "Write table and picture there, as PDF, or the picture alone as SVG.")
@paper_option
@answer_options
def speed_command(
    folder: Path,
    pairs: Path | None,
    typed: tuple[tuple[float, float, float], ...],
    from_log: bool,
    out: Path | None,
    paper: Literal["a4", "us-letter"],
    asked: Asked,
) -> None:
    """Boat speeds in smooth water, at sea and made good.

    Your own pairs of wind and speed are held against them.
    """
    from passage import api
    from passage.plan.sheets import speed as sheet

    facts = api.read(folder)
    with at("working out her speeds"):
        told = api.speeds(facts, typed, pairs, log=from_log)
    drawing = sheet.drawing(told.speeds, told.pairs) if out else ""
    if out and out.suffix == ".svg":
        api.write(out, drawing.encode(), facts)
    elif out:
        from passage.plan.document import write_speeds

        write_speeds(told, drawing, facts, out, paper)
    answer({"speed": told}, asked, lambda: sheet.speed_short(told), lambda: sheet.speed_card(told))


@main.command("winds")
@sailing_options
@answer_options
def winds_command(to_sail: ToSail, asked: Asked) -> None:
    """The wind along the track, for the days on which she is there.

    Roses in figures.
    """
    from passage.plan.sheets import winds

    tell_sheets(to_sail, asked, winds.SHEET)


@main.command()
@sailing_options
@answer_options
def stores(to_sail: ToSail, asked: Asked) -> None:
    """Do water, food, fuel and gas last, and what to load and buy.

    Also what runs out first, and what it weighs.
    """
    from passage.plan.sheets import food, stores, water

    tell_sheets(to_sail, asked, stores.SHEET, water.SHEET, food.SHEET)


@main.command()
@crossing_options
@click.option(
    "--at-anchor",
    metavar="POSITION",
    callback=place,
    help="Reckon for a boat lying there instead, to hold against your own: '33 54.2S 18 25.5E'. --depart is then the "
    "day it begins, today at noon UTC if left out.",
)
@click.option("--days", type=click.IntRange(1, 60), help="At anchor: for so many days; 10 if left out.")
@click.option(
    "--heading",
    type=click.FloatRange(0, 360),
    metavar="DEG",
    callback=finite,
    help="At anchor: true bearing of her bow; to the mean wind of the place and month if left out.",
)
@click.option(
    "--wind",
    type=click.FloatRange(0, 80),
    metavar="KN",
    callback=finite,
    help="At anchor: steady wind over her; the mean over open water there if left out, and a lee has less.",
)
@answer_options
def power(
    folder: Path,
    crossings: int,
    seed: int,
    depart: datetime | None,
    at_anchor: tuple[float, float] | None,
    days: int | None,
    heading: float | None,
    wind: float | None,
    asked: Asked,
) -> None:
    """Does the battery come back every day, and what would help.

    Also what feeds it and what draws on it.
    """
    from passage.plan.sheets import power as sheet

    if at_anchor is None:
        if (days, heading, wind) != (None, None, None):
            raise click.UsageError("--days, --heading and --wind go with --at-anchor only")
        tell_sheets(read_to_sail(folder, crossings, seed, depart), asked, sheet.SHEET)
        return
    from passage import api

    with at("a battery at anchor under many skies"):
        told = api.battery_at_anchor(api.read(folder), at_anchor, days or 10, crossings, seed, depart, heading, wind)
    say(records_text({"power": told}, asked, sheet.SHEET))


@main.command()
@sailing_options
@click.option("--today", metavar="DATE", callback=moment, help="Hold gear and papers against this day, not today.")
@answer_options
def ready(to_sail: ToSail, asked: Asked) -> None:
    """Is she ready: gear, papers, work, spares, seacocks, sails.

    Gear and papers are held against the slow end and the stay; also what is to be proved before she sails.
    """
    from passage.plan.sheets import ready as sheet
    from passage.plan.sheets import sails

    sheet.refuse_nothing_listed(to_sail.facts)
    tell_sheets(to_sail, asked, sheet.SHEET, sails.SHEET)


@main.command()
@folder_argument
@answer_options
def anchor(folder: Path, asked: Asked) -> None:
    """At anchor at the other end: scope, loads, swing.

    Also when the line comes straight, and hauling by hand.
    """
    from passage import api
    from passage.plan.sheets.anchor import SHEET, of_folder

    told = of_folder(api.read(folder))
    answer(told, asked, lambda: SHEET.in_short(told), lambda: SHEET.blocks(told))


@main.command()
@sailing_options
@answer_options
def watch(to_sail: ToSail, asked: Asked) -> None:
    """Watches for one to four people, and how often to look out.

    Also what the watches do to each of them.
    """
    from passage.plan.sheets import looks, watches

    tell_sheets(to_sail, asked, watches.SHEET, looks.SHEET)


@main.command()
@sailing_options
@answer_options
def troubles(to_sail: ToSail, asked: Asked) -> None:
    """If this breaks: what to do first, and what runs out when.

    Also whether to go on, turn back, or make for a refuge.
    """
    to_sail.say_once("troubles", asked, lambda: _troubles(to_sail, asked))


def _troubles(to_sail: ToSail, asked: Asked) -> str:
    from passage.plan.sheets.troubles import SHEET, table
    from passage.steps import heard_by

    at_them = at("one trouble after another")
    with to_sail.worked_on(SHEET.kept) as outcome, at_them as progress, heard_by(progress):
        told = table(outcome)
    return answer_text(told, asked, lambda: SHEET.in_short(told), lambda: SHEET.blocks(told))


@main.command()
@crossing_options
@out_option("--out", "Where to write the PDF.")
@paper_option
@click.option(
    "--made",
    "today",
    metavar="DATE",
    callback=moment,
    help="Day the plan is made, against which gear and papers are held; today if left out.",
)
@edition_options
@breakage_option
@click.option("--timings", is_flag=True, help="Tell how long each part took.")
@answer_options
def plan(
    folder: Path,
    crossings: int,
    seed: int,
    depart: datetime | None,
    today: datetime | None,
    out: Path | None,
    paper: Literal["a4", "us-letter"],
    edition: Edition | None,
    nothing_breaks: bool,
    timings: bool,
    asked: Asked,
) -> None:
    """Print the plan as PDF, whole or in part.

    Page one is summed up here if it is in it.
    """
    from passage import api
    from passage.plan.editions import WHOLE
    from passage.plan.sheets import front
    from passage.plan.sheets import timings as sheet
    from passage.steps import Steps

    chosen, steps = edition or WHOLE, Steps(now_at)
    with at("reading"):
        to_sail = read_to_sail(folder, crossings, seed, depart, today, steps, nothing_breaks=nothing_breaks)
        path = out or here(to_sail.facts.folder, "plan.pdf")
        cards = [leaf.card.name for leaf in chosen.leaves]
        asked_for = (paper, cards, sorted(chosen.asked), chosen.strict, chosen.log_pages)
        content, page = to_sail.answered("plan", lambda: _printed(to_sail, paper, chosen), *asked_for)
        api.write(path, content, to_sail.facts)
    took = sheet.timings(steps, steps.meanwhile_s)
    told = front.PlanWritten(str(path), page, took if timings else None)
    answer(told, asked, lambda: front.written_short(told), lambda: front.written_card(told))
    if timings and not asked.as_json:
        click.echo(sheet.text(took))


def _printed(to_sail: ToSail, paper: Literal["a4", "us-letter"], chosen: Edition) -> tuple[bytes, Front | None]:
    """The paper, and page one where it is in it."""
    from passage.plan.document import plan_pdf, work_for_mate, work_to_keep
    from passage.plan.sheets import front

    mate = work_for_mate(chosen) if len(chosen.sheets) > 1 else ()
    with to_sail.worked_on(work_to_keep(chosen), mate) as outcome:
        content = plan_pdf(outcome, paper, chosen, to_sail.steps)
        return content, front.table(outcome) if "front" in chosen.sheets else None
