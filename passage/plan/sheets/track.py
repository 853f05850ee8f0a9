"""A found track beside the drawn one: what each came to when sailed, and waypoints to copy into the voyage file."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from passage.draw.chart import Besides, draw_chart
from passage.inputs.months import MONTHS
from passage.inputs.search import TrackLimits
from passage.inputs.voyage import waypoints_toml
from passage.plan.charts import WIDE_PT, way_of
from passage.plan.sheets.cautions import TRACK_CAUTION
from passage.plan.sheets.legs import WaypointTold
from passage.positions import format_latitude, format_position
from passage.tell.blocks import (
    SMALL_PT,
    Beside,
    Blocks,
    Drawing,
    Grid,
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
from passage.tell.records import Record, reckoned, told
from passage.tracks import TrackSailed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from passage.inputs.search import Box
    from passage.plan.sheet import Drawings, Room
    from passage.tracks import Comparison

MOST_ON_PAPER = 5
FURNITURE_PT = 232.0  # all but the chart and the waypoints on its page
WAYPOINTS_PT, ROW_PT, BOUND_PT = 52.0, 12.5, 6.0  # heading of the waypoints, two of them, a bound


class TracksCompared(Record):
    """Both tracks side by side, the found waypoints, and the prices and limits they were found with."""

    limits: TrackLimits
    voyage: str = told("name of the voyage")
    depart_utc: datetime = told("departure, UTC")
    crossings: int = told("how many crossings were sailed on each")
    slow_end_in: int = told("the slow end is what 1 crossing in so many exceeds")
    verdict: str = told("which is better, in words")
    better_at_slow_end: bool = told("whether the found track is quicker at the slow end")
    drawn: TrackSailed | None = told("what the drawn track came to; null where it runs over land and was not sailed")
    found: TrackSailed | None = told("what the found track came to; null where nothing better than the drawn was found")
    searched: str = told("where and how finely it was searched")
    unknown: str = told("what the crossings know and the search does not, else empty")
    kept_clear_nm: float = told("miles from land that the found track keeps at sea, but near its ends")

    @reckoned("distance wanted from land and dangers by day, from track.toml")
    def wanted_by_day_nm(self) -> float:
        return self.limits.limits.clear_by_day_nm

    @reckoned("the same by night")
    def wanted_by_night_nm(self) -> float:
        return self.limits.limits.clear_by_night_nm

    @reckoned("latitudes not to pass and boxes to keep out of")
    def bounds(self) -> tuple[str, ...]:
        keep = self.limits.limits
        ends = (("north", keep.north_limit_deg), ("south", keep.south_limit_deg))
        return (
            *(f"no farther {side} than {format_latitude(bound)}" for side, bound in ends if bound is not None),
            *(f"not inside '{box.name}'{_days(box)}" for box in self.limits.boxes),
        )

    @reckoned("hours counted on top of an hour of Beaufort 7 and more")
    def rough_price(self) -> float:
        return self.limits.prices.rough

    @reckoned("hours counted on top of an hour within 60 degrees of the wind")
    def hard_on_the_wind_price(self) -> float:
        return self.limits.prices.hard_on_the_wind

    @reckoned("hours counted on top of an hour of calm")
    def calm_price(self) -> float:
        return self.limits.prices.calm

    @reckoned("hours counted on top of an hour in a cyclone basin in its season; 0 lifts that wall")
    def cyclone_season_price(self) -> float:
        return self.limits.prices.cyclone_season

    waypoints: tuple[WaypointTold, ...] = told("waypoints of the track found")
    voyage_toml: str = told("the found waypoints as voyage.toml wants them, else empty")
    chart: str = told("path of the chart; empty where none was asked for", default="")

    @property
    def sides(self) -> tuple[tuple[str, TrackSailed], ...]:
        return tuple((name, side) for name, side in (("drawn", self.drawn), ("found", self.found)) if side is not None)


def table(comparison: Comparison, limits: TrackLimits) -> TracksCompared:
    found, voyage, outcome = comparison.found, comparison.found_voyage, comparison.found_outcome
    new = () if found.keeps_drawn else voyage.waypoints
    return TracksCompared(
        limits=limits,
        voyage=voyage.departure.name,
        depart_utc=outcome.crossings.depart,
        crossings=outcome.times.crossings,
        slow_end_in=outcome.times.slow_end_in,
        verdict=comparison.words,
        better_at_slow_end=comparison.better_at_slow_end,
        drawn=comparison.drawn_side,
        found=None if found.keeps_drawn else comparison.found_side,
        searched=f"Searched from {comparison.searched[0]} to {comparison.searched[1]}; the waypoints near the two ends "
        f"are yours and stay. {comparison.known} {found.nodes:,} places {found.spacing_nm:.0f} miles apart, then the "
        "best track over them shifted until nothing bettered it.",
        unknown=comparison.left_out,
        kept_clear_nm=found.kept_clear_nm,
        waypoints=tuple(WaypointTold(place.name, format_position(*place.position)) for place in new),
        voyage_toml=waypoints_toml(voyage) if new else "",
    )


def _days(box: Box) -> str:
    (first, begins), (last, ends) = ((MONTHS[month - 1], day) for month, day in (box.first_day, box.last_day))
    return "" if box.always else f" from {begins} {first} until {ends} {last}"


# ---------------------------------------------------------------- the card


def track_card(told: TracksCompared) -> Blocks:
    both = len(told.sides) == 2
    lines = "Whole line: the track drawn. Broken line: the track found. " if both else ""
    return (
        on_screen(
            Head(told.voyage),
            Say(f"sails {told.depart_utc}; {told.crossings} crossings, the same luck on both"),
            Head("Both sailed" if both else "Sailed"),
            _beside(told),
            Head("Verdict"),
            Say(told.verdict),
            Head("Prices"),
            Say(_price_words(told)),
            Head("Kept clear"),
            Say(_clear_words(told)),
            *(Say(bound) for bound in told.bounds),
            Head("Search"),
            Say(told.searched),
            Say(told.unknown),
            Head("Mind"),
            Say(TRACK_CAUTION),
            Head("The waypoints for voyage.toml, in place of all those in it, or of its [route]:"),
            Verbatim(tuple(told.voyage_toml.splitlines())),
            Head("Chart"),
            Verbatim((told.chart,) if told.chart else ()),
        ),
        on_paper(
            Title("Another track? Not for navigation"),
            Say(strong(told.verdict)),
            Drawing(
                "track",
                f"Mercator chart of the track{'s, the drawn one whole and the found one broken' if both else ''}, with "
                "a stroke across for each day.",
            ),
            note(
                f"{lines}A stroke across for the end of each day of the middle crossing, a longer one for each that is "
                f"named. Mercator, WGS 84. {strong('The official chart decides.')}"
            ),
            _beside(told, MOST_ON_PAPER),
            note(
                f"{_clear_words(told)}{f' Also {_listed(told.bounds)}.' if told.bounds else ''} {_price_words(told)}"
                f"{f' {strong(told.unknown)}' if told.unknown else ''} {TRACK_CAUTION}"
            ),
            Head("Waypoints of the track found"),
            *_halves(told),
        ),
    )


def track_short(told: TracksCompared) -> Blocks:
    """The verdict and the sides of it; the waypoints are --full's."""
    return (
        Head("Verdict"),
        Say(strong(told.verdict)),
        Head("Both sailed" if len(told.sides) == 2 else "Sailed"),
        _beside(told, MOST_ON_PAPER),
        Head("Kept clear"),
        Say(_clear_words(told)),
        Head("Waypoints"),
        Say(f"{len(told.waypoints)}, as voyage.toml wants them: --full" if told.waypoints else "those you have"),
        Head("Mind"),
        Say(TRACK_CAUTION),
        Head("Chart"),
        Verbatim((told.chart,) if told.chart else ()),
    )


def _beside(told: TracksCompared, most: int | None = None) -> Grid:
    """The sides beside one another, a line for each of the first so many figures."""
    sides = [side for _, side in told.sides]

    def row(title: str, name: str) -> tuple[str, ...]:
        return title, *(f"{getattr(side, name):u}" for side in sides)

    rows = (
        row("Distance", "distance_nm"),
        row("Typical passage", "typical_days"),
        row(f"Slow end: 1 crossing in {told.slow_end_in} is slower still", "slow_end_days"),
        row("Wind of Beaufort 7 and more, the least sure of these", "rough_h"),
        row("Nearest land of the open sea", "land_off_nm"),
        row("Quick end", "quick_days"),
        row("Calm", "calm_h"),
        ("it lies at", *(side.land_position or "none within 60 nm" for side in sides)),
        row("Never arrive", "never_crossings"),
    )
    columns = ((strong(name), _cell_of(number)) for number, (name, _) in enumerate(told.sides, start=1))
    return grid(rows[:most], ("", _cell_of(0), "left 1fr"), *columns, size=SMALL_PT)


def _cell_of(number: int) -> Callable[[tuple[str, ...]], str]:
    return lambda row: row[number]


def _halves(told: TracksCompared) -> Blocks:
    half = -(-len(told.waypoints) // 2)
    halves = told.waypoints[:half], told.waypoints[half:]
    return (Beside(tuple((_places(points),) for points in halves)),) if told.waypoints else ()


def _places(points: Iterable[WaypointTold]) -> Grid:
    return grid(
        points,
        ("name", lambda point: point.name, "left 1fr"),
        ("position, WGS 84", lambda point: point.position),
        size=SMALL_PT,
    )


def _listed(bounds: tuple[str, ...]) -> str:
    return ", ".join(bounds)


def _price_words(told: TracksCompared) -> str:
    prices = told.limits.prices
    return (
        f"An hour of Beaufort 7 and more counts as {prices.rough:g} hours more, one hard on the wind "
        f"{prices.hard_on_the_wind:g}, of calm {prices.calm:g}, in a cyclone season {prices.cyclone_season:g}, where 0 "
        "lifts that wall. Yours to set in track.toml."
    )


def _clear_words(told: TracksCompared) -> str:
    keep = told.limits.limits
    return (
        f"Asked: {keep.clear_by_day_nm:g} miles from land and listed dangers by day, {keep.clear_by_night_nm:g} by "
        f"night. Kept: {told.kept_clear_nm:g} all the way but near the ends."
    )


# ---------------------------------------------------------------- the chart


def drawings(comparison: Comparison, told: TracksCompared, room: Room) -> Drawings:
    """The drawn track with the found one broken beside it, or the one of them that there is."""
    drawn = comparison.drawn_outcome
    if drawn is None or comparison.found.keeps_drawn:
        ways = [way_of(comparison.found_outcome)]
    else:
        ways = [way_of(drawn, "drawn"), way_of(comparison.found_outcome, "found")]
    rows = -(-len(told.waypoints) // 2)
    listed = WAYPOINTS_PT + ROW_PT * rows if rows else 0.0
    high = room.high_pt - FURNITURE_PT - listed - BOUND_PT * len(told.bounds)
    return {"track": draw_chart(ways, WIDE_PT, high, Besides(inset=True)).svg()}
