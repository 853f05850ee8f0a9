"""The boat in the arrival anchorage: scope, loads, strengths, swinging room and hauling, anchor by anchor."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, degrees, inf, isfinite, isnan, nan, radians
from typing import TYPE_CHECKING

from passage.consequences.anchoring.catenary import (
    GRAVITY_M_S2,
    Lie,
    RodePart,
    chain_weight_n_per_m,
    length,
    length_for_level_pull,
    lie,
    pull_at_angle,
    pull_at_straight,
    taut_reach_m,
)
from passage.consequences.anchoring.hauling import NEWTON_PER_KGF, Haul, haul_by_hand
from passage.consequences.anchoring.loads import (
    BoatLoad,
    drag_area_from_table_m2,
    drag_wind_kn,
    fetch_sea_m,
    table_load_n,
    table_row,
    table_wind_kn,
    wind_drag_n,
)
from passage.consequences.anchoring.strength import (
    STRONG_POINT_SAFETY,
    Strength,
    chain_is_worn_out,
    chain_strength,
    rope_strength,
)
from passage.tell.figures import Side, wire_words
from passage.tell.records import Record, down, reckoned, told, up

if TYPE_CHECKING:
    from passage.inputs.anchorage import Anchor, Anchorage, AnchorageFile, Windlass

TABLE_WINDS_KN = (15.0, 30.0, 42.0, 60.0)
GALE_KN = 34.0
CHAIN_SCOPE, ROPE_SCOPE = 5.0, 7.0  # all chain in ordinary weather; rope, or any line in a gale (R2)
STEEPEST_PULL_DEG = 8.0  # the most an anchor should see, by one author (R2)
ROPE_IN_WATER = 1.0 - 1025.0 / 1140.0  # nylon
SPREADS_DEG = (45.0, 60.0, 90.0)

SCOPES = (
    (3.0, "least, all chain, calm and short stay", "R2"),
    (CHAIN_SCOPE, "all chain, ordinary weather", "R2"),
    (ROPE_SCOPE, "rope, or any line in a gale", "R2"),
    (10.0, "rope in a storm, room allowing", "P"),
)

BOTTOMS = {
    "sand": "good holding for most anchors; set hard and dive or sound to see it buried (P)",
    "mud": "wants a broad anchor, time to sink in and a soft first pull (P)",
    "clay": "holds well once in; a clogged anchor will not reset after a wind shift (P)",
    "weed": "poor: the anchor may hold weed and not the bottom; look for a bare patch (P)",
    "rock": "no honest holding figure; a trip line, and watch for chafe and fouling (P)",
    "coral": "do not anchor in living coral; look for sand, keep the line off the heads, a trip line (P)",
    "shingle": "holding uncertain; more weight and scope, and a longer trial astern (P)",
    "unknown": "arm the lead or ask before trusting it (P)",
}

CAUTIONS = (
    "Steady pulls only: swell, yawing and snatching are left out, and they are what breaks gear.",
    "Use a snubber; do not lie to the windlass.",
    "No figure here says how hard this anchor holds in this bottom.",
    "Set it, take bearings, and keep an anchor watch when it blows.",
    "The chart, the official forecast, the pilot book and the skipper on the spot overrule this page.",
)


class WindLoad(Record):
    """Load at one wind."""

    wind_kn: float = told("steady wind, kn", places=0)
    by_table_n: float
    by_drag_n: float

    @reckoned("pull by the published table, surge in it, kg", Side.UP)
    def by_table_kgf(self) -> float:
        return self.by_table_n / NEWTON_PER_KGF

    @reckoned("pull by the drag of the wind alone, kg", Side.UP)
    def by_drag_kgf(self) -> float:
        return self.by_drag_n / NEWTON_PER_KGF


class ScopeRow(Record):
    """What one scope asks for here at the top of the tide."""

    scope_ratio: float = told("line to height of the bow roller above the bottom", places=0)
    when: str = told("when this scope is veered")
    veer_m: float = up("line to veer, m")
    straight_angle_deg: float = told("upward pull on the anchor once that line is taut, degrees")
    standing: str = told("standing of the rule")


class Threshold(Record):
    """A pull at which something changes, and the wind that makes it; infinite where it never comes."""

    what: str = told("what happens")
    pull_n: float
    wind_by_table_kn: float = down("the wind that makes it by the table, kn; null where it never comes")
    wind_by_drag_kn: float = down("the wind that makes it by drag alone, kn")

    @reckoned("at this pull, kg; null where it never comes", Side.DOWN)
    def pull_kgf(self) -> float:
        return self.pull_n / NEWTON_PER_KGF


class PartStrength(Record):
    """One part of the line against the table's load at the forecast wind."""

    part: str = told("part of the line")
    breaking_n: float
    working_n: float
    load_n: float
    enough: bool = told("whether its working load is not under the load")
    source: str = told("whose figure")
    standing: str = told("the figure's standing")

    @reckoned("it breaks at, kg; null where not known", Side.DOWN)
    def breaking_kgf(self) -> float:
        return self.breaking_n / NEWTON_PER_KGF

    @reckoned("it may be worked at, kg", Side.DOWN)
    def working_kgf(self) -> float:
        return self.working_n / NEWTON_PER_KGF

    @reckoned("load on it by the table at the forecast wind, kg", Side.UP)
    def load_kgf(self) -> float:
        return self.load_n / NEWTON_PER_KGF


class Swing(Record):
    """Distances from the anchor to the stern, any line on the bottom laid out straight."""

    light_air_m: float = up("in light air, m")
    forecast_m: float = up("in the forecast wind, m")
    taut_m: float = up("bar-tight at low water, m")
    room_m: float = told("room there is, m; null where not given")

    @reckoned("whether the taut circle keeps within the room; null where that is not given")
    def fits(self) -> bool | None:
        return None if isnan(self.room_m) else self.taut_m <= self.room_m


class AnchorCheck(Record):
    """All about one anchor and its line."""

    name: str = told("which anchor")
    anchor_kg: float = told("its mass, kg")
    line_m: float = told("its line, m")
    veer_m: float = up("how much of it is veered: as the anchorage file says, else what the wind asks for, m")
    scope_ratio: float = down("scope of what is veered")
    scope_wanted_ratio: float = told("scope wanted for the wind to be ready for")
    scope_enough: bool = told("whether there is as much")
    level_pull_chain_m: float = up("chain that would keep the pull level in the table's load, m")
    in_table_load: Lie
    in_wind_drag: Lie
    thresholds: tuple[Threshold, ...] = told("pulls at which something changes, the least first")
    strengths: tuple[PartStrength, ...] = told("each part of the line against the load")
    strong_point_needed_n: float
    swing: Swing = told("room that she takes")
    hauls: tuple[Haul, ...] = told("getting it in by hand")
    remarks: tuple[str, ...] = told("what else is to be said of it")

    @reckoned("what cleat or bitts must bear, kg", Side.UP)
    def strong_point_kgf(self) -> float:
        return self.strong_point_needed_n / NEWTON_PER_KGF


class PairRow(Record):
    """Two anchors laid out at an angle, the wind from between them."""

    spread_deg: float = told("angle between their lines, degrees")
    share_each_in_100: float = up("of the whole pull on each, of 100")
    load_each_n: float

    @reckoned("pull on each, kg", Side.UP)
    def load_each_kgf(self) -> float:
        return self.load_each_n / NEWTON_PER_KGF


class AtAnchor(Record):
    """The arrival anchorage, whole."""

    place: str = told("name of the anchorage")
    height_low_m: float = told("bow roller above the bottom at the lowest water, m")
    height_high_m: float = told("bow roller above the bottom at the highest water, m")
    governing_length_ft: float = told("row of the published table that governs: boat length, feet", places=0, unit="ft")
    governing_standing: str = told("standing of the table")
    drag_area_m2: float = told("drag area, m²")
    drag_area_guessed: bool = told("whether that is guessed as a third of the table")
    loads: tuple[WindLoad, ...] = told("pull by wind")
    sea_m: float = told("wind sea over the fetch, m; null where no fetch is given")
    bottom: str = told("what the bottom is")
    bottom_remark: str = told("how it holds, with standing")
    scopes: tuple[ScopeRow, ...] = told("line to veer by scope")
    anchors: tuple[AnchorCheck, ...] = told("each anchor with its line")
    pair: tuple[PairRow, ...] = told("both down, by the angle between them")
    cautions: tuple[str, ...] = told("what this page cannot know", default=CAUTIONS)


@dataclass(frozen=True)
class _Berth:
    """What every anchor's check needs of the place and the boat."""

    place: Anchorage
    windlass: Windlass | None
    boat_length_m: float
    row: BoatLoad
    drag_area_m2: float

    @property
    def low_m(self) -> float:
        return self.place.depth_m + self.place.bow_height_m

    @property
    def high_m(self) -> float:
        return self.low_m + self.place.tide_rise_m

    @property
    def table_n(self) -> float:
        return table_load_n(self.row, self.place.wind_kn)

    @property
    def drag_n(self) -> float:
        return wind_drag_n(self.drag_area_m2, self.place.wind_kn)


def at_anchor(facts: AnchorageFile, boat_length_m: float, boat_beam_m: float) -> AtAnchor:
    """Everything about lying in this anchorage with these anchors.

    Raises OutOfRange if the boat is beyond the published loads or a line does not reach the bottom.
    """
    place = facts.place
    row = table_row(boat_length_m, boat_beam_m)
    drag_area = place.drag_area_m2 or drag_area_from_table_m2(row)
    berth = _Berth(place, facts.windlass, boat_length_m, row, drag_area)
    winds = sorted({*TABLE_WINDS_KN, place.wind_kn})
    return AtAnchor(
        place=place.name,
        height_low_m=berth.low_m,
        height_high_m=berth.high_m,
        governing_length_ft=row.length_ft,
        governing_standing=row.standing,
        drag_area_m2=drag_area,
        drag_area_guessed=place.drag_area_m2 is None,
        loads=tuple(WindLoad(wind, table_load_n(row, wind), wind_drag_n(drag_area, wind)) for wind in winds),
        sea_m=nan if place.fetch_nm is None else fetch_sea_m(place.wind_kn, place.fetch_nm, place.depth_m),
        bottom=place.bottom,
        bottom_remark=BOTTOMS[place.bottom],
        scopes=scope_rows(berth.high_m),
        anchors=tuple(_check(anchor, berth) for anchor in facts.anchors),
        pair=_pair(berth) if len(facts.anchors) > 1 else (),
    )


def scope_length_m(scope: float, height_m: float) -> float:
    """Line to veer: scope times bow-to-bottom height at the top of the tide."""
    return scope * height_m


def straight_angle_deg(scope: float) -> float:
    """Upward angle of a taut line at this scope, degrees."""
    return degrees(asin(1.0 / scope))


def scope_rows(height_m: float) -> tuple[ScopeRow, ...]:
    return tuple(
        ScopeRow(scope, when, scope_length_m(scope, height_m), straight_angle_deg(scope), standing)
        for scope, when, standing in SCOPES
    )


def lines_of(anchor: Anchor) -> tuple[RodePart, ...]:
    """The line of one anchor, from the anchor up: chain, then rope, with their weights in water."""
    lines = []
    if anchor.chain:
        strength = chain_strength(anchor.chain.diameter_mm, anchor.chain.grade)
        lines.append(RodePart(anchor.chain.length_m, chain_weight_n_per_m(strength.mass_kg_per_m)))
    if anchor.rope:
        rope = rope_strength(anchor.rope.diameter_mm)
        lines.append(RodePart(anchor.rope.length_m, rope.mass_kg_per_m * GRAVITY_M_S2 * ROPE_IN_WATER))
    return tuple(lines)


def share_of_pull(spread_deg: float) -> float:
    """Share of the whole pull on each of two equal lines that lie at this angle to one another, wind from between."""
    return 0.5 / cos(radians(spread_deg / 2.0))


def _scope_wanted(anchor: Anchor, berth: _Berth) -> float:
    """The published scope for this wind and what then goes over the bow: chain alone, or rope behind it."""
    all_chain_m = CHAIN_SCOPE * berth.high_m if anchor.veer_m is None else anchor.veer_m
    only_chain = not anchor.rope or anchor.chain_m >= all_chain_m
    return CHAIN_SCOPE if only_chain and berth.place.wind_kn < GALE_KN else ROPE_SCOPE


def _veered(anchor: Anchor, scope: float, berth: _Berth) -> Anchor:
    """The anchor with no more of its line than goes over the bow, chain first."""
    veer_m = scope * berth.high_m
    chain_m, rope_m = min(veer_m, anchor.chain_m), veer_m - anchor.chain_m
    chain = anchor.chain and anchor.chain.model_copy(update={"length_m": chain_m})
    rope = anchor.rope.model_copy(update={"length_m": rope_m}) if anchor.rope and rope_m > 0.0 else None
    return anchor.model_copy(update={"chain": chain, "rope": rope})


def _check(whole: Anchor, berth: _Berth) -> AnchorCheck:
    wanted = _scope_wanted(whole, berth)
    scope = min(wanted, whole.line_m / berth.high_m) if whole.veer_m is None else whole.veer_m / berth.high_m
    anchor = _veered(whole, scope, berth)
    lines = lines_of(anchor)
    only_chain = anchor.chain and not anchor.rope
    return AnchorCheck(
        name=anchor.name,
        anchor_kg=anchor.mass_kg,
        line_m=whole.line_m,
        veer_m=length(lines),
        scope_ratio=scope,
        scope_wanted_ratio=wanted,
        scope_enough=scope >= wanted,
        level_pull_chain_m=length_for_level_pull(berth.table_n, berth.high_m, lines[0].weight_n_per_m)
        if only_chain
        else nan,
        in_table_load=lie(lines, berth.high_m, berth.table_n),
        in_wind_drag=lie(lines, berth.high_m, berth.drag_n),
        thresholds=_thresholds(anchor, lines, berth),
        strengths=_strengths(anchor, berth.table_n),
        strong_point_needed_n=STRONG_POINT_SAFETY * berth.table_n,
        swing=_swing(lines, berth),
        hauls=tuple(haul_by_hand(lines, berth.high_m, anchor.mass_kg, berth.drag_n, berth.windlass)),
        remarks=_remarks(anchor),
    )


def _thresholds(anchor: Anchor, lines: tuple[RodePart, ...], berth: _Berth) -> tuple[Threshold, ...]:
    pulls: list[tuple[str, float | None]] = [
        ("last of the line lifts off the bottom", pull_at_angle(lines, berth.high_m, 0.0)),
        (f"pull on the anchor reaches {STEEPEST_PULL_DEG:.0f}°", pull_at_angle(lines, berth.high_m, STEEPEST_PULL_DEG)),
    ]
    if anchor.chain:
        left = "only the rope's stretch is left" if anchor.rope else "it gives no more"
        pulls.append((f"the line has come straight, {left}", pull_at_straight(lines, berth.high_m)))
    known_n = (each.breaking_n for each in _strengths(anchor, berth.table_n))
    parts_n = min((breaking_n for breaking_n in known_n if isfinite(breaking_n)), default=inf)
    pulls = [
        (what, pull) if pull is None or pull < parts_n else (f"{what}: the line parts first", None)
        for what, pull in pulls
    ]
    pulls.sort(key=lambda each: inf if each[1] is None else each[1])
    return tuple(
        Threshold(
            what,
            inf if pull is None else pull,
            inf if pull is None else table_wind_kn(berth.row, pull),
            inf if pull is None else drag_wind_kn(berth.drag_area_m2, pull),
        )
        for what, pull in pulls
    )


def _strengths(anchor: Anchor, load_n: float) -> tuple[PartStrength, ...]:
    parts: list[tuple[str, Strength]] = []
    if anchor.chain:
        name = f"chain {wire_words(anchor.chain.diameter_mm)} grade {anchor.chain.grade:g}"
        parts.append((name, chain_strength(anchor.chain.diameter_mm, anchor.chain.grade, anchor.chain.measured_mm)))
    if anchor.rope:
        parts.append(
            (
                f"rope {wire_words(anchor.rope.diameter_mm)}",
                rope_strength(anchor.rope.diameter_mm, anchor.rope.breaking_n),
            )
        )
    rows = [
        PartStrength(part, it.breaking_n, it.working_n, load_n, it.working_n >= load_n, it.source, it.standing)
        for part, it in parts
    ]
    shackle_n = anchor.shackle_working_n
    if shackle_n is not None:
        rows.append(PartStrength("shackle", nan, shackle_n, load_n, shackle_n >= load_n, "as stamped on it", "given"))
    return tuple(rows)


def _swing(lines: tuple[RodePart, ...], berth: _Berth) -> Swing:
    taut = taut_reach_m(lines, berth.low_m) + berth.boat_length_m
    room = berth.place.swinging_room_m
    return Swing(
        light_air_m=lie(lines, berth.low_m, wind_drag_n(berth.drag_area_m2, 5.0)).reach_m + berth.boat_length_m,
        forecast_m=lie(lines, berth.low_m, berth.table_n).reach_m + berth.boat_length_m,
        taut_m=taut,
        room_m=nan if room is None else room,
    )


def _remarks(anchor: Anchor) -> tuple[str, ...]:
    remarks = []
    if anchor.chain and chain_is_worn_out(anchor.chain.diameter_mm, anchor.chain.measured_mm):
        remarks.append("the chain has lost a tenth of its link wire: scrap it (P)")
    if not anchor.chain:
        remarks.append("no chain at the anchor: rope chafes on any bottom and pulls upward (P)")
    if anchor.chain and not anchor.rope:
        remarks.append("chain gives no stretch once straight: rig a nylon snubber (P)")
    if anchor.shackle_working_n is None:
        remarks.append("shackle and swivel not given: the weakest part may be one of them")
    return tuple(remarks)


def _pair(berth: _Berth) -> tuple[PairRow, ...]:
    """Both anchors down. A shift of wind puts the whole pull on one, so each must also be judged alone."""
    return tuple(
        PairRow(spread, 100.0 * share_of_pull(spread), share_of_pull(spread) * berth.table_n) for spread in SPREADS_DEG
    )
