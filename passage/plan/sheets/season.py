"""A season: when each passage leaves and is in, what the walls of the year leave, what is carried, and the weakest."""

from __future__ import annotations

from datetime import date, timedelta
from enum import StrEnum
from functools import partial
from math import isfinite, nan
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.readiness.dates import Status
from passage.crossings.ensemble import passage_time_h, worse_end
from passage.plan.seasonstrip import ends_of, months_between, season_strip
from passage.seasons.sail import SLOW, WallMargin, walls_kept
from passage.tell.blocks import (
    Blocks,
    Drawing,
    Head,
    Points,
    Say,
    Sketch,
    Title,
    grid,
    note,
    on_paper,
    on_screen,
    strong,
)
from passage.tell.customary import unit_words
from passage.tell.figures import DASH
from passage.tell.records import Record, down, reckoned, told, up
from passage.tell.sketch import Lane, bars

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from passage.consequences.readiness.register import Finding
    from passage.seasons.sail import Passed, Round
    from passage.tell.blocks import Grid

CAUTION = (
    "From climate averages: no day of these is a forecast. Walls, visas and what a port has are as season.toml says; "
    "insurers, authorities and the skipper decide."
)
HOW = (
    "Season 7 is crossing 7 of every passage: she leaves on the day planned, or when she is in and her days in port "
    "are over. What a port does not stock is carried over as the worst of 20 crossings leaves it."
)


class Stands(StrEnum):
    """How often a wall is run into."""

    CLEAR = "clear"
    RARELY = "rarely"
    SLOW_END = "at the slow end"
    TYPICALLY = "typically"


class Due(Record):
    """Gear that falls due."""

    gear: str = told("its name in gear.toml")
    what: str = told("what is due: inspect, service or replace; empty where that is not known")
    due: date | None = told("last good day; null for what goes by running hours")
    before: bool = told("whether it falls due before she leaves, not on the way or in the stay after")


class PaperDue(Record):
    """A paper that is not in order for a passage and the stay after it."""

    paper: str = told("its name, and whose it is")
    said: str = told("what is not in order")
    good_until: date | None = told("its last day; null where it has none or is not in hand")
    act_by: date | None = told("last day to apply for it or to send it")


class PortTold(Record):
    """The days in port after a passage."""

    name: str = told("its name")
    until_utc: date | None = told("the typical day of leaving it")
    typical_days: float = told("days there, typically")
    most_days: float = up("days there that 1 season in 20 exceeds")
    visa_days: float = told("the most that she may stay; null where season.toml says nothing", places=0)
    over_visa_in_100: float = up("seasons of a hundred that stay longer; null without a visa")
    stocked: tuple[str, ...] = told("what can be had")
    carried: tuple[str, ...] = told("what is not, and with how much of it she leaves")
    mends: tuple[str, ...] = told("gear renewed or serviced there")


class PassageTold(Record):
    """One passage of the season."""

    number: int = told("its number")
    voyage: str = told("the folder of its voyage")
    passage: str = told("its name")
    planned_utc: date = told("the day that its voyage file plans")
    leaves_utc: date = told("the typical day of leaving")
    leaves_late_utc: date | None = told("1 season in 20 leaves later")
    late_in_100: float = up("seasons of a hundred that leave later than planned")
    arrives_utc: date = told("the typical day of landfall")
    arrives_slow_utc: date | None = told("1 season in 20 is in later; null: not reached")
    typical_days: float = told("days at sea, typically")
    slow_end_days: float = up("days at sea at the slow end")
    distance_nm: float = told("length of the track")
    water_load_l: float = up("litres of water to load")
    water_aboard_l: float = down("litres that can be drawn as she leaves")
    short_in_100: float = up("crossings of a hundred in which a store runs out")
    first_out: str = told("the store that does in most of them; empty where none does")
    charge_in_100: float = down("charge as she leaves, per cent of full; null without electrics")
    battery_low_in_100: float = up("crossings of a hundred whose battery falls below its floor, little sun; null")
    food_from: str = told("where the food for it is bought")
    buy_kg: float = up("food to buy for it, with packaging", places=0)
    buy_price: float = told("price of what of it has one; null where nothing has", places=0)
    storms_in_100: float = up("crossings of a hundred with a named storm within 100 miles", places=1)
    cyclone_seasons: tuple[str, ...] = told("cyclone seasons that she meets")
    strong_h: float = told("hours of 28 kn and more, mean of a crossing")
    due: tuple[Due, ...] = told("gear that falls due before it, on it or in the stay after it, and not earlier")
    papers: tuple[PaperDue, ...] = told("papers not in order for it or for the stay after it, and not told earlier")
    port: PortTold | None = told("the days in port after it; null after the last")


class WallTold(Record):
    """A wall beside one passage or port."""

    wall: str = told("its name")
    first_day: date = told("first day on which she is not to be there")
    last_day: date = told("last day")
    place: str = told("the passage or port that it keeps her from")
    number: int = told("the passage's number, of a port that before it")
    stands: Stands = told("how often she is there: clear, rarely, at the slow end, typically")
    broken_in_100: float = up("seasons of a hundred in which she is there on one of these days")
    spare_typical_days: float = down("days between her and the wall, typically; less than nothing: in it", places=0)
    spare_slow_days: float = down("the same in the worst of 20 seasons", places=0)


class Weakest(Record):
    """The passage in which something fails most often."""

    number: int = told("its number")
    passage: str = told("its name")
    why: str = told("what fails, or what is hardest where nothing does")
    in_100: float = up("in so many of a hundred; null where nothing fails")


class SeasonTold(Record):
    """A year of passages."""

    name: str = told("name of the season")
    boat: str = told("name of the boat")
    crossings: int = told("how many seasons were sailed")
    begins_utc: date = told("the first departure")
    ends_utc: date | None = told("the last landfall, typically")
    ends_slow_utc: date | None = told("1 season in 20 is in later")
    passages: tuple[PassageTold, ...] = told("the passages in turn")
    walls: tuple[WallTold, ...] = told("every wall beside every passage and port that it keeps her from")
    weakest: Weakest = told("the passage in which something fails most often")

    @reckoned("miles in all")
    def distance_nm(self) -> float:
        return sum(each.distance_nm for each in self.passages)

    @reckoned("days at sea in all, typically", places=0)
    def sea_days(self) -> float:
        return sum(each.typical_days for each in self.passages)

    strip: str = told("where the strip was written; empty where it was not", default="")


# ---------------------------------------------------------------- the record


def table(sailed: Round) -> SeasonTold:
    passages = tuple(_passage(sailed, number) for number in range(len(sailed.passed)))
    walls = tuple(_wall(sailed, kept) for kept in walls_kept(sailed))
    last = sailed.passed[-1]
    return SeasonTold(
        name=sailed.season.file.season.name,
        boat=last.outcome.facts.boat.hull.name,
        crossings=sailed.members,
        begins_utc=sailed.begins.date(),
        ends_utc=_day(sailed, last.arrives_h, 0.5),
        ends_slow_utc=_day(sailed, last.arrives_h, SLOW),
        passages=passages,
        walls=walls,
        weakest=weakest(passages, walls),
    )


def _day(sailed: Round, hours: NDArray[np.float64], share: float) -> date | None:
    at = passage_time_h(hours, share)
    return (sailed.begins + timedelta(hours=at)).date() if isfinite(at) else None


def _passage(sailed: Round, number: int) -> PassageTold:
    one = sailed.passed[number]
    outcome, leaves = one.outcome, _day(sailed, one.leaves_h, 0.5)
    stores, power, bought = outcome.stores, outcome.power, outcome.stores.provision
    out = _runs_out(one)
    assert leaves is not None
    return PassageTold(
        number=number + 1,
        voyage=one.voyage,
        passage=outcome.facts.voyage.departure.name,
        planned_utc=(sailed.begins + timedelta(hours=one.planned_h)).date(),
        leaves_utc=leaves,
        leaves_late_utc=_day(sailed, one.leaves_h, SLOW),
        late_in_100=100.0 * float((one.leaves_h > one.planned_h).mean()),
        arrives_utc=_day(sailed, one.arrives_h, 0.5) or leaves,
        arrives_slow_utc=_day(sailed, one.arrives_h, SLOW),
        typical_days=outcome.times.typical_days,
        slow_end_days=outcome.times.slow_end_days,
        distance_nm=outcome.ground.track.length_nm,
        water_load_l=stores.water.answer.load_l,
        water_aboard_l=stores.water.answer.tanks_give_l,
        short_in_100=100.0 * float(np.any(list(out.values()), axis=0).mean()) if out else 0.0,
        first_out=max(out, key=lambda name: out[name].sum()) if out and any(map(np.any, out.values())) else "",
        charge_in_100=power.start_in_100 if power else nan,
        battery_low_in_100=power.answer.below_in_100 if power else nan,
        food_from=one.aboard.food_from,
        buy_kg=bought.bought_kg if bought else 0.0,
        buy_price=bought.price if bought else nan,
        storms_in_100=one.storms.near_in_100,
        cyclone_seasons=one.seasons,
        strong_h=outcome.times.strong_h,
        due=tuple(_due(finding) for finding in one.due),
        papers=tuple(PaperDue(each.label, each.said, each.good_until, each.act_by) for each in one.papers),
        port=_port(sailed, number),
    )


def _runs_out(one: Passed) -> dict[str, NDArray[np.bool_]]:
    """By store, in which crossings; of food only where none can be bought."""
    stores = one.outcome.stores
    return {
        store.name: np.isfinite(store.ran_out_h)
        for store in stores.all
        if store.said and (store.name != "food" or stores.provision is not None)
    }


def _due(finding: Finding) -> Due:
    governing = finding.governing
    return Due(
        gear=finding.name,
        what=governing.what if governing else "",
        due=governing.due if governing else None,
        before=finding.status is not Status.DUE_DURING,
    )


def _port(sailed: Round, number: int) -> PortTold | None:
    here, last = sailed.passed[number], number + 1 == len(sailed.passed)
    if here.port is None:
        return None
    comes_h, goes_h = sailed.in_port_h(number)
    got_there = np.isfinite(comes_h)
    days = np.where(got_there, np.where(got_there, goes_h, 0.0) - np.where(got_there, comes_h, 0.0), 0.0) / 24.0
    visa_h = here.port.visa_h
    carried = {} if last else sailed.passed[number + 1].aboard.stores
    units = {store.name: store for store in here.outcome.stores.all}
    charge = None if last else sailed.passed[number + 1].aboard.charge_share
    return PortTold(
        name=here.port.name,
        until_utc=_day(sailed, goes_h, 0.5),
        typical_days=passage_time_h(days, 0.5),
        most_days=passage_time_h(days, SLOW),
        visa_days=nan if visa_h is None else visa_h / 24.0,
        over_visa_in_100=nan if visa_h is None else 100.0 * float((days > visa_h / 24.0).mean()),
        stocked=here.port.restock,
        carried=(
            *(f"{name} {left * units[name].per_own:,.0f} {units[name].unit}" for name, left in carried.items()),
            *([f"battery {100.0 * charge:.0f} %"] if charge is not None else []),
        ),
        mends=here.port.mends,
    )


def _wall(sailed: Round, kept: WallMargin) -> WallTold:
    share = float((kept.spare_h <= 0.0).mean())
    spare = kept.spare_h / 24.0
    return WallTold(
        wall=kept.wall.name,
        first_day=kept.wall.first,
        last_day=kept.wall.last,
        place=_place(sailed, kept),
        number=kept.number + 1,
        stands=_stands(share),
        broken_in_100=100.0 * share,
        spare_typical_days=worse_end(spare, 0.5),
        spare_slow_days=worse_end(spare, SLOW),
    )


def _place(sailed: Round, kept: WallMargin) -> str:
    here = sailed.passed[kept.number]
    return here.outcome.facts.voyage.departure.name if kept.place == here.voyage else kept.place


def _stands(share: float) -> Stands:
    if share >= 0.5:
        return Stands.TYPICALLY
    return Stands.SLOW_END if share > 1.0 - SLOW else Stands.RARELY if share > 0.0 else Stands.CLEAR


def weakest(passages: Sequence[PassageTold], walls: Sequence[WallTold]) -> Weakest:
    """Whichever fails in most seasons; where nothing does, the one with most strong wind."""
    in_100, one, why = max(_failing(passages, walls), key=lambda found: found[0], default=(0.0, passages[0], ""))
    if in_100 > 0.0:
        return Weakest(one.number, one.passage, why, in_100)
    windy = max(passages, key=lambda each: each.strong_h)
    return Weakest(windy.number, windy.passage, f"most strong wind of them, {windy.strong_h:u} of 28 kn and more", nan)


def _failing(passages: Sequence[PassageTold], walls: Sequence[WallTold]) -> Iterator[tuple[float, PassageTold, str]]:
    for wall in walls:
        yield float(wall.broken_in_100), passages[wall.number - 1], f"{_who(wall, passages)} {wall.wall}"
    for one in passages:
        yield float(one.short_in_100), one, f"{one.first_out} runs out"
        yield float(one.storms_in_100), one, "a named storm comes within 100 miles"
        if isfinite(one.battery_low_in_100):
            yield float(one.battery_low_in_100), one, "the battery falls below its floor, with little sun"
        if one.port and isfinite(one.port.over_visa_in_100):
            yield float(one.port.over_visa_in_100), one, f"the stay in {one.port.name} after it outlasts the visa"


def _who(wall: WallTold, passages: Sequence[PassageTold]) -> str:
    return "runs into" if wall.place == passages[wall.number - 1].passage else f"in {wall.place} after it she runs into"


# ---------------------------------------------------------------- words


def season_short(told: SeasonTold) -> Blocks:
    broken = [wall for wall in told.walls if wall.stands is not Stands.CLEAR]
    due = [f"{_dues(one)} ({one.passage})" for one in told.passages if one.due or one.papers]
    return (
        Title(f"{told.name}: {told.begins_utc} to {_date(told.ends_utc)}"),
        Sketch(partial(_drawn, told)),
        Head("Weakest"),
        Say(strong(weakest_words(told.weakest))),
        Head("Walls"),
        Say(" ".join(map(wall_words, broken)) or ("Clear of all of them." if told.walls else "")),
        Head("Due"),
        Say("; ".join(due)),
    )


def season_card(told: SeasonTold) -> Blocks:
    return (
        Title(told.name),
        Say(
            f"{strong(told.boat)}: {told.distance_nm} miles and typically {told.sea_days} days at sea, from "
            f"{told.begins_utc} to {_date(told.ends_utc)}; 1 season in 20 is in after {_date(told.ends_slow_utc)}."
        ),
        on_paper(Drawing("season", "the passages of the season and its walls along the year")),
        on_screen(Sketch(partial(_drawn, told))),
        note(
            "Black or #: at sea, typically; tint or ':': to the slow end; line or '.': in port; hatched or X: a wall."
        ),
        Head("Weakest passage", "Weakest"),
        Say(strong(weakest_words(told.weakest))),
        Head("Dates"),
        _dates(told.passages),
        Head("Walls"),
        *([_walls(told.walls)] if told.walls else [Say("season.toml names none.")]),
        Head("Stores and battery", "Stores"),
        _stores(told.passages),
        Head("In port"),
        Points(tuple(_port_words(one.port) for one in told.passages if one.port)),
        Head("Falls due"),
        Points(tuple(f"{one.number} {one.passage}: {_dues(one)}" for one in told.passages if one.due or one.papers)),
        Head("Storms"),
        Points(tuple(_storm_words(one) for one in told.passages if one.storms_in_100 > 0.0 or one.cyclone_seasons)),
        Head("Mind"),
        Say(HOW),
        Say(CAUTION),
        *([Head("Printed strip"), Say(told.strip)] if told.strip else []),
    )


def _date(day: date | None) -> str:
    return DASH if day is None else str(day)


def weakest_words(weak: Weakest) -> str:
    share = f" in {weak.in_100} of 100" if isfinite(weak.in_100) else ""
    return f"{weak.number} {weak.passage}: {weak.why}{share}."


def wall_words(wall: WallTold) -> str:
    if wall.stands is Stands.CLEAR:
        return f"{wall.place} keeps clear of {wall.wall}, by {wall.spare_slow_days} days at the slow end."
    return f"{wall.place} runs into {wall.wall} {wall.stands.value}: in {wall.broken_in_100} of 100 seasons."


def _dates(passages: Sequence[PassageTold]) -> Grid:
    return grid(
        passages,
        ("", lambda one: one.number),
        ("passage", lambda one: one.passage, "left 1fr"),
        ("miles", lambda one: one.distance_nm),
        ("leaves", lambda one: strong(f"{one.leaves_utc:%d %b %Y}"), "left"),
        ("later than\nplanned, /100", lambda one: one.late_in_100),
        ("days,\ntypical", lambda one: one.typical_days),
        ("slow\nend", lambda one: one.slow_end_days),
        ("is in", lambda one: strong(f"{one.arrives_utc:%d %b %Y}"), "left"),
        ("at the\nslow end", lambda one: f"{one.arrives_slow_utc:%d %b}" if one.arrives_slow_utc else DASH, "left"),
    )


def _walls(walls: Sequence[WallTold]) -> Grid:
    return grid(
        walls,
        ("wall", lambda wall: wall.wall, "left 1fr"),
        ("from", lambda wall: f"{wall.first_day:%d %b %Y}", "left"),
        ("until", lambda wall: f"{wall.last_day:%d %b %Y}", "left"),
        ("keeps her from", lambda wall: wall.place, "left"),
        ("runs into it", lambda wall: strong(wall.stands.value), "left"),
        ("/100", lambda wall: wall.broken_in_100),
        ("days clear,\ntypical", lambda wall: wall.spare_typical_days),
        ("slow\nend", lambda wall: wall.spare_slow_days),
    )


def _stores(passages: Sequence[PassageTold]) -> Grid:
    return grid(
        passages,
        ("", lambda one: one.number),
        (f"water to\nload, {unit_words('L')}", lambda one: one.water_load_l),
        (f"tanks\ngive, {unit_words('L')}", lambda one: one.water_aboard_l),
        ("a store runs\nout, /100", lambda one: one.short_in_100),
        ("most often", lambda one: one.first_out or DASH, "left"),
        ("battery as she\nleaves, %", lambda one: one.charge_in_100),
        ("battery\nlow, /100", lambda one: one.battery_low_in_100),
        (f"food to\nbuy, {unit_words('kg')}", lambda one: one.buy_kg),
        ("in", lambda one: one.food_from, "left 1fr"),
    )


def _port_words(port: PortTold) -> str:
    words = f"{strong(port.name)}: {port.typical_days:u} typically, 1 season in 20 more than {port.most_days}"
    if isfinite(port.visa_days):
        over = f"overstayed in {port.over_visa_in_100} of 100 seasons" if port.over_visa_in_100 > 0.0 else "kept"
        words += f"; the visa's {port.visa_days} days are {over}"
    words += f". To be had: {', '.join(port.stocked) or 'nothing'}."
    words += f" Carried on: {', '.join(port.carried)}." if port.carried else ""
    return words + (f" Mended: {', '.join(port.mends)}." if port.mends else "")


def _dues(one: PassageTold) -> str:
    return "; ".join((*map(_due_words, one.due), *map(_paper_words, one.papers)))


def _due_words(due: Due) -> str:
    by = f" by {due.due}" if due.due else ""
    return f"{due.what or 'look at'} {due.gear}{by}{', before she leaves' if due.before else ''}"


def _paper_words(due: PaperDue) -> str:
    until = f" (good until {due.good_until})" if due.good_until else ""
    return f"{due.paper}: {due.said}{until}"


def _storm_words(one: PassageTold) -> str:
    met = f" She meets the season of: {', '.join(one.cyclone_seasons)}." if one.cyclone_seasons else ""
    return f"{one.number} {one.passage}: a named storm within 100 miles in {one.storms_in_100} of 100.{met}"


# ---------------------------------------------------------------- drawings


def drawing(told: SeasonTold, wide_pt: float) -> str:
    return season_strip(told, wide_pt)


def _drawn(told: SeasonTold, wide: int) -> tuple[str, ...]:
    first, last = ends_of(told)
    lanes = [Lane(f"{one.number} {one.passage}", tuple(_spans(one))) for one in told.passages]
    for wall in {each.wall: each for each in told.walls}.values():
        lanes.append(Lane(wall.wall, ((wall.first_day.toordinal(), wall.last_day.toordinal(), "X"),)))
    feet = [(float(month.toordinal()), f"{month:%b}") for month in months_between(first, last)]
    return bars(lanes, first.toordinal(), last.toordinal(), feet, wide)


def _spans(one: PassageTold) -> Iterator[tuple[float, float, str]]:
    leaves, arrives = one.leaves_utc.toordinal(), one.arrives_utc.toordinal()
    if one.port and one.port.until_utc:
        yield arrives, one.port.until_utc.toordinal(), "."
    if one.arrives_slow_utc:
        yield arrives, one.arrives_slow_utc.toordinal(), ":"
    yield leaves, arrives, "#"
