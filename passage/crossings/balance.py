"""The speed at which the sails' drive balances the water's resistance, for a displacement hull under sail.

Drive and side force come from lift and drag of the sails by apparent wind angle (the form of Hazen 1980), in the wind
at the sails' centre of effort, with sail taken in so that the heeling moment stays at what the boat carries. Resistance
is friction of the wetted surface (ITTC 1957 line), wave-making by Froude number, windage, the drag of the side force (a
slender wing and its image: force = pressure x pi x span^2 x leeway) and what the seaway adds (``seaway.py``). The
numbers are in ``coefficients.py``, which says what they were fitted to.

SI units inside: speeds in m/s, angles in radians. Arrays broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.coefficients import FROUDE
from passage.crossings.seaway import GRAVITY_M_S2, SEA_KG_M3, sea_resistance

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from passage.crossings.coefficients import Coefficients, Cut

    Floats = NDArray[np.float64]

AIR_KG_M3 = 1.225
SEA_VISCOSITY_M2_S = 1.19e-6
ROUGHNESS_M = 0.001  # of the sea for the wind between sails and 10 m, as velocity predictions have it (M)
STALL_RAD = 0.3  # leeway beyond which a keel gives no more side force: an order of size
KITE_FROM_RAD = np.radians(60.0)  # off the true wind: common practice
HALVINGS = 22  # of an interval of under 16 m/s: to 4e-6 m/s


@dataclass(frozen=True)
class Form:
    """A hull ready for sea and her sails; a spinnaker or drifter of no size is none. Fields are floats, or arrays of
    many boats. length_m: the sailing length, between waterline and length overall.
    """

    length_m: Floats | float
    waterline_m: Floats | float
    volume_m3: Floats | float
    beam_m: Floats | float
    draught_m: Floats | float
    crew_kg: Floats | float
    main_m2: Floats | float
    headsail_m2: Floats | float
    kite_m2: Floats | float = 0.0
    asymmetric: Floats | float = 0.0

    @property
    def wetted_m2(self) -> Floats | float:
        """Wetted surface, keel and rudder included: by the waterline fitted to the published surfaces of the hulls, sd
        5 %. By the longer length under way, as here, it is a tenth more.
        """
        return 2.04 * (self.volume_m3 * self.length_m) ** 0.5 + 0.41 * self.beam_m * self.length_m


class Trim(NamedTuple):
    """How she is sailed; as it stands, in smooth water, clean, with a crew on the rail. friction, windage: times those
    of the coefficients. carried: share of the hull's righting moment up to which sail is carried; hiking: share of the
    crew that is on the rail. waves: times the added resistance of the wind's sea, for one boat at a time. pole: the
    headsail is boomed out.
    """

    friction: float = 1.0
    windage: float = 1.0
    carried: float = 1.0
    hiking: float = 1.0
    waves: float = 0.0
    pole: bool = False


class Balance(NamedTuple):
    speed_ms: Floats
    leeway_rad: Floats


class _Sails(NamedTuple):
    area_m2: Floats | float
    cut: Cut
    lift: Floats | float  # times the cut's
    centre_m: Floats | float  # height of the centre of effort above the deck


class _Air(NamedTuple):
    """Forces of the air, newtons, ahead and to leeward; heel as a share of that up to which sail is carried."""

    drive_n: Floats
    side_n: Floats
    heel_share: Floats


def working_sails(form: Form, trim: Trim, wind_ms: Floats, angle_rad: Floats, known: Coefficients) -> Balance:
    """Under mainsail and headsail, in a true wind at 10 m."""
    headsail_m2 = known.headsail * form.headsail_m2
    area_m2 = form.main_m2 + headsail_m2
    shares = [float(np.mean(part_m2 / area_m2)) for part_m2 in (form.main_m2, form.headsail_m2)]
    sails = _Sails(area_m2, known.working(shares[0], shares[1], trim.pole), 1.0, _centre_m(form, known))
    return _settle(form, sails, trim, wind_ms, angle_rad, known)


def under_kite(form: Form, trim: Trim, wind_ms: Floats, angle_rad: Floats, known: Coefficients) -> Balance:
    """Under mainsail and spinnaker or drifter, in a true wind at 10 m."""
    centre_m = known.kite_higher * _centre_m(form, known)
    return _settle(
        form,
        _Sails(form.main_m2 + form.kite_m2, known.kite, 1.0 + known.asymmetric * form.asymmetric, centre_m),
        trim,
        wind_ms,
        angle_rad,
        known,
    )


def best(
    form: Form, trim: Trim, wind_ms: Floats, angle_rad: Floats, known: Coefficients, kite_up_to_ms: float = np.inf
) -> Balance:
    """Under working sails or, where she has one and may set it, the kite: whichever is faster, cell by cell."""
    working = working_sails(form, trim, wind_ms, angle_rad, known)
    if not np.any(form.kite_m2):
        return working
    kite = under_kite(form, trim, wind_ms, angle_rad, known)
    set_up = (kite.speed_ms > working.speed_ms) & (angle_rad >= KITE_FROM_RAD) & (wind_ms <= kite_up_to_ms)
    return Balance(*(np.where(set_up, *pair) for pair in zip(kite, working, strict=True)))


def _centre_m(form: Form, known: Coefficients) -> Floats | float:
    return known.centre * (form.main_m2 + form.headsail_m2) ** 0.5


def _settle(form: Form, sails: _Sails, trim: Trim, wind_ms: Floats, angle_rad: Floats, known: Coefficients) -> Balance:
    """By bisection: drive falls and resistance rises with speed."""
    above_water_m = sails.centre_m + 0.12 * form.length_m  # freeboard: an order of size
    wind_there_ms = wind_ms * np.log(above_water_m / ROUGHNESS_M) / np.log(10.0 / ROUGHNESS_M)
    slow = np.zeros(np.broadcast(form.length_m, wind_there_ms, angle_rad).shape)
    fast = slow + 2.0 + 2.0 * np.sqrt(form.length_m)
    seaway_n = _seaway(form, trim, *np.broadcast_arrays(wind_ms, angle_rad))
    for _ in range(HALVINGS):
        speed = (slow + fast) / 2.0
        air = _air(form, sails, trim, wind_there_ms, angle_rad, speed, known)
        gains = air.drive_n > _water_n(form, trim, air, speed, known) + seaway_n(speed)
        slow, fast = np.where(gains, speed, slow), np.where(gains, fast, speed)
    air = _air(form, sails, trim, wind_there_ms, angle_rad, slow, known)
    return Balance(slow, _leeway_rad(form, air, slow, known))


def _seaway(form: Form, trim: Trim, wind_ms: Floats, angle_rad: Floats) -> Callable[[Floats], Floats | float]:
    """What the sea adds, newtons, by speed; of one boat."""
    if not trim.waves:
        return lambda _: 0.0
    hull = float(form.waterline_m), float(form.volume_m3), float(form.beam_m)
    added_n = sea_resistance(*hull, wind_ms, angle_rad)
    return lambda speed_ms: trim.waves * added_n(speed_ms)


def _air(
    form: Form, sails: _Sails, trim: Trim, wind_ms: Floats, angle_rad: Floats, speed_ms: Floats, known: Coefficients
) -> _Air:
    ahead, beam = wind_ms * np.cos(angle_rad) + speed_ms, wind_ms * np.sin(angle_rad)
    pressure = 0.5 * AIR_KG_M3 * (ahead**2 + beam**2)
    apparent = np.arctan2(beam, ahead)
    lift, drag = (np.interp(np.degrees(apparent), sails.cut.angle_deg, of) for of in (sails.cut.lift, sails.cut.drag))
    lift = lift * sails.lift
    sine, cosine = np.sin(apparent), np.cos(apparent)
    side_n = pressure * sails.area_m2 * np.maximum(lift * cosine + drag * sine, 0.0)
    lever_m = sails.centre_m + 0.35 * form.draught_m + 0.05 * form.length_m
    most_nm = _righting_nm(form, trim, known)
    carried = np.minimum(1.0, most_nm / np.maximum(side_n * lever_m, 1e-6))
    drive_n = pressure * sails.area_m2 * carried * (lift * sine - drag * cosine)
    bare_m2 = trim.windage * known.windage * form.beam_m
    heel_share = side_n * carried * lever_m / most_nm * trim.carried
    return _Air(drive_n - pressure * bare_m2 * cosine, side_n * carried, heel_share)


def _righting_nm(form: Form, trim: Trim, known: Coefficients) -> Floats | float:
    """Heeling moment up to which sail is carried."""
    of_beam, of_sail = known.righting
    sail = (form.main_m2 + form.headsail_m2) ** 1.5 / form.volume_m3 / 100.0
    lever_m = (of_beam * form.beam_m + of_sail * sail) * (form.length_m / 10.0) ** known.stiffer
    rail_m = trim.hiking * known.hiking * form.beam_m / 2.0
    return GRAVITY_M_S2 * (trim.carried * SEA_KG_M3 * form.volume_m3 * lever_m + form.crew_kg * rail_m)


def _water_n(form: Form, trim: Trim, air: _Air, speed_ms: Floats, known: Coefficients) -> Floats:
    pressure = 0.5 * SEA_KG_M3 * speed_ms**2
    reynolds = np.maximum(0.7 * speed_ms * form.length_m / SEA_VISCOSITY_M2_S, 1e4)
    friction_n = pressure * form.wetted_m2 * 0.075 / (np.log10(reynolds) - 2.0) ** 2
    wave = np.interp(speed_ms / np.sqrt(GRAVITY_M_S2 * form.length_m), FROUDE, known.wave)
    stout = (form.volume_m3 / (0.007 * form.length_m**3)) ** known.wave_stout
    wave_n = SEA_KG_M3 * GRAVITY_M_S2 * form.volume_m3 * wave * stout * (1.0 + known.wave_heeled * air.heel_share**2)
    leeway = _leeway_rad(form, air, speed_ms, known)
    return np.asarray(trim.friction * known.friction * friction_n + wave_n + air.side_n * leeway)


def _leeway_rad(form: Form, air: _Air, speed_ms: Floats, known: Coefficients) -> Floats:
    pressure = 0.5 * SEA_KG_M3 * np.maximum(speed_ms, 0.05) ** 2
    return np.minimum(air.side_n / (pressure * np.pi * (known.span * form.draught_m) ** 2), STALL_RAD)
