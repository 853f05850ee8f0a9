"""One person alone: cycles of sleep and looks."""

from __future__ import annotations

import numpy as np
import pytest

from passage.consequences.watches.solo import SHORTEST_NAP_MIN, STEPS, _lay, _sittings, cycles


def test_cycles_give_the_sleep_asked_for_and_at_most_a_nap_more() -> None:
    for cycle in cycles(4.6, 60.0):
        nap_h = (cycle.interval_min - 15) / 60
        assert 4.6 <= cycle.asleep_h + 1e-9
        assert cycle.asleep_h < 4.6 + nap_h
        assert cycle.cycles == pytest.approx(cycle.asleep_h / nap_h)


def test_no_interval_is_longer_than_wanted_and_no_nap_too_short() -> None:
    intervals = {cycle.interval_min for cycle in cycles(4.6, 50.0)}
    assert max(intervals) == 50
    assert min(intervals) == 15 + SHORTEST_NAP_MIN


def test_looks_too_close_for_a_nap_leave_nothing() -> None:
    assert () == cycles(4.6, 20.0)


def test_more_sleep_than_the_day_has_cycles_for_leaves_nothing() -> None:
    """Quarter-hour naps every half hour give twelve hours at the most."""
    assert () == cycles(13.0, 30.0)


def test_a_cycle_looks_first_and_then_sleeps() -> None:
    asleep = _lay(30, ((0, 2),), 15)
    assert [3, 4, 5, 9, 10, 11] == list(np.flatnonzero(asleep))


def test_sittings_stand_evenly_round_the_clock() -> None:
    begins = _sittings(4.5, 45, 15, 3, 22)
    assert begins is not None
    assert [(264, 3), (72, 3), (168, 3)] == list(begins)
    assert STEPS == 288


def test_sleep_by_night_is_found_the_least_sleepy_of_the_shortest_looks() -> None:
    first = cycles(4.6, 60.0)[0]
    assert 30 == first.interval_min
    assert first.worst_kss == min(
        c.worst_kss for c in cycles(4.6, 60.0) if c.interval_min == 30 and len(c.begins_h) == 1
    )
