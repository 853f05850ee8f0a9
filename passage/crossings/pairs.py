"""How far a crew's own pairs, so much boat speed in so much wind at such an angle, fit the tables she is sailed by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.at_sea import EFFECTS, at_sea, only
from passage.crossings.estimate import estimate_polar
from passage.crossings.speed import speed_table
from passage.errors import Fault, InputFaults
from passage.inputs.polar import COLUMNS, HIGHEST

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.inputs.boat import Boat
    from passage.inputs.polar import PolarTable

# Wind over the sea by height, u ~ z^0.11: Hsu, Meindl and Gilhousen 1994, J. Appl. Meteor. 33, 757 (M), near neutral.
PROFILE_EXPONENT = 0.11
POLAR_HEIGHT_M = 10.0
POINTS = (("close-hauled", 0.0, 60.0), ("reaching", 60.0, 120.0), ("running", 120.0, 180.1))
AIRS = (("under 8 kn", 0.0, 8.0), ("8 to 16 kn", 8.0, 16.0), ("16 kn and more", 16.0, 1e3))
LEAST_KN = 0.3  # a table that promises less is held against nothing
PROBES = (("windward", 0.0), ("beam", 90.0), ("quarter", 150.0))
PROBE_WIND_KN = 16.0


class Pair(NamedTuple):
    """True wind at 10 m, its angle off the bow, and speed through the water."""

    wind_kn: float
    angle_deg: float
    boat_kn: float


class Part(NamedTuple):
    """Pairs of one point of sailing or of one strength of wind: how many, and the median of hers over the table's."""

    words: str
    pairs: int
    ratio: float


@dataclass(frozen=True)
class Fit:
    """Hers over the table's: median, and standard deviation (not a number of fewer than two). left_out: pairs where the
    table promises next to nothing.
    """

    count: int
    left_out: int
    ratio: float
    sd: float
    parts: tuple[Part, ...]


class Lost(NamedTuple):
    """What one effect alone takes from the speed made good in smooth water, in 16 kn of wind: shares, negative for a
    gain, dead to windward, across the wind and at 150 degrees.
    """

    key: str
    words: str
    source: str
    windward: float
    beam: float
    quarter: float


@dataclass(frozen=True)
class Speeds:
    """A boat's tables: smooth (her own or the estimate), at sea, and which of the two she is sailed by."""

    estimated: bool
    sails_by_sea: bool
    smooth: PolarTable
    sea: PolarTable
    effects: tuple[Lost, ...]


def speeds_of(boat: Boat, own: PolarTable | None) -> Speeds:
    """own: the table of the boat file, None for an estimate."""
    smooth = own or estimate_polar(boat.hull)
    lost = []
    for effect in EFFECTS:
        alone = at_sea(boat.hull, only(boat.at_sea, effect.key), own)
        lost.append(Lost(*effect, *_lost(smooth, alone)))
    return Speeds(own is None, boat.reckons_sea, smooth, at_sea(boat.hull, boat.at_sea, own), tuple(lost))


def _lost(smooth: PolarTable, rough: PolarTable) -> list[float]:
    before, after = (
        made_good_kn(table, [PROBE_WIND_KN], [angle for _, angle in PROBES])[0] for table in (smooth, rough)
    )
    return [1.0 - one / other if other > 0.0 else float("nan") for other, one in zip(before, after, strict=True)]


def made_good_kn(table: PolarTable, winds_kn: Sequence[float], angles_deg: Sequence[float]) -> list[list[float]]:
    """Speed made good at wind angles off the course, tacking and gybing allowed, without what a tack costs."""
    radius = speed_table(table, 0.0)
    tail = [[-wind * np.cos(np.radians(angle)) for angle in angles_deg] for wind in winds_kn]
    across = [[wind * np.sin(np.radians(angle)) for angle in angles_deg] for wind in winds_kn]
    read = radius.along(np.array(tail, np.float32).ravel(), np.array(across, np.float32).ravel())
    rows: list[list[float]] = read.reshape(len(winds_kn), len(angles_deg)).astype(float).tolist()
    return rows


def sailed_kn(table: PolarTable, wind_kn: float, angle_deg: float) -> float:
    """The table read linearly; nothing in no wind, and beyond its ends as at its ends."""
    winds = np.concatenate([[0.0], table.wind_speed_kn]) if table.wind_speed_kn[0] > 0 else table.wind_speed_kn
    column = np.array([np.interp(angle_deg, table.wind_angle_deg, row) for row in table.boat_speed_kn])
    column = np.concatenate([[0.0], column]) if len(winds) > len(column) else column
    return float(np.interp(wind_kn, winds, column))


def at_ten_metres_kn(wind_kn: float, height_m: float) -> float:
    """Wind at 10 m of one measured at a height, over open sea."""
    return float(wind_kn * (POLAR_HEIGHT_M / height_m) ** PROFILE_EXPONENT)


def refuse_unlikely(typed: Sequence[tuple[float, float, float]]) -> None:
    """Raises InputFaults with every number typed that a polar table would not be allowed either."""
    faults = [
        Fault("--pair", number, column, f"{value:g}", f"give a number from 0 to {HIGHEST[column]:g}")
        for number, numbers in enumerate(typed, 1)
        for column, value in zip(COLUMNS, numbers, strict=True)
        if not 0.0 <= value <= HIGHEST[column]
    ]
    if faults:
        raise InputFaults(faults)


def fit(pairs: Sequence[Pair], table: PolarTable) -> Fit:
    """Pairs against a table."""
    promised = np.array([sailed_kn(table, pair.wind_kn, pair.angle_deg) for pair in pairs])
    told = promised >= LEAST_KN
    kept = [pair for pair, counts in zip(pairs, told, strict=True) if counts]
    ratio = np.array([pair.boat_kn for pair in kept]) / promised[told]
    parts = [
        _part(words, ratio, np.array([low <= pair.angle_deg < high for pair in kept])) for words, low, high in POINTS
    ]
    parts += [_part(words, ratio, np.array([low <= pair.wind_kn < high for pair in kept])) for words, low, high in AIRS]
    return Fit(
        count=len(kept),
        left_out=len(pairs) - len(kept),
        ratio=float(np.median(ratio)) if len(kept) else float("nan"),
        sd=float(np.std(ratio, ddof=1)) if len(kept) > 1 else float("nan"),
        parts=tuple(part for part in parts if part.pairs),
    )


def _part(words: str, ratio: NDArray[np.float64], within: NDArray[np.bool_]) -> Part:
    count = int(within.sum())
    return Part(words, count, float(np.median(ratio[within])) if count else float("nan"))
