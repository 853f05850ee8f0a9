"""Legs: courses true and magnetic, points along the long ones, and the land beside each."""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING

from passage.ground import legs_of
from passage.inputs.position import format_latitude, format_position
from passage.inputs.voyage import control_sentence
from passage.plan.columns import WIDTH, fitted, joined
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheet import Sheet
from passage.sailings.magnetic import decimal_year, magnetic_course_deg, variation
from passage.sailings.track import at_distance, lay_track, leg_summaries
from passage.tracks import judge

if TYPE_CHECKING:
    from datetime import datetime

    from passage.inputs.folder import Facts
    from passage.inputs.search import TrackLimits
    from passage.sailings.track import Leg, LegSummary
    from passage.tracks import LegJudged


POINTS_ON_A_LEG = 12


POINT_STEPS_NM = (50, 100, 200, 250, 500, 1000)


SHORTEST_TABULATED_NM = 100.0


DANGERS_WITHIN_NM = 25.0  # farther off, a danger is not worth a line


def table(facts: Facts, depart: datetime | None = None) -> Table:
    """Each leg with its courses, points along the long ones where a course changes underway, and the land beside it.

    A leg over land is told like any other. depart: when the variation is taken; the voyage's own departure if left out.
    """
    expected_nm = facts.voyage.departure.expected_distance_nm
    when = depart or facts.voyage.departure.depart
    legs, judged = legs_of(facts.voyage), judge(facts.voyage, facts.limits)
    summaries = leg_summaries(legs)
    length_nm = summaries[-1].starts_at_nm + summaries[-1].distance_nm
    return rounded(
        {
            "legs": [
                {
                    "leg": beside.number,
                    "from": beside.from_name,
                    "to": beside.to_name,
                    **_leg(leg, summary, when),
                    **_beside(beside, facts.limits),
                }
                for leg, summary, beside in zip(legs, summaries, judged, strict=True)
            ],
            "distance_nm": length_nm,
            "expected_distance_nm": expected_nm,
            "control": control_sentence(expected_nm, length_nm),
            "variation_year": when.year,
            **_distances_wanted(facts.limits),
            "waypoints": [
                {"name": waypoint.name, "position": format_position(*waypoint.position)}
                for waypoint in facts.voyage.waypoints
            ],
        }
    )


def land_table(facts: Facts) -> Table:
    """The land beside each leg, and the distances that the skipper wants kept."""
    judged = judge(facts.voyage, facts.limits)
    beside = [
        {"leg": leg.number, "from": leg.from_name, "to": leg.to_name, **_beside(leg, facts.limits)} for leg in judged
    ]
    return {"legs": beside, **_distances_wanted(facts.limits)}


def _distances_wanted(limits: TrackLimits) -> Table:
    by_day_nm, by_night_nm = limits.limits.clear_by_day_nm, limits.limits.clear_by_night_nm
    return {
        "wanted_by_day_nm": by_day_nm,
        "wanted_by_night_nm": by_night_nm,
        "land_caution": f"Warned of: land or a listed danger nearer than {by_day_nm:g} miles by day, {by_night_nm:g} "
        "for a landfall by night (yours, in track.toml), but for the voyage's first and last 3 miles. This coast may "
        "be three miles out at a remote island and shows hardly any reef: the chart decides.",
    }


def _beside(judged: LegJudged, limits: TrackLimits) -> Table:
    """Nearest land, land run over and listed dangers of one leg, beyond the harbours of the voyage's two ends."""
    near = judged.nearest_land
    return {
        "land_off_nm": near.distance_nm if near else None,
        "land_position": format_position(near.land_lat_deg, near.land_lon_deg) if near else "",
        "land_along_nm": near.along_nm if near else None,
        "over_land": [
            {
                "across_nm": hit.across_nm,
                "position": format_position(hit.lat_deg, hit.lon_deg),
                "along_nm": hit.distance_nm,
            }
            for hit in judged.land
        ],
        "dangers": [
            {
                "danger": near.danger.name,
                "kind": near.danger.kind,
                "position": format_position(near.danger.lat_deg, near.danger.lon_deg),
                "clear_off_nm": near.clear_nm,
                "along_nm": near.along_nm,
            }
            for near in judged.dangers
            if near.clear_nm <= DANGERS_WITHIN_NM
        ],
        "warning": _warning(judged, limits),
    }


def _warning(judged: LegJudged, limits: TrackLimits) -> str:
    """What is nearer than wanted, '' where nothing is."""
    if judged.land:
        return "RUNS OVER LAND"
    if judged.too_near_by_day:
        return f"nearer than {limits.limits.clear_by_day_nm:g} miles, by day or night"
    if judged.too_near_by_night:
        return f"nearer than {limits.limits.clear_by_night_nm:g} miles: not for a landfall by night"
    return ""


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


def text(table: Table) -> str:
    """Each leg with its courses and the land beside it, and the control figure."""
    told = shown(table)
    lines = []
    for leg in told["legs"]:
        lines += fitted([f"{leg['leg']:>3}  {leg['from']} to {leg['to']}"])
        magnetic = _turn(leg["initial_magnetic_course_deg"], leg["final_magnetic_course_deg"])
        true = _turn(leg["initial_true_course_deg"], leg["final_true_course_deg"])
        variation = _turn(leg["initial_variation_deg"], leg["final_variation_deg"])
        lines += [f"     {leg['distance_nm']} nm ({leg['running_nm']} in all), {leg['sailing']}"]
        lines += fitted([f"     true {true}, magnetic {magnetic}, variation {variation}"])
        lines += beside_lines(leg)
    total = f"{told['distance_nm']} nm in all. {told['control']}".strip()
    return joined([lines, textwrap.wrap(total, WIDTH), textwrap.wrap(told["land_caution"], WIDTH)])


def _at_least_one(shown_nm: str) -> str:
    return "under 1" if shown_nm == "0" else shown_nm


def beside_lines(leg: Table) -> list[str]:
    """The land beside a leg as shown, each line indented like the leg's own."""
    said = [
        f"over land: {_at_least_one(hit['across_nm'])} nm of it from {hit['position']} on, {hit['along_nm']} nm along"
        for hit in leg["over_land"]
    ]
    if not said and leg["land_position"]:
        said.append(f"land {leg['land_off_nm']} nm off at {leg['land_position']}, {leg['land_along_nm']} nm along")
    said += [
        f"{danger['danger']} ({danger['kind']}) {danger['clear_off_nm']} nm clear, {danger['along_nm']} nm along"
        for danger in leg["dangers"]
    ]
    said = said or ["no land within 60 nm, no listed danger within 25"]
    said += [f"! {leg['warning']}"] if leg["warning"] else []
    return [
        line
        for words in said
        for line in textwrap.wrap(words, WIDTH, initial_indent=" " * 5, subsequent_indent=" " * 7)
    ]


def _turn(first: str, last: str) -> str:
    return first if first == last else f"{first} to {last}"


KEYS = {
    "legs": "the legs in the order sailed",
    "leg": "its number",
    "from": "where it begins; of a wind, the sector that it is from",
    "to": "where it ends",
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
    "land_off_nm": "nearest land to the leg, miles; null where none is within 60, and 0 where it runs over land",
    "land_position": "where on the land, else empty",
    "land_along_nm": "miles from the beginning of the leg",
    "over_land": "stretches of the leg that run over land",
    "across_nm": "how far one does",
    "along_nm": "miles from the beginning of the leg",
    "dangers": "listed reefs and banks within 25 miles that the coastline lacks, in the order met",
    "danger": "its name",
    "kind": "what it is",
    "clear_off_nm": "miles from the track to its rough edge",
    "warning": "which of the distances wanted from land and dangers the leg does not keep, else empty",
    "wanted_by_day_nm": "distance wanted from land and dangers by day, from track.toml",
    "wanted_by_night_nm": "the same for a landfall by night",
    "land_caution": "what the warnings go by, and who decides",
    "waypoints": "the waypoints",
    "name": "name of a waypoint",
}

SHEET = Sheet("legs", lambda outcome: table(outcome.facts, outcome.crossings.depart), keys=KEYS)
