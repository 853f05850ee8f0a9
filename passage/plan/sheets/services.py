"""Whose forecasts and warnings to hear along the track, on what, and room to write the schedules down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.lists.cards import card
from passage.consequences.lists.services import CAUTIONS, HOW_HEARD
from passage.plan.printed import Table, rounded
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS, STANDINGS

if TYPE_CHECKING:
    from passage.road import Outcome


def table(outcome: Outcome) -> Table:
    """The areas along the track in order, how their bulletins are heard, and the distress frequencies."""
    return rounded(
        {
            "areas": [
                {
                    "from_start_nm": row.from_nm,
                    "until_nm": row.to_nm,
                    "area": row.area,
                    "warnings_by": row.coordinator,
                    "weather_by": row.issuer,
                    "limits": row.limits,
                    "area_standing": row.standing,
                    "near_areas": list(row.also),
                }
                for row in outcome.services
            ],
            "how_heard": [{"line": words, "standing": standing} for words, standing in HOW_HEARD],
            "radio": [
                {"line": line.text, "standing": line.standing}
                for line in (*card("radio").lines, *card("beacons").lines)
            ],
            "service_cautions": [*CAUTIONS, DEFERS],
            "standings": STANDINGS,
        }
    )


KEYS = {
    "areas": "areas of the official forecast and warning services along the track, in order",
    "from_start_nm": "miles run where the stretch begins",
    "until_nm": "miles run where it ends",
    "area": "number of the area, the same for weather and navigational warnings",
    "warnings_by": "who coordinates its navigational warnings",
    "weather_by": "who issues its weather bulletins",
    "limits": "its limits in words",
    "area_standing": "standing of the limits: R read, R2 second hand, M from memory",
    "near_areas": "areas whose border lies within two degrees of the stretch",
    "how_heard": "how the bulletins are heard",
    "line": "one line",
    "standing": "standing of the source: R read, R2 second hand, M from memory, D worked out, P practice",
    "radio": "distress frequencies; beacons too on the sheet of services",
    "service_cautions": "what overrules what",
    "standings": "what the letters of standing mean",
}

SHEET = Sheet("services", table, keys=KEYS)
