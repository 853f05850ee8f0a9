"""The passage chart, black on white: the same for paper, page, notebook and program. Not for navigation.

Lengths are points of the paper, upwards from the lower left.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from passage.draw.labels import Label, Room
from passage.draw.names import names_within, ocean_at
from passage.draw.paper import FACES, SQUATTEST, blank, draw_graticule, draw_land, mapped, projected
from passage.draw.roses import ROSE_PT, draw_rose, longest_share
from passage.draw.waters import draw_depths, draw_walls
from passage.sailings.geodesic import inverse
from passage.sailings.magnetic import variation
from passage.sailings.track import at_distance, through_waypoints

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.figure import Figure

    from passage.consequences.times import Day
    from passage.crossings.rose import Rose
    from passage.draw.labels import Box, Floats
    from passage.draw.names import Named
    from passage.draw.paper import Paper
    from passage.draw.waters import Wall
    from passage.sailings.track import Track

HALF_BREADTH = 4.5  # of the ellipse of a day, whose length alone is reckoned
DASHES: tuple[Any, ...] = ("-", (0, (6, 3)), (0, (1.5, 2)), (0, (8, 2, 1.5, 2)), (0, (3, 1.5)))
DOTTED, FINE_DOTTED = (0, (1, 2)), (0, (1, 1.5))
STEPS_DAYS, LAST_STEP_DAYS = ((5, 1), (10, 2), (50, 5)), 10  # up to so many days at sea, every so many are marked
ISOGONAL_STEPS_DEG = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
ROSE_OFF = (40.0, -40.0, 60.0, -60.0, 88.0, -88.0)  # how far off the track a rose stands, the nearest free place first
INSET_PT, INSET_NM, INSET_FROM_NM = 92.0, 28.0, 200.0  # breadth of the landfall on paper and at sea; of longer tracks
SCALE_PT = 90.0
FULL_SHEET = 1.3  # height over width of a sheet to plot on


class Place(NamedTuple):
    """Something to be marked and named."""

    name: str
    lat_deg: float
    lon_deg: float


class Way(NamedTuple):
    """A track to draw: places on it to be marked and named, its days, and a word for it where there are several."""

    track: Track
    places: Sequence[Place]
    days: Sequence[Day] = ()
    word: str = ""


class RoseAt(NamedTuple):
    """A wind rose and where on the track it is."""

    lat_deg: float
    lon_deg: float
    letter: str
    rose: Rose


class Besides(NamedTuple):
    """What else a chart shows. refuges: to run for; walls: what is kept out of; year: of the variation, NaN for none;
    inset: the landfall, larger; plotting: nothing but the graticule, the track and all its days.
    """

    roses: Sequence[RoseAt] = ()
    refuges: Sequence[Place] = ()
    walls: Sequence[Wall] = ()
    year: float = math.nan
    inset: bool = False
    plotting: bool = False


NOTHING = Besides()


@dataclass(frozen=True)
class Chart:
    """A finished chart. placed: its names; key: what its numbers stand for."""

    paper: Paper
    placed: tuple[Label, ...]
    key: tuple[str, ...]

    @property
    def figure(self) -> Figure:
        return self.paper.figure

    def xy(self, lat_deg: Floats, lon_deg: Floats) -> Floats:
        """Points (n, 2) on the paper, downwards from the upper left, as SVG counts."""
        x, y = self.paper.at(lat_deg, lon_deg).T
        return np.stack([x, self.paper.size_pt[1] - y], axis=1)

    def lat_lon(self, x: float, y: float) -> tuple[float, float]:
        """What lies at a point of the paper, counted downwards: degrees, east running on past 180."""
        lat_deg, lon_deg = self.paper.positions(np.array([[x, self.paper.size_pt[1] - y]]))[0]
        return float(lat_deg), float(lon_deg)

    @property
    def frame(self) -> Box:
        """The inside of the border: left, top, right, bottom, counted downwards."""
        left, bottom, right, top = self.paper.frame
        return left, self.paper.size_pt[1] - top, right, self.paper.size_pt[1] - bottom

    def svg(self) -> str:
        return self.paper.svg()


def every_days(days: Sequence[Day]) -> int:
    """A chart marks every so many days: few enough to be told apart, and one at least of a passage of some days."""
    at_sea = sum(not day.typical_in for day in days)
    return next((step for most, step in STEPS_DAYS if at_sea <= most), LAST_STEP_DAYS)


def draw_chart(ways: Sequence[Way], wide_pt: float, high_pt: float, besides: Besides = NOTHING) -> Chart:
    """A chart so wide, and as high as the tracks ask, at most ``high_pt``. A way alone has its days as ellipses."""
    runs = [_unwrapped(way.track, ways[0].track) for way in ways]
    lat_deg, lon_deg = np.concatenate(runs, axis=1)
    paper = blank(lat_deg, lon_deg, wide_pt, high_pt, FULL_SHEET if besides.plotting else SQUATTEST)
    lines = [_dense(paper.at(*run)) for run in runs]
    room = Room(_inside(paper.frame, 3.0), np.concatenate(lines))
    draw_graticule(paper, most_lines=14 if besides.plotting else 7)
    if not besides.plotting:
        draw_depths(paper)
        room.ground = draw_land(paper)
        _isogonals(paper, besides.year)
    days = _days(paper, ways[0], 1 if besides.plotting else every_days(ways[0].days)) if len(ways) == 1 else []
    for way_line, dash in zip(lines, DASHES * len(lines), strict=False):
        paper.line(way_line, 1.5, dash)
    labels = [*_waypoints(paper, room, ways), *(_day_names(room, days) if days else _ways_named(room, ways, lines))]
    if not besides.plotting:
        labels += _surroundings(paper, room, ways[0], besides)
    _scale_of_miles(paper, room)
    placed = tuple(label for label in labels if label)
    for label in placed:
        if label.leader:
            paper.line(np.array([label.place, label.edge]), 0.4)
        paper.words(label.words, label.x, label.y, label.size, label.bold)
    return Chart(paper, placed, tuple(room.key))


def _unwrapped(track: Track, first: Track) -> Floats:
    """Latitudes and longitudes (2, n) that run on past 180 degrees, from the same turn as the first track's."""
    drawn, start = through_waypoints(track), float(first.lon_deg[0])
    lon_deg = np.unwrap(drawn.lon_deg, period=360.0)
    return np.stack([drawn.lat_deg, lon_deg + 360.0 * round((start - float(lon_deg[0])) / 360.0)])


def _inside(frame: Box, by: float) -> Box:
    return frame[0] + by, frame[1] + by, frame[2] - by, frame[3] - by


def _dense(line: Floats) -> Floats:
    """Points of a line no more than two points apart."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    even = np.linspace(0.0, run[-1], int(run[-1] / 2.0) + 2)
    return np.stack([np.interp(even, run, line[:, at]) for at in (0, 1)], axis=1)


def _isogonals(paper: Paper, year: float) -> None:
    """Lines of equal variation."""
    if math.isnan(year):
        return
    west, south, east, north = paper.limits_deg()
    lon_deg, lat_deg = np.meshgrid(np.linspace(west, east, 13), np.linspace(max(south, -89.0), min(north, 89.0), 13))
    around = (lon_deg + 180.0) % 360.0 - 180.0
    found = [variation(lat, lon, year).variation_deg for lat, lon in zip(lat_deg.flat, around.flat, strict=True)]
    grid = np.unwrap(np.unwrap(np.reshape(found, lat_deg.shape), period=360.0, axis=1), period=360.0, axis=0)
    step = next((step for step in ISOGONAL_STEPS_DEG if np.ptp(grid) / step <= 7), ISOGONAL_STEPS_DEG[-1])
    levels = step * np.arange(math.ceil(grid.min() / step), math.floor(grid.max() / step) + 1)
    if len(levels):
        x, y = projected(paper.axis.projection, lat_deg.ravel(), lon_deg.ravel()).T.reshape(2, *grid.shape)
        style: dict[str, Any] = {"colors": "black", "linewidths": 0.5, "linestyles": "--", "zorder": 2}
        lines = paper.axis.contour(x, y, grid, levels, **style)
        paper.axis.clabel(lines, fmt=_variation_words, fontsize=6.5)


def _variation_words(variation_deg: float) -> str:
    letter = "" if variation_deg == 0 else "E" if variation_deg > 0 else "W"
    return f"var {abs(variation_deg):g}°{letter}"  # beside longitudes, of which it must not look like one


# ---------------------------------------------------------------- tracks and days


class Marked(NamedTuple):
    """A day: its outline, and where the middle crossing is."""

    day: int
    outline: Floats
    middle: Floats


def _days(paper: Paper, way: Way, every: int) -> list[Marked]:
    """Where 8 crossings in 10 are at the end of every so many days: an ellipse, bent along the track."""
    share, found = np.linspace(-1.0, 1.0, 33), []
    for day in way.days:
        if day.typical_in or day.day % every:
            continue
        middle_nm, half_nm = (day.least_run_nm + day.most_run_nm) / 2.0, (day.most_run_nm - day.least_run_nm) / 2.0
        line = _along(paper, way.track, middle_nm + share * half_nm)
        ahead = np.gradient(line, axis=0)
        ahead /= np.maximum(np.hypot(*ahead.T), 1e-9)[:, None]
        off = HALF_BREADTH * np.sqrt(1.0 - share**2)[:, None] * np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
        outline = np.concatenate([line + off, (line - off)[::-1], line[:1]])
        middle = _along(paper, way.track, np.array([day.typical_run_nm]))
        paper.line(outline, 0.9)
        paper.dots(middle, 3.4)
        found.append(Marked(day.day, outline, middle[0]))
    return found


def _along(paper: Paper, track: Track, run_nm: Floats) -> Floats:
    """Points of places along the track."""
    places = at_distance(track, run_nm)
    return paper.at(places.lat_deg, paper.near(places.lon_deg))


# ---------------------------------------------------------------- names


def _point(paper: Paper, place: Place | RoseAt | Named) -> tuple[float, float]:
    x, y = paper.at(np.array([place.lat_deg]), paper.near(np.array([place.lon_deg])))[0]
    return float(x), float(y)


def _waypoints(paper: Paper, room: Room, ways: Sequence[Way]) -> list[Label | None]:
    """The ends of the first way in bold and before all others; what another way shares with it is named once."""
    first = list(ways[0].places)
    ends = first[:1] + first[1:][-1:]
    seen = {place.name for place in first}
    between = [*first[1:-1], *(place for way in ways[1:] for place in way.places if place.name not in seen)]
    found = [(place, _point(paper, place)) for place in (*ends, *between)]
    for number, (_, (x, y)) in enumerate(found):
        paper.dots(np.array([[x, y]]), *((6.5, "white", 0, 1.5) if number < len(ends) else (4.2, "white")))
        room.taken.append((x - 4.0, y - 4.0, x + 4.0, y + 4.0))
    return [
        room.name(place.name, point, 9.0, bold=True) if number < len(ends) else room.name(place.name, point, 7.5)
        for number, (place, point) in enumerate(found)
    ]


def _day_names(room: Room, days: Sequence[Marked]) -> list[Label | None]:
    room.lines = np.concatenate([room.lines, *(day.outline for day in days)])
    return [room.take(f"day {day.day}", (float(day.middle[0]), float(day.middle[1])), 8.0, bold=True) for day in days]


def _ways_named(room: Room, ways: Sequence[Way], lines: Sequence[Floats]) -> list[Label | None]:
    """The word of each way where it is farthest from the others."""
    found: list[Label | None] = []
    for way, line in zip(ways, lines, strict=True):
        others = np.concatenate([other for other in lines if other is not line] or [line[:1]])[::4]
        away = np.hypot(*(line[:, None, :] - others[None]).transpose(2, 0, 1)).min(axis=1)
        x, y = line[int(np.argmax(away))]
        found.append(room.take(way.word, (float(x), float(y)), 10.0, bold=True) if way.word else None)
    return found


def _surroundings(paper: Paper, room: Room, way: Way, besides: Besides) -> list[Label | None]:
    """The landfall, roses, refuges and their ways, walls, then names as far as there is room."""
    line = _dense(paper.at(*_unwrapped(way.track, way.track)))
    found: list[Label | None] = []
    if besides.inset and way.track.length_nm > INSET_FROM_NM:
        _landfall(paper, room, way)
    most = longest_share([rose.rose for rose in besides.roses])
    for rose in besides.roses:
        found.append(_rose(paper, room, _point(paper, rose), line, rose, most))
    left, bottom, right, top = room.frame
    for refuge in besides.refuges:
        x, y = _point(paper, refuge)
        if left < x < right and bottom < y < top:
            nearest = line[int(np.argmin(np.hypot(*(line - (x, y)).T)))]
            paper.line(np.array([(x, y), nearest]), 0.7, DOTTED)
            paper.dots(np.array([[x, y]]), 8.0, "white", corners=3)
            room.taken.append((x - 4.0, y - 4.0, x + 4.0, y + 4.0))
            found.append(room.name(refuge.name, (x, y), 7.5, bold=True))
    found += draw_walls(paper, room, besides.walls)
    known = {place.name for place in (*way.places, *besides.refuges)}
    for named in names_within(*paper.limits_deg()):
        if named.name not in known:
            found.append(_geographic(room, named, _point(paper, named)))
    return [*found, _ocean(room, way)]


def _geographic(room: Room, named: Named, point: tuple[float, float]) -> Label | None:
    if named.kind == "sea":
        return room.centred(_spaced(named.name), point, 6.5)
    return room.take(named.name, point, 6.5)


def _ocean(room: Room, way: Way) -> Label | None:
    """The name of the ocean in the emptiest part of the chart, off the land."""
    half = len(way.track.lat_deg) // 2
    words = _spaced(ocean_at(float(way.track.lat_deg[half]), float(way.track.lon_deg[half])))
    left, bottom, right, top = room.frame
    places = [(x, y) for x in np.linspace(left, right, 15)[1:-1] for y in np.linspace(bottom, top, 15)[1:-1]]
    crowded = np.concatenate([room.lines, room.coast, room.middles])

    def off(place: tuple[float, float]) -> float:
        return float(np.hypot(*(crowded - place).T).min())

    afloat = (place for place in sorted(places, key=off, reverse=True) if not room.is_on_land(place))
    return next((label for place in afloat if (label := room.centred(words, place, 7.5))), None)


def _spaced(words: str) -> str:
    """In capitals set apart, as charts write the names of waters."""
    return "\u00a0\u00a0\u00a0".join("\u00a0".join(word) for word in words.upper().split())


# ---------------------------------------------------------------- roses, the landfall, the scale


def _rose(
    paper: Paper, room: Room, point: tuple[float, float], line: Floats, rose: RoseAt, most: float
) -> Label | None:
    """A rose abeam of its place, on whichever side there is room, with its letter beneath it."""
    at = int(np.argmin(np.hypot(*(line - point).T)))
    ahead = line[min(at + 4, len(line) - 1)] - line[max(at - 4, 0)]
    abeam = np.array([-ahead[1], ahead[0]]) / max(float(np.hypot(*ahead)), 1e-9)
    for off in ROSE_OFF:
        x, y = (float(each) for each in point + off * abeam)
        box = (x - ROSE_PT, y - ROSE_PT, x + ROSE_PT, y + ROSE_PT)
        if room.is_free(box):
            room.taken.append(box)
            paper.line(np.array([point, (x, y)]), 0.3, FINE_DOTTED)
            draw_rose(paper, rose.rose, (x, y), most)
            return room.take(rose.letter, (x, y - ROSE_PT), 7.0, bold=True)
    return None


def _landfall(paper: Paper, room: Room, way: Way) -> None:
    """The last miles on a larger scale, in the free corner farthest from the track."""
    left, bottom, right, top = room.frame
    corners = [(x, y, x + INSET_PT, y + INSET_PT) for x in (left, right - INSET_PT) for y in (bottom, top - INSET_PT)]
    free = [box for box in corners if room.is_free(box)]
    if not free:
        return

    def off(box: Box) -> float:
        return float(np.hypot(*(room.lines - ((box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0)).T).min())

    box = max(free, key=off)
    room.taken.append(_inside(box, -2.0))
    run, half = _unwrapped(way.track, way.track), INSET_NM / 120.0
    lat, lon = run[:, -1]
    (x, low), (_, high) = projected(paper.axis.projection, np.array([lat - half, lat + half]), np.array([lon, lon]))
    across = float(np.hypot(high - low, 0.0))
    inner = mapped(paper.figure, paper.axis.projection, box, (float(x), float(low + high) / 2.0), (across, across))
    draw_land(inner)
    inner.axis.plot(*inner.at(*run).T, color="black", linewidth=1.2, transform=inner.points)
    words = {"fontsize": 6.0, "family": FACES, "transform": inner.points}
    inner.axis.text(box[0] + 4.0, box[3] - 9.0, f"landfall, {INSET_NM:g} miles across", **words)


def _scale_of_miles(paper: Paper, room: Room) -> None:
    """A round number of miles at the middle latitude, in the lowest corner that is free."""
    west, south, east, north = paper.limits_deg()
    lat, lon = (south + north) / 2.0, (west + east) / 2.0
    ends = paper.at(np.array([lat, lat]), np.array([lon, lon + 1.0 / 6.0]))
    per_mile = float(np.hypot(*(ends[1] - ends[0]))) / inverse(lat, 0.0, lat, 1.0 / 6.0).distance_nm
    rounds = [factor * 10**zeros for zeros in range(5) for factor in (1, 2, 5)]
    miles = max((number for number in rounds if number * per_mile <= SCALE_PT), default=1)
    wide, (left, bottom, right, top) = miles * per_mile, _inside(paper.frame, 8.0)
    for y in (bottom, top - 14.0):
        for x in (left, right - max(wide, 74.0)):
            box = (x - 2.0, y - 3.0, x + max(wide, 74.0), y + 14.0)
            if room.is_free(box):
                room.taken.append(box)
                paper.line(np.array([(x, y + 3.0), (x, y), (x + wide, y), (x + wide, y + 3.0)]), 1.0)
                words = f"{miles} miles at {abs(lat):.0f}°{'N' if lat > 0 else 'S'}"
                return paper.words(words, x + 37.0, y + 8.0, 7.0)
    return None
