"""Tracks to choose between, side by side: what the crossings made of each, why it is as it is, and one chart."""

from __future__ import annotations

from datetime import datetime
from math import isfinite
from textwrap import shorten as cut
from typing import TYPE_CHECKING

from passage.draw.chart import draw_chart
from passage.offered import Offered
from passage.plan.charts import WIDE_PT, way_of
from passage.plan.sheets.cautions import TRACK_CAUTION
from passage.tell.blocks import (
    SMALL_PT,
    Blocks,
    Drawing,
    Head,
    Say,
    Title,
    Verbatim,
    grid,
    note,
    on_paper,
    on_screen,
    strong,
)
from passage.tell.customary import unit_words
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.plan.sheet import Drawings, Room

LETTERS = 186  # of why a track is there, in the short answer: three lines of it
LATER = ("motoring_h", "water_used_l", "farthest_nm")  # not in the short answer
FURNITURE_PT = 330.0  # all but the chart on its page
ROWS = (
    ("Distance, miles", "distance_nm"),
    ("Typical passage, days", "typical_days"),
    ("Slow end, days", "slow_end_days"),
    ("Hard on the wind, hours", "hard_on_the_wind_h"),
    ("28 knots and more, the least sure of these, hours", "rough_h"),
    ("Calm, hours", "calm_h"),
    ("Under engine, hours", "motoring_h"),
    ("Water used by the slow end, {litres}", "water_used_l"),
    ("Farthest from any land, miles", "farthest_nm"),
)


class Choices(Record):
    """Tracks to choose between."""

    voyage: str = told("name of the voyage")
    depart_utc: datetime = told("departure, UTC")
    crossings: int = told("how many crossings were sailed on each")
    tracks: tuple[Offered, ...] = told("the tracks, the quickest first, all sailed by the same crossings")
    chart: str = told("path of the chart; empty where none was asked for")


def _rows() -> list[tuple[str, str]]:
    return [(title.format(litres=unit_words("litres")), name) for title, name in ROWS]


def table(choices: Sequence[Offered], chart: str = "") -> Choices:
    first = choices[0]
    depart, sailed = first.outcome.crossings.depart, first.outcome.times.crossings
    return Choices(first.voyage.departure.name, depart, sailed, tuple(choices), chart)


def choices_card(told: Choices) -> Blocks:
    tracks = told.tracks
    return (
        on_screen(Head(told.voyage), Say(f"sails {told.depart_utc}; {told.crossings} crossings, the same luck on all")),
        on_paper(
            Title("Which track? Not for navigation"),
            Drawing(
                "choices",
                f"Chart of {len(tracks)} tracks to choose between, each with its number at its middle.",
            ),
            note(f"Each with its number. WGS 84. {strong('The official chart decides.')}"),
        ),
        grid(
            [(title, *(_cell(track, name) for track in tracks)) for title, name in _rows()],
            ("", lambda row: row[0], "left 1fr"),
            *((strong(track.number), lambda row, at=at: row[at]) for at, track in enumerate(tracks, 1)),
            size=SMALL_PT,
        ),
        on_paper(*(note(f"{strong(f'{track.number}.')} {track.why}") for track in tracks), note(TRACK_CAUTION)),
        on_screen(*(block for track in tracks for block in _in_words(track)), Head("Mind"), Say(TRACK_CAUTION)),
        on_screen(Head("Chart"), Verbatim((told.chart,) if told.chart else ())),
    )


def choices_short(told: Choices) -> Blocks:
    """The figures side by side, and in a line why each is there."""
    return (
        grid(
            [(title, *(_cell(track, name) for track in told.tracks)) for title, name in _rows() if name not in LATER],
            ("", lambda row: row[0], "left"),
            *((strong(track.number), lambda row, at=at: row[at]) for at, track in enumerate(told.tracks, 1)),
        ),
        *(
            block
            for track in told.tracks
            for block in (Head(f"Track {track.number}"), Say(cut(track.why, LETTERS, placeholder=" ...")))
        ),
        Head("Mind"),
        Say("The chart decides. Quickest in the climate is not kindest, nor safe in the weather you get."),
        Head("Chart"),
        Verbatim((told.chart,) if told.chart else ()),
    )


def _cell(track: Offered, name: str) -> str:
    figure = getattr(track, name)
    return "over 600" if name == "farthest_nm" and not isfinite(figure) else f"{figure}"


def _in_words(track: Offered) -> Blocks:
    turns = [f"{turn.position}: {turn.purpose}" for turn in track.waypoints if turn.purpose]
    return Head(f"Track {track.number}"), Say("\n".join([track.why, *turns]))


def drawings(choices: Sequence[Offered], room: Room) -> Drawings:
    """Each track with its number, from 1, where it is farthest from the others."""
    ways = [way_of(one.outcome, str(number))._replace(days=()) for number, one in enumerate(choices, start=1)]
    ways = [way._replace(places=(way.places[0], way.places[-1])) for way in ways]
    return {"choices": draw_chart(ways, WIDE_PT, room.high_pt - FURNITURE_PT).svg()}
