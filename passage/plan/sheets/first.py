"""The first answer of a new voyage: how long, whether the water lasts, what is missing most, and what it hangs on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.power.power import BatteryAnswer
from passage.consequences.stores.landfall import StoresAnswer
from passage.consequences.stores.water import WaterAnswer
from passage.consequences.times import Times
from passage.plan.sheets.legs import LandOnLeg, land_on_legs, land_words
from passage.plan.sheets.power import battery_words
from passage.plan.sheets.power import verdict_words as battery_verdict
from passage.plan.sheets.shortages import first_out_words, not_counted_words
from passage.plan.sheets.stores import verdict_words as stores_verdict
from passage.plan.sheets.times import times_blocks
from passage.plan.sheets.water import short_words
from passage.tell.blocks import Blocks, Head, Points, Say, Title, Verbatim, strong
from passage.tell.records import Record, told
from passage.weighing import Weighed, weigh

if TYPE_CHECKING:
    from passage.road import Outcome

NOT_MEASURED = "told from her length alone by a fit to measured hulls"


class Begun(Record):
    """A voyage begun, and its first answer."""

    voyage: str = told("the voyage's folder")
    boat: str = told("the boat's folder")
    files: tuple[str, ...] = told("the files made")
    name: str = told("name of the voyage")
    distance_nm: float = told("length of the track")
    waypoints: int = told("how many waypoints the track has")
    over_land: tuple[LandOnLeg, ...] = told("legs that run over land, off the two harbours too")
    not_measured: tuple[str, ...] = told("keys of boat.toml whose figures were told from her length alone")
    time: Times = told("how long")
    water: WaterAnswer = told("whether the water lasts, and what to load")
    stores: StoresAnswer = told("whether everything lasts")
    battery: BatteryAnswer | None = told("whether the battery holds; null without electrics")
    weighs: tuple[Weighed, ...] = told("the facts that would change the answer most, the weightiest first")


def begun(outcome: Outcome, voyage: str, boat: str, files: tuple[str, ...]) -> Begun:
    facts = outcome.facts
    return Begun(
        voyage=voyage,
        boat=boat,
        files=files,
        name=facts.voyage.departure.name,
        distance_nm=outcome.ground.track.length_nm,
        waypoints=len(facts.voyage.waypoints),
        over_land=land_on_legs(facts.voyage),
        not_measured=facts.boat.hull.not_measured,
        time=outcome.times,
        water=outcome.stores.water.answer,
        stores=outcome.stores.answer,
        battery=outcome.power.answer if outcome.power else None,
        weighs=weigh(outcome),
    )


def begun_card(first: Begun) -> Blocks:
    water, stores = first.water, first.stores
    load = f"{strong(f'{water.load_l:u}')} to load, and the tanks give {water.tanks_give_l:u}" if water.reached else ""
    guessed = f"{', '.join(first.not_measured)}: {NOT_MEASURED}. Measure them." if first.not_measured else ""
    return (
        Title(first.name),
        Say(f"{first.distance_nm} miles by a first track of {first.waypoints} waypoints. Check each on the chart."),
        Head("Track clear?"),
        Say(f"{strong('No.')} {land_words(first.over_land)}" if first.over_land else ""),
        Head("How long?"),
        *times_blocks(first.time),
        Head("Water"),
        Say(f"{strong(water.verdict.words)}. It ran out in {short_words(water)}."),
        Say(load),
        Head("Other stores"),
        Say(stores_verdict(stores)),
        Say(not_counted_words(stores)),
        Head("Battery"),
        Say(f"{strong(battery_verdict(first.battery))} {battery_words(first.battery)}" if first.battery else ""),
        Head("Missing most"),
        Say(strong(missing_words(first))),
        Head("Would change it most"),
        Points(tuple(_weighed_words(row) for row in first.weighs)),
        Head("Not measured"),
        Say(guessed),
        Head("Made"),
        *(Say(each) for each in first.files),
        Say("Look them through, mend what is not so, and then:"),
        Verbatim((f"  passage check {first.voyage}", f"  passage plan {first.voyage}")),
    )


def missing_words(first: Begun) -> str:
    """What fails in most crossings, the battery or a store."""
    out = first.stores.first_out
    stores_in_100 = 100.0 * out.first.count / first.stores.crossings if out else 0.0
    if first.battery and first.battery.below_in_100 > stores_in_100:
        return f"The battery: below its floor in {first.battery.below_in_100} of 100 crossings."
    return first_out_words(first.stores) or "Nothing that is counted runs short."


def _weighed_words(row: Weighed) -> str:
    """The answers that it moves, and no others."""
    ends = (
        ("slow end", f"{row.slow_end_low_days}", f"{row.slow_end_high_days:u}"),
        ("water", f"{row.water_low_l}", f"{row.water_high_l:u}"),
        ("battery low in", f"{row.battery_low_in_100}", f"{row.battery_high_in_100} of 100"),
    )
    moved = [f"{name} {low} to {high}" for name, low, high in ends if low != high.split()[0]]
    return f"{row.fact}: {row.low} to {row.high}\n{', '.join(moved)}"
