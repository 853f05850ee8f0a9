"""What ``troubles.toml`` may say: what is left of her speed when something breaks, the pumps, and the refuges.

The file is optional and so is every key in it. No source was found for what a damaged boat makes good: the defaults are
common practice, cautious ones, and the user's own trial on a quiet day is worth more than any of them.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field, PlainValidator

from passage.errors import InputFaults
from passage.inputs.position import parse_position
from passage.inputs.reliability import Reliability
from passage.inputs.toml import Document, Measured, Name, Section, each_its_own, shown_value
from passage.positions import Position
from passage.units import Misread, shown

TROUBLES_FILE = "troubles.toml"
ELECTRIC_SHARE = 0.5  # of the maker's figure (common practice: it is given at no lift and a full battery)
MOST_REFUGES = 4

Closest = Annotated[float, Measured("angle", 0, 150)]
SpeedLeft = Annotated[float, Measured("share", 0.05, 1)]


def _position(given: object) -> Position:
    if isinstance(given, Position):
        return given
    if isinstance(given, str):
        return parse_position(given)
    raise Misread(shown_value(given), 'write the position in double quotes, such as "22 54S 14 27E"')


Place = Annotated[Position, PlainValidator(_position)]


class SelfSteering(Section):
    """``pilot``: the load of electrics.toml that steers when the vane does not; left out, the one with "pilot" in its
    name.
    """

    pilot: Name | None = None


class HandSteering(Section):
    """``hove_to_h``: hours of every 24 that she lies to so that the crew can sleep; left out: 12 for one person, 4 for
    two, none for more.
    """

    hove_to_h: Annotated[float, Measured("duration", 0, 20)] | None = None


class Damage(Section):
    """``speed_share``: what is left of the speeds in her polar; ``closest_deg``: the closest she lies to the true
    wind.
    """

    speed_share: SpeedLeft
    closest_deg: Closest


class RudderLost(Damage):
    """Steered by a drogue on a bridle or a board over the stern, under little sail."""

    speed_share: SpeedLeft = 0.6
    closest_deg: Closest = 80.0


class HeadsailJammed(Damage):
    """Jammed rolled up, or down for good: mainsail and engine remain."""

    speed_share: SpeedLeft = 0.65
    closest_deg: Closest = 60.0


class JuryRig(Damage):
    """What stands on a stump or a spar. ``rigging_h``: to clear the wreck and set it, lying still meanwhile."""

    speed_share: SpeedLeft = 0.4
    closest_deg: Closest = 90.0
    rigging_h: Annotated[float, Measured("duration", 0, 240)] = 24.0


class ElectricsLost(Section):
    """``engine_starts``: whether it starts and runs without a battery, by hand crank or spring."""

    engine_starts: bool = False


class Leak(Section):
    """A leak to live with, and ``depth_m``: how far below the waterline a skin fitting that fails would lie."""

    rate_l_h: Annotated[float, Measured("flow", 1, 20_000)] = 100.0
    depth_m: Annotated[float, Measured("length", 0.05, 3)] = 0.5


class Pumps(Section):
    """``electric_l_h``: the maker's figure, of which half is counted (lift, hose and a tired battery);
    ``by_hand_l_h``: by one person who keeps it up, and ``by_hand_hours_h`` of it that each can give in 24.
    """

    electric_l_h: Annotated[float, Measured("flow", 0, 20_000)] = 0.0
    electric_power_w: Annotated[float, Measured("power", 0, 1000)] = 0.0
    by_hand_l_h: Annotated[float, Measured("flow", 0, 6000)] = 1500.0
    by_hand_hours_h: Annotated[float, Measured("duration", 0, 12)] = 4.0

    @property
    def counted_l_h(self) -> float:
        """What of the maker's figure is counted."""
        return ELECTRIC_SHARE * self.electric_l_h

    def duty(self, rate_l_h: float) -> float:
        """Share of the time that the electric pump runs."""
        return min(rate_l_h / self.counted_l_h, 1.0) if self.electric_l_h > 0 else 0.0


class OneUnfit(Section):
    """``speed_share``: of her speeds when one person alone handles her: reefed early, hove to for what needs two."""

    speed_share: SpeedLeft = 0.8


class Becalmed(Section):
    days: int = Field(5, ge=0, le=30)


class Refuge(Section):
    """A harbour or anchorage to run for. ``via``: places to pass, in the order sailed, where land lies on the direct
    line; as few of them are passed as will do, so that both ways round an island can stand there.
    """

    name: Name
    position: Place
    via: tuple[Place, ...] = Field((), strict=False, max_length=4)


class Troubles(Section):
    """The whole troubles file."""

    self_steering: SelfSteering = SelfSteering()
    hand_steering: HandSteering = HandSteering()
    rudder_lost: RudderLost = RudderLost()
    headsail_jammed: HeadsailJammed = HeadsailJammed()
    jury_rig: JuryRig = JuryRig()
    electrics_lost: ElectricsLost = ElectricsLost()
    leak: Leak = Leak()
    pumps: Pumps = Pumps()
    one_unfit: OneUnfit = OneUnfit()
    becalmed: Becalmed = Becalmed()
    reliability: Reliability = Reliability()
    refuges: Annotated[tuple[Refuge, ...], AfterValidator(each_its_own("name"))] = Field(
        (), alias="refuge", strict=False, max_length=MOST_REFUGES
    )


def read_troubles(document: Document, loads: tuple[str, ...] | None) -> Troubles:
    """``troubles.toml`` as read, all defaults where it says nothing.

    loads: names in the electrics file, none of them where there is no such file, None where it could not be read.
    Raises InputFaults with everything that is wrong in the file or does not fit the electrics.
    """
    troubles = document.read(Troubles)
    pilot = troubles.self_steering.pilot
    if pilot is not None and loads is not None and pilot not in loads:
        wanted = f"the loads of the electrics file are {', '.join(loads)}" if loads else "there is no electrics file"
        raise InputFaults([document.fault(("self_steering", "pilot"), shown(pilot), wanted)])
    return troubles


def refuge_faults(document: Document, found: list[tuple[int, str, str, str]]) -> InputFaults:
    """Faults of refuges that show only once tracks are laid. found: index of the refuge, its key, found, wanted."""
    return InputFaults([document.fault(("refuge", index, key), *said) for index, key, *said in found])
