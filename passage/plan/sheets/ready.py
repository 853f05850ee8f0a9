"""Is she ready: gear and papers against the slow end and the stay, work, spares, proofs and seacocks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.readiness.dates import Status
from passage.consequences.readiness.ready import Readiness, Verdict
from passage.errors import Fault, InputFaults
from passage.inputs.failure import Failure
from passage.inputs.gear import GEAR_FILE
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS
from passage.tell.blocks import (
    SMALL_PT,
    TICK,
    Blocks,
    Head,
    Say,
    Size,
    Title,
    grid,
    note,
    on_paper,
    on_screen,
    small,
    strong,
)
from passage.tell.customary import unit_words
from passage.tell.figures import in_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from passage.consequences.readiness.register import Finding
    from passage.consequences.readiness.seacocks import SeacockRow
    from passage.consequences.readiness.work import WorkGroup, WorkList, WorkStep
    from passage.inputs.folder import Facts
    from passage.inputs.gear import Gear
    from passage.road import Outcome
    from passage.tell.blocks import Block

MOST_DUE = 6  # of the short answer
UNLISTED = "No gear, papers or work are written down, so nothing here says whether she is fit to go."


def table(outcome: Outcome) -> Readiness:
    return outcome.readiness


def class_words(ready: Readiness) -> str:
    """How the worst of each class of failure stands, in a sentence for page one."""
    if ready.verdict is Verdict.NOTHING_LISTED:
        return UNLISTED
    grave = [kind for kind in ready.classes if kind.failure is not Failure.ANNOYS and kind.count]
    worst = [f"what {kind.failure}: {kind.worst.words}" for kind in grave]
    papers = [f"papers not in order: {len(ready.papers_to_do)}"] if ready.papers_to_do else []
    words = "; ".join((*worst, *papers))
    return f"{words[:1].upper()}{words[1:]}."


# ---------------------------------------------------------------- due


def due_card(ready: Readiness) -> Blocks:
    stay = f" and {ready.dates.stay_days} days' stay" if ready.dates.stay_days else ""
    return (
        Title("Is she ready?"),
        Say(ready.verdict.words, Size.VERDICT),
        Say(f"Because of: {strong(_listed(ready.because))}." if ready.because else ""),
        Say(
            f"Asked on {ready.dates.today}: everything good beyond {strong(ready.dates.last_day)}, the slow end{stay}. "
            f"Counted on: {ready.engine_h} engine hours on the way."
        ),
        Say(f"Earliest honest departure: {_leave_words(ready)}"),
        Head("The worst of each kind decides, never an average", "By class"),
        grid(
            ready.classes,
            ("its failure", lambda row: strong(row.failure), "left"),
            ("things", lambda row: row.count),
            ("the worst is", lambda row: row.worst if row.count else "nothing listed", "left"),
            ("which", lambda row: _listed(row.decided_by), "left 1fr"),
            every=1,
        ),
        Head("Due before departure, on the way or during the stay", "Due"),
        grid(
            ready.due,
            ("what, where", _what_where, "left 1fr"),
            ("its failure", lambda row: row.failure, "left"),
            ("by", lambda row: row.governing.due if row.governing else None, "left"),
            ("whose rule", lambda row: row.governing.whose if row.governing else "", "left 1.2fr"),
            ("job", lambda row: "yes" if row.jobs else strong("none"), "left"),
            every=1,
        ),
        *(note(f"{strong(row.name)}: {' '.join(row.remarks)}") for row in ready.due if row.remarks),
        note(
            f"{strong('Of these the register says nothing:')} {', '.join(ready.not_listed).replace('plb', 'PLB')}."
            if ready.not_listed
            else ""
        ),
        on_paper(note(_cautions(ready))),
    )


def ready_short(ready: Readiness) -> Blocks:
    """The verdict, what is due, the papers to do, and the day she can honestly sail."""
    more = len(ready.due) - MOST_DUE
    return (
        Head("Is she ready?"),
        Say(f"{strong(ready.verdict.words)} {class_words(ready)}"),
        Head("Can sail on"),
        Say(_leave_words(ready)),
        Head("Due before, on the way or during the stay"),
        grid(
            ready.due[:MOST_DUE],
            ("what", lambda row: strong(row.name), "left"),
            ("its failure", lambda row: row.failure, "left"),
            ("by", lambda row: row.governing.due if row.governing else None, "left"),
            ("job", lambda row: "yes" if row.jobs else strong("none"), "left"),
        ),
        Say(f"and {more} more: --full" if more > 0 else ""),
        Head("Papers to do"),
        Say(_listed(row.label for row in ready.papers if not row.in_order)),
        Head("Work"),
        Say(f"{ready.work.work_h} hours, ready on {strong(ready.work.ready_on)}" if ready.work.groups else ""),
    )


def _leave_words(ready: Readiness) -> str:
    why = f"decided by {ready.decided_by}" if ready.decided_by else "nothing on the lists keeps her here longer"
    late = "" if ready.in_time else strong(f", later than the {ready.dates.depart} planned")
    undone = _listed(ready.due_without_job)
    without = f" Due, and with no job on the list, so in no date here: {strong(undone)}." if undone else ""
    return f"{strong(ready.depart_from)}, {why}{late}.{without}"


def _what_where(row: Finding) -> str:
    where = f", {row.place}" if row.place else ""
    what = f"{row.governing.what}, " if row.governing else ""
    return f"{strong(row.name)}{where}\n{what}{in_words(row.status)}"


def _listed(names: Iterable[str]) -> str:
    return "; ".join(names)


def _cautions(ready: Readiness) -> str:
    return " ".join((*ready.cautions, DEFERS))


# ---------------------------------------------------------------- work, papers, proofs, spares


def work_card(ready: Readiness) -> Blocks:
    """Empty where nothing is listed that has a part here."""
    parts = [
        *(_work(ready) if ready.work.groups else ()),
        *(_papers(ready) if ready.papers else ()),
        *(_proofs(ready) if ready.proofs else ()),
        *(_spares(ready) if ready.spares.parts else ()),
        *(_stowed(ready) if ready.stowed else ()),
    ]
    return (*parts, on_screen(note(DEFERS))) if parts else ()


def _work(ready: Readiness) -> Blocks:
    work, cost = ready.work, ready.cost
    hauled = f", from {strong(work.hauled_from)} to {strong(work.hauled_to)}" if work.hauled_from else ""
    total = f"{cost.total_cost} {cost.currency}".rstrip()
    priced = (
        f"jobs and haul-out {cost.jobs_cost}, papers {cost.papers_cost}, gear due that no job mends {cost.gear_cost}"
    )
    return (
        Title("Work before leaving"),
        Say(
            f"{work.work_h} hours of work. Numbers give the order: what waits comes later, and she is hauled out "
            f"once{hauled}. With no delay she is ready on {strong(work.ready_on)}."
        ),
        _steps(work),
        Head("Cost"),
        Say(f"{strong(total)} as far as prices are given: {priced}."),
        Say(f"No price for: {_listed(cost.unpriced)}." if cost.unpriced else ""),
        Say(
            strong(f"Hours not given, so the day is too early: {_listed(work.without_hours)}.")
            if work.without_hours
            else ""
        ),
    )


def _steps(work: WorkList) -> Block:
    """Every job beneath its place."""
    return grid(
        [(group, step) for group in work.groups for step in group.steps],
        ("", lambda both: TICK, "left 16pt"),
        ("no.", lambda both: strong(both[1].number)),
        ("job", lambda both: f"{both[1].name} {small(f'left undone it {both[1].failure}')}", "left 1fr"),
        ("after", lambda both: ", ".join(str(number) for number in both[1].after), "left"),
        ("days", lambda both: _days_words(both[1]), "left"),
        ("hours", lambda both: both[1].work_h),
        ("cost", lambda both: both[1].cost),
        every=99,
        under=lambda both: _place_words(both[0]),
    )


def _place_words(group: WorkGroup) -> str:
    place = f"{group.place[:1].upper()}{group.place[1:]}"
    return f"{place}, {'hauled out' if group.hauled else 'afloat or ashore'}: {group.work_h:u}"


def _days_words(step: WorkStep) -> str:
    if step.begin is None:
        return "not waited for"
    return f"{step.begin}" if step.begin == step.end else f"{step.begin}\nto {step.end}"


def _papers(ready: Readiness) -> Blocks:
    def columns(rows: Iterable[object]) -> Block:
        return grid(
            ready.papers if rows is ready.papers else [row for row in ready.papers if not row.in_order],
            ("paper", lambda row: f"{strong(row.label)}: {row.said}{f' ({row.note})' if row.note else ''}", "left 1fr"),
            ("good until", lambda row: row.good_until, "left"),
            ("wanted until", lambda row: row.wanted_until, "left"),
            ("act by", lambda row: strong(row.act_by), "left"),
            size=SMALL_PT,
            every=1,
        )

    return (Title("Papers"), on_paper(columns(ready.papers)), on_screen(columns(())))


def _proofs(ready: Readiness) -> Blocks:
    return (
        Title("Prove her first"),
        Say("Of unknown age, or not used in earnest since refit or repair. Tick what has held."),
        grid(
            ready.proofs,
            ("", lambda row: TICK, "left 16pt"),
            ("what", lambda row: f"{strong(row.name)}\n{small(row.why)}", "left 1fr"),
            ("how", lambda row: row.how, "left 1.4fr"),
            every=99,
            under=lambda row: row.when.words,
        ),
    )


def _stowed(ready: Readiness) -> Blocks:
    late = [row.name for row in ready.stowed if row.status is not Status.FINE]
    return (
        Title("Medicines, and what is stowed where"),
        Say(strong(f"Out of date before the stay is over: {', '.join(late)}.") if late else ""),
        grid(
            ready.stowed,
            ("what", lambda row: strong(row.name), "left 1fr"),
            ("how much", lambda row: row.amount, "left"),
            ("good to", lambda row: row.expires or "", "left"),
            ("where", lambda row: row.place, "left 1fr"),
            ("for", lambda row: row.use, "left 1.4fr"),
            every=1,
        ),
    )


def _spares(ready: Readiness) -> Blocks:
    spares = ready.spares
    most = [f"{strong(cover.name)} ({', '.join(cover.fits)})" for cover in spares.widest]
    return (
        Title("Spares"),
        grid(
            spares.parts,
            ("part", lambda row: strong(row.part), "left 1fr"),
            ("used by", lambda row: ", ".join(row.used_by), "left 1.4fr"),
            ("its failure", lambda row: row.failure, "left"),
            ("aboard", lambda row: row.aboard or strong("none")),
            ("where", lambda row: ", ".join(row.places), "left 1fr"),
            every=1,
        ),
        Say(f"The spares aboard that fit most: {'; '.join(most)}." if most else ""),
        Say(f"Fits nothing on the register: {', '.join(spares.idle)}." if spares.idle else ""),
    )


# ---------------------------------------------------------------- holes


def holes_card(ready: Readiness) -> Blocks:
    """Empty where no seacock is listed."""
    if not ready.seacocks:
        return ()
    return (
        Title("Seacocks and holes in the hull"),
        on_paper(note("Drawn among the emergency cards, by the same numbers.")),
        grid(
            ready.seacocks,
            ("no.", lambda row: strong(row.number)),
            ("what, where", _hole, "left 1.4fr"),
            (f"{unit_words('m')} from\nbow", lambda row: row.along_m),
            ("side", lambda row: row.side, "left"),
            (f"bore,\n{unit_words('mm')}", lambda row: row.bore_mm),
            (f"below\nWL, {unit_words('cm')}", lambda row: row.below_waterline_cm),
            ("at sea", lambda row: row.normally, "left"),
            (f"lets in,\n{unit_words('L')} a min", lambda row: row.inflow_l_per_minute),
            ("wants", lambda row: ", ".join(row.wants), "left 1.6fr"),
            size=SMALL_PT,
            every=1,
        ),
        note(
            "Lets in: through the open bore with the hose gone, 0.6 A √(2 g h). Bilge pumps are for bilge water, not "
            "for this. An outline from length and beam, not her lines."
        ),
    )


def _hole(row: SeacockRow) -> str:
    return f"{strong(row.name)}\n{row.place}"


def wanted(outcome: Outcome) -> bool:
    return _lists(outcome.facts.gear)


def _lists(gear: Gear) -> bool:
    return bool(gear.items or gear.papers or gear.jobs or gear.seacocks or gear.stowed)


def refuse_nothing_listed(facts: Facts) -> None:
    """Raises InputFaults where the gear file, or what it lists, is not there."""
    if not _lists(facts.gear) and not facts.gear.sails:
        found = "it lists nothing" if facts.home.has(GEAR_FILE) else "no such file"
        wanted_words = "write down gear, papers, work or sails; passage new --template writes one to begin with"
        raise InputFaults([Fault(GEAR_FILE, 0, "", found, wanted_words)])


SHEET = Sheet(
    "ready",
    table,
    wanted=wanted,
    record=Readiness,
    cards={"due": due_card, "work": work_card, "holes": holes_card},
    short=ready_short,
)
