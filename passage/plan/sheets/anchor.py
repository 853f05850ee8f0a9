"""At anchor at the other end: how much line, what it bears, when it comes straight, room to swing, hauling by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.anchoring.loads import TABLE
from passage.errors import Fault, InputFaults
from passage.follows import lie_at_anchor
from passage.inputs.anchorage import ANCHORAGE_FILE
from passage.plan.columns import aside, joined
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS

if TYPE_CHECKING:
    from passage.consequences.anchoring.hauling import Haul
    from passage.consequences.anchoring.lying import AnchorCheck, AtAnchor, PartStrength, Threshold
    from passage.inputs.folder import Facts
    from passage.road import Outcome

NEWTON_PER_KGF = 9.80665
NOT_A_LINE = "never: a taut line stays under it"


def table(found: AtAnchor) -> Table:
    """The place, the loads by wind, the scopes, and each anchor with its line."""
    return rounded(
        {
            "anchorage": found.place,
            "height_low_m": found.height_low_m,
            "height_high_m": found.height_high_m,
            "bottom": found.bottom,
            "bottom_remark": found.bottom_remark,
            "sea_m": found.sea_m,
            "loads": [
                {
                    "wind_kn": load.wind_kn,
                    "table_load_kgf": load.by_table_n / NEWTON_PER_KGF,
                    "drag_load_kgf": load.by_drag_n / NEWTON_PER_KGF,
                }
                for load in found.loads
            ],
            "table_source": f"{TABLE} ({found.governing_standing})",
            "table_row_ft": found.governing_length_ft,
            "drag_area_m2": found.drag_area_m2,
            "drag_area_guessed": found.drag_area_guessed,
            "scopes": [
                {
                    "scope_ratio": row.scope,
                    "for": row.when,
                    "veer_m": row.length_m,
                    "straight_angle_deg": row.straight_angle_deg,
                    "standing": row.standing,
                }
                for row in found.scopes
            ],
            "anchors": [_anchor(check) for check in found.anchors],
            "pair": [
                {
                    "spread_deg": row.spread_deg,
                    "share_each_in_100": 100.0 * row.share_each,
                    "load_each_kgf": row.load_each_n / NEWTON_PER_KGF,
                }
                for row in found.pair
            ],
            "anchor_cautions": [*found.cautions, DEFERS],
        }
    )


def command_table(facts: Facts) -> Table:
    """What ``passage anchor`` tells. Raises InputFaults where no anchorage file is there."""
    found = lie_at_anchor(facts)
    if found is None:
        wanted = "write down the place and the anchors; passage new writes one to begin with"
        raise InputFaults([Fault(ANCHORAGE_FILE, 0, "", "no such file", wanted)])
    return table(found)


def _anchor(check: AnchorCheck) -> Table:
    swing = check.swing
    return {
        "anchor": check.name,
        "anchor_kg": check.anchor_kg,
        "line_m": check.line_m,
        "scope_ratio": check.scope,
        "scope_wanted_ratio": check.scope_wanted,
        "scope_enough": check.scope_enough,
        "level_pull_chain_m": check.level_pull_chain_m,
        "on_bottom_m": check.in_table_load.on_bottom_m,
        "anchor_angle_deg": check.in_table_load.anchor_angle_deg,
        "bow_load_kgf": check.in_table_load.bow_tension_n / NEWTON_PER_KGF,
        "thresholds": [_threshold(row) for row in check.thresholds],
        "strengths": [_strength(row) for row in check.strengths],
        "strong_point_kgf": check.strong_point_needed_n / NEWTON_PER_KGF,
        "swing_light_m": swing.light_air_m,
        "swing_forecast_m": swing.forecast_m,
        "swing_taut_m": swing.taut_m,
        "room_m": swing.room_m,
        "room_fits": swing.fits,
        "hauls": [_haul(haul) for haul in check.hauls],
        "anchor_remarks": list(check.remarks),
    }


def _threshold(row: Threshold) -> Table:
    return {
        "comes": row.what,
        "pull_kgf": None if row.pull_n is None else row.pull_n / NEWTON_PER_KGF,
        "by_table_wind_kn": row.wind_by_table_kn,
        "by_drag_wind_kn": row.wind_by_drag_kn,
    }


def _strength(row: PartStrength) -> Table:
    return {
        "part_of_line": row.part,
        "breaking_kgf": None if row.breaking_n is None else row.breaking_n / NEWTON_PER_KGF,
        "working_kgf": row.working_n / NEWTON_PER_KGF,
        "load_kgf": row.load_n / NEWTON_PER_KGF,
        "strong_enough": row.enough,
        "strength_source": f"{row.source} ({row.standing})",
    }


def _haul(haul: Haul) -> Table:
    return {
        "engine_holds_boat": haul.engine_holds_boat,
        "handle": haul.handle,
        "hardest_pull_kgf": haul.hardest_pull_n / NEWTON_PER_KGF,
        "arm_kgf": haul.arm_n / NEWTON_PER_KGF,
        "haul_minutes": haul.minutes,
        "bare_hands_can": haul.by_hand_possible,
    }


def text(table: Table) -> str:
    """Loads, scopes and each anchor in the terminal; pulls in kilograms of force."""
    a = shown(table)
    sea = f"; wind sea over the fetch about {a['sea_m']} m" if a["sea_m"] != "–" else ""
    head = f"{a['anchorage']}: bow {a['height_low_m']} to {a['height_high_m']} m above the bottom{sea}"
    loads = [
        f"{row['wind_kn']} kn: {row['table_load_kgf']} kg by the table, {row['drag_load_kgf']} kg by wind drag alone"
        for row in a["loads"]
    ]
    scopes = [
        f"{row['scope_ratio']} to 1: veer {row['veer_m']} m; {row['for']}; taut, it pulls up at "
        f"{row['straight_angle_deg']}° ({row['standing']})"
        for row in a["scopes"]
    ]
    return joined(
        [
            aside("At anchor", [head, f"bottom {a['bottom']}: {a['bottom_remark']}"]),
            aside("Pull", [*loads, _whose(a)]),
            aside("Scope", scopes),
            *(aside(anchor["anchor"], list(_anchor_lines(anchor))) for anchor in a["anchors"]),
            aside("Both down", [pair_line(row) for row in a["pair"]]),
            aside("Mind", a["anchor_cautions"]),
        ]
    )


def _whose(a: Table) -> str:
    guessed = ", guessed as a third of the table" if a["drag_area_guessed"] else ""
    return (
        f"Table: {a['table_source']}, row of {a['table_row_ft']} ft, with surge in moderate shelter. Drag: "
        f"{a['drag_area_m2']} m² of drag area{guessed}. The truth of a night lies between them; in an open roadstead "
        "with swell above both."
    )


def pair_line(row: Table) -> str:
    return f"{row['spread_deg']}° apart: {row['load_each_kgf']} kg each, {row['share_each_in_100']} of 100"


def _anchor_lines(anchor: Table) -> list[str]:
    few = "" if anchor["scope_enough"] else f"; TOO LITTLE, {anchor['scope_wanted_ratio']} to 1 is wanted"
    lines = [f"{anchor['anchor_kg']} kg on {anchor['line_m']} m: {anchor['scope_ratio']} to 1{few}"]
    lines += [_threshold_line(row) for row in anchor["thresholds"]]
    lines += [_strength_line(row) for row in anchor["strengths"]]
    room = (
        "" if anchor["room_m"] == "–" else f"; room {anchor['room_m']} m{'' if anchor['room_fits'] else ', TOO SMALL'}"
    )
    lines.append(f"swing to the stern: {anchor['swing_light_m']} m in light air, {anchor['swing_taut_m']} m taut{room}")
    return [*lines, *(haul_line(row) for row in anchor["hauls"]), *anchor["anchor_remarks"]]


def _threshold_line(row: Table) -> str:
    if row["pull_kgf"] == "–":
        return f"{row['comes']}: {NOT_A_LINE}"
    return (
        f"{row['comes']}: at {row['pull_kgf']} kg, {row['by_table_wind_kn']} kn by the table, "
        f"{row['by_drag_wind_kn']} kn by drag alone"
    )


def _strength_line(row: Table) -> str:
    verdict = "enough" if row["strong_enough"] else "NOT ENOUGH"
    loads = f"works at {row['working_kgf']} kg, load {row['load_kgf']} kg"
    return f"{row['part_of_line']}: {loads}, {verdict}; {row['strength_source']}"


def haul_line(row: Table) -> str:
    how = "engine holding her" if row["engine_holds_boat"] else "no engine"
    broken = " if it fails" if row["handle"] == "windlass" else ""
    hands = "" if row["bare_hands_can"] else f"; beyond bare hands{broken}"
    effort = f"{row['haul_minutes']} minutes at the least, {row['arm_kgf']} kg on the arms{hands}"
    return f"hauling by {row['handle']}, {how}: {effort}"


KEYS = {
    "anchorage": "name of the anchorage",
    "height_low_m": "bow roller above the bottom at the lowest water, m",
    "height_high_m": "bow roller above the bottom at the highest water, m",
    "bottom": "kind of bottom",
    "bottom_remark": "what is said of it",
    "sea_m": "significant height of the wind sea over the fetch, m, swell left out; none where no fetch is given",
    "loads": "pull of the wind on the boat",
    "wind_kn": "steady wind, kn",
    "table_load_kgf": "pull by the published table, surge in moderate shelter included, kilograms of force",
    "drag_load_kgf": "pull by the drag of the wind alone, kilograms of force",
    "table_source": "the published table, with its standing",
    "table_row_ft": "row of the published table that governs: boat length, feet",
    "drag_area_m2": "drag coefficient times windage, m²",
    "drag_area_guessed": "whether that is guessed from the table",
    "scopes": "how much line at which scope",
    "scope_ratio": "length of line over height of the bow roller at the highest water",
    "for": "what the scope is for",
    "veer_m": "line to veer, m",
    "straight_angle_deg": "upward pull on the anchor when that line is taut, degrees",
    "standing": "standing of the source: R read, R2 second hand, M from memory, D worked out, P practice",
    "anchors": "each anchor with its line",
    "anchor": "name of the anchor",
    "anchor_kg": "mass of the anchor, kg",
    "line_m": "all of its line, m",
    "scope_wanted_ratio": "scope wanted for the forecast wind",
    "scope_enough": "whether the line gives it",
    "level_pull_chain_m": "all-chain line that keeps the pull level in the forecast wind by the table, m",
    "on_bottom_m": "line still lying on the bottom in the forecast wind by the table, m",
    "anchor_angle_deg": "upward pull on the anchor in it, degrees",
    "bow_load_kgf": "tension at the bow in it, kilograms of force",
    "thresholds": "winds at which something changes",
    "comes": "what changes",
    "pull_kgf": "pull at which it does, kilograms of force; none where it never does",
    "by_table_wind_kn": "wind that makes it by the table, kn",
    "by_drag_wind_kn": "wind that makes it by drag alone, kn",
    "strengths": "each part of the line against the table's load",
    "part_of_line": "the part",
    "breaking_kgf": "its breaking load, kilograms of force",
    "working_kgf": "its working load, kilograms of force",
    "load_kgf": "the table's load in the forecast wind, kilograms of force",
    "strong_enough": "whether the working load is not under the load",
    "strength_source": "where the strength is from, with its standing",
    "strong_point_kgf": "what cleat or bitts must bear, twice the load, kilograms of force",
    "swing_light_m": "anchor to stern in light air, line laid out, m",
    "swing_forecast_m": "anchor to stern in the forecast wind, m",
    "swing_taut_m": "anchor to stern with the line bar-tight at low water, m",
    "room_m": "room you have, m",
    "room_fits": "whether the taut circle keeps within it; none where no room is given",
    "hauls": "getting it up by hand",
    "engine_holds_boat": "whether the engine takes the wind's pull",
    "handle": "windlass or bare hands",
    "hardest_pull_kgf": "greatest tension in the line, kilograms of force; breaking out is not in it",
    "arm_kgf": "force on handle or hands, kilograms of force",
    "haul_minutes": "working time without rests, minutes",
    "bare_hands_can": "whether bare hands could hold the greatest tension",
    "anchor_remarks": "what else is to be said",
    "pair": "both anchors down, wind from between them",
    "spread_deg": "angle between the two lines, degrees",
    "share_each_in_100": "share of the whole pull on each, of 100",
    "load_each_kgf": "load on each by the table in the forecast wind, kilograms of force",
    "anchor_cautions": "what this cannot know, and whom it defers to",
}


def _table(outcome: Outcome) -> Table:
    return table(outcome.anchor) if outcome.anchor else {}


SHEET = Sheet("anchor", _table, wanted=lambda outcome: outcome.facts.anchorage is not None, keys=KEYS)
