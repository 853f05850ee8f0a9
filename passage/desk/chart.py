"""The desk's chart: the plan's own drawing, and over it what can be taken hold of."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.draw.chart import Place, Way, draw_chart
from passage.ground import land_by_waypoint, legs_of
from passage.plan.face import drawable
from passage.plan.svg import labelled
from passage.positions import Position, format_position
from passage.sailings.track import lay_track

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.inputs.folder import Facts
    from passage.inputs.voyage import Voyage
    from passage.sailings.land import LandHit
    from passage.sailings.track import Track

    Floats = NDArray[np.float64]

WIDE_PT, HIGH_PT = 420.0, 520.0


class Mark(NamedTuple):
    """A waypoint on the chart. leg: points of the leg to it, empty for the first."""

    number: int
    name: str
    position: str
    x: float
    y: float
    leg: str
    ashore: str


class Chart:
    """A voyage's waypoints on the chart. ashore: by waypoint, what land lies on the leg to it."""

    def __init__(self, facts: Facts) -> None:
        self.waypoints = facts.voyage.waypoints
        self.track = lay_track(legs_of(facts.voyage))
        places = [Place(drawable(waypoint.name), *waypoint.position) for waypoint in self.waypoints]
        self.drawn = draw_chart([Way(self.track, places)], WIDE_PT, HIGH_PT)
        self.frame = self.drawn.frame
        self.svg = labelled(self.drawn.svg(), "Chart of the track. The table of waypoints says the same.")
        self.ashore = ashore(facts.voyage)
        self.editable = facts.voyage.route is None

    def same(self, other: Chart) -> bool:
        """Whether another shows the same."""
        return (self.svg, self.waypoints, self.ashore) == (other.svg, other.waypoints, other.ashore)

    @property
    def view(self) -> str:
        """The drawing's box."""
        found = re.search(r'viewBox="([^"]+)"', self.svg)
        return found[1] if found else f"0 0 {WIDE_PT:g} {HIGH_PT:g}"

    @property
    def length_nm(self) -> float:
        return self.track.length_nm

    def line(self, track_lat_deg: Floats, track_lon_deg: Floats) -> str:
        """Another track's points on this chart."""
        return _points(self._along(track_lat_deg, track_lon_deg))

    def nodes(self, track: Track) -> list[int]:
        """A track's nodes on this chart, x and y by turns, tenths of a point."""
        nodes: list[int] = np.round(10.0 * self._along(track.lat_deg, track.lon_deg)).astype(int).ravel().tolist()
        return nodes

    def _along(self, lat_deg: Floats, lon_deg: Floats) -> Floats:
        """Points (n, 2) of another track, turned round the world to lie along this one's."""
        own, lon = (np.unwrap(each, period=360.0) for each in (self.track.lon_deg, np.asarray(lon_deg)))
        return self.drawn.xy(lat_deg, lon - 360.0 * np.round((lon[0] - own[0]) / 360.0))

    def marks(self) -> list[Mark]:
        own = np.unwrap(self.track.lon_deg, period=360.0)
        nodes = self.drawn.xy(self.track.lat_deg, own)
        found = []
        for number, waypoint in enumerate(self.waypoints):
            leg = ""
            if number:
                of_leg = nodes[np.flatnonzero(self.track.leg == number - 1)]
                here = self._xy(waypoint.position)
                leg = _points(np.concatenate([[self._xy(self.waypoints[number - 1].position)], of_leg, [here]]))
            at = self._xy(waypoint.position)
            words = format_position(*waypoint.position)
            x, y = map(float, at)
            found.append(Mark(number, waypoint.name, words, x, y, leg, self.ashore.get(number, "")))
        return found

    def _xy(self, position: Position) -> Floats:
        own = np.unwrap(self.track.lon_deg, period=360.0)
        turns = np.round((own - position.longitude_deg) / 360.0)
        near = position.longitude_deg + 360.0 * turns[np.argmin(np.abs(own - position.longitude_deg - 360.0 * turns))]
        found: Floats = self.drawn.xy(np.array([position.latitude_deg]), np.array([near]))[0]
        return found

    def position(self, x: float, y: float) -> Position:
        """What lies at a point of the chart, to a tenth of a minute; the frame's edge for what lies beyond it."""
        left, top, right, bottom = self.frame
        lat, lon = self.drawn.lat_lon(min(max(x, left), right), min(max(y, top), bottom))
        return Position(lat, (lon + 180.0) % 360.0 - 180.0)


def _points(xy: Floats) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in np.asarray(xy))


def ashore(voyage: Voyage) -> dict[int, str]:
    """By waypoint, the land on the leg that leads to it, in words; as ``check`` finds it."""
    hits = land_by_waypoint(voyage, lay_track(legs_of(voyage)))
    return {number: _land(hit) for number, hit in hits.items()}


def _land(hit: LandHit) -> str:
    return f"{hit.across_nm:.1f} nm of land, from {format_position(*hit[:2])} on"


def with_moved(voyage: Voyage, at: int, position: Position) -> Voyage:
    """The voyage with one waypoint elsewhere."""
    places = [
        place.model_copy(update={"position": position}) if number == at else place
        for number, place in enumerate(voyage.waypoints)
    ]
    return voyage.model_copy(update={"waypoints": tuple(places)})
