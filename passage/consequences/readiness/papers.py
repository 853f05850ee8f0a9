"""Papers and formalities: what runs out too soon, what is still to get, and by which day to act."""

from __future__ import annotations

from datetime import date, timedelta
from math import nan
from typing import TYPE_CHECKING

from passage.consequences.readiness.dates import PassageDates, Status, add_months, status_of
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.inputs.gear import Gear, Paper


RUNS_OUT = {
    Status.OVERDUE: "has run out",
    Status.DUE_BEFORE: "runs out before departure",
    Status.DUE_DURING: "runs out during the passage or the stay",
}


class PaperRow(Record):
    """One paper. depart_from: earliest departure it allows, today where it holds nobody up."""

    name: str = told("its name")
    holder: str = told("whose it is")
    status: Status = told("how it stands")
    said: str = told("the same in words")
    from_sea: bool = told("whether it is a notice that can only be given under way")
    good_until: date | None = told("its last day")
    wanted_until: date = told("last day on which it must be good")
    act_by: date | None = told("last day to apply for it or to send it")
    depart_from: date
    cost: float = told("its cost; null where not given")
    note: str = told("your own note")

    @property
    def in_order(self) -> bool:
        return self.status is Status.FINE

    @property
    def label(self) -> str:
        return f"{self.name}, {self.holder}" if self.holder else self.name


def paper_rows(gear: Gear, dates: PassageDates) -> tuple[PaperRow, ...]:
    """Every paper, the most pressing first; a paper good only to the last day wanted is reported."""
    rows = [_row(paper, dates) for paper in gear.papers]
    return tuple(sorted(rows, key=lambda row: (-row.status, row.act_by or date.max)))


def _row(paper: Paper, dates: PassageDates) -> PaperRow:
    wanted_until = add_months(dates.last_day, paper.beyond_months or 0)
    lead = timedelta(days=paper.lead_h / 24.0)
    notice = paper.due == "arrival" and not paper.in_hand  # what is in hand and runs out is renewed before she leaves
    ashore = lead - (dates.fast_end - dates.depart) if notice else lead  # what of the lead lies before departure
    act_by = dates.depart - ashore
    status, said = _state(paper, wanted_until, act_by, dates)
    to_do = status is not Status.FINE
    return PaperRow(
        name=paper.name,
        holder=paper.holder,
        status=status,
        said=said,
        from_sea=not paper.in_hand and act_by > dates.depart,
        good_until=paper.expires,
        wanted_until=wanted_until,
        act_by=act_by if to_do else None,
        depart_from=max(dates.today + ashore, dates.today) if to_do else dates.today,
        cost=nan if paper.cost is None else paper.cost,
        note=paper.note,
    )


def _state(paper: Paper, wanted_until: date, act_by: date, dates: PassageDates) -> tuple[Status, str]:
    if not paper.in_hand:
        if act_by < dates.today:
            return Status.OVERDUE, "not in hand, and the day to act has passed"
        if act_by <= dates.depart:
            return Status.DUE_BEFORE, "not in hand: act before departure"
        return Status.DUE_DURING, "to be given from sea, before arrival"
    if paper.expires is None:
        return Status.FINE, "in hand, no expiry given"
    if paper.expires > wanted_until:
        return Status.FINE, "good"
    status = status_of(paper.expires, dates)
    if status is Status.FINE:
        return Status.DUE_DURING, "good for the stay, but not for as long after it as is asked"
    return status, RUNS_OUT[status]
