"""What a stores file may say: activity, diet, gas, watermaker, charging, things of each day, dinners, remedies.

The file is optional and so is everything in it. Each default names its source or says that it is common practice.
"""

from __future__ import annotations

from difflib import get_close_matches
from math import nan
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import AfterValidator, Field

from passage.errors import Fault, InputFaults
from passage.inputs.home import renamed
from passage.inputs.pantry import PANTRY_FILE, Food, Pantry, read_pantry
from passage.inputs.toml import KeyPath, Measured, Misfit, Name, Section, each_its_own
from passage.units import shown, written

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.inputs.home import Home

STORES_FILE = "stores.toml"
MOST_NAMED = 3

Level = Annotated[float, Field(ge=1.0, le=3.0)]
Names = Annotated[tuple[Name, ...], Field(strict=False)]
Price = Annotated[float, Field(ge=0, le=1e6, strict=False)]
Portion = Annotated[float, Measured("mass", 0.001, 20)]


class Activity(Section):
    """Physical activity levels by the day's weather: total energy as a multiple of the basal rate.

    Defaults bracketed by a double-handed crew measured at sea, 1.8 with a spread of 0.2 (Galvani and others 2015);
    ``survival``: 1.27, the survival requirement of FAO/WHO/UNU 1985 (from memory). Wind limits: common practice.
    """

    self_steering: bool = True
    self_steered: Level = 1.6
    mixed: Level = 1.8
    heavy: Level = 2.1
    survival: Level = 1.27
    mixed_wind_kn: Annotated[float, Measured("speed", 5, 60)] = 20.0
    heavy_wind_kn: Annotated[float, Measured("speed", 10, 80)] = 28.0

    def misfits(self) -> Iterator[Misfit]:
        if not self.survival <= self.self_steered <= self.mixed <= self.heavy:
            yield Misfit((), "levels out of order", "survival, self_steered, mixed and heavy must not fall")
        if self.mixed_wind_kn > self.heavy_wind_kn:
            limit = written(self.heavy_wind_kn, "speed")
            yield Misfit(("mixed_wind",), written(self.mixed_wind_kn, "speed"), f"it cannot exceed heavy_wind, {limit}")


class Diet(Section):
    """What may be eaten and what is bought first.

    ``protein_per_kg``: for each kg of body and day, the safe level of WHO/FAO/UNU 2007 (from memory);
    ``no_cook_reserve_share``: reserve days of no-cook food as a share of the days to the slow end (a third: common
    practice); ``most_of_one_share``: the most of the energy that one food may give; ``staples_share``: the least that
    staples and pulses give, ``fats_share`` and ``snacks_share``: the most that fats and that snacks, sweets and nuts
    give; ``produce``: least fruit and vegetables for each person and day (all common practice, to keep meals eatable).
    ``starter_list`` false: only the user's own pantry.
    """

    likes: Names = ()
    dislikes: Names = ()
    allergens: Names = ()
    minimise: Literal["mass", "cost"] = "mass"
    starter_list: bool = True
    protein_per_kg_kg: Annotated[float, Measured("mass", 0.0002, 0.004)] = 0.00083
    no_cook_reserve_share: Annotated[float, Measured("share", 0, 2)] = 1 / 3
    most_of_one_share: Annotated[float, Measured("share", 0.05, 1)] = 0.12
    staples_share: Annotated[float, Measured("share", 0, 1)] = 0.35
    fats_share: Annotated[float, Measured("share", 0, 1)] = 0.15
    snacks_share: Annotated[float, Measured("share", 0, 1)] = 0.2
    produce_kg: Annotated[float, Measured("mass", 0, 1)] = 0.2

    def misfits(self) -> Iterator[Misfit]:
        for index, item in enumerate(self.likes):
            if item in self.dislikes:
                yield Misfit(("likes", index), shown(item), "it stands among the dislikes too; keep one")


class GasBottle(Section):
    """One bottle of cooking gas, or several alike. ``filled_share``: at departure."""

    name: Name
    content_kg: Annotated[float, Measured("mass", 0.1, 50)]
    count: int = Field(1, ge=1, le=20)
    filled_share: Annotated[float, Measured("share", 0, 1)] = 1.0

    @property
    def gas_kg(self) -> float:
        return self.content_kg * self.count * self.filled_share


class GasUse(Section):
    """Cooking gas for each person and day: 50 g, and half as much again with regular baking (common practice, from four
    write-ups of people who live aboard). ``survival_kg``: a litre boiled, 13.5 g (derived), and a little.
    """

    per_person_day_kg: Annotated[float, Measured("mass", 0.005, 0.5)] = 0.05
    survival_kg: Annotated[float, Measured("mass", 0, 0.5)] = 0.015
    baking: bool = False

    @property
    def use_kg(self) -> float:
        """For one person and day, kg."""
        return self.per_person_day_kg * (1.5 if self.baking else 1.0)


class Watermaker(Section):
    """``run_h``: hours a day; ``energy_per_litre_wh``: 25 without energy recovery (derived), about 5 with; take the
    maker's amperes times volts divided by litres an hour.
    """

    output_l_h: Annotated[float, Measured("flow", 0.1, 200)]
    run_h: Annotated[float, Measured("duration", 0, 24)]
    energy_per_litre_wh: Annotated[float, Measured("energy", 1, 200)] = 25.0


class Rain(Section):
    """Rain is counted only where the user claims it, litres a day; the tool does not know where rain falls."""

    claimed_l_per_day: Annotated[float, Measured("daily volume", 0, 50)] = 0.0


class Motor(Section):
    """The engine beyond the boat file. ``specific_consumption_g_kwh``: 240 to 260 for small modern diesels near 60 to
    80 per cent load; ``charging_l_h``: at charging revolutions; ``sea_factor``: on the shaft power, 1.3 to 2 in a head
    sea (all common practice).
    """

    specific_consumption_g_kwh: Annotated[float, Measured("consumption", 180, 500)] = 250.0
    charging_l_h: Annotated[float, Measured("flow", 0.1, 10)] = 1.0
    sea_factor: float = Field(1.5, ge=1, le=3)


class DailyThing(Section):
    """Anything used up by the day: medicines, airtime, a pet's food. ``survival_share``: what cannot be saved of it."""

    name: Name
    unit: Annotated[str, Field(min_length=1, max_length=20)]
    per_day: float = Field(gt=0, le=1e5, strict=False)
    aboard: float = Field(ge=0, le=1e7, strict=False)
    survival_share: Annotated[float, Measured("share", 0, 1)] = 1.0
    unit_mass_kg: Annotated[float, Measured("mass", 0, 50)] = 0.0


class Dinner(Section):
    """A dinner for the whole crew. ``uses``: item and mass eaten; ``most``: times on the voyage; ``days_apart``: from
    one time to the next.
    """

    name: Name
    uses: dict[str, Portion] = Field(min_length=1, max_length=20)
    most: int = Field(6, ge=1, le=100)
    days_apart: int = Field(3, ge=1, le=60)


class RemedyRules(Section):
    """What may be added, piece by piece, until at most ``target_share`` of the crossings run short; prices of a full
    one, in whatever money.
    """

    target_share: Annotated[float, Measured("share", 0.001, 0.2)] = 0.01
    water_can_l: Annotated[float, Measured("volume", 1, 100)] = 20.0
    fuel_can_l: Annotated[float, Measured("volume", 1, 100)] = 20.0
    gas_bottle_kg: Annotated[float, Measured("mass", 0.2, 20)] = 2.7
    water_can_price: Price | None = None
    fuel_can_price: Price | None = None
    gas_bottle_price: Price | None = None

    def price_of(self, piece: str) -> float:
        """Of ``water_can``, ``fuel_can`` or ``gas_bottle``, full; nan where nobody said."""
        price: float | None = getattr(self, f"{piece}_price")
        return nan if price is None else price


class Stowage(Section):
    """``waterplane_area_m2``: from the lines plan if known; else waterline length times beam times the coefficient,
    0.65 to 0.70 for sailing yachts (common practice).
    """

    waterplane_area_m2: Annotated[float, Measured("area", 2, 200)] | None = None
    waterplane_coefficient: float = Field(0.68, ge=0.5, le=0.9)


class Provisions(Section):
    """The whole stores file."""

    activity: Activity = Activity()
    diet: Diet = Diet()
    gas: GasUse = GasUse()
    gas_bottles: Annotated[tuple[GasBottle, ...], AfterValidator(each_its_own("name"))] = Field(
        (), alias="gas_bottle", strict=False
    )
    watermaker: Watermaker | None = None
    rain: Rain = Rain()
    motor: Motor = Motor()
    daily: Annotated[tuple[DailyThing, ...], AfterValidator(each_its_own("name"))] = Field((), strict=False)
    dinners: Annotated[tuple[Dinner, ...], AfterValidator(each_its_own("name"))] = Field(
        (), alias="dinner", strict=False
    )
    remedy: RemedyRules = RemedyRules()
    stowage: Stowage = Stowage()

    @property
    def gas_kg(self) -> float:
        """Cooking gas aboard at departure, kg."""
        return sum(bottle.gas_kg for bottle in self.gas_bottles)


def read_provisions(home: Home) -> tuple[Provisions, Pantry]:
    """``stores.toml`` and ``pantry.csv``, checked against each other; defaults where a file is missing.

    Raises InputFaults with every fault of both.
    """
    faults: list[Fault] = []
    document = provisions = None
    try:
        document = home.document(STORES_FILE)
        provisions = document.read(Provisions)
    except InputFaults as told:
        faults += told.faults
    path = home.path(PANTRY_FILE)
    try:
        pantry = read_pantry(path, provisions is None or provisions.diet.starter_list)
    except InputFaults as told:
        raise InputFaults([*faults, *renamed(home, path, told)]) from None
    if provisions and document:
        faults += [document.fault(*said) for said in _at_odds(provisions, pantry)]
    if faults or provisions is None:
        raise InputFaults(faults)
    return provisions, pantry


def refused(food: Food, diet: Diet) -> str:
    """Why this crew will not have a food, in a few words; empty where it will."""
    if hits := sorted(food.allergens & set(diet.allergens)):
        return f"it declares {', '.join(hits)}"
    return "it stands among the dislikes" if food.item in diet.dislikes else ""


def _at_odds(provisions: Provisions, pantry: Pantry) -> Iterator[tuple[KeyPath, str, str]]:
    """What the stores file says that the pantry does not bear out: key, found, wanted."""
    diet = provisions.diet
    declared = pantry.allergens
    for index, allergen in enumerate(diet.allergens):
        if allergen not in declared:
            wanted = (
                f"no item declares it, so it would guard nobody; declared are {', '.join(sorted(declared)) or 'none'}"
            )
            yield ("diet", "allergens", index), shown(allergen), wanted
    for key in ("likes", "dislikes"):
        for index, item in enumerate(getattr(diet, key)):
            if item not in pantry.named:
                yield ("diet", key, index), shown(item), _nearest(item, pantry)
    for index, dinner in enumerate(provisions.dinners):
        yield from _dinner_at_odds(index, dinner, diet, pantry)
    if diet.minimise == "cost" and not any(food.price is not None for food in pantry.foods):
        yield ("diet", "minimise"), '"cost"', "no item of the pantry has a price; add the column price"
    left = [food for food in pantry.foods if not refused(food, diet)]
    if not any(food.pack_kcal > 0 for food in left) or not any(food.pack_protein_kg > 0 for food in left):
        yield ("diet",), "dislikes and allergens leave no food with energy and protein", "this cannot feed anyone"


def _dinner_at_odds(index: int, dinner: Dinner, diet: Diet, pantry: Pantry) -> Iterator[tuple[KeyPath, str, str]]:
    for item in dinner.uses:
        key: KeyPath = ("dinner", index, "uses", item)
        if item not in pantry.named:
            yield key, shown(item), _nearest(item, pantry)
        elif why := refused(pantry.named[item], diet):
            yield key, shown(item), f"{why}; take it out of the dinner"


def _nearest(item: str, pantry: Pantry) -> str:
    words = [name for name in pantry.named if item.casefold() in name.casefold().split()][:MOST_NAMED]
    near = words or get_close_matches(item, pantry.named, n=1, cutoff=0.6)
    told = " or ".join(map(shown, near))
    return f"did you mean {told}?" if near else "no item of the pantry has this name; passage foods finds them"
