"""Current: published triangles, the moved hull against a linear programme, and a file of one's own."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import netCDF4
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from passage.crossings import lanes
from passage.crossings.current import Stemmer, motor_along
from passage.crossings.ensemble import passage_time_h
from passage.crossings.simulate import sail
from passage.crossings.speed import speed_table
from passage.crossings.wind import Luck
from passage.errors import InputFaults, RouteRefused
from passage.ground import lay_ground
from passage.inputs.current import (
    SHELF,
    TrackCurrent,
    along_the_course,
    current_on,
    read_current,
    set_and_drift,
    shipped_current,
)
from passage.inputs.folder import read_folder
from passage.inputs.polar import PolarTable
from passage.sailings.track import Leg, lay_track
from passage.shipped import shipped
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

    from passage.sailings.track import Track


def single(value: float) -> np.ndarray:
    return np.array([value], dtype=np.float32)


def any_heading(speed_kn: float) -> Stemmer:
    """So many knots through the water on every heading in any wind."""
    angles = np.arange(0.0, 181.0)
    return Stemmer(speed_table(PolarTable(np.array([1.0, 60.0]), angles, np.full((2, 181), speed_kn)), 0.0))


def made_good(hull: Stemmer, course: float, set_deg: float, drift: float, wind_from: float = 30.0) -> float:
    """Speed over the ground along the course in 10 kn of wind against the water."""
    towards, wind = np.radians(set_deg - course), np.radians(wind_from - course)
    tail, cross = -10.0 * np.cos(wind), -10.0 * np.sin(wind)
    through = hull.along(single(tail), single(cross), single(-drift * np.sin(towards)), single(1.0))[0]
    return float(through + drift * np.cos(towards))


@pytest.mark.parametrize("wind_from", [0.0, 95.0, 250.0])
@pytest.mark.parametrize(
    ("course", "speed", "set_deg", "drift", "published", "half_digit"),
    [
        (265, 14.777, 185, 3.0, 15.0, 0.001),  # S: Bowditch's example, steer 276 at 14.8 to make good 15
        (95, 12.0, 170, 2.5, 12.4, 0.05),  # M: Bowditch, current examples
        (242, 5.0, 0, 1.0, 4.4, 0.06),  # S: worked slide; 4.452 computed, printed 4.4
        (90, 5.0, 210, 2.0, 3.7, 0.15),  # S: six plotted textbook triangles, key good to 0.15 kn
        (45, 6.55, 135, 2.0, 6.2, 0.15),
        (235, 6.2, 315, 3.5, 5.8, 0.15),
        (265, 5.2, 70, 2.3, 3.0, 0.15),
        (150, 5.3, 50, 3.5, 3.4, 0.15),
        (20, 5.9, 90, 1.9, 6.2, 0.15),
    ],
)
def test_published_current_triangles(
    course: float, speed: float, set_deg: float, drift: float, published: float, half_digit: float, wind_from: float
) -> None:
    assert published == pytest.approx(made_good(any_heading(speed), course, set_deg, drift, wind_from), abs=half_digit)


def test_the_triangle_without_a_solution_loses_ground() -> None:
    """S: want 090 at 2 kn in a set of 000, drift 2.5: no solution; she is set off the track by half a knot."""
    assert -0.5 == pytest.approx(made_good(any_heading(2.0), 90, 0, 2.5), abs=2e-3)


@pytest.mark.parametrize(("current", "hours"), [((1.0, 0.0), 16.6667), ((-1.0, 0.0), 25.0), ((0.0, 1.0), 20.41241)])
def test_constant_current_takes_the_time_of_zermelos_straight_track(current: tuple[float, float], hours: float) -> None:
    """S formula, checked in the published notes: V = 5, d = 100; following, foul and cross current of 1 kn."""
    along, across = current
    speed = any_heading(5.0).along(single(-10.0), single(3.0), single(-across), single(1.0))[0] + along
    assert hours == pytest.approx(100.0 / speed, rel=1e-4)


BEAMY = PolarTable(
    wind_speed_kn=np.array([10.0, 60.0]),
    wind_angle_deg=np.array([45.0, 60.0, 90.0, 120.0, 150.0, 180.0]),
    boat_speed_kn=np.array([[4.5, 5.2, 6.0, 6.2, 5.2, 4.4]] * 2),
)


@settings(max_examples=80)
@given(st.floats(-180.0, 180.0), st.floats(-5.9, 5.9), st.floats(0.4, 1.1))
def test_the_moved_hull_is_a_linear_programmes(wind_deg: float, across_kn: float, share: float) -> None:
    """T: the largest x of the hull's corners mixed to a given y. 0.01 kn: corners a degree apart."""
    table = speed_table(BEAMY, 0.0)
    row = table.made_good_kn[40] * share
    bearings = np.radians(np.concatenate([np.arange(181.0), -np.arange(181.0)]) + wind_deg)
    x, y = np.tile(row, 2) * np.cos(bearings), np.tile(row, 2) * np.sin(bearings)
    best = linprog(-x, A_eq=np.vstack([y, np.ones(len(y))]), b_eq=[across_kn, 1.0], bounds=(0, None))
    wind = np.radians(wind_deg)
    through = Stemmer(table).along(
        single(-10.0 * np.cos(wind)), single(-10.0 * np.sin(wind)), single(across_kn), single(share)
    )[0]
    if best.success and abs(across_kn) < 0.995 * np.abs(y).max():
        assert -best.fun == pytest.approx(through, abs=0.01)


def test_without_wind_she_drifts_and_loses_what_sets_her_off() -> None:
    still = any_heading(0.0)
    assert 0.5 == pytest.approx(made_good(still, 0, 0, 0.5), abs=1e-6)
    assert -0.5 == pytest.approx(made_good(still, 0, 180, 0.5), abs=1e-6)
    assert -0.5 == pytest.approx(made_good(still, 0, 90, 0.5), abs=1e-6)


def test_the_engine_stems_a_cross_set_by_pythagoras() -> None:
    assert [4.0, 5.0, -1.0] == pytest.approx(
        motor_along(np.full(3, 5.0, np.float32), np.array([3.0, 0.0, 6.0], dtype=np.float32))
    )


@pytest.mark.parametrize("drift_kn", [-0.5, 0.5, 1.5])
def test_sailing_in_a_current_along_the_track(drift_kn: float) -> None:
    """5 kn through the water in any wind from 10 kn up: D."""
    track = north_track()
    current = along_the_course(drift_kn, track.course_deg)
    crossings = sail(laid(track, steady(track, 0.0, 20.0), vessel(), current=current), DEPART, Luck(1, 3))
    assert track.length_nm / (5.0 + drift_kn) == pytest.approx(crossings.arrival_h, rel=1e-4)


def test_a_current_of_nothing_changes_nothing() -> None:
    """But for the lookup: the one is of the wind's parts every 0.25 kn, the other of whole degrees."""
    track = north_track()
    wind, luck = steady(track, 4.0, 9.0, 6.0), Luck(3, 300)
    plain = sail(laid(track, wind, vessel()), DEPART, luck)
    still = sail(laid(track, wind, vessel(), current=along_the_course(0.0, track.course_deg)), DEPART, luck)
    assert passage_time_h(plain.arrival_h, 0.5) == pytest.approx(passage_time_h(still.arrival_h, 0.5), rel=0.01)


def test_the_current_wins_in_some_hours_but_not_in_the_mean() -> None:
    """Light winds: there are calms in which 1 kn against her takes her back."""
    track = north_track(200.0)
    current = along_the_course(-1.0, track.course_deg)
    crossings = sail(laid(track, steady(track, 0.0, 8.0, 5.0), vessel(), current=current), DEPART, Luck(2, 60))
    assert crossings.speed_kn[crossings.under_way].min() < 0.0
    assert np.isfinite(crossings.arrival_h).all()


def test_a_current_that_wins_in_the_mean_is_refused_with_its_place() -> None:
    track = north_track()
    winning = set_and_drift([(180.0, 5.2)], track.leg)
    with pytest.raises(RouteRefused, match=r"the current wins at 20°00\.0'S 010°00\.0'W.* make -0\.2 kn good"):
        sail(laid(track, steady(track, 0.0, 20.0), vessel(), current=winning), DEPART, Luck(1, 3))


def test_set_is_towards() -> None:
    north_west = set_and_drift([(315.0, 2.0), (90.0, 1.0)], np.array([0, 0, 1]))
    assert np.sqrt(2.0) * np.array([-1.0, -1.0]) == pytest.approx(north_west.east_kn[6, :2])
    assert np.sqrt(2.0) * np.array([1.0, 1.0]) == pytest.approx(north_west.north_kn[0, :2])
    assert (1.0, 0.0) == pytest.approx((north_west.east_kn[3, 2], north_west.north_kn[3, 2]), abs=1e-12)


# ---------------------------------------------------------------- a file of one's own


def write(
    path: Path,
    names: tuple[str, str] = ("eastward_sea_water_velocity", "northward_sea_water_velocity"),
    units: str = "m s-1",
    hole: bool = False,
) -> Path:
    """An invented current: east 0.5 and north 0.1 x month (m/s), a grid over 20 S to 0, 20 W to 0."""
    with netCDF4.Dataset(path, "w") as file:
        for name, standard, unit, values in (
            ("time", "time", "days since 2001-01-01", np.arange(12) * 30.4 + 15.0),
            ("lat", "latitude", "degrees_north", np.arange(-20.0, 1.0, 2.0)),
            ("lon", "longitude", "degrees_east", np.arange(340.0, 361.0, 2.0)),
        ):
            file.createDimension(name, len(values))
            variable = file.createVariable(name, "f8", (name,))
            variable.standard_name, variable.units = standard, unit
            variable[:] = values
        for name, rate in zip(names, (0.0, 0.1), strict=True):
            variable = file.createVariable(
                name.removeprefix("surface_")[:4], "f4", ("time", "lat", "lon"), fill_value=-999.0
            )
            variable.standard_name, variable.units = name, units
            field = (0.5 if rate == 0.0 else 0.0) + rate * np.arange(12)[:, None, None] + np.zeros((12, 11, 11))
            variable[:] = np.where(np.arange(12)[:, None, None] == 4, -999.0, field) if hole else field
    return path


@pytest.mark.parametrize("layer", ["", "surface_"])
def test_a_file_is_read_by_its_standard_names(layer: str, tmp_path: Path) -> None:
    names = (f"{layer}eastward_sea_water_velocity", f"{layer}northward_sea_water_velocity")
    current = read_current(write(tmp_path / "c.nc", names), [-10.0, -3.3], [-10.0, -7.0])
    assert 0.5 * 3600 / 1852 == pytest.approx(current.east_kn, rel=1e-6)
    assert 0.3 * 3600 / 1852 == pytest.approx(current.north_kn[3], rel=1e-6)
    assert (12, 2) == current.east_kn.shape


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"names": ("eastward_wind", "northward_wind")}, "no pair of current components"),
        ({"units": "furlongs per fortnight"}, "units must be one of"),
        ({"units": "kn", "hole": True}, "no current is known at 10.0 S 10.0 W in May"),
    ],
)
def test_a_wrong_file_is_a_sentence(changes: dict, says: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=says):
        read_current(write(tmp_path / "c.nc", **changes), [-10.0], [-10.0])


def test_a_file_that_does_not_reach_the_track_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=r"does not reach the track at 30\.0 S"):
        read_current(write(tmp_path / "c.nc"), [-10.0, -30.0], [-10.0, -10.0])


def test_the_current_goes_through_the_year() -> None:
    """North 0 in January rising to 5.5 kn in December: mid-month values, linear between; a boat that leaves on the 1st
    of July meets half of June's and half of July's."""
    track = north_track()
    rising = np.arange(12.0)[:, None] * 0.5 * np.ones(track.nodes)
    current = TrackCurrent(np.zeros((12, track.nodes)), rising, "invented")
    crossings = sail(
        laid(track, steady(track, 0.0, 30.0), vessel(), current=current),
        DEPART.replace(month=7, day=1, hour=0),
        Luck(1, 2),
    )
    assert 5.0 + 0.5 * 5.5 == pytest.approx(crossings.speed_kn[:, 0], abs=0.02)


# ---------------------------------------------------------------- the shipped averages


def test_the_great_currents_set_the_right_way() -> None:
    """P, what every atlas shows: trades' currents west, countercurrent east, Circumpolar east, Benguela north-west."""
    lat, lon = [-3.0, 14.0, 6.0, -50.0, -27.0, -12.0], [-110.0, -150.0, -140.0, 20.0, 12.0, 80.0]
    current = shipped_current(lat, lon)
    assert [-1, -1, 1, 1, -1, -1] == np.sign(current.east_kn[8]).tolist()
    assert 0.0 < current.north_kn[8, 4]
    assert not current.blind.any()


def test_the_dateline_is_no_seam_and_longitudes_run_by_any_convention() -> None:
    east, west, again = shipped_current([-9.3] * 3, [179.99, -179.99, 180.01]).east_kn.T
    assert east == pytest.approx(west, abs=2e-3)
    np.testing.assert_array_equal(west, again)


def test_where_a_real_stream_runs_there_is_no_figure_and_its_name() -> None:
    """Off Port Elizabeth, Florida, Tokyo, Sydney; on the equator; on a shelf; towards the poles."""
    lat, lon = [-35.0, 27.0, 34.0, -34.0, 0.1, 50.0, 80.0, -80.0], [25.0, -79.5, 141.0, 153.0, -120.0, -5.0, 0.0, 0.0]
    current = shipped_current(lat, lon)
    assert [
        "Agulhas Current",
        "Gulf Stream",
        "Kuroshio",
        "East Australian Current",
        "Equatorial Undercurrent",
        SHELF,
        SHELF,
        SHELF,
    ] == current.unseen.tolist()
    assert 0.0 == np.abs([current.east_kn, current.north_kn]).max()
    assert current.blind.all()
    assert "Kuroshio" in current.unseen_streams
    assert SHELF not in current.unseen_streams


def test_eddies_are_strongest_where_streams_run_and_on_the_equator() -> None:
    """R2: 100 to 200 cm2/s2 inside the gyre (Richardson 1983) is a spread of 0.19 to 0.27 kn; 1,500 is 0.75 kn."""
    gyre, equator, stream = shipped_current([25.0, 3.0, 38.0], [-40.0, -130.0, -60.0]).eddy_kn
    assert 0.19 < gyre < 0.27 < equator < stream
    assert np.sqrt(1500.0) * 36.0 / 1852.0 == pytest.approx(stream)


def test_a_stronger_current_keeps_its_eddies_and_its_blindness() -> None:
    current = shipped_current([-12.0, 0.0], [80.0, -120.0])
    stronger = current.times(1.7)
    assert 1.7 * current.east_kn == pytest.approx(stronger.east_kn)
    np.testing.assert_array_equal(current.eddy_kn, stronger.eddy_kn)
    np.testing.assert_array_equal(current.blind, stronger.blind)
    assert ["Equatorial Undercurrent"] == stronger.at(np.array([1])).unseen.tolist()


def test_a_place_and_a_day_lie_between_two_months() -> None:
    """D: on 16 January at noon January's own; nothing where none is wanted."""
    january = shipped_current(-12.0, 80.0).east_kn[0, 0]
    assert january == pytest.approx(current_on(None, -12.0, 80.0, datetime(2027, 1, 16, 12, tzinfo=UTC))[0], abs=1e-3)
    assert (0.0, 0.0) == current_on("none", -12.0, 80.0, DEPART)


def test_a_file_that_does_not_reach_carries_nobody(tmp_path: Path) -> None:
    assert (0.0, 0.0) == current_on(write(tmp_path / "c.nc"), 50.0, 80.0, DEPART)


# ---------------------------------------------------------------- eddies


def stirred(track: Track, eddy_kn: float) -> TrackCurrent:
    still = np.zeros((12, track.nodes))
    return TrackCurrent(still, still, "invented", np.full(track.nodes, eddy_kn))


def test_eddies_widen_the_spread_and_hardly_move_the_middle() -> None:
    """D: 5 kn through the water in any wind; the mean of N hours of an eddy of 0.4 kn spreads the passage."""
    track = north_track(1500.0)
    fresh, boat = steady(track, 0.0, 25.0), vessel()
    calm = sail(laid(track, fresh, boat, current=stirred(track, 0.0)), DEPART, Luck(4, 400)).arrival_h
    rough = sail(laid(track, fresh, boat, current=stirred(track, 0.4)), DEPART, Luck(4, 400)).arrival_h
    assert 0.0 == pytest.approx(calm.std(), abs=1e-6)
    assert calm.mean() == pytest.approx(rough.mean(), rel=0.01)
    hours, fast_h, slow_h = 300.0, 12.0, 1440.0
    spread_kn = 0.4 * np.sqrt(0.8 * 2.0 * fast_h / hours + 0.2 * (1.0 - hours / (3.0 * slow_h)))
    assert spread_kn / 5.0 == pytest.approx(rough.std() / rough.mean(), rel=0.15)


def test_member_seven_is_the_same_crossing_whether_fifty_or_five_hundred_are_sailed() -> None:
    track = north_track(300.0)
    few, many = (
        sail(laid(track, steady(track, 2.0, 9.0, 5.0), vessel(), current=stirred(track, 0.4)), DEPART, Luck(4, members))
        for members in (50, 500)
    )
    np.testing.assert_array_equal(few.arrival_h, many.arrival_h[:50])
    np.testing.assert_array_equal(few.speed_kn[7, :40], many.speed_kn[7, :40])


def test_eddies_leave_the_wind_as_it_is() -> None:
    """Along a track on which as much of the wind lasts everywhere, for eddies take her elsewhere."""
    track = lay_track([Leg(-38.0, -10.0, -33.0, -10.0)])
    wind, luck = steady(track, 2.0, 9.0, 5.0), Luck(4, 60)
    plain = sail(laid(track, wind, vessel()), DEPART, luck)
    moving = sail(laid(track, wind, vessel(), current=stirred(track, 0.4)), DEPART, luck)
    np.testing.assert_array_equal(plain.wind_east_kn[:, :20], moving.wind_east_kn[:, :20])


@pytest.mark.parametrize("across_kn", [0.2, 0.5, 0.8])
def test_laying_off_by_the_hour_before_is_as_good_as_the_moved_hull(across_kn: float, monkeypatch: Any) -> None:
    """T: the same crossings by the hull itself; the mean within 0.5 %, in winds that stray by 6 kn about 9."""
    track = north_track(600.0)
    current = TrackCurrent(np.full((12, track.nodes), across_kn), np.zeros((12, track.nodes)), "invented")
    wind, boat = steady(track, 5.0, 7.0, 6.0), vessel()
    gently = sail(laid(track, wind, boat, current=current), DEPART, Luck(2, 200)).arrival_h
    monkeypatch.setattr(lanes, "GENTLE_KN", 0.0)
    exactly = sail(laid(track, wind, boat, current=current), DEPART, Luck(2, 200)).arrival_h
    assert (gently != exactly).any()
    assert exactly.mean() == pytest.approx(gently.mean(), rel=0.005)


# ---------------------------------------------------------------- through the voyage folder


def demonstration(tmp_path: Path, old: str, new: str) -> Path:
    """The voyage from Cape Town with one line changed."""
    folder = tmp_path / "voyage"
    whole(shipped("routes") / "cape-town-st-helena", folder)
    text = (folder / "voyage.toml").read_text(encoding="utf-8")
    assert old in text
    (folder / "voyage.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    return folder


GREAT_CIRCLE = 'sailing = "great circle"'


def test_set_and_drift_of_a_leg_reach_its_nodes_and_no_others(tmp_path: Path) -> None:
    ground = lay_ground(
        read_folder(demonstration(tmp_path, GREAT_CIRCLE, f'{GREAT_CIRCLE}\nset = "315 deg"\ndrift = "0.5 kn"'))
    )
    assert ground.current is not None
    drift = np.hypot(ground.current.east_kn, ground.current.north_kn)
    assert 0.5 == pytest.approx(drift[:, ground.track.leg == 1])
    assert 0.0 == drift[:, ground.track.leg != 1].max()
    assert (ground.current.east_kn[0, 50], ground.current.north_kn[0, 50]) == pytest.approx(
        (-0.35355, 0.35355), abs=1e-5
    )


def test_a_voyage_that_says_nothing_has_the_shipped_averages(tmp_path: Path) -> None:
    ground = lay_ground(read_folder(demonstration(tmp_path, GREAT_CIRCLE, GREAT_CIRCLE)))
    assert ground.current is not None
    assert ground.current.is_shipped
    shipped_there = shipped_current(ground.track.lat_deg, ground.track.lon_deg)
    np.testing.assert_array_equal(shipped_there.east_kn, ground.current.east_kn)


def test_a_voyage_may_want_no_current(tmp_path: Path) -> None:
    assert lay_ground(read_folder(demonstration(tmp_path, "[voyage]", '[voyage]\ncurrent = "none"'))).current is None


def test_a_leg_that_is_told_to_be_slack_leaves_the_shipped_averages_out(tmp_path: Path) -> None:
    slack = f'{GREAT_CIRCLE}\nset = "0 deg"\ndrift = "0 kn"'
    ground = lay_ground(read_folder(demonstration(tmp_path, GREAT_CIRCLE, slack)))
    assert ground.current is not None
    assert not ground.current.is_shipped
    assert 0.0 == np.abs(ground.current.north_kn).max()


@pytest.mark.parametrize("given", ["3", "true", '""'])
def test_a_current_that_is_no_name_is_a_sentence(given: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=r"voyage\.current: .*give the name of a file in double quotes"):
        read_folder(demonstration(tmp_path, "[voyage]", f"[voyage]\ncurrent = {given}"))


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        ('set = "315 deg"', "voyage.toml line 25: waypoint[3].set: a set without a drift"),
        ('drift = "0.5 kn"', "voyage.toml line 25: waypoint[3].drift: a drift without a set"),
        ('set = "375 deg"\ndrift = "0.5 kn"', 'set: "375 deg"; give between 0° and 360°'),
        ('set = 315\ndrift = "0.5 kn"', "write a number with its unit in double quotes"),
        ('set = "315 deg"\ndrift = "12 kn"', 'drift: "12 kn"; give between 0 kn and 8 kn'),
    ],
)
def test_a_current_half_told_is_a_sentence(keys: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=re.escape(says)):
        read_folder(demonstration(tmp_path, GREAT_CIRCLE, f"{GREAT_CIRCLE}\n{keys}"))


def test_a_file_and_set_and_drift_together_are_refused(tmp_path: Path) -> None:
    folder = demonstration(tmp_path, GREAT_CIRCLE, f'{GREAT_CIRCLE}\nset = "315 deg"\ndrift = "0.5 kn"')
    text = (folder / "voyage.toml").read_text(encoding="utf-8")
    (folder / "voyage.toml").write_text(text.replace("[voyage]", '[voyage]\ncurrent = "c.nc"', 1), encoding="utf-8")
    with pytest.raises(InputFaults, match="a file and set and drift of legs; keep one of the two"):
        read_folder(folder)
    (folder / "voyage.toml").write_text(text.replace("[voyage]", '[voyage]\ncurrent = "none"', 1), encoding="utf-8")
    with pytest.raises(InputFaults, match="no current and set and drift of legs; keep one of the two"):
        read_folder(folder)


def test_a_voyage_may_name_a_file_of_currents(tmp_path: Path) -> None:
    """The file of the tests does not reach Cape Town, and says so by its name."""
    folder = demonstration(tmp_path, "[voyage]", '[voyage]\ncurrent = "c.nc"')
    with pytest.raises(InputFaults, match=r'voyage\.current: no file "c\.nc" stands there'):
        read_folder(folder)
    write(folder / "c.nc")
    with pytest.raises(InputFaults, match=r"c\.nc: the grid does not reach the track"):
        lay_ground(read_folder(folder))


def test_a_departure_rule_and_a_trust_that_contradict_themselves_are_sentences(tmp_path: Path) -> None:
    for rest, says in (
        (
            '[forecast]\nhalf_weight_after = "10 days"\nno_weight_after = "8 days"',
            "it must be less than no_weight_after",
        ),
        ('[departure_rule]\nwind_under = "20"', "say in which unit"),
        ('[departure_rule]\nwait = "3 days"', "unknown key"),
    ):
        with pytest.raises(InputFaults, match=re.escape(says)):
            read_folder(demonstration(tmp_path / says[:4], "[reserve]", f"{rest}\n\n[reserve]"))
