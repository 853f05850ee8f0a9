"""One thing changed: from the facts and the ground to the facts and the ground.

What a change does not touch is handed back as the same object; crossings on the same ground are not sailed twice. A
change can be pickled, so that what is reckoned with it can be kept.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from passage.crossings.ground import Ground
from passage.inputs.electrics import WATERMAKER, Load
from passage.troubles.damage import damaged_vessel, slowed_vessel, without_engine

if TYPE_CHECKING:
    from passage.inputs.folder import Facts
    from passage.inputs.troubles import Damage

Walked = tuple["Facts", Ground]
Change = Callable[["Facts", Ground], Walked]

ALL_ROUND = ("always", "under way", "sailing", "not motoring")  # when a pilot that steers under sail draws current
PILOT = "pilot"


def nothing(facts: Facts, ground: Ground) -> Walked:
    return facts, ground


def pilot_of(facts: Facts) -> Load | None:
    """The load that steers: the one the troubles file names, or the first with "pilot" in its name."""
    loads = facts.electrics.loads if facts.electrics else ()
    named = facts.troubles.self_steering.pilot
    return next((load for load in loads if (load.name == named if named else PILOT in load.name.lower())), None)


def pilot_steers(facts: Facts) -> bool:
    """Whether an electric pilot steers under sail."""
    pilot = pilot_of(facts)
    return pilot is not None and pilot.when in ALL_ROUND


def by_hand(facts: Facts, ground: Ground) -> Walked:
    """No self-steering left: somebody at the helm all the time, the pilot silent, hours lain to so that they sleep."""
    activity = facts.provisions.activity.model_copy(update={"self_steering": False})
    changed = replace(facts, provisions=facts.provisions.model_copy(update={"activity": activity}))
    pilot = pilot_of(facts)
    if facts.electrics and pilot:
        loads = tuple(load for load in facts.electrics.loads if load is not pilot)
        changed = replace(changed, electrics=facts.electrics.model_copy(update={"loads": loads}))
    return changed, _slowed(ground, 1.0 - hove_to_h(facts) / 24.0)


def hove_to_h(facts: Facts) -> float:
    """Hours of every 24 that a crew steering by hand lies to (common practice where the file is silent)."""
    given = facts.troubles.hand_steering.hove_to_h
    return given if given is not None else {1: 12.0, 2: 4.0}.get(len(facts.watch.keepers), 0.0)


def _slowed(ground: Ground, share: float) -> Ground:
    return ground if share == 1.0 else replace(ground, vessel=slowed_vessel(ground.vessel, share))


def by_pilot(facts: Facts, ground: Ground) -> Walked:
    """The wind vane is lost and the electric pilot steers all the time."""
    pilot, electrics = pilot_of(facts), facts.electrics
    if pilot is None or electrics is None:
        return facts, ground
    steering = pilot.model_copy(update={"when": "under way"})
    loads = tuple(steering if load is pilot else load for load in electrics.loads)
    return replace(facts, electrics=electrics.model_copy(update={"loads": loads})), ground


def damaged(damage: Damage) -> Change:
    """Speeds and pointing cut down."""
    return partial(_damaged, damage)


def _damaged(damage: Damage, facts: Facts, ground: Ground) -> Walked:
    return facts, replace(ground, vessel=damaged_vessel(facts.boat, ground.polar, damage))


def rudder_lost(facts: Facts, ground: Ground) -> Walked:
    """Cut down, and steered by hand."""
    return by_hand(*damaged(facts.troubles.rudder_lost)(facts, ground))


def tank_lost(name: str) -> Change:
    """One water tank empty, or its water not fit to drink."""
    return partial(_tank_lost, name)


def _tank_lost(name: str, facts: Facts, ground: Ground) -> Walked:
    tanks = tuple(
        tank.model_copy(update={"filled_share": 0.0}) if tank.name == name else tank for tank in facts.boat.water_tanks
    )
    return replace(facts, boat=facts.boat.model_copy(update={"water_tanks": tanks})), ground


def watermaker_lost(facts: Facts, ground: Ground) -> Walked:
    """Nothing made, and its current saved."""
    electrics = facts.electrics
    if electrics and electrics.counts_watermaker:
        loads = tuple(load for load in electrics.loads if load.water_l_per_day is None and load.name != WATERMAKER)
        electrics = electrics.model_copy(update={"loads": loads})
    provisions = facts.provisions.model_copy(update={"watermaker": None})
    return replace(facts, provisions=provisions, electrics=electrics), ground


def gas_lost(facts: Facts, ground: Ground) -> Walked:
    return replace(facts, provisions=facts.provisions.model_copy(update={"gas_bottles": ()})), ground


def engine_lost(facts: Facts, ground: Ground) -> Walked:
    """No motoring in calms and no charging."""
    electrics = facts.electrics and facts.electrics.model_copy(update={"alternator": None, "charging": None})
    boat = facts.boat.model_copy(update={"engine": None})
    return replace(facts, boat=boat, electrics=electrics), replace(ground, vessel=without_engine(ground.vessel))


def electrics_lost(facts: Facts, ground: Ground) -> Walked:
    """Everything that draws current is gone, and what cannot do without: pilot, watermaker, mostly the engine."""
    if pilot_steers(facts):
        facts, ground = by_hand(facts, ground)
    if facts.boat.engine is not None and not facts.troubles.electrics_lost.engine_starts:
        facts, ground = engine_lost(facts, ground)
    if facts.provisions.watermaker is not None:
        facts, ground = watermaker_lost(facts, ground)
    return replace(facts, electrics=None), ground


def panels_lost(facts: Facts, ground: Ground) -> Walked:
    electrics = facts.electrics
    return replace(facts, electrics=electrics and electrics.model_copy(update={"panels": ()})), ground


def battery_left(share: float) -> Change:
    """So much of the bank is left."""
    return partial(_battery_left, share)


def _battery_left(share: float, facts: Facts, ground: Ground) -> Walked:
    electrics = facts.electrics
    if electrics is None:
        return facts, ground
    battery = electrics.battery.model_copy(update={"capacity_ah": share * electrics.battery.capacity_ah})
    return replace(facts, electrics=electrics.model_copy(update={"battery": battery})), ground


def taking_water(facts: Facts, ground: Ground) -> Walked:
    """The electric pump takes what it can of the leak, and its current."""
    pumps, electrics = facts.troubles.pumps, facts.electrics
    if electrics is None or pumps.electric_l_h == 0.0:
        return facts, ground
    pump = Load(
        name="bilge pump against the leak",
        power_w=pumps.electric_power_w,
        duty_share=pumps.duty(facts.troubles.leak.rate_l_h),
    )
    return replace(facts, electrics=electrics.model_copy(update={"loads": (*electrics.loads, pump)})), ground


def one_unfit(facts: Facts, ground: Ground) -> Walked:
    """The last of the watch-keepers is in a berth; the others sail her within what they can handle."""
    watch = facts.watch.model_copy(update={"keepers": facts.watch.keepers[:-1]})
    return replace(facts, watch=watch), _slowed(ground, facts.troubles.one_unfit.speed_share)
