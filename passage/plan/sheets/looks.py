"""Keeping a look-out and staying aboard: the table of looks, the handover card, clip-on rules, recovery by two."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.watches import lookout
from passage.consequences.watches.handover import CALL, CARD, CardLine
from passage.consequences.watches.lookout import Approach
from passage.consequences.watches.overboard import CLIP_ON, RECOVERY
from passage.plan.sheet import Sheet
from passage.tell.blocks import (
    Beside,
    Blocks,
    Head,
    Points,
    Say,
    Size,
    Title,
    grid,
    large,
    note,
    on_paper,
    on_screen,
    strong,
)
from passage.tell.figures import amount
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.road import Outcome


class Looks(Record):
    """What holds for any crew, whoever keeps the watch."""

    one_keeper: bool = told("whether one keeps all the watches")
    fast_kn: float = told("speed that 1 of her hours under way in 10 exceeds; for the look-out and for lost overboard")
    looks: tuple[Approach, ...] = told("what is seen how far off, and how long it then takes, in the worst case")
    look_words: str = told("what the table of looks stands on")
    visibility_words: str = told("what is not known of the visibility, and what to do in fog")
    caution: str = told("why a timed look is no proper look-out")
    call: CardLine = told("how to call the next")
    handover: tuple[CardLine, ...] = told("what to say at the change of the watch")
    clip_on: tuple[str, ...] = told("rules for clipping on")
    recovery: tuple[str, ...] = told("how two get one back")


def table(outcome: Outcome) -> Looks:
    look = outcome.facts.watch.lookout
    return Looks(
        one_keeper=len(outcome.facts.watch.keepers) == 1,
        fast_kn=outcome.fast_kn,
        looks=lookout.table(look, outcome.fast_kn),
        look_words=(
            f"Eye {amount(look.eye_height_m, 'm'):u} above the water, visibility {look.visibility_nm:g} nm, ships at "
            f"{look.ship_speed_kn:g} knots, this boat at {outcome.fast_kn:.1f}, which 1 hour in 10 exceeds; a ship "
            f"to be known {look.safe_nm:g} nm off at the least, {60.0 * look.react_h:.0f} min to get clear."
        ),
        visibility_words=lookout.visibility_words(look),
        caution=lookout.CAUTION,
        call=CALL,
        handover=CARD,
        clip_on=CLIP_ON,
        recovery=RECOVERY,
    )


def overboard_card(looks: Looks) -> Blocks:
    """How far astern stands in the table of the watches."""
    if looks.one_keeper:
        said: Blocks = (
            Head("Clip on"),
            Points(looks.clip_on, numbered=True),
            Say(strong("Nobody is left to turn back.")),
        )
    else:
        clip_on = (Head("Clip on"), Points(looks.clip_on, numbered=True))
        missed = (Head("Missed: how one gets the other back"), Points(looks.recovery, numbered=True))
        said = (Beside((clip_on, missed), ("1fr", "1.6fr")),)
    return (
        on_paper(
            Title("Lost overboard unseen"),
            *said,
            note(
                f"{'' if looks.one_keeper else 'MAN OVERBOARD, the card, has the first minutes. '}Common practice, no "
                "source; try all of it in harbour, each alone."
            ),
        ),
    )


def look_out_card(looks: Looks) -> Blocks:
    return (
        Title("Look-out"),
        on_paper(Say(looks.caution, Size.LEAD)),
        grid(
            looks.looks,
            ("what is to be seen", lambda line: line.what, "left 1fr"),
            ("seen,\nmiles off", lambda line: strong(line.range_nm)),
            ("limited by", lambda line: line.limited_by, "left"),
            ("end on,\nmin", lambda line: large(line.end_on_min)),
            ("crossing,\nmin", lambda line: line.crossing_min),
            ("from\nastern, min", lambda line: line.astern_min),
            (
                "look every,\nmin",
                lambda line: strong("all the time") if line.all_the_time else large(line.look_every_min),
            ),
            every=1,
            inset=1.4,
        ),
        Say(
            f"Minutes from first sight until she is here, in the worst case. {looks.look_words} "
            '"All the time": no interval is short enough.'
        ),
        Say(looks.visibility_words),
        on_screen(Say(looks.caution)),
        *(() if looks.one_keeper else (on_paper(Head("Calling the next watch"), Say(looks.call.say, Size.LEAD)),)),
    )


def look_short(looks: Looks) -> Blocks:
    every = [line for line in looks.looks if not line.all_the_time]
    longest = max((float(line.look_every_min) for line in every), default=0.0)
    seen = [line for line in every if float(line.look_every_min) == longest][:1]
    sees = "".join(f"Every {strong(f'{line.look_every_min} min')} at most for a {line.what}; " for line in seen)
    return (Head("Look round"), Say(f"{sees}in fog and for small lights all the time. {LOOK}"))


LOOK = "A timed look is no proper look-out under COLREG Rule 5: it leaves a risk."
SHEET = Sheet(
    "looks", table, record=Looks, cards={"overboard": overboard_card, "look-out": look_out_card}, short=look_short
)
