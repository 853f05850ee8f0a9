"""The shipped climatology, and any person's own monthly grid; all grids here but the shipped one are invented."""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import netCDF4
import numpy as np
import pytest
from hypothesis import given, reject
from hypothesis import strategies as st
from numpy.typing import NDArray

from passage.errors import InputFaults, RouteRefused
from passage.inputs.climate import FEW_REPORTS, Climate, along, climate_at, read_climate, rests_on_few_reports
from passage.inputs.months import month_weights
from passage.inputs.rice import rice_mean, sigma_from_means
from passage.shipped import shipped

ROOT = Path(__file__).parents[1]
Floats = NDArray[np.float64]
SHIPPED = shipped("climatology_demo") / "climatology.nc"
KN = 3600 / 1852  # D: 1852 m to the nautical mile


@pytest.fixture(scope="module")
def climate() -> Climate:
    return read_climate()


@pytest.fixture(scope="module")
def build() -> Any:
    spec = importlib.util.spec_from_file_location("build", SHIPPED.with_name("build.py"))
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


# ---------------------------------------------------------------- a person's own file, invented

MONTHS = np.array([np.datetime64(f"2001-{month:02d}-15") for month in range(1, 13)])
DAYS = (MONTHS - np.datetime64("2001-01-01")).astype(float)


def plane(lat: Floats, lon: Floats, offset: float) -> Floats:
    """A field linear in latitude and longitude and in the month: (12, ny, nx)."""
    months = np.arange(12.0)[:, None, None]
    return offset + 0.1 * lat[:, None] + 0.02 * ((lon + 180) % 360 - 180) + 0.3 * months


class Own:
    """An invented climatology; what a test wants different it sets before writing."""

    def __init__(self) -> None:
        self.lat = np.arange(-20.0, 21.0, 5.0)
        self.lon = np.arange(-40.0, 1.0, 5.0)
        self.time: Floats = DAYS
        self.time_units: str | None = "days since 2001-01-01"
        self.units = {"eastward_wind": "m s-1", "northward_wind": "m s-1", "wind_speed": "m s-1"}
        self.fields: dict[str, Floats] = {}
        self.dims = ("time", "lat", "lon")

    def field(self, name: str) -> Floats:
        offset = {"eastward_wind": -4.0, "northward_wind": 2.0, "wind_speed": 12.0}.get(name, 1.0)
        return self.fields.get(name, plane(self.lat, self.lon, offset)[: len(self.time)])

    def write(self, folder: Path) -> Path:
        path = folder / "own.nc"
        with netCDF4.Dataset(path, "w") as dataset:
            axes = {"time": self.time, "lat": self.lat, "lon": self.lon}
            for name, unit in (("time", self.time_units), ("lat", "degrees_north"), ("lon", "degrees_east")):
                dataset.createDimension(name, len(axes[name]))
                axis = dataset.createVariable(name, "f8", (name,))
                axis[:] = axes[name]
                if unit:
                    axis.units = unit
            for name, unit in self.units.items():
                variable = dataset.createVariable(name[:5], "f8", self.dims, fill_value=-999.0)
                order = [("time", "lat", "lon").index(dim) for dim in self.dims]
                variable[:] = np.ma.masked_invalid(self.field(name)).transpose(order)
                variable.standard_name = name
                if unit:
                    variable.units = unit
        return path


def faults_of(path: Path) -> str:
    with pytest.raises(InputFaults) as caught:
        read_climate(path)
    return str(caught.value)


@pytest.mark.parametrize("share", [1.0, 0.1])
def test_the_speed_of_the_mean_wind_is_not_taken_for_the_mean_speed(share: float, tmp_path: Path) -> None:
    """A slip easily made of u and v alone: crossings in it would have a wind that never changes."""
    own = Own()
    east, north = own.field("eastward_wind"), own.field("northward_wind")
    own.fields["wind_speed"] = share * np.hypot(east, north)
    assert "own.nc: wind_speed: in most cells it is no more than the speed of the mean wind" in faults_of(
        own.write(tmp_path)
    )
    own.fields["wind_speed"] = 1.1 * np.hypot(east, north) + 0.1
    read_climate(own.write(tmp_path))


# ---------------------------------------------------------------- the shipped grid


def test_packing_keeps_what_the_attributes_say() -> None:
    """Every variable is a whole number of steps, and its proved rounding error is within half a step."""
    with netCDF4.Dataset(SHIPPED) as dataset:
        packed = [variable for variable in dataset.variables.values() if "scale_factor" in variable.ncattrs()]
        assert 8 == len(packed)
        for variable in packed:
            assert 0 < variable.largest_rounding_error <= variable.scale_factor / 2 * (1 + 1e-9)
            assert variable.cell_methods == "time: mean within years time: mean over years"


def test_the_largest_rounding_error_is_the_true_one(build: Any) -> None:
    values = np.random.default_rng(2).uniform(-20, 20, 1000)
    values[7] = np.nan
    steps, error = build.packed(values, 0.002, "i2")
    assert error == pytest.approx(float(np.nanmax(np.abs(steps[steps != -32768] * 0.002 - values[steps != -32768]))))
    assert 0.0009 < error <= 0.001
    assert -32768 == steps[7]
    with pytest.raises(ValueError, match="too fine"):
        build.packed(values, 0.0005, "i2")


def test_the_shipped_file_is_small_and_names_no_clock_and_no_machine() -> None:
    assert SHIPPED.stat().st_size < 2_000_000
    with netCDF4.Dataset(SHIPPED) as dataset:
        attributes = {name: str(dataset.getncattr(name)) for name in dataset.ncattrs()}
    assert set(attributes) == {"Conventions", "title", "institution", "source", "references", "license", "comment"}
    assert not any(re.search(r"(^|\s)[/\\]\w|\d\d:\d\d", text) for text in attributes.values())


def test_the_shipped_grid_is_whole(climate: Climate) -> None:
    assert (90,) == climate.lat_deg.shape
    assert (12, 90, 180) == climate.wind_speed_kn.shape
    assert (-89, 89, -179, 179) == (
        climate.lat_deg[0],
        climate.lat_deg[-1],
        climate.lon_deg[0],
        climate.lon_deg[-1],
    )
    known = np.isfinite(climate.wind_speed_kn)
    assert (known == np.isfinite(climate.wind_east_kn)).all()
    assert (known == np.isfinite(climate.wind_north_kn)).all()
    assert not climate.few_reports[~known].any()


def test_every_cell_with_wind_from_50_south_to_56_north_has_all_its_months(climate: Climate) -> None:
    band = (climate.lat_deg > -50) & (climate.lat_deg < 56)
    months = np.isfinite(climate.wind_speed_kn[:, band]).sum(axis=0)
    assert 8000 < np.count_nonzero(months == 12)  # of 9,540, land included
    assert set(np.unique(months)) == {0, 12}


def test_no_shipped_cell_is_steadier_than_wind_is(climate: Climate) -> None:
    known = np.isfinite(climate.wind_speed_kn)
    steadiness = np.hypot(climate.wind_east_kn, climate.wind_north_kn)[known] / climate.wind_speed_kn[known]
    # D: the rule's 0.985 with the vector mean lengthened by 0.6 per cent and a quarter of the spread taken out
    assert steadiness.max() < 0.9925
    assert climate.wind_speed_kn[known].min() > 2.2  # the rule's 3 kn, less what light airs are read too high
    assert climate.wind_speed_kn[known].max() < 30.1


def test_few_reports_say_so(climate: Climate) -> None:
    known = np.isfinite(climate.wind_speed_kn)
    assert climate.few_reports[known & (climate.reports < FEW_REPORTS - 1)].all()
    south = (climate.lat_deg > -60) & (climate.lat_deg < -40)
    # the design: between 60 S and 40 S half of all cells need mending
    assert 0.5 < climate.few_reports[:, south].sum() / known[:, south].sum() < 0.65
    north = (climate.lat_deg > 20) & (climate.lat_deg < 40)
    assert climate.few_reports[:, north].sum() / known[:, north].sum() < 0.3


def test_trades_westerlies_and_doldrums_blow_where_books_put_them(climate: Climate) -> None:
    """M: the general circulation, any pilot book; only what no climatology could get wrong."""
    july = along(climate, [-15.0, -45.0, 15.0, 5.0, 10.0], [-10.0, 60.0, -40.0, -30.0, 65.0])
    south_east_trade, westerlies, north_east_trade, doldrums, monsoon = range(5)
    assert july.wind_east_kn[6, south_east_trade] < -5
    assert july.wind_north_kn[6, south_east_trade] > 5
    assert july.wind_east_kn[6, westerlies] > 10
    assert july.wind_east_kn[6, north_east_trade] < -8
    assert july.wind_north_kn[6, north_east_trade] < 0
    assert july.speed_kn[6, doldrums] < july.speed_kn[6, north_east_trade]
    assert july.wind_east_kn[6, monsoon] > 10  # south-west monsoon
    assert july.wind_east_kn[0, monsoon] < 0  # north-east monsoon


@pytest.mark.parametrize(
    "harbour", [(-33.9, 18.4), (-15.9, -5.7), (28.1, -15.4), (-17.5, -149.6), (13.1, -59.6), (-36.8, 174.8)]
)
def test_a_track_that_leaves_a_harbour_has_wind(climate: Climate, harbour: tuple[float, float]) -> None:
    # Cape Town, St Helena, Las Palmas, Papeete, Bridgetown, Auckland
    there = along(climate, *harbour)
    for field in (there.speed_kn, there.sigma_kn, there.air_c, there.sea_c, there.cloud):
        assert np.isfinite(field).all()


def test_deep_land_has_no_wind_and_is_named(climate: Climate) -> None:
    with pytest.raises(RouteRefused, match=r"no wind at 50\.0 N 100\.0 E in every month"):
        along(climate, [30.0, 50.0], [-40.0, 100.0])


# ---------------------------------------------------------------- how it is built, on invented sources


def write_source(path: Path, axes: dict[str, Floats], fields: dict[str, Floats]) -> None:
    with netCDF4.Dataset(path, "w") as dataset:
        dataset.createDimension("TIME", 12)
        for name, values in axes.items():
            dataset.createDimension(name, len(values))
            dataset.createVariable(name, "f8", (name,))[:] = values
        for name, values in fields.items():
            variable = dataset.createVariable(name, "f4", ("TIME", *axes), fill_value=-1e34)
            variable[:] = np.ma.masked_invalid(np.broadcast_to(values, (12, *map(len, axes.values()))))


def write_sources(folder: Path) -> None:
    """Invented: sea from 20 E to 140 E only, one wind, 2,000 reports a box but for one box with 20."""
    lat, lon = np.arange(-9.0, 10.0, 2.0), np.arange(21.0, 380.0, 2.0)
    sea = np.where(lon < 140, 1.0, np.nan)
    winds = {"UWND": -6.0 * sea, "VWND": 2.0 * sea, "WSPD": 7.5 * sea, "AIRT": 25.123 * sea, "SST": 26.0 * sea}
    winds["SPEH"] = 16.0 * sea
    write_source(folder / "coads_climatology.cdf", {"COADSY": lat, "COADSX": lon}, winds)
    box_lat, box_lon = np.arange(-10.0, 11.0, 4.0), np.arange(20.0, 376.0, 5.0)
    box_sea = np.where(box_lon < 131, 1.0, np.nan)
    count = np.log10(2000.0) * box_sea * np.ones((12, len(box_lat), 1))
    count[:, 2, 4] = np.log10(20.0)
    boxes = {"CLD": 0.5 * box_sea, "KSPD": count}
    write_source(folder / "esku_heat_budget.cdf", {"ESKUY": box_lat, "ESKUX": box_lon}, boxes)


def test_built_twice_the_grid_is_the_same_and_reads_back(tmp_path: Path, build: Any) -> None:
    write_sources(tmp_path)
    first, second = tmp_path / "first.nc", tmp_path / "second.nc"
    told = build.write(first, tmp_path)
    build.write(second, tmp_path)
    assert first.read_bytes() == second.read_bytes()
    assert any("air_temperature" in line and "rounding error 0.002999" in line for line in told)  # float32 25.123

    climate = read_climate(first)
    sea = (climate.lon_deg > 20) & (climate.lon_deg < 140)
    # directions rounded to 16 points leave exp(-0.006425) of the vector mean (D); half of 0.002 m/s
    np.testing.assert_allclose(climate.wind_east_kn[:, :, sea], -6 * 1.006446 * KN, atol=0.002)
    assert (climate.wind_speed_kn[:, :, sea] < 7.5 * KN).all()
    assert (climate.wind_speed_kn[:, :, sea] > 7.3 * KN).all()
    assert climate.vapour_g_kg is not None
    np.testing.assert_allclose(climate.vapour_g_kg[:, :, sea], 16.0, atol=1e-5)
    np.testing.assert_allclose(climate.cloud[:, :, sea & (climate.lon_deg < 135)], 0.5, atol=1e-6)
    np.testing.assert_allclose(climate.air_c[:, :, sea], 25.123, atol=0.005)
    few = climate.few_reports[0]
    # the box of 20 reports at 2 S 40 E: 4 in each 2-degree cell whose centre it holds
    assert few[climate.lat_deg.tolist().index(-1), climate.lon_deg.tolist().index(39)]
    assert 4 == climate.reports[0, climate.lat_deg.tolist().index(-1), climate.lon_deg.tolist().index(39)]
    assert 4 == few[:, sea & (climate.lon_deg < 130)].sum()


def test_a_coast_without_a_count_takes_the_least_of_the_boxes_around(tmp_path: Path, build: Any) -> None:
    write_sources(tmp_path)
    build.write(tmp_path / "built.nc", tmp_path)
    climate = read_climate(tmp_path / "built.nc")
    at = climate.lon_deg.tolist().index
    assert 400 == climate.reports[0, 5, at(135)]  # the box at 135 E has no count, that at 130 E 2,000
    assert np.isnan(climate.reports[0, 5, at(139)])  # nor has any box around 140 E
    assert climate.few_reports[0, 5, at(139)]
    assert not climate.few_reports[0, 5, at(135)]


def test_the_build_fills_two_cells_of_coast(tmp_path: Path, build: Any) -> None:
    write_sources(tmp_path)
    build.write(tmp_path / "built.nc", tmp_path)
    climate = read_climate(tmp_path / "built.nc")
    at = climate.lon_deg.tolist().index
    assert climate.few_reports[:, 5, at(141) : at(145)].all()
    np.testing.assert_allclose(climate.wind_east_kn[:, 5, at(143)], -6 * 1.006446 * KN, atol=0.002)
    assert np.isnan(climate.wind_east_kn[:, 5, at(151)]).all()


# ---------------------------------------------------------------- along a track


@given(st.floats(-50, 55), st.floats(-180, 180), st.sampled_from([-720.0, -360.0, 360.0]))
def test_a_turn_of_the_globe_changes_nothing(climate: Climate, lat: float, lon: float, turn: float) -> None:
    try:
        here = along(climate, lat, lon)
    except RouteRefused:  # land
        reject()
    np.testing.assert_allclose(along(climate, lat, lon + turn).speed_kn, here.speed_kn, rtol=1e-6)


@pytest.mark.parametrize(("lat", "lon"), [(-40.0, 20.0), (0.0, 180.0), (30.0, -180.0), (-35.0, 21.0), (0.0, -179.0)])
def test_no_seam_is_felt(climate: Climate, lat: float, lon: float) -> None:
    """20 E is where the source's grid begins and ends, 180 where ours does; a step of 0.002 degrees moves little."""
    track = along(climate, [lat] * 3, [lon - 0.001, lon, lon + 0.001])
    for field in (track.wind_east_kn, track.wind_north_kn, track.sigma_kn, track.air_c):
        # two degrees apart cells differ by a few knots: 0.001 of 2 degrees is thousandths of a knot
        assert np.abs(np.diff(field, axis=1)).max() < 0.01


def test_a_linear_field_is_met_exactly(tmp_path: Path) -> None:
    own = Own()
    own.units |= {"air_temperature": "degC"}
    lat, lon = np.array([-20.0, -3.3, 12.5, 20.0]), np.array([-40.0, -17.7, 0.0, -1.2])
    track = along(read_climate(own.write(tmp_path)), lat, lon)
    expected = np.arange(12.0)[:, None] * 0.3 + 0.1 * lat + 0.02 * lon
    np.testing.assert_allclose(track.wind_east_kn, (expected - 4) * KN, atol=1e-9)
    np.testing.assert_allclose(track.wind_north_kn, (expected + 2) * KN, atol=1e-9)
    np.testing.assert_allclose(track.air_c, expected + 1, atol=1e-9)


def test_at_a_cell_the_mean_speed_is_the_cells_own(tmp_path: Path) -> None:
    climate = read_climate(Own().write(tmp_path))
    track = along(climate, climate.lat_deg[[2, 5]], climate.lon_deg[[3, 1]])
    # the inverse is read linearly from a table: below 1e-7 of the mean
    np.testing.assert_allclose(track.speed_kn, climate.wind_speed_kn[:, [2, 5], [3, 1]], rtol=1e-6)


def test_between_opposing_winds_the_spread_does_not_grow(tmp_path: Path) -> None:
    own = Own()
    east = plane(own.lat, own.lon, 0.0) * 0 + 5.0
    east[:, :, ::2] = -5.0
    own.fields = {"eastward_wind": east, "northward_wind": 0 * east, "wind_speed": 0 * east + rice_mean(5.0, 3.0)}
    middle = along(read_climate(own.write(tmp_path)), 0.0, -37.5)
    np.testing.assert_allclose(middle.wind_east_kn, 0, atol=1e-9)
    np.testing.assert_allclose(middle.sigma_kn, 3 * KN, rtol=1e-6)
    np.testing.assert_allclose(middle.speed_kn, 3 * KN * np.sqrt(np.pi / 2), rtol=1e-6)


def test_cells_without_wind_are_left_out_of_the_mean(tmp_path: Path) -> None:
    own = Own()
    east = own.field("eastward_wind").copy()
    east[:, 4, 4] = np.nan
    own.fields = {"eastward_wind": east}
    climate = read_climate(own.write(tmp_path))
    track = along(climate, 0.0, -17.5)  # half way between the missing cell and the next
    np.testing.assert_allclose(track.wind_east_kn[:, 0], climate.wind_east_kn[:, 4, 5])
    np.testing.assert_allclose(track.wind_north_kn[:, 0], climate.wind_north_kn[:, 4, 5])
    with pytest.raises(RouteRefused, match=r"own\.nc knows no wind at 0\.0 N 20\.0 W in every month"):
        along(climate, 0.0, -20.0)


def test_one_month_without_wind_is_named(tmp_path: Path) -> None:
    own = Own()
    speed = own.field("wind_speed").copy()
    speed[6, 4, 4] = np.nan
    own.fields = {"wind_speed": speed}
    with pytest.raises(RouteRefused, match=r"at 0\.0 N 20\.0 W in July;"):
        along(read_climate(own.write(tmp_path)), 0.0, -20.0)


def test_nodes_that_rest_on_few_reports_are_told(climate: Climate) -> None:
    lat, lon = np.array([45.0, -55.0]), np.array([-30.0, -100.0])  # the North Atlantic lanes; west of Cape Horn
    track = along(climate, lat, lon)
    assert [False, True] == rests_on_few_reports(track, [6]).tolist()
    assert [False, True] == rests_on_few_reports(track, range(12)).tolist()
    assert [False, False] == rests_on_few_reports(track, []).tolist()


# ---------------------------------------------------------------- a grid that does not close


@pytest.mark.parametrize("where", [(0.0, 5.0), (0.0, -45.0), (24.0, -20.0), (-24.0, -20.0), (0.0, 170.0)])
def test_a_grid_that_does_not_reach_the_track_is_refused(tmp_path: Path, where: tuple[float, float]) -> None:
    climate = read_climate(Own().write(tmp_path))
    with pytest.raises(InputFaults, match=r"own\.nc: the grid does not reach the track at "):
        along(climate, [0.0, where[0]], [-20.0, where[1]])


def test_half_a_cell_beyond_the_edge_takes_the_edge(tmp_path: Path) -> None:
    climate = read_climate(Own().write(tmp_path))
    beyond = along(climate, [0.0, 0.0, 22.0], [-42.0, 2.0, -20.0])
    edge = along(climate, [0.0, 0.0, 20.0], [-40.0, 0.0, -20.0])
    np.testing.assert_allclose(beyond.wind_east_kn, edge.wind_east_kn)


def test_a_regional_grid_across_180_degrees(tmp_path: Path) -> None:
    own = Own()
    own.lon = np.arange(160.0, 201.0, 5.0)
    climate = read_climate(own.write(tmp_path))
    np.testing.assert_allclose(along(climate, 0.0, 180.0).air_c, np.nan)
    assert np.isfinite(along(climate, [0.0, 0.0], [177.5, -177.5]).speed_kn).all()
    with pytest.raises(InputFaults, match=r"0\.0 N 0\.0 E"):
        along(climate, 0.0, 0.0)


# ---------------------------------------------------------------- conventions of a file


@pytest.mark.parametrize("shift", [0.0, 360.0, -360.0])
@pytest.mark.parametrize("begin", [-180.0, 0.0, 20.0])
def test_longitudes_by_any_convention(tmp_path: Path, begin: float, shift: float) -> None:
    own = Own()
    own.lon = begin + np.arange(0.0, 360.0, 10.0) + shift
    climate = read_climate(own.write(tmp_path))
    assert (-180.0, 170.0) == (climate.lon_deg[0], climate.lon_deg[-1])
    expected = (0.1 * 5 + 0.02 * 25 - 4) * KN
    assert expected == pytest.approx(float(along(climate, 5.0, 25.0).wind_east_kn[0, 0]))


def test_a_meridian_given_twice_counts_once(tmp_path: Path) -> None:
    own = Own()
    own.lon = np.arange(0.0, 361.0, 10.0)
    assert 36 == len(read_climate(own.write(tmp_path)).lon_deg)


def test_latitudes_either_way_and_dimensions_in_any_order(tmp_path: Path) -> None:
    plain = read_climate(Own().write(tmp_path))
    own = Own()
    own.lat = own.lat[::-1]
    own.dims = ("lon", "time", "lat")
    turned = read_climate(own.write(tmp_path))
    np.testing.assert_array_equal(turned.lat_deg, plain.lat_deg)
    np.testing.assert_allclose(turned.wind_speed_kn, plain.wind_speed_kn)


@pytest.mark.parametrize(
    ("units", "times"),
    [
        ("hours since 1900-01-01 00:00", (MONTHS - np.datetime64("1900-01-01")).astype(float) * 24),
        ("seconds since 1970-01-01", (MONTHS - np.datetime64("1970-01-01")).astype(float) * 86400),
        ("months since 2000-01-01", np.arange(12.0)),
        ("months since 2000-01-01", np.arange(12.0) + 0.5),
        ("month since 1999-12-01", np.arange(1.0, 13.0)),
    ],
)
def test_months_by_any_time_unit(tmp_path: Path, units: str, times: Floats) -> None:
    own = Own()
    own.time_units, own.time = units, times
    assert (12, 9, 9) == read_climate(own.write(tmp_path)).wind_east_kn.shape


@pytest.mark.parametrize(
    ("unit", "knots"), [("m s-1", KN), ("m/s", KN), ("kn", 1.0), ("knot", 1.0), ("km/h", 1 / 1.852)]
)
def test_wind_units_become_knots(tmp_path: Path, unit: str, knots: float) -> None:
    own = Own()
    own.units["eastward_wind"] = unit
    climate = read_climate(own.write(tmp_path))
    np.testing.assert_allclose(climate.wind_east_kn, plane(own.lat, own.lon, -4.0) * knots)


def test_optional_fields_and_their_units(tmp_path: Path) -> None:
    own = Own()
    own.units |= {"air_temperature": "K", "sea_surface_temperature": "degC", "cloud_area_fraction": "%"}
    own.units |= {"number_of_observations": "1"}
    shape = (12, 9, 9)
    own.fields = {
        "air_temperature": np.full(shape, 293.15),
        "cloud_area_fraction": np.full(shape, 40.0),
        "number_of_observations": np.where(np.arange(9) < 4, 29.0, 30.0) * np.ones(shape),
    }
    climate = read_climate(own.write(tmp_path))
    np.testing.assert_allclose(climate.air_c, 20)
    np.testing.assert_allclose(climate.cloud, 0.4)
    assert (climate.few_reports == (np.arange(9) < 4)).all()


def test_what_the_file_does_not_hold_is_unknown(tmp_path: Path) -> None:
    climate = read_climate(Own().write(tmp_path))
    for field in (climate.air_c, climate.sea_c, climate.cloud, climate.reports):
        assert np.isnan(field).all()
    assert not climate.few_reports.any()


# ---------------------------------------------------------------- refusals


def test_no_such_file(tmp_path: Path) -> None:
    assert "none.nc: no such file; a CF-NetCDF file" in faults_of(tmp_path / "none.nc")


@pytest.mark.parametrize("content", [b"", b"not a grid\n", b"\x89HDF\r\n\x1a\n" + b"\x00" * 64, b"CDF\x01"])
def test_not_a_netcdf_file(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "own.nc"
    path.write_bytes(content)
    assert "own.nc: this is not a readable NetCDF file" in faults_of(path)


def test_a_folder_is_not_a_file(tmp_path: Path) -> None:
    assert "not a readable NetCDF file" in faults_of(tmp_path)


def test_every_missing_variable_is_told_at_once(tmp_path: Path) -> None:
    own = Own()
    own.units = {"wind_speed": ""}
    told = faults_of(own.write(tmp_path))
    assert "eastward_wind: missing" in told
    assert "northward_wind: missing" in told
    assert "wind_: no units declared; units must be one of m s-1," in told
    assert 3 == len(told.splitlines())


def test_two_variables_of_one_name(tmp_path: Path) -> None:
    path = Own().write(tmp_path)
    with netCDF4.Dataset(path, "a") as dataset:
        dataset.createVariable("gust", "f8", ("time", "lat", "lon")).standard_name = "wind_speed"
    assert "2 variables bear this standard_name (wind_, gust)" in faults_of(path)


@pytest.mark.parametrize("unit", ["furlong/fortnight", "K", "Beaufort"])
def test_a_strange_wind_unit(tmp_path: Path, unit: str) -> None:
    own = Own()
    own.units["wind_speed"] = unit
    assert f"wind_: unit '{unit}'; units must be one of" in faults_of(own.write(tmp_path))


def test_a_missing_month_is_named(tmp_path: Path) -> None:
    own = Own()
    own.time = np.delete(DAYS, 6)
    assert "time: no values for July; twelve monthly means" in faults_of(own.write(tmp_path))


def test_more_than_a_year_is_refused(tmp_path: Path) -> None:
    own = Own()
    own.time = np.append(DAYS, 380.0)
    own.fields = {name: np.zeros((13, 9, 9)) for name in own.units}
    assert "time: 13 times" in faults_of(own.write(tmp_path))


def test_months_out_of_order_are_told(tmp_path: Path) -> None:
    own = Own()
    own.time = DAYS[[1, 0, *range(2, 12)]]
    assert "months out of order (February, January, March" in faults_of(own.write(tmp_path))


@pytest.mark.parametrize(
    "units", [None, "fortnights since 2001-01-01", "days since the flood", "months since yesterday"]
)
def test_times_that_cannot_be_read(tmp_path: Path, units: str | None) -> None:
    own = Own()
    own.time_units = units
    told = faults_of(own.write(tmp_path))
    assert "time: " in told
    assert "'days since 2000-01-01'" in told or "standard_name 'time'" in told


def test_a_grid_without_coordinates(tmp_path: Path) -> None:
    path = tmp_path / "own.nc"
    with netCDF4.Dataset(path, "w") as dataset:
        dataset.createDimension("x", 3)
    told = faults_of(path)
    for key in ("time", "latitude", "longitude", "eastward_wind", "northward_wind", "wind_speed"):
        assert f"{key}: missing" in told


def test_latitudes_that_are_none(tmp_path: Path) -> None:
    own = Own()
    own.lat = own.lat + 80
    assert "latitudes repeat, leave -90 to 90" in faults_of(own.write(tmp_path))


def test_longitudes_that_are_none(tmp_path: Path) -> None:
    own = Own()
    own.lon = own.lon.copy()
    own.lon[3] = np.nan
    assert "longitudes are not numbers" in faults_of(own.write(tmp_path))


def test_values_no_month_can_have(tmp_path: Path) -> None:
    own = Own()
    own.fields = {"wind_speed": np.full((12, 9, 9), -1.0), "eastward_wind": np.full((12, 9, 9), 80.0)}
    told = faults_of(own.write(tmp_path))
    assert "wind_: values from -1.944 to -1.944 kn" in told
    assert "eastw: values from 155.5 to 155.5 kn; monthly means lie within -100 to 100; are the units right?" in told


def test_a_level_too_many(tmp_path: Path) -> None:
    path = Own().write(tmp_path)
    with netCDF4.Dataset(path, "a") as dataset:
        dataset.createDimension("height", 2)
        field = dataset.createVariable("air", "f8", ("time", "height", "lat", "lon"))
        field.standard_name, field.units = "air_temperature", "degC"
        field[:] = 20.0
    assert "air: dimensions time, height, lat, lon; time, lat, lon are wanted" in faults_of(path)


def test_a_single_level_is_no_matter(tmp_path: Path) -> None:
    path = Own().write(tmp_path)
    with netCDF4.Dataset(path, "a") as dataset:
        dataset.createDimension("height", 1)
        field = dataset.createVariable("air", "f8", ("time", "height", "lat", "lon"))
        field.standard_name, field.units = "air_temperature", "degC"
        field[:] = 20.0
    assert (read_climate(path).air_c == 20).all()


# ---------------------------------------------------------------- through the year


def test_the_middle_of_a_month_is_that_month() -> None:
    # D: January and July have 31 days, April 30, February 28 or 29
    time = np.array(["2025-01-16T12", "2025-07-16T12", "2025-04-16T00", "2025-02-15T00", "2024-02-15T12"], "M8[s]")
    month0, _, weight1 = month_weights(time)
    assert [0, 6, 3, 1, 1] == month0.tolist()
    np.testing.assert_array_equal(weight1, 0)


def test_half_way_between_two_middles_both_count_alike() -> None:
    # D: from 16 December 12h to 16 January 12h are 31 days; half of them end on 1 January 00h
    month0, month1, weight1 = month_weights(np.array(["2025-01-01T00"], "M8[s]"))
    assert (11, 0, 0.5) == (month0[0], month1[0], weight1[0])


def test_the_year_turns_without_a_step() -> None:
    time = np.datetime64("2023-11-01") + np.arange(24 * 500).astype("m8[h]")  # over two New Years and a 29 February
    month0, month1, weight1 = month_weights(time)
    values = np.random.default_rng(3).uniform(0, 20, 12)
    blend = values[month0] * (1 - weight1) + values[month1] * weight1
    # the shortest way between two middles is 29.5 days: 20 kn / 708 h
    assert np.abs(np.diff(blend)).max() < 20 / 708 + 1e-9
    assert ((weight1 >= 0) & (weight1 < 1)).all()
    assert (month1 == (month0 + 1) % 12).all()


def test_years_before_1970_and_any_shape() -> None:
    month0, _, weight1 = month_weights(np.array([["1968-12-16T12"], ["1969-01-16T12"]], "M8[s]"))
    assert [[11], [0]] == month0.tolist()
    np.testing.assert_array_equal(weight1, 0)


def test_spread_on_the_track_is_that_of_its_cell(climate: Climate) -> None:
    row, column = 45, 75  # 1 N 29 W, every month well known
    track = along(climate, climate.lat_deg[row], climate.lon_deg[column])
    vector = np.hypot(climate.wind_east_kn[:, row, column], climate.wind_north_kn[:, row, column])
    expected = sigma_from_means(vector, climate.wind_speed_kn[:, row, column])
    np.testing.assert_allclose(track.sigma_kn[:, 0], expected)


# ---------------------------------------------------------------- around a track only

PLACES = np.array([-19.9, -3.3, 0.0, 7.7, 20.0]), np.array([-39.0, -22.5, -20.0, -11.1, -0.5])

AT_SEA = np.array([-19.9, -3.3, 0.0]), np.array([-25.0, -22.5, -20.0])


@pytest.mark.parametrize("dims", [("time", "lat", "lon"), ("lon", "time", "lat"), ("lat", "lon", "time")])
def test_read_around_the_track_it_is_what_the_whole_grid_says(tmp_path: Path, dims: tuple[str, str, str]) -> None:
    own = Own()
    own.dims, own.lat = dims, own.lat[::-1]
    path = own.write(tmp_path)
    whole, near = along(read_climate(path), *PLACES), climate_at(path, *PLACES)
    for name in ("wind_east_kn", "wind_north_kn", "sigma_kn", "speed_kn", "few_reports", "sea_c"):
        np.testing.assert_array_equal(getattr(whole, name), getattr(near, name))


def test_what_stores_and_power_need_and_the_file_lacks_comes_from_the_shipped_grids(
    tmp_path: Path, climate: Climate
) -> None:
    """One month of the air is missing, and all of the cloud."""
    own = Own()
    own.units |= {"air_temperature": "degC"}
    air_c = np.full((12, 9, 9), 11.0)
    air_c[4] = np.nan
    own.fields["air_temperature"] = air_c
    found, shipped_there = climate_at(own.write(tmp_path), *AT_SEA), along(climate, *AT_SEA)
    assert ("air temperature", "cloud") == found.lent
    assert (11.0 == np.delete(found.air_c, 4, axis=0)).all()
    assert np.isfinite(found.air_c).all()
    np.testing.assert_allclose(found.cloud, shipped_there.cloud)


def test_a_file_that_lacks_nothing_is_lent_nothing(tmp_path: Path) -> None:
    own = Own()
    own.units |= {"air_temperature": "degC", "cloud_area_fraction": "1"}
    own.fields = {"air_temperature": np.full((12, 9, 9), 20.0), "cloud_area_fraction": np.full((12, 9, 9), 0.5)}
    assert () == climate_at(own.write(tmp_path), *PLACES).lent


def vast(path: Path, cells: int, block: tuple[int, int, int]) -> Path:
    """A grid of the whole world of which nothing is written but the axes."""
    with netCDF4.Dataset(path, "w") as dataset:
        axes = {"time": DAYS, "lat": np.linspace(-89.9, 89.9, cells), "lon": np.linspace(-180, 179.9, cells)}
        units = {"time": "days since 2001-01-01", "lat": "degrees_north", "lon": "degrees_east"}
        for name, values in axes.items():
            dataset.createDimension(name, len(values))
            axis = dataset.createVariable(name, "f8", (name,))
            axis[:], axis.units = values, units[name]
        for name in ("eastward_wind", "northward_wind", "wind_speed"):
            variable = dataset.createVariable(name, "f4", ("time", "lat", "lon"), zlib=True, chunksizes=block)
            variable.standard_name, variable.units = name, "m s-1"
    return path


def test_a_grid_however_fine_is_read_around_the_track_only(tmp_path: Path) -> None:
    """8,000 by 8,000 cells for 12 months would be 6 GB for each variable; the process may take 1.5 GB in all."""
    path = vast(tmp_path / "own.nc", 8000, (1, 400, 400))
    with netCDF4.Dataset(path, "a") as dataset:
        for name, value in (("eastward_wind", -4.0), ("northward_wind", 2.0), ("wind_speed", 8.0)):
            dataset[name][:, 3000:4000, 3000:4000] = value
    program = (
        "import resource; resource.setrlimit(resource.RLIMIT_AS, (1_500_000_000,) * 2)\n"
        "from pathlib import Path; from passage.inputs.climate import climate_at, read_climate\n"
        f"found = climate_at(Path({str(path)!r}), [-20.0, -10.0], [-40.0, -30.0])\n"
        "print(found.wind_east_kn[0, 0])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT)
    assert -4.0 * KN == pytest.approx(float(done.stdout or "nan"), abs=1e-4), done.stderr


def test_a_block_that_can_only_be_read_whole_is_bounded(tmp_path: Path) -> None:
    told = vast(tmp_path / "own.nc", 4000, (12, 4000, 4000))
    with pytest.raises(InputFaults, match="compressed blocks of 192,000,000 cells; write the file anew in smaller"):
        climate_at(told, *PLACES)


def test_times_that_are_all_missing_are_told(tmp_path: Path) -> None:
    own = Own()
    path = own.write(tmp_path)
    with netCDF4.Dataset(path, "a") as dataset:
        dataset["time"][:] = np.ma.masked_all(12)
    assert "times cannot be read" in faults_of(path)
