"""Legs: courses true and magnetic, points along the long ones, and the land beside each."""

from __future__ import annotations

from enum import StrEnum
from math import inf, isnan, nan
from typing import TYPE_CHECKING, Any

from passage.ground import legs_of
from passage.inputs.search import TrackLimits
from passage.inputs.voyage import control_sentence
from passage.near_land import judge, over_land
from passage.plan.sheet import Sheet
from passage.positions import format_latitude, format_position
from passage.sailings.magnetic import decimal_year, magnetic_course_deg, variation
from passage.sailings.track import at_distance, lay_track, leg_summaries
from passage.tell.blocks import (
    Blocks,
    Grid,
    Head,
    Points,
    Say,
    Title,
    Together,
    grid,
    note,
    on_paper,
    on_screen,
    small,
    strong,
)
from passage.tell.figures import Side, in_print, whole
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from passage.inputs.folder import Facts
    from passage.inputs.voyage import Voyage
    from passage.near_land import LegJudged
    from passage.sailings.land import DangerNear
    from passage.sailings.track import Leg, LegSummary

POINTS_ON_A_LEG = 12
POINT_STEPS_NM = (50, 100, 200, 250, 500, 1000)
SHORTEST_TABULATED_NM = 100.0
DANGERS_WITHIN_NM = 25.0  # farther off, a danger is not worth a line


class OverLand(Record):
    """A stretch of a leg that runs over land."""

    across_nm: float = told("how far it does", places=1)
    position: str = told("where that begins")
    along_nm: float = told("miles from the beginning of the leg")


class LandOnLeg(Record):
    """A leg that runs over land."""

    leg: int = told("its number")
    position: str = told("where the land begins, latitude and longitude, degrees and minutes")
    across_nm: float = told("how far it runs over land, miles", places=1)


class DangerBeside(Record):
    """A listed reef or bank that the coastline lacks."""

    danger: str = told("its name")
    kind: str = told("what it is")
    position: str = told("latitude and longitude, degrees and minutes")
    clear_off_nm: float = told("miles from the track to its rough edge")
    along_nm: float = told("miles from the beginning of the leg")


class Nearness(StrEnum):
    """Which of the distances wanted from land and dangers a leg keeps."""

    KEPT = "kept"
    NOT_BY_NIGHT = "not for a landfall by night"
    NOT_KEPT = "not kept by day or night"
    OVER_LAND = "runs over land"


class LegBeside(Record):
    """The land beside a leg, beyond the harbours of the voyage's two ends."""

    leg: int = told("its number")
    start: str = told("where it begins")
    end: str = told("where it ends")
    land_off_nm: float = told("nearest land, miles; null where none is within 60, and 0 where it runs over land")
    land_position: str = told("where on the land, else empty")
    land_along_nm: float = told("miles from the beginning of the leg", places=0)
    over_land: tuple[OverLand, ...] = told("stretches of the leg that run over land")
    dangers: tuple[DangerBeside, ...] = told("listed reefs and banks within 25 miles, in the order met")
    nearness: Nearness = told("which of the distances wanted from land and dangers it keeps")


class SteeringPoint(Record):
    """A point along a long leg."""

    run_nm: float = told("miles from the beginning of the leg")
    position: str = told("latitude and longitude, degrees and minutes")
    true_course_deg: float = told("true course there, degrees")
    variation_deg: float = told("variation there, degrees, east positive")
    magnetic_course_deg: float = told("magnetic course there, degrees")


class LegTold(LegBeside):
    """A leg with its courses."""

    sailing: str = told("great circle, rhumb line or composite")
    limit: str = told("limiting latitude of a composite leg, else empty")
    distance_nm: float = told("its length")
    running_nm: float = told("miles from the departure at its end")
    initial_true_course_deg: float = told("true course at its beginning, degrees")
    final_true_course_deg: float = told("true course at its end, degrees")
    initial_magnetic_course_deg: float = told("magnetic course at its beginning, degrees")
    final_magnetic_course_deg: float = told("magnetic course at its end, degrees")
    initial_variation_deg: float = told("variation at its beginning, degrees, east positive")
    final_variation_deg: float = told("variation at its end, degrees, east positive")

    @reckoned("how far the variation changes on it, degrees, east positive")
    def variation_change_deg(self) -> float:
        return in_print(self.final_variation_deg) - in_print(self.initial_variation_deg)

    great_circle_nm: float = told("great-circle distance between its ends")
    rhumb_line_nm: float = told("rhumb-line distance between its ends")

    @reckoned("the difference")
    def great_circle_saves_nm(self) -> float:
        return self.rhumb_line_nm - self.great_circle_nm

    points: tuple[SteeringPoint, ...] = told("points a round number of miles apart along a long leg")


class WaypointTold(Record):
    """A waypoint of the voyage file."""

    name: str = told("its name")
    position: str = told("latitude and longitude, degrees and minutes")


class Legs(Record):
    """The legs in the order sailed. A leg over land is told like any other."""

    limits: TrackLimits
    legs: tuple[LegTold, ...] = told("the legs in the order sailed")
    distance_nm: float = told("miles in all")
    expected_distance_nm: float = told("the skipper's control figure, null where none was given")
    control: str = told("how the track compares with it; empty where none was given")
    variation_year: int = told("year for which the variation is computed")

    @reckoned("distance wanted from land and dangers by day, from track.toml")
    def wanted_by_day_nm(self) -> float:
        return self.limits.limits.clear_by_day_nm

    @reckoned("the same for a landfall by night")
    def wanted_by_night_nm(self) -> float:
        return self.limits.limits.clear_by_night_nm

    waypoints: tuple[WaypointTold, ...] = told("the waypoints")


def table(facts: Facts, depart: datetime | None = None) -> Legs:
    """depart: when the variation is taken; the voyage's own departure if left out."""
    expected_nm = facts.voyage.departure.expected_distance_nm
    when = depart or facts.voyage.departure.depart
    legs, judged = legs_of(facts.voyage), judge(facts.voyage, facts.limits)
    summaries = leg_summaries(legs)
    length_nm = summaries[-1].starts_at_nm + summaries[-1].distance_nm
    return Legs(
        limits=facts.limits,
        legs=tuple(_leg(*each, decimal_year(when)) for each in zip(judged, legs, summaries, strict=True)),
        distance_nm=length_nm,
        expected_distance_nm=nan if expected_nm is None else expected_nm,
        control=control_sentence(expected_nm, length_nm),
        variation_year=when.year,
        waypoints=tuple(WaypointTold(each.name, format_position(*each.position)) for each in facts.voyage.waypoints),
    )


def beside_land(facts: Facts) -> tuple[LegBeside, ...]:
    """The land beside each leg, where nothing else is asked of them."""
    return tuple(LegBeside(**_beside(judged)) for judged in judge(facts.voyage, facts.limits))


def land_on_legs(voyage: Voyage) -> tuple[LandOnLeg, ...]:
    """Every stretch over land, in the order sailed."""
    return tuple(
        LandOnLeg(number, format_position(*hit[:2]), hit.across_nm)
        for number, hits in over_land(voyage).items()
        for hit in hits
    )


def _beside(judged: LegJudged) -> dict[str, Any]:
    near = judged.nearest_land
    return {
        "leg": judged.number,
        "start": judged.from_name,
        "end": judged.to_name,
        "land_off_nm": near.distance_nm if near else inf,
        "land_position": format_position(near.land_lat_deg, near.land_lon_deg) if near else "",
        "land_along_nm": near.along_nm if near else inf,
        "over_land": tuple(
            OverLand(hit.across_nm, format_position(hit.lat_deg, hit.lon_deg), hit.distance_nm) for hit in judged.land
        ),
        "dangers": tuple(_danger(near) for near in judged.dangers if near.clear_nm <= DANGERS_WITHIN_NM),
        "nearness": _nearness(judged),
    }


def _danger(near: DangerNear) -> DangerBeside:
    listed = near.danger
    position = format_position(listed.lat_deg, listed.lon_deg)
    return DangerBeside(listed.name, listed.kind, position, near.clear_nm, near.along_nm)


def _nearness(judged: LegJudged) -> Nearness:
    if judged.land:
        return Nearness.OVER_LAND
    if judged.too_near_by_day:
        return Nearness.NOT_KEPT
    return Nearness.NOT_BY_NIGHT if judged.too_near_by_night else Nearness.KEPT


def _leg(judged: LegJudged, leg: Leg, summary: LegSummary, year: float) -> LegTold:
    first, last = (variation(*end, year).variation_deg for end in (leg.ends[:2], leg.ends[2:]))
    return LegTold(
        **_beside(judged),
        sailing=summary.sailing,
        limit=format_latitude(leg.limiting_lat_deg) if leg.limiting_lat_deg is not None else "",
        distance_nm=summary.distance_nm,
        running_nm=summary.starts_at_nm + summary.distance_nm,
        initial_true_course_deg=summary.initial_course_deg,
        final_true_course_deg=summary.final_course_deg,
        initial_magnetic_course_deg=magnetic_course_deg(summary.initial_course_deg, first),
        final_magnetic_course_deg=magnetic_course_deg(summary.final_course_deg, last),
        initial_variation_deg=first,
        final_variation_deg=last,
        great_circle_nm=summary.great_circle_nm,
        rhumb_line_nm=summary.rhumb_line_nm,
        points=tuple(_points(leg, year)),
    )


def _points(leg: Leg, year: float) -> Iterator[SteeringPoint]:
    """Points a round number of miles apart along a leg, for steering it; none on a short leg."""
    track = lay_track([leg])
    if track.length_nm < SHORTEST_TABULATED_NM:
        return
    step = next((step for step in POINT_STEPS_NM if track.length_nm / step <= POINTS_ON_A_LEG), POINT_STEPS_NM[-1])
    runs = [float(step * number) for number in range(whole(track.length_nm / step, Side.UP))]
    along = (column.tolist() for column in at_distance(track, runs))
    for run, lat_deg, lon_deg, course_deg in zip(runs, *along, strict=True):
        here = variation(lat_deg, lon_deg, year).variation_deg
        magnetic = magnetic_course_deg(course_deg, here)
        yield SteeringPoint(run, format_position(lat_deg, lon_deg), course_deg, here, magnetic)


# ---------------------------------------------------------------- words


def land_caution(limits: TrackLimits) -> str:
    """What the warnings go by, and who decides."""
    keep = limits.limits
    return (
        f"Warned of: land or a listed danger nearer than {keep.clear_by_day_nm:g} miles by day, "
        f"{keep.clear_by_night_nm:g} for a landfall by night (yours), but for the voyage's first and "
        "last 3 miles. This coast may be three miles out at a remote island and shows hardly any reef: the chart "
        "decides."
    )


def warning(leg: LegBeside, limits: TrackLimits) -> str:
    """What is nearer than wanted, empty where nothing is."""
    if leg.nearness is Nearness.OVER_LAND:
        return "RUNS OVER LAND"
    if leg.nearness is Nearness.NOT_KEPT:
        return f"nearer than {limits.limits.clear_by_day_nm:g} miles, by day or night"
    if leg.nearness is Nearness.NOT_BY_NIGHT:
        return f"nearer than {limits.limits.clear_by_night_nm:g} miles: not for a landfall by night"
    return ""


def land_in_few(found: Sequence[LandOnLeg]) -> str:
    """As a reason not to go."""
    legs = [f"{number}" for number in dict.fromkeys(land.leg for land in found)]
    return f"the track runs over land on leg{'s' if len(legs) > 1 else ''} {', '.join(legs)}"


def land_words(found: Sequence[LandOnLeg]) -> str:
    """Where the track runs over land, and what to do; empty where it does not."""
    where = "; ".join(f"leg {land.leg} for {land.across_nm} nm from {land.position} on" for land in found)
    return f"It runs over land: {where}. Lead it clear with another waypoint, by the chart." if found else ""


def beside_words(leg: LegBeside, limits: TrackLimits) -> str:
    """The land beside a leg, a line each."""
    said = [
        f"over land: {hit.across_nm} nm of it from {hit.position} on, {hit.along_nm} nm along" for hit in leg.over_land
    ]
    if not said and leg.land_position:
        said.append(f"land {leg.land_off_nm} nm off at {leg.land_position}, {leg.land_along_nm} nm along")
    said += [
        f"{near.danger} ({near.kind}) {near.clear_off_nm} nm clear, {near.along_nm} nm along" for near in leg.dangers
    ]
    said = said or ["no land within 60 nm, no listed danger within 25"]
    warned = warning(leg, limits)
    return "\n".join([*said, *([f"! {strong(warned)}"] if warned else [])])


def _turn(first: float, last: float) -> str:
    return f"{first}" if f"{first}" == f"{last}" else f"{first} to {last}"


def magnetic_words(leg: LegTold) -> str:
    """At its beginning and its end, by way of the course between that lies farthest outside both."""
    first, last = leg.initial_magnetic_course_deg, leg.final_magnetic_course_deg
    between = [point.magnetic_course_deg for point in leg.points]
    middle = first + _off(last, first) / 2.0
    farthest = max(between, key=lambda course: abs(_off(course, middle)), default=first)
    if f"{farthest}" in (f"{first}", f"{last}") or abs(_off(farthest, middle)) <= abs(_off(last, first)) / 2.0:
        return _turn(first, last)
    return f"{first} by {farthest} to {last}"


def _off(course_deg: float, from_deg: float) -> float:
    """By how much a course lies to the right of another, -180 to 180."""
    return (course_deg - from_deg + 180.0) % 360.0 - 180.0


# ---------------------------------------------------------------- the card


def legs_card(legs: Legs) -> Blocks:
    def beside(leg: LegTold) -> str:
        return _beside_cell(leg, legs.limits)

    return (
        on_screen(*(block for leg in legs.legs for block in _leg_said(leg, legs.limits))),
        on_paper(Title("Legs"), _leg_rows(legs)),
        on_screen(Head("In all")),
        Say(f"{strong(f'{legs.distance_nm} miles in all.')} {legs.control}"),
        on_paper(
            note(
                f"Magnetic courses are for {legs.variation_year} and leave out the deviation of your own compass. "
                f"Miles: {_both_sailings(legs)}; totals are of miles not yet rounded."
            ),
            Head("Land beside each leg"),
            grid(
                legs.legs,
                ("leg", lambda leg: leg.leg),
                ("miles off", lambda leg: strong(leg.land_off_nm)),
                ("nearest land; listed dangers within 25 miles", beside, "left 1fr"),
                ("miles along", lambda leg: leg.land_along_nm),
                every=1,
            ),
        ),
        note(land_caution(legs.limits)),
        on_paper(
            *(_steering(leg) for leg in legs.legs if leg.points),
        ),
    )


def legs_short(legs: Legs) -> Blocks:
    """A line for each leg, and which come nearer land than is wanted."""
    return (
        grid(
            legs.legs,
            ("leg", lambda leg: leg.leg),
            ("to", lambda leg: leg.end, "left"),
            ("nm", lambda leg: strong(leg.distance_nm)),
            ("true", lambda leg: _turn(leg.initial_true_course_deg, leg.final_true_course_deg), "left"),
            ("magnetic", magnetic_words, "left"),
            ("land, nm", lambda leg: leg.land_off_nm),
        ),
        Head("In all"),
        Say(f"{strong(f'{legs.distance_nm} miles in all.')} {legs.control}"),
        Head("Land and dangers"),
        Points(near_land(legs.legs, legs.limits)),
        Say("The chart decides; a coast of these data may be three miles out and shows hardly any reef."),
    )


def near_land(legs: Sequence[LegBeside], limits: TrackLimits) -> tuple[str, ...]:
    """A line for each leg that comes nearer land or a danger than is wanted."""
    return tuple(
        f"! {strong(f'leg {leg.leg}, {_off_words(leg)}')}: {warning(leg, limits)}"
        for leg in legs
        if leg.nearness is not Nearness.KEPT
    )


def _off_words(leg: LegBeside) -> str:
    near = [f"{danger.danger} {danger.clear_off_nm} nm clear" for danger in leg.dangers]
    land = [] if isnan(leg.land_off_nm) else [f"land {leg.land_off_nm} nm off"]
    return ", ".join((*land, *near[:2])) or "near danger"


def _leg_said(leg: LegTold, limits: TrackLimits) -> Blocks:
    true = _turn(leg.initial_true_course_deg, leg.final_true_course_deg)
    magnetic = magnetic_words(leg)
    changes = _turn(leg.initial_variation_deg, leg.final_variation_deg)
    return (
        Head(f"{leg.leg:>3.0f}  {leg.start} to {leg.end}"),
        Say(
            f"{leg.distance_nm} nm ({leg.running_nm} in all), {leg.sailing}\ntrue {true}, magnetic {magnetic}, "
            f"variation {changes}\n{beside_words(leg, limits)}"
        ),
    )


def _leg_rows(legs: Legs) -> Grid:
    return grid(
        legs.legs,
        ("leg", lambda leg: leg.leg),
        ("to (WGS 84), and how sailed", lambda leg: _to_cell(legs, leg), "left 1fr"),
        ("miles", lambda leg: strong(leg.distance_nm)),
        ("total", lambda leg: leg.running_nm),
        ("true course", lambda leg: _turn(leg.initial_true_course_deg, leg.final_true_course_deg)),
        ("magnetic course", lambda leg: strong(magnetic_words(leg))),
        ("variation", _variation_cell),
        every=1,
    )


def _to_cell(legs: Legs, leg: LegTold) -> str:
    begins, ends = (legs.waypoints[at] for at in (int(leg.leg) - 1, int(leg.leg)))
    start = f"from {begins.name} {small(begins.position)}\n" if leg.leg == 1 else ""
    limit = f", not beyond {leg.limit}" if leg.limit else ""
    return f"{start}to {strong(ends.name)} {small(f'{ends.position}, {leg.sailing}{limit}')}"


def _variation_cell(leg: LegTold) -> str:
    return f"{_turn(leg.initial_variation_deg, leg.final_variation_deg)}\nchanges {leg.variation_change_deg}"


def _both_sailings(legs: Legs) -> str:
    return "; ".join(
        f"leg {leg.leg}: great circle {leg.great_circle_nm}, rhumb line {leg.rhumb_line_nm}" for leg in legs.legs
    )


def _beside_cell(leg: LegTold, limits: TrackLimits) -> str:
    warned = warning(leg, limits)
    lines = [
        f"{leg.land_position or 'none within 60 miles'}{f': {strong(warned)}' if warned else ''}",
        *(f"over land for {hit.across_nm} miles from {hit.position} on" for hit in leg.over_land),
        *(
            f"{strong(near.danger)}, {near.kind}, at {near.position}: clear by {near.clear_off_nm} miles, "
            f"{near.along_nm} along"
            for near in leg.dangers
        ),
    ]
    return "\n".join(lines)


def _steering(leg: LegTold) -> Together:
    return Together(
        (
            Head(f"Steering leg {leg.leg}, to {leg.end}"),
            grid(
                leg.points,
                ("miles run", lambda point: point.run_nm, "right 1fr"),
                ("position", lambda point: point.position, "right 2fr"),
                ("true course", lambda point: point.true_course_deg, "right 1fr"),
                ("variation", lambda point: point.variation_deg, "right 1fr"),
                ("magnetic course", lambda point: strong(point.magnetic_course_deg), "right 1.2fr"),
            ),
        )
    )


SHEET = Sheet(
    "legs",
    lambda outcome: table(outcome.facts, outcome.crossings.depart),
    record=Legs,
    cards={"legs": legs_card},
    short=legs_short,
)
