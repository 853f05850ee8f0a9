"""Passages one after another: each season is one crossing of every passage, and a late one makes the next late."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise

import numpy as np

from passage.inputs.season import Port, Wall
from passage.seasons.sail import leaves_after, walls_kept
from tests.season_cases import sailed


def test_a_passage_leaves_on_the_day_planned_or_as_soon_as_the_days_in_port_are_over() -> None:
    first = replace(sailed().passed[0], port=Port(name="A", stay_h=48.0, haul_out_h=24.0))
    before = replace(first, arrives_h=np.array([10.0, 100.0, 129.0, np.inf]))
    # the stay is over at 82, 172, 201 and never; planned for hour 200
    np.testing.assert_allclose([200.0, 200.0, 224.0, np.inf], leaves_after(before, 200.0))


def test_nobody_leaves_before_she_is_in_and_has_stayed() -> None:
    passed = sailed().passed
    for before, after in pairwise(passed):
        assert before.port is not None
        assert np.all(after.leaves_h >= before.arrives_h + before.port.days_h - 1e-6)
        assert np.all(after.leaves_h >= after.planned_h)


def test_each_passage_has_a_luck_of_its_own() -> None:
    seeds = [one.outcome.crossings.seed for one in sailed().passed]
    assert [1, 2, 3, 4] == seeds


def test_a_wall_is_broken_on_its_days_and_on_no_other() -> None:
    season = sailed()
    here = season.passed[1]
    came, went = float(here.leaves_h.min()), float(here.arrives_h.max())
    first, last = ((season.begins + np.timedelta64(int(hour), "h").item()).date() for hour in (came, went))
    inside, before, after = (first, first), (date(2027, 1, 1), date(2027, 1, 2)), (date(2029, 1, 1), date(2029, 1, 2))
    for days, broken in ((inside, True), (before, False), (after, False), ((last, last), True)):
        wall = Wall(name="w", first=days[0], last=days[1], keeps_from=(here.voyage,))
        file = season.season.file.model_copy(update={"walls": (wall,)})
        (kept,) = walls_kept(replace(season, season=replace(season.season, file=file)))
        assert broken is bool((kept.spare_h <= 0.0).any())


def test_a_wall_without_places_keeps_her_from_every_passage_and_port() -> None:
    season = sailed()
    wall = Wall(name="w", first=date(2027, 1, 1), last=date(2027, 1, 2))
    file = season.season.file.model_copy(update={"walls": (wall,)})
    kept = walls_kept(replace(season, season=replace(season.season, file=file)))
    assert 8 == len(kept)


def test_a_paper_is_told_in_the_passage_that_it_fails_and_once() -> None:
    """Invented: it ends on 15 June 2028 and is to be good for six months more; the second passage's typical landfall is
    past 15 December 2027.
    """
    assert [(), ("passport, mate",), (), ()] == [tuple(each.label for each in one.papers) for one in sailed().passed]
