"""Boat speeds: smooth, at sea and made good, as figures and as a picture, and how the crew's own pairs fit them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.pairs import PROBE_WIND_KN, Fit, Pair, Speeds, at_ten_metres_kn, fit, made_good_kn, sailed_kn
from passage.plan.columns import aside, joined
from passage.plan.printed import Table, rounded
from passage.plan.svg import Sheet

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.crossings.pairs import Lost
    from passage.inputs.boat import Boat
    from passage.inputs.polar import PolarTable
    from passage.journal.learning import Seen

WINDS_KN = (6.0, 10.0, 15.0, 20.0, 25.0, 30.0)
ANGLES_DEG = (45.0, 52.0, 60.0, 75.0, 90.0, 110.0, 120.0, 135.0, 150.0, 180.0)
COURSES_DEG = (0.0, 45.0, 60.0, 90.0, 120.0, 150.0, 180.0)
DRAWN_KN = (8.0, 15.0, 25.0)
SIZE_PT = 420.0
CAUTION = (
    "Winds are at 10 m above the sea. Nothing here knows this hull, these sails or this crew: a table of the "
    "boat's own, or noon runs told to the log, are worth more than an estimate."
)


@dataclass(frozen=True)
class Held:
    """The crew's pairs, brought to 10 m, and how far they fit. height_m: of the instrument, if allowed for."""

    pairs: tuple[Pair, ...]
    height_m: float | None
    smooth: Fit
    sea: Fit


def hold(speeds: Speeds, pairs: Sequence[Pair], height_m: float | None) -> Held | None:
    """Pairs as noted against both tables, None without any; their wind at height_m, or at 10 m where that is None."""
    if not pairs:
        return None
    brought = tuple(
        pair if height_m is None else pair._replace(wind_kn=at_ten_metres_kn(pair.wind_kn, height_m)) for pair in pairs
    )
    return Held(brought, height_m, fit(brought, speeds.smooth), fit(brought, speeds.sea))


def table(boat: Boat, speeds: Speeds, held: Held | None, runs: Sequence[Seen] = ()) -> Table:
    """What is printed; runs: days of the log that tell of her speed."""
    return rounded(
        {
            "speed_boat": boat.hull.name,
            "estimated": speeds.estimated,
            "sails_by": "sea" if speeds.sails_by_sea else "smooth",
            "wind_angles": [f"{angle:g}" for angle in ANGLES_DEG],
            "course_angles": [f"{angle:g}" for angle in COURSES_DEG],
            "smooth_speeds": _through_water(speeds.smooth),
            "sea_speeds": _through_water(speeds.sea),
            "smooth_made_good": _made_good(speeds.smooth),
            "sea_made_good": _made_good(speeds.sea),
            "effects": [_effect(boat, lost) for lost in speeds.effects],
            "pairs": _held(held) if held else None,
            "log_runs": _runs(runs) if runs else None,
            "speed_caution": CAUTION,
        }
    )


def _through_water(polar: PolarTable) -> list[Table]:
    return [
        {"wind_kn": wind, "speeds_kn": [sailed_kn(polar, wind, angle) for angle in ANGLES_DEG]} for wind in WINDS_KN
    ]


def _made_good(polar: PolarTable) -> list[Table]:
    rows = made_good_kn(polar, WINDS_KN, COURSES_DEG)
    return [{"wind_kn": wind, "speeds_kn": row} for wind, row in zip(WINDS_KN, rows, strict=True)]


def _effect(boat: Boat, lost: Lost) -> Table:
    return {
        "effect": lost.key,
        "effect_words": lost.words,
        "effect_setting": str(getattr(boat.at_sea, lost.key)),
        "source": lost.source,
        "windward_lost_share": lost.windward,
        "beam_lost_share": lost.beam,
        "quarter_lost_share": lost.quarter,
    }


def _held(held: Held) -> Table:
    return {
        "pairs_count": len(held.pairs),
        "instrument_height_m": held.height_m,
        "against_smooth": _fit(held.smooth),
        "against_sea": _fit(held.sea),
    }


def _fit(found: Fit) -> Table:
    return {
        "compared_count": found.count,
        "fit_share": found.ratio,
        "fit_sd_share": found.sd,
        "fit_parts": [
            {"part": part.words, "compared_count": part.pairs, "fit_share": part.ratio} for part in found.parts
        ],
    }


def _runs(runs: Sequence[Seen]) -> Table:
    ratio = [run.seen / run.expected for run in runs if run.expected > 0.0]
    return {
        "runs_count": len(ratio),
        "fit_share": float(np.median(ratio)) if ratio else float("nan"),
        "fit_sd_share": float(np.std(ratio, ddof=1)) if len(ratio) > 1 else float("nan"),
    }


def text(table: Table) -> str:
    kind = "estimated from the hull's figures" if table["estimated"] else "her own table"
    by = "at sea" if table["sails_by"] == "sea" else "smooth water"
    blocks = [
        [f"Speeds of {table['speed_boat']}: {kind}. The crossings sail by: {by}."],
        _grid("Smooth water, knots by wind angle", ANGLES_DEG, table["smooth_speeds"]),
        _grid("At sea, knots by angle of the course to the wind", ANGLES_DEG, table["sea_speeds"]),
        _grid("Made good at sea, tacking and gybing, by angle of the course", COURSES_DEG, table["sea_made_good"]),
        _effect_lines(table["effects"]),
        _pair_lines(table["pairs"]),
        _run_lines(table["log_runs"]),
        aside("", [table["speed_caution"]], 0),
    ]
    return joined(blocks)


def _grid(title: str, angles: Sequence[float], rows: Sequence[Table]) -> list[str]:
    lines = [title, "wind" + "".join(f"{angle:6.0f}" for angle in angles)]
    return lines + [f"{row['wind_kn']:4.0f}" + "".join(f"{speed:6.1f}" for speed in row["speeds_kn"]) for row in rows]


def _effect_lines(effects: Sequence[Table]) -> list[str]:
    lines = [f"What each alone takes in {PROBE_WIND_KN:.0f} kn: to windward, across, at 150 degrees"]
    for row in effects:
        shares = [row[f"{name}_lost_share"] for name in ("windward", "beam", "quarter")]
        said = "".join("     -" if share is None else f"{-100.0 * share:+5.0f} %"[:7] for share in shares)
        lines += aside(f"  {row['effect']}", [f"{said}  {row['effect_words']}"], 24)
    return lines


def _pair_lines(pairs: Table | None) -> list[str]:
    if pairs is None:
        return []
    height = pairs["instrument_height_m"]
    lines = [
        f"{pairs['pairs_count']} pairs of your own" + (f", wind brought from {height:g} m to 10 m" if height else "")
    ]
    for name, words in (("against_smooth", "smooth water"), ("against_sea", "at sea")):
        found = pairs[name]
        if not found["compared_count"]:
            lines.append(f"  {words}: the table promises next to nothing there")
            continue
        spread = "" if found["fit_sd_share"] is None else f", spread {found['fit_sd_share']:.2f}"
        lines.append(f"  {words}: hers over the table's {found['fit_share']:.2f}{spread}")
        lines += [
            f"    {part['part']}: {part['fit_share']:.2f} of {part['compared_count']}" for part in found["fit_parts"]
        ]
    return lines


def _run_lines(runs: Table | None) -> list[str]:
    if runs is None:
        return []
    spread = "" if runs["fit_sd_share"] is None else f", spread {runs['fit_sd_share']:.2f}"
    return [
        f"{runs['runs_count']} days of the log: made good over what the table promises {runs['fit_share']:.2f}{spread}"
    ]


def drawing(speeds: Speeds, held: Held | None = None) -> str:
    """Half of the polar diagram, wind from the top: smooth broken, at sea whole, the crew's pairs as dots. SVG."""
    top_kn = np.ceil(max(float(table.boat_speed_kn.max()) for table in (speeds.smooth, speeds.sea)))
    sheet, left, middle = Sheet(SIZE_PT * 0.72, SIZE_PT), 34.0, SIZE_PT / 2.0
    per_kn = (SIZE_PT / 2.0 - 20.0) / top_kn

    def at(angle_deg: float, speed_kn: float) -> tuple[float, float]:
        angle = np.radians(angle_deg)
        return left + per_kn * speed_kn * float(np.sin(angle)), middle - per_kn * speed_kn * float(np.cos(angle))

    for ring in range(2, int(top_kn) + 1, 2):
        sheet.line([at(angle, ring) for angle in range(0, 181, 3)], 0.3)
        x, y = at(0.0, ring)
        sheet.text(x - 4.0, y + 3.0, f"{ring} kn", 7.5, anchor="end")
    for angle in (45.0, 90.0, 135.0):
        sheet.line([at(angle, 0.0), at(angle, float(top_kn))], 0.3)
        x, y = at(angle, float(top_kn))
        sheet.text(x + 3.0, y + 3.0, f"{angle:g}", 7.5)
    for wind in DRAWN_KN:
        angles = np.arange(40.0, 181.0, 2.0)
        for polar, dash, width in ((speeds.smooth, "3 2", 0.7), (speeds.sea, "", 1.3)):
            sheet.line([at(angle, sailed_kn(polar, wind, angle)) for angle in angles], width, dash)
        x, y = at(172.0, sailed_kn(speeds.sea, wind, 172.0))
        sheet.text(x, y + 8.0, f"{wind:g} kn of wind", 7.5)
    for pair in held.pairs if held else ():
        sheet.dot(*at(pair.angle_deg, min(pair.boat_kn, float(top_kn))), 1.6)
    return sheet.svg()


KEYS = {
    "speed_boat": "name of the boat whose speeds these are",
    "estimated": "whether the smooth-water table is an estimate from the hull's figures, not a table of her own",
    "sails_by": "the table that the crossings sail by: smooth, or sea",
    "wind_angles": "wind angles of the columns, degrees",
    "course_angles": "the same of speeds made good: angles of the course to the wind",
    "smooth_speeds": "boat speed in smooth water, a row for each wind at 10 m",
    "sea_speeds": "the same with what sea, crew and time take; angles are those of the course made good",
    "smooth_made_good": "speed made good in smooth water, tacking and gybing allowed and free",
    "sea_made_good": "the same at sea",
    "speeds_kn": "speeds at each of those angles, knots",
    "effects": "what each effect of [at_sea] takes by itself",
    "effect": "the effect, by the key of [at_sea] that sets it",
    "effect_words": "what it stands for",
    "effect_setting": "as it is set in the boat file",
    "windward_lost_share": "what it takes of the speed made good dead to windward in 16 kn, 0 to 1; negative: it gives",
    "beam_lost_share": "the same with the wind across the course",
    "quarter_lost_share": "the same with the wind at 150 degrees",
    "pairs": "the crew's own pairs against the tables; null without any",
    "pairs_count": "pairs given",
    "instrument_height_m": "height of the wind instrument that was allowed for; null: taken as 10 m",
    "against_smooth": "pairs against the smooth-water table",
    "against_sea": "pairs against the table at sea",
    "compared_count": "pairs where the table promises 0.3 kn or more",
    "fit_share": "median of hers over the table's",
    "fit_sd_share": "standard deviation of that ratio; null of fewer than two",
    "fit_parts": "the same by point of sailing and by strength of wind",
    "part": "which of them",
    "log_runs": "days of the log against what the vessel's table promises; null without any",
    "runs_count": "days that tell of her speed",
    "speed_caution": "what these numbers do not know",
}
