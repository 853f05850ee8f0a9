"""The sheet to tear off and leave ashore: who she is, when she is due, when to worry and whom to call."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.lists.floatplan import ALWAYS, ShoreSheet
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS
from passage.tell.blocks import Blocks, Points, Say, Title, ToWrite, grid, large, note, on_paper, strong
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.road import Outcome


class Shore(Record):
    """The float plan, and what overrules it."""

    float_plan: ShoreSheet = told("the sheet that stays ashore")
    caution: str = told("whom it defers to", default=DEFERS)


def table(outcome: Outcome) -> Shore:
    return Shore(outcome.float_plan)


def missed_card(told: Shore) -> Blocks:
    """What the shore contact does, hour by hour, when a report does not come; to lie beside the float plan."""
    sheet = told.float_plan
    whom = ", ".join(filter(None, (sheet.rescue_authority, sheet.rescue_telephone)))
    worry, alarm = sheet.worry_utc, sheet.alarm_utc
    days = f"Reports or none, begin to ask after her on {strong(worry)} and raise the alarm on {strong(alarm)}."
    return (
        Title("A report does not come: leave ashore"),
        Say(
            f"A report comes every {strong(f'{sheet.report_every_h:u}')}, counted from the departure. {strong(ALWAYS)}"
        ),
        grid(
            sheet.when_silent,
            ("hours after\nit was due", lambda step: large(step.after_h)),
            ("what to do from then on", lambda step: step.what, "left 1fr"),
            ("done at, by whom", lambda step: "", "left 90pt"),
            size=11,
            inset=9,
            every=1,
        ),
        Say(f"Rescue authority, and its telephone: {strong(whom)}"),
        on_paper(ToWrite(0 if whom else 1)),
        Say(days if worry and alarm else "When to begin asking, and when to raise the alarm: agree the days."),
        Points(sheet.when_overdue),
        note(
            "The hours are common practice with no source: agree them before she sails. A message of at most 160 "
            "letters to send on that schedule is written by: passage log report --type satellite."
        ),
        note(told.caution),
    )


SHEET = Sheet("shore", table, record=Shore, cards={"missed": missed_card})
