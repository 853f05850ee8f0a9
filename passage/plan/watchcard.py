"""Who has the watch, day by day, as strips of 24 hours in ship's time: to be read at night without a sum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.plan.svg import TINT, WHITE, Canvas

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.watches.posted import WatchDay

HEAD_PT, MOST_ROW_PT = 22.0, 28.0
DATE_PT, END_PT = 102.0, 12.0
LETTERS = 17.0


def initials(names: Sequence[str]) -> dict[str, str]:
    """The fewest first letters, as capitals, by which each name is told from the others."""
    found = {}
    for name in names:
        others = [other.upper() for other in names if other != name]
        long = next(
            (
                many
                for many in range(1, len(name))
                if not any(other.startswith(name[:many].upper()) for other in others)
            ),
            len(name),
        )
        found[name] = name[:long].upper()
    return found


def draw_days(days: Sequence[WatchDay], names: Sequence[str], width: float, height: float, first_day: int = 0) -> str:
    """Each day a row: its date and, from 0 to 24 h, boxes with who has the watch; every second person's are tinted."""
    row = min((height - HEAD_PT) / len(days), MOST_ROW_PT)
    sheet = Canvas(width, HEAD_PT + row * len(days))
    letters = initials(names)
    scale = (width - DATE_PT - END_PT) / 24.0
    for hour in range(0, 25, 3):
        sheet.text(DATE_PT + hour * scale, HEAD_PT - 8.0, f"{hour:02d}", LETTERS, bold=True, anchor="middle")
        sheet.line([(DATE_PT + hour * scale, HEAD_PT - 5.0), (DATE_PT + hour * scale, sheet.height)], 0.4)
    for number, day in enumerate(days):
        top = HEAD_PT + number * row
        middle = top + row / 2.0 + 0.35 * LETTERS
        sheet.text(0.0, middle, f"{day.ship_date:short}", LETTERS, bold=True)
        for spell in day.watches:
            left, right = (DATE_PT + hour * scale for hour in (spell.from_h, spell.to_h))
            tinted = list(names).index(spell.on_watch[0]) % 2 == 1
            box = f"M{left:.2f} {top + 2.0:.2f}H{right:.2f}V{top + row - 2.0:.2f}H{left:.2f}Z"
            sheet.path(box, 1.0, fill=TINT if tinted else WHITE)
            words = "+".join(letters[name] for name in spell.on_watch)
            sheet.text((left + right) / 2.0, middle, words, LETTERS, bold=True, anchor="middle")
        if day.clock_change_h:
            noon = DATE_PT + 12.0 * scale
            sheet.line([(noon, top + 2.0), (noon, top + row - 2.0)], 4.0)
    return sheet.svg()
