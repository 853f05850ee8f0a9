"""One crossing reckoned as a person would with paper and patience: one boat, hour after hour, plain numbers in loops.

Slow, and independent: from the design alone, and nothing of the package but the facts that are handed in (the nodes of
the track, the monthly fields at them, the polar's table, the helm's figures, and the boat's own draws of luck). What is
not in it: engine, standing off, forecast, eddies.

And a hull in waves, strip by strip.
"""

from __future__ import annotations

import cmath
import itertools
import math
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.crossings.ground import Ground
    from passage.inputs.polar import PolarTable

MIDNIGHT_SUN = -0.833  # altitude of the sun's centre at sunrise, degrees


class Draws(NamedTuple):
    """A boat's luck: in each hour the standardised deviations of the wind, towards east and towards north, and the
    share of her polar's speed that she makes all the way.
    """

    fast: Sequence[tuple[float, float]]
    slow: Sequence[tuple[float, float]]
    performance: float


class Reckoned(NamedTuple):
    """By whole hour from departure: miles along the track, the wind towards east and north (kn), the state: "sailing",
    "running off" or "hove to"; and the hour of landfall.
    """

    distance_nm: list[float]
    wind_kn: list[tuple[float, float]]
    state: list[str]
    arrival_h: float


def reckon(ground: Ground, polar: PolarTable, tacking_loss: float, depart: datetime, draws: Draws) -> Reckoned:
    """Sail one boat until she is in. Bearings true, wind and current towards."""
    track, helm = ground.track, ground.vessel.helm
    run, storm, hour = 0.0, False, 0
    found = Reckoned([], [], [], math.inf)
    while True:
        time = depart + timedelta(hours=hour)
        node = min(math.floor(run / track.spacing_nm + 0.5), track.nodes - 1)
        course = math.radians(track.course_deg[node])
        east, north = _wind(ground, node, time, draws, hour)
        current = ground.current
        set_east = _monthly(current.east_kn[:, node], time) if current else 0.0
        set_north = _monthly(current.north_kn[:, node], time) if current else 0.0
        ahead, right = (math.sin(course), math.cos(course)), (math.cos(course), -math.sin(course))
        tail, cross = east * ahead[0] + north * ahead[1], east * right[0] + north * right[1]
        along, across = set_east * ahead[0] + set_north * ahead[1], set_east * right[0] + set_north * right[1]
        dark = _sun_altitude_deg(time + timedelta(minutes=30), track.lat_deg[node], track.lon_deg[node]) < MIDNIGHT_SUN
        settling = helm.first_days_speed_share if hour < helm.first_days_h else 1.0
        share = draws.performance * settling * (helm.night_speed_share if dark else 1.0)
        wind = math.hypot(tail, cross)
        storm = wind * helm.gust_factor > (helm.gust_resume_kn if storm else helm.gust_limit_kn)
        if storm:
            state = "running off" if tail >= 0.0 else "hove to"
            drift = helm.running_off_speed_kn if tail >= 0.0 else helm.hove_to_drift_kn
            speed = drift * tail / wind
        else:
            state = "sailing"
            speed = _through_water_kn(polar, tacking_loss, tail - along, cross - across, -across, share)
        speed += along
        found.distance_nm.append(run)
        found.wind_kn.append((east, north))
        found.state.append(state)
        if track.length_nm - run <= speed:
            return found._replace(arrival_h=hour + (track.length_nm - run) / speed)
        run = max(run + speed, 0.0)
        hour += 1


def _wind(ground: Ground, node: int, time: datetime, draws: Draws, hour: int) -> tuple[float, float]:
    """The month's mean and the boat's own deviation, of which a share lasts, by latitude in proportion between: 0.20 on
    the equator, 0.15 at 10 degrees, 0.13 at 15, 0.06 at 20, 0.03 at 30 and 40 (outside the eastern Pacific).
    """
    climate, lat = ground.climate, abs(ground.track.lat_deg[node])
    steps = [(0.0, 0.20), (10.0, 0.15), (15.0, 0.13), (20.0, 0.06), (30.0, 0.03), (40.0, 0.03)]
    (south, more), (north, less) = next(pair for pair in itertools.pairwise(steps) if lat <= pair[1][0])
    lasting = more + (less - more) * (lat - south) / (north - south)
    winds = []
    for part, field in enumerate((climate.wind_east_kn, climate.wind_north_kn)):
        fast = math.sqrt(1.0 - lasting) * draws.fast[hour][part]
        slow = math.sqrt(lasting) * draws.slow[hour][part]
        winds.append(_monthly(field[:, node], time) + _monthly(climate.sigma_kn[:, node], time) * (fast + slow))
    return winds[0], winds[1]


def _monthly(values: Sequence[float], time: datetime) -> float:
    """In proportion between the middles of two calendar months."""
    year, month = time.year, time.month
    if time < _middle(year, month):
        year, month = (year - 1, 12) if month == 1 else (year, month - 1)
    after = (year + 1, 1) if month == 12 else (year, month + 1)
    begin, end = _middle(year, month), _middle(*after)
    part = (time - begin) / (end - begin)
    return float(values[month - 1]) * (1.0 - part) + float(values[after[1] - 1]) * part


@cache
def _middle(year: int, month: int) -> datetime:
    begin = datetime(year, month, 1, tzinfo=UTC)
    end = datetime(year + (month == 12), month % 12 + 1, 1, tzinfo=UTC)
    return begin + (end - begin) / 2


def _sun_altitude_deg(time: datetime, lat_deg: float, lon_deg: float) -> float:
    """The Astronomical Almanac's low-precision sun, good to a hundredth of a degree."""
    days = (time - datetime(2000, 1, 1, 12, tzinfo=UTC)).total_seconds() / 86400.0
    mean_deg, anomaly = 280.460 + 0.9856474 * days, math.radians(357.528 + 0.9856003 * days)
    ecliptic = math.radians(mean_deg + 1.915 * math.sin(anomaly) + 0.020 * math.sin(2.0 * anomaly))
    tilt = math.radians(23.439 - 0.0000004 * days)
    ascension = math.atan2(math.cos(tilt) * math.sin(ecliptic), math.cos(ecliptic))
    declination = math.asin(math.sin(tilt) * math.sin(ecliptic))
    sidereal = math.radians((280.46061837 + 360.98564736629 * days + lon_deg) % 360.0)
    lat = math.radians(lat_deg)
    sine = math.sin(lat) * math.sin(declination)
    sine += math.cos(lat) * math.cos(declination) * math.cos(sidereal - ascension)
    return math.degrees(math.asin(sine))


def _through_water_kn(
    polar: PolarTable, tacking_loss: float, tail: float, cross: float, sideways: float, share: float
) -> float:
    """The most she makes along the course through the water while she makes exactly ``sideways`` across it, to the
    right: tried from the fastest downwards, then halved in on. tail, cross: the wind that the water feels.
    """
    wind = math.hypot(tail, cross)
    angles = [math.radians(angle) for angle in polar.wind_angle_deg]
    speeds = [_at_wind(polar, column, wind) for column in range(len(angles))]

    def sails(forward: float) -> bool:
        """Whether the speed (forward, sideways) lies within what tacks and gybes can make good."""
        speed = math.hypot(forward, sideways)
        upwind = max(-1.0, min(1.0, -(forward * tail + sideways * cross) / (speed * wind))) if speed else 1.0
        return speed <= share * _made_good_kn(angles, speeds, tacking_loss, math.acos(upwind)) + 1e-9

    forward = max(speeds)
    while not sails(forward):
        forward -= 0.25
        assert forward > -20.0, "the set cannot be stemmed: not a case for this reckoning"
    low, high = forward, forward + 0.25
    for _ in range(12):
        middle = (low + high) / 2.0
        low, high = (middle, high) if sails(middle) else (low, middle)
    return low


def _made_good_kn(angles: list[float], speeds: list[float], tacking_loss: float, off_wind_rad: float) -> float:
    """The polar itself, or between any two headings of it, either side of the wind, less what tacking loses: as far as
    the straight line between the two reaches out in that direction.
    """
    sides = [(v * math.cos(a), v * math.sin(a)) for v, a in zip(speeds, angles, strict=True)]
    points = [*sides, *((ahead, -beam) for ahead, beam in sides), (0.0, 0.0)]
    ray = math.cos(off_wind_rad), math.sin(off_wind_rad)
    farthest = max(_reach(ray, one, other) for n, one in enumerate(points) for other in points[:n])
    return max(_plain(angles, speeds, off_wind_rad), (1.0 - tacking_loss) * farthest)


def _at_wind(polar: PolarTable, column: int, wind_kn: float) -> float:
    """In proportion between the table's winds, to nothing at no wind, and no more above the strongest."""
    winds, speeds = [0.0, *polar.wind_speed_kn], [0.0, *polar.boat_speed_kn[:, column]]
    return _between(winds, speeds, min(wind_kn, winds[-1]))


def _plain(angles: list[float], speeds: list[float], off_wind_rad: float) -> float:
    return 0.0 if off_wind_rad < angles[0] else _between(angles, speeds, min(off_wind_rad, angles[-1]))


def _between(at: list[float], values: list[float], where: float) -> float:
    above = next(n for n, each in enumerate(at) if n and where <= each + 1e-12)
    part = (where - at[above - 1]) / (at[above] - at[above - 1])
    return values[above - 1] * (1.0 - part) + values[above] * part


def _reach(ray: tuple[float, float], one: tuple[float, float], other: tuple[float, float]) -> float:
    """How far along the ray it meets the straight line between two points; 0 where it does not."""
    step = other[0] - one[0], other[1] - one[1]
    across = ray[0] * step[1] - ray[1] * step[0]
    if abs(across) < 1e-12:
        return 0.0
    length = (one[0] * step[1] - one[1] * step[0]) / across
    part = (one[0] * ray[1] - one[1] * ray[0]) / across
    return length if length > 0.0 and -1e-9 <= part <= 1.0 + 1e-9 else 0.0


def strips(
    waterline_m: float,
    volume_m3: float,
    beam_m: float,
    speed_ms: float,
    off_bow_rad: float,
    wave_rad_s: float,
    count: int,
) -> tuple[complex, complex, float]:
    """Heave (m), pitch bow down (rad) and added resistance (N) in a wave of unit height, by so many strips.

    Salvesen, Tuck and Faltinsen's strips without end terms, each pushed by what the water beside it does beyond what
    she does: the rate of change, for who stays with the water, of added mass by relative speed, the waves it sends out
    and its buoyancy. Gerritsma and Beukelman: what it sends out is what she loses. The hull's shape and the sections'
    coefficients are those of ``passage/crossings/seaway.py``.
    """
    g, rho = 9.81, 1025.0
    k_ahead = wave_rad_s**2 / g * math.cos(off_bow_rad)
    met = wave_rad_s + k_ahead * speed_ms
    half = waterline_m / 2.0
    middles = [-1.0 + (2.0 * n + 1.0) / count for n in range(count)]
    fuller = [1.0 - s * s for s in middles]
    deepest = volume_m3 / (0.73 * 0.85 * beam_m * half * sum(f * f for f in fuller) * 2.0 / count)

    def one(s: float) -> tuple[float, float, float, complex]:
        """Added mass, damping and buoyancy by metre of length, and the wave as the section feels it."""
        width, draught = 0.85 * beam_m * (1.0 - s * s), deepest * (1.0 - s * s)
        mass = 0.75 * rho * math.pi / 8.0 * width**2
        steeper = 0.75 * rho * math.pi / 8.0 * (0.85 * beam_m) ** 2 * 2.0 * (1.0 - s * s) * -2.0 * s / half
        height = 2.0 * math.sin(min(met**2 * width / (2.0 * g), math.pi / 2.0)) * math.exp(-(met**2) * draught / g)
        damping = rho * g**2 * height**2 / met**3 - speed_ms * steeper
        wave = math.exp(-(wave_rad_s**2) / g * 0.73 * draught) * cmath.exp(1j * k_ahead * s * half)
        return mass, damping, rho * g * width, wave

    sections = [(s * half, *one(s)) for s in middles]

    def pushed(heave: complex, pitch: complex, height: float) -> tuple[complex, complex]:
        """Force up and moment bow down on the hull, for motions and a wave of so much."""
        force, moment = 0j, 0j
        for x, mass, damping, spring, wave in sections:
            rises, speeds = heave - x * pitch, 1j * met * (heave - x * pitch) + speed_ms * pitch
            gathers = 1j * met * speeds + speed_ms * 1j * met * pitch
            strip = mass * (-(wave_rad_s**2) * height * wave - gathers)
            strip += damping * (1j * wave_rad_s * height * wave - speeds) + spring * (height * wave - rises)
            force, moment = force + strip * waterline_m / count, moment - x * strip * waterline_m / count
        return force, moment

    weight, inertia = rho * volume_m3, rho * volume_m3 * (0.25 * waterline_m) ** 2
    by_heave, by_pitch, by_wave = pushed(1.0, 0.0, 0.0), pushed(0.0, 1.0, 0.0), pushed(0.0, 0.0, 1.0)
    a, b = -(met**2) * weight - by_heave[0], -by_pitch[0]
    c, d = -by_heave[1], -(met**2) * inertia - by_pitch[1]
    heave = (by_wave[0] * d - b * by_wave[1]) / (a * d - b * c)
    pitch = (a * by_wave[1] - c * by_wave[0]) / (a * d - b * c)
    lost = 0.0
    for x, _, damping, _, wave in sections:
        beside = 1j * wave_rad_s * wave - 1j * met * (heave - x * pitch) - speed_ms * pitch
        lost += damping * abs(beside) ** 2 * waterline_m / count
    return heave, pitch, k_ahead / (2.0 * met) * lost
