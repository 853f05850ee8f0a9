"""The plan as tables: plain data for every page, one source for the paper, the terminal and ``--json``.

Every function takes an Outcome, or what is known before sailing, and gives a dictionary that JSON can hold, its
numbers already rounded for print (``printed.rounded``), the unit at the end of each key. What cannot be reached is
None, with words beside it. Bearings are true unless the key says magnetic; variation and its change are positive east;
times are UTC, ISO 8601.
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from passage.consequences.times import day_by_day
from passage.crossings.speed import suspicious_points
from passage.inputs.position import format_latitude, format_position
from passage.inputs.voyage import control_sentence
from passage.plan.almanac import cyclone_seasons
from passage.plan.handtable import water_by_miles_to_go
from passage.plan.printed import Table, rounded
from passage.sailings.land import clearance, dangers_near
from passage.sailings.magnetic import decimal_year, magnetic_course_deg, variation
from passage.sailings.track import at_distance, lay_track, leg_summaries

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from passage.consequences.stores.loading import Load
    from passage.inputs.folder import Facts
    from passage.road import Ground, Outcome
    from passage.sailings.track import Leg, LegSummary, Track

NOT_REACHED = "too many of these crossings never arrive"
POINTS_ON_A_LEG = 12
POINT_STEPS_NM = (50, 100, 200, 250, 500, 1000)
SHORTEST_TABULATED_NM = 100.0
HARBOUR_NM = 3.0


# ---------------------------------------------------------------- before sailing


def new(folder: Path, files: list[Path]) -> Table:
    """The folder made and the files to edit in it."""
    return {"folder": str(folder), "files": [path.name for path in files]}


def check(facts: Facts, ground: Ground) -> Table:
    """A folder without a fault: what was understood, and what is doubtful in it all the same."""
    doubts = [
        f"in {wind_kn:g} kn of wind at {angle_deg:g}° two other headings are {100 * excess:.0f} % quicker than the "
        "polar table's speed: is that figure right?"
        for wind_kn, angle_deg, excess in suspicious_points(ground.polar)
    ]
    expected_nm = facts.voyage.departure.expected_distance_nm
    return rounded(
        {
            "voyage": facts.voyage.departure.name,
            "depart_utc": facts.voyage.departure.depart.isoformat(timespec="minutes"),
            "waypoint_count": len(facts.voyage.waypoints),
            "distance_nm": ground.track.length_nm,
            "control": control_sentence(expected_nm, ground.track.length_nm),
            "crew_count": len(facts.crew.people),
            "water_l": math.floor(facts.boat.usable_water_l),
            "fuel_l": math.floor(facts.boat.usable_fuel_l),
            "nearest_land": _nearest_land(ground.track),
            "dangers": _dangers(ground.track),
            "doubts": doubts,
        }
    )


# ---------------------------------------------------------------- page one


def front(outcome: Outcome) -> Table:
    """What a tired reader wants in ten seconds: how long, does the water last, what to load, what is left out."""
    facts = outcome.facts
    start, end = facts.voyage.waypoints[0], facts.voyage.waypoints[-1]
    return rounded(
        {
            "voyage": facts.voyage.departure.name,
            "from": start.name,
            "to": end.name,
            "depart_utc": outcome.crossings.depart.isoformat(timespec="minutes"),
            "boat": facts.boat.hull.name,
            "crew": _listed([person.role for person in facts.crew.people]),
            "crew_count": len(facts.crew.people),
            "distance_nm": outcome.ground.track.length_nm,
            "control": control_sentence(facts.voyage.departure.expected_distance_nm, outcome.ground.track.length_nm),
            "crossings": outcome.times.members,
            "time": _time(outcome),
            "water": _water_answer(outcome),
            "tanks_lost": _tanks_lost(outcome),
            "cyclone_seasons": (seasons := cyclone_seasons(outcome)),
            "cyclone_words": _cyclone_words(seasons),
            "left_out": _left_out(outcome),
        }
    )


def _time(outcome: Outcome) -> Table:
    spread = outcome.times
    answer: Table = {"never_crossings": spread.never, "slow_end_in": _one_in(1.0 - spread.slow_share)}
    for name, hours in (("quick", spread.fast_h), ("typical", spread.typical_h), ("slow_end", spread.slow_end_h)):
        reached = math.isfinite(hours)
        landfall = outcome.crossings.depart + timedelta(hours=hours) if reached else None
        answer[f"{name}_days"] = hours / 24.0
        answer[f"{name}_landfall_utc"] = landfall.date().isoformat() if landfall else None
        answer[f"{name}_words"] = "" if reached else NOT_REACHED
    return answer


def _one_in(share: float) -> int:
    """20 for a twentieth: one crossing in so many."""
    return round(1.0 / share) if share > 0 else 0


def _water_answer(outcome: Outcome) -> Table:
    water = outcome.water
    short = round(water.short * outcome.times.members)
    load = _up(water.load.amount)
    return {
        "lasts": short == 0 and water.loaded_l >= load,
        "verdict": _verdict(short, water.loaded_l, load),
        "short_crossings": short,
        "short_in_100": math.ceil(100.0 * short / outcome.times.members - 1e-9),
        "load_l": load,
        "load_words": "" if math.isfinite(load) else NOT_REACHED,
        "governs": water.load.governs,
        "tanks_give_l": math.floor(water.loaded_l),
        "to_spare_l": max(math.floor(water.loaded_l) - load, 0.0) if math.isfinite(load) else 0.0,
        "lacking_l": max(load - math.floor(water.loaded_l), 0.0),
        "emergency_l": math.floor(water.emergency_l),
        "daily_l_per_day": water.daily_l,
    }


def _verdict(short: int, loaded_l: float, load_l: float) -> str:
    if loaded_l >= load_l:
        return "Yes, nearly always." if short else "Yes."
    return "Not always." if short else "Yes, with too little in hand."


def _up(litres: float) -> float:
    """Rounded up to a whole litre; infinite stays infinite."""
    return float(math.ceil(litres - 1e-6)) if math.isfinite(litres) else litres


def _tanks_lost(outcome: Outcome) -> list[Table]:
    return [
        {
            "tank": lost.name,
            "left_l": math.floor(lost.left_l),
            "survival_ration_days": math.floor(lost.survival_days * 10.0) / 10.0,
            "reaches_slow_end": lost.reaches_slow_end,
        }
        for lost in outcome.water.tanks_lost
    ]


def _cyclone_words(seasons: list[Table]) -> str:
    if not seasons:
        return "No official cyclone season touches this track on these days, which is no promise."
    told = [
        f"the cyclone season of the {season['basin']} ({season['season']}) on days {season['first_day']} to "
        f"{season['last_day']}"
        for season in seasons
    ]
    return (
        f"This passage is at sea in {_listed(told)}. Study where storms went in those weeks before you keep this date."
    )


def _left_out(outcome: Outcome) -> list[str]:
    return [
        "Nothing breaks in these crossings, and nobody falls ill. Most late boats are late for such reasons.",
        "No cyclone and no other storm of the tropics is in them.",
        "No current is in them: none was given.",
        "Their winds are made from monthly averages: this is no forecast. Wind of force 8, "
        f"34 knots, was seen in {outcome.times.gale_seen} of them, which says nothing sure about gales.",
    ]


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


# ---------------------------------------------------------------- legs


def legs(facts: Facts, ground: Ground, depart: datetime | None = None) -> Table:
    """Each leg with its courses, points along the long ones where a course changes underway, and the nearest land.

    depart: when the variation is taken; the voyage's own departure if left out.
    """
    length_nm = ground.track.length_nm
    expected_nm = facts.voyage.departure.expected_distance_nm
    when = depart or facts.voyage.departure.depart
    names = [waypoint.name for waypoint in facts.voyage.waypoints]
    rows = [
        {"leg": number, "from": start, "to": end, **_leg(leg, summary, when)}
        for number, (start, end, leg, summary) in enumerate(
            zip(names, names[1:], ground.legs, leg_summaries(ground.legs), strict=False), start=1
        )
    ]
    return rounded(
        {
            "legs": rows,
            "distance_nm": length_nm,
            "expected_distance_nm": expected_nm,
            "control": control_sentence(expected_nm, length_nm),
            "variation_year": when.year,
            "nearest_land": _nearest_land(ground.track),
            "dangers": _dangers(ground.track),
            "waypoints": [
                {"name": waypoint.name, "position": format_position(*waypoint.position)}
                for waypoint in facts.voyage.waypoints
            ],
        }
    )


def _leg(leg: Leg, summary: LegSummary, when: datetime) -> Table:
    year = decimal_year(when)
    ends = (leg.ends[:2], leg.ends[2:])
    first, last = (variation(lat, lon, year).variation_deg for lat, lon in ends)
    return {
        "sailing": summary.sailing,
        "limit": format_latitude(leg.limiting_lat_deg) if leg.limiting_lat_deg is not None else "",
        "distance_nm": summary.distance_nm,
        "running_nm": summary.starts_at_nm + summary.distance_nm,
        "initial_true_course_deg": summary.initial_course_deg,
        "final_true_course_deg": summary.final_course_deg,
        "initial_magnetic_course_deg": magnetic_course_deg(summary.initial_course_deg, first),
        "final_magnetic_course_deg": magnetic_course_deg(summary.final_course_deg, last),
        "initial_variation_deg": first,
        "final_variation_deg": last,
        "variation_change_deg": round(last, 1) - round(first, 1),
        "great_circle_nm": summary.great_circle_nm,
        "rhumb_line_nm": summary.rhumb_line_nm,
        "great_circle_saves_nm": summary.rhumb_line_nm - summary.great_circle_nm,
        "points": _points(leg, year),
    }


def _points(leg: Leg, year: float) -> list[Table]:
    """Points a round number of miles apart along a leg, for steering it; none on a short leg."""
    track = lay_track([leg])
    if track.length_nm < SHORTEST_TABULATED_NM:
        return []
    step = next((step for step in POINT_STEPS_NM if track.length_nm / step <= POINTS_ON_A_LEG), POINT_STEPS_NM[-1])
    runs = [float(step * number) for number in range(math.ceil(track.length_nm / step - 1e-6))]
    along = (column.tolist() for column in at_distance(track, runs))
    rows = []
    for run, lat_deg, lon_deg, course_deg in zip(runs, *along, strict=True):
        here = variation(lat_deg, lon_deg, year).variation_deg
        rows.append(
            {
                "run_nm": run,
                "position": format_position(lat_deg, lon_deg),
                "true_course_deg": course_deg,
                "variation_deg": here,
                "magnetic_course_deg": magnetic_course_deg(course_deg, here),
            }
        )
    return rows


def _nearest_land(track: Track) -> Table | None:
    """Where the track comes closest to land beyond the harbours' three miles; None where none lies within 60 miles."""
    if track.length_nm <= 2 * HARBOUR_NM:
        return None
    closest = clearance(track.lat_deg, track.lon_deg, harbour_nm=HARBOUR_NM)
    if closest is None:
        return None
    return {
        "land_off_nm": closest.distance_nm,
        "land_position": format_position(closest.land_lat_deg, closest.land_lon_deg),
        "from_start_nm": closest.along_nm,
    }


def _dangers(track: Track) -> list[Table]:
    return [
        {
            "danger": near.danger.name,
            "kind": near.danger.kind,
            "position": format_position(near.danger.lat_deg, near.danger.lon_deg),
            "clear_off_nm": near.clear_nm,
            "from_start_nm": near.along_nm,
        }
        for near in dangers_near(track.lat_deg, track.lon_deg)
    ]


# ---------------------------------------------------------------- how long


def times(outcome: Outcome) -> Table:
    """The spread of passage times, what the boat did in them, and where 8 crossings in 10 are day by day."""
    spread, length_nm = outcome.times, outcome.ground.track.length_nm
    rows = [_day(outcome, day) for day in day_by_day(outcome.crossings)]
    in_harbour = next((index for index, row in enumerate(rows) if row["arrived_in_100"] >= 99), len(rows) - 1)
    return rounded(
        {
            **_time(outcome),
            "crossings": spread.members,
            "distance_nm": length_nm,
            "hours": {
                "calm_h": spread.calm_h,
                "strong_wind_h": spread.strong_h,
                "motoring_h": spread.motoring_h,
                "hove_to_h": spread.hove_to_h,
                "running_off_h": spread.running_off_h,
                "standing_off_h": spread.standing_off_h,
            },
            "force_8_seen_in": spread.gale_seen,
            "by_day": rows[: in_harbour + 1],
        }
    )


def _day(outcome: Outcome, day: Any) -> Table:
    length_nm = outcome.ground.track.length_nm
    lat, lon, _ = at_distance(outcome.ground.track, [day.typical_nm])
    in_port = day.typical_nm >= length_nm - 1.0
    return {
        "day": day.day,
        "end_utc": (outcome.crossings.depart + timedelta(days=day.day)).date().isoformat(),
        "least_run_nm": day.least_nm,
        "typical_run_nm": day.typical_nm,
        "most_run_nm": day.most_nm,
        "least_to_go_nm": length_nm - day.most_nm,
        "typical_to_go_nm": length_nm - day.typical_nm,
        "most_to_go_nm": length_nm - day.least_nm,
        "arrived_in_100": math.floor(100.0 * day.arrived + 1e-9),
        "typical_position": "in" if in_port else format_position(float(lat[0]), float(lon[0])),
    }


# ---------------------------------------------------------------- water


def water(outcome: Outcome) -> Table:
    """Tanks, the three loading rules, the loss of each tank, what is left by day, and the hand table."""
    store, crew = outcome.water, outcome.facts.crew
    return rounded(
        {
            **_water_answer(outcome),
            "crossings": outcome.times.members,
            "slow_end_days": outcome.times.slow_end_h / 24.0,
            "tanks": [
                {
                    "tank": tank.name,
                    "capacity_l": tank.capacity_l,
                    "filled_l": tank.capacity_l * tank.filled_share,
                    "unusable_l": tank.unusable_l,
                    "usable_l": math.floor(tank.usable_l),
                }
                for tank in store.tanks
            ],
            "rules": _rules(store.load),
            "tanks_lost": _tanks_lost(outcome),
            "survival_l_per_day": len(crew.people) * crew.water.survival_l_per_day,
            "by_day": [
                {"day": day, "slow_left_l": slow, "typical_left_l": typical, "quick_left_l": thrifty}
                for day, (slow, typical, thrifty) in enumerate(store.by_day_l.tolist(), start=1)
            ],
            "by_miles_to_go": water_by_miles_to_go(outcome),
        }
    )


def _rules(load: Load) -> list[Table]:
    amounts = (load.to_slow_end, load.typical_and_half, load.survival_in_all)
    return [
        {"rule": rule, "load_l": _up(amount), "governs": rule == load.governs}
        for rule, amount in zip(load.rules, amounts, strict=True)
    ]
