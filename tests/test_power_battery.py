"""The bank against closed forms; its energy always balances."""

from __future__ import annotations

from math import exp, inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passage.consequences.power.battery import PROFILES, Bank, ChargingRule, bank_of, peukert_share, rule_of, run_bank
from passage.inputs.electrics import Alternator, Battery, Charging

HOURS = 72


def bank(chemistry: str = "lead", start: float = 1.0) -> Bank:
    return Bank(2400.0, start, 0.5, PROFILES[chemistry])


def run(
    held: Bank, offered_w: float = 0.0, load_w: float = 0.0, rule: ChargingRule | None = None, motoring: bool = False
):
    def all_hours(value: float) -> np.ndarray:
        return np.full((HOURS, 1), value, dtype=np.float32)

    return run_bank(
        held,
        all_hours(offered_w),
        all_hours(load_w),
        all_hours(1.0),
        np.full((HOURS, 1), motoring),
        rule or ChargingRule(),
    )


def test_a_steady_load_draws_a_straight_line() -> None:
    # D: 24 Wh of 2400 an hour, and self-discharge of a twentieth a month on some 0.9 of it.
    soc = run(bank(), load_w=24.0).soc[:, 0]
    assert 1.0 - 0.24 - 24 / 730.5 * 0.05 * 0.88 == pytest.approx(float(soc[24]), abs=2e-4)


def test_what_goes_in_comes_out_less_the_charge_efficiency() -> None:
    soc = run(bank(start=0.3), offered_w=60.0).soc[:, 0]
    assert 0.3 + 10 * 60.0 * PROFILES["lead"].charge_efficiency / 2400.0 == pytest.approx(float(soc[10]), abs=5e-4)


def test_lead_takes_no_more_than_its_bulk_rate() -> None:
    result = run(bank(start=0.2), offered_w=5000.0)
    assert 0.2 + PROFILES["lead"].charge_rate == pytest.approx(float(result.soc[1, 0]), abs=1e-4)
    assert result.spilled_wh[0] > 0.0


def test_the_last_part_tapers_exponentially() -> None:
    soc = run(bank(start=0.9), offered_w=5000.0).soc[:, 0]
    assert 1.0 - 0.1 * exp(-3.0 / PROFILES["lead"].taper_h) == pytest.approx(float(soc[3]), abs=3e-4)


def test_lithium_takes_all_to_the_brim_where_lead_does_not() -> None:
    lead, lithium = (float(run(bank(kind, 0.9), offered_w=400.0).soc[1, 0]) for kind in ("lead", "lithium"))
    assert lead < 0.96 < 0.999 < lithium


def test_a_month_alone_costs_the_stated_self_discharge() -> None:
    days = HOURS / 24.0
    held = float(run(bank()).soc[-1, 0])
    assert (1.0 - 0.05 / 730.5) ** (24.0 * days) == pytest.approx(held, abs=1e-6)


def test_an_empty_bank_gives_nothing_and_says_so() -> None:
    result = run(bank(start=0.2), load_w=100.0)
    assert 0.0 == result.soc[-1, 0]
    assert HOURS * 100.0 - 480.0 == pytest.approx(result.unserved_wh[0], abs=1.0)


def test_loads_are_fed_first_without_a_charging_loss() -> None:
    result = run(bank(start=0.8), offered_w=50.0, load_w=50.0)
    assert (0.0, 0.0) == (result.charge_loss_wh[0], result.spilled_wh[0])


def rule(**changes: float) -> ChargingRule:
    return ChargingRule(**({"power_w": 500.0, "consumption_l_h": 1.2, "start_below": 0.6, "run_h": 2.0} | changes))


def test_the_engine_starts_below_the_mark_and_runs_its_time() -> None:
    result = run(bank(start=0.62), load_w=40.0, rule=rule())
    climbs = np.diff(result.soc[:, 0]) > 0.0
    assert not climbs[:2].any()  # 0.62, 0.603, then 0.587: below
    assert climbs[2:4].all()
    assert not climbs[4]
    assert result.soc[:, 0].min() > 0.55


def test_charging_stops_with_the_fuel() -> None:
    result = run(bank(start=0.5), load_w=100.0, rule=rule(fuel_l=3.0))
    assert 3.0 / 1.2 == pytest.approx(result.engine_h[0])
    assert 500.0 * 2.5 == pytest.approx(result.engine_wh[0])


def test_no_charging_run_while_motoring_anyway() -> None:
    assert 0.0 == run(bank(start=0.5), load_w=10.0, rule=rule(), motoring=True).engine_h[0]


def test_a_daily_run_goes_on_whatever_the_battery_says() -> None:
    mornings = np.zeros((HOURS, 1), dtype=np.float32)
    mornings[6::24], mornings[7::24] = 1.0, 0.5
    assert 4.5 == run(bank(), rule=rule(start_below=0.0, always_on=mornings)).engine_h[0]


def test_no_rule_without_an_alternator_or_without_being_asked() -> None:
    alternator = Alternator(current_a=50.0, voltage_v=14.0, consumption_l_h=1.0)
    assert 0.0 == rule_of(None, Charging(), inf, None).power_w == rule_of(alternator, None, inf, None).power_w
    assert 700.0 == rule_of(alternator, Charging(start_below_share=0.5), inf, None).power_w


def test_peukert_is_nothing_at_gentle_draw_and_the_law_above() -> None:
    # D: twice the 20-hour rate with exponent 1.2 leaves 2^-0.2 of the capacity.
    assert 1.0 == peukert_share(60.0, 2400.0, 1.2) == peukert_share(0.0, 2400.0, 1.2)
    assert 2.0**-0.2 == pytest.approx(peukert_share(240.0, 2400.0, 1.2))


def test_the_bank_is_aged_and_its_floor_is_custom_or_the_persons_own() -> None:
    old = Battery(chemistry="AGM", capacity_ah=200.0, voltage_v=12.0, health_share=0.8)
    assert (1920.0, 0.5) == pytest.approx((bank_of(old, 1.0, 10.0).capacity_wh, bank_of(old, 1.0, 10.0).floor))
    own = Battery(chemistry="lithium", capacity_ah=100.0, voltage_v=25.6, usable_share=0.7)
    assert (2560.0, 0.3) == pytest.approx((bank_of(own, 1.0, 10.0).capacity_wh, bank_of(own, 1.0, 10.0).floor))


@settings(max_examples=40)
@given(
    seed=st.integers(0, 2**32 - 1),
    chemistry=st.sampled_from(sorted(PROFILES)),
    start=st.floats(0.1, 1.0),
    fuel_l=st.floats(0.0, 20.0),
)
def test_energy_balances_and_charge_stays_between_empty_and_full(
    seed: int, chemistry: str, start: float, fuel_l: float
) -> None:
    chance = np.random.default_rng(seed)
    offered, load = (chance.uniform(0.0, top, (HOURS, 5)).astype(np.float32) for top in (300.0, 200.0))
    at_sea = np.ones_like(load)
    at_sea[60:] = 0.0
    result = run_bank(
        bank(chemistry, start), offered, load, at_sea, chance.random((HOURS, 5)) < 0.2, rule(fuel_l=fuel_l)
    )
    came = (offered[:60].sum(axis=0, dtype=float) + result.engine_wh) - result.spilled_wh
    went = load[:60].sum(axis=0, dtype=float) - result.unserved_wh + result.charge_loss_wh + result.self_discharge_wh
    assert came - went == pytest.approx(result.stored_wh, abs=1e-6)
    assert 0.0 <= result.soc.min() <= result.soc.max() <= 1.0
    assert result.engine_h.max() * 1.2 <= fuel_l + 1e-9
