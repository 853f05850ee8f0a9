"""What the wind's own sea does to a small hull: the resistance it adds, and how fast it carries her to leeward.

The sea is that of the wind alone, full grown, without swell: the shape of Donelan, Hamilton and Hui (1985, Phil. Trans.
R. Soc. A 315, 509; M), whose short waves grow with the wind, at the height of Pierson and Moskowitz (1964, J. Geophys.
Res. 69, 5181; R2), spread as the square of the cosine about the wind (common practice). The waves that matter are one
to two boat's lengths long, and full grown in an hour or two.

*Added resistance* is the energy that a heaving and pitching hull radiates, strip by strip, for each length of wave that
she meets (Gerritsma and Beukelman 1972, Int. Shipbuilding Progress 19, 285; M): her motions by the strip theory of the
same authors, in each strip the damping of Yamamoto and others as in Jensen, Mansour and Olsen (2004, Ocean Engineering
31, 61; M). What a strip theory of yachts gives goes by length, displacement and gyradius (Gerritsma, Keuning and Onnink
1992, Delft report 925-P, summary read, R2). Her form is the usual one: a parabola for waterline, its square for the
curve of areas. Waves from abaft the beam add nothing, nothing is given by surfing, and waves too short to move her,
which are thrown back, are left out.

*Wave drift*: what floats goes with the waves (Stokes 1847). In the open ocean that is some two thirds of all that the
wind moves the very surface by (Ardhuin and others 2009, J. Phys. Oceanogr. 39, 2820, introduction read, S), and no
current made of drogues at 15 m or of averages has it. Hers is the mean over her draught.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

GRAVITY_M_S2 = 9.81
SEA_KG_M3 = 1025.0
FULL_GROWN = 0.83  # wind speed over the speed of the highest waves, when they grow no more (Donelan and others)
LEVEL = 0.00375  # gives the significant height of Pierson and Moskowitz's full-grown sea, 0.0246 wind^2
GYRADIUS = 0.25  # of pitching, as a share of the waterline: common practice
WATERLINE_BEAM = 0.85  # of the beam: common practice; 0.8 gives the same within 1 %
FULLNESS = 0.73  # of a section, of its beam by draught: an order of size; 0.65 gives 3 % more
ADDED_MASS = 0.75  # of a flat plate as wide, pi / 8 density beam^2: an order of size; 0.6 or 0.9 gives 6 % more or less
_WAVES_RAD_S = np.geomspace(0.3, 8.0, 44)
_FROUDE = np.array([0.02, 0.10, 0.18, 0.25, 0.30, 0.35, 0.40, 0.48, 0.70])
_OFF_BOW_RAD = np.radians(np.arange(0.0, 91.0, 10.0))
_SPREAD_RAD = np.radians(np.arange(-87.5, 90.0, 5.0))
_SPREAD = np.cos(_SPREAD_RAD) ** 2 / (np.cos(_SPREAD_RAD) ** 2).sum()
_STATIONS = np.linspace(-1.0, 1.0, 21)  # from the stern to the bow, of half the waterline


class Motions(NamedTuple):
    """In waves of unit height, metres: heave (m) and pitch (radians), complex amplitudes; added resistance, N."""

    heave: NDArray[np.complex128]
    pitch: NDArray[np.complex128]
    added_n: Floats


def sea_resistance(
    waterline_m: float, volume_m3: float, beam_m: float, wind_ms: Floats, angle_rad: Floats
) -> Callable[[Floats], Floats]:
    """Of a hull in the sea of true winds at 10 m so far off the bow (both broadcast to one shape): mean added
    resistance, newtons, by boat speeds of that shape, m/s.
    """
    met = _met(waterline_m, volume_m3, beam_m)
    winds, row = np.unique(wind_ms, return_inverse=True)
    energy = met[..., None, :] * spectrum(winds[:, None], _WAVES_RAD_S)  # (froude, off the bow, winds, waves)
    by_wind = 2.0 * np.asarray(np.trapezoid(energy, _WAVES_RAD_S))
    off_rad = np.abs((np.asarray(angle_rad)[..., None] + _SPREAD_RAD + np.pi) % (2.0 * np.pi) - np.pi)
    share = _between(off_rad, _OFF_BOW_RAD) * _SPREAD[:, None]  # (..., spread, off the bow)
    table = np.einsum("...o,fo...->f...", share.sum(axis=-2), by_wind[..., row.reshape(np.shape(wind_ms))])
    per_ms = 1.0 / np.sqrt(GRAVITY_M_S2 * waterline_m)

    def added_n(speed_ms: Floats) -> Floats:
        shares = np.moveaxis(_between(np.clip(speed_ms * per_ms, 0.0, _FROUDE[-1]), _FROUDE), -1, 0)
        return np.asarray((shares * table).sum(axis=0))

    return added_n


def wave_drift_ms(wind_ms: Floats, draught_m: float) -> Floats:
    """Speed, m/s, at which the sea of a true wind at 10 m carries to leeward what floats so deep in it."""
    number = _WAVES_RAD_S**2 / GRAVITY_M_S2
    mean_share = (1.0 - np.exp(-2.0 * number * draught_m)) / (2.0 * number * draught_m)
    drift = 2.0 * _WAVES_RAD_S * number * mean_share * spectrum(np.asarray(wind_ms)[..., None], _WAVES_RAD_S)
    return np.asarray(np.trapezoid(drift, _WAVES_RAD_S) * (_SPREAD * np.cos(_SPREAD_RAD)).sum())


def spectrum(wind_ms: Floats, wave_rad_s: Floats) -> Floats:
    """Energy of the fully developed sea by angular frequency, m2 s; wind at 10 m."""
    peak = FULL_GROWN * GRAVITY_M_S2 / np.maximum(wind_ms, 0.1)
    width = 0.08 * (1.0 + 4.0 / FULL_GROWN**3)
    sharper = 1.7 ** np.exp(-((wave_rad_s / peak - 1.0) ** 2) / (2.0 * width**2))
    return np.asarray(
        LEVEL * GRAVITY_M_S2**2 / (wave_rad_s**4 * peak) * np.exp(-((peak / wave_rad_s) ** 4)) * sharper, dtype=float
    )


@lru_cache(maxsize=8)
def _met(waterline_m: float, volume_m3: float, beam_m: float) -> Floats:
    """Added resistance (N per m2 of amplitude squared) by Froude number, angle off the bow and wave."""
    speed_ms = _FROUDE[:, None, None] * np.sqrt(GRAVITY_M_S2 * waterline_m)
    return motions(waterline_m, volume_m3, beam_m, speed_ms, _OFF_BOW_RAD[:, None], _WAVES_RAD_S).added_n


def motions(
    waterline_m: float, volume_m3: float, beam_m: float, speed_ms: Floats, off_bow_rad: Floats, wave_rad_s: Floats
) -> Motions:
    """How a hull heaves and pitches in waves from forward of the beam, and what they add; all broadcast. Heave is up,
    pitch bow down, both as of the moment when a crest is amidships.
    """
    ahead = np.maximum(np.cos(off_bow_rad), 1e-6)
    number = wave_rad_s**2 / GRAVITY_M_S2
    met_rad_s = wave_rad_s + number * speed_ms * ahead
    speed, off, wave, met = (
        of[..., None] for of in np.broadcast_arrays(speed_ms, number * ahead, wave_rad_s, met_rad_s)
    )
    x = _STATIONS * waterline_m / 2.0
    beam = WATERLINE_BEAM * beam_m * (1.0 - _STATIONS**2)
    draught = volume_m3 / (FULLNESS * WATERLINE_BEAM * beam_m * waterline_m * 8.0 / 15.0) * (1.0 - _STATIONS**2)
    mass = ADDED_MASS * SEA_KG_M3 * np.pi / 8.0 * beam**2
    radiated = 2.0 * np.sin(np.minimum(met**2 * beam / (2.0 * GRAVITY_M_S2), np.pi / 2.0))
    radiated = radiated * np.exp(-(met**2) * draught / GRAVITY_M_S2)
    damping = SEA_KG_M3 * GRAVITY_M_S2**2 * radiated**2 / met**3 - speed * np.gradient(mass, x)
    spring = SEA_KG_M3 * GRAVITY_M_S2 * beam
    water = np.exp(-(wave**2) / GRAVITY_M_S2 * FULLNESS * draught + 1j * off * x)

    def over(strips: NDArray[np.complex128]) -> NDArray[np.complex128]:
        return np.asarray(np.trapezoid(strips, x))

    up = -(met**2) * mass + 1j * met * damping + spring + 0.0 * x
    down = x * (met**2 * mass - spring) + 2j * met * speed * mass + damping * (speed - 1j * met * x)
    lift = (-(wave**2) * mass + 1j * wave * damping + spring) * water
    weight_kg, first = SEA_KG_M3 * volume_m3, met[..., 0] ** 2
    inertia = weight_kg * (GYRADIUS * waterline_m) ** 2
    heave, pitch = _solved(
        (over(up) - first * weight_kg, over(down), over(lift)),
        (-over(x * up), -over(x * down) - first * inertia, -over(x * lift)),
    )
    relative = 1j * met * (heave[..., None] - x * pitch[..., None]) + speed * pitch[..., None] - 1j * wave * water
    added_n = off[..., 0] / (2.0 * met[..., 0]) * over(damping * np.abs(relative) ** 2).real
    return Motions(heave, pitch, np.maximum(added_n, 0.0))


Row = tuple["NDArray[np.complex128]", "NDArray[np.complex128]", "NDArray[np.complex128]"]


def _solved(first: Row, second: Row) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Of two equations a x + b y = c, given as rows (a, b, c)."""
    determinant = first[0] * second[1] - first[1] * second[0]
    return (
        (first[2] * second[1] - first[1] * second[2]) / determinant,
        (first[0] * second[2] - first[2] * second[0]) / determinant,
    )


def _between(values: Floats, nodes: Floats) -> Floats:
    """Shares of the nodes in what is read linearly at values, (..., nodes); beyond the last node nothing."""
    at = np.clip(np.searchsorted(nodes, values) - 1, 0, len(nodes) - 2)
    part = (values - nodes[at]) / (nodes[at + 1] - nodes[at])
    inside = values <= nodes[-1]
    shares = np.zeros((*np.shape(values), len(nodes)))
    np.put_along_axis(shares, at[..., None], (np.maximum(1.0 - part, 0.0) * inside)[..., None], axis=-1)
    np.put_along_axis(shares, at[..., None] + 1, (np.clip(part, 0.0, 1.0) * inside)[..., None], axis=-1)
    return shares
