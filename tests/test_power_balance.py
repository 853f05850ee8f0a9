"""Every source and load in one account that balances in every crossing."""

from __future__ import annotations

import numpy as np
import pytest

from passage.consequences.power.balance import (
    ALTERNATOR,
    SUN,
    TOWED,
    WIND,
    account_of,
    plant_of,
    under_other_sky,
)
from passage.inputs.electrics import Charging, Electrics, Generator, SpeedPoint
from tests.power_cases import anchored, electrics, sailed_scene

CURVE = Generator(curve=(SpeedPoint(speed_kn=4.0, power_w=20.0), SpeedPoint(speed_kn=12.0, power_w=100.0)))


def everything() -> Electrics:
    return electrics(
        towed_generator=CURVE,
        wind_generator=CURVE,
        charging=Charging(start_below_share=0.7, run_h=1.5, daily_h=0.75),
    )


@pytest.mark.parametrize("boat", [electrics(), everything(), electrics(panels=(), charging=None)])
@pytest.mark.parametrize("case", ["high", "low"])
def test_energy_balances_to_rounding_in_every_crossing(boat: Electrics, case: str) -> None:
    # Sources are kept in single precision: a part in ten million of some 10 kWh an account.
    account = account_of(plant_of(sailed_scene(), boat, case, fuel_l=15.0))
    turned_over = sum(account.asked_wh.values()) + sum(account.offered_wh.values())
    run = account.run
    come = sum(account.offered_wh.values(), start=run.engine_wh - run.spilled_wh)
    gone = sum(account.asked_wh.values(), start=run.charge_loss_wh + run.self_discharge_wh - run.unserved_wh)
    assert np.zeros(40) == pytest.approx((come - gone - run.stored_wh) / turned_over, abs=1e-7)


def test_every_source_has_its_own_line() -> None:
    account = account_of(plant_of(sailed_scene(), everything(), "low"))
    assert [SUN, ALTERNATOR, TOWED, WIND] == list(account.offered_wh)
    assert all(energy.sum() > 0 for energy in account.offered_wh.values())
    assert [load.name for load in everything().loads] == list(account.asked_wh)


def test_the_balance_is_kept_from_departure_to_landfall_only() -> None:
    scene = sailed_scene()
    account = account_of(plant_of(scene, electrics(), "low"))
    assert scene.at_sea.sum(axis=0) / 24.0 == pytest.approx(account.days)
    in_port = scene.at_sea == 0.0
    assert not np.diff(account.run.soc, axis=0)[in_port].any()


def test_the_other_sky_changes_the_sun_and_nothing_else() -> None:
    low = plant_of(sailed_scene(), electrics(), "low")
    high = under_other_sky(low, "high")
    assert (high.sun_w.sum(), True) == (pytest.approx(plant_of(sailed_scene(), electrics(), "high").sun_w.sum()), True)
    assert high.sun_w.sum() > low.sun_w.sum()
    assert np.array_equal(high.drawn_w, low.drawn_w)


def test_the_daily_run_lasts_as_long_as_it_is_told() -> None:
    account = account_of(plant_of(anchored(days=4), electrics(charging=Charging(daily_h=0.75)), "low"))
    assert np.full(3, 3.0) == pytest.approx(account.run.engine_h, abs=1e-5)
