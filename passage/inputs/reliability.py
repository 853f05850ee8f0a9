"""How often things break at sea, and how often they are mended there: ``[reliability]`` of ``troubles.toml``.

A rate is strikes in 20 days at sea, the length of a passage of 2,700 miles in trade winds, which the surveys count by.
Surveys count what crews reported, of boats of 30 to 60 feet with larger crews than two, in one season of trade winds:
the same rally's fleets reported breakages in 34 boats of 100 in one year and in 62 in another. So each rate is three:
what is likely, and a low and a high one; where nothing is published they are wide. What is mended at sea and how long
that takes nobody counts.
"""

from __future__ import annotations

from typing import Annotated, Any, NamedTuple

from pydantic import PlainSerializer, PlainValidator, model_validator

from passage.inputs.toml import Measured, Section, shown_value
from passage.units import Misread

BASIS_DAYS = 20.0  # at sea, that a rate counts strikes in
MOST_STRIKES = 20.0  # one a day
SURVEYED = 290  # yachts in the magazine's survey below

RALLY = "a magazine's survey of 290 yachts of a transatlantic rally, 2016"
REPORTED = f"{RALLY} (Yachting World 2017; counts R2), half and twice"
GUESSED = "common practice, no source: a third and three times"
HOMEWARD = "103 yachts followed home over the Atlantic (Ocean Cruising Club 2020, R)"


class Rates(NamedTuple):
    """Strikes in 20 days at sea, as seldom, as likely and as often as is not ruled out."""

    low: float
    middle: float
    high: float


def _rates(given: object) -> Rates:
    """From one number, which then counts as known, or from three."""
    numbers = list(given) if isinstance(given, (list, tuple)) else [given] * 3
    plain = [float(each) for each in numbers if isinstance(each, (int, float)) and not isinstance(each, bool)]
    if not len(numbers) == len(plain) == 3:
        wanted = "give strikes in 20 days: a number, or the low, the likely and the high, as [0.1, 0.2, 0.4]"
        raise Misread(shown_value(given), wanted)
    rates = Rates(*plain)
    if not 0.0 <= rates.low <= rates.middle <= rates.high <= MOST_STRIKES:
        raise Misread(shown_value(given), f"give strikes from 0 to {MOST_STRIKES:g}, the low first and the high last")
    return rates


class Wear(Section):
    """``rate``: how often it breaks; ``mended_share``: of those, mended at sea; ``mending_h``: after so long."""

    rate: Annotated[Rates, PlainValidator(_rates), PlainSerializer(list, return_type=list[float])]
    mended_share: Annotated[float, Measured("share", 0, 1)]
    mending_h: Annotated[float, Measured("duration", 1, 720)]


def _of_survey(count: int, mended_share: float, mending_h: float) -> Wear:
    """Of so many breakages in the survey."""
    rate = round(count / SURVEYED, 3)
    return Wear(rate=Rates(rate / 2.0, rate, 2.0 * rate), mended_share=mended_share, mending_h=mending_h)


def _guessed(rate: float, mended_share: float, mending_h: float) -> Wear:
    return _ranged(round(rate / 3.0, 4), rate, 3.0 * rate, mended_share, mending_h)


def _ranged(low: float, middle: float, high: float, mended_share: float, mending_h: float) -> Wear:
    return Wear(rate=Rates(low, middle, high), mended_share=mended_share, mending_h=mending_h)


class Reliability(Section):
    """What breaks and how often; ``count`` false: nothing does. A trouble given in part keeps the rest of its own."""

    count: bool = True
    self_steering_lost: Wear = _of_survey(18, 0.5, 12.0)
    wind_vane_lost: Wear = _guessed(0.06, 0.5, 12.0)
    rudder_lost: Wear = _of_survey(13, 0.93, 12.0)
    headsail_jammed: Wear = _of_survey(54, 0.75, 24.0)
    rig_lost: Wear = _ranged(0.001, 0.004, 0.02, 0.0, 1.0)
    water_lost: Wear = _guessed(0.01, 0.0, 1.0)
    watermaker_lost: Wear = _ranged(0.028, 0.05, 0.09, 0.5, 24.0)
    engine_lost: Wear = _of_survey(12, 0.5, 24.0)
    electrics_lost: Wear = _ranged(0.0002, 0.002, 0.01, 0.0, 1.0)
    panels_lost: Wear = _guessed(0.01, 0.5, 24.0)
    battery_lost: Wear = _of_survey(17, 0.3, 24.0)
    taking_water: Wear = _guessed(0.01, 0.8, 12.0)
    one_unfit: Wear = _ranged(0.023, 0.05, 0.1, 0.8, 72.0)
    gas_lost: Wear = _guessed(0.005, 0.0, 1.0)

    @model_validator(mode="before")
    @classmethod
    def _the_rest_as_by_default(cls, given: Any) -> Any:
        return {key: _whole(cls, key, value) for key, value in given.items()} if isinstance(given, dict) else given


def _whole(section: type[Reliability], key: str, value: object) -> object:
    """A trouble's table with what it does not say; anything else as it is."""
    known = section.model_fields.get(key)
    if not isinstance(value, dict) or known is None or not isinstance(known.default, Wear):
        return value
    default = {
        "rate": known.default.rate,
        "mended": f"{100.0 * known.default.mended_share:g} %",
        "mending": f"{known.default.mending_h:g} h",
    }
    return {**default, **value}


class Standing(NamedTuple):
    """What a default stands on. counted: breakages in the survey, 0 where it does not count them by themselves."""

    words: str
    source: str
    counted: int = 0


STANDINGS: dict[str, Standing] = {
    "self_steering_lost": Standing("Self-steering lost", f"pilots: 18 in {REPORTED}", 18),
    "wind_vane_lost": Standing("Wind vane lost", f"taken as a pilot's; {GUESSED}"),
    "rudder_lost": Standing(
        "Steering fails, rudder lost",
        f"steering and propellers: 13 in {REPORTED}; 4 rudders in six years of its 230 yachts a year not mended "
        "(Tibbs 2007 in Klaka, R2)",
        13,
    ),
    "headsail_jammed": Standing(
        "Headsail jammed", f"spars, poles and furlers together, on the safe side: 54 in {REPORTED}", 54
    ),
    "rig_lost": Standing("Rig lost", f"high: 3 of {HOMEWARD}, who had asked for help; low and middle no source"),
    "water_lost": Standing("Water lost, each tank", GUESSED),
    "watermaker_lost": Standing(
        "Watermaker lost", f"low: 8 reported in {RALLY} (R), of whom not all had one; high: its 26 with pipes (R2)"
    ),
    "engine_lost": Standing("Engine lost", f"12 in {REPORTED}", 12),
    "electrics_lost": Standing(
        "All electrics lost",
        f"low: 3.8 claims for lightning in 1,000 yachts and years (an insurer's count 2003-13, R); high: 1 of "
        f"{HOMEWARD}; middle no source",
    ),
    "panels_lost": Standing("Panels lost", GUESSED),
    "battery_lost": Standing("Half the battery lost", f"batteries: 17 in {REPORTED}", 17),
    "taking_water": Standing("Taking water", GUESSED),
    "one_unfit": Standing(
        "One unfit",
        "two people; low: severe injuries, 0.57 in 1,000 days (Nathanson and others 2010, R); high: 95 injured or ill "
        "of 8,105 in races of some 4.5 days (the same, 2008, R); middle between",
    ),
    "gas_lost": Standing("Gas lost", GUESSED),
}
