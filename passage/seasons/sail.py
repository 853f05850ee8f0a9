"""A season: passages one after another, each from where and when the one before it leaves her.

Crossing 7 of every passage is one season, number 7: it leaves when number 7 is in and her days in port are over, and
not before the day that its voyage file plans. Each passage has a luck of its own. She is sailed from the typical day of
departure and, where 1 season in 20 leaves a week later or more, from that day too: a season takes the nearer of the
two.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.readiness.dates import Status
from passage.crossings.ensemble import passage_time_h
from passage.crossings.seasons import basins_along, seasons_met
from passage.crossings.storms import storms_along, storms_met
from passage.crossings.wind import Luck
from passage.errors import RouteRefused
from passage.ground import lay_ground
from passage.inputs.failure import Failure
from passage.road import Outcome, walk
from passage.seasons.aboard import Aboard, brought, with_aboard

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import date

    from numpy.typing import NDArray

    from passage.consequences.readiness.papers import PaperRow
    from passage.consequences.readiness.register import Finding
    from passage.crossings.storms import Storms
    from passage.inputs.folder import Facts
    from passage.inputs.season import Port, Wall
    from passage.inputs.season_folder import Season

    Hours = NDArray[np.float64]

SLOW = 0.95  # of the seasons are in by the slow end
LATE_H = 7.0 * 24.0  # a departure so much later is sailed by itself


@dataclass(frozen=True)
class Passed:
    """One passage of a season. Hours from the season's departure, (members,), infinite where she never gets so far.

    outcome: sailed from the typical day; aboard: what she left with; due, papers: gear, and papers not in order, of
    which no earlier passage told.
    """

    voyage: str
    port: Port | None
    outcome: Outcome
    aboard: Aboard
    planned_h: float
    leaves_h: Hours
    arrives_h: Hours
    storms: Storms
    seasons: tuple[str, ...]
    due: tuple[Finding, ...]
    papers: tuple[PaperRow, ...]


@dataclass(frozen=True)
class Round:
    """A season sailed. begins: its first departure, UTC, from which all hours count."""

    season: Season
    begins: datetime
    passed: tuple[Passed, ...]

    @property
    def members(self) -> int:
        return len(self.passed[0].leaves_h)

    def hour(self, day: date) -> float:
        """Hours from the first departure to the beginning of a day, UTC."""
        return (datetime(day.year, day.month, day.day, tzinfo=self.begins.tzinfo) - self.begins) / timedelta(hours=1)

    def in_port_h(self, number: int) -> tuple[Hours, Hours]:
        """When she comes to the port after a passage, and when she leaves it; after the last she stays as long as
        planned.
        """
        here, last = self.passed[number], number + 1 == len(self.passed)
        stay_h = here.port.days_h if here.port else 0.0
        return here.arrives_h, here.arrives_h + stay_h if last else self.passed[number + 1].leaves_h


class WallMargin(NamedTuple):
    """How a wall stands to one passage or port. number: of the passage; spare_h: hours between the two, less than
    nothing where she is in it, (members,).
    """

    wall: Wall
    place: str
    number: int
    spare_h: Hours


def sail_season(season: Season, members: int, seed: int, progress: Callable[[float], None] | None = None) -> Round:
    """Sail every passage of the season in turn. Raises InputFaults and RouteRefused as the road does, and where half of
    the seasons never get so far.
    """
    begins = season.facts[0].voyage.departure.depart
    passed: list[Passed] = []
    aboard, told = Aboard(food_from=season.facts[0].voyage.waypoints[0].name), frozenset[str]()
    for number, (leg, facts) in enumerate(zip(season.file.passages, season.facts, strict=True)):
        planned_h = (facts.voyage.departure.depart - begins) / timedelta(hours=1)
        leaves_h = np.zeros(members)
        if passed:
            leaves_h = leaves_after(passed[-1], planned_h)
            aboard = _brought(passed[-1], begins, leaves_h)
        luck = Luck(seed + number, members)
        outcome, took_h = _sailed(with_aboard(facts, aboard), begins, leaves_h, luck, leg.voyage)
        passed.append(_passed(leg.voyage, leg.port, outcome, aboard, planned_h, leaves_h, leaves_h + took_h, told))
        told |= {each.name for each in passed[-1].due} | {each.label for each in passed[-1].papers}
        if progress:
            progress((number + 1) / len(season.facts))
    return Round(season, begins, tuple(passed))


def leaves_after(before: Passed, planned_h: float) -> Hours:
    """On the day planned, or at the same hour of the first day after it on which the days in port are over."""
    stay_h = before.port.days_h if before.port else 0.0
    late_h = np.maximum(before.arrives_h + stay_h - planned_h, 0.0)
    return np.asarray(planned_h + 24.0 * np.ceil(late_h / 24.0 - 1e-9))


def _brought(before: Passed, begins: datetime, leaves_h: Hours) -> Aboard:
    assert before.port is not None
    arrives_h, goes_h = (passage_time_h(hours, 0.5) for hours in (before.arrives_h, leaves_h))
    if not math.isfinite(arrives_h):
        raise RouteRefused(f"Half of the seasons never end '{before.voyage}': sail that passage by itself and mend it.")
    return brought(before.aboard, before.outcome, before.port, goes_h - arrives_h, begins + timedelta(hours=arrives_h))


def _sailed(facts: Facts, begins: datetime, leaves_h: Hours, luck: Luck, voyage: str) -> tuple[Outcome, Hours]:
    """From the typical day, and how long each season's own crossing takes."""
    typical_h, late_h = (passage_time_h(leaves_h, share) for share in (0.5, SLOW))
    depart = begins + timedelta(hours=typical_h)
    outcome = walk(facts, lay_ground(facts, depart), luck, depart)
    took_h = outcome.crossings.arrival_h
    if math.isfinite(late_h) and late_h - typical_h >= LATE_H:
        later = begins + timedelta(hours=late_h)
        of_late_h = walk(facts, lay_ground(facts, later), luck, later).crossings.arrival_h
        took_h = np.where(leaves_h - typical_h > late_h - leaves_h, of_late_h, took_h)
    return outcome, took_h


def _passed(
    voyage: str,
    port: Port | None,
    outcome: Outcome,
    aboard: Aboard,
    planned_h: float,
    leaves_h: Hours,
    arrives_h: Hours,
    told: frozenset[str],
) -> Passed:
    basins = basins_along(outcome.ground.track)
    due = [each for each in outcome.readiness.due if each.failure is not Failure.ANNOYS and each.name not in told]
    return Passed(
        voyage=voyage,
        port=port,
        outcome=outcome,
        aboard=aboard,
        planned_h=planned_h,
        leaves_h=leaves_h,
        arrives_h=arrives_h,
        storms=storms_met(outcome.crossings, storms_along(outcome.ground.track, basins)),
        seasons=tuple(met.name for met in seasons_met(outcome.crossings, basins)),
        due=tuple(sorted(due, key=lambda each: each.status is Status.DUE_DURING)),
        papers=tuple(each for each in outcome.readiness.papers if not each.in_order and each.label not in told),
    )


def walls_kept(sailed: Round) -> tuple[WallMargin, ...]:
    """Every wall beside every passage and port that it keeps her from, in the order of the file."""
    return tuple(kept for wall in sailed.season.file.walls for kept in _beside(sailed, wall))


def _beside(sailed: Round, wall: Wall) -> Iterator[WallMargin]:
    for number, here in enumerate(sailed.passed):
        if not wall.keeps_from or here.voyage in wall.keeps_from:
            yield WallMargin(wall, here.voyage, number, _spare_h(sailed, wall, here.leaves_h, here.arrives_h))
        if here.port and (not wall.keeps_from or here.port.name in wall.keeps_from):
            yield WallMargin(wall, here.port.name, number, _spare_h(sailed, wall, *sailed.in_port_h(number)))


def _spare_h(sailed: Round, wall: Wall, comes_h: Hours, goes_h: Hours) -> Hours:
    """Endless for a season that never comes so far."""
    first_h, last_h = sailed.hour(wall.first), sailed.hour(wall.last) + 24.0
    return np.maximum(first_h - goes_h, comes_h - last_h)
