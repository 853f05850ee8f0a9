"""The passage chart: Mercator, black on white, with where 8 crossings in 10 would be on every so many days.

Not for navigation. Its own drawing throughout: a crossing's run is a bracket beside the track, labelled with the day; a
tick across the track is the middle one at the end of a day. Beside another, broken track the brackets are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.plan import mercator
from passage.plan.labels import Crowd, Placed, Wanted, draw, within
from passage.plan.mercator import Mercator, degree_words, multiples
from passage.plan.svg import TINT, Sheet, closed_path
from passage.sailings.coast import coast_polygons
from passage.sailings.track import through_waypoints

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from passage.consequences.times import Day
    from passage.plan.mercator import Floats
    from passage.plan.svg import Box
    from passage.sailings.coast import Detail
    from passage.sailings.track import Track

STEPS_DAYS = ((5, 1), (10, 2), (50, 5))  # up to so many days at sea, every so many are marked
LAST_STEP_DAYS = 10
SQUATTEST = 1.05  # height over width of a chart on a page that has room for it
BORDER = 5.0
LEFT, TOP, BOTTOM = 36.0, 14.0, 14.0  # room for the degrees
FINEST = 0.25  # points: coast is drawn no finer than this
ISLET = 1.6  # points: land smaller than this is drawn as a dot, for an island must not vanish
UNDER_THE_COAST = 4.0  # points
CLOSE_LOOK_DEG = 8.0  # charts narrower than this draw the finer coastline
FIRST_LANE, LANE_APART = 9.0, 7.0
LANES = tuple((side, out) for out in range(6) for side in (-1, 1))  # port or starboard of the track, how far out
BEND, TICK = 12.0, 4.0
DAY_TICK, MARKED_TICK = 2.2, 4.5  # to each side of the track
BROKEN = "7 4"
DASHES = ("", BROKEN, "2 3", "10 3 2 3", "4 2")  # of tracks to choose between
SCALE_WIDTH, SCALE_HEIGHT = 110.0, 66.0
INLAND_APART = 6.0
OFF_THE_LAND = 100.0  # points of distance from the track that a corner without land is worth


@dataclass(frozen=True)
class Place:
    """A waypoint to be marked and named."""

    name: str
    lat_deg: float
    lon_deg: float


@dataclass(frozen=True)
class Way:
    """A track to draw: its waypoints to be marked and named, and its days, as ``times.day_by_day`` gives them."""

    track: Track
    places: Sequence[Place]
    days: Sequence[Day]


@dataclass(frozen=True)
class Tick:
    """The middle crossing at the end of a day: a stroke (2, 2) across the track, and where they meet."""

    day: int
    stroke: Floats
    foot: Floats


@dataclass(frozen=True)
class Bracket:
    """A run of the track, drawn beside it: points (n, 2), the foot on the track of its middle, and its label's turn."""

    day: int
    line: Floats
    middle: Floats
    foot: Floats


@dataclass(frozen=True)
class Chart:
    """A finished chart with what its labels had to keep clear of: points along the track and the brackets, the frame,
    and the block of miles by latitude, if there was room for it."""

    svg: str
    labels: tuple[Placed, ...]
    unplaced: tuple[str, ...]
    lines: Floats
    frame: Box
    scale: Box | None


def draw_chart(
    track: Track,
    places: Sequence[Place],
    days: Sequence[Day],
    width: float,
    height: float,
    beside: Way | None = None,
) -> Chart:
    """A chart at most ``height`` points high. days: as ``times.day_by_day`` gives them; every one is ticked.

    Each of the ``marked`` days is a bracket. With a track ``beside``, found where this one was drawn, there are none:
    those days of both are named at their ticks instead.
    """
    every = every_days(days)
    ways = [Way(track, places, days), *([beside] if beside else [])]
    runs = [through_waypoints(way.track) for way in ways]
    lons = _side_by_side(run.lon_deg for run in runs)
    sheet, chart = _blank(np.concatenate([run.lat_deg for run in runs]), np.concatenate(lons), width, height)
    coast = _land(sheet, chart)
    _graticule(sheet, chart)
    laid = [
        _lay(chart, way, _line(chart.xy(run.lat_deg, lon), run.distance_nm), lon, every)
        for way, run, lon in zip(ways, runs, lons, strict=True)
    ]
    brackets = [] if beside else _brackets(laid[0].line, marked(days))
    lines = [line for each in laid for line in (each.line.points, *(tick.stroke for tick in each.ticks))]
    keep_clear = np.concatenate([*lines, *(bracket.line for bracket in brackets)])
    left, top, right, bottom = chart.frame
    crowd = Crowd((left + 3, top + 3, right - 3, bottom - 3), keep_clear, coast)
    scale = _scale_of_miles(sheet, chart, crowd)
    crowd.taken += [(x - 4, y - 4, x + 4, y + 4) for each in laid for x, y in each.marks]
    names = _names(laid[0], ends=True) + _bracket_names(brackets)
    if beside:
        names += _names(laid[1], ends=False) + _day_names(laid[0], every, "drawn") + _day_names(laid[1], every, "found")
    labels = [crowd.place(wanted) for wanted in names]
    _draw_tracks(sheet, laid, brackets)
    for label in labels:
        if label is not None:
            draw(sheet, label)
    _border(sheet, chart)
    unplaced = tuple(wanted.words for wanted, label in zip(names, labels, strict=True) if label is None)
    return Chart(sheet.svg(), tuple(label for label in labels if label), unplaced, keep_clear, chart.frame, scale)


def draw_choices(ways: Sequence[Way], width: float, height: float) -> str:
    """Several tracks from one departure to one landfall, each with its number, from 1, where it is farthest from the
    others.
    """
    runs = [through_waypoints(way.track) for way in ways]
    lons = _side_by_side(run.lon_deg for run in runs)
    sheet, chart = _blank(np.concatenate([run.lat_deg for run in runs]), np.concatenate(lons), width, height)
    coast = _land(sheet, chart)
    _graticule(sheet, chart)
    lines = [np.asarray(chart.xy(run.lat_deg, lon)) for run, lon in zip(runs, lons, strict=True)]
    left, top, right, bottom = chart.frame
    crowd = Crowd((left + 3, top + 3, right - 3, bottom - 3), np.concatenate(lines), coast)
    _scale_of_miles(sheet, chart, crowd)
    wanted = [
        Wanted(x, y, place.name, 9.5, bold=True)
        for place in ways[0].places
        for x, y in (_on_chart(chart, place, lons[0]),)
    ]
    for number, line in enumerate(lines, 1):
        others = np.concatenate([other for other in lines if other is not line] or [line])
        away = np.hypot(*(line[:, None, :] - others[None, ::4, :]).transpose(2, 0, 1)).min(axis=1)
        x, y = line[int(np.argmax(away))]
        wanted.append(Wanted(float(x), float(y), str(number), 11.0, bold=True))
        sheet.line(line, 1.6, dash=DASHES[(number - 1) % len(DASHES)])
    for label in [crowd.place(words) for words in wanted]:
        if label is not None:
            draw(sheet, label)
    _border(sheet, chart)
    return sheet.svg()


def every_days(days: Sequence[Day]) -> int:
    """A chart marks every so many days: few enough to be told apart, and one at least of a passage of some days."""
    at_sea = sum(not day.typical_in for day in days)
    return next((step for most, step in STEPS_DAYS if at_sea <= most), LAST_STEP_DAYS)


def marked(days: Sequence[Day]) -> list[Day]:
    """Those that have a bracket: every so many, while half the crossings are at sea."""
    every = every_days(days)
    return [day for day in days if day.day % every == 0 and not day.typical_in]


def _side_by_side(longitudes: Iterable[Floats]) -> list[Floats]:
    """Longitudes that run on past 180 degrees, those of every track from the same turn as the first's."""
    unwrapped = [np.unwrap(lon, period=360.0) for lon in longitudes]
    return [lon - 360.0 * np.round((lon[0] - unwrapped[0][0]) / 360.0) for lon in unwrapped]


def _blank(lat_deg: Floats, lon_deg: Floats, width: float, height: float) -> tuple[Sheet, Mercator]:
    inner = width - 2 * (LEFT + BORDER)
    wanted = inner * min(max(mercator.shape(lat_deg, lon_deg), SQUATTEST), 1.6)
    inner_high = min(wanted, height - TOP - BOTTOM - 2 * BORDER)
    frame = (LEFT + BORDER, TOP + BORDER, LEFT + BORDER + inner, TOP + BORDER + inner_high)
    sheet = Sheet(width, inner_high + TOP + BOTTOM + 2 * BORDER)
    sheet.clip("frame", frame[0], frame[1], inner, inner_high)
    return sheet, mercator.fit(lat_deg, lon_deg, frame)


def _land(sheet: Sheet, chart: Mercator) -> Floats:
    """Draw the land; its outline's points (n, 2) come back."""
    west, south, east, north = chart.limits_deg
    pad = 0.02 * (east - west)
    detail: Detail = "high" if east - west < CLOSE_LOOK_DEG else "intermediate"
    box = (west - pad, max(south - pad, -90.0), min(east + pad, west - pad + 360.0), min(north + pad, 90.0))
    outlines = [_coarser(chart.xy(ring[:, 1], ring[:, 0])) for ring in coast_polygons(*box, detail)]
    large = [ring for ring in outlines if np.ptp(ring, axis=0).max() >= ISLET]
    islets = [ring.mean(axis=0) for ring in outlines if np.ptp(ring, axis=0).max() < ISLET]
    islets = [islet for islet in _apart(islets, large) if within(islet[None, :], chart.frame, -ISLET)]
    if large:
        sheet.path("".join(closed_path(ring) for ring in large), 0.7, fill=TINT, clip="frame")
    if islets:
        sheet.path("".join(f"M{x:.2f} {y:.2f}h.01" for x, y in islets), ISLET)
    return np.concatenate([*large, *(islet[None, :] for islet in islets), _inland(large, chart.frame)])


def _apart(islets: list[Floats], outlines: list[Floats]) -> list[Floats]:
    """The islets that do not lie close under a coast, where dots would only thicken the line."""
    cells = np.round(np.concatenate([*outlines, np.empty((0, 2))]) / UNDER_THE_COAST).astype(int)
    taken = set(map(tuple, cells.tolist()))
    return [islet for islet in islets if tuple(np.round(islet / UNDER_THE_COAST).astype(int).tolist()) not in taken]


def _inland(outlines: list[Floats], frame: Box) -> Floats:
    """Points (n, 2) of a coarse grid over the chart that lie on land."""
    import shapely

    columns, rows = np.arange(frame[0], frame[2], INLAND_APART), np.arange(frame[1], frame[3], INLAND_APART)
    x, y = (axis.ravel() for axis in np.meshgrid(columns, rows))
    dry = np.zeros(len(x), dtype=bool)
    for outline in outlines:
        low, high = outline.min(axis=0), outline.max(axis=0)
        near = np.flatnonzero((x >= low[0]) & (x <= high[0]) & (y >= low[1]) & (y <= high[1]) & ~dry)
        dry[near] = shapely.contains_xy(shapely.Polygon(outline), x[near], y[near])
    return np.stack([x[dry], y[dry]], axis=1)


def _coarser(points: Floats) -> Floats:
    """The outline on a grid as fine as the eye, each grid point once running."""
    snapped = np.round(points / FINEST) * FINEST
    changed = np.ones(len(snapped), dtype=bool)
    changed[1:] = (snapped[1:] != snapped[:-1]).any(axis=1)
    return snapped[changed]


def _graticule(sheet: Sheet, chart: Mercator) -> None:
    left, top, right, bottom = chart.frame
    west, south, east, north = chart.limits_deg
    step, _ = mercator.graticule(chart)
    for minutes in multiples(west, east, step):
        x = chart.xy(0.0, minutes / 60.0)[0]
        sheet.line([(x, top), (x, bottom)], 0.35)
        sheet.text(x, bottom + BORDER + 9, degree_words(minutes, "EW"), 7.5, anchor="middle")
        sheet.text(x, top - BORDER - 3, degree_words(minutes, "EW"), 7.5, anchor="middle")
    for minutes in multiples(south, north, step):
        y = chart.xy(minutes / 60.0, 0.0)[1]
        sheet.line([(left, y), (right, y)], 0.35)
        sheet.text(left - BORDER - 3, y + 2.7, degree_words(minutes, "NS"), 7.5, anchor="end")
        sheet.text(right + BORDER + 3, y + 2.7, degree_words(minutes, "NS"), 7.5)


def _border(sheet: Sheet, chart: Mercator) -> None:
    """The neat line, an outer line, and between them bars for the smaller steps, black and white by turns."""
    left, top, right, bottom = chart.frame
    west, south, east, north = chart.limits_deg
    _, step = mercator.graticule(chart)
    for low in multiples(west - step / 60.0, east, step):
        start, end = (float(chart.xy(0.0, minutes / 60.0)[0]) for minutes in (low, low + step))
        start, end = max(start, left), min(end, right)
        if low // step % 2 == 0 and end > start:
            for y in (top - BORDER / 2, bottom + BORDER / 2):
                sheet.path(f"M{start:.2f} {y:.2f}H{end:.2f}", BORDER / 2, ends="butt")
    for low in multiples(south - step / 60.0, north, step):
        start, end = (float(chart.xy(minutes / 60.0, 0.0)[1]) for minutes in (low + step, low))
        start, end = max(start, top), min(end, bottom)
        if low // step % 2 == 0 and end > start:
            for x in (left - BORDER / 2, right + BORDER / 2):
                sheet.path(f"M{x:.2f} {start:.2f}V{end:.2f}", BORDER / 2, ends="butt")
    for grow, width in ((0.0, 0.6), (BORDER, 1.2)):
        corners = [(left - grow, top - grow), (right + grow, top - grow), (right + grow, bottom + grow)]
        sheet.path(closed_path([*corners, (left - grow, bottom + grow)]), width)


@dataclass(frozen=True)
class Line:
    """The track on paper: points (n, 2) even distances apart and the run (n,) to each, both in points; and the run to
    each node of the track, whose distances (nm) are ``node_nm``."""

    points: Floats
    run: Floats
    node_run: Floats
    node_nm: Floats

    def run_to(self, distance_nm: float) -> float:
        return float(np.interp(distance_nm, self.node_nm, self.node_run))

    def at(self, run: Floats | float) -> Floats:
        return np.stack([np.interp(run, self.run, self.points[:, axis]) for axis in (0, 1)], axis=-1)

    def abeam(self, run: Floats, off: float) -> Floats:
        """Points ``off`` points to starboard of the line (port where negative), its small turns smoothed out."""
        before, after = self.at(np.maximum(run - BEND, 0.0)), self.at(np.minimum(run + BEND, self.run[-1]))
        ahead = after - before
        ahead /= np.maximum(np.hypot(*ahead.T), 1e-9)[:, None]
        return self.at(run) + off * np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)


def _line(nodes: Floats, node_nm: Floats) -> Line:
    """Through the nodes (n, 2) of the track on paper, a point every point and a half."""
    node_run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(nodes, axis=0).T))])
    run = np.linspace(0.0, node_run[-1], max(int(node_run[-1] / 1.5), 8) + 1)
    points = np.stack([np.interp(run, node_run, nodes[:, axis]) for axis in (0, 1)], axis=1)
    return Line(points, run, node_run, node_nm)


@dataclass(frozen=True)
class Laid:
    """A way on paper: its line, a tick for each day, and a mark (x, y) for each of its places."""

    line: Line
    ticks: list[Tick]
    marks: list[Floats]
    places: Sequence[Place]


def _lay(chart: Mercator, way: Way, line: Line, lon_deg: Floats, every: int) -> Laid:
    marks = [_on_chart(chart, place, lon_deg) for place in way.places]
    return Laid(line, _ticks(line, way.days, every), marks, way.places)


def _ticks(line: Line, days: Sequence[Day], every: int) -> list[Tick]:
    """A tick for each day on which the middle crossing is at sea, longer for those that are marked."""
    ticks = []
    for day in days:
        if not day.typical_in:
            run = line.run_to(day.typical_run_nm)
            reach = MARKED_TICK if day.day % every == 0 else DAY_TICK
            stroke = np.concatenate([line.abeam(np.array([run]), side * reach) for side in (-1, 1)])
            ticks.append(Tick(day.day, stroke, line.at(run)))
    return ticks


def _brackets(line: Line, days: Sequence[Day]) -> list[Bracket]:
    """A bracket for each of the days; overlapping ones take lanes farther out."""
    ends: dict[tuple[int, int], float] = {}
    brackets = []
    for day in days:
        least, typical, most = (line.run_to(nm) for nm in (day.least_run_nm, day.typical_run_nm, day.most_run_nm))
        lane = next(lane for lane in LANES if least > ends.get(lane, -math.inf) + 4.0 or lane == LANES[-1])
        ends[lane] = most
        off = lane[0] * (FIRST_LANE + LANE_APART * lane[1])
        run = np.linspace(least, most, max(int((most - least) / 1.5), 2) + 1)
        middle = line.abeam(np.array([typical]), off)[0]
        brackets.append(Bracket(day.day, line.abeam(run, off), middle, line.at(typical)))
    return brackets


def _on_chart(chart: Mercator, place: Place, near_deg: Floats) -> Floats:
    """Where a waypoint stands on the paper; its longitude is turned to lie along the track's own."""
    turns = round((float(near_deg.mean()) - place.lon_deg) / 360.0)
    around = [place.lon_deg + 360.0 * (turns + extra) for extra in (-1, 0, 1)]
    lon_deg = min(around, key=lambda lon: max(near_deg.min() - lon, lon - near_deg.max(), 0.0))
    return chart.xy(place.lat_deg, lon_deg)


def _names(laid: Laid, ends: bool) -> list[Wanted]:
    """Names of the waypoints, the first and the last, where they are the ends of the track, before the others."""
    middle = laid.line.points.mean(axis=0)
    first = {0, len(laid.places) - 1} if ends else set()
    names = []
    for index in sorted(range(len(laid.places)), key=lambda index: index not in first):
        x, y = laid.marks[index]
        away = math.atan2(y - middle[1], x - middle[0])
        size, bold = (9.5, True) if index in first else (8.0, False)
        names.append(Wanted(x, y, laid.places[index].name, size, bold, away))
    return names


def _bracket_names(brackets: list[Bracket]) -> list[Wanted]:
    names = []
    for bracket in brackets:
        (x, y), out = bracket.middle, bracket.middle - bracket.foot
        names.append(Wanted(x, y, f"day {bracket.day}", 9.0, True, math.atan2(out[1], out[0])))
    return names


def _day_names(laid: Laid, every: int, which: str) -> list[Wanted]:
    """A name for the tick of each day that is marked."""
    named = [tick for tick in laid.ticks if tick.day % every == 0]
    return [Wanted(tick.foot[0], tick.foot[1], f"day {tick.day} {which}", 8.0, True) for tick in named]


def _draw_tracks(sheet: Sheet, laid: list[Laid], brackets: list[Bracket]) -> None:
    """The first with its brackets and the ends of the voyage, another broken."""
    for each, dash in zip(laid, ("", BROKEN), strict=False):
        sheet.line(each.line.points, 1.6, dash=dash)
        for tick in each.ticks:
            sheet.line(tick.stroke, 0.8)
    for bracket in brackets:
        _draw_bracket(sheet, bracket)
    (start, *between, end), others = laid[0].marks, [mark for each in laid[1:] for mark in each.marks]
    for x, y in (*between, *others):
        sheet.dot(x, y, 2.4, fill="#fff", width=1.1)
    for x, y in (start, end):
        sheet.dot(x, y, 3.6, fill="#fff", width=1.6)


def _draw_bracket(sheet: Sheet, bracket: Bracket) -> None:
    sheet.line(bracket.line, 1.1)
    inward = (bracket.foot - bracket.middle) / max(math.dist(bracket.foot, bracket.middle), 1e-9)
    for end in (bracket.line[0], bracket.line[-1]):
        sheet.line(np.stack([end, end + TICK * inward]), 1.1)
    sheet.line(np.stack([bracket.middle, bracket.foot]), 0.5)
    sheet.dot(bracket.foot[0], bracket.foot[1], 2.2)


def _scale_of_miles(sheet: Sheet, chart: Mercator, crowd: Crowd) -> Box | None:
    """Miles by latitude, in the corner of the chart that the track leaves most room in; its place, or None for no room.

    A length on Mercator's chart means other miles at another latitude: the block's height spans the chart's latitudes
    and its lines stand so far apart as the miles do there.
    """
    _, south, _, north = chart.limits_deg
    lats = np.linspace(north, south, 25)
    per_mile = np.array([chart.points_per_mile(float(lat)) for lat in lats])
    miles = _round_miles(SCALE_WIDTH / float(per_mile.max()))
    box = _emptiest_corner(crowd, miles * float(per_mile.max()) + 54.0, SCALE_HEIGHT + 40.0)
    if box is None:
        return None
    crowd.taken.append(box)
    sheet.paper(box)
    x, y = box[0] + 32.0, box[1] + 24.0
    sheet.text(box[0] + 4.0, box[1] + 9.0, "Miles, by latitude", 7.5)
    heights = y + SCALE_HEIGHT * (north - lats) / (north - south)
    wider, numbers_y = (0, y - 3.0) if per_mile[0] > per_mile[-1] else (-1, y + SCALE_HEIGHT + 10.0)
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        columns = x + miles * share * per_mile
        sheet.line(np.stack([columns, heights], axis=1), 1.0 if share in (0.0, 1.0) else 0.4)
        if share in (0.0, 0.5, 1.0):
            sheet.text(columns[wider], numbers_y, f"{miles * share:g}", 7.5, anchor="middle")
    step, _ = mercator.graticule(chart)
    for minutes in multiples(south, north, step):
        level = y + SCALE_HEIGHT * (north - minutes / 60.0) / (north - south)
        reach = miles * chart.points_per_mile(minutes / 60.0)
        sheet.line([(x, level), (x + reach, level)], 0.4)
        sheet.text(x - 3.0, level + 2.4, degree_words(minutes, "NS").replace(" ", ""), 6.5, anchor="end")
    return box


def _round_miles(most: float) -> int:
    """The largest of 4, 8, 20, 40, 80, 200 ... that fits: its quarters are whole miles."""
    choices = [int(f"{factor}{'0' * zeros}") for zeros in range(5) for factor in (4, 8, 20)]
    return max((miles for miles in choices if miles <= most), default=choices[0])


def _emptiest_corner(crowd: Crowd, width: float, height: float) -> Box | None:
    left, top, right, bottom = crowd.frame
    rows, columns = (bottom - height, (top + bottom - height) / 2, top), (left, right - width)
    boxes = [(x, y, x + width, y + height) for y in rows for x in columns]

    def room(box: Box) -> float:
        middle = np.array([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2])
        return float(np.hypot(*(crowd.lines - middle).T).min()) - OFF_THE_LAND * within(crowd.coast, box)

    return max((box for box in boxes if crowd.free(box)), key=room, default=None)
