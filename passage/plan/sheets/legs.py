"""Legs: courses true and magnetic, points along the long ones, and the nearest land."""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING

from passage.inputs.position import format_latitude, format_position
from passage.inputs.voyage import control_sentence
from passage.plan.columns import WIDTH, aside, fitted, joined
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheet import Sheet
from passage.sailings.land import clearance, dangers_near
from passage.sailings.magnetic import decimal_year, magnetic_course_deg, variation
from passage.sailings.track import at_distance, lay_track, leg_summaries

if TYPE_CHECKING:
    from datetime import datetime

    from passage.inputs.folder import Facts
    from passage.road import Ground
    from passage.sailings.track import Leg, LegSummary, Track


POINTS_ON_A_LEG = 12


POINT_STEPS_NM = (50, 100, 200, 250, 500, 1000)


SHORTEST_TABULATED_NM = 100.0


HARBOUR_NM = 3.0


def table(facts: Facts, ground: Ground, depart: datetime | None = None) -> Table:
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
            "nearest_land": nearest_land_row(ground.track),
            "dangers": dangers(ground.track),
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


def nearest_land_row(track: Track) -> Table | None:
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


def dangers(track: Track) -> list[Table]:
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


def text(table: Table) -> str:
    """Each leg, the control figure, and the nearest land."""
    told = shown(table)
    lines = []
    for leg in told["legs"]:
        lines += fitted([f"{leg['leg']:>3}  {leg['from']} to {leg['to']}"])
        magnetic = _turn(leg["initial_magnetic_course_deg"], leg["final_magnetic_course_deg"])
        true = _turn(leg["initial_true_course_deg"], leg["final_true_course_deg"])
        variation = _turn(leg["initial_variation_deg"], leg["final_variation_deg"])
        lines += [f"     {leg['distance_nm']} nm ({leg['running_nm']} in all), {leg['sailing']}"]
        lines += fitted([f"     true {true}, magnetic {magnetic}, variation {variation}"])
    total = f"{told['distance_nm']} nm in all. {told['control']}".strip()
    return joined([lines, textwrap.wrap(total, WIDTH), land_lines(told)])


def land_lines(told: Table) -> list[str]:
    near, texts = told["nearest_land"], []
    if isinstance(near, dict):
        texts.append(
            f"{near['land_off_nm']} nm off, at {near['land_position']}, {near['from_start_nm']} nm from the start; "
            "the chart decides"
        )
    for danger in told["dangers"]:
        texts.append(
            f"{danger['danger']} ({danger['kind']}): {danger['clear_off_nm']} nm clear, "
            f"{danger['from_start_nm']} nm from the start"
        )
    return aside("Nearest land", texts)


def _turn(first: str, last: str) -> str:
    return first if first == last else f"{first} to {last}"


KEYS = {
    "legs": "the legs in the order sailed",
    "leg": "its number",
    "sailing": "great circle, rhumb line or composite",
    "limit": "limiting latitude of a composite leg, else empty",
    "running_nm": "miles from the departure at its end",
    "initial_true_course_deg": "true course at its beginning, degrees",
    "final_true_course_deg": "true course at its end, degrees",
    "initial_magnetic_course_deg": "magnetic course at its beginning, degrees",
    "final_magnetic_course_deg": "magnetic course at its end, degrees",
    "initial_variation_deg": "variation at its beginning, degrees, east positive",
    "final_variation_deg": "variation at its end, degrees, east positive",
    "variation_change_deg": "how far the variation changes on it, degrees, east positive",
    "great_circle_nm": "great-circle distance between its ends",
    "rhumb_line_nm": "rhumb-line distance between its ends",
    "great_circle_saves_nm": "the difference",
    "points": "points a round number of miles apart along a long leg",
    "run_nm": "miles from the beginning of the leg",
    "position": "latitude and longitude, degrees and minutes",
    "true_course_deg": "true course there, degrees",
    "variation_deg": "variation there, degrees, east positive",
    "magnetic_course_deg": "magnetic course there, degrees",
    "expected_distance_nm": "the skipper's control figure, null where none was given",
    "variation_year": "year for which the variation is computed",
    "nearest_land": "where the track comes closest to land, beyond 3 miles of its ends; null where nothing is near",
    "land_off_nm": "how far off that is",
    "land_position": "where on the land",
    "from_start_nm": "miles from the departure",
    "dangers": "listed reefs and banks near the track that the coastline lacks",
    "danger": "its name",
    "kind": "what it is",
    "clear_off_nm": "miles from the track to its rough edge",
    "danger_position": "where it is",
    "standing": "how its position is known",
    "waypoints": "the waypoints",
    "name": "name of a waypoint",
}

SHEET = Sheet("legs", lambda outcome: table(outcome.facts, outcome.ground, outcome.crossings.depart), keys=KEYS)
