"""What the commands say before anything is sailed: a new folder, and a folder without a fault."""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING

from passage.crossings.speed import suspicious_points
from passage.inputs.voyage import control_sentence
from passage.plan.columns import WIDTH, aside, joined
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheets.basis import climate_doubt
from passage.plan.sheets.legs import Nearness, beside_land, beside_words, land_caution

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts
    from passage.inputs.search import TrackLimits
    from passage.plan.sheets.legs import LegBeside


def new_table(folder: Path, files: list[Path]) -> Table:
    """The folder made and the files to edit in it."""
    return {"folder": str(folder), "files": [path.name for path in files]}


def new_text(table: Table) -> str:
    return joined(
        [
            [f"Made {table['folder']} with {', '.join(table['files'])}."],
            ["Edit them: every line says what it wants. Then:", f"  passage check {table['folder']}"],
        ]
    )


def check_table(facts: Facts, ground: Ground) -> Table:
    """A folder without a fault: what was understood, and what is doubtful in it all the same."""
    doubts = [
        f"in {wind_kn:g} kn of wind at {angle_deg:g}° two other headings are {100 * excess:.0f} % quicker than the "
        "polar table's speed: is that figure right?"
        for wind_kn, angle_deg, excess in (suspicious_points(facts.polar) if facts.polar else ())
    ]
    doubts += [words for words in (climate_doubt(facts, ground),) if words]
    if facts.electrics and facts.electrics.alternator and facts.boat.engine is None:
        doubts.append("electrics.toml has an alternator and boat.toml no engine: what turns it?")
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
            "legs": list(beside_land(facts)),
            "doubts": doubts,
            "read": list(facts.voyage_file.notes),
        }
    )


def check_text(table: Table, limits: TrackLimits) -> str:
    c = shown(table)
    doubts = [*c["doubts"], *([c["control"]] if "Check waypoints" in c["control"] else [])]
    return joined(
        [
            ["No fault found."],
            [
                f"{c['voyage']}: {c['waypoint_count']} waypoints, {c['distance_nm']} nm, sails {c['depart_utc']}",
                f"{c['crew_count']} aboard, {c['water_l']} litres of water and {c['fuel_l']} of fuel to draw on",
            ],
            _near_lines(c["legs"], limits),
            textwrap.wrap(land_caution(limits), WIDTH),
            aside("Doubtful", doubts),
            aside("Read", c["read"]),
        ]
    )


def _near_lines(legs: Sequence[LegBeside], limits: TrackLimits) -> list[str]:
    """The legs that come nearer land or a listed danger than the skipper wants; none is worth a line too."""
    lines = []
    for leg in legs:
        if leg.nearness is not Nearness.KEPT:
            lines += [f"{leg.leg:>3.0f}  {leg.start} to {leg.end}"]
            for words in beside_words(leg, limits).splitlines():
                lines += textwrap.wrap(words, WIDTH, initial_indent=" " * 5, subsequent_indent=" " * 7)
    return lines or ["No leg comes nearer land or a listed danger than you want."]


KEYS = {
    "folder": "the folder made",
    "files": "the files made in it",
    "waypoint_count": "how many waypoints",
    "water_l": "litres that can be drawn",
    "fuel_l": "litres that can be drawn",
    "doubts": "what is doubtful though it is no fault",
    "read": "what was taken from a GPX file that the voyage file names, and what was left out",
    "export": "path of the file written",
    "format": "its format",
}
