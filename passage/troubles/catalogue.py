"""The troubles that are planned for, each one thing changed, and what to do first when it happens.

First steps are in our own words and common practice without a published source, but for those marked: the collision
regulations (COLREG, from memory) and the urgency call of the ITU Radio Regulations, article 33 (from memory). They are
reminders for people who have practised, no training; makers, surveyors and the rescue services know better.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from typing import TYPE_CHECKING

from passage.tell.figures import amount
from passage.tell.records import Record, told
from passage.troubles import changes
from passage.troubles.changes import Change

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.inputs.folder import Facts
    from passage.inputs.troubles import Damage

COMMON = "common practice"
COLREG_5, COLREG_27 = "COLREG rule 5", "COLREG rule 27"
ITU_33 = "ITU Radio Regulations, article 33"
NO_HEADSAIL = ("cat", "una", "junk", "lug", "freedom")


class When(StrEnum):
    """When a trouble happens."""

    DEPARTURE = "at departure"
    HALFWAY = "halfway"


class Step(Record):
    """One thing to do."""

    words: str = told("one thing to do")
    source: str = told("the rule it follows; common practice where there is none", default=COMMON)


class Trouble(Record):
    """One trouble. hold_h: how long she lies still for it; floods: whether pumps are held against a leak; wear: the key
    of ``[reliability]`` that says how often it happens, none for what the weather does.
    """

    name: str = told("its name")
    changed: str = told("what is reckoned otherwise")
    first: tuple[Step, ...] = told("what to do first, in order")
    change: Change
    when: When = told("when it happens: at departure, or halfway", default=When.DEPARTURE)
    hold_h: int = 0
    floods: bool = False
    wear: str = ""


NOT_UNDER_COMMAND = Step("Two black balls, at night two red lights, while she cannot keep clear.", COLREG_27)
URGENCY = Step("Call it in early: PAN PAN, and agree on times to report.", ITU_33)


def _steps(*words: str | Step) -> tuple[Step, ...]:
    return tuple(word if isinstance(word, Step) else Step(word) for word in words)


def troubles_for(facts: Facts) -> tuple[Trouble, ...]:
    """Those that fit this boat, in the order in which they are printed."""
    return (
        *_steering(facts),
        *_rig(facts),
        *_water(facts),
        *_engine_and_current(facts),
        _taking_water(facts),
        *_people(facts),
        _becalmed(facts),
        *_gas(facts),
    )


def _steering(facts: Facts) -> Iterator[Trouble]:
    self_steering = facts.provisions.activity.self_steering
    rest = _rest(facts)
    if self_steering or changes.pilot_steers(facts):
        yield Trouble(
            "Self-steering lost",
            f"Steered by hand all the way{rest}; more food is burnt.",
            _steps(
                "Balance her first: reef, ease the mainsheet, try sheet-to-tiller with elastic.",
                "Lie to for sleep before you are tired, not after.",
                "Look for the chafed line, the sheared pin, the blown fuse; mend it by daylight.",
            ),
            changes.by_hand,
            wear="self_steering_lost",
        )
    if self_steering and changes.pilot_of(facts) is not None and not changes.pilot_steers(facts):
        yield Trouble(
            "Wind vane lost",
            "The electric pilot steers all the time.",
            _steps(
                "Balance the sails so that the pilot works little.",
                "Watch the battery morning and evening; keep the pilot dry.",
                "Mend the vane while the pilot still steers.",
            ),
            changes.by_pilot,
            wear="wind_vane_lost",
        )
    yield Trouble(
        "Rudder lost",
        f"{_left(facts.troubles.rudder_lost)}, steered by hand{rest}.",
        _steps(
            "Sails down, she lies to. Look into the bilge: is the rudder tube whole?",
            NOT_UNDER_COMMAND,
            "Steer by a drogue on a bridle, or a board on a spar over the stern; little sail, set forward.",
            URGENCY,
        ),
        changes.rudder_lost,
        wear="rudder_lost",
    )


def _rest(facts: Facts) -> str:
    hove_to_h = changes.hove_to_h(facts)
    return f", lying to {hove_to_h:g} h of every 24 to sleep" if hove_to_h else ""


def vane_by_hand(lost: Trouble, facts: Facts, flat_day: str) -> Trouble:
    """The wind vane lost where the pilot in its place would empty the battery by that day out."""
    return replace(
        lost,
        changed=f"The pilot would empty the battery by day {flat_day}, so she is steered by hand all the "
        f"way{_rest(facts)}; more food is burnt.",
        first=_steps(
            "Balance her, as with all self-steering lost; lie to for sleep before you are tired.",
            "Spend the sun on the pilot: meals, sail changes, the hours when both are worn out.",
            "Watch the battery morning and evening: lights and radio come before the pilot.",
            "Mend the vane by daylight.",
        ),
        change=changes.by_hand,
    )


def _left(damage: Damage) -> str:
    closest = f"no closer than {damage.closest_deg:.0f}° to the wind"
    return f"{100 * damage.speed_share:.0f} % of her speed, {closest}"


def _rig(facts: Facts) -> Iterator[Trouble]:
    jury, jammed = facts.troubles.jury_rig, facts.troubles.headsail_jammed
    if not any(word in facts.boat.hull.rig.lower().split() for word in NO_HEADSAIL):
        yield Trouble(
            "Headsail jammed",
            f"{_left(jammed)}.",
            _steps(
                "Run off to take the wind out of it. Jammed open: sheet it in hard or spin the boat to wrap it.",
                "Nobody forward without tether; nobody aloft in a seaway for a sail.",
                "Never winch against a jam: look for the riding turn, the halyard round the stay.",
            ),
            changes.damaged(jammed),
            wear="headsail_jammed",
        )
    hours = f"{jury.rigging_h:.0f} hours to rig it, then " if jury.rigging_h else ""
    yield Trouble(
        "Rig lost, jury rig",
        f"{hours}{_left(jury)}.",
        _steps(
            "Anyone hurt? Anyone over the side?",
            "Get the wreck clear before it holes her: pins out, wire cut last; keep boom and sail if you can.",
            "Do not start the engine until every line is out of the water.",
            URGENCY,
            "Rest and eat; rig in daylight.",
        ),
        changes.damaged(jury),
        when=When.HALFWAY,
        hold_h=round(jury.rigging_h),
        wear="rig_lost",
    )


def _water(facts: Facts) -> Iterator[Trouble]:
    several = sum(tank.usable_l > 0 for tank in facts.boat.water_tanks) > 1
    for tank in facts.boat.water_tanks:
        if tank.usable_l > 0:
            yield Trouble(
                f"Water lost: {tank.name}",
                f"{amount(tank.usable_l, 'l'):u} gone, leaked or fouled.",
                _steps(
                    "Shut it off from the other tanks at once. Smell and taste before mixing anything."
                    if several
                    else "Nothing else holds water: catch what still runs. Smell and taste it before you drink it.",
                    "Measure what is left. Ration from today; salt water for all washing and half the cooking.",
                    "Set a catcher for the first rain and let it rinse before you fill.",
                ),
                changes.tank_lost(tank.name),
                wear="water_lost",
            )
    if facts.provisions.watermaker is not None:
        yield Trouble(
            "Watermaker lost",
            "Only what is in the tanks.",
            _steps(
                "Ration from today, before you take it apart.",
                "Filter, then intake, then pump and current, in that order. The maker's book.",
            ),
            changes.watermaker_lost,
            wear="watermaker_lost",
        )


def _engine_and_current(facts: Facts) -> Iterator[Trouble]:
    starts = facts.troubles.electrics_lost.engine_starts
    if facts.boat.engine is not None:
        yield Trouble(
            "Engine lost",
            "No motoring in calms, no charging, no engine at the landfall.",
            _steps(
                "Save current from now on: lights, radio, pilot first; all else off.",
                "Fuel, air, cooling water, in that order: most are a filter, an air lock or an impeller.",
                "Plan the landfall under sail: sea room, daylight, an anchor ready, help asked for beforehand.",
            ),
            changes.engine_lost,
            wear="engine_lost",
        )
    if facts.electrics is None:
        return
    yield Trouble(
        "All electrics lost",
        _electrics_words(facts, starts),
        _steps(
            "Struck by lightning: is anyone hurt, are all skin fittings whole? Then the bilge again an hour later.",
            "Main switch off. Smell for fire behind panels.",
            "Write down position and time; keep a reckoning by hand, hourly. Compass may be wrong after a strike.",
            "Handheld radio, satellite telephone and beacon kept in a closed oven or tin may have lived.",
            "Torches as lights; white one ready to show at an approaching ship.",
        ),
        changes.electrics_lost,
        wear="electrics_lost",
    )
    if facts.electrics.panels:
        yield Trouble(
            "Panels lost",
            "No sun into the battery.",
            _steps("Cut the loads that are not needed the same day.", "Connector and controller before the panel."),
            changes.panels_lost,
            wear="panels_lost",
        )
    yield Trouble(
        "Half the battery lost",
        "Half the capacity is left.",
        _steps(
            "Find the bad one (warm, swollen, low at rest) and take it out of the bank.",
            "Charge little and often; nothing below the floor.",
        ),
        changes.battery_left(0.5),
        wear="battery_lost",
    )


def _electrics_words(facts: Facts, starts: bool) -> str:
    gone = [
        "the pilot" if changes.pilot_steers(facts) else "",
        "the watermaker" if facts.provisions.watermaker else "",
        "the engine" if facts.boat.engine and not starts else "",
    ]
    lost = [word for word in gone if word]
    return (
        f"No current, and without it no {' and no '.join(word.removeprefix('the ') for word in lost)}."
        if lost
        else "No current."
    )


def _taking_water(facts: Facts) -> Trouble:
    leak = facts.troubles.leak
    return Trouble(
        "Taking water",
        f"A leak of {amount(leak.rate_l_h, 'l'):u} an hour, day and night.",
        _steps(
            "Taste it: salt or fresh? Every seacock shut, then look: log, stern gland, rudder tube, hoses, bow.",
            "Everything that pumps, now; a rag, a cushion, a soft plug into the hole from inside.",
            "Heel her so that the hole comes up. A sail over it from outside if it is large.",
            URGENCY,
            "It gains on you: MAYDAY at once, not when the berths float.",
        ),
        changes.taking_water,
        floods=True,
        wear="taking_water",
    )


def _people(facts: Facts) -> Iterator[Trouble]:
    keepers = facts.watch.keepers
    if len(keepers) < 2:
        return
    others = "one alone keeps the boat" if len(keepers) == 2 else f"{len(keepers) - 1} keep the boat"
    yield Trouble(
        f"One of {_NUMBERS.get(len(keepers), str(len(keepers)))} unfit",
        f"{others.capitalize()}, at {100 * facts.troubles.one_unfit.speed_share:.0f} % of her speed.",
        _steps(
            "Make it safe: reef or heave to, then look after the person.",
            "A doctor by radio or telephone early: any rescue centre connects you.",
            URGENCY,
            Step(
                "Naps between looks, alarm on, AIS on: less than the proper look-out, but what one alone can do.",
                COLREG_5,
            ),
        ),
        changes.one_unfit,
        wear="one_unfit",
    )


_NUMBERS = {2: "two", 3: "three", 4: "four"}


def _becalmed(facts: Facts) -> Trouble:
    days = facts.troubles.becalmed.days
    return Trouble(
        f"{_DAYS.get(days, str(days)).capitalize()} days becalmed",
        "Nothing else changed: she lies still so long, and sails on.",
        _steps(
            "Sails down before they beat themselves to pieces.",
            "Keep the fuel for the landfall and the battery.",
            "Awning up: shade saves water.",
        ),
        changes.nothing,
        when=When.HALFWAY,
        hold_h=24 * days,
    )


_DAYS = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 10: "ten"}


def _gas(facts: Facts) -> Iterator[Trouble]:
    if facts.provisions.gas_kg > 0:
        yield Trouble(
            "Gas lost, no cooking",
            "Only what keeps and needs no cooking is eaten.",
            _steps(
                "A leak: bottle shut, no spark, no switch, hatches open. Gas lies in the bilge: bail it out.",
                "Soak overnight what can be soaked; tins first for those who work at night.",
                "No hot drinks: drink by the clock all the same.",
            ),
            changes.gas_lost,
            wear="gas_lost",
        )
