"""What runs short as boats break: struck at departure and for good it is what the trouble alone says."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.troubles.catalogue import Trouble, troubles_for
from passage.troubles.effects import stores_aboard
from passage.troubles.losses import Drawn, drawn_as_boats_break
from passage.troubles.strikes import NEVER_H, Strikes
from tests.plan_cases import sailed

if TYPE_CHECKING:
    from passage.inputs.folder import Facts

OUTCOME = sailed("cape-town-st-helena")
MEMBERS = OUTCOME.crossings.members
TROUBLES = {trouble.wear: trouble for trouble in troubles_for(OUTCOME.facts)}


def left(trouble: Trouble) -> Facts:
    return trouble.change(OUTCOME.facts, OUTCOME.ground)[0]


def all_struck(hour: int, end_h: int = NEVER_H) -> Strikes:
    return Strikes(np.arange(MEMBERS), np.full(MEMBERS, hour), np.full(MEMBERS, end_h))


def drawn(*struck: tuple[Facts, Strikes]) -> dict[str, Drawn]:
    facts, strikes = [facts for facts, _ in struck], [strikes for _, strikes in struck]
    return {row.store: row for row in drawn_as_boats_break(OUTCOME, facts, strikes, OUTCOME.crossings)}


@pytest.mark.parametrize("wear", ["water_lost", "self_steering_lost"])
def test_struck_at_departure_and_for_good_it_is_the_trouble_itself(wear: str) -> None:
    assert OUTCOME.power is not None
    facts = left(TROUBLES[wear])
    stores = stores_aboard(OUTCOME, OUTCOME.stores, facts, OUTCOME.crossings, OUTCOME.power.low.charging_h)
    found = drawn((facts, all_struck(0)))
    for store in stores:
        if store.said and store.name in found:
            edge = np.abs(store.net_used - store.usable) < 2e-4 * store.loaded  # a hair's breadth either way
            assert np.array_equal((store.net_used > store.usable)[~edge], found[store.name].short[~edge]), store.name


def test_mended_at_once_a_use_is_what_it_was() -> None:
    found = drawn((left(TROUBLES["self_steering_lost"]), all_struck(0, 0)))
    for row in found.values():
        assert np.array_equal(row.short_before, row.short)


def test_gas_lost_at_sea_is_missed_by_everybody_who_is_not_in_yet() -> None:
    arrival_h = OUTCOME.crossings.arrival_h
    late_h = int(np.quantile(arrival_h, 0.3))
    row = drawn((left(TROUBLES["gas_lost"]), all_struck(late_h)))["gas"]
    assert row.short[arrival_h > late_h + 1.0].all()
    assert np.array_equal(row.short_before[arrival_h < late_h], row.short[arrival_h < late_h])


def test_a_tank_lost_later_takes_less_with_it() -> None:
    facts, late_h = left(TROUBLES["water_lost"]), 300
    early, late = (int(drawn((facts, all_struck(hour)))["water"].short.sum()) for hour in (0, late_h))
    assert early > late >= int(drawn()["water"].short.sum())


def test_every_tank_lost_leaves_nobody_with_water() -> None:
    tanks = [trouble for trouble in troubles_for(OUTCOME.facts) if trouble.wear == "water_lost"]
    assert drawn(*((left(tank), all_struck(24)) for tank in tanks))["water"].short.all()


def test_what_the_stores_do_not_hang_on_takes_nothing() -> None:
    found = drawn(*((left(TROUBLES[wear]), all_struck(5)) for wear in ("panels_lost", "one_unfit", "headsail_jammed")))
    for row in found.values():
        assert np.array_equal(row.short_before, row.short)
