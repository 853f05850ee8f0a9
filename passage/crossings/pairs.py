"""How far a crew's own pairs, so much boat speed in so much wind at such an angle, fit the tables she is sailed by."""

from __future__ import annotations

from math import nan
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.at_sea import EFFECTS, at_sea, only
from passage.crossings.estimate import estimate_polar
from passage.crossings.speed import speed_table
from passage.errors import Fault, InputFaults
from passage.inputs.polar import COLUMNS, HIGHEST, PolarTable
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.inputs.boat import Boat

# Wind over the sea by height, u ~ z^0.11: Hsu, Meindl and Gilhousen 1994, J. Appl. Meteor. 33, 757 (M), near neutral.
PROFILE_EXPONENT = 0.11
POLAR_HEIGHT_M = 10.0
POINTS = (("close-hauled", 0.0, 60.0), ("reaching", 60.0, 120.0), ("running", 120.0, 180.1))
AIRS = (("under 8 kn", 0.0, 8.0), ("8 to 16 kn", 8.0, 16.0), ("16 kn and more", 16.0, 1e3))
LEAST_KN = 0.3  # a table that promises less is held against nothing
PROBES = (("windward", 0.0), ("beam", 90.0), ("quarter", 150.0))
PROBE_WIND_KN = 16.0
WINDS_KN = (6.0, 10.0, 15.0, 20.0, 25.0, 30.0)
ANGLES_DEG = (45.0, 52.0, 60.0, 75.0, 90.0, 110.0, 120.0, 135.0, 150.0, 180.0)
COURSES_DEG = (0.0, 45.0, 60.0, 90.0, 120.0, 150.0, 180.0)


class Pair(NamedTuple):
    """True wind at 10 m, its angle off the bow, and speed through the water."""

    wind_kn: float
    angle_deg: float
    boat_kn: float


class PairGroup(Record):
    """Pairs of one point of sailing or of one strength of wind."""

    part: str = told("which of them")
    count: int = told("how many")
    ratio: float = told("median of hers over the table's", places=2)


class Fit(Record):
    """Hers over the table's."""

    count: int = told("pairs, or days, where the table promises 0.3 kn or more")
    left_out: int = told("those where it promises next to nothing")
    ratio: float = told("median of hers over the table's", places=2)
    sd: float = told("standard deviation of that ratio; null of fewer than two", places=2)
    parts: tuple[PairGroup, ...] = told("the same by point of sailing and by strength of wind")


class Held(Record):
    """The crew's pairs, brought to 10 m, and how far they fit."""

    pairs: tuple[Pair, ...]
    instrument_height_m: float = told("height of the wind instrument that was allowed for; null: taken as 10 m")
    against_smooth: Fit = told("pairs against the smooth-water table")
    against_sea: Fit = told("pairs against the table at sea")

    @reckoned("pairs given")
    def count(self) -> int:
        return len(self.pairs)


class EffectAlone(Record):
    """What one effect alone makes of the speed made good in smooth water, in 16 kn of wind."""

    effect: str = told("the effect, by the key of [at_sea] that sets it")
    words: str = told("what it stands for")
    source: str = told("where it comes from")
    setting: str = told("as it is set in the boat file")
    windward_percent: float = told("what it adds to speed made good dead to windward in 16 kn, per cent")
    beam_percent: float = told("the same with the wind across the course")
    quarter_percent: float = told("the same with the wind at 150 degrees")


class SpeedRow(Record):
    """Speeds in one wind."""

    wind_kn: float = told("wind at 10 m", places=0)
    speeds_kn: tuple[float, ...] = told("speeds at each of the angles, knots")


class Speeds(Record):
    """A boat's tables, her own or the estimate and what the sea leaves of it, and which of the two she is sailed by."""

    smooth: PolarTable
    sea: PolarTable
    estimated: bool = told(
        "whether the smooth-water table is an estimate from the hull's figures, not a table of her own"
    )
    sails_by_sea: bool = told("whether the crossings sail by the table at sea, not by the smooth one")
    effects: tuple[EffectAlone, ...] = told("what each effect of [at_sea] makes of her speed by itself")

    @reckoned("wind angles of the columns, degrees")
    def wind_angles_deg(self) -> tuple[float, ...]:
        return ANGLES_DEG

    @reckoned("the same of speeds made good: angles of the course to the wind")
    def course_angles_deg(self) -> tuple[float, ...]:
        return COURSES_DEG

    @reckoned("boat speed in smooth water, a row for each wind at 10 m")
    def smooth_speeds(self) -> tuple[SpeedRow, ...]:
        return _through_water(self.smooth)

    @reckoned("the same with what sea, crew and time take; angles are those of the course made good")
    def sea_speeds(self) -> tuple[SpeedRow, ...]:
        return _through_water(self.sea)

    @reckoned("speed made good in smooth water, tacking and gybing allowed and free")
    def smooth_made_good(self) -> tuple[SpeedRow, ...]:
        return _made_good(self.smooth)

    @reckoned("the same at sea")
    def sea_made_good(self) -> tuple[SpeedRow, ...]:
        return _made_good(self.sea)


def _through_water(polar: PolarTable) -> tuple[SpeedRow, ...]:
    return tuple(SpeedRow(wind, tuple(sailed_kn(polar, wind, angle) for angle in ANGLES_DEG)) for wind in WINDS_KN)


def _made_good(polar: PolarTable) -> tuple[SpeedRow, ...]:
    rows = made_good_kn(polar, WINDS_KN, COURSES_DEG)
    return tuple(SpeedRow(wind, tuple(row)) for wind, row in zip(WINDS_KN, rows, strict=True))


def speeds_of(boat: Boat, own: PolarTable | None) -> Speeds:
    """own: the table of the boat file, None for an estimate."""
    smooth = own or estimate_polar(boat.hull)
    changes = []
    for effect in EFFECTS:
        alone = at_sea(boat.hull, only(boat.at_sea, effect.key), own)
        changes.append(EffectAlone(*effect, str(getattr(boat.at_sea, effect.key)), *_percent(smooth, alone)))
    return Speeds(smooth, at_sea(boat.hull, boat.at_sea, own), own is None, boat.reckons_sea, tuple(changes))


def hold(speeds: Speeds, pairs: Sequence[Pair], height_m: float | None) -> Held | None:
    """Pairs as noted against both tables, None without any; their wind at height_m, or at 10 m where that is None."""
    if not pairs:
        return None
    brought = tuple(
        pair if height_m is None else pair._replace(wind_kn=at_ten_metres_kn(pair.wind_kn, height_m)) for pair in pairs
    )
    return Held(brought, nan if height_m is None else height_m, fit(brought, speeds.smooth), fit(brought, speeds.sea))


def _percent(smooth: PolarTable, rough: PolarTable) -> list[float]:
    before, after = (
        made_good_kn(table, [PROBE_WIND_KN], [angle for _, angle in PROBES])[0] for table in (smooth, rough)
    )
    return [100.0 * (one / other - 1.0) if other > 0.0 else nan for other, one in zip(before, after, strict=True)]


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
    enough = promised >= LEAST_KN
    kept = [pair for pair, counts in zip(pairs, enough, strict=True) if counts]
    ratio = np.array([pair.boat_kn for pair in kept]) / promised[enough]
    parts = [
        _part(words, ratio, np.array([low <= pair.angle_deg < high for pair in kept])) for words, low, high in POINTS
    ]
    parts += [_part(words, ratio, np.array([low <= pair.wind_kn < high for pair in kept])) for words, low, high in AIRS]
    return spread(ratio, len(pairs) - len(kept), tuple(part for part in parts if part.count))


def spread(ratio: NDArray[np.float64], left_out: int, parts: tuple[PairGroup, ...] = ()) -> Fit:
    """Ratios of hers to the table's, summed up."""
    middle = float(np.median(ratio)) if len(ratio) else nan
    return Fit(len(ratio), left_out, middle, float(np.std(ratio, ddof=1)) if len(ratio) > 1 else nan, parts)


def _part(words: str, ratio: NDArray[np.float64], within: NDArray[np.bool_]) -> PairGroup:
    count = int(within.sum())
    return PairGroup(words, count, float(np.median(ratio[within])) if count else nan)
