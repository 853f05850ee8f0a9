"""The gear register: lives as published or common practice, dates held against the slow end, the worst deciding."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.consequences.readiness.dates import PassageDates, Status, add_months
from passage.consequences.readiness.ready import readiness
from passage.consequences.readiness.register import Finding, assess, class_verdicts
from passage.consequences.readiness.rules import rule_for, starter_rules
from passage.consequences.readiness.shakedown import shakedown
from passage.inputs.failure import Failure
from passage.inputs.gear import Gear, GearItem, Job, Seacock

DATES = PassageDates(date(2026, 11, 1), date(2027, 2, 10), date(2027, 2, 26), date(2027, 3, 7), stay_days=20)
DAY = timedelta(days=1)


def one(dates: PassageDates = DATES, engine_h: float = 0.0, **facts: object) -> Finding:
    """The finding for one invented thing."""
    (finding,) = assess(Gear(items=(GearItem(**{"name": "it", "kind": "flares", **facts}),)), dates, engine_h)
    return finding


# --- the starter rules ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "material", "field", "figure"),
    [
        ("standing rigging", "wire", "life_months", 120),  # P: ten years widely taken
        ("standing rigging", "wire", "late_life_months", 180),  # P: some take fifteen
        ("lifelines", "wire", "life_months", 60),  # P
        ("lifelines", "fibre", "life_months", 60),  # P: five to seven years
        ("seacock", "brass", "life_months", 60),  # R2: ISO 9093-1 asks five years
        ("seacock", "bronze", "life_months", 120),  # P
        ("hose below waterline", "", "life_months", 96),  # P
        ("flares", "", "life_months", 36),  # R2: usually three years
        ("flares", "", "late_life_months", 42),  # M: 42 months in the USA
        ("hydrostatic release", "", "life_months", 24),  # R2
        ("liferaft", "", "service_months", 12),  # R2: one to three years by maker
        ("lifejackets", "", "service_months", 12),  # R2
        ("extinguishers", "", "service_months", 60),  # R2
        ("impeller", "", "service_months", 12),  # R2
        ("engine oil", "", "service_h", 100),  # R2/P: 100 to 150 h, the cautious end
        ("rudder", "", "inspect_months", 24),  # R2: offshore racing rules
        ("sails", "dacron", "life_h", 4000),  # P
        ("steering", "", "life_months", 60),  # P
    ],
)
def test_starter_figures(kind: str, material: str, field: str, figure: int) -> None:
    assert getattr(rule_for(kind, material), field) == figure


def test_every_rule_says_where_it_comes_from_and_how_to_prove_it() -> None:
    for rule in starter_rules():
        assert rule.standing in {"R", "R2", "M", "P", "D"}
        assert rule.source
        assert rule.prove_when in {"alongside", "day", "night"}
        assert rule.prove
        assert rule.late_life_months is None or rule.life_months is None or rule.late_life_months > rule.life_months


def test_rules_are_unique() -> None:
    keys = [(rule.kind, rule.material) for rule in starter_rules()]
    assert len(keys) == len(set(keys))


def test_an_unknown_alloy_is_taken_for_plain_brass() -> None:
    assert rule_for("seacock", "some alloy") == rule_for("seacock", "")
    assert rule_for("Seacock", "DZR") == rule_for("seacock", "dzr")


def test_an_unknown_material_takes_the_strictest_of_its_kind() -> None:
    rule = rule_for("battery", "moonlight")
    assert rule is not None
    assert rule.material == "flooded"


def test_disagreeing_practices_are_said() -> None:
    said = " ".join(one(kind="lifelines", material="fibre", fitted=date(2026, 6, 1)).remarks)
    assert "cruisers like fibre" in said
    assert "racing rules" in said


# --- dates ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 8, 31), 1, date(2026, 9, 30)),
        (date(2026, 12, 15), 1, date(2027, 1, 15)),
        (date(2026, 12, 31), 0, date(2026, 12, 31)),
    ],
)
def test_months_keep_to_the_calendar(day: date, months: int, expected: date) -> None:
    assert add_months(day, months) == expected


@pytest.mark.parametrize("stay_days", [0, 20])
def test_one_day_before_the_last_day_is_reported_and_one_day_after_is_not(stay_days: int) -> None:
    dates = PassageDates(DATES.today, DATES.depart, DATES.fast_end, DATES.slow_end, stay_days)
    last = DATES.slow_end + stay_days * DAY
    assert one(dates, expires=last - DAY).status is Status.DUE_DURING
    assert one(dates, expires=last).status is Status.DUE_DURING
    assert one(dates, expires=last + DAY).status is Status.FINE


@pytest.mark.parametrize(
    ("expires", "status"),
    [
        (DATES.today - DAY, Status.OVERDUE),
        (DATES.today, Status.DUE_BEFORE),
        (DATES.depart - DAY, Status.DUE_BEFORE),
        (DATES.depart, Status.DUE_DURING),
    ],
)
def test_each_span_of_dates_has_its_word(expires: date, status: Status) -> None:
    assert one(expires=expires).status is status


@given(st.dates(date(2020, 1, 1), date(2035, 1, 1)), st.integers(0, 400), st.integers(0, 400))
def test_a_longer_stay_never_makes_a_thing_better(expires: date, shorter: int, more: int) -> None:
    def status(stay_days: int) -> Status:
        dates = PassageDates(DATES.today, DATES.depart, DATES.fast_end, DATES.slow_end, stay_days)
        return one(dates, expires=expires).status

    assert status(shorter) <= status(shorter + more)


# --- whose rule wins --------------------------------------------------------------------------------------------------


def test_the_label_wins_over_the_starter_rule() -> None:
    finding = one(fitted=date(2020, 1, 1), expires=date(2028, 1, 1))
    assert finding.status is Status.FINE
    assert [deadline.source for deadline in finding.deadlines] == ["maker's label"]


def test_the_label_of_a_serviced_thing_is_its_next_service() -> None:
    assert one(kind="liferaft", serviced=date(2024, 1, 1), expires=date(2027, 6, 1)).status is Status.FINE


def test_the_owners_rule_wins_over_the_starter_rule() -> None:
    old = {"kind": "standing rigging", "material": "wire", "fitted": date(2014, 1, 1), "inspected": date(2026, 10, 1)}
    assert one(**old).status is Status.OVERDUE
    assert one(**old, replace_every_months=180).status is Status.FINE


def test_the_earlier_of_label_and_own_rule_decides() -> None:
    finding = one(fitted=date(2024, 1, 1), expires=date(2030, 1, 1), replace_every_months=36)
    assert finding.status is Status.DUE_BEFORE
    assert finding.governing is not None
    assert finding.governing.source == "own rule"


def test_between_the_cautious_and_the_longest_life_it_says_so() -> None:
    facts = {"kind": "standing rigging", "material": "wire", "inspected": date(2026, 10, 1)}
    assert any("cautious life" in remark for remark in one(fitted=date(2015, 1, 1), **facts).remarks)
    assert not any("cautious life" in remark for remark in one(fitted=date(2005, 1, 1), **facts).remarks)


def test_running_hours_count_what_the_passage_takes() -> None:
    oil = {"kind": "engine oil", "serviced": date(2026, 10, 1), "running_h": 80.0}
    assert one(engine_h=19.0, **oil).status is Status.FINE
    assert one(engine_h=20.0, **oil).status is Status.DUE_DURING
    assert one(engine_h=20.0, **oil, service_every_h=125.0).status is Status.FINE
    assert one(engine_h=0.0, **{**oil, "running_h": 101.0}).status is Status.OVERDUE


def test_missing_running_hours_are_said() -> None:
    assert any("running hours" in said for said in one(kind="engine oil", serviced=date(2026, 10, 1)).remarks)


# --- what is not known ------------------------------------------------------------------------------------------------


def test_age_unknown_and_unproven_make_a_shakedown_list() -> None:
    gear = Gear(
        items=(
            GearItem(name="vane", kind="self-steering", inspected=date(2026, 10, 1), unproven="new paddle"),
            GearItem(name="flare pack", kind="flares"),
            GearItem(name="raft", kind="liferaft", serviced=date(2026, 10, 1)),
        ),
        seacocks=(Seacock(name="heads inlet", along_m=2.0, athwart_m=0.5, below_waterline_m=0.3, bore_mm=19.0),),
    )
    proofs = shakedown(gear, assess(gear, DATES))
    assert {"heads inlet": "alongside", "flare pack": "alongside", "vane": "night"} == {
        proof.name: proof.when for proof in proofs
    }
    assert [proof.when for proof in proofs] == ["alongside", "alongside", "night"]
    assert next(proof.why for proof in proofs if proof.name == "vane") == "unproven: new paddle"


def test_an_overdue_thing_that_is_also_unproven_is_still_to_be_proved() -> None:
    gear = Gear(
        items=(GearItem(name="shrouds", kind="standing rigging", fitted=date(2000, 1, 1), unproven="restepped"),)
    )
    findings = assess(gear, DATES)
    assert findings[0].status is Status.OVERDUE
    assert [proof.name for proof in shakedown(gear, findings)] == ["shrouds"]


def test_what_only_annoys_need_not_be_proved() -> None:
    gear = Gear(items=(GearItem(name="lamp", kind="lamp", failure=Failure.ANNOYS),))
    findings = assess(gear, DATES)
    assert findings[0].status is Status.AGE_UNKNOWN
    assert shakedown(gear, findings) == ()


def test_an_unknown_kind_is_said_and_taken_gravely() -> None:
    finding = one(kind="flare", fitted=date(2026, 1, 1))
    assert finding.failure is Failure.SINKS
    assert any("did you mean 'flares'" in remark for remark in finding.remarks)


@pytest.mark.parametrize("fitted", [date(1990, 1, 1), date(2026, 1, 1)])
def test_what_nothing_can_be_held_against_is_never_fine(fitted: date) -> None:
    """A slip of the pen in the kind must not make an old rig ready."""
    gear = Gear(items=(GearItem(name="rig", kind="standing riging", fitted=fitted),))
    told = readiness(gear, DATES)
    assert told.findings[0].status is Status.NO_RULE
    assert told.verdict == "prove first"
    assert "did you mean 'standing rigging'" in told.proofs[0].why


def test_an_own_rule_by_hours_needs_the_hours() -> None:
    told = one(kind="generator", fitted=date(2025, 1, 1), service_every_h=200.0)
    assert told.status is Status.AGE_UNKNOWN
    assert one(kind="generator", fitted=date(2025, 1, 1), service_every_h=200.0, running_h=10.0).status is Status.FINE


def test_a_life_by_hours_under_sail_counts_the_hours_of_the_passage() -> None:
    at_sea_h = 24.0 * (DATES.slow_end - DATES.depart).days
    facts = {"kind": "sails", "material": "dacron", "fitted": DATES.today}  # 4,000 hours, P
    just, too_many = (one(running_h=4000.0 - at_sea_h - more_h, **facts) for more_h in (1.0, -1.0))
    assert just.status is Status.FINE
    assert too_many.status is Status.DUE_DURING


def test_a_material_not_given_is_said() -> None:
    assert any("material not given" in remark for remark in one(kind="standing rigging").remarks)
    assert any("'sisal' not known" in remark for remark in one(kind="lifelines", material="sisal").remarks)
    assert rule_for("lifelines").material == "coated wire"  # of the same life, the one looked at most often


# --- classes ----------------------------------------------------------------------------------------------------------


def stand(failure: Failure, expires: date, name: str) -> GearItem:
    return GearItem(name=name, kind="flares", failure=failure, expires=expires)


def test_the_worst_decides_within_its_class_however_many_are_fine() -> None:
    fine = tuple(stand(Failure.HURTS, date(2030, 1, 1), f"good {count}") for count in range(50))
    bad = stand(Failure.HURTS, date(2020, 1, 1), "bad one")
    verdicts = {it.failure: it for it in class_verdicts(assess(Gear(items=(*fine, bad)), DATES))}
    assert verdicts[Failure.HURTS].worst is Status.OVERDUE
    assert verdicts[Failure.HURTS].decided_by == ("bad one",)
    assert verdicts[Failure.SINKS].worst is Status.FINE
    assert readiness(Gear(items=(*fine, bad)), DATES).verdict == "not ready"


def test_what_annoys_never_keeps_her_in_harbour() -> None:
    gear = Gear(items=(stand(Failure.ANNOYS, date(2000, 1, 1), "cabin lamp"),))
    result = readiness(gear, DATES)
    assert result.verdict == "ready"
    assert result.classes[-1].worst is Status.OVERDUE
    assert result.due_without_job == ()


def test_what_is_not_known_asks_for_proof_and_no_more() -> None:
    result = readiness(Gear(items=(GearItem(name="flare pack", kind="flares"),)), DATES)
    assert (result.verdict, result.because) == ("prove first", ("flare pack",))


def test_a_due_thing_without_a_job_is_named() -> None:
    item = stand(Failure.SINKS, date(2026, 12, 1), "drain")
    assert readiness(Gear(items=(item,)), DATES).due_without_job == ("drain",)
    mended = Gear(items=(item,), jobs=(Job(name="new drain", gear="drain", work_h=4.0),))
    result = readiness(mended, DATES)
    assert result.due_without_job == ()
    assert result.findings[0].jobs == ("new drain",)


def test_the_gravest_class_stands_first() -> None:
    items = [stand(failure, date(2030, 1, 1), failure.value) for failure in reversed(Failure)]
    assert [it.failure for it in assess(Gear(items=tuple(items)), DATES)] == list(Failure)


def test_the_cost_of_what_is_due_is_counted_once() -> None:
    items = (
        GearItem(name="flares", kind="flares", expires=date(2026, 12, 1), cost=100.0),
        GearItem(name="raft", kind="liferaft", expires=date(2026, 12, 1), cost=900.0),
        GearItem(name="lamp", kind="flares", expires=date(2026, 12, 1)),
        GearItem(name="fine", kind="flares", expires=date(2030, 12, 1), cost=5000.0),
    )
    cost = readiness(Gear(items=items, jobs=(Job(name="raft service", gear="raft", cost=700.0),)), DATES).cost
    assert (cost.jobs_cost, cost.gear_cost, cost.total_cost) == (700.0, 100.0, 800.0)
    assert cost.unpriced == ("lamp",)
