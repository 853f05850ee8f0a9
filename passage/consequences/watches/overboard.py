"""Lost overboard while the others sleep: how far astern before anybody knows. Printed beside the clip-on rules.

The worst moment is the start of a watch kept alone: the next person wakes at the call for the change, and until then
the boat sails on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.watches.rotas import UP, WATCH, Rotas, duties
from passage.consequences.watches.slots import SLOT_H
from passage.sailings.clock import hhmm
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.consequences.watches.score import Conditions


class Unnoticed(Record):
    """A spell alone on watch. begins_h: from midnight of the first day."""

    person: int
    begins_h: float
    until_called_h: float = told("hours until the next is called", places=1)
    astern_nm: float = told("miles astern by then, at fast_kn", places=1)

    @reckoned("when it begins, ship's time, HHMM")
    def from_ship(self) -> str:
        return hhmm(self.begins_h % 24.0)


def unnoticed(rota: Rotas, conditions: Conditions, speed_kn: float) -> tuple[Unnoticed, ...]:
    """Every spell with one person on watch and nobody else up, in order of the clock.

    The spell ends when another takes the watch or gets up for a fixed hour; the call comes the time to dress before
    that.
    """
    duty = duties(rota, conditions.asked, conditions.standby, conditions.fixed)[0].reshape(rota.people, -1)
    watching = (duty == WATCH).sum(axis=0)
    alone = (watching == 1) & ((duty >= UP).sum(axis=0) == 1)
    who = np.where(alone, np.argmax(duty == WATCH, axis=0), -1)
    return tuple(
        Unnoticed(int(who[first]), float(first * SLOT_H), until, until * speed_kn)
        for first, length in _spells(who)
        if who[first] >= 0 and (until := max(length * SLOT_H - conditions.rest.dress_h, 0.0)) > 0.0
    )


def worst(rota: Rotas, conditions: Conditions, speed_kn: float) -> Unnoticed | None:
    """The spell that leaves somebody furthest astern; None where nobody is ever alone."""
    return max(unnoticed(rota, conditions, speed_kn), key=lambda spell: spell.astern_nm, default=None)


def _spells(who: NDArray[np.intp]) -> list[tuple[int, int]]:
    """(first half hour, length) of every spell of one value around the ring."""
    changes = np.nonzero(who != np.roll(who, 1))[0]
    if not len(changes):
        return [(0, len(who))]
    return [(int(a), int(b - a)) for a, b in zip(changes, [*changes[1:], changes[0] + len(who)], strict=True)]


# Common practice, no source.
CLIP_ON = (
    "Clip on before leaving the companionway, and stay clipped on deck at night, alone, reefed or in any sea.",
    "Nobody leaves the cockpit at night or in rough weather without waking the other.",
    "Wear the lifejacket with light and personal beacon; make sure below that its alarm wakes a sleeper.",
    "Whoever goes below to rest looks at the other's tether first.",
)

# Common practice, no source; to be tried in harbour by those who would have to do it. The first minutes, with the
# person in sight, are those of the card.
RECOVERY = (
    "Note the time, stop the boat, look all round. When was the last log entry, the last word? They are between that "
    "place and here.",
    "Distress alert and spoken call now, with both positions and times: two aboard means one is left to search.",
    "Turn back along the track she really sailed. Slowly; from as high as is safe; stop to listen; light and horn.",
    "Person and water drift with the current, not with the wind: allow for the hours gone by.",
    "Look at the personal beacon's position on the receiver before every turn; it moves.",
    "In reach: make a line fast to the harness or under the arms before anything else; the boat stays stopped.",
    "Nobody lifts a person over the rail by hand: tackle, halyard to a winch, sling or ladder, rigged beforehand.",
)
