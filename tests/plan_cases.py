"""The demonstration voyages sailed for the tests of the plan, and the same with names that try to break the paper."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2

from passage.crossings.wind import Luck
from passage.follows import bracket_of, noons_of, power_of, stores_of, times_of, watches_of, wind_sea_of
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.plan.document import plan_pdf, plan_tables, work_to_keep
from passage.plan.page.assemble import page_chart, page_html
from passage.plan.sheets import legs
from passage.plan.sheets.when import around
from passage.road import Outcome, walk
from passage.shipped import shipped
from passage.troubles.refuges import sail_ways_out
from tests.shared import shared

if TYPE_CHECKING:
    from pathlib import Path

    from passage.inputs.folder import Facts
    from passage.plan.document import Paper
    from passage.plan.sheet import Tables

ROUTES = ("cape-town-st-helena", "lagos-azores", "opua-tonga")
CROSSINGS = 200
MADE = date(2026, 11, 25)
# works that take long, which the workers of the tests do once for all
DEAR = (*work_to_keep(), stores_of, page_chart)
MARKUP = "#pagebreak() $x^2$ *b* _i_ <tag> @ref \"q\" 'r' \\ `c` // = [#v] &amp; %"
POLYNESIAN = "Nukuʻalofa, Ava Lahi, Motutapu i te Āʻaʻa"
ARABIC = "مرحبا بالبحر"
ENDLESS = "W" * 80


def words_on(pdf: bytes | Path) -> list[str]:
    """The text of every page."""
    with pypdfium2.PdfDocument(pdf) as document:
        pages = []
        for page in document:
            words = page.get_textpage()
            pages.append(words.get_text_range().replace("\r\n", "\n"))
            words.close()
            page.close()
    return pages


def plan_of(route: str, paper: Paper = "a4") -> bytes:
    """The whole plan, set once."""
    return _plan_of(route, paper)


@cache
def _plan_of(route: str, paper: Paper) -> bytes:
    return shared(f"{route}-{paper}", lambda: plan_pdf(sailed(route), paper))


@cache
def tables_of(route: str) -> Tables:
    """The tables of the whole plan, made once."""
    return plan_tables(sailed(route))


@cache
def page_of(route: str) -> bytes:
    """The page for a browser, made once."""
    return shared(f"{route}-page", lambda: page_html(sailed(route)))


@cache
def sailed(route: str) -> Outcome:
    facts = read_folder(shipped("routes") / route, MADE)
    outcome = walk(facts, lay_ground(facts), Luck(1, CROSSINGS), facts.voyage.departure.depart)
    outcome.expect(DEAR, lambda work: shared(f"{route}-{work.__qualname__}", lambda: work(outcome)))
    return outcome


def fresh(route: str) -> Outcome:
    """The same crossings with nothing worked out of them yet."""
    return replace(sailed(route))


UNTOUCHED = (times_of, wind_sea_of, noons_of, power_of, stores_of, bracket_of, watches_of, sail_ways_out, around)


def with_facts(outcome: Outcome, facts: Facts) -> Outcome:
    """The same crossings with other names, gear or date; what none of these changes is not worked out again."""
    changed = replace(outcome, facts=facts)
    changed.expect(UNTOUCHED, outcome.once)
    return changed


def renamed(outcome: Outcome, voyage: str, place: str, boat: str) -> Outcome:
    """The same crossings under other names: of the voyage, of every waypoint and of the boat."""
    facts = outcome.facts
    waypoints = tuple(
        waypoint.model_copy(update={"name": f"{place} {number}"[-80:]})
        for number, waypoint in enumerate(facts.voyage.waypoints, start=1)
    )
    departure = facts.voyage.departure.model_copy(update={"name": voyage})
    hull = facts.boat.hull.model_copy(update={"name": boat})
    changed = replace(
        facts,
        voyage=facts.voyage.model_copy(update={"departure": departure, "waypoints": waypoints}),
        boat=facts.boat.model_copy(update={"hull": hull}),
    )
    return with_facts(outcome, changed)


def legs_of(outcome: Outcome) -> legs.Legs:
    return legs.table(outcome.facts, outcome.crossings.depart)


def endless_for_most(outcome: Outcome) -> Outcome:
    """The same crossings, six in ten of which never arrive; one and the same for every test that asks."""
    return outcome.once(_endless_for_most)


def _endless_for_most(outcome: Outcome) -> Outcome:
    crossings = outcome.crossings
    arrival = crossings.arrival_h.copy()
    arrival[: int(0.6 * len(arrival))] = np.inf
    return replace(outcome, crossings=replace(crossings, arrival_h=arrival))


@cache
def of_hours(route: str, members: int) -> Outcome:
    """The first leg alone, sailed in less than a day."""
    facts = read_folder(shipped("routes") / route, MADE)
    voyage = facts.voyage.model_copy(update={"waypoints": facts.voyage.waypoints[:2]})
    facts = replace(facts, voyage=voyage)
    return walk(facts, lay_ground(facts), Luck(1, members), voyage.departure.depart)
