"""Steps of long work, on a clock that the tests turn."""

from __future__ import annotations

import pytest

from passage import steps as module
from passage.steps import Steps, done, heard_by


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    now = [100.0]
    monkeypatch.setattr(module, "perf_counter", lambda: now[0])
    return now


def test_a_step_within_another_is_counted_for_itself_alone(clock: list[float]) -> None:
    steps = Steps()
    with steps("stores"):
        clock[0] += 2.0
        with steps("power"):
            clock[0] += 5.0
        clock[0] += 1.0
    assert {"stores": 3.0, "power": 5.0} == steps.seconds


def test_a_step_taken_twice_is_one_and_a_refused_one_counts(clock: list[float]) -> None:
    steps = Steps()
    with steps("sailing"):
        clock[0] += 1.0
    with pytest.raises(ValueError, match="no"), steps("sailing"):
        clock[0] += 1.5
        raise ValueError("no")
    assert {"sailing": 2.5} == steps.seconds


def test_each_is_told_as_it_begins() -> None:
    told: list[str] = []
    steps = Steps(told.append)
    with steps("drawing"):
        assert ["drawing"] == told
    with steps("typesetting"):
        pass
    assert ["drawing", "typesetting"] == told


def test_work_that_is_asked_for_by_name_is_heard_by_whoever_listens() -> None:
    heard: list[float] = []
    done(0.1)
    with heard_by(heard.append):
        done(0.5)
    done(0.9)
    assert [0.5] == heard
