"""Whose forecasts and warnings to hear along the track, on what, and room to write the schedules down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.lists.cards import CardLine, card
from passage.consequences.lists.services import CAUTIONS, HOW_HEARD, ServiceRow
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS, STANDINGS
from passage.tell.blocks import Blocks, Head, Points, Title, grid, large, note, on_paper, on_screen, strong
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from collections.abc import Iterable

    from passage.road import Outcome

ROWS_TO_WRITE, LEAST_TO_WRITE = 5, 3


class Services(Record):
    """The areas along the track, how their bulletins are heard, and the distress frequencies."""

    areas: tuple[ServiceRow, ...] = told("areas of the official services along the track, in order")
    radio: tuple[CardLine, ...] = told("distress frequencies and beacons")
    how_heard: tuple[CardLine, ...] = told("how the bulletins are heard", default=HOW_HEARD)
    cautions: tuple[str, ...] = told("what overrules what", default=(*CAUTIONS, DEFERS))
    standings: str = told("what the letters of standing mean", default=STANDINGS)


def table(outcome: Outcome) -> Services:
    return Services(areas=outcome.services, radio=(*card("radio").lines, *card("beacons").lines))


def services_card(told: Services) -> Blocks:
    return (
        Title("Forecasts and warnings on the way"),
        grid(
            told.areas,
            ("miles run", lambda row: f"{row.from_nm} to {row.to_nm}"),
            ("area", lambda row: large(row.area), "left"),
            ("weather bulletins", lambda row: strong(row.issuer), "left 1fr"),
            ("navigational warnings", lambda row: row.coordinator, "left 1fr"),
            every=1,
        ),
        *(note(_limits(row)) for row in told.areas),
        Head("How they are heard"),
        Points(_lines(told.how_heard)),
        on_screen(Head("Distress frequencies and beacons"), Points(_lines(told.radio))),
        on_paper(
            Head("Beacons; the frequencies stand with the emergency cards"),
            Points(_lines(line for line in told.radio if line not in card("radio").lines)),
        ),
        on_paper(
            Head("Bulletins we shall hear: fill in from the current list before leaving"),
            grid(
                range(max(ROWS_TO_WRITE - len(told.areas), LEAST_TO_WRITE)),
                ("station or service", lambda row: "", "left 1.4fr"),
                ("frequency", lambda row: "", "left 1fr"),
                ("times, UTC", lambda row: "", "left 1.4fr"),
                ("area and kind", lambda row: "", "left 1.4fr"),
                every=1,
                inset=8.5,
            ),
        ),
        note(f"{' '.join(told.cautions)} Letters: {told.standings}."),
    )


def _limits(row: ServiceRow) -> str:
    near = f"; within two degrees: {', '.join(row.also)}" if row.also else ""
    return f"Area {row.area}: {row.limits} ({row.standing}){near}."


def _lines(lines: Iterable[CardLine]) -> tuple[str, ...]:
    return tuple(f"{line.text} ({line.standing})" for line in lines)


SHEET = Sheet("services", table, record=Services, cards={"services": services_card})
