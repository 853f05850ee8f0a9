"""The variables of a fleet's store, once: what each is, its dimensions and unit. All else is read from here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from passage.fleets.table import BLOCK

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from passage.fleets.table import Fleet

CELL = ("boat", "track", "departure", "climate")
SHARES = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99)  # of the crossings that are in by a quantile
NEVER = "infinite where she never arrives"
KEY, REFUSED = "sailed_as", "refused"
LONGEST_REFUSAL = 300  # letters


class Variable(NamedTuple):
    """One row: name, dimensions beside those of the cell, unit (UDUNITS), meaning."""

    name: str
    beside: tuple[str, ...]
    unit: str
    meaning: str


SHORT = "share of the crossings that run out of it or never arrive; missing where no file says how much is aboard"
LOW = "share of the crossings whose battery falls below its floor, little sun; missing without electrics"
STORM = "share of the crossings with a named storm's field of 34 kn within 100 miles"

VARIABLES = (
    Variable("arrival_h", ("member",), "h", f"hours from departure to landfall; {NEVER}"),
    Variable("arrival_quantile_h", ("share",), "h", f"passage time that this share does not exceed; {NEVER}"),
    Variable("slow_end_h", (), "h", f"passage time at the slow end, as rare as the voyage file says; {NEVER}"),
    Variable("worry_h", (), "h", f"when to begin to ask after her, by her float plan; {NEVER}"),
    Variable("arrivals", ("day",), "1", "crossings that arrive on that day out"),
    Variable("never", (), "1", "crossings that never arrive"),
    Variable("short_share", ("store",), "1", SHORT),
    Variable("short_of_anything_share", (), "1", "share of the crossings that run out of anything or never arrive"),
    Variable("ran_out_day", ("store",), "d", "days out until it is gone, median of the crossings that run out"),
    Variable("lacking", ("store",), "", "too little aboard by the loading rules, in the unit of the store"),
    Variable("battery_low_share", (), "1", LOW),
    Variable("battery_empty_share", (), "1", "share of the crossings whose battery is emptied, little sun"),
    Variable("charging_l", (), "L", "fuel for the battery, mean of the crossings, little sun"),
    Variable("motoring_h", (), "h", "hours under engine for propulsion, mean of the crossings"),
    Variable("strong_wind_h", (), "h", "hours of 28 knots and more, mean of the crossings; the least sure of these"),
    Variable("hove_to_h", (), "h", "hours hove to, mean of the crossings"),
    Variable("storms_near_share", (), "1", STORM),
    Variable("storms_far_share", (), "1", "the same within 300 miles"),
)


def attributes(variable: Variable, fleet: Fleet) -> dict[str, str]:
    """As CF has them."""
    if variable.name == "lacking":
        units = ", ".join(f"{name}: {unit}" for name, unit in fleet.stores.items())
        return {"long_name": variable.meaning, "units_by_store": units}
    return {"long_name": variable.meaning, "units": variable.unit}


def sizes(fleet: Fleet) -> dict[str, int]:
    """Length of every dimension."""
    beside = {"member": fleet.crossings, "share": len(SHARES), "day": fleet.days, "store": len(fleet.stores)}
    return dict(zip(CELL, fleet.shape, strict=True)) | beside


def block_shape(variable: Variable, fleet: Fleet) -> tuple[int, ...]:
    """What of a variable is written at once, no longer than the axes are."""
    cells = (min(most, length) for most, length in zip(BLOCK, fleet.shape, strict=True))
    return (*cells, *(sizes(fleet)[name] for name in variable.beside))


def coordinates(fleet: Fleet) -> dict[str, tuple[NDArray[Any], Mapping[str, str]]]:
    """Values and attributes of each, by name."""
    departures = np.array([round(each.timestamp() / 60.0) for each in fleet.departures], dtype=np.int64)
    minutes = {"standard_name": "time", "units": "minutes since 1970-01-01 00:00:00", "calendar": "standard"}
    return {
        "boat": (np.array(fleet.boats), {"long_name": "boat"}),
        "track": (np.array(fleet.tracks), {"long_name": "folder of the voyage"}),
        "departure": (departures, minutes | {"long_name": "departure, UTC"}),
        "climate": (np.array([each.label for each in fleet.climates]), {"long_name": "averages, or a real year"}),
        "member": (np.arange(fleet.crossings), {"standard_name": "realization", "units": "1"}),
        "share": (np.array(SHARES), {"long_name": "share of the crossings", "units": "1"}),
        "day": (np.arange(1, fleet.days + 1), {"long_name": "day out, 1 ends 24 hours after departure", "units": "1"}),
        "store": (np.array([*fleet.stores]), {"long_name": "what is drawn down"}),
    }
