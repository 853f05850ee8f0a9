"""What a worker of the desk can be told to do: each takes the facts, or the folder, and yields what comes out.

progress: called with the share that is done and what it is at; look: called between steps, to be told of newer orders.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from passage import api
from passage.desk.answer import boats_part, quick_part, whole_part
from passage.desk.part import ALL, FEW, PartialAnswer

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from passage.inputs.folder import Facts

    Progress = Callable[..., None]
    Look = Callable[..., None]

YEAR_CROSSINGS = 100
STEPS_OF_PLAN = 32  # sheets, drawing, typesetting


def few(facts: Facts, progress: Progress, look: Look) -> Iterator[PartialAnswer]:
    """The first answer."""
    sailing = replace(api.sail(facts, FEW, progress=look), shopping=False)
    part = quick_part(sailing)
    yield part
    yield boats_part(sailing, part)


def all_of_them(facts: Facts, progress: Progress, look: Look) -> Iterator[PartialAnswer]:
    """The whole answer, by all the crossings: what is quickly said first, page one of the plan last."""
    sailing = api.sail(facts, ALL, progress=look)
    part = quick_part(replace(sailing, shopping=False))
    yield boats_part(sailing, part)
    for step in ("power", "stores", "bracket", "breakage", "watches", "readiness"):
        look()
        getattr(sailing, step)
    yield whole_part(sailing)


def plan(facts: Facts, progress: Progress, look: Look, path: Path) -> Iterator[str]:
    """The printed plan."""
    from passage.steps import Steps

    count = 0

    def told(step: str) -> None:
        nonlocal count
        count += 1
        progress(min(count / STEPS_OF_PLAN, 0.99), step)

    progress(0.0, "sailing")
    sailing = api.sail(facts, ALL)
    yield str(sailing.plan(path, steps=Steps(told)))


def choices(facts: Facts, progress: Progress, look: Look) -> Iterator[dict[str, Any]]:
    """Tracks to choose between, each with its figures, its places and its line."""
    from passage.desk.side import track_told

    progress(0.1, "looking for tracks and sailing each")
    yield {"tracks": [track_told(each) for each in api.choices(facts, FEW)]}


def year(facts: Facts, progress: Progress, look: Look) -> Iterator[dict[str, Any]]:
    """The strip of the year, and a row for each week."""
    from passage.desk.side import year_told

    told = api.when(facts, crossings=YEAR_CROSSINGS, progress=lambda share: progress(share, "sailing every week"))
    yield year_told(told)


def beside(
    facts: Facts,
    progress: Progress,
    look: Look,
    depart: str = "",
    boat: str = "",
    waypoints: str = "",
    words: str = "",
) -> Iterator[dict[str, Any]]:
    """As she is, and with one thing otherwise: another day, another boat's folder, or another track."""
    from passage.desk.chart import Chart
    from passage.desk.side import compared, otherwise

    progress(0.1, "sailing as she is")
    first = api.sail(facts, ALL)
    one = whole_part(first)
    progress(0.5, f"sailing {words}")
    other = otherwise(facts, depart, boat, waypoints)
    second = api.sail(other, ALL)
    two = boats_part(second, whole_part(second))
    if two.boats:  # on the chart of the track as she is
        two.boats["nodes"] = Chart(facts).nodes(second.crossings.track)
    yield compared(one, two, words)


def begin(
    folder: Path, progress: Progress, look: Look, answers: dict[str, str], name: str, into: Path
) -> Iterator[str]:
    """A voyage from the questions: its files alone, for the answer is the desk's."""
    from passage.beginning import begin as begun_in
    from passage.inputs.answers import answers_of

    progress(0.2, "laying a first track")
    said = answers_of(answers)
    begun_in(into, name or f"{said.start.name} to {said.goal.name}", said)
    yield str(into)


ORDERS: dict[str, Callable[..., Iterator[Any]]] = {
    "few": few,
    "all": all_of_them,
    "plan": plan,
    "choices": choices,
    "year": year,
    "beside": beside,
    "begin": begin,
}
OF_FACTS = ORDERS.keys() - {"begin"}
