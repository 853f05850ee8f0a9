"""Is she ready: gear and papers against the slow end and the stay, work, spares, proofs and seacocks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.readiness.dates import Status
from passage.errors import Fault, InputFaults
from passage.inputs.gear import GEAR_FILE, Failure
from passage.plan.columns import aside, joined
from passage.plan.hull import plan_view
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets import sails
from passage.plan.sheets.cautions import DEFERS

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from passage.consequences.readiness.papers import PaperRow
    from passage.consequences.readiness.ready import Readiness
    from passage.consequences.readiness.register import Finding
    from passage.consequences.readiness.seacocks import SeacockRow
    from passage.consequences.readiness.work import WorkList, WorkStep
    from passage.road import Outcome

VERDICTS = {
    "ready": "By its dates, yes.",
    "prove first": "Prove her first.",
    "not ready": "Not yet.",
    "nothing listed": "Nothing is listed.",
}
UNLISTED = "No gear, papers or work are written down, so nothing here says whether she is fit to go."
PROOFS = (("alongside", "Alongside"), ("day", "In a day's sail"), ("night", "In a night's sail"))
CENTRE_M = 0.05  # nearer the middle than this a hole is said to be on the centreline


def table(outcome: Outcome) -> Table:
    """The verdict and its reasons, the due list, the work in order, papers, spares, proofs, seacocks, cost."""
    found = outcome.readiness
    return rounded(
        {
            **_verdict(found),
            "classes": [
                {
                    "failure": str(verdict.failure),
                    "worst_status": verdict.worst.words if verdict.count else "nothing listed",
                    "decided_by": _listed(verdict.decided_by),
                    "item_count": verdict.count,
                }
                for verdict in found.classes
            ],
            "due": [_due_row(it) for it in found.findings if it.status > Status.AGE_UNKNOWN],
            "not_listed": list(found.not_listed),
            "work": _work(found.work),
            "papers": [_paper_row(paper) for paper in found.papers],
            "spares": _spares(found),
            "proofs": [
                {"prove_when": proof.when, "name": proof.name, "why": proof.why, "how": proof.how}
                for proof in found.proofs
            ],
            "seacocks": [_seacock_row(row) for row in found.seacocks],
            "cost": {
                "jobs_cost": found.cost.jobs,
                "papers_cost": found.cost.papers,
                "gear_cost": found.cost.gear_due,
                "total_cost": found.cost.total,
                "currency": found.cost.currency,
                "unpriced": list(found.cost.unpriced),
            },
            "ready_cautions": [*found.cautions, DEFERS],
        }
    )


def _verdict(found: Readiness) -> Table:
    dates = found.dates
    return {
        "readiness": found.verdict,
        "verdict_words": VERDICTS[found.verdict],
        "because": list(found.because),
        "today_date": dates.today.isoformat(),
        "depart_date": dates.depart.isoformat(),
        "slow_end_date": dates.slow_end.isoformat(),
        "stay_days": dates.stay_days,
        "good_until_date": dates.last_day.isoformat(),
        "engine_h": found.engine_h,
        "leave_from_date": found.depart_from.isoformat(),
        "decided_by": "" if found.decided_by == "nothing" else found.decided_by,
        "decided_words": _decided_words(found),
        "in_time": found.in_time,
        "due_without_job": list(found.due_without_job),
    }


def _decided_words(found: Readiness) -> str:
    if found.decided_by == "nothing":
        return "nothing on the lists keeps her here longer"
    return f"decided by {found.decided_by}"


def readiness_answer(outcome: Outcome) -> Table:
    """What page one says of her readiness: the verdict, and how the worst of each class of failure stands."""
    found = outcome.readiness
    if found.verdict == "nothing listed":
        return {"verdict_words": VERDICTS[found.verdict], "class_words": UNLISTED}
    grave = [kind for kind in found.classes if kind.failure is not Failure.ANNOYS and kind.count]
    worst = [f"what {kind.failure}: {kind.worst.words}" for kind in grave]
    papers = [row.label for row in found.papers if row.status is not Status.FINE and not row.from_sea]
    words = "; ".join([*worst, *([f"papers not in order: {len(papers)}"] if papers else [])])
    return {"verdict_words": VERDICTS[found.verdict], "class_words": f"{words[:1].upper()}{words[1:]}."}


def _due_row(finding: Finding) -> Table:
    deadline = finding.governing
    return {
        "name": finding.name,
        "failure": str(finding.failure),
        "place": finding.place,
        "status": finding.status.words,
        "due_what": deadline.what if deadline else "",
        "due_date": _day(deadline.due) if deadline else None,
        "whose": f"{deadline.source} ({deadline.standing})" if deadline else "",
        "jobs": list(finding.jobs),
        "remarks": list(finding.remarks),
    }


def _work(work: WorkList) -> Table:
    numbers = {step.name: number for number, step in enumerate(work.steps, start=1)}
    return {
        "ready_on_date": work.ready_on.isoformat(),
        "hauled_from_date": _day(work.hauled_from),
        "hauled_to_date": _day(work.hauled_to),
        "work_h": work.work_h,
        "without_hours": list(work.without_hours),
        "without_cost": list(work.without_cost),
        "job_groups": [
            {
                "place": group.place or "anywhere",
                "hauled": group.hauled,
                "work_h": group.work_h,
                "group_cost": group.cost,
                "steps": [_step_row(step, numbers) for step in work.steps if step.name in group.names],
            }
            for group in work.groups
        ],
    }


def _step_row(step: WorkStep, numbers: dict[str, int]) -> Table:
    return {
        "job_number": numbers[step.name],
        "job": step.name,
        "failure": str(step.failure),
        "begin_date": _day(step.begin),
        "end_date": _day(step.end),
        "work_h": step.work_h,
        "job_cost": step.cost,
        "after": [numbers[name] for name in step.after if name in numbers],
    }


def _paper_row(paper: PaperRow) -> Table:
    return {
        "paper": paper.label,
        "said": paper.said,
        "in_order": paper.status is Status.FINE,
        "good_until_date": _day(paper.good_until),
        "wanted_until_date": paper.wanted_until.isoformat(),
        "act_by_date": _day(paper.act_by),
        "paper_cost": paper.cost,
        "note": paper.note,
    }


def _spares(found: Readiness) -> Table:
    spares = found.spares
    return {
        "parts": [
            {
                "part": row.part,
                "used_by": list(row.used_by),
                "failure": str(row.failure),
                "aboard_count": row.aboard,
                "places": list(row.places),
            }
            for row in spares.parts
        ],
        "widest": [{"name": cover.name, "fits": list(cover.fits)} for cover in spares.widest],
        "idle": list(spares.idle),
    }


def _seacock_row(row: SeacockRow) -> Table:
    return {
        **hole_told(row),
        "below_waterline_cm": 100.0 * row.below_waterline_m,
        "normally": row.normally,
        "wants": list(row.wants),
    }


def hole_told(row: SeacockRow) -> Table:
    """A hole in the hull and where to put the hand on it, for refit and emergency alike."""
    return {
        "number": row.number,
        "name": row.name,
        "place": row.place,
        "along_m": row.along_m,
        "athwart_m": row.athwart_m,
        "side": _side_words(row.athwart_m),
        "bore_mm": row.bore_mm,
        "inflow_l_per_minute": row.inflow_l_min,
    }


def _side_words(athwart_m: float) -> str:
    if abs(athwart_m) < CENTRE_M:
        return "centreline"
    return f"{abs(athwart_m):.1f} m to {'starboard' if athwart_m > 0.0 else 'port'}"


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _listed(names: Sequence[str]) -> str:
    return "; ".join(names)


def text(table: Table) -> str:
    """The verdict, what is due, the work in order, papers, spares, proofs and seacocks in the terminal."""
    r = shown(table)
    return joined(
        [
            list(_verdict_lines(r)),
            aside(
                "By class", [f"{row['failure']}: {row['worst_status']}{_by(row['decided_by'])}" for row in r["classes"]]
            ),
            aside("Due", [_due_line(row) for row in r["due"]]),
            aside("Papers", [_paper_line(row) for row in r["papers"] if not row["in_order"]]),
            list(_work_lines(r["work"])),
            aside(
                "Prove first",
                [f"{row['prove_when']}: {row['name']} ({row['why']}). {row['how']}" for row in r["proofs"]],
            ),
            aside("Spares", _spare_lines(r["spares"])),
            aside("Seacocks", [_seacock_line(row) for row in r["seacocks"]]),
            aside("Cost", _cost_lines(r)),
            aside("Not on the list", [_listed(r["not_listed"])] if r["not_listed"] else []),
            aside("Mind", r["ready_cautions"]),
        ]
    )


def _verdict_lines(r: Table) -> list[str]:
    stay = f" and {r['stay_days']} days' stay" if r["stay_days"] != "0.0" else ""
    engine = f"engine hours counted on: {r['engine_h']}"
    lines = aside("Ready?", [r["verdict_words"], *([f"Because of: {_listed(r['because'])}."] if r["because"] else [])])
    lines += aside("Asked", [f"good beyond {r['good_until_date']} (slow end{stay}), today {r['today_date']}; {engine}"])
    late = "" if r["in_time"] else f", later than the {r['depart_date']} planned"
    lines += aside("Leave from", [f"{r['leave_from_date']} at the earliest{late}; {r['decided_words']}"])
    if r["due_without_job"]:
        lines += aside("", [f"Due, with no job on the list, so not in that date: {_listed(r['due_without_job'])}."])
    return lines


def _by(names: str) -> str:
    return f" ({names})" if names else ""


def _due_line(row: Table) -> str:
    day = f" by {row['due_date']}" if row["due_date"] != "–" else ""
    jobs = f"; job: {_listed(row['jobs'])}" if row["jobs"] else "; no job on the list"
    said = "".join(f"; {remark}" for remark in row["remarks"])
    return f"{row['name']} ({row['failure']}): {row['status']}; {row['due_what']}{day}, {row['whose']}{jobs}{said}"


def _paper_line(row: Table) -> str:
    act = f"; act by {row['act_by_date']}" if row["act_by_date"] != "–" else ""
    return f"{row['paper']}: {row['said']}{act}"


def _work_lines(work: Table) -> list[str]:
    lines: list[str] = []
    for group in work["job_groups"]:
        where = f"{group['place']}, {'hauled out' if group['hauled'] else 'afloat or ashore'}"
        lines += aside("Work" if not lines else "", [f"{where}: {group['work_h']} h"])
        lines += aside("", [f"  {step['job_number']}. {step['job']}, {days_words(step)}" for step in group["steps"]])
    if work["without_hours"]:
        lines += aside("", [f"Hours not given, so the days are too few: {_listed(work['without_hours'])}."])
    return lines


def days_words(step: Table) -> str:
    if step["begin_date"] == "–":
        return "not waited for"
    return (
        step["begin_date"] if step["begin_date"] == step["end_date"] else f"{step['begin_date']} to {step['end_date']}"
    )


def _spare_lines(spares: Table) -> list[str]:
    missing = [row["part"] for row in spares["parts"] if row["aboard_count"] == "0"]
    shared = [f"{row['part']} for {_listed(row['used_by'])}" for row in spares["parts"] if len(row["used_by"]) > 1]
    lines = [f"None aboard: {_listed(missing)}."] if missing else []
    lines += [f"One part, several uses: {'; '.join(shared)}."] if shared else []
    lines += [f"Fits most: {cover['name']} ({_listed(cover['fits'])})." for cover in spares["widest"]]
    return lines + ([f"Fits nothing listed: {_listed(spares['idle'])}."] if spares["idle"] else [])


def _seacock_line(row: Table) -> str:
    wants = f"; wants {_listed(row['wants'])}" if row["wants"] else ""
    at = f"{row['along_m']} m from the bow, {row['side']}"
    return f"{row['number']}. {row['name']}, {row['place']}: {at}, {row['bore_mm']} mm, {row['normally']} at sea{wants}"


def _cost_lines(r: Table) -> list[str]:
    cost = r["cost"]
    if cost["total_cost"] == "0" and not cost["unpriced"]:
        return []
    total = f"{cost['total_cost']} {cost['currency']}".strip()
    lines = [f"{total}: jobs {cost['jobs_cost']}, papers {cost['papers_cost']}, gear due {cost['gear_cost']}"]
    return lines + ([f"Too low by what has no price: {_listed(cost['unpriced'])}."] if cost["unpriced"] else [])


def command_table(outcome: Outcome) -> Table:
    """What ``passage ready`` tells: readiness and sails. Raises InputFaults where no gear file is there."""
    if not wanted(outcome) and not sails.SHEET.wanted(outcome):
        found = "it lists nothing" if (outcome.facts.folder / GEAR_FILE).exists() else "no such file"
        wanted_words = "write down gear, papers, work or sails; passage new writes one to begin with"
        raise InputFaults([Fault(GEAR_FILE, 0, "", found, wanted_words)])
    return {"ready": table(outcome), "sails": sails.table(outcome)}


def command_text(table: Table) -> str:
    return f"{text(table['ready'])}\n\n{sails.text(table['sails'])}"


def wanted(outcome: Outcome) -> bool:
    gear = outcome.facts.gear
    return bool(gear.items or gear.papers or gear.jobs or gear.seacocks)


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    holes, hull = tables["ready"]["seacocks"], outcome.facts.boat.hull
    return {"seacocks": plan_view(hull.length_overall_m, hull.beam_m, holes, room.wide_pt)} if holes else {}


KEYS = {
    "readiness": "ready, prove first, not ready, or nothing listed",
    "verdict_words": "the verdict as the plan prints it",
    "class_words": "how the worst of each class of failure stands, in words",
    "because": "names of the gear and papers that decide the verdict",
    "today_date": "day against which gear and papers are held",
    "depart_date": "day of departure, UTC",
    "slow_end_date": "day of landfall at the slow end, UTC",
    "stay_days": "days of stay after landfall before anything can be renewed",
    "good_until_date": "last day on which everything must still be good",
    "engine_h": "engine hours counted on for the passage, motoring and charging, at the slow end",
    "leave_from_date": "earliest honest departure: what the listed work and papers allow",
    "decided_by": "what decides: the work list or a paper for the date, names of gear within a class",
    "decided_words": "what decides the date, in words",
    "in_time": "whether that is no later than the departure planned",
    "due_without_job": "things due that no job mends, whose time is in no date here",
    "classes": "the worst of each class of failure, the gravest class first",
    "failure": "what a failure of it does: sinks us, stops us, hurts someone, annoys",
    "worst_status": "how the worst thing of the class stands",
    "item_count": "things of the class on the register",
    "due": "gear overdue, or due before departure, on passage or during the stay",
    "name": "its name in the voyage's files",
    "place": "where on board",
    "status": "how it stands",
    "due_what": "what is due: inspect, service or replace",
    "due_date": "last good day; none for what goes by running hours",
    "whose": "whose rule it is, with its standing",
    "jobs": "jobs on the work list that mend it",
    "remarks": "what else is to be said of it",
    "not_listed": "kinds of gear of which the register says nothing",
    "work": "open jobs, grouped by place and haul-out",
    "ready_on_date": "first day she could leave, the work alone considered",
    "hauled_from_date": "day she is lifted out",
    "hauled_to_date": "day she is launched",
    "work_h": "hours of the crew's work, as far as given",
    "without_hours": "jobs whose hours are not given",
    "without_cost": "jobs whose cost is not given",
    "job_groups": "jobs of one place, in or out of the water",
    "hauled": "whether she must be out of the water",
    "group_cost": "cost of the group's jobs, as far as given",
    "steps": "the jobs of the group",
    "job_number": "number of the job in the order of the whole work",
    "job": "name of the job",
    "begin_date": "first day of work; none for a job that is not waited for",
    "end_date": "last day of work",
    "job_cost": "cost of the job",
    "after": "numbers of jobs that come first",
    "papers": "papers and formalities, the most pressing first",
    "paper": "name and holder",
    "said": "how it stands, in words",
    "in_order": "whether nothing is to be done about it",
    "wanted_until_date": "last day on which it must be good",
    "act_by_date": "last day to apply for it or to send it",
    "paper_cost": "its cost",
    "note": "your own note",
    "spares": "what the spares do for the gear",
    "parts": "parts that wear, the gravest first",
    "part": "size, thread or number of the part",
    "used_by": "gear that uses the part",
    "aboard_count": "spares of it aboard",
    "places": "where they are",
    "widest": "the spares aboard that fit most",
    "fits": "gear the spare fits",
    "idle": "spares that fit nothing on the register",
    "proofs": "things to prove before leaving",
    "prove_when": "alongside, in a day's sail or in a night's",
    "why": "what is not known of it",
    "how": "how to prove it",
    "seacocks": "holes in the hull, from the bow aft",
    "number": "number on the list and on the plan view",
    "along_m": "distance aft of the bow, m",
    "athwart_m": "distance from the centreline, m, starboard positive",
    "side": "the same in words",
    "bore_mm": "bore, mm",
    "below_waterline_cm": "depth below the waterline, cm",
    "normally": "open or shut at sea",
    "inflow_l_per_minute": "water through the open bore, litres a minute, 0.6 A sqrt(2 g h)",
    "wants": "what is missing on it",
    "cost": "cost of work, papers and gear due, as far as given",
    "jobs_cost": "jobs, the haul-out included",
    "papers_cost": "papers to get",
    "gear_cost": "gear due that no job mends",
    "total_cost": "sum of the three",
    "currency": "currency of all of them",
    "unpriced": "lines without a price, by which the sum is too low",
    "ready_cautions": "what this cannot know, and whom it defers to",
}

SHEET = Sheet("ready", table, drawings, wanted, KEYS)
