"""A found track beside the drawn one: what each came to when sailed, and waypoints to copy into the voyage file."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import TYPE_CHECKING

from passage.inputs.monthly import MONTHS
from passage.inputs.position import format_latitude, format_position, parse_position
from passage.plan.chart import Place, Way, draw_chart
from passage.plan.columns import ASIDE, aside, joined
from passage.plan.printed import Table, rounded, shown
from passage.units import written

if TYPE_CHECKING:
    from passage.inputs.search import Box, TrackLimits
    from passage.inputs.voyage import Voyage, Waypoint
    from passage.plan.sheet import Drawings, Room
    from passage.road import Outcome
    from passage.tracks import Comparison, Side

COLUMN = 14
FURNITURE_PT = 222.0  # all but the chart and the waypoints on its page
WAYPOINTS_PT, ROW_PT, BOUND_PT = 52.0, 12.5, 6.0  # heading of the waypoints, two of them, a bound
CAUTION = (
    "A coast of these data may be three miles out at a remote island and shows hardly any reef: lay the track on the "
    "official chart before you sail it. Quickest in the climate is not kindest, nor safe in the weather you get."
)


def table(comparison: Comparison, limits: TrackLimits) -> Table:
    """Both tracks side by side, the found waypoints, and the prices and limits they were found with.

    ``found`` is null where the drawn track is kept, ``drawn`` where it runs over land and was not sailed.
    """
    found, voyage, outcome = comparison.found, comparison.found_voyage, comparison.found_outcome
    new = () if found.keeps_drawn else voyage.waypoints
    return rounded(
        {
            "voyage": voyage.departure.name,
            "depart_utc": outcome.crossings.depart.isoformat(timespec="minutes"),
            "crossings": outcome.times.crossings,
            "slow_end_in": round(1.0 / voyage.reserve.slow_end_share),
            "verdict": comparison.words,
            "better_at_slow_end": comparison.better_at_slow_end,
            "drawn": _side(comparison.drawn_side) if comparison.drawn_side else None,
            "found": None if found.keeps_drawn else _side(comparison.found_side),
            "searched_words": f"Searched from {comparison.searched[0]} to {comparison.searched[1]}; the waypoints near "
            f"the two ends are yours and stay. {comparison.known} {found.nodes:,} places {found.spacing_nm:.0f} miles "
            "apart, then the best track over them shifted until nothing bettered it.",
            "unknown_words": comparison.left_out,
            "kept_clear_nm": found.kept_clear_nm,
            **_asked(limits, found.kept_clear_nm),
            "caution_words": CAUTION,
            "waypoints": [{"name": place.name, "position": format_position(*place.position)} for place in new],
            "voyage_toml": waypoints_toml(voyage) if new else "",
        }
    )


def _side(side: Side) -> Table:
    near = side.nearest_land
    return {
        "distance_nm": side.distance_nm,
        "quick_days": side.quick_days,
        "typical_days": side.typical_days,
        "slow_end_days": side.slow_end_days,
        "never_crossings": side.never,
        "rough_h": side.rough_h,
        "calm_h": side.calm_h,
        "land_off_nm": near.distance_nm if near else None,
        "land_position": format_position(near.land_lat_deg, near.land_lon_deg) if near else "",
    }


def _asked(limits: TrackLimits, kept_clear_nm: float) -> Table:
    keep, prices = limits.limits, limits.prices
    bounds = [
        f"no farther {side} than {format_latitude(bound)}"
        for side, bound in (("north", keep.north_limit_deg), ("south", keep.south_limit_deg))
        if bound is not None
    ]
    return {
        "wanted_by_day_nm": keep.clear_by_day_nm,
        "wanted_by_night_nm": keep.clear_by_night_nm,
        "bounds": bounds + [f"not inside '{box.name}'{_days(box)}" for box in limits.boxes],
        "rough_price": prices.rough,
        "hard_on_the_wind_price": prices.hard_on_the_wind,
        "calm_price": prices.calm,
        "cyclone_season_price": prices.cyclone_season,
        "price_words": f"An hour of Beaufort 7 and more counts as {prices.rough:g} hours more, one hard on the wind "
        f"{prices.hard_on_the_wind:g}, of calm {prices.calm:g}, in a cyclone season {prices.cyclone_season:g}, where 0 "
        "lifts that wall. Yours to set in track.toml.",
        "clear_words": f"Asked: {keep.clear_by_day_nm:g} miles from land and listed dangers by day, "
        f"{keep.clear_by_night_nm:g} by night. Kept: {kept_clear_nm:g} all the way but near the ends.",
    }


def _days(box: Box) -> str:
    (first, begins), (last, ends) = ((MONTHS[month - 1], day) for month, day in (box.first_day, box.last_day))
    return "" if box.always else f" from {begins} {first} until {ends} {last}"


# ---------------------------------------------------------------- waypoints to copy


def waypoints_toml(voyage: Voyage) -> str:
    """Every waypoint as ``voyage.toml`` wants it, to stand in place of those in the file."""
    return "\n\n".join(_waypoint_toml(waypoint) for waypoint in voyage.waypoints)


def _waypoint_toml(waypoint: Waypoint) -> str:
    lines = ["[[waypoint]]", f"name = {_quoted(waypoint.name)}", f"position = {_quoted(_exactly(*waypoint.position))}"]
    if waypoint.sailing != "great circle":
        lines.append(f"sailing = {_quoted(waypoint.sailing)}")
    if waypoint.limit_latitude_deg is not None:
        lines.append(f"limit = {_quoted(format_latitude(waypoint.limit_latitude_deg))}")
    if waypoint.set_deg is not None and waypoint.drift_kn is not None:
        lines.append(f"set = {_quoted(written(waypoint.set_deg, 'angle'))}")
        lines.append(f"drift = {_quoted(written(waypoint.drift_kn, 'speed'))}")
    return "\n".join(lines)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)  # JSON's quoting of text is TOML's too


def _exactly(lat_deg: float, lon_deg: float) -> str:
    """Degrees and minutes, or decimal degrees where tenths of a minute would move the waypoint."""
    text = format_position(lat_deg, lon_deg)
    again = parse_position(text)
    moved = max(abs(again.latitude_deg - lat_deg), abs(again.longitude_deg - lon_deg))
    return text if moved < 1e-6 else f"{lat_deg:.6f} {lon_deg:.6f}"


# ---------------------------------------------------------------- the terminal


def text(table: Table) -> str:
    t = shown(table)
    columns = [name for name in ("drawn", "found") if isinstance(t[name], dict)]
    blocks = [
        [t["voyage"], f"sails {t['depart_utc']}; {t['crossings']} crossings, the same luck on both"],
        [
            f"{'':<{ASIDE}}" + "".join(f"{name:>{COLUMN}}" for name in columns),
            *(_row(t, columns, *row) for row in ROWS),
        ],
        aside("Verdict", [t["verdict"]]),
        aside("Prices", [t["price_words"]]),
        aside("Kept clear", [t["clear_words"], *t["bounds"]]),
        aside("Search", [words for words in (t["searched_words"], t["unknown_words"]) if words]),
        aside("Mind", [t["caution_words"]]),
    ]
    chart = f"\n\n{'Chart':<{ASIDE}}{t['chart']}" if "chart" in t else ""  # never wrapped, to be copied; nor these:
    paste = f"\n\nThe waypoints for voyage.toml, in place of all those in it, or of its [route]:\n\n{t['voyage_toml']}"
    return joined(blocks) + (paste if t["voyage_toml"] else "") + chart


ROWS = (
    ("Distance", "distance_nm", "nm"),
    ("Typical passage", "typical_days", "days"),
    ("Slow end", "slow_end_days", "days"),
    ("Quick end", "quick_days", "days"),
    ("Beaufort 7 and up", "rough_h", "h"),
    ("Calm", "calm_h", "h"),
    ("Nearest land", "land_off_nm", "nm"),
    ("  it lies at", "land_position", ""),
    ("Never arrive", "never_crossings", ""),
)


def _row(told: Table, columns: list[str], title: str, key: str, unit: str) -> str:
    if key == "land_position":
        return f"{title:<{ASIDE}}" + "   ".join(f"{name} {told[name][key] or 'none within 60 nm'}" for name in columns)
    return f"{title:<{ASIDE}}" + "".join(f"{f'{told[name][key]} {unit}'.strip():>{COLUMN}}" for name in columns)


# ---------------------------------------------------------------- the chart


def drawings(comparison: Comparison, table: Table, room: Room) -> Drawings:
    """The drawn track with the found one broken beside it, or the one of them that there is."""
    found, drawn = _way(comparison.found_outcome), comparison.drawn_outcome
    if drawn is None or comparison.found.keeps_drawn:
        solid, beside = found, None
    else:
        solid = _way(drawn)
        known = {place.name for place in solid.places}
        beside = replace(found, places=[place for place in found.places if place.name not in known])
    rows = math.ceil(len(table["waypoints"]) / 2)
    listed = WAYPOINTS_PT + ROW_PT * rows if rows else 0.0
    high = room.high_pt - FURNITURE_PT - listed - BOUND_PT * len(table["bounds"])
    return {"track": draw_chart(solid.track, solid.places, solid.days, room.wide_pt, high, beside).svg}


def _way(outcome: Outcome) -> Way:
    places = [Place(waypoint.name, *waypoint.position) for waypoint in outcome.facts.voyage.waypoints]
    return Way(outcome.ground.track, places, outcome.by_day)


KEYS = {
    "better_at_slow_end": "whether the found track is quicker at the slow end",
    "drawn": "what the drawn track came to; null where it runs over land and was not sailed",
    "found": "what the found track came to; null where nothing better than the drawn one was found",
    "rough_h": "mean hours of 28 kn and more; the least sure of these",
    "searched_words": "where and how finely it was searched",
    "unknown_words": "what the crossings know and the search does not, else empty",
    "kept_clear_nm": "miles from land that the found track keeps at sea, but near its ends",
    "bounds": "latitudes not to pass and boxes to keep out of",
    "rough_price": "hours counted on top of an hour of Beaufort 7 and more",
    "hard_on_the_wind_price": "hours counted on top of an hour within 60 degrees of the wind",
    "calm_price": "hours counted on top of an hour of calm",
    "price_words": "the prices in a sentence",
    "clear_words": "the distances from land asked and kept, in a sentence",
    "cyclone_season_price": "hours counted on top of an hour in a cyclone basin in its season",
    "caution_words": "what to mind",
    "voyage_toml": "the found waypoints as voyage.toml wants them, else empty",
    "chart": "path of the chart",
}
