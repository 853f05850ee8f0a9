"""The whole road on one screen: facts in, one Outcome out. Everything else in this tool walks it again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage import follows
from passage.crossings.simulate import sail
from passage.sailed import Sailed, worked

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from passage.crossings.ground import Ground
    from passage.crossings.wind import Luck
    from passage.inputs.folder import Facts

CROSSINGS = 1000
SEED = 1


class Outcome(Sailed):
    """One departure's thousand crossings, and what follows from them."""

    times = worked(follows.times_of)
    by_day = worked(follows.by_day_of)  # where 8 crossings in 10 are at the end of each day, until the last is in
    bracket = worked(follows.bracket_of)  # what the slow end hangs on
    wind_sea = worked(follows.wind_sea_of)  # that the wind itself raises along the track
    noons = worked(follows.noons_of)
    sky = worked(follows.sky_of)  # sun and moon of each noon's day
    fast_kn = worked(follows.fast_kn_of)
    watches = worked(follows.watches_of)  # None where nobody is named to keep them, as in a crew of five and more
    power = worked(follows.power_of)  # None where no electrics are given
    stores = worked(follows.stores_of)
    readiness = worked(follows.readiness_of)
    anchor = worked(follows.anchor_of)  # None where no anchorage is given
    services = worked(follows.services_of)  # whose forecasts and warnings cover the track
    float_plan = worked(follows.float_plan_of)  # what stays ashore


def walk(
    facts: Facts, ground: Ground, luck: Luck, depart: datetime, progress: Callable[[float], None] | None = None
) -> Outcome:
    """Sail the crossings from ``depart`` (UTC); the same luck gives the same numbers."""
    return Outcome(facts, ground, sail(ground, depart, luck, progress))
