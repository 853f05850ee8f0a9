"""The work list: order by dependency, one haul-out, and a departure date no earlier than the work allows."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from passage.consequences.readiness.dates import PassageDates, Status
from passage.consequences.readiness.papers import paper_rows
from passage.consequences.readiness.ready import readiness
from passage.consequences.readiness.work import WorkList, work_list
from passage.inputs.failure import Failure
from passage.inputs.gear import Gear, Job, Paper, WorkPlan

TODAY = date(2026, 11, 1)
DATES = PassageDates(TODAY, date(2027, 2, 10), date(2027, 2, 26), date(2027, 3, 7), stay_days=20)


def listed(*jobs: Job, **plan: float) -> WorkList:
    return work_list(Gear(jobs=jobs, work=WorkPlan(**{"daily_work_h": 6.0, "haul_out_h": 24.0, **plan})), TODAY)


def day(number: int) -> date:
    return TODAY + timedelta(days=number)


def test_no_work_holds_nobody_up() -> None:
    assert listed().ready_on == TODAY


def test_hours_fill_days() -> None:
    assert listed(Job(name="a", work_h=6.0)).ready_on == day(1)
    assert listed(Job(name="a", work_h=6.1)).ready_on == day(2)
    assert listed(Job(name="a", work_h=9.0), Job(name="b", work_h=9.0)).ready_on == day(3)


def test_what_waits_comes_after() -> None:
    work = listed(Job(name="paint", after=("sand",), work_h=3.0), Job(name="sand", work_h=3.0))
    assert [step.name for step in work.steps] == ["sand", "paint"]


def test_parts_on_order_are_waited_for_and_the_time_is_used() -> None:
    work = listed(Job(name="fit pump", lead_h=10 * 24.0, work_h=6.0), Job(name="scrub", work_h=12.0))
    assert [(step.name, step.begin) for step in work.steps] == [("scrub", day(0)), ("fit pump", day(10))]
    assert work.ready_on == day(11)


def test_she_is_hauled_once() -> None:
    jobs = (
        Job(name="seacock", hauled=True, work_h=6.0),
        Job(name="winch", work_h=6.0),
        Job(name="antifoul", hauled=True, work_h=6.0, after=("primer dry",)),
        Job(name="primer dry", hauled=True, work_h=6.0),
        Job(name="anode on order", lead_h=48.0, work_h=6.0),
        Job(name="fit anode", hauled=True, work_h=6.0, after=("anode on order",)),
    )
    work = listed(*jobs)
    assert work.steps[0].name == "winch"  # in the water as long as something can be done there
    assert (work.hauled_from, work.hauled_to) == (day(1), day(7))
    assert all(step.begin >= day(1) for step in work.steps if step.hauled and step.begin)
    assert work.ready_on == day(7)  # six days of work, half a day up and half a day down, none lost in waiting


def test_what_waits_for_hauled_work_comes_after_launching() -> None:
    work = listed(
        Job(name="sea trial", after=("stern gland",), work_h=3.0), Job(name="stern gland", hauled=True, work_h=3.0)
    )
    assert [step.name for step in work.steps] == ["stern gland", "sea trial"]
    assert work.steps[1].begin is not None
    assert work.hauled_to is not None
    assert work.steps[1].begin >= work.hauled_to


def test_what_annoys_is_listed_and_not_waited_for() -> None:
    work = listed(Job(name="varnish", failure=Failure.ANNOYS, work_h=600.0), Job(name="rudder", work_h=6.0))
    assert work.ready_on == day(1)
    assert [(step.name, step.begin) for step in work.steps] == [("rudder", day(0)), ("varnish", None)]


def test_what_annoys_but_comes_first_is_waited_for() -> None:
    work = listed(
        Job(name="clear locker", failure=Failure.ANNOYS, work_h=6.0),
        Job(name="hose", work_h=6.0, after=("clear locker",)),
    )
    assert work.ready_on == day(2)


def test_jobs_done_are_gone_and_free_the_rest() -> None:
    work = listed(Job(name="a", done=True, work_h=100.0), Job(name="b", after=("a",), work_h=6.0))
    assert [step.name for step in work.steps] == ["b"]
    assert work.ready_on == day(1)


def test_groups_and_sums() -> None:
    work = listed(
        Job(name="a", place="mast", work_h=2.0, cost=10.0),
        Job(name="b", place="hull", hauled=True, work_h=4.0, cost=20.0),
        Job(name="c", place="mast", work_h=3.0),
        Job(name="d", place="hull", cost=5.0),
        haul_out_cost=300.0,
    )
    groups = {
        (group.place, group.hauled): ({step.name for step in group.steps}, group.work_h, group.cost)
        for group in work.groups
    }
    assert groups == {
        ("mast", False): ({"a", "c"}, 5.0, 10.0),
        ("hull", False): ({"d"}, 0.0, 5.0),
        ("hull", True): ({"b"}, 4.0, 20.0),
    }
    assert (work.work_h, work.cost) == (9.0, 335.0)
    assert (work.without_hours, work.without_cost) == (("d",), ("c",))


@st.composite
def job_lists(draw: st.DrawFn) -> tuple[Job, ...]:
    count = draw(st.integers(1, 9))
    names = [f"job {number}" for number in range(count)]
    jobs = [
        Job(
            name=name,
            hauled=draw(st.booleans()),
            work_h=draw(st.floats(0.0, 20.0)),
            lead_h=draw(st.floats(0.0, 500.0)),
            after=tuple(draw(st.lists(st.sampled_from(names[:number]), unique=True, max_size=3))) if number else (),
        )
        for number, name in enumerate(names)
    ]
    return tuple(draw(st.permutations(jobs)))


@settings(max_examples=60)
@given(job_lists())
def test_every_order_is_lawful_and_no_date_is_too_early(jobs: tuple[Job, ...]) -> None:
    work = listed(*jobs)
    place = {step.name: number for number, step in enumerate(work.steps)}
    assert sorted(place) == sorted(job.name for job in jobs)
    begins = {step.name: step.begin for step in work.steps}
    for job in jobs:
        assert all(place[first] < place[job.name] for first in job.after)
        begin = begins[job.name]
        assert begin is not None
        assert begin >= TODAY + timedelta(days=int(job.lead_h / 24.0))
    assert work.ready_on >= TODAY + timedelta(days=int(sum(job.work_h or 0.0 for job in jobs) / 6.0))


# --- papers -----------------------------------------------------------------------------------------------------------


def paper(**facts: object) -> Gear:
    return Gear(papers=(Paper(**{"name": "passport", **facts}),))


def test_a_paper_must_outlast_the_stay_by_what_is_asked() -> None:
    wanted = date(2027, 9, 27)  # 7 March and twenty days and six months
    good = paper_rows(paper(expires=wanted + timedelta(days=1), beyond_months=6), DATES)[0]
    short = paper_rows(paper(expires=wanted - timedelta(days=1), beyond_months=6), DATES)[0]
    assert (good.status, good.act_by) == (Status.FINE, None)
    assert short.status is Status.DUE_DURING
    assert short.wanted_until == wanted


def test_getting_a_paper_takes_its_lead() -> None:
    row = paper_rows(paper(in_hand=False, lead_h=42 * 24.0), DATES)[0]
    assert row.act_by == DATES.depart - timedelta(days=42)
    assert row.depart_from == TODAY + timedelta(days=42)


def test_a_paper_asked_for_too_late_is_overdue_and_moves_the_departure() -> None:
    result = readiness(paper(in_hand=False, lead_h=200 * 24.0), DATES)
    assert result.papers[0].status is Status.OVERDUE
    assert result.depart_from == TODAY + timedelta(days=200)
    assert result.decided_by == "passport"
    assert not result.in_time


def test_notice_of_arrival_counts_from_the_fast_end_and_keeps_nobody_in_harbour() -> None:
    result = readiness(paper(in_hand=False, due="arrival", lead_h=4 * 24.0), DATES)
    assert result.papers[0].act_by == DATES.fast_end - timedelta(days=4)
    assert result.papers[0].from_sea
    assert result.verdict == "ready"
    assert result.in_time


def test_notice_longer_than_the_passage_is_given_before_departure() -> None:
    row = paper_rows(paper(in_hand=False, due="arrival", lead_h=30 * 24.0), DATES)[0]
    assert row.status is Status.DUE_BEFORE
    assert row.depart_from == TODAY + timedelta(days=30 - 16)  # D: sixteen days of it are sailed at the fast end


def test_notice_that_should_have_been_given_already_moves_the_departure() -> None:
    result = readiness(paper(in_hand=False, due="arrival", lead_h=150 * 24.0), DATES)
    assert result.papers[0].status is Status.OVERDUE
    assert result.depart_from == TODAY + timedelta(days=150 - 16)
    assert not result.in_time


def test_a_paper_in_hand_that_runs_out_is_renewed_before_she_leaves_though_wanted_at_arrival() -> None:
    row = paper_rows(paper(expires=DATES.depart + timedelta(days=5), due="arrival", lead_h=5 * 24.0), DATES)[0]
    assert row.act_by == DATES.depart - timedelta(days=5)
    assert not row.from_sea
    assert row.said == "runs out during the passage or the stay"


def test_a_paper_that_has_run_out_is_not_said_to_run_out_too_soon() -> None:
    assert paper_rows(paper(expires=TODAY - timedelta(days=1)), DATES)[0].said == "has run out"
    assert paper_rows(paper(expires=TODAY + timedelta(days=1)), DATES)[0].said == "runs out before departure"


def test_work_and_papers_together_set_the_day() -> None:
    gear = Gear(jobs=(Job(name="rig", work_h=60.0),), papers=(Paper(name="visa", in_hand=False, lead_h=120.0),))
    result = readiness(gear, DATES)
    assert (result.depart_from, result.decided_by, result.in_time) == (day(10), "the work list", True)
