"""What the commands say before anything is sailed: a new folder, and a folder without a fault."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from passage.crossings.speed import suspicious_points
from passage.inputs.search import TrackLimits
from passage.inputs.voyage import as_expected, control_sentence
from passage.plan.sheets.basis import climate_doubt
from passage.plan.sheets.legs import LegBeside, Nearness, beside_land, beside_words, land_caution, near_land
from passage.tell.blocks import Blocks, Head, Points, Say, Verbatim
from passage.tell.records import Record, down, told

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts


MOST_DOUBTS = 4  # of the short answer


class NewFolder(Record):
    """A voyage folder made."""

    folder: str = told("the folder made")
    files: tuple[str, ...] = told("the files made in it")


def new_card(made: NewFolder) -> Blocks:
    return (
        Head("Made"),
        Say(f"{made.folder} with {', '.join(made.files)}."),
        Head("Next"),
        Say("Edit them: every line says what it wants. Then:"),
        Verbatim((f"  passage check {made.folder}",)),
    )


class TwoFolders(Record):
    """A voyage folder parted in two."""

    voyage: str = told("the voyage's folder")
    boat: str = told("the boat's folder")
    boat_files: tuple[str, ...] = told("the files made in the boat's")
    voyage_files: tuple[str, ...] = told("the files written anew in the voyage's")


def split_card(made: TwoFolders) -> Blocks:
    return (
        Head("Parted"),
        Say(f"{made.boat} has {', '.join(made.boat_files)}."),
        Say(f"{made.voyage} names her; its {', '.join(made.voyage_files)} was written anew."),
        Head("Next"),
        Say("Her next voyage needs a voyage.toml that names the same folder, and no more. Check this one:"),
        Verbatim((f"  passage check {made.voyage}",)),
    )


class SoundFolder(Record):
    """A folder without a fault: what was understood, and what is doubtful in it all the same."""

    limits: TrackLimits
    voyage: str = told("name of the voyage")
    depart_utc: datetime = told("departure, UTC")
    waypoint_count: int = told("how many waypoints")
    distance_nm: float = told("length of the track")
    control: str = told("how the track compares with the distance expected; empty where none was given")
    crew_count: int = told("people aboard")
    water_l: float = down("litres that can be drawn")
    fuel_l: float = down("litres that can be drawn")
    legs: tuple[LegBeside, ...] = told("the legs, and the land beside them")
    doubts: tuple[str, ...] = told("what is doubtful though it is no fault")
    read: tuple[str, ...] = told("what was taken from a GPX file that the voyage file names, and what was left out")


def check_table(facts: Facts, ground: Ground) -> SoundFolder:
    departure = facts.voyage.departure
    return SoundFolder(
        limits=facts.limits,
        voyage=departure.name,
        depart_utc=departure.depart,
        waypoint_count=len(facts.voyage.waypoints),
        distance_nm=ground.track.length_nm,
        control=control_sentence(departure.expected_distance_nm, ground.track.length_nm),
        crew_count=len(facts.crew.people),
        water_l=facts.boat.usable_water_l,
        fuel_l=facts.boat.usable_fuel_l,
        legs=beside_land(facts),
        doubts=tuple(_doubts(facts, ground)),
        read=tuple(facts.voyage_file.notes),
    )


def _doubts(facts: Facts, ground: Ground) -> Iterator[str]:
    for wind_kn, angle_deg, excess in suspicious_points(facts.polar) if facts.polar else ():
        yield (
            f"in {wind_kn:g} kn of wind at {angle_deg:g}° two other headings are {100 * excess:.0f} % quicker than the "
            "polar table's speed: is that figure right?"
        )
    if words := climate_doubt(facts, ground):
        yield words
    if ground.climate.lent:
        yield (
            f"{' and '.join(ground.climate.lent)} of your own winds' file are not known all along the track: they come "
            "from the shipped grids"
        )
    if guessed := facts.boat.hull.not_measured:
        yield f"{', '.join(guessed)} of the boat: told from her length alone by a fit to measured hulls; measure them"
    if facts.electrics and facts.electrics.alternator and facts.boat.engine is None:
        yield "electrics.toml has an alternator and boat.toml no engine: what turns it?"
    expected_nm = facts.voyage.departure.expected_distance_nm
    if not as_expected(expected_nm, ground.track.length_nm):
        yield control_sentence(expected_nm, ground.track.length_nm)


def _found(told: SoundFolder) -> str:
    ashore = any(leg.nearness is Nearness.OVER_LAND for leg in told.legs)
    return "The track runs over land. No other fault found." if ashore else "No fault found."


def check_short(told: SoundFolder) -> Blocks:
    """No fault, what was understood, and what is doubtful all the same."""
    few = (*told.doubts, *told.read)
    more = len(few) - MOST_DOUBTS
    return (
        Head(_found(told)),
        Say(f"{told.voyage}: {told.waypoint_count} waypoints, {told.distance_nm:u}, sails {told.depart_utc}"),
        Say(f"{told.crew_count} aboard, {told.water_l:u} of water and {told.fuel_l} of fuel to draw on"),
        Head("Land and dangers"),
        Points(near_land(told.legs, told.limits) or ("no leg comes nearer than you want",)),
        Say("The chart decides; this coast may be three miles out and shows hardly any reef."),
        Head("Doubtful"),
        Points(few[:MOST_DOUBTS]),
        Say(f"and {more} more: --full" if more > 0 else ""),
    )


def check_card(told: SoundFolder) -> Blocks:
    near = [leg for leg in told.legs if leg.nearness is not Nearness.KEPT]
    lines = [f"{leg.leg}. {leg.start} to {leg.end}\n{beside_words(leg, told.limits)}" for leg in near]
    return (
        Head(_found(told)),
        Say(f"{told.voyage}: {told.waypoint_count} waypoints, {told.distance_nm:u}, sails {told.depart_utc}"),
        Say(f"{told.crew_count} aboard, {told.water_l:u} of water and {told.fuel_l} of fuel to draw on"),
        Head("Land and dangers"),
        Points(tuple(lines) or ("No leg comes nearer land or a listed danger than you want.",)),
        Say(land_caution(told.limits)),
        Head("Doubtful"),
        Points(told.doubts),
        Head("Read"),
        Points(told.read),
    )
