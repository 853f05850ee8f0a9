"""A sheet with a cartopy axis on it: projection, frame, coast, graticule, and a pen that draws in points of the paper.

Lengths are points, upwards from the lower left. Nothing is fetched: the coast is the one that the package carries.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from io import StringIO
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.draw.labels import FONTS
from passage.sailings.coast import Detail, coast_polygons

if TYPE_CHECKING:
    from cartopy.crs import Projection
    from cartopy.mpl.geoaxes import GeoAxes
    from matplotlib.figure import Figure

    from passage.draw.labels import Box, Floats

INK, LAND = "black", "#dcdcdc"
SHORT = {"#000000": "#000", "#ffffff": "#fff"}  # as the plan's other drawings write them
FACES = ["B612", "DejaVu Sans"]
MARGIN = 27.0  # round the frame, for the degrees
AROUND = 0.14  # of the track's extent is left on each side
LEAST_ACROSS_DEG = 2.0 / 3.0
SQUATTEST, TALLEST = 0.55, 1.6  # height over width
HIGH_DEG = 70.0  # beyond it Mercator's chart is all stretch
CLOSE_LOOK_DEG = 8.0  # charts narrower than this draw the finer coastline
FINEST, ISLET = 0.3, 1.6  # points: coast is drawn no finer; land smaller than this is a dot, or an island would vanish
GRID_STEPS_DEG = (1 / 12, 1 / 6, 1 / 4, 1 / 2, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0)
RIM = "paint-order: stroke; stroke: #ffffff; stroke-width: 2.2px; stroke-linejoin: round; "  # of paper, round letters


@dataclass(frozen=True)
class Paper:
    """A figure, the axis of a map on it, and the inside of that map's border."""

    figure: Figure
    axis: GeoAxes
    frame: Box

    @property
    def size_pt(self) -> tuple[float, float]:
        wide, high = self.figure.get_size_inches()
        return 72.0 * float(wide), 72.0 * float(high)

    @property
    def points(self) -> Any:
        """The transform from points of the paper, at any resolution."""
        from matplotlib.transforms import Affine2D

        return Affine2D().scale(1.0 / 72.0) + self.figure.dpi_scale_trans

    def at(self, lat_deg: Floats, lon_deg: Floats) -> Floats:
        """Points (n, 2); longitudes that run on past 180 are kept running."""
        data = projected(self.axis.projection, lat_deg, lon_deg)
        (left, right), (low, high) = self.axis.get_xlim(), self.axis.get_ylim()
        x0, y0, x1, y1 = self.frame
        x = x0 + (data[:, 0] - left) * (x1 - x0) / (right - left)
        return np.stack([x, y0 + (data[:, 1] - low) * (y1 - y0) / (high - low)], axis=1)

    def near(self, lon_deg: Floats) -> Floats:
        """Longitudes on the turn of the world that the middle of the chart is on."""
        middle = self.axis.projection.proj4_params["lon_0"]
        return np.asarray(middle + (np.asarray(lon_deg) - middle + 180.0) % 360.0 - 180.0)

    def shapes(self, shapes: Any) -> Any:
        """Shapes of shapely's, of longitudes and latitudes, on the paper."""
        import shapely

        return shapely.transform(shapes, lambda points: self.at(points[:, 1], points[:, 0]))

    def positions(self, points: Floats) -> Floats:
        """Latitudes and longitudes (n, 2) of points, degrees; longitudes run on past 180."""
        import cartopy.crs as ccrs

        (left, right), (low, high) = self.axis.get_xlim(), self.axis.get_ylim()
        x0, y0, x1, y1 = self.frame
        across = left + (points[:, 0] - x0) * (right - left) / (x1 - x0)
        up, turned = low + (points[:, 1] - y0) * (high - low) / (y1 - y0), 0.0 * across
        if isinstance(self.axis.projection, ccrs.Mercator):
            across, turned = turned, np.degrees(across / _radius(self.axis.projection))
        found = ccrs.PlateCarree().transform_points(self.axis.projection, across, up)
        return np.stack([found[:, 1], self.near(found[:, 0]) + turned], axis=1)

    def line(self, points: Floats, width: float, dash: Any = "-", zorder: float = 3.0) -> None:
        from matplotlib.lines import Line2D

        style: dict[str, Any] = {"linewidth": width, "linestyle": dash, "solid_capstyle": "round", "color": INK}
        self.figure.add_artist(Line2D(*points.T, transform=self.points, zorder=zorder, **style))

    def dots(self, points: Floats, size: float, face: str = INK, corners: int = 0, edge: float = 1.0) -> None:
        """Round, or with so many corners, one of them up; size: across."""
        from matplotlib.patches import Circle, RegularPolygon

        style: dict[str, Any] = {"facecolor": face, "edgecolor": INK, "linewidth": edge, "zorder": 4}
        for point in points:
            at, radius = (float(point[0]), float(point[1])), size / 2.0
            shape = RegularPolygon(at, corners, radius=radius, **style) if corners else Circle(at, radius, **style)
            shape.set_transform(self.points)
            self.figure.add_artist(shape)

    def words(self, words: str, x: float, y: float, size: float, bold: bool = False) -> None:
        """With their middle at (x, y)."""
        style: dict[str, Any] = {"fontsize": size, "fontweight": "bold" if bold else "normal", "family": FACES}
        at: dict[str, Any] = {"ha": "center", "va": "center_baseline", "transform": self.points, "zorder": 6}
        self.figure.text(x, y, words, parse_math=False, **style, **at)

    def shape(self, shape: Any, edge: float, face: str = "none", dash: Any = "-", ticks: bool = False) -> None:
        """A shape of shapely's within the frame, beneath all else; ticks: its edge bears them on its right."""
        from cartopy.mpl.path import shapely_to_path

        if not shape.is_empty:
            self.patch(shapely_to_path(shape), ticks, facecolor=face, linewidth=edge, linestyle=dash)

    def patch(self, path: Any, ticks: bool = False, **style: Any) -> None:
        from matplotlib.patches import PathPatch
        from matplotlib.patheffects import withTickedStroke

        patch = PathPatch(path, edgecolor=INK, zorder=1, **style)
        patch.set_transform(self.points)
        if ticks:
            patch.set_path_effects([withTickedStroke(spacing=9.0, length=0.5, angle=-90.0)])
        self.axis.add_artist(patch)

    def limits_deg(self) -> tuple[float, float, float, float]:
        """West, south, east and north of what is shown; east may pass 180."""
        import shapely

        around = self.positions(shapely.get_coordinates(shapely.segmentize(shapely.box(*self.frame).boundary, 12.0)))
        (south, west), (north, east) = around.min(axis=0).tolist(), around.max(axis=0).tolist()
        pole = math.copysign(90.0, south + north)
        x, y = self.at(np.array([pole]), np.array([0.0]))[0]
        if self.frame[0] < x < self.frame[2] and self.frame[1] < y < self.frame[3]:
            return -180.0, min(south, pole), 180.0, max(north, pole)
        return west, south, east, north

    def svg(self) -> str:
        """The same drawing gives the same bytes."""
        import matplotlib as mpl

        written = StringIO()
        with mpl.rc_context({"svg.hashsalt": "passage", "svg.fonttype": "none", "path.simplify": False}):
            self.figure.savefig(written, format="svg", metadata={"Date": None, "Creator": None})
        svg = written.getvalue()
        svg = svg[svg.index("<svg") :]
        start, end = svg.find("<metadata"), svg.find("</metadata>")
        svg = svg[:start] + svg[end + len("</metadata>") :] if start >= 0 else svg
        svg = re.sub(r"<defs>\s*<style.*?</style>\s*</defs>", "", svg, flags=re.DOTALL)
        svg = svg.replace('<text style="', f'<text style="{RIM}').replace("xlink:href", "href")
        svg = svg.replace(' xmlns:xlink="http://www.w3.org/1999/xlink"', ' stroke-linejoin="round"')
        svg = re.sub(r'<(\w+)([^>]*?) style="([^"]*)"', _with_attributes, svg)
        return re.sub(r'(?<= d=")[^"]*', lambda path: _terse(path[0]), svg)


def _terse(path: str) -> str:
    """A path to a hundredth of a point, without blanks that say nothing."""
    path = re.sub(r"\d+\.\d+", lambda number: f"{float(number[0]):.2f}".rstrip("0").rstrip("."), path)
    return re.sub(r"\s*([A-Za-z])\s*", r"\1", path)


def _with_attributes(element: re.Match[str]) -> str:
    """An element whose style is told by attributes, which a page that forbids styles shows all the same."""
    tag, others, style = element.groups()
    parts = (part.partition(":") for part in style.split(";") if ":" in part)
    told = {name.strip(): SHORT.get(value.strip(), value.strip()) for name, _, value in parts}
    if tag == "path":
        told.setdefault("fill", "#000")  # what is left out where it is black
    return f"<{tag}{others}" + "".join(f' {name}="{value}"' for name, value in told.items())


def blank(lat_deg: Floats, lon_deg: Floats, wide_pt: float, high_pt: float, squattest: float = SQUATTEST) -> Paper:
    """A map cropped to a track, so wide and at most so high, and no squatter (height over width) than that; longitudes
    run on past 180.
    """
    projection = _projection(lat_deg, lon_deg)
    x, y = projected(projection, lat_deg, lon_deg).T
    least = math.radians(LEAST_ACROSS_DEG) * _radius(projection)
    across, up = (max(float(np.ptp(each)), least) * (1.0 + 2.0 * AROUND) for each in (x, y))
    inner = wide_pt - 2.0 * MARGIN
    high = round(min(inner * min(max(up / across, squattest), TALLEST), high_pt - 2.0 * MARGIN), 1)
    across, up = max(across, up * inner / high), max(up, across * high / inner)
    middle = float(x.min() + x.max()) / 2.0, float(y.min() + y.max()) / 2.0
    frame = (MARGIN, MARGIN, MARGIN + inner, MARGIN + high)
    return mapped(_figure(wide_pt, high + 2.0 * MARGIN), projection, frame, middle, (across, up))


def mapped(
    figure: Figure, projection: Projection, frame: Box, middle: tuple[float, float], across: tuple[float, float]
) -> Paper:
    """A map in a frame on the figure; middle, across: metres of the projection."""
    wide, high = 72.0 * figure.get_figwidth(), 72.0 * figure.get_figheight()
    box = (frame[0] / wide, frame[1] / high, (frame[2] - frame[0]) / wide, (frame[3] - frame[1]) / high)
    axis = figure.add_axes(box, projection=projection)
    axis.set_xlim(middle[0] - across[0] / 2.0, middle[0] + across[0] / 2.0)
    axis.set_ylim(middle[1] - across[1] / 2.0, middle[1] + across[1] / 2.0)
    axis.spines["geo"].set_linewidth(1.0)
    return Paper(figure, axis, frame)


def _figure(wide_pt: float, high_pt: float) -> Figure:
    from matplotlib.figure import Figure
    from matplotlib.font_manager import fontManager

    if FACES[0] not in {entry.name for entry in fontManager.ttflist}:
        for path in sorted((*FONTS.glob("*.otf"), *FONTS.glob("*.ttf"))):
            fontManager.addfont(str(path))
    return Figure(figsize=(wide_pt / 72.0, high_pt / 72.0), dpi=72)


def _projection(lat_deg: Floats, lon_deg: Floats) -> Projection:
    """Mercator about the track, so that 180 degrees is no edge; a polar view where the track goes far up or down."""
    import cartopy.crs as ccrs

    middle = float((lon_deg.min() + lon_deg.max()) / 2.0)
    if np.abs(lat_deg).max() > HIGH_DEG:
        return ccrs.Stereographic(central_latitude=float(lat_deg.mean()), central_longitude=middle)
    return ccrs.Mercator(central_longitude=middle)


def _radius(projection: Projection) -> float:
    """Metres of the projection to a radian of longitude at the equator."""
    import cartopy.crs as ccrs

    return float(projection.x_limits[1]) / math.pi if isinstance(projection, ccrs.Mercator) else 6378137.0


def projected(projection: Projection, lat_deg: Floats, lon_deg: Floats) -> Floats:
    """(n, 2) in metres."""
    import cartopy.crs as ccrs

    found = projection.transform_points(ccrs.PlateCarree(), np.asarray(lon_deg), np.asarray(lat_deg))[:, :2]
    if isinstance(projection, ccrs.Mercator):  # which would turn a longitude past its own edge to the other side
        found[:, 0] = _radius(projection) * np.radians(np.asarray(lon_deg) - projection.proj4_params["lon_0"])
    return np.asarray(found)


def draw_land(paper: Paper) -> Any:
    """Land within the frame, tinted; its shape on the paper comes back. Islets are dots, but those close inshore."""
    import shapely
    from matplotlib.path import Path

    west, south, east, north = paper.limits_deg()
    detail: Detail = "high" if east - west < CLOSE_LOOK_DEG else "intermediate"
    east = min(east + 0.3, west + 359.7)
    rings = coast_polygons(west - 0.3, max(south - 0.3, -90.0), east, min(north + 0.3, 90.0), detail)
    whole = paper.shapes(np.array([shapely.Polygon(ring) for ring in rings], dtype=object))
    clipped = shapely.clip_by_rect(shapely.make_valid(shapely.simplify(whole, FINEST)), *paper.frame)
    seen = clipped[~shapely.is_empty(clipped)]
    across = np.ptp(np.reshape(shapely.bounds(seen), (-1, 2, 2)), axis=1).max(axis=1)
    large, islets = seen[across >= ISLET], shapely.centroid(seen[across < ISLET])
    ground = shapely.union_all(large)
    dots = islets[~shapely.contains(ground.buffer(3.0), islets)]
    paper.shape(shapely.GeometryCollection(list(large)), edge=0.5, face=LAND)
    if len(dots):  # strokes of no length with round ends
        ends = (shapely.get_coordinates(dots)[:, None, :] + [(0.0, 0.0), (0.01, 0.0)]).reshape(-1, 2)
        codes = np.tile([Path.MOVETO, Path.LINETO], len(dots))
        paper.patch(Path(ends, codes), facecolor="none", linewidth=ISLET, capstyle="round")
    return ground


def draw_graticule(paper: Paper, most_lines: int) -> None:
    from matplotlib.ticker import MultipleLocator

    west, south, east, north = paper.limits_deg()
    widest = max(east - west, north - south)
    step = next((step for step in GRID_STEPS_DEG if widest / step <= most_lines), GRID_STEPS_DEG[-1])
    lines = paper.axis.gridlines(draw_labels=True, dms=True, linewidth=0.35, color=INK, zorder=2)
    lines.x_inline = lines.y_inline = lines.rotate_labels = False
    lines.xlocator, lines.ylocator = MultipleLocator(step), MultipleLocator(step)
    lines.xlabel_style = lines.ylabel_style = {"size": 7.5, "family": FACES}
    lines.xpadding = lines.ypadding = 4
