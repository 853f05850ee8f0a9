"""Boat speeds: smooth, at sea and made good, as figures and as a picture, and how the crew's own pairs fit them."""

from __future__ import annotations

from math import isnan
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.pairs import PROBE_WIND_KN, Fit, Held, Speeds, sailed_kn
from passage.plan.svg import Canvas
from passage.tell.blocks import (
    SMALL_PT,
    Beside,
    Blocks,
    Drawing,
    Grid,
    Head,
    Points,
    Say,
    Title,
    grid,
    note,
    on_paper,
    on_screen,
    strong,
)
from passage.tell.figures import amount
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.crossings.pairs import SpeedRow

DRAWN_KN = (8.0, 15.0, 25.0)
SIZE_PT = 420.0
CAUTION = (
    "Winds are at 10 m above the sea. Dead before a strong wind the poled-out headsail and the drift of the waves may "
    "give more than the sea takes. To windward real boats took about a tenth longer than such crossings (34 boats in "
    "eight years; it may be luck). Nothing here knows this hull, these sails or this crew: a table of the boat's own, "
    "or noon runs told to the log, are worth more than an estimate."
)


class BoatSpeed(Record):
    """A boat's speeds, and what is known of her against them."""

    boat: str = told("name of the boat whose speeds these are")
    speeds: Speeds = told("her tables")
    pairs: Held | None = told("the crew's own pairs against the tables; null without any")
    log_days: Fit | None = told("days of the log against what the vessel's table promises; null without any")


def speed_card(told: BoatSpeed) -> Blocks:
    speeds, held, days = told.speeds, told.pairs, told.log_days
    kind = "estimated from the hull's figures" if speeds.estimated else "her own table"
    by = "at sea" if speeds.sails_by_sea else "for smooth water"
    return (
        Title("Boat speed"),
        Say(f"{told.boat}: {kind}. The crossings sail by the table {by}."),
        on_paper(
            Beside(
                (
                    (Drawing("speed", "Polar diagram, wind from the top: at sea whole, smooth water broken."),),
                    (
                        note(
                            "Wind from the top. Broken: smooth water. Whole: at sea. Dots: the crew's own pairs. "
                            f"{CAUTION}"
                        ),
                        Say(_pairs_in_short(held) if held else ""),
                    ),
                ),
                ("227pt", "1fr"),
            )
        ),
        Head("Made good at sea, tacking and gybing, by angle of the course to the wind"),
        _speed_grid(speeds.course_angles_deg, speeds.sea_made_good),
        Head("Smooth water, by wind angle"),
        _speed_grid(speeds.wind_angles_deg, speeds.smooth_speeds),
        Head("At sea, by angle of the course to the wind"),
        _speed_grid(speeds.wind_angles_deg, speeds.sea_speeds),
        on_screen(
            Head(f"What each alone adds in {PROBE_WIND_KN:.0f} kn, per cent"),
            grid(
                speeds.effects,
                ("", lambda row: row.effect, "left"),
                ("to windward", lambda row: row.windward_percent),
                ("across", lambda row: row.beam_percent),
                ("at 150°", lambda row: row.quarter_percent),
                ("", lambda row: row.words, "left 1fr"),
            ),
            *(_pair_blocks(held) if held else ()),
            Head("The log"),
            Say(f"{days.count} days: made good over what the table promises {_fit_words(days)}" if days else ""),
            Head("Mind"),
            Say(CAUTION),
        ),
    )


def speed_short(told: BoatSpeed) -> Blocks:
    """What she makes good at sea, and how her own pairs and days fit it."""
    speeds, days = told.speeds, told.log_days
    kind = "estimated from the hull's figures" if speeds.estimated else "her own table"
    by = "at sea" if speeds.sails_by_sea else "for smooth water"
    return (
        Head(told.boat),
        Say(f"{strong(kind)}; the crossings sail by the table {by}."),
        Head("Made good at sea, knots, by angle of the course to the wind"),
        _speed_grid(speeds.course_angles_deg, speeds.sea_made_good),
        Head("Your own pairs"),
        Say(_pairs_in_short(told.pairs) if told.pairs else ""),
        Head("The log"),
        Say(f"{days.count} days: made good over what the table promises {_fit_words(days)}" if days else ""),
        Head("Mind"),
        Say("A table of the boat's own, or noon runs told to the log, are worth more than any estimate."),
    )


def _speed_grid(angles_deg: tuple[float, ...], rows: tuple[SpeedRow, ...]) -> Grid:
    columns = ((f"{angle}°", lambda row, at=at: row.speeds_kn[at], "right 1fr") for at, angle in enumerate(angles_deg))
    return grid(rows, ("wind, kn", lambda row: row.wind_kn), *columns, size=SMALL_PT)


def _pairs_in_short(held: Held) -> str:
    return (
        f"Pairs of your own: {held.count}. Hers over the table's: {held.against_sea.ratio} at sea, "
        f"{held.against_smooth.ratio} in smooth water."
    )


def _pair_blocks(held: Held) -> Blocks:
    brought = (
        ""
        if isnan(held.instrument_height_m)
        else f", wind brought from {amount(held.instrument_height_m, 'm'):u} to {amount(10.0, 'm', places=0):u}"
    )
    both = (("smooth water", held.against_smooth), ("at sea", held.against_sea))
    return (
        Head("Your own pairs"),
        Say(f"{held.count}{brought}"),
        *(
            block
            for words, found in both
            for block in (
                Say(f"{words}: hers over the table's {_fit_words(found)}"),
                Points(tuple(f"{part.part}: {part.ratio} of {part.count}" for part in found.parts)),
            )
        ),
    )


def _fit_words(found: Fit) -> str:
    if not found.count:
        return "cannot be said: the table promises next to nothing there"
    return f"{found.ratio}" + ("" if isnan(found.sd) else f", spread {found.sd}")


def drawing(speeds: Speeds, held: Held | None = None) -> str:
    """Half of the polar diagram, wind from the top: smooth broken, at sea whole, the crew's pairs as dots. SVG."""
    top_kn = np.ceil(max(float(table.boat_speed_kn.max()) for table in (speeds.smooth, speeds.sea)))
    sheet, left, middle = Canvas(SIZE_PT * 0.72, SIZE_PT), 34.0, SIZE_PT / 2.0
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
