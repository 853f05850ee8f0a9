"""The passage chart: Mercator, black on white, with where 8 crossings in 10 would be on every fifth day.

Not for navigation. Its own drawing throughout: a crossing's run is a bracket beside the track, labelled with the day.
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

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.times import Day
    from passage.plan.mercator import Floats
    from passage.plan.svg import Box
    from passage.sailings.coast import Detail
    from passage.sailings.track import Track

EVERY_DAYS = 5
SQUATTEST = 1.05  # height over width of a chart on a page that has room for it
HARBOUR_NM = 1.0  # nearer the end of the track than this, a crossing is in
BORDER = 5.0
LEFT, TOP, BOTTOM = 36.0, 14.0, 14.0  # room for the degrees
FINEST = 0.25  # points: coast is drawn no finer than this
ISLET = 1.6  # points: land smaller than this is drawn as a dot, for an island must not vanish
UNDER_THE_COAST = 4.0  # points
CLOSE_LOOK_DEG = 8.0  # charts narrower than this draw the finer coastline
FIRST_LANE, LANE_APART = 9.0, 7.0
LANES = tuple((side, out) for out in range(6) for side in (-1, 1))  # port or starboard of the track, how far out
BEND, TICK = 12.0, 4.0
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


def draw_chart(track: Track, places: Sequence[Place], days: Sequence[Day], width: float, height: float) -> Chart:
    """A chart at most ``height`` points high. days: as ``times.day_by_day`` gives them; every fifth is drawn."""
    lon = np.unwrap(track.lon_deg, period=360.0)
    inner = width - 2 * (LEFT + BORDER)
    wanted = inner * min(max(mercator.shape(track.lat_deg, lon), SQUATTEST), 1.6)
    inner_high = min(wanted, height - TOP - BOTTOM - 2 * BORDER)
    frame = (LEFT + BORDER, TOP + BORDER, LEFT + BORDER + inner, TOP + BORDER + inner_high)
    chart = mercator.fit(track.lat_deg, lon, frame)
    sheet = Sheet(width, inner_high + TOP + BOTTOM + 2 * BORDER)
    sheet.clip("frame", frame[0], frame[1], inner, inner_high)
    coast = _land(sheet, chart)
    _graticule(sheet, chart)
    line = _line(chart.xy(track.lat_deg, lon), track.distance_nm)
    brackets = _brackets(line, days, track.length_nm)
    keep_clear = np.concatenate([line.points, *(bracket.line for bracket in brackets)])
    crowd = Crowd((frame[0] + 3, frame[1] + 3, frame[2] - 3, frame[3] - 3), keep_clear, coast)
    marks = [_on_chart(chart, place, lon) for place in places]
    scale = _scale_of_miles(sheet, chart, crowd)
    crowd.taken += [(x - 4, y - 4, x + 4, y + 4) for x, y in marks]
    labels = _named(crowd, line, places, marks, brackets)
    _draw_track(sheet, line, brackets, marks)
    for label in labels:
        if label is not None:
            draw(sheet, label)
    _border(sheet, chart)
    names = [place.name for place in places] + [f"day {bracket.day}" for bracket in brackets]
    unplaced = tuple(name for name, label in zip(names, labels, strict=True) if label is None)
    return Chart(sheet.svg(), tuple(label for label in labels if label), unplaced, keep_clear, frame, scale)


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
    for x, y in islets:
        sheet.dot(x, y, ISLET / 2, width=0)
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


def _brackets(line: Line, days: Sequence[Day], length_nm: float) -> list[Bracket]:
    """A bracket for each fifth day until half the crossings are in; overlapping ones take lanes farther out."""
    ends: dict[tuple[int, int], float] = {}
    brackets = []
    for day in days:
        if day.day % EVERY_DAYS or day.typical_nm >= length_nm - HARBOUR_NM:
            continue
        least, typical, most = (line.run_to(nm) for nm in (day.least_nm, day.typical_nm, day.most_nm))
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


def _named(
    crowd: Crowd, line: Line, places: Sequence[Place], marks: list[Floats], brackets: list[Bracket]
) -> list[Placed | None]:
    """Labels for the waypoints, the ends of the track first, and for the brackets."""
    middle = line.points.mean(axis=0)
    labels: list[Placed | None] = [None] * (len(places) + len(brackets))
    ends = (0, len(places) - 1)
    for index in (*ends, *(index for index in range(len(places)) if index not in ends)):
        x, y = marks[index]
        away = math.atan2(y - middle[1], x - middle[0])
        size, bold = (9.5, True) if index in ends else (8.0, False)
        labels[index] = crowd.place(Wanted(x, y, places[index].name, size, bold, away))
    for index, bracket in enumerate(brackets, len(places)):
        out = bracket.middle - bracket.foot
        wanted = Wanted(
            bracket.middle[0], bracket.middle[1], f"day {bracket.day}", 9.0, True, math.atan2(out[1], out[0])
        )
        labels[index] = crowd.place(wanted)
    return labels


def _draw_track(sheet: Sheet, line: Line, brackets: list[Bracket], marks: list[Floats]) -> None:
    sheet.line(line.points, 1.6)
    for bracket in brackets:
        sheet.line(bracket.line, 1.1)
        inward = (bracket.foot - bracket.middle) / max(math.dist(bracket.foot, bracket.middle), 1e-9)
        for end in (bracket.line[0], bracket.line[-1]):
            sheet.line(np.stack([end, end + TICK * inward]), 1.1)
        sheet.line(np.stack([bracket.middle, bracket.foot]), 0.5)
        sheet.dot(bracket.foot[0], bracket.foot[1], 2.2)
    for x, y in marks[1:-1]:
        sheet.dot(x, y, 2.4, fill="#fff", width=1.1)
    for x, y in (marks[0], marks[-1]):
        sheet.dot(x, y, 3.6, fill="#fff", width=1.6)


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
