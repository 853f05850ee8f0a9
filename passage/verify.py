"""Published check values, ours, the difference and the tolerance, worked out on this machine.

The tables are those the tests use. Standing: S or R read at the source, R2 second-hand, M from memory, D derived, T
another tool's output.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.shipped import shipped

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

FOOT_M = 0.3048


@dataclass(frozen=True)
class Checked:
    """One published value held against ours, both in ``unit``."""

    area: str
    what: str
    published: float
    ours: float
    tolerance: float
    unit: str
    source: str
    standing: str

    @property
    def difference(self) -> float:
        return self.ours - self.published

    @property
    def holds(self) -> bool:
        return abs(self.difference) <= self.tolerance


def verify() -> tuple[Checked, ...]:
    """Every check, area by area."""
    areas: tuple[Callable[[], Iterable[Checked]], ...] = (
        _geodesics, _rhumbs, _waypoints, _ocean_legs, _examinations, _meridional_parts, _horizon, _sun, _azimuth,
        _variation, _wind, _wind_sea, _sea_states, _tacking, _people, _gear,
    )  # fmt: skip
    return tuple(check for area in areas for check in area())


def published(name: str) -> list[dict[str, str]]:
    """A published table, row by row."""
    with (shipped("tests/published") / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _ends(row: dict[str, str]) -> tuple[float, float, float, float]:
    return float(row["lat1"]), float(row["lon1"]), float(row["lat2"]), float(row["lon2"])


def _geodesics() -> Iterable[Checked]:
    from passage.sailings.geodesic import inverse

    for row in published("01_geodesic_wgs84.csv"):
        ours = inverse(*_ends(row))
        metres = ours.distance_nm * 1852.0
        source = "Karney's test set, doi:10.5281/zenodo.32156"
        standing = "M" if "memory" in row["source"] else "S"
        yield Checked("sailings", f"geodesic {row['id']}", float(row["s12_m"]), metres, 2e-8, "m", source, standing)


def _rhumbs() -> Iterable[Checked]:
    from passage.sailings.rhumb import inverse

    for row in published("01_rhumb_wgs84.csv"):
        ours = inverse(*_ends(row)).distance_nm * 1852.0
        if row["s12_pub_m"]:
            told = float(row["s12_pub_m"])
            yield Checked("sailings", row["what"], told, ours, 0.6, "m", "RhumbSolve manual, to the metre", "S")
        tool = float(row["s12_RhumbSolve_m"])
        yield Checked("sailings", row["what"], tool, ours, 0.01, "m", "RhumbSolve 2.1.2", "T")


def _waypoints() -> Iterable[Checked]:
    """New York to Singapore, printed to a tenth of an arc second: half of it, and a hair for what is stored here."""
    from passage.sailings import geodesic, rhumb

    start, course = (40.6397222222, -73.7788888889), 103 + 34 / 60 + 58.2 / 3600
    line = geodesic.inverse(*start, 1.3591667, 103.9894444)
    tenths, marks = published("01_geodesic_waypoints_JFK_SIN.csv"), published("01_rhumb_waypoints_JFK_SIN.csv")
    by_tenth = line.distance_nm * np.array([float(row["fraction"]) for row in tenths])
    by_mark = np.array([float(row["s_m"]) for row in marks]) / 1852.0
    for rows, (lats, lons, _), manual in (
        (tenths, geodesic.along(*start, line.initial_course_deg, by_tenth), "GeodSolve"),
        (marks, rhumb.along(*start, course, by_mark), "RhumbSolve"),
    ):
        for number, (row, lat, lon) in enumerate(zip(rows, lats, lons, strict=True)):
            for part, ours in (("lat", lat), ("lon", lon)):
                told = float(row[f"{part}_pub"])
                near = told + (float(ours) - told + 180.0) % 360.0 - 180.0
                what, source = f"{manual}, point {number}, {part}", f"{manual} manual, JFK to Singapore"
                yield Checked("sailings", what, told, near, 0.055 / 3600.0, "deg", source, "S")


def _ocean_legs() -> Iterable[Checked]:
    from passage.sailings import geodesic, rhumb

    for row in published("08_ocean_legs.csv"):
        ports = f"{row['from_port'].split(',')[0]} to {row['to_port'].split(',')[0]}"
        for column, sailing, tool in (("geodesic", geodesic, "geographiclib"), ("rhumb", rhumb, "RhumbSolve 2.1.2")):
            ours = sailing.inverse(*_ends(row)).distance_nm
            told, source = float(row[f"{column}_wgs84_nm"]), f"{tool}, between ports of NGA Pub. 151"
            yield Checked("sailings", f"{ports}, {column}", told, ours, 0.006, "nm", source, "T")


def _examinations() -> Iterable[Checked]:
    """Great circles on the sphere, by the tolerance of the table: half the printed digit, and what a key rounds."""
    from passage.sailings.geodesic import NAUTICAL_SPHERE, extreme_latitudes, inverse

    for row in published("01_sailings.csv"):
        if not row["id"].startswith("US-"):
            continue
        lat1, lon1, lat2, lon2 = map(float, row["inputs"].replace("->", " ").split())
        line = inverse(lat1, lon1, lat2, lon2, NAUTICAL_SPHERE)
        turning = extreme_latitudes(lat1, lon1, lat2, lon2, NAUTICAL_SPHERE)
        highest = max(turning, key=lambda point: abs(point.lat_deg))
        asked = {"distance": line.distance_nm, "course": line.initial_course_deg, "lat": highest.lat_deg}
        ours, told, tolerance = asked[row["quantity"]], float(row["published"]), float(row["tolerance"])
        what, source = f"{row['id']}, {row['quantity']}", "USCG deck general examination, ocean track plotting"
        yield Checked("sailings", what, told, ours, tolerance, row["unit"], source, "S")


def _meridional_parts() -> Iterable[Checked]:
    from passage.sailings.rhumb import meridional_parts

    for row in published("01_meridional_parts.csv"):
        told, lat = float(row["WGS84_pyproj_merc_northing_over_a_in_min"]), float(row["lat_deg"])
        ours = float(meridional_parts(lat))
        yield Checked("sailings", f"meridional parts of {lat:g}", told, ours, 0.0006, "'", "PROJ, Mercator", "T")


def _horizon() -> Iterable[Checked]:
    from passage.sailings.horizon import geographic_range_nm

    # Heights in feet and the tolerance: half the printed digit; two roundings for a printed sum; for the example to
    # 0.01 also the 0.006 that 2.12 per root metre differs from its 1.17 per root foot.
    asked = {
        "HZ-5-5": ((5, 0), 0.05),
        "HZ-5-10": ((10, 0), 0.05),
        "GR-0a": ((65, 0), 0.05),
        "GR-0b": ((35, 0), 0.05),
        "GR-0c": ((35, 65), 0.1),
        "GR-0d": ((8, 170), 0.011),
    }
    for row in published("02_visibility.csv"):
        if row["id"] in asked:
            feet, tolerance = asked[row["id"]]
            ours = geographic_range_nm(feet[0] * FOOT_M, feet[1] * FOOT_M)
            yield Checked("seeing", row["what"], float(row["published"]), ours, tolerance, "nm", row["source"], "S")


# Row, the event of the almanac, and the tolerance: a second of rounding on either side; half of a whole minute.
_SUN_AND_MOON = {
    "SR-1": ("sunrise", 1.0), "SS-1": ("sunset", 1.0), "SR-U": ("sunrise", 31.0), "TW-3": ("civil_dawn", 31.0),
    "TW-5": ("sunset", 31.0), "TW-7": ("nautical_dusk", 31.0), "PN-1": ("sunrise", 1.0), "MS-1": ("moonset", 1.0),
}  # fmt: skip


def _sun() -> Iterable[Checked]:
    from datetime import datetime

    from passage.sailings.sky import almanac

    for row in published("03_sun_moon.csv"):
        if row["id"] in _SUN_AND_MOON:
            event, tolerance = _SUN_AND_MOON[row["id"]]
            lat, lon = (float(part) for part in row["where"].strip("()").split(","))
            told = datetime.fromisoformat(row["published_utc"])
            (day,) = almanac([told.date()], [lat], [lon])
            ours = getattr(day, event)
            seconds = (ours.replace(tzinfo=None) - told).total_seconds() if ours else np.inf
            what = f"{event.replace('_', ' ')} {row['published_utc'].replace('T', ' ')}"
            yield Checked("sky", what, 0.0, seconds, tolerance, "s", row["source"].split(",")[0], "S")


def _azimuth() -> Iterable[Checked]:
    """The almanac's short series, good to 0.01 degree of arc, magnified by 1 / sin(zenith distance)."""
    from passage.consequences.power.sun import sun_at

    sun = sun_at(np.datetime64("2003-10-17T19:30:30"), 39.742476, -105.1786)
    for row in published("03_spa_example.csv"):
        if row["quantity"].startswith("azimuth"):
            told, ours = float(row["published"]), float(sun.azimuth_deg)
            yield Checked("sky", "azimuth of the sun", told, ours, 0.014, "deg", "NREL/TP-560-34302, table A5.1", "M")


def _variation() -> Iterable[Checked]:
    from passage.sailings.magnetic import variation

    for row in published("04_wmm2025_official.csv"):
        where = float(row["lat"]), float(row["lon"]), float(row["decimal_year"]), float(row["alt_km"])
        ours = variation(*where).variation_deg
        what = f"variation at {where[0]:g} {where[1]:g}, {where[2]:g}"
        yield Checked("variation", what, float(row["D_deg"]), ours, 0.0051, "deg", "NOAA, WMM2025 test values", "S")


def _wind() -> Iterable[Checked]:
    from passage.inputs.rice import rice_mean

    for row in published("05_rice.csv"):
        nu, sigma = float(row["vector_mean_nu"]), float(row["sigma_each_component"])
        told, ours = float(row["scipy.stats.rice.mean"]), float(rice_mean(nu, sigma))
        yield Checked("wind", f"mean speed of {nu:g} and {sigma:g}", told, ours, 6e-7, "", "Rice mean, scipy", "D")


def _wind_sea() -> Iterable[Checked]:
    from passage.consequences.windsea import significant_height_m

    for row in published("05_pierson_moskowitz.csv"):
        told, ours = float(row["Hs_integrated_m"]), float(significant_height_m(float(row["U10_kn"])))
        what = f"fully developed sea of {row['U10_kn']} kn"
        yield Checked("sea", what, told, ours, 0.0011, "m", "Pierson and Moskowitz, after Stewart", "S")


def _sea_states() -> Iterable[Checked]:
    from passage.consequences.windsea import SEA_STATES

    for row in published("05_sea_state.csv"):
        if row["height_max_m"]:
            told, ours = float(row["height_max_m"]), SEA_STATES[int(row["code"])][2]
            yield Checked("sea", f"{row['term']}, up to", told, ours, 1e-9, "m", "WMO code 3700", "S")


def _tacking() -> Iterable[Checked]:
    from passage.crossings.speed import hull_radius

    angle = {"PO-1": 0.0, "PO-2": 30.0, "PO-3": 45.0}
    for row in published("06_router_closed_forms.csv"):
        if row["id"] in angle:
            radius = hull_radius(np.array([45.0, 180.0]), np.array([6.0, 6.0]), np.array([angle[row["id"]]]))
            hours = 10.0 / float(radius[0])
            yield Checked("speed", row["problem"], float(row["exact"]), hours, 6e-7, "h", "closed form", "D")


def _people() -> Iterable[Checked]:
    from passage.consequences.stores.fuel import shaft_power_kw
    from passage.consequences.stores.need import basal_kcal
    from passage.consequences.stores.water import heat_l_per_hour
    from passage.consequences.watches.alertness import circadian, kss, wake

    basal, _ = basal_kcal("F", 25.0, 55.0)
    yield Checked("people", "basal rate, woman of 25 and 55 kg", 1302.0, basal, 3.0, "kcal", "FAO 2004", "R")
    heat = 4 * float(heat_l_per_hour(np.array(30.0)))
    yield Checked("people", "four hours of easy work at 86 F", 2.84, heat, 0.005, "L", "TB MED 507", "R2")
    tired = float(kss(10.0))
    yield Checked("people", "sleepiness at alertness 10", 5.08, tired, 0.005, "", "Ingre et al. 2014, model 5c", "R2")
    yield Checked("people", "wake from 14 for 16 h", 8.994, float(wake(14.0, 16.0)), 0.0006, "", "closed form", "D")
    yield Checked("people", "body clock at 16.8 h", 2.5, float(circadian(16.8)), 1e-9, "", "Ingre et al. 2014", "R2")
    power = shaft_power_kw(10_000 * 0.45359237, 27 * FOOT_M, 5.5)
    yield Checked("people", "10,000 lb at 5.5 kn", 7.29, power, 0.01, "kW", "Gerr, formula 2-1", "R2")


def _gear() -> Iterable[Checked]:
    from passage.consequences.anchoring.lying import straight_angle_deg
    from passage.consequences.anchoring.strength import chain_breaking_n

    lbf = chain_breaking_n(10.0, 80.0) / 4.44822
    yield Checked("anchoring", "10 mm chain of grade 80 breaks at", 28_250.0, lbf, 5.0, "lbf", "worked example", "R2")
    yield Checked(
        "anchoring", "straight rode at 3:1", 19.5, straight_angle_deg(3.0), 0.05, "deg", "worked example", "R2"
    )
