"""Horizon, lights and closing times against light lists, COLREG Annex I and plain geometry."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from passage.errors import OutOfRange
from passage.sailings import horizon

PUBLISHED = Path(__file__).parent / "published"
FOOT_M = 0.3048


def published(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((PUBLISHED / name).read_text(encoding="utf-8").splitlines()))


def close(printed: str, half_digit: float, relative: float) -> float:
    return pytest.approx(float(printed), abs=half_digit + relative * float(printed))  # type: ignore[no-any-return]


def test_one_constant_serves_feet_and_metres() -> None:
    # American Practical Navigator: 1.17 per root foot; NavList 2012-12-05: so 2.12 per root metre, not 2.07 [S].
    assert pytest.approx(1.17, abs=0.005) == horizon.horizon_nm(FOOT_M)
    assert pytest.approx(2.12, abs=0.005) == horizon.horizon_nm(1.0)
    # Light List table [S]: 5 ft 2.6, 10 ft 3.7; Aviation Formulary [S]: 10,000 ft 117. Half the last digit.
    assert pytest.approx(2.6, abs=0.05) == horizon.horizon_nm(5 * FOOT_M)
    assert pytest.approx(3.7, abs=0.05) == horizon.horizon_nm(10 * FOOT_M)
    assert pytest.approx(117, abs=0.5) == horizon.horizon_nm(10_000 * FOOT_M)


def test_the_horizon_is_refraction_s_and_not_geometry_s() -> None:
    # sqrt(2 R h / 0.8279) with the nautical sphere [S formula]; the bare geometry would give 1.93.
    radius_m = 1852 * 10800 / math.pi
    assert pytest.approx(math.sqrt(2 * radius_m / 0.8279) / 1852, rel=2e-3) == horizon.horizon_nm(1.0)


@pytest.mark.parametrize(
    ("light_ft", "eye_ft", "expected", "tolerance"),
    # Light List example 9.4 + 6.9 [S], two roundings of 0.05; a printed example to 0.01 [S], to which our 1.1704 for
    # its 1.17 adds 0.006.
    [(65, 35, 16.3, 0.1), (170, 8, 18.56, 0.011)],
)
def test_geographic_range(light_ft: float, eye_ft: float, expected: float, tolerance: float) -> None:
    assert pytest.approx(expected, abs=tolerance) == horizon.geographic_range_nm(eye_ft * FOOT_M, light_ft * FOOT_M)


# 33 CFR 84.14 = COLREG Annex I section 8 [S]: least intensity for a range, K = 0.8 per mile. Half the printed digit.
COLREG = [(1, 0.9), (2, 4.3), (3, 12), (4, 27), (5, 52), (6, 94)]


@pytest.mark.parametrize(("range_nm", "candela"), COLREG)
def test_intensities_of_the_collision_regulations(range_nm: float, candela: float) -> None:
    visibility_nm = math.log(0.05) / math.log(0.8)
    # The regulation itself says that K = 0.8 is about 13 miles of visibility.
    assert pytest.approx(13, abs=0.5) == visibility_nm
    half_digit = 0.05 if candela < 10 else 0.5
    assert pytest.approx(candela, abs=half_digit) == horizon.intensity_cd(range_nm, visibility_nm)


def test_the_threshold_in_miles() -> None:
    # IES definition of nominal range: 0.2 microlux, 0.686 cd per square mile, 0.74 left after a mile at 10 miles [S].
    assert pytest.approx(0.686, abs=5e-4) == horizon.THRESHOLD_CD_PER_NM2
    assert pytest.approx(2e-7 * 1852**2, rel=1e-4) == horizon.THRESHOLD_CD_PER_NM2
    through_a_mile = horizon.THRESHOLD_CD_PER_NM2 / horizon.intensity_cd(1.0)
    assert pytest.approx(0.74, abs=0.005) == through_a_mile


@pytest.mark.parametrize(
    ("nominal", "visibility", "expected"),
    # Allard's law solved independently by bracketing [D], printed to 1e-5.
    [(10, 5, 6.45907), (10, 20, 14.78178), (15, 2, 4.58314), (20, 5, 11.76983), (20, 20, 33.2234)],
)
def test_luminous_range(nominal: float, visibility: float, expected: float) -> None:
    assert pytest.approx(expected, abs=1e-5) == horizon.luminous_range_nm(horizon.intensity_cd(nominal), visibility)


def test_intensity_for_a_nominal_range() -> None:
    # 0.686 d^2 0.05^(-d/10) [D], to its printed digits.
    for nominal, candela in ((5, 76.69713), (10, 1372.0), (15, 13805.48369), (20, 109760.0), (25, 766971.31628)):
        assert pytest.approx(candela, rel=1e-7) == horizon.intensity_cd(nominal)


@pytest.mark.parametrize("visibility_nm", [0.1, 1.0, 10.0, 50.0])
@pytest.mark.parametrize("light_cd", [0.01, 1.0, 94.0, 1e6, 1e9])
def test_luminous_range_and_intensity_undo_each_other(light_cd: float, visibility_nm: float) -> None:
    range_nm = horizon.luminous_range_nm(light_cd, visibility_nm)
    assert pytest.approx(light_cd, rel=1e-10) == horizon.intensity_cd(range_nm, visibility_nm)
    assert range_nm <= math.sqrt(light_cd / horizon.THRESHOLD_CD_PER_NM2)
    assert range_nm < horizon.luminous_range_nm(light_cd * 1.01, visibility_nm)
    assert range_nm < horizon.luminous_range_nm(light_cd, visibility_nm * 1.01)


def test_time_to_close() -> None:
    # Plain geometry [D]: half the last digit, and what the source's 2.1192 differs from our 2.12.
    constant = 2.12 / 2.1192 - 1
    crossing = {"end-on": 180.0, "beam-on crossing (90 deg)": 90.0, "overtaking from astern": 0.0}
    for row in published("02_time_to_close.csv"):
        given = (float(row["own_kn"]), float(row["ship_kn"]), crossing[row["case"]])
        sight = horizon.first_sight(float(row["eye_height_m"]), float(row["ship_height_m"]), *given)
        assert close(row["range_nm"], 0.005, constant) == sight.range_nm
        assert pytest.approx(float(row["closing_kn"]), abs=0.005) == sight.closing_kn
        assert close(row["minutes_from_geographic_range"], 0.05, constant) == sight.minutes
        hull = horizon.first_sight(float(row["eye_height_m"]), 0.0, *given)
        assert close(row["minutes_from_eye_horizon_only"], 0.05, constant) == hull.minutes


def test_a_hull_on_one_s_own_horizon_leaves_seven_minutes() -> None:
    # Eye 2 m, own 5 kn, ship 20 kn, end on: 7.2 minutes [D].
    assert pytest.approx(7.2, abs=0.05) == horizon.first_sight(2.0, 0.0, 5.0, 20.0).minutes


def test_thick_air_cuts_the_range_short() -> None:
    clear, thick = horizon.first_sight(2.0, 35.0, 5.0, 20.0), horizon.first_sight(2.0, 35.0, 5.0, 20.0, seen_to_nm=1.0)
    assert (1.0, clear.closing_kn) == (thick.range_nm, thick.closing_kn)
    assert pytest.approx(60 / 25) == thick.minutes


def test_what_does_not_close_takes_for_ever() -> None:
    assert math.inf == horizon.first_sight(2.0, 35.0, 8.0, 8.0, crossing_deg=0.0).minutes


def test_closing_speed_grows_with_the_crossing_angle() -> None:
    speeds = [horizon.closing_speed_kn(5.0, 18.0, angle) for angle in range(0, 181, 10)]
    assert speeds == sorted(speeds)
    assert (pytest.approx(13.0), pytest.approx(23.0)) == (speeds[0], speeds[-1])


def test_nonsense_is_refused() -> None:
    for refused in (
        lambda: horizon.horizon_nm(-1.0),
        lambda: horizon.geographic_range_nm(2.0, math.nan),
        lambda: horizon.intensity_cd(0.0),
        lambda: horizon.intensity_cd(5.0, -1.0),
        lambda: horizon.luminous_range_nm(0.0),
        lambda: horizon.luminous_range_nm(100.0, math.inf),
        lambda: horizon.closing_speed_kn(-1.0, 5.0, 90.0),
    ):
        with pytest.raises(OutOfRange):
            refused()
