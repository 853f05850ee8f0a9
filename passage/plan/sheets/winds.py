"""Winds: roses at a handful of points along the track, each for the days on which the middle crossing is there."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.rose import SECTORS, Rose, Sector, rose_on
from passage.inputs.months import month_weights
from passage.plan.sheet import Sheet
from passage.positions import format_position
from passage.tell.blocks import (
    SMALL_PT,
    Blocks,
    Head,
    Say,
    Title,
    grid,
    note,
    on_paper,
    on_screen,
    small,
    strong,
)
from passage.tell.figures import DASH, in_print
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.road import Outcome

    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]

MOST_ROSES, LEAST_APART_NM = 6, 120.0  # the shipped cells are 2 degrees: closer roses would show the same wind
LETTERS = "ABCDEF"
CAUTION = (
    "Monthly averages: what blows on the day is the forecast's to say. Strong wind, 28 knots and more, is the least "
    "sure of these figures, and gales are left out: these averages cannot tell how many there are. No cyclone is in "
    "them."
)


class RoseThere(Record):
    """The winds at a point of the track on the day the middle crossing is there."""

    rose: str = told("its letter")
    position: str = told("latitude and longitude, degrees and minutes")
    leg: int = told("number of the leg")
    run_nm: float = told("miles run")
    day: int = told("day out on which the middle crossing is there")
    there_date: date = told("the date of that, UTC")
    true_course_deg: float = told("true course there, degrees")
    few_reports: bool = told("whether few ship reports stand behind it")
    wind: Rose = told("how often it blows from where, and how hard")


class FewOnLeg(Record):
    """A leg whose winds rest on few ship reports for a part of it."""

    leg: int = told("its number")
    miles_nm: float = told("for about so many miles")


class Winds(Record):
    """Winds along the track, and the legs that rest on few ship reports."""

    roses: tuple[RoseThere, ...] = told("winds at points along the track")

    few: tuple[FewOnLeg, ...] = told("legs that rest on few ship reports")


def table(outcome: Outcome) -> Winds:
    return Winds(roses_of(outcome), _few_on_legs(outcome))


def roses_of(outcome: Outcome) -> tuple[RoseThere, ...]:
    """Evenly along the track, each on the day the middle crossing is there."""
    track, climate = outcome.ground.track, outcome.ground.climate
    roses = min(max(int(track.length_nm / LEAST_APART_NM), 2), MOST_ROSES)
    days, few, found = _days_at_nodes(outcome), _few_reports(outcome), []
    for letter, run_nm in zip(LETTERS, (np.arange(roses) + 0.5) / roses * track.length_nm, strict=False):
        node = int(np.abs(track.distance_nm - run_nm).argmin())
        there = outcome.crossings.depart + timedelta(days=float(days[node]))
        found.append(
            RoseThere(
                rose=letter,
                position=format_position(float(track.lat_deg[node]), float(track.lon_deg[node])),
                leg=int(track.leg[node]) + 1,
                run_nm=float(track.distance_nm[node]),
                day=int(days[node]) + 1,
                there_date=there.date(),
                true_course_deg=float(track.course_deg[node]) % 360.0,
                few_reports=bool(few[node]),
                wind=rose_on(climate, node, there),
            )
        )
    return tuple(found)


def _days_at_nodes(outcome: Outcome) -> Floats:
    """Days out (nodes,) at which the middle crossing is at each node; its last day where it never comes so far."""
    runs = outcome.by_day
    reached, days = [0.0, *(run.typical_run_nm for run in runs)], [0.0, *(float(run.day) for run in runs)]
    return np.interp(outcome.ground.track.distance_nm, reached, days)


def _few_reports(outcome: Outcome) -> Flags:
    """Whether the wind at each node (nodes,), when the middle crossing is there, rests on few ship reports."""
    start = np.datetime64(outcome.crossings.depart.replace(tzinfo=None), "s")
    times = start + (_days_at_nodes(outcome) * 86400.0).astype("timedelta64[s]")
    first, second, _ = month_weights(times)
    few, node = outcome.ground.climate.few_reports, np.arange(outcome.ground.track.nodes)
    return np.asarray(few[first, node] | few[second, node])


def _few_on_legs(outcome: Outcome) -> tuple[FewOnLeg, ...]:
    track, few = outcome.ground.track, _few_reports(outcome)
    legs = range(len(outcome.ground.legs))
    miles = [float(few[track.leg == leg].sum()) * track.spacing_nm for leg in legs]
    return tuple(FewOnLeg(leg, miles_nm) for leg, miles_nm in enumerate(miles, start=1) if miles_nm > 0.0)


def winds_card(winds: Winds) -> Blocks:
    return (
        Title("Winds along the track"),
        on_paper(
            grid(
                winds.roses,
                ("", lambda there: strong(there.rose), "left"),
                ("where, and when the middle one is there", _there, "left 1fr"),
                ("course", lambda there: there.true_course_deg),
                *((name, lambda there, at=at: _blows(there.wind.sectors[at])) for at, name in enumerate(SECTORS)),
                ("calm", lambda there: there.wind.calm_in_100),
                ("mean,\nkn", lambda there: strong(there.wind.mean_wind_kn)),
                (
                    "28 kn\nand more",
                    lambda there: "under 1" if there.wind.strong_in_100 < 1 else there.wind.strong_in_100,
                ),
                size=SMALL_PT,
                every=1,
            ),
            note(
                "Hours in 100 that it blows from there, and its mean knots; with the calms, under 4 knots, they make "
                "100. On the chart an arm points to where the wind is from, as long as it blows from there; a barb for "
                "every 5 knots; in the middle the calms."
            ),
        ),
        on_screen(*(block for there in winds.roses for block in _told(there))),
        on_screen(Head("Reports")),
        Say(strong(few_words(winds))),
        on_screen(Head("Mind")),
        note(CAUTION),
    )


def winds_short(winds: Winds) -> Blocks:
    """A line for each rose."""
    return (
        grid(
            winds.roses,
            ("day", lambda there: there.day),
            ("date", lambda there: f"{there.there_date:short}", "left"),
            ("at", lambda there: there.position, "left"),
            ("course", lambda there: there.true_course_deg),
            ("mostly from", _mostly, "left"),
            ("mean, kn", lambda there: strong(there.wind.mean_wind_kn)),
            ("calm, of 100 h", lambda there: there.wind.calm_in_100),
            ("28 kn and more", lambda there: "under 1" if there.wind.strong_in_100 < 1 else there.wind.strong_in_100),
        ),
        Head("Reports"),
        Say(strong(few_words(winds))),
        Head("Mind"),
        Say("Monthly averages: what blows on the day is the forecast's to say. Gales are left out, and cyclones."),
    )


def _mostly(there: RoseThere) -> str:
    two = sorted(there.wind.sectors, key=lambda sector: -sector.in_100)[:2]
    return ", ".join(f"{sector.name} {sector.in_100}" for sector in two)


def _there(there: RoseThere) -> str:
    few = f"; {strong('few ship reports')}" if there.few_reports else ""
    return f"{there.position}, {there.there_date:short}{few}"


def _blows(sector: Sector) -> str:
    return f"{sector.in_100} {small(f'{sector.mean_wind_kn}')}" if in_print(sector.in_100) else DASH


def _told(there: RoseThere) -> Blocks:
    wind, few = there.wind, "; few ship reports" if there.few_reports else ""
    blowing = [sector for sector in wind.sectors if in_print(sector.in_100)]
    shares = ", ".join(f"{sector.name} {sector.in_100} ({sector.mean_wind_kn} kn)" for sector in blowing)
    return (
        Head(f"{there.rose}  day {there.day}"),
        Say(
            f"{there.position}, {there.run_nm} nm run, leg {there.leg}, {there.there_date}, course "
            f"{there.true_course_deg}\nmean {wind.mean_wind_kn} kn; calm {wind.calm_in_100} hours in 100, strong wind "
            f"{strong_words(wind)}{few}\nof 100 hours from {shares}"
        ),
    )


def strong_words(wind: Rose) -> str:
    """Rare is not never: ``under 1 hour in 100``."""
    if wind.strong_in_100 < 1.0:
        return "under 1 hour in 100"
    return f"{wind.strong_in_100} hour{'s' if in_print(wind.strong_in_100) > 1 else ''} in 100"


def few_words(winds: Winds) -> str:
    """Which legs rest on few ship reports, and for how many of their miles."""
    if not winds.few:
        return "No leg rests on few ship reports in these months."
    legs = " and ".join(f"leg {few.leg} for about {few.miles_nm} miles" for few in winds.few)
    return f"Few ship reports stand behind the winds of {legs}: trust them less."


SHEET = Sheet("winds", table, record=Winds, cards={"winds": winds_card}, short=winds_short)
