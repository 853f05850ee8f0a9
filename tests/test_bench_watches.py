"""How long the best rota of two people takes to find at half-hour grain; to be under three seconds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.watches.choose import best
from passage.consequences.watches.rotas import Bounds
from passage.consequences.watches.score import Conditions, Keeper

if TYPE_CHECKING:
    from pytest_benchmark.fixture import BenchmarkFixture


def test_two_people_at_half_hour_grain(benchmark: BenchmarkFixture) -> None:
    conditions = Conditions(dark=np.repeat([1.0] * 6 + [0.0] * 12 + [1.0] * 6, 2))
    found = benchmark(best, Bounds(2), (Keeper("one"), Keeper("other")), conditions)
    assert found.tried > 90_000
    assert 0.5 == found.rota.grain_h
