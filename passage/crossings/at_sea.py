"""What she makes of smooth-water speeds at sea: a second layer, of named effects.

Each effect changes one thing in the balance of forces (``balance.py``), and is a key of ``[at_sea]`` in boat.toml with
a default; ``EFFECTS`` names its source. An estimated polar is solved anew under the effects. A table of the crew's own
is multiplied by what they take from the estimate at the same wind and angle, where the crew asks for it. Leeway turns
the course made good off the wind by what it is more than in smooth water, for published predictions do not part
heading from course; the waves carry her to leeward on every course.

The layer is worked out once, when the vessel is rigged out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.balance import Balance, Trim
from passage.crossings.estimate import ANGLES_DEG, KNOT_MS, SMOOTH, WINDS_KN, estimate_polar, form_of, sailed
from passage.crossings.seaway import wave_drift_ms
from passage.inputs.boat import AtSea
from passage.inputs.polar import PolarTable

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.inputs.boat import Boat, Hull

    Floats = NDArray[np.float64]

LEAST_KN = 0.05  # below it a ratio of speeds says nothing


class Effect(NamedTuple):
    """key: field of ``AtSea``. words and source: as printed."""

    key: str
    words: str
    source: str


EFFECTS = (
    Effect(
        "waves_share",
        "resistance added by the sea of that wind, by angle and length",
        "her motions and what they radiate by strip theory, Gerritsma and Beukelman 1972 (M; worked out: D), in the "
        "sea of Pierson and Moskowitz 1964 (R2)",
    ),
    Effect(
        "sail_carried_share",
        "reefed at some 20 degrees of heel, not 28: share of the hull's righting moment that is used",
        "common practice, no source",
    ),
    Effect(
        "on_rail_share", "share of a racing crew's weight that sits on the rail", "two below or in the cockpit: none"
    ),
    Effect(
        "fouling_share",
        "friction added by a light slime",
        "some 11 % of all resistance for light slime, 20 % for heavy: Schultz 2007, Biofouling 23 (M)",
    ),
    Effect(
        "propeller_share",
        "friction added by a fixed propeller",
        "a fixed two-bladed one 20 to 30 %: one writer's estimate from tank tests of 1995 (R2, weak); three-bladed, "
        "locked: 3 to 15 % of all resistance, MacKenzie and Forrester 2007, quoted elsewhere (R2)",
    ),
    Effect("windage_share", "air drag added by sprayhood, dinghy, raft, panels", "common practice, no source"),
    Effect(
        "leeway", "course made good, off the heading", "slender wing (D); with Garrett 1987 and a textbook's table (R2)"
    ),
    Effect(
        "wave_drift",
        "carried to leeward by the waves themselves",
        "Stokes 1847 for the wind's own sea (D); Ardhuin and others 2009, introduction read (S)",
    ),
    Effect(
        "slatting_below_kn",
        "wind below which the swell shakes it out of the sails and nothing is made good",
        "no published prediction reaches below 4 kn; rolling 5 degrees (rms) in 3.5 s takes sails 5 m up through the "
        "air at up to 3 kn (D, an order of size); that none fill below it in a swell is reported (R2, weak)",
    ),
    Effect("pole", "the headsail boomed out downwind", "drag of a squared sail, Hazen 1980 (M)"),
    Effect("spinnaker_up_to_kn", "true wind up to which two set a spinnaker or drifter", "common practice, no source"),
)

_NOTHING = AtSea(
    reckoned=True,
    waves_share=0.0,
    sail_carried_share=1.0,
    on_rail_share=1.0,
    fouling_share=0.0,
    windage_share=0.0,
    propeller_share=0.0,
    leeway=False,
    wave_drift=False,
    slatting_below_kn=0.0,
    pole=False,
    spinnaker_up_to_kn=80.0,
)


def sailing_polar(boat: Boat, own: PolarTable | None) -> PolarTable:
    """The table she is sailed by: her own, or the estimate; with the layer where the boat file has it on."""
    if not boat.reckons_sea:
        return own or estimate_polar(boat.hull)
    return at_sea(boat.hull, boat.at_sea, own)


def at_sea(hull: Hull, effects: AtSea, own: PolarTable | None = None) -> PolarTable:
    """Boat speed (kn) by wind at 10 m and angle of the course made good, under the effects."""
    smooth = sailed(hull, SMOOTH._replace(pole=effects.pole and own is not None))
    rough = sailed(hull, _trim(effects), effects.spinnaker_up_to_kn)
    more_leeway = np.degrees(rough.leeway_rad - smooth.leeway_rad) if effects.leeway else np.zeros(rough.speed_ms.shape)
    if own is None:
        winds, angles, speed_kn, leeway = WINDS_KN, ANGLES_DEG, rough.speed_ms / KNOT_MS, more_leeway
    else:
        winds, angles = own.wind_speed_kn, own.wind_angle_deg
        left, leeway = _read_at(winds, angles, _ratio(rough, smooth)), _read_at(winds, angles, more_leeway)
        speed_kn = own.boat_speed_kn * left
    drift_kn = _drift_kn(hull, winds) if effects.wave_drift else np.zeros(len(winds))
    turned = [_turned(angles, *row) for row in zip(speed_kn, np.maximum(leeway, 0.0), drift_kn, strict=True)]
    table = np.round(np.stack(turned), 2).astype(np.float64)
    return _slatting(PolarTable(winds, angles, table), effects.slatting_below_kn)


def only(effects: AtSea, *keys: str) -> AtSea:
    """The effects with all left out but these."""
    return _NOTHING.model_copy(update={key: getattr(effects, key) for key in keys})


def without(effects: AtSea, *keys: str) -> AtSea:
    """The effects with these left out."""
    return effects.model_copy(update={key: getattr(_NOTHING, key) for key in keys})


def _trim(effects: AtSea) -> Trim:
    return Trim(
        friction=1.0 + effects.fouling_share + effects.propeller_share,
        windage=1.0 + effects.windage_share,
        carried=effects.sail_carried_share,
        hiking=effects.on_rail_share,
        waves=effects.waves_share,
        pole=effects.pole,
    )


def _ratio(rough: Balance, smooth: Balance) -> Floats:
    return np.asarray(rough.speed_ms / np.maximum(smooth.speed_ms, LEAST_KN * KNOT_MS))


def _read_at(winds_kn: Floats, angles_deg: Floats, values: Floats) -> Floats:
    """Values on the estimate's winds and angles, read linearly at others; at the ends as on the end."""
    along = np.stack([np.interp(angles_deg, ANGLES_DEG, row) for row in values])
    return np.stack([np.interp(winds_kn, WINDS_KN, column) for column in along.T], axis=1)


def _slatting(table: PolarTable, below_kn: float) -> PolarTable:
    """Nothing up to a wind; from there her speed comes in by the next wind of the table."""
    if below_kn == 0.0:
        return table
    kept = table.wind_speed_kn > below_kn
    speed_kn = np.vstack([np.zeros(len(table.wind_angle_deg)), table.boat_speed_kn[kept]])
    return PolarTable(np.append(below_kn, table.wind_speed_kn[kept]), table.wind_angle_deg, speed_kn)


def _drift_kn(hull: Hull, winds_kn: Floats) -> Floats:
    return wave_drift_ms(winds_kn * KNOT_MS, float(form_of(hull).draught_m)) / KNOT_MS


def _turned(angles_deg: Floats, speed_kn: Floats, leeway_deg: Floats, drift_kn: Floats) -> Floats:
    """Speed by course made good, of speed by heading; nothing closer to the wind than leeway and waves let her."""
    course = np.radians(np.minimum(angles_deg + leeway_deg, 180.0))
    ahead_kn, across_kn = speed_kn * np.cos(course) - drift_kn, speed_kn * np.sin(course)
    made_deg = np.round(np.degrees(np.arctan2(across_kn, ahead_kn)), 6)
    closest = int(np.argmin(made_deg))  # pinched closer, she would only be carried off further
    made_deg, made_kn = np.maximum.accumulate(made_deg[closest:]), np.hypot(ahead_kn, across_kn)[closest:]
    return np.asarray(np.interp(angles_deg, made_deg, made_kn, left=0.0))
