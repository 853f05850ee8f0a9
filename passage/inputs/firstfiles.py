"""The files of a first voyage and of its boat, from a few answers; what nobody told is marked where it stands."""

from __future__ import annotations

import json
from textwrap import wrap
from typing import TYPE_CHECKING

from passage.inputs.boat import UNNAMED
from passage.inputs.by_length import (
    BEAM_M,
    DISPLACEMENT_KG,
    LADEN,
    SAIL_AREA_M2,
    WATERLINE_SHARE,
    consumption_l_h,
    cruising_speed_kn,
    laden_kg,
)
from passage.positions import format_position

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.inputs.answers import Answers, Hand, NewBoat
    from passage.inputs.by_length import Law
    from passage.positions import Position

ROLES = ("skipper", "mate", "hand", "fourth", "fifth", "sixth", "seventh", "eighth")
UNTOLD_KG, UNTOLD_AGE = {"F": 70.0, "M": 82.0}, 50
CALMS_SHARE, LANDFALL_SHARE = 0.5, 0.3  # of the fuel, where nobody has said what it is for
GAS_BOTTLE = "2.7 kg"
HULLS = "Told from the length by a fit to 125 measured hulls"
UNITS_LINE = 'units = "us"  # what is printed: gallons, feet, pounds; or "metric"'
STORES = "for an ocean's stores (common practice). Have her weighed"


def quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)  # JSON's quoting of text is TOML's too


def _remark(text: str) -> list[str]:
    return wrap(f"{text.rstrip('.')}.", 118, initial_indent="# ", subsequent_indent="# ")


def _give(law: Law) -> str:
    return f"give or take {law.scatter:.0%}"


def boat_toml(boat: NewBoat, answers: Answers) -> str:
    """The boat file of a new boat. ``not_measured`` names what was told from her length."""
    length_m = boat.length_m
    waterline_m = WATERLINE_SHARE * length_m
    displacement_kg = boat.displacement_kg or laden_kg(length_m)
    sail_m2 = boat.sail_area_m2 or SAIL_AREA_M2.at(length_m)
    guessed = ["waterline_length", "beam"]
    guessed += [] if boat.displacement_kg else ["displacement"]
    guessed += [] if boat.sail_area_m2 else ["sail_area"]
    lines = [
        "# Your boat, from what you told and, where marked, from her length alone. When you mend such a figure, take",
        "# its name out of not_measured.",
        "# Every key there is, explained: passage new SOME-FOLDER --template",
        "",
        "[boat]",
        "# NOT TOLD: write her name; until then the distress call has a line for it.",
        f'name = "{UNNAMED}"',
        f'length_overall = "{round(length_m, 2):g} m"',
        "# Common practice: 86 % of the length. Measure it afloat.",
        f'waterline_length = "{waterline_m:.2f} m"',
        f"# {HULLS}, {_give(BEAM_M)}.",
        f'beam = "{BEAM_M.at(length_m):.2f} m"',
        *([] if boat.displacement_kg else _remark(f"{HULLS}, {_give(DISPLACEMENT_KG)}, and {LADEN - 1:.0%} {STORES}")),
        f'displacement = "{displacement_kg:.0f} kg"',
        *([] if boat.sail_area_m2 else _remark(f"{HULLS}, {_give(SAIL_AREA_M2)}. Measure your own")),
        f'sail_area = "{sail_m2:.1f} m2"',
        f"not_measured = {json.dumps(guessed)}",
        *([UNITS_LINE] if answers.in_gallons else []),
        "",
        "[polar]",
        "estimate = true",
        "",
        *_engine(answers, displacement_kg, waterline_m),
        "[[water_tank]]",
        'name = "water, all tanks"',
        f'capacity = "{round(answers.water_l, 1):g} L"',
    ]
    return "\n".join(lines) + "\n"


def _engine(answers: Answers, displacement_kg: float, waterline_m: float) -> list[str]:
    if answers.fuel_l is None:
        return []
    return [
        "# Speed: a speed-length ratio of 1. Fuel: Gerr's formula for smooth water. Run her an hour and top up.",
        "[engine]",
        f'cruising_speed = "{cruising_speed_kn(waterline_m):.1f} kn"',
        f'consumption = "{consumption_l_h(displacement_kg):.1f} L/h"',
        "",
        "[[fuel_tank]]",
        'name = "fuel tank"',
        f'capacity = "{round(answers.fuel_l, 1):g} L"',
        "",
        "# Half for calms, three tenths kept for the landfall: our choice, make it yours.",
        "[fuel]",
        f'calms_allowance = "{CALMS_SHARE * answers.fuel_l:.0f} L"',
        f'landfall_reserve = "{LANDFALL_SHARE * answers.fuel_l:.0f} L"',
        "",
    ]


def crew_toml(crew: Sequence[Hand]) -> str:
    """The crew file, by role."""
    untold = any(hand.sex is None for hand in crew)
    head = "# Who sails, by role." + (" AGE, WEIGHT AND SEX WERE NOT TOLD: write yours." if untold else "")
    people = [_person(ROLES[number], hand, "FM"[number % 2]) for number, hand in enumerate(crew)]
    return "\n\n".join([head, *people]) + "\n"


def _person(role: str, hand: Hand, usual: str) -> str:
    sex = hand.sex or usual
    mass_kg, age = hand.mass_kg or UNTOLD_KG[sex], hand.age_years or UNTOLD_AGE
    return f'[[person]]\nrole = "{role}"\nmass = "{mass_kg:g} kg"\nage = {age}\nsex = "{sex}"'


def stores_toml() -> str:
    return (
        "# NOT TOLD: two bottles of gas. Food is planned from the tool's own list until pantry.csv says is there\n\n"
        f'[[gas_bottle]]\nname = "gas bottle"\ncontent = "{GAS_BOTTLE}"\ncount = 2\n'
    )


def electrics_toml(answers: Answers) -> str:
    """The electrics file: bank and panels as told, the loads of a plain boat, which nobody told."""
    panel = ["", "[[panel]]", 'name = "panels"', f'power = "{answers.panels_w:g} W"'] if answers.panels_w else []
    alternator = [
        "",
        "[alternator]",
        'current = "35 A"',
        'voltage = "13.8 V"',
        'consumption = "1.1 L/h"',
    ]
    loads = (
        ("lights", "3 W", 'when = "night"\nneeded = true'),
        ("autopilot", "20 W", 'when = "under way"\nneeded = true'),
        ("instruments and plotter", "14 W", 'when = "under way"'),
        ("radio", "3 W", "needed = true"),
        ("cabin lights", "6 W", 'when = "night"\nduty = "30 %"'),
        ("telephones and tablets", "12 W", 'hours_per_day = "4 h"'),
    )
    lines = [
        "# Bank and panels as you told. THE LOADS WERE NOT TOLD and are those of a plain boat: read yours off the",
        "# monitor, add what is missing, take out what you do not have.",
        "",
        "[battery]",
        'chemistry = "lead"',
        f'capacity = "{answers.bank_ah:g} Ah"',
        'voltage = "12 V"',
        *panel,
        *(alternator if answers.fuel_l is not None else []),
    ]
    told = [f'\n[[load]]\nname = "{name}"\npower = "{power}"\n{rest}' for name, power, rest in loads]
    return "\n".join([*lines, *told]) + "\n"


def voyage_toml(name: str, boat: str, answers: Answers, places: Sequence[Position], told: Sequence[str]) -> str:
    """The voyage file, under 25 lines but for a track of many waypoints."""
    names = [f"off {answers.start.name}", *_numbered(told[1:-1]), f"off {answers.goal.name}"]
    if names[0] == names[-1]:
        names[-1] = f"{names[-1]}, back"
    waypoints = [
        f"{{ name = {quoted(name[:80])}, position = {quoted(format_position(*place))} }},"
        for name, place in zip(names, places, strict=True)
    ]
    ends = [remark for remark in (told[0], told[-1]) if remark]
    lines = [
        *_remark(
            "A first track from the winds of that month. CHECK EVERY POSITION ON THE CHART: the tool knows no depth and"
            " hardly a reef. A waypoint more is a line more"
        ),
        *(line for remark in ends for line in _remark(remark)),
        "",
        "waypoint = [",
        *(f"    {waypoint}" for waypoint in waypoints),
        "]",
        "",
        "[voyage]",
        f"name = {quoted(name)}",
        f"boat = {quoted(boat)}",
        f'depart = "{answers.depart:%Y-%m-%d %H:%M}"',
    ]
    return "\n".join(lines) + "\n"


def _numbered(purposes: Sequence[str]) -> list[str]:
    """Names that differ."""
    names: list[str] = []
    for number, purpose in enumerate(purposes, 1):
        name = purpose or f"waypoint {number}"
        names.append(name if name not in names else f"{name} ({number})")
    return names
