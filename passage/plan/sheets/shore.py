"""The sheet to tear off and leave ashore: who she is, when she is due, when to worry and whom to call."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.lists.floatplan import ALWAYS, ShoreSheet
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.road import Outcome


class Shore(Record):
    """The float plan, and what overrules it."""

    float_plan: ShoreSheet = told("the sheet that stays ashore")
    always: str = told("what waits for no hour", default=ALWAYS)
    caution: str = told("whom it defers to", default=DEFERS)


def table(outcome: Outcome) -> Shore:
    return Shore(outcome.float_plan)


SHEET = Sheet("shore", table, record=Shore)
