"""Two-process model against published durations and its closed form."""

from __future__ import annotations

import numpy as np
import pytest

from passage.consequences.watches.two_process import (
    FALL_H,
    LOWER,
    RISE_H,
    SWING,
    UPPER,
    forced,
    longest_sleep_h,
    sleep,
    wake,
)


def test_natural_sleep_and_wake_without_a_body_clock() -> None:
    assert 5.760 == pytest.approx(FALL_H * np.log(UPPER / LOWER), abs=0.0005)  # course notes print 5.8 (R2)
    assert 16.786 == pytest.approx(
        RISE_H * np.log((1.0 - LOWER) / (1.0 - UPPER)), abs=0.0005
    )  # course notes print 16.8 (R2)


@pytest.mark.parametrize(("awake", "asleep", "evening", "morning"), [(16, 8, 0.6234, 0.0928), (18, 6, 0.6895, 0.1652)])
def test_the_forced_day_in_closed_form(awake: float, asleep: float, evening: float, morning: float) -> None:
    """D, four digits; and a day of it leads back to itself."""
    assert (evening, morning) == pytest.approx(forced(awake, asleep), abs=5e-5)
    assert forced(awake, asleep)[1] == pytest.approx(sleep(wake(forced(awake, asleep)[1], awake), asleep))


def test_entrained_sleep() -> None:
    """D: a person free to sleep when the thresholds say so, stepped by the minute: asleep 00:17, awake 08:13."""
    pressure, sleeping, edge = 0.5, False, [0.0, 0.0]
    for minute in range(40 * 24 * 60):
        threshold = (LOWER if sleeping else UPPER) + SWING * np.cos(2.0 * np.pi * (minute / 60.0 - 16.8) / 24.0)
        if (pressure <= threshold) if sleeping else (pressure >= threshold):
            sleeping = not sleeping
            edge[0 if sleeping else 1] = minute / 60.0 % 24.0
        pressure = float(sleep(pressure, 1.0 / 60.0) if sleeping else wake(pressure, 1.0 / 60.0))
    asleep, awake = edge
    assert 17 / 60 == pytest.approx(asleep, abs=1.5 / 60)
    assert 8 + 13 / 60 == pytest.approx(awake, abs=1.5 / 60)
    assert 7.94 == pytest.approx(awake - asleep, abs=1.5 / 60)


def test_sleep_begun_in_the_afternoon_is_the_shortest() -> None:
    lengths = longest_sleep_h(np.arange(24))
    assert lengths.argmin() in range(11, 16)
    assert 18 <= lengths.argmax() <= 23


def test_the_gate_ends_sleep_at_the_lower_threshold() -> None:
    length = float(longest_sleep_h(23.0))
    left = float(sleep(forced(16, 8)[0], length))
    threshold = 0.17 + 0.12 * np.cos(2 * np.pi * (23.0 + length - 16.8) / 24)
    assert threshold == pytest.approx(left, abs=0.002)  # a minute of sleep moves the two by 0.001
