"""Rotas: every ring once, exactly the number of watch-keepers asked for, own rotas checked."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passage.consequences.watches.rotas import (
    MOST_RINGS,
    UP,
    WATCH,
    Bounds,
    Fixed,
    allowed,
    choose_grain,
    clock,
    count_rings,
    duties,
    enumerate_rotas,
    ring_lengths,
    rings,
    rota_of,
    slots_of,
)
from passage.consequences.watches.slots import SLOTS_PER_DAY

ONE = np.ones(SLOTS_PER_DAY, dtype=np.intp)


def brute_rings(shortest: int, longest: int, slots: int) -> set[tuple[int, ...]]:
    """Every set of change slots, tried one by one."""
    found = set()
    for number in range(1, slots // shortest + 1):
        for changes in combinations(range(slots), number):
            lengths = [(b - a - 1) % slots + 1 for a, b in zip(changes, (*changes[1:], changes[0]), strict=True)]
            if all(shortest <= length <= longest for length in lengths):
                found.add(changes)
    return found


@pytest.mark.parametrize(
    ("shortest", "longest", "slots"), [(3, 5, 16), (2, 4, 14), (4, 12, 16), (1, 3, 10), (8, 8, 16)]
)
def test_every_ring_is_made_once(shortest: int, longest: int, slots: int) -> None:
    made = [tuple(int(at) for at in ring) for group in rings(shortest, longest, slots) for ring in group]
    assert len(made) == len(set(made)) == count_rings(shortest, longest, slots)
    assert brute_rings(shortest, longest, slots) == set(made)


def test_the_rings_of_two_people_at_half_hours_are_counted_before_they_are_made() -> None:
    lengths = ring_lengths(Bounds(2), 1)
    assert (6, 12) == lengths
    assert count_rings(*lengths, 48) == sum(len(group) for group in rings(*lengths, 48))


bounds_of_any_crew = st.builds(
    lambda people, on_watch, shortest, extra: Bounds(people, shortest, shortest + extra, min(on_watch, people - 1)),
    st.integers(2, 4),
    st.integers(1, 3),
    st.sampled_from([3.0, 3.5, 4.0]),
    st.sampled_from([0.5, 1.0, 2.0]),
)


@settings(max_examples=20)
@given(bounds_of_any_crew, st.integers(0, 1))
def test_every_half_hour_has_exactly_the_number_asked_for(bounds: Bounds, standby: int) -> None:
    asked = np.full(SLOTS_PER_DAY, bounds.on_watch)
    for rotas in enumerate_rotas(bounds):
        on = (duties(rotas, asked, standby) == WATCH).sum(axis=1)
        assert (on == bounds.on_watch).all()


@settings(max_examples=20)
@given(bounds_of_any_crew)
def test_every_watch_keeps_to_the_bounds(bounds: Bounds) -> None:
    asked = np.full(SLOTS_PER_DAY, bounds.on_watch)
    for rotas in enumerate_rotas(bounds):
        some = rotas.pick(np.linspace(0, len(rotas) - 1, 50).astype(int))
        on = (duties(some, asked) == WATCH).reshape(len(some) * bounds.people, -1)
        for line in on:
            starts = np.flatnonzero(line & ~np.roll(line, 1))
            ends = np.flatnonzero(~line & np.roll(line, 1))
            lengths = [(ends - start)[(ends > start)].min(initial=10**6) for start in starts]
            lengths = [n if n < 10**6 else ends.min() + len(line) - s for n, s in zip(lengths, starts, strict=True)]
            assert bounds.shortest_h <= min(lengths) / 2
            assert max(lengths) / 2 <= bounds.longest_h


def test_no_rota_is_made_twice_and_both_ways_round_are_made() -> None:
    daily = next(group for group in enumerate_rotas(Bounds(2, 4.0, 6.0)) if group.days == 1)
    lines = {bytes(line) for line in daily.keeper.reshape(len(daily), -1)}
    assert len(daily) == len(lines)
    assert lines == {bytes(1 - line) for line in daily.keeper.reshape(len(daily), -1)}


def test_an_odd_number_of_watches_changes_people_over_every_day() -> None:
    alternating = next(group for group in enumerate_rotas(Bounds(2, 4.0, 6.0)) if group.days == 2)
    assert (alternating.keeper[:, 0] == 1 - alternating.keeper[:, 1]).all()


def test_too_many_rings_are_made_at_whole_hours_and_say_so() -> None:
    wide = Bounds(2, 1.0, 6.0)
    assert count_rings(*ring_lengths(wide, 1), 48) > MOST_RINGS[2]
    grain = choose_grain(wide)
    assert grain > 1
    assert {grain / 2} == {group.grain_h for group in enumerate_rotas(wide)}


def test_bounds_that_no_ring_keeps_give_no_rota() -> None:
    assert [] == enumerate_rotas(Bounds(2, 9.0, 11.0))  # two are less than a day, three are more


def test_all_up_at_a_shared_meal_and_one_of_them_on_watch() -> None:
    rotas = enumerate_rotas(Bounds(2, 5.0, 6.0))[-1]
    duty = duties(rotas, ONE, fixed=(Fixed("meal", 18.0, 1.0),))
    assert (duty[:, :, :, 36:38] >= UP).all()
    assert ((duty == WATCH).sum(axis=1) == 1).all()


def test_one_named_person_is_up_for_the_radio() -> None:
    rotas = rota_of(((0, 0.0, 12.0), (1, 12.0, 24.0)), 2)
    duty = duties(rotas, ONE, fixed=(Fixed("radio", 20.25, 0.5, (0,)),))
    assert [40, 41] == [int(slot) for slot in np.flatnonzero(duty[0, 0, 0] == UP)]
    assert not (duty[0, 1] == UP).any()


def test_a_fixed_hour_may_run_over_midnight() -> None:
    assert [47, 0, 1] == slots_of(23.5, 1.5)


def test_nobody_is_called_outside_their_hours() -> None:
    may_stand = np.ones((2, SLOTS_PER_DAY), dtype=bool)
    may_stand[0, 8:16] = False  # not from four to eight
    daily = next(group for group in enumerate_rotas(Bounds(2)) if group.days == 1)
    kept = allowed(daily, may_stand, ONE)
    assert 0 < len(kept) < len(daily)
    assert (kept.keeper[:, :, 8:16] == 1).all()


def test_an_own_rota_that_leaves_an_hour_is_told_which() -> None:
    with pytest.raises(ValueError, match="04:30 has no watch-keeper"):
        rota_of(((0, 22.0, 4.5), (1, 5.0, 22.0)), 2)
    with pytest.raises(ValueError, match="05:00 is kept twice"):
        rota_of(((0, 22.0, 6.0), (1, 5.0, 22.0)), 2)


def test_an_own_rota_of_two_days() -> None:
    rota = rota_of(((0, 20.0, 32.0), (1, 32.0, 20.0)), 2, days=2)
    assert (2, 0, 1) == (rota.days, rota.keeper[0, 0, 40], rota.keeper[0, 1, 16])


@pytest.mark.parametrize(
    ("people", "shortest", "longest", "on"), [(5, 3, 4, 1), (1, 3, 4, 1), (2, 3, 4, 2), (2, 4, 3, 1)]
)
def test_bounds_that_mean_nothing_are_refused(people: int, shortest: float, longest: float, on: int) -> None:
    with pytest.raises(ValueError):
        Bounds(people, shortest, longest, on)


def test_the_clock() -> None:
    assert ["00:00", "07:30", "01:00"] == [clock(0.0), clock(7.5), clock(25.0)]
