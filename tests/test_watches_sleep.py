"""Sleep laid into free time: no more than given, never in duty, rising with what is given."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.consequences.watches.sleep import free_blocks, lay_sleep, share_out
from passage.consequences.watches.two_process import longest_sleep_h
from passage.inputs.watch import Rest

REST = Rest()
free_days = st.lists(st.booleans(), min_size=48, max_size=48).map(lambda free: np.array([free]))


def lay(free: np.ndarray, sleep_h: float, rest: Rest = REST) -> np.ndarray:
    return lay_sleep(free, np.full(len(free), sleep_h), rest, 16.8).asleep_h


def off(*spells: tuple[int, int]) -> np.ndarray:
    free = np.zeros((1, 48), dtype=bool)
    for first, last in spells:
        free[0, np.arange(first, last) % 48] = True
    return free


def test_six_on_six_off_sleeps_by_halves() -> None:
    """5 hours over two blocks of six: two and a half each, from half an hour after coming off watch."""
    asleep = lay(off((12, 24), (36, 48)), 5.0)
    assert [13, 14, 15, 16, 17, 37, 38, 39, 40, 41] == list(np.flatnonzero(asleep[0]))
    assert 5.0 == asleep.sum()


def test_a_block_over_midnight_is_one_block() -> None:
    age, length = free_blocks(off((44, 56)), 48)
    assert [0, 3, 4, 11] == list(age[0, [44, 47, 0, 7]])
    assert 12 == length[0, 44]
    assert 12 == length.sum(), "told at its start alone"


def test_an_hour_off_gives_no_sleep_and_the_long_block_gives_all() -> None:
    asleep = lay(off((20, 22), (40, 60)), 5.0)
    assert 0.0 == asleep[0, 12:40].sum()
    assert 5.0 == pytest.approx(asleep.sum())


def test_a_rota_without_room_gives_what_it_has_room_for() -> None:
    """Three hours off less settling and dressing, twice: four and a half."""
    assert 4.5 == pytest.approx(lay(off((0, 6), (20, 26)), 6.5).sum())


def test_nobody_sleeps_the_whole_afternoon() -> None:
    asleep = lay(off((24, 40)), 8.0)
    assert float(longest_sleep_h(12.5)) == pytest.approx(asleep.sum())
    assert asleep.sum() < 8 - 0.75


def test_a_person_free_all_round_goes_to_bed_at_ten() -> None:
    asleep = lay(np.ones((1, 96), dtype=bool), 6.5)
    assert [45, 93] == [int(at) for at in np.flatnonzero(asleep[0] > np.roll(asleep[0], 1)) if asleep[0, at] == 0.5][:2]
    assert 13.0 == pytest.approx(asleep.sum())


@given(free_days, st.floats(1, 12), st.floats(0, 3))
def test_more_given_is_never_less_slept_in_any_half_hour(free: np.ndarray, sleep_h: float, more_h: float) -> None:
    assert (lay(free, sleep_h + more_h) >= lay(free, sleep_h) - 1e-9).all()


@given(free_days, st.floats(1, 12))
def test_sleep_is_free_time_and_no_more_than_given(free: np.ndarray, sleep_h: float) -> None:
    asleep = lay(free, sleep_h)
    assert (asleep[~free] == 0).all()
    assert asleep.min() >= 0.0
    assert asleep.max() <= 0.5
    assert asleep.sum() <= sleep_h + 1e-9


def test_what_a_full_place_cannot_take_goes_to_the_others() -> None:
    shared = share_out(np.array([[1.0, 5.0, 5.0, 0.0]]).T, np.array([[4.0, 4.0, 2.0, 0.0]]).T, np.array([7.0]))
    assert [1.0, 4.0, 2.0, 0.0] == list(shared[:, 0])


def test_no_more_is_shared_than_there_is_room() -> None:
    shared = share_out(np.array([[1.0], [2.0]]), np.array([[1.0], [1.0]]), np.array([9.0]))
    assert [1.0, 2.0] == list(shared[:, 0])
