"""What the wind pulls on an anchored boat: by a published table, and by the drag of the wind alone.

The table (ABYC H-40, Table I) holds surge and swinging in moderate shelter, and is about three times the still-
air drag of the same boat; the truth for a given night lies between, and in an open roadstead with swell above
both.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import sqrt

from passage.errors import OutOfRange

NEWTON_PER_LBF = 4.4482216
METRE_PER_FOOT = 0.3048
MS_PER_KN = 0.514444
AIR_DENSITY_KG_M3 = 1.225
GRAVITY_M_S2 = 9.80665
TABLE = "ABYC H-40, Table I"
TABLE_WIND_KN = 30.0
SURGE_FACTOR = 3.0  # table load over still-air drag, R2 and D; used only where no drag area is given


@dataclass(frozen=True)
class BoatLoad:
    """One row of the published table; loads in pounds-force."""

    length_ft: float
    beam_sail_ft: float
    beam_power_ft: float
    load_15kn_lbf: float
    load_30kn_lbf: float
    load_42kn_lbf: float
    load_60kn_lbf: float
    standing: str

    @property
    def load_at_30kn_n(self) -> float:
        return self.load_30kn_lbf * NEWTON_PER_LBF


@cache
def boat_loads() -> tuple[BoatLoad, ...]:
    """The published table, from the smallest boat up."""
    text = (files(__package__) / "boat_loads.csv").read_text(encoding="utf-8")
    return tuple(_boat_load(row) for row in csv.DictReader(text.splitlines()))


def table_row(length_m: float, beam_m: float, *, power_boat: bool = False) -> BoatLoad:
    """The row that governs: the first that is neither shorter nor narrower than the boat, so length or beam decides."""
    for row in boat_loads():
        row_beam_ft = row.beam_power_ft if power_boat else row.beam_sail_ft
        if length_m <= row.length_ft * METRE_PER_FOOT + 1e-6 and beam_m <= row_beam_ft * METRE_PER_FOOT + 1e-6:
            return row
    raise OutOfRange(
        f"boat.toml: a boat of {length_m:.1f} m by {beam_m:.1f} m is beyond the published anchoring loads, which end "
        "at 60 ft and a beam of 15 ft; mend length and beam, or ask a rigger and take anchorage.toml out of the folder"
    )


def table_load_n(row: BoatLoad, wind_kn: float) -> float:
    """Load in newtons at any wind: the 30-knot column times the square of the wind, as the columns themselves run."""
    return row.load_at_30kn_n * (wind_kn / TABLE_WIND_KN) ** 2


def table_wind_kn(row: BoatLoad, pull_n: float) -> float:
    """Wind in knots at which the table's load reaches this pull."""
    return TABLE_WIND_KN * sqrt(pull_n / row.load_at_30kn_n)


def wind_drag_n(drag_area_m2: float, wind_kn: float) -> float:
    """Drag of the wind alone, newtons: half the air density times drag coefficient times area times speed squared."""
    return 0.5 * AIR_DENSITY_KG_M3 * drag_area_m2 * (wind_kn * MS_PER_KN) ** 2


def drag_wind_kn(drag_area_m2: float, pull_n: float) -> float:
    """Wind in knots at which drag alone reaches this pull."""
    return sqrt(pull_n / wind_drag_n(drag_area_m2, 1.0))


def drag_area_from_table_m2(row: BoatLoad) -> float:
    """Drag coefficient times area that a third of the table's load stands for.

    An estimate where the boat's own is not known.
    """
    return row.load_at_30kn_n / SURGE_FACTOR / wind_drag_n(1.0, TABLE_WIND_KN)


def fetch_sea_m(wind_kn: float, fetch_nm: float, depth_m: float) -> float:
    """Significant height of the wind sea over a short fetch, metres: 0.0016 sqrt(g X / U²) U²/g.

    Hasselmann and others 1973 (from memory, M), bounded by the fully developed sea of Pierson and Moskowitz
    (0.22 U²/g) and by six tenths of the depth (common practice). No swell, and swell is what makes most island
    roadsteads uneasy.
    """
    wind_ms = wind_kn * MS_PER_KN
    grown = 0.0016 * sqrt(GRAVITY_M_S2 * fetch_nm * 1852.0) * wind_ms / GRAVITY_M_S2
    return min(grown, 0.22 * wind_ms**2 / GRAVITY_M_S2, 0.6 * depth_m)


def _boat_load(row: dict[str, str]) -> BoatLoad:
    standing = row.pop("standing")
    return BoatLoad(**{key: float(value) for key, value in row.items()}, standing=standing)
