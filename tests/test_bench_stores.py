"""How long the stores take: a month's provision for two in whole packs, and the stores of a thousand crossings."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from passage.consequences.stores.daily import food_to_landfall
from passage.consequences.stores.landfall import stores_to_landfall
from passage.consequences.stores.larder import lay_in
from passage.consequences.stores.shopping import provision
from passage.inputs.pantry import read_pantry
from passage.inputs.provisions import Diet
from tests.stores_cases import RULES, laden, steady_crossings, two

LONGEST_S = 2.0


def test_a_months_provision_in_whole_packs(benchmark: Any) -> None:
    """31 days to the slow end, a third as many in reserve, the whole starter list; in under two seconds."""
    crossings = steady_crossings([1000.0 / (30.5 * 24.0)] * 20, miles=1000.0, wind_kn=18.0, air_c=24.0)
    eaten = food_to_landfall(laden(crossings))
    larder = lay_in(crossings, two(), Diet(), read_pantry(Path("none")), eaten, RULES)
    assert 31 == larder.days
    told = benchmark.pedantic(provision, args=(larder, (), Diet()), rounds=3, iterations=1, warmup_rounds=1)
    assert told.bought_kcal >= larder.need_kcal.sum() + larder.reserve_kcal - 1.0
    assert benchmark.stats["mean"] < LONGEST_S


def test_the_stores_of_a_thousand_crossings_without_shopping(benchmark: Any) -> None:
    crossings = steady_crossings(list(np.linspace(3.0, 6.0, 1000)), miles=1700.0)
    pantry = read_pantry(Path("none"))
    run = benchmark.pedantic(
        stores_to_landfall,
        args=(laden(crossings), pantry),
        kwargs={"shopping": False},
        rounds=3,
        iterations=1,
    )
    assert 1000 == len(run.water.store.used)
