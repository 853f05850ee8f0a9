"""Who has the watch, by date: every date to the slow end and a little beyond, for the night."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.plan.watchcard import draw_days, initials
from passage.tell.blocks import Blocks, Break, Drawing, Say, Title, Together, note, on_paper, strong

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.watches.posted import WatchDay
    from passage.plan.sheet import Drawings, Room

DAYS_A_PAGE, FURNITURE_PT = 27, 176.0


def dated_card(days: Sequence[WatchDay], names: Sequence[str], caution: str) -> Blocks:
    """On the screen the rotas say it."""
    if not days:
        return ()
    letters = "; ".join(f"{letter} {name}" for name, letter in initials(names).items())
    said = f"{letters}. Ship's time, 0 to 24 h.{_all_hands(days[0], len(names))} {clock_words(days)}"
    return (
        on_paper(
            Together((Title("Who has the watch, by date"), Say(strong(said)), _strip(0))),
            *(block for number in range(1, _pages(days)) for block in (Break(), _strip(number))),
            note(
                "To the slow end and three days more. By the typical crossing's clock: where ship's time changes, "
                "whoever has the watch at noon stands the hour more or less. Whenever it blows: the rota of heavy "
                f"weather. {caution}"
            ),
        ),
    )


def _all_hands(day: WatchDay, people: int) -> str:
    """Where she sails before noon."""
    return " On the first day everybody is up until noon." if 1 < len(day.watches[0].on_watch) == people else ""


def clock_words(days: Sequence[WatchDay]) -> str:
    """On which dates the clock is put on or back at noon; empty where on none."""
    changed = {way: [day for day in days if day.clock_change_h * way > 0] for way in (1, -1)}
    said = [
        f"{'on' if way > 0 else 'back'} at noon (thick stroke): {', '.join(f'{day.ship_date:short}' for day in found)}"
        for way, found in changed.items()
        if found
    ]
    return f"Clock {'; '.join(said)}." if said else ""


def _strip(number: int) -> Drawing:
    return Drawing(
        f"dated{number}",
        "Each date a row of 24 hours, ship's time, in boxes with the first letter of who has the watch; the rotas say "
        "the same in words.",
    )


def _pages(days: Sequence[WatchDay]) -> int:
    return -(-len(days) // DAYS_A_PAGE)


def draw_dated(days: Sequence[WatchDay], names: Sequence[str], room: Room) -> Drawings:
    return {
        f"dated{number}": draw_days(
            days[number * DAYS_A_PAGE : (number + 1) * DAYS_A_PAGE], names, room.wide_pt, room.high_pt - FURNITURE_PT
        )
        for number in range(_pages(days))
    }
