"""What the log's latest entries call for attention to, each a sentence: leaks, bilge, battery, barometer, sleep, the
deck.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from passage.journal.evidence import rising_bilge, water_left
from passage.journal.reckoning import hours_between
from passage.tell.figures import amount

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from passage.inputs.boat import Boat
    from passage.journal.evidence import Lessons
    from passage.journal.reckoning import Point
    from passage.journal.record import Entry

# Common practice, no source, unless said.
FALLING_HPA = 8.0  # within a day
LAST_DAY_H = 26.0  # from noon to noon, sailing west
LITTLE_SLEEP_H = 5.0  # what a rough day gives each of two; below it sleep debt is paid in mistakes
LOW_BATTERY_SHARE = 0.55
LONG_WITHOUT_FIX_H = 26.0
LEAK_L = 10.0
TOLD_FOR_H = 7 * 24.0


def flags(entries: Sequence[Entry], boat: Boat, here: Point, taught: Lessons | None) -> tuple[str, ...]:
    """Sentences, the gravest first; entries: standing, oldest first."""
    noons = [entry for entry in entries if entry.kind in ("start", "noon", "landfall")]
    found = (*_deck(noons[-1]), *_leaks(noons, boat, taught), *_bilge(entries), *_fuel(noons, boat))
    return (*found, *_weather(entries), *_battery(noons), *_sleep(noons[-1]), *_fix(here), *_unbelieved(taught))


def _deck(last: Entry) -> Iterator[str]:
    for part, found in last.body.get("deck", {}).items():
        if found.strip().lower() not in ("ok", "good", "well", ""):
            yield f"Deck round, {part}: {found}."


def _leaks(noons: Sequence[Entry], boat: Boat, taught: Lessons | None) -> Iterator[str]:
    """A tank that fell much further than is drunk, in the latest sounding that the learning did not believe."""
    unbelieved = taught.water.left_out if taught else ()
    for before, entry in pairwise(noons):
        if entry.number not in unbelieved or hours_between(entry.time, noons[-1].time) > TOLD_FOR_H:
            continue
        then, now = (water_left(noons[: noons.index(each) + 1], boat) for each in (before, entry))
        for tank, litres in now.items():
            if then[tank] - litres > LEAK_L:
                yield (
                    f"Entry {entry.number}: {tank} has fallen by {amount(then[tank] - litres, 'l'):u} since the "
                    "sounding before: a leak, a tap, or a mistaken sounding. What is in it is not to be counted on "
                    "until it is found."
                )


def _bilge(entries: Sequence[Entry]) -> Iterator[str]:
    if said := rising_bilge(entries):
        yield said


def _fuel(noons: Sequence[Entry], boat: Boat) -> Iterator[str]:
    left = next((entry.body["fuel_l"] for entry in reversed(noons) if "fuel_l" in entry.body), None)
    unusable_l = sum(tank.unusable_l for tank in boat.fuel_tanks)
    if left is not None and left - unusable_l < boat.fuel.landfall_reserve_l:
        usable, reserve = (amount(each, "l") for each in (max(left - unusable_l, 0.0), boat.fuel.landfall_reserve_l))
        yield f"Fuel: {usable:u} to draw on; {reserve:u} were to be kept for the landfall."


def _weather(entries: Sequence[Entry]) -> Iterator[str]:
    """The last reading against the highest of the day before it, noons and entries between them alike."""
    told = [entry for entry in entries if "pressure_hpa" in entry.body]
    before = [each for each in told[:-1] if hours_between(each.time, told[-1].time) <= LAST_DAY_H]
    if not before:
        return
    high, last = max(before, key=lambda entry: float(entry.body["pressure_hpa"])), told[-1]
    fallen_hpa, hours = high.body["pressure_hpa"] - last.body["pressure_hpa"], hours_between(high.time, last.time)
    if fallen_hpa >= FALLING_HPA:
        yield f"The barometer has fallen {fallen_hpa:.0f} hPa in {hours:.0f} hours: get the official forecast."


def _battery(noons: Sequence[Entry]) -> Iterator[str]:
    told = [entry.body["battery_share"] for entry in noons if "battery_share" in entry.body][-3:]
    if told and told[-1] < LOW_BATTERY_SHARE:
        trend = f", {100 * told[0]:.0f} % two noons before" if len(told) == 3 and told[0] > told[-1] else ""
        yield f"Battery {100 * told[-1]:.0f} %{trend}: charge, or switch off."


def _sleep(last: Entry) -> Iterator[str]:
    for person, hours in last.body.get("sleep_h", {}).items():
        if hours < LITTLE_SLEEP_H:
            yield f"{person} slept {hours:.0f} hours: let them sleep before anything else is decided."


def _fix(here: Point) -> Iterator[str]:
    if here.since_fix_h > LONG_WITHOUT_FIX_H:
        yield f"No fix for {here.since_fix_h:.0f} hours: the position is reckoned."


def _unbelieved(taught: Lessons | None) -> Iterator[str]:
    if taught and taught.performance.left_out:
        numbers = ", ".join(map(str, taught.performance.left_out))
        yield f"The run to entry {numbers} was left out of what is learned: winds and miles do not go together."
