"""As boats break: the same crossings with strikes at random, beside those in which nothing breaks.

One luck for both, so that what differs is the breakage alone. What it does to her speed is in these times, and what it
does to water, food, gas and fuel in these shortages. The battery is not worked out again: a pilot, a panel or an engine
lost shortens it as the troubles, one by one, say.
"""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import TYPE_CHECKING

from passage.consequences.stores.together import Share
from passage.consequences.times import Times
from passage.tell.records import Record, reckoned, told, up

if TYPE_CHECKING:
    from passage.road import Outcome

CAUTION = (
    "Rates are of other people's boats, and guessed where nobody counts; what is mended at sea is a guess. Torn sails "
    "and chafed lines, half of what surveys count, are not in them. She goes on to landfall whatever breaks: nobody "
    "turns back, is towed or is taken off."
)


class Often(StrEnum):
    """How often things break."""

    SELDOM = "low"
    LIKELY = "middle"
    OFTEN = "high"

    @property
    def words(self) -> str:
        return {
            Often.SELDOM: "if things break as seldom as is not ruled out",
            Often.LIKELY: "if they break as is likely",
            Often.OFTEN: "if things break as often as is not ruled out",
        }[self]


class Level(Record):
    """The crossings at one set of rates."""

    often: Often = told("which of the three rates of everything: low, middle or high")
    typical_h: float
    slow_end_h: float
    struck: Share = told("crossings in which anything breaks")
    any_short: Share = told("crossings short of anything")
    water_short: Share = told("crossings short of water")

    @reckoned("typical passage, days")
    def typical_days(self) -> float:
        return self.typical_h / 24.0

    @reckoned("slow end, days")
    def slow_end_days(self) -> float:
        return self.slow_end_h / 24.0


class ShortOf(Record):
    """One store."""

    store: str = told("its name")
    before: Share = told("crossings that run out of it where nothing breaks")
    short: Share = told("the same as boats break")


class Breaks(Record):
    """One trouble."""

    name: str = told("its name")
    low_strikes: float = told("strikes in 20 days at sea, the least that is not ruled out", places=4)
    strikes: float = told("the same, likely", places=4)
    high_strikes: float = told("the same, the most", places=4)
    mended_in_100: float = told("of a hundred strikes mended at sea")
    mending_h: float = told("after so long")
    struck: Share = told("crossings that it strikes")
    later_days: float = up("those crossings are later by, in the mean, whatever else breaks; null where it slows none")


class AsBoatsBreak(Record):
    """The same crossings with strikes at random, beside those in which nothing breaks."""

    times: Times = told("how long, as boats break")
    struck: Share = told("crossings in which anything breaks")
    any_short_before: Share = told("crossings short of anything where nothing breaks")
    any_short: Share = told("the same as boats break")
    stores: tuple[ShortOf, ...] = told("each store that is counted")
    old_rule_days: float = told("what the old rule stores for: the typical passage, nothing broken, and half again")
    beyond_old_rule_before: Share = told("crossings longer than that where nothing breaks")
    beyond_old_rule: Share = told("the same as boats break")
    worry_utc: datetime | None = told(
        "the day on which those ashore begin to ask, by the slow end where nothing breaks"
    )
    at_sea_then_before: Share | None = told("crossings at sea on it where nothing breaks; null where there is none")
    at_sea_then: Share | None = told("the same as boats break")

    @property
    def water(self) -> ShortOf | None:
        return next((row for row in self.stores if row.store == "water"), None)


class Breakage(Record):
    """As boats break, what it comes from, and how far that is known."""

    answer: AsBoatsBreak = told("the crossings at the likely rates, beside those in which nothing breaks")
    troubles: tuple[Breaks, ...] = told("what breaks, how often, and what that costs")
    levels: tuple[Level, ...] = told("all rates low, middle and high at once")
    caution: str = told("what these figures cannot say", default=CAUTION)


def breakage_of(outcome: Outcome) -> Breakage | None:
    """None where the troubles file says that nothing breaks."""
    from passage.troubles.struck import reckon_breakage  # only who asks for it loads what sails

    return reckon_breakage(outcome)
