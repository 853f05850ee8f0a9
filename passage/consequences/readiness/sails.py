"""Which sails to set when.

A table by true wind from the boat's own sails and limits, and storm sails against published sizes.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby, pairwise, permutations, product
from math import inf, isfinite, isnan, nan
from typing import TYPE_CHECKING

from passage.tell.figures import amount
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from passage.inputs.sails import Rig, Sail

    Set = tuple["SetSail", ...]

ANGLES_DEG = (45.0, 60.0, 90.0, 120.0, 150.0, 180.0)
WINDS_TO_KN = 60.0
STAYS = ("mast", "forestay", "inner stay", "flying")
HEADSAILS = ("storm jib", "heavy-weather jib")  # that are set alone before the mast
STORM_WIND_KN = 34.0  # Beaufort 8, lower limit
HEAVY_WIND_KN = 22.0  # Beaufort 6, lower limit
STORM_JIB_SHARE = 0.05  # of the foretriangle height squared (M)
HEAVY_JIB_SHARE = 0.135  # of the foretriangle height squared (M)
TRYSAIL_SHARE = 0.175  # of hoist times foot (M)
RULE = "World Sailing Offshore Special Regulations"

CAUTIONS = (
    "By the limits in the gear file and the steady wind, not the gusts.",
    "Reef when you first think of it, and before dark.",
    "A free-flying sail is counted in place of the one on the forestay, a storm or heavy-weather jib in place of every "
    "other headsail, unless the gear file says otherwise; the crew decides.",
)


class SetSail(Record):
    """One sail as set."""

    name: str = told("its name")
    reef: int = told("reefs in it, 0 for the whole sail")
    area_m2: float = told("its area as set, m²")

    @property
    def words(self) -> str:
        reefs = "1 reef" if self.reef == 1 else f"{self.reef} reefs"
        return f"{self.name}, {reefs}" if self.reef else self.name


class SailPlan(Record):
    """What to set in a band of true wind over a range of true angles."""

    wind_from_kn: float = told("steady true wind from, kn", places=0)
    wind_to_kn: float = told("steady true wind to, kn", places=0)
    angle_from_deg: float = told("true wind angle from the bow, first of the range, degrees")
    angle_to_deg: float = told("last of the range, degrees")
    sails: tuple[SetSail, ...] = told("the sails to set; empty where the boat has none for it")

    @reckoned("their area together, m²")
    def area_m2(self) -> float:
        return sum(sail.area_m2 for sail in self.sails)


class StormSail(Record):
    """One storm sail against the published size."""

    use: str = told("which storm sail")
    name: str = told("the sail aboard for it; empty where there is none")
    area_m2: float = told("its area, m²; null where none is aboard")
    largest_m2: float = told("largest area by the published rule, m²; null where the rig is not given")
    fits: bool | None = told(
        "whether it is no larger and is carried in the rule's wind; null where that cannot be said"
    )
    wants: tuple[str, ...] = told("what is missing or unknown about it")
    source: str = told("whose rule")
    standing: str = told("the rule's standing")


class Sails(Record):
    """Which sails to set when, and those for storms."""

    plans: tuple[SailPlan, ...] = told("what to set, by bands of wind and ranges of angle")
    storm: tuple[StormSail, ...] = told("storm sails against the published sizes")
    listed: bool
    cautions: tuple[str, ...] = told("what the table cannot know", default=CAUTIONS)
    heave_to_kn: float = told("steady wind from which this plan heaves to or runs off", default=nan, places=0)
    heave_to_gust_kn: float = told("gusts from which it does", default=nan, places=0)

    @reckoned("what the table sets in the wind at which she heaves to; empty where that is nothing")
    def hove_to_under(self) -> tuple[SetSail, ...]:
        return next((row.sails for row in self.plans if row.wind_from_kn <= self.heave_to_kn < row.wind_to_kn), ())

    @reckoned("whether neither storm jib nor trysail is aboard")
    def storm_missing(self) -> bool:
        return not any(sail.name for sail in self.storm if sail.use != "heavy-weather jib")


def sail_table(sails: Sequence[Sail]) -> tuple[SailPlan, ...]:
    """What to set for each band of wind between the sails' own limits and each of six angles, winds rising.

    The largest area that wind and angle allow, one sail to a stay and none beside one that it replaces. Once anything
    is reefed or taken off for the wind, more wind never asks for more sail.
    """
    edges = sorted({0.0, WINDS_TO_KN, *(edge for sail in sails for edge in _edges(sail) if edge < WINDS_TO_KN)})
    bands = list(pairwise(edges))
    at_angles = [zip(bands, _up_the_wind(sails, bands, angle), strict=True) for angle in ANGLES_DEG]
    return tuple(
        SailPlan(low, high, angle, angle, chosen)
        for row in zip(*at_angles, strict=True)
        for angle, ((low, high), chosen) in zip(ANGLES_DEG, row, strict=True)
    )


def sails_by_wind(sails: Sequence[Sail], rig: Rig | None) -> Sails:
    """The table of sails, neighbouring angles at which the same ones are set in one row, and the storm sails."""
    runs = groupby(sail_table(sails), key=lambda plan: (plan.wind_from_kn, plan.sails))
    rows = [(first, *rest) for _, (first, *rest) in runs]
    return Sails(
        tuple(replace(row[0], angle_to_deg=row[-1].angle_to_deg) for row in rows), storm_sails(sails, rig), bool(sails)
    )


def storm_sails(sails: Sequence[Sail], rig: Rig | None) -> tuple[StormSail, ...]:
    """Storm jib, trysail and heavy-weather jib against the published sizes; what is missing is said."""
    return (
        _storm_sail("storm jib", sails, _share_of_height(rig, STORM_JIB_SHARE), STORM_WIND_KN),
        _storm_sail("trysail", sails, _largest_trysail(rig), STORM_WIND_KN),
        _storm_sail("heavy-weather jib", sails, _share_of_height(rig, HEAVY_JIB_SHARE), HEAVY_WIND_KN),
    )


def _edges(sail: Sail) -> tuple[float, ...]:
    return (sail.wind_from_kn, sail.wind_to_kn, *(reef.wind_to_kn for reef in sail.reefs))


def _up_the_wind(sails: Sequence[Sail], bands: Sequence[tuple[float, float]], angle_deg: float) -> Iterator[Set]:
    """What is set in each band of wind, the winds rising."""
    before: Set = ()
    most_m2 = inf
    for low, high in bands:
        fitting = [(sail, one) for sail in sails if (one := _reefed(sail, 0.5 * (low + high), angle_deg))]
        if not set(before) <= {one for _, one in fitting}:
            most_m2 = _area_m2(before)
        now = _largest(fitting, before, most_m2)
        yield now
        before = now or before


def _largest(fitting: Sequence[tuple[Sail, SetSail]], before: Set, most_m2: float) -> Set:
    """The sails of most area together, no more than most_m2; in a rising wind those that are set stay set."""
    drawing = {one.name for one in before} if isfinite(most_m2) else set()
    best: tuple[tuple[int, float], Set] = ((0, 0.0), ())
    for together in product(*([None, *(one for one in fitting if one[0].stay == stay)] for stay in STAYS)):
        up = [one for one in together if one is not None]
        chosen = tuple(one for _, one in up)
        area_m2 = _area_m2(chosen)
        worth = sum(one.name in drawing for one in chosen), area_m2
        if worth > best[0] and area_m2 <= most_m2 and not _replaced([sail for sail, _ in up]):
            best = worth, chosen
    return best[1]


def _area_m2(chosen: Set) -> float:
    return sum(one.area_m2 for one in chosen)


def _replaced(sails: Sequence[Sail]) -> bool:
    """Whether any of these is set in place of another of them."""
    return any(_replaces(one, other) for one, other in permutations(sails, 2))


def _replaces(one: Sail, other: Sail) -> bool:
    if one.instead_of is not None:
        return other.name in one.instead_of
    if one.use in HEADSAILS:
        return other.stay != "mast"
    return one.stay == "flying" and other.stay == "forestay"


def _reefed(sail: Sail, wind_kn: float, angle_deg: float) -> SetSail | None:
    """The sail with the fewest reefs that this wind allows; None outside its winds or angles."""
    if wind_kn < sail.wind_from_kn or not sail.angle_from_deg <= angle_deg <= sail.angle_to_deg:
        return None
    steps = ((sail.area_m2, sail.wind_to_kn), *((reef.area_m2, reef.wind_to_kn) for reef in sail.reefs))
    for reef, (area_m2, wind_to_kn) in enumerate(steps):
        if wind_kn <= wind_to_kn:
            return SetSail(sail.name, reef, area_m2)
    return None


def _share_of_height(rig: Rig | None, share: float) -> float:
    return share * rig.foretriangle_height_m**2 if rig else nan


def _largest_trysail(rig: Rig | None) -> float:
    if rig is None or rig.mainsail_hoist_m is None or rig.mainsail_foot_m is None:
        return nan
    return TRYSAIL_SHARE * rig.mainsail_hoist_m * rig.mainsail_foot_m


def _storm_sail(use: str, sails: Sequence[Sail], largest_m2: float, wind_kn: float) -> StormSail:
    sail = next((sail for sail in sails if sail.use == use), None)
    if sail is None:
        return StormSail(use, "", nan, largest_m2, None, (f"no {use} aboard",), RULE, "M")
    wants = tuple(_wants(sail, largest_m2, wind_kn))
    carried = _edges(sail)[-1] > wind_kn
    fits = None if isnan(largest_m2) else carried and sail.area_m2 <= largest_m2
    return StormSail(use, sail.name, sail.area_m2, largest_m2, fits, wants, RULE, "M")


def _wants(sail: Sail, largest_m2: float, wind_kn: float) -> list[str]:
    wants = []
    if isnan(largest_m2):
        wants.append("the rig's measures, to hold its size against the rule")
    elif sail.area_m2 > largest_m2:
        wants.append(f"to be no larger than {amount(largest_m2, 'm2'):u} (M)")
    if _edges(sail)[-1] <= wind_kn:
        wants.append(f"to be carried beyond {wind_kn:.0f} kn (R)")
    if sail.use != "heavy-weather jib":
        if sail.high_visibility is not True:
            wants.append("a colour that is seen, if bought after 2013 (R)")
        if sail.own_sheeting is not True:
            wants.append("its own sheeting points on deck, a trysail clear of the boom (R)")
    if sail.aramid_or_carbon is not False:
        wants.append("to be free of aramid and carbon (R)")
    return wants
