"""Published check values, ours, the difference and the tolerance, worked out on this machine.

The tables are those the tests use. Standing: S or R read at the source, R2 second-hand, M from memory, D derived, T
another tool's output.
"""

from __future__ import annotations

import csv
import re
from typing import TYPE_CHECKING

import numpy as np

from passage.shipped import shipped
from passage.tell.figures import MEANT
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

FOOT_M = 0.3048


class Checked(Record):
    """One published value held against ours, as they are: neither is rounded."""

    area: str = told("what it is about")
    what: str = told("what is held")
    published: float = told("the published value", places=MEANT)
    ours: float = told("what this machine makes of it", places=MEANT)
    tolerance: float = told("how far it may differ", places=MEANT)
    unit: str = told("unit of both")
    source: str = told("where it is published")
    standing: str = told("how it is known: S or R read, R2 second-hand, M memory, D derived, T another tool")

    @reckoned("ours less published", places=MEANT)
    def difference(self) -> float:
        return self.ours - self.published

    @reckoned("whether it is within the tolerance")
    def holds(self) -> bool:
        return abs(self.difference) <= self.tolerance


def verify() -> tuple[Checked, ...]:
    """Every check, area by area."""
    areas: tuple[Callable[[], Iterable[Checked]], ...] = (
        _geodesics, _rhumbs, _waypoints, _ocean_legs, _examinations, _composites, _meridional_parts, _horizon,
        _lights, _times_to_close, _sun, _dusks, _azimuth, _variation, _wind, _beaufort, _wind_sea, _sea_states,
        _cyclones, _tacking, _cross_sets, _currents, _hulls, _people, _gear,
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
    from passage.sailings.earth import NAUTICAL_SPHERE
    from passage.sailings.geodesic import extreme_latitudes, inverse

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


def _composites() -> Iterable[Checked]:
    """Composite tracks on the sphere, from ports that the table rounds to a ten-thousandth of a degree each way: three
    thousandths of a mile at three places; to the meeting by the table's own tolerance.
    """
    from passage.sailings.composite import composite
    from passage.sailings.earth import NAUTICAL_SPHERE

    for row in published("01_sailings.csv"):
        if row["id"] not in ("CS-1a", "CS-1c", "CS-2a", "CS-2c"):
            continue
        lat1, lon1, lat2, lon2, limit = map(float, row["inputs"].replace("->", " ").replace("limit", " ").split())
        parts = composite(lat1, lon1, lat2, lon2, limit, NAUTICAL_SPHERE)
        if row["quantity"] == "lon":
            ours, tolerance = parts[1].from_lon_deg, float(row["tolerance"])
        else:
            ours, tolerance = sum(part.distance_nm for part in parts), 0.009
        what = f"composite {row['id'][:4]} to {limit:g}, {row['quantity']}"
        yield Checked("sailings", what, float(row["published"]), ours, tolerance, row["unit"], "Napier's rules", "D")


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


def _lights() -> Iterable[Checked]:
    from passage.sailings.horizon import intensity_cd, luminous_range_nm

    for row in published("02_visibility.csv"):
        miles = [float(word) for word in row["id"].split("-")[2:]]
        if row["id"].startswith("LR-4"):
            told, ours = float(row["recomputed"]), intensity_cd(*miles)
        elif row["id"].startswith("LR-5"):
            told, ours = float(row["recomputed"]), luminous_range_nm(intensity_cd(miles[0]), miles[1])
        else:
            continue
        what = f"{row['what']}, {row['inputs']}"
        yield Checked("seeing", what, told, ours, 6e-6, row["unit"], "Allard's law, solved another way", "D")


def _times_to_close() -> Iterable[Checked]:
    """Plain geometry: half the printed digit, and what the table's 2.1192 per root metre differs from our 2.12."""
    from passage.sailings.horizon import first_sight

    crossing = {"end-on": 180.0, "beam-on crossing (90 deg)": 90.0, "overtaking from astern": 0.0}
    for row in published("02_time_to_close.csv"):
        eye_m, own_kn, ship_kn = (float(row[name]) for name in ("eye_height_m", "own_kn", "ship_kn"))
        ships = f"at {own_kn:g} kn, ship at {ship_kn:g}, {row['case'].split(' (')[0]}"
        for column, height_m in (("geographic_range", float(row["ship_height_m"])), ("eye_horizon_only", 0.0)):
            told = float(row[f"minutes_from_{column}"])
            ours = first_sight(eye_m, height_m, own_kn, ship_kn, crossing[row["case"]]).minutes
            what, tolerance = f"{ships}, {height_m:g} m high", 0.05 + (2.12 / 2.1192 - 1.0) * told
            yield Checked("seeing", what, told, ours, tolerance, "min", "closing speed and range", "D")


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


# Of the dusks to come: degrees north and east, those of ports from NGA Pub. 151.
_DUSKS_AT = {
    "Las ": (28.141667, -15.416667), "mid-": (20.0, -40.0), "Brid": (13.083333, -59.616667),
    "Cape": (-33.9, 18.433333), "Hono": (21.308333, -157.870833), "Suva": (-18.133333, 178.416667),
}  # fmt: skip
_DUSKS = {"sun": "sunset", "civil": "civil_dusk", "nautical": "nautical_dusk"}


def _dusks() -> Iterable[Checked]:
    """By the local day; cut off to the second there, and the place known to a millionth of a degree."""
    from datetime import datetime, timedelta

    from passage.sailings.sky import almanac

    for row in published("03_sun_moon.csv"):
        if not row["id"].startswith("DM-"):
            continue
        place, event = _DUSKS_AT[row["id"][3:7]], _DUSKS[row["id"].split("-")[-2]]
        told = datetime.fromisoformat(row["skyfield_utc"])
        (day,) = almanac([(told + timedelta(hours=place[1] / 15.0)).date()], [place[0]], [place[1]])
        ours = getattr(day, event)
        seconds = (ours.replace(tzinfo=None) - told).total_seconds() if ours else np.inf
        what = f"{event.replace('_', ' ')} at {place[0]:.1f} {place[1]:.1f}, {told:%Y-%m-%d}"
        yield Checked("sky", what, 0.0, seconds, 2.0, "s", "Skyfield, DE421", "T")


def _azimuth() -> Iterable[Checked]:
    """The almanac's short series, good to 0.01 degree of arc, in azimuth magnified by 1 / sin(zenith distance). Its
    altitude is the geocentre's without air; there the sun stands higher by refraction, 0.0163 degrees at 820 mbar and
    11 C (Saemundsson's formula, M), and lower by parallax, 8.8 seconds of arc times the cosine of her altitude.
    """
    from passage.consequences.power.sun import sun_at

    sun = sun_at(np.datetime64("2003-10-17T19:30:30"), 39.742476, -105.1786)
    for row in published("03_spa_example.csv"):
        if row["quantity"].startswith("azimuth"):
            told, ours = float(row["published"]), float(sun.azimuth_deg)
            yield Checked("sky", "azimuth of the sun", told, ours, 0.014, "deg", "NREL/TP-560-34302, table A5.1", "M")
        elif row["quantity"].startswith("topocentric zenith"):
            altitude = float(np.arcsin(sun.up))
            seen_deg = np.degrees(altitude) + 0.0163 - 8.8 / 3600.0 * np.cos(altitude)
            told, source = float(row["published"]), "NREL/TP-560-34302, table A5.1"
            yield Checked("sky", "zenith distance of the sun", told, 90.0 - float(seen_deg), 0.01, "deg", source, "M")


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


def _beaufort() -> Iterable[Checked]:
    from passage.consequences.readiness.sails import HEAVY_WIND_KN
    from passage.crossings.rose import GALE_KN, STRONG_KN

    begins = {"6": HEAVY_WIND_KN, "7": STRONG_KN, "8": GALE_KN}
    for row in published("05_beaufort.csv"):
        if row["force"] in begins:
            told, what = float(row["kn_min"]), f"force {row['force']}, {row['term'].lower()}, begins"
            yield Checked("wind", what, told, begins[row["force"]], 1e-9, "kn", "WMO code 1100", "S")


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


def _cyclones() -> Iterable[Checked]:
    """Official seasons; the North Indian Ocean has none, and the table no days for it."""
    from passage.sailings.cyclones import basins

    def day_of_year(month: int, day: int) -> float:
        return float((np.datetime64(f"2001-{month:02}-{day:02}") - np.datetime64("2001-01-01")).astype(int) + 1)

    for row in published("07_cyclone_seasons.csv"):
        parts = [basin for basin in basins() if basin.name[:12] == row["basin"][:12]]
        for which, column in (("first_day", "start_mm_dd"), ("last_day", "end_mm_dd")):
            if row[column]:
                told = day_of_year(*map(int, row[column].split("-")))
                days = [day_of_year(*getattr(part, which)) for part in parts]
                ours = max(days, key=lambda day: abs(day - told), default=np.nan)  # the part that is farthest off
                what = f"{row['basin'].split(' (')[0]}, {which.replace('_', ' ')}"
                source, second_hand = f"season after {row['authority']}", any("(R2)" in part.standing for part in parts)
                yield Checked("cyclones", what, told, ours, 0.5, "day", source, "R2" if second_hand else "S")


def _tacking() -> Iterable[Checked]:
    from passage.crossings.speed import hull_radius

    angle = {"PO-1": 0.0, "PO-2": 30.0, "PO-3": 45.0}
    for row in published("06_router_closed_forms.csv"):
        if row["id"] in angle:
            radius = hull_radius(np.array([45.0, 180.0]), np.array([6.0, 6.0]), np.array([angle[row["id"]]]))
            hours = 10.0 / float(radius[0])
            yield Checked("speed", row["problem"], float(row["exact"]), hours, 6e-7, "h", "closed form", "D")


def _cross_sets() -> Iterable[Checked]:
    """Courses to steer against a set, answered to the degree: what the boat makes through the water along her course,
    from her speed and the set across, is the cosine of the course that she lays off.
    """
    from passage.crossings.current import motor_along

    for row in published("06_current.csv"):
        given = re.fullmatch(r"CMG (\d+), STW ([\d.]+), set (\d+),? drift ([\d.]+)(?: .*)?", row["inputs"])
        if given is None or row["quantity"] != "course to steer":
            continue
        course_deg, speed_kn, set_deg, drift_kn = map(float, given.groups())
        across = drift_kn * np.sin(np.radians(set_deg - course_deg))
        ahead = motor_along(*(np.array([value], dtype=np.float32) for value in (speed_kn, across)))
        off_deg = np.degrees(np.arccos(float(ahead[0]) / speed_kn)) * -np.sign(across)
        told = (float(row["published"]) - course_deg + 180.0) % 360.0 - 180.0
        what = f"{row['inputs'].split(' (')[0]}: lay off"
        source = row["source"].split(",")[0].replace('"', "")
        yield Checked("current", what, told, float(off_deg), float(row["tolerance"]), "deg", source, "S")


def _currents() -> Iterable[Checked]:
    """The middle of what is published beside the shipped averages, along the stream. They are held to run the right way
    and to be no more than twice as strong: an atlas smoothed as ours shows every stream wider and weaker than it is.
    """
    from passage.inputs.current import shipped_current

    for row in published("09_surface_current.csv"):
        middle_kn = (float(row["low_m_s"]) + float(row["high_m_s"])) / 2.0 * 3600.0 / 1852.0
        here, towards = shipped_current(float(row["lat"]), float(row["lon"])), np.radians(float(row["towards_deg"]))
        first, *last = (int(month) - 1 for month in row["months"].split("-"))
        months = np.arange(first, first + ((last or [first])[0] - first) % 12 + 1) % 12
        along_kn = here.east_kn[months, 0] * np.sin(towards) + here.north_kn[months, 0] * np.cos(towards)
        source, standing = row["source"], row["standing"]
        yield Checked("current", row["where"], middle_kn, float(along_kn.mean()), middle_kn, "kn", source, standing)


def _hulls() -> Iterable[Checked]:
    """The estimate in smooth water over the predictions that it was not fitted to, median of hulls: within 4 %."""
    from passage.crossings.predictions import CELLS, half, ours_kn, read

    kept = half(read(shipped("tests/published") / "hull_velocity_predictions.csv"), fit=False)
    ratio = np.nanmedian(ours_kn(kept) / kept.speed_kn, axis=0)
    source = "velocity predictions of rating certificates"
    for wind in (6.0, 10.0, 16.0, 24.0):
        for cell in ("beat", "60", "90", "135", "run"):
            where = int(np.flatnonzero(kept.wind_kn == wind)[0]), CELLS.index(cell)
            what = f"ours over theirs, {cell if cell in ('beat', 'run') else f'{cell} deg'}, {wind:g} kn"
            yield Checked("speed", what, 1.0, float(ratio[where]), 0.04, "x", source, "S")


def _people() -> Iterable[Checked]:
    from passage.consequences.stores.fuel import shaft_power_kw
    from passage.consequences.stores.need import basal_kcal
    from passage.consequences.stores.water import QUART_L, heat_l_per_hour, wet_bulb_c
    from passage.consequences.watches.alertness import circadian, kss, wake

    basal, _ = basal_kcal("F", 25.0, 55.0)
    yield Checked("people", "basal rate, woman of 25 and 55 kg", 1302.0, basal, 3.0, "kcal", "FAO 2004", "R")
    heat = 4 * float(heat_l_per_hour(np.array(30.0)))
    eighth = 4 * QUART_L / 8  # half of what the table allows between people; ours is the line through its steps
    yield Checked("people", "four hours of easy work at 86 F", 2.84, heat, eighth, "L", "TB MED 507", "R2")
    wet = float(wet_bulb_c(np.array(20.0), np.array(0.5)))
    yield Checked("people", "wet bulb at 20 C and half humid", 13.7, wet, 0.05, "C", "Stull 2011", "M")
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
