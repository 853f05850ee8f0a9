"""The printed plan: tables and drawings set by typst into an archival, tagged PDF with its own faces.

Nothing a person wrote is ever read as typst's markup: all of it arrives as data. The same outcome, date and
versions give the same bytes.
"""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NamedTuple
from unicodedata import bidirectional

from passage import __version__
from passage.inputs.output import refuse_own, write_out
from passage.plan.editions import CHAPTERS, FRONT, IN_A_HURRY, INDEX, WHOLE, Edition, Leaf, PlanCard, chapter_of
from passage.plan.face import FAMILIES, FONTS, drawable
from passage.plan.foot import CAUTION, FORECAST_CAUTION, fingerprint
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets import (
    anchor,
    arrival,
    brief,
    chart,
    choices,
    emergency,
    food,
    front,
    go,
    legs,
    logpages,
    looks,
    power,
    ready,
    sails,
    season,
    services,
    shore,
    sky,
    sources,
    speed,
    stores,
    times,
    track,
    troubles,
    watches,
    water,
    when,
    winds,
)
from passage.plan.sheets.basis import forecast_counts
from passage.sailings.clock import ship_zone_h
from passage.steps import Steps
from passage.tell.customary import unit_words
from passage.tell.figures import Side, day_words, moment_words, whole
from passage.tell.paper import set_blocks
from passage.tell.records import as_printed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.crossings.ground import Ground
    from passage.departures import Start
    from passage.inputs.folder import Facts
    from passage.offered import Offered
    from passage.plan.sheets.now import NowTold
    from passage.road import Outcome
    from passage.sailed import Work
    from passage.tell.records import Record
    from passage.tracks import Comparison

Paper = Literal["a4", "us-letter"]
PAPERS_PT: dict[str, tuple[float, float]] = {"a4": (595.28, 841.89), "us-letter": (612.0, 792.0)}
MARGIN_PT = {"left": 51.0, "right": 40.0, "top": 48.0, "bottom": 54.0}  # the left one is wide enough to punch
STANDARDS = ["a-2a", "ua-1"]  # archival and accessible, at no cost
PAGES = Path(__file__).parent / "pages"
LONGEST_WORD = 16
FEWEST_FOR_CONTENTS = 12  # cards
EXAMPLE_DAYS = 9


_AT_SEA = (front, emergency, chart, legs, winds, times, when, stores, water, food, power, sky, watches, looks, services)
_BOAT = (troubles, go, ready, sails, anchor, arrival, shore)
SHEETS = tuple(part.SHEET for part in (*_AT_SEA, *_BOAT, logpages, sources, brief))


class PageHead(NamedTuple):
    """What stands at the top and the foot of every page. forecast: whether a forecast is in the numbers; zone_h: ship's
    time less UTC at the departure, None where no passage is told; days: how far days are counted for an example.
    """

    facts: Facts
    depart_utc: datetime
    forecast: bool = False
    zone_h: int | None = None
    days: int = EXAMPLE_DAYS

    @property
    def sails(self) -> str:
        ship = self._ship
        return f"{f'{day_words(ship)}, {ship:%H%M} ship’s time, ' if ship else ''}{moment_words(self.depart_utc)}"

    @property
    def day_count(self) -> str:
        """The one count of days, said once."""
        ship = self._ship
        if ship is None:
            return ""
        then = ship + timedelta(days=self.days)
        return (
            f"Day 0 is {day_words(ship)}, when she sails at {ship:%H%M} ship's time; day {self.days} is "
            f"{day_words(then)}. Days are counted so on every page."
        )

    @property
    def _ship(self) -> datetime | None:
        return None if self.zone_h is None else self.depart_utc + timedelta(hours=self.zone_h)


def plan_tables(outcome: Outcome, edition: Edition = WHOLE, steps: Steps | None = None) -> Tables:
    """The tables of what is printed, rounded: what ``--json`` prints and the paper shows. A step for each sheet."""
    steps = steps or Steps()
    tables: dict[str, Record] = {}
    for sheet in _in_order_of_work(edition):
        if sheet.wanted(outcome):
            with steps(sheet.name):
                tables[sheet.name] = sheet.table(outcome)
    return {sheet.name: tables[sheet.name] for sheet in SHEETS if sheet.name in tables}


def work_for_mate(edition: Edition) -> list[Work]:
    """Long work behind the edition's tables that a mate may do while the rest is made, as it will be asked for."""
    return [work for sheet in _in_order_of_work(edition) for work in sheet.for_mate]


def work_to_keep(edition: Edition = WHOLE) -> list[Work]:
    """Work behind the edition's tables whose results are kept on disk."""
    return [work for sheet in _in_order_of_work(edition) for work in sheet.kept]


def _in_order_of_work(edition: Edition) -> list[Sheet]:
    """What a mate may still be at comes last, and from the end: the troubles leave most for the skipper to do."""
    chosen = [sheet for sheet in SHEETS if sheet.name in edition.sheets]
    return [*(sheet for sheet in chosen if not sheet.for_mate), *(sheet for sheet in chosen[::-1] if sheet.for_mate)]


def plan_drawings(leaves: Sequence[Leaf], outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """The drawings of every sheet that has a card among these, SVG by name."""
    drawn = [
        sheet.drawings(outcome, tables, room) for sheet in SHEETS if any(sheet.name == leaf.sheet for leaf in leaves)
    ]
    return {name: drawing for drawings in drawn for name, drawing in drawings.items()}


def write_plan(
    outcome: Outcome, path: Path, paper: Paper = "a4", edition: Edition = WHOLE, steps: Steps | None = None
) -> None:
    """Write the plan of ``outcome``, or what the edition has of it, to ``path`` as PDF."""
    write_out(path, plan_pdf(outcome, paper, edition, steps), outcome.facts)


def plan_pdf(outcome: Outcome, paper: Paper, edition: Edition = WHOLE, steps: Steps | None = None) -> bytes:
    """The plan as the bytes of a PDF, made on the day the facts were read; a function of its arguments, the files of
    the voyage and the versions only. Raises InputFaults where nothing is on a card asked for by name.
    """
    steps = steps or Steps()
    tables = plan_tables(outcome, edition, steps)
    leaves = edition.filled(tables)
    with steps("drawing"):
        drawings = plan_drawings(leaves, outcome, tables, room_on(paper))
    counted = _index(leaves)  # where days are counted, which a card printed alone does not wait for
    days = whole(min(outcome.times.slow_end_h / 24.0, EXAMPLE_DAYS), Side.UP) if counted else EXAMPLE_DAYS
    head = PageHead(outcome.facts, outcome.crossings.depart, forecast_counts(outcome), _zone_h(outcome.facts), days)
    with steps("typesetting"):
        return typeset(leaves, tables, drawings, head, paper, edition.log_pages)


def write_track(comparison: Comparison, path: Path, paper: Paper = "a4") -> None:
    """Write the page that shows a found track beside the drawn one to ``path`` as PDF."""
    outcome = comparison.found_outcome
    told = track.table(comparison, outcome.facts.limits)
    head = PageHead(outcome.facts, outcome.crossings.depart, forecast_counts(outcome))
    drawings = track.drawings(comparison, told, room_on(paper))
    write_out(path, typeset([Leaf("track", PlanCard("track"))], {"track": told}, drawings, head, paper), outcome.facts)


def write_choices(chosen: Sequence[Offered], path: Path, paper: Paper = "a4") -> None:
    """Write the page of tracks to choose between to ``path`` as PDF."""
    outcome, told = chosen[0].outcome, choices.table(chosen)
    head = PageHead(outcome.facts, outcome.crossings.depart, forecast_counts(outcome))
    drawings = choices.drawings(chosen, room_on(paper))
    write_out(
        path, typeset([Leaf("choices", PlanCard("choices"))], {"choices": told}, drawings, head, paper), outcome.facts
    )


def write_year(
    facts: Facts, ground: Ground, starts: Sequence[Start], crossings: int, path: Path, paper: Paper = "a4"
) -> None:
    """Write the strip of ``starts``, each sailed by so many crossings, to ``path`` as PDF."""
    head = PageHead(facts, facts.voyage.departure.depart, any(start.forecast_counts for start in starts))
    told, drawings = when.departures(facts, starts, crossings), when.drawn(ground, starts, room_on(paper))
    write_out(path, typeset([Leaf("when", PlanCard("when"))], {"when": told}, drawings, head, paper), facts)


def write_season(told: season.SeasonTold, facts: Sequence[Facts], path: Path, paper: Paper = "a4") -> None:
    """Write the pages of a season, given its table and the facts of its voyages, to ``path`` as PDF."""
    first = facts[0]
    called = first.voyage.departure.model_copy(update={"name": told.name})
    named = replace(first, voyage=first.voyage.model_copy(update={"departure": called}))
    head = PageHead(named, first.voyage.departure.depart)
    drawings = {"season": season.drawing(told, room_on(paper).wide_pt)}
    content = typeset([Leaf("season", PlanCard("season"))], {"season": told}, drawings, head, paper)
    for each in facts[1:]:
        refuse_own(path, each)
    write_out(path, content, first)


def write_speeds(told: speed.BoatSpeed, drawing: str, facts: Facts, path: Path, paper: Paper = "a4") -> None:
    """Write the page of boat speeds, given its table and its diagram, to ``path`` as PDF."""
    cards = [Leaf("speed", PlanCard("speed"))]
    head = PageHead(facts, facts.voyage.departure.depart)
    write_out(path, typeset(cards, {"speed": told}, {"speed": drawing}, head, paper), facts)


def write_now(told: NowTold, facts: Facts, path: Path, paper: Paper = "a4") -> None:
    """Write the card of ``now``, given its table, to ``path`` as PDF of one page."""
    head = PageHead(facts, told.now.started, told.forecast_counts)
    write_out(path, typeset([Leaf("now", PlanCard("now"))], {"now": told}, {}, head, paper), facts)


def _zone_h(facts: Facts) -> int:
    """Ship's time less UTC where she sails, as her noons have it."""
    return ship_zone_h(facts.voyage.waypoints[0].position.longitude_deg)


def room_on(paper: Paper) -> Room:
    wide, high = PAPERS_PT[paper]
    return Room(wide - MARGIN_PT["left"] - MARGIN_PT["right"], high - MARGIN_PT["top"] - MARGIN_PT["bottom"])


def typeset(
    printed: Sequence[Leaf], tables: Tables, drawings: Drawings, head: PageHead, paper: Paper, log_pages: int = 1
) -> bytes:
    """Cards, each in the page file of its sheet's name, set with tables and drawings; of log pages so many."""
    import typst

    made = head.facts.today
    compile_files: Any = typst.compile  # the types it comes with do not know of files as a dictionary
    furniture = {
        "printed": [_printed(leaf) for leaf in printed],
        "chapters": list(CHAPTERS),
        "index": _index(printed),
        "log_pages": log_pages,
        "voyage": head.facts.voyage.departure.name,
        "sails": head.sails,
        "day_count": head.day_count,
        "paper": paper,
        "margin": MARGIN_PT,
        "faces": list(FAMILIES),
        "caution": FORECAST_CAUTION if head.forecast else CAUTION,
        "made_date": f"{day_words(made)} {made.year}",
        "version": __version__,
        "unit": {unit: unit_words(unit) for unit in ("L", "litres", "m", "mm", "g")},
        "fingerprint": fingerprint(head.facts),
    }
    files = {f"{name}.svg": drawing for name, drawing in drawings.items()}
    told = {name: as_printed(record) for name, record in tables.items()}
    told |= {"furniture": furniture, "blocks": _blocks(printed, tables)}
    on_paper = _on_paper(told)
    on_paper["furniture"]["title"] = drawable(head.facts.voyage.departure.name)  # without the places to break
    files["plan.json"] = json.dumps(on_paper, ensure_ascii=False)
    files |= {page.name: page.read_text(encoding="utf-8") for page in sorted(PAGES.glob("*.typ"))}
    compiled: bytes = compile_files(
        {"main.typ": files.pop("plan.typ").encode(), **{name: text.encode() for name, text in files.items()}},
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        pdf_standards=STANDARDS,
        timestamp=datetime(made.year, made.month, made.day, tzinfo=UTC),
    )
    return compiled


def _printed(leaf: Leaf) -> dict[str, Any]:
    card = leaf.card
    chapter = chapter_of(leaf)
    return {"sheet": leaf.sheet, "name": card.name, "night": card.night, "follows": card.follows, "chapter": chapter}


def _index(printed: Sequence[Leaf]) -> list[dict[str, Any]]:
    """What is looked for in a hurry and the card it stands on, for the back of page one of a whole plan."""
    if FRONT not in printed or len(printed) < FEWEST_FOR_CONTENTS:
        return []
    names = {leaf.card.name for leaf in printed}
    hurry = list(INDEX)[:IN_A_HURRY]
    return [
        {"asked": asked, "card": card, "in_a_hurry": asked in hurry} for asked, card in INDEX.items() if card in names
    ]


def _blocks(printed: Sequence[Leaf], tables: Tables) -> dict[str, Any]:
    """Each card that is made of blocks, as the typesetter takes it."""
    by_name = {sheet.name: sheet.cards for sheet in SHEETS} | {
        "track": {"track": track.track_card},
        "choices": {"choices": choices.choices_card},
        "speed": {"speed": speed.speed_card},
        "season": {"season": season.season_card},
    }
    return {
        card.name: set_blocks(by_name[sheet][card.name](tables[sheet]))
        for sheet, card in printed
        if card.name in by_name.get(sheet, {})
    }


def _on_paper(value: Any) -> Any:
    """Texts that the faces can draw, long words with places to break; booleans stay what they are."""
    if isinstance(value, dict):
        return {name: _on_paper(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [_on_paper(inner) for inner in value]
    return _breakable(drawable(value)) if isinstance(value, str) else value


def _breakable(text: str) -> str:
    """Text with places to break long words, and set apart where it runs from the right, or it would draw the numbers
    after it to its left."""
    broken = re.sub(rf"\S{{{LONGEST_WORD}}}(?=\S)", "\\g<0>\u200b", text)
    from_right = not broken.isascii() and any(bidirectional(letter) in ("R", "AL") for letter in broken)
    return f"\u2068{broken}\u2069" if from_right else broken
