"""What the battery, the watches and the anchor stand on: their part of the sources pages."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.anchoring.loads import TABLE
from passage.consequences.power.battery import PROFILES
from passage.consequences.power.panels import CONTROLLER, LOSS_PER_K, SEA_ALBEDO
from passage.consequences.watches.alertness import CONCERN_KSS
from passage.inputs.reliability import STANDINGS, Standing, Wear
from passage.inputs.told import plainly
from passage.plan.sheets.sourced import DEFAULT, YOURS, Row, figure, whose
from passage.troubles.catalogue import troubles_for

if TYPE_CHECKING:
    from passage.inputs.anchorage import Windlass
    from passage.inputs.electrics import Charging, Electrics
    from passage.inputs.folder import Facts
    from passage.inputs.reliability import Reliability
    from passage.inputs.watch import LookOut, Watch

CHARGING_WORDS = {
    "start_below_share": "Engine on for the battery below",
    "run_h": "and then for",
    "daily_h": "Every morning besides",
}
REST_WORDS = {"settle_h": "From going below to sleep", "dress_h": "From being called to being on deck"}
LOOK_OUT_WORDS = {
    "eye_height_m": "Eye above the water",
    "ship_speed_kn": "Speed of ships",
    "visibility_nm": "Visibility",
    "safe_nm": "A ship is to be known at",
}
WINDLASS_WORDS = {
    "chain_per_stroke_m": "Chain for each stroke of the windlass",
    "handle_travel_m": "Travel of its handle",
    "arm_power_w": "What an arm keeps up",
    "efficiency_share": "Of it at the chain",
}


def worn(facts: Facts) -> list[Row]:
    """How often each trouble that fits the boat strikes, and what of it is mended at sea; none where nothing is to
    break.
    """
    reliability = facts.troubles.reliability
    if not reliability.count:
        return []
    fits = {trouble.wear for trouble in troubles_for(facts)}
    mending = Row("What is mended at sea, and in what time", "beside each", "common practice, no source")
    return [*(_worn(reliability, key, standing) for key, standing in STANDINGS.items() if key in fits), mending]


def _worn(reliability: Reliability, key: str, standing: Standing) -> Row:
    wear: Wear = getattr(reliability, key)
    rates = " / ".join(f"{rate:g}" for rate in wear.rate)
    mended = f"; {100 * wear.mended_share:.0f} % mended in {wear.mending_h:g} h" if wear.mended_share else ""
    default = type(reliability).model_fields[key].default
    return Row(standing.words, f"{rates}{mended}", standing.source if wear == default else YOURS)


def powered(facts: Facts) -> list[Row]:
    """None without electrics."""
    if facts.electrics is None:
        return []
    return [*_battery(facts.electrics), *_sun(facts.electrics), *_charging(facts.electrics.charging)]


def _battery(electrics: Electrics) -> list[Row]:
    battery, departure = electrics.battery, electrics.departure
    custom = PROFILES[battery.chemistry]
    usable = custom.usable if battery.usable_share is None else battery.usable_share
    told = departure.model_fields_set
    return [
        Row("Of the battery is used", _share(usable), whose(battery, "usable_share", f"default: {custom.standing}")),
        figure(battery, "health_share", "Age has left of its capacity"),
        Row("Comes out of what goes in", _share(custom.charge_efficiency), custom.standing),
        Row("Full at departure", _share(departure.start_share), YOURS if told else DEFAULT),
    ]


def _sun(electrics: Electrics) -> list[Row]:
    solar = electrics.solar
    if not electrics.panels:
        return []
    reaches = f"{_share(CONTROLLER[solar.controller])} of the panels' power"
    return [
        Row("Cloud, with little sun", "monthly mean, day by day", "Berliand (1960) in Budyko, from memory"),
        Row("Cloud, with much sun", "monthly mean, day by day", "Reed (1977), second-hand"),
        Row("Light thrown back by the sea", _share(SEA_ALBEDO), "common practice"),
        Row("Lost for each degree that a panel is hotter", f"{100.0 * LOSS_PER_K:g} %", "silicon, from memory"),
        *[figure(panel, "shading_share", f"Shaded: {panel.name}") for panel in electrics.panels],
        Row(f"{solar.controller} controller passes on", reaches, "common practice"),
        figure(solar, "wiring_loss_share", "Lost in the wires"),
        figure(solar, "heel_deg", "Heel in a fresh wind abeam"),
    ]


def _charging(charging: Charging | None) -> list[Row]:
    return [figure(charging, name, words) for name, words in CHARGING_WORDS.items()] if charging else []


def watched(facts: Facts) -> list[Row]:
    """None for a crew of which nobody is named to keep a watch."""
    watch = facts.watch
    return [*_sleep(watch), *_look_out(watch.lookout)] if watch.keepers else []


def _sleep(watch: Watch) -> list[Row]:
    phases = ("settled days", watch.settled), ("the first days", watch.first_days), ("heavy weather", watch.rough)
    return [
        *[figure(days, "sleep_h", f"Sleep a day, {words}") for words, days in phases],
        *[figure(watch.rest, name, words) for name, words in REST_WORDS.items()],
        Row("Days until the crew has its sea legs", f"{watch.first_days.days}", whose(watch.first_days, "days")),
        Row(
            "Sleepiness",
            "three-process model, healthy adults",
            "Åkerstedt and Folkard (1995, 1997), constants as Ingre and others (2014) use them",
        ),
        Row("Too sleepy from", f"{CONCERN_KSS:g} of 9", "Karolinska sleepiness scale"),
        Row("Hours of rest", "a benchmark only", "STCW Code A-VIII/1"),
    ]


def _look_out(look_out: LookOut) -> list[Row]:
    return [
        *[figure(look_out, name, words) for name, words in LOOK_OUT_WORDS.items()],
        Row("From seeing her to being clear", f"{60.0 * look_out.react_h:.0f} min", whose(look_out, "react_h")),
        Row("Ranges of lights", "the least allowed by length", "COLREG Rule 22"),
        Row("Heights of ships and of their lights", "by kind", "common practice, no source"),
    ]


def anchored(facts: Facts) -> list[Row]:
    """None without an anchorage."""
    if facts.anchorage is None:
        return []
    area = facts.anchorage.place.drag_area_m2
    return [
        Row("Pull of the wind, with surge", "by length and beam", TABLE),
        Row(
            "Drag of the wind alone",
            plainly(area, "area") if area else "a third of the table",
            YOURS if area else "our guess",
        ),
        Row("Scope", "by line and weather", "second-hand; a storm's is common practice"),
        Row("Line", "catenary, steady pull", "statics; no swell, no yawing, no snatch"),
        *_windlass(facts.anchorage.windlass),
    ]


def _windlass(windlass: Windlass | None) -> list[Row]:
    if windlass is None:
        return []
    rate = f"{windlass.strokes_per_minute:g} a minute"
    strokes = Row("Strokes", rate, whose(windlass, "strokes_per_minute"))
    return [*[figure(windlass, name, words) for name, words in WINDLASS_WORDS.items()], strokes]


def _share(share: float) -> str:
    return f"{100.0 * share:.0f} %"
