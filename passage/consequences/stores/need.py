"""What bodies need: basal rate, activity by the weather of each hour, protein.

Basal rate by the Schofield (1985) equations as FAO/WHO/UNU *Human energy requirements* (2004) prints them in Table 5.2,
with its standard errors; total energy is the basal rate times the physical activity level. The equations are for
groups: one person may differ by the standard error and more.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import AT_ANCHOR, HOVE_TO, MOTORING, RUNNING_OFF, STANDING_OFF
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.inputs.crew import Crew, Person
    from passage.inputs.provisions import Activity

DRIFTING_KN = 4.0  # below it the vane does not steer
OLDER = (30, 60)  # 30 belongs to the second band, 60 to the third

# kcal a day for each kg, kcal a day, standard error of one person (kcal a day).
_SCHOFIELD = {
    "M": ((15.057, 692.2, 153.0), (11.472, 873.1, 167.0), (11.711, 587.7, 164.0)),
    "F": ((14.818, 486.6, 119.0), (8.126, 845.6, 111.0), (9.082, 658.5, 108.0)),
}


class PersonNeed(Record):
    """What one person needs a day."""

    role: str = told("who")
    basal_kcal: float = told("basal metabolic rate, at rest")
    error_kcal: float = told("its standard error for one person")
    self_steered_kcal: float = told("on a self-steered day")
    mixed_kcal: float = told("on a mixed day")
    heavy_kcal: float = told("in heavy weather")
    protein_kg: float

    @reckoned("protein, g")
    def protein_g(self) -> float:
        return 1000.0 * self.protein_kg


def basal_kcal(sex: str, age_years: float, mass_kg: float) -> tuple[float, float]:
    """Basal metabolic rate and its standard error, kcal a day. sex: "F" or "M"; adults only."""
    band = sum(age_years >= limit for limit in OLDER)
    slope, constant, error = _SCHOFIELD[sex][band]
    return slope * mass_kg + constant, error


def person_need(person: Person, activity: Activity, protein_per_kg: float) -> PersonNeed:
    basal, error = basal_kcal(person.sex, person.age_years, person.mass_kg)
    steered = activity.self_steered if activity.self_steering else activity.mixed
    mixed = activity.mixed if activity.self_steering else activity.heavy
    return PersonNeed(
        role=person.role,
        basal_kcal=basal,
        error_kcal=error,
        self_steered_kcal=basal * steered,
        mixed_kcal=basal * mixed,
        heavy_kcal=basal * activity.heavy,
        protein_kg=protein_per_kg * person.mass_kg,
    )


def crew_basal_kcal(crew: Crew) -> float:
    """All the crew at rest, kcal a day."""
    return sum(basal_kcal(person.sex, person.age_years, person.mass_kg)[0] for person in crew.people)


def levels(crossings: Crossings, activity: Activity) -> NDArray[np.float32]:
    """Physical activity level in every hour, (members, hours).

    Heavy: hove to, running off, or strong wind. Mixed: motoring, standing off, fresh wind, or too little for the vane.
    Else self-steered, and at anchor. By hand, each is one class heavier.
    """
    wind, state = crossings.wind_kn, crossings.state
    heavy = (wind >= activity.heavy_wind_kn) | np.isin(state, (HOVE_TO, RUNNING_OFF))
    mixed = (wind >= activity.mixed_wind_kn) | (wind < DRIFTING_KN) | np.isin(state, (MOTORING, STANDING_OFF))
    mixed &= state != AT_ANCHOR
    ladder = np.array([activity.self_steered, activity.mixed, activity.heavy, activity.heavy], dtype=np.float32)
    rung = np.where(heavy, 2, np.where(mixed, 1, 0))
    return ladder[rung if activity.self_steering else rung + (state != AT_ANCHOR)]


def energy_kcal_h(crossings: Crossings, crew: Crew, activity: Activity) -> NDArray[np.float32]:
    """What the whole crew needs in every hour at sea, kcal, (members, hours)."""
    return levels(crossings, activity) * np.float32(crew_basal_kcal(crew) / 24.0)
