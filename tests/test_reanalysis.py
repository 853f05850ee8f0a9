"""A climate of one's own record: invented fields of known statistics come back, whatever the file and its chunks."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
import xarray as xr
from click.testing import CliRunner

from passage import api
from passage.cli import main
from passage.crossings.ensemble import passage_time_h
from passage.crossings.lanes import lane_of
from passage.crossings.simulate import arrivals_h
from passage.crossings.wind import Luck
from passage.errors import InputFaults
from passage.inputs.climate import climate_at, read_climate
from passage.inputs.years import has_years, years_at
from passage.reanalysis.sources import open_sources
from passage.reanalysis.sums import summed
from tests.crossing_cases import laid, north_track, steady, vessel
from tests.grib_cases import message
from tests.test_plan_keys import unexplained

if TYPE_CHECKING:
    from collections.abc import Callable

pytest.importorskip("dask", reason="the extra 'climate' is not installed")

EAST_MS, NORTH_MS, SIGMA_MS, EFOLDING_H, STEP_H = -4.0, 3.0, 2.5, 36.0, 6
KNOTS = 3600 / 1852
LAT, LON = np.arange(-24.0, -3.0, 3.0), np.arange(-16.0, -1.0, 3.0)


def invented(years: int = 2, efolding_h: float = EFOLDING_H) -> xr.Dataset:
    """INVENTED wind: the same mean all year, and about it one autoregression in each part and cell; in the second year
    1 m/s more of the northward part, which makes half a metre more and less than the mean.
    """
    times = np.arange("2001-01-01T00", f"{2001 + years}-01-01T00", STEP_H, dtype="datetime64[h]").astype(
        "datetime64[ns]"
    )
    draws = np.random.default_rng(1).normal(size=(len(times), 2, len(LAT), len(LON)))
    keep = np.exp(-STEP_H / efolding_h)
    for number in range(1, len(draws)):
        draws[number] = keep * draws[number - 1] + np.sqrt(1 - keep**2) * draws[number]
    wind = SIGMA_MS * draws + np.array([EAST_MS, NORTH_MS])[:, None, None]
    wind[:, 1] += ((times >= np.datetime64("2002-01-01")) * 1.0 - 0.5)[:, None, None]
    dims = ("time", "latitude", "longitude")
    about = {"units": "m s-1"}
    return xr.Dataset(
        {
            "u10": (dims, wind[:, 0].astype("f4"), about | {"standard_name": "eastward_wind"}),
            "v10": (dims, wind[:, 1].astype("f4"), about | {"standard_name": "northward_wind"}),
        },
        coords={"time": times, "latitude": LAT, "longitude": LON},
    )


@pytest.fixture(scope="module")
def fields() -> xr.Dataset:
    return invented()


@pytest.fixture(scope="module")
def whole(fields: xr.Dataset, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("record") / "wind.nc"
    fields.to_netcdf(path)
    return path


def test_the_statistics_that_made_the_fields_come_back(whole: Path) -> None:
    """Error of the mean of 35 cells and 24 months of an e-folding of 36 h: 2.5 sqrt(2 x 36 / 17,520 / 35) = 0.03 m/s;
    of one cell's month 2.5 sqrt(2 x 36 / 1,460) = 0.56, times 4 for the worst of 840. The half metre of the year is in
    the spread of the north part.
    """
    with open_sources([whole]) as opened:
        record = summed(opened)
    assert EAST_MS == pytest.approx(record.east_ms.mean(), abs=0.1)
    assert NORTH_MS == pytest.approx(record.north_ms.mean(), abs=0.1)
    assert np.abs(record.east_ms - EAST_MS).max() < 4 * 0.56
    assert np.sqrt(SIGMA_MS**2 + 0.5 * 0.5**2) == pytest.approx(np.sqrt((record.spread_ms**2).mean()), rel=0.06)
    assert EFOLDING_H == pytest.approx(np.nanmedian(record.persistence_h), rel=0.15)
    speed = np.hypot(*(np.random.default_rng(2).normal(size=(2, 200_000)) * SIGMA_MS + [[EAST_MS], [NORTH_MS]]))
    assert (speed >= 28 / KNOTS).mean() == pytest.approx(record.strong_share.mean(), abs=0.0005)
    assert 0 <= record.gale_share.mean() <= record.strong_share.mean()


def test_real_years_come_back_with_what_they_differ_by(whole: Path) -> None:
    with open_sources([whole]) as opened:
        record = summed(opened)
    assert 2001 == record.first_year
    by_year = record.north_off_ms.reshape(2, -1).mean(axis=1)
    assert [-0.5, 0.5] == pytest.approx(by_year.tolist(), abs=0.1)
    assert [0.0, 0.0] == pytest.approx(record.east_off_ms.reshape(2, -1).mean(axis=1).tolist(), abs=0.1)


@pytest.mark.parametrize("chunks", [{"time": 100}, {"time": 501, "latitude": 3, "longitude": 2}, {"time": -1}])
def test_the_answer_is_the_same_chunked_or_whole(
    chunks: dict[str, int], fields: xr.Dataset, whole: Path, tmp_path: Path
) -> None:
    """To the last digits of a double sum of some thousands of values."""
    path = tmp_path / "wind.zarr"
    fields.chunk(chunks).to_zarr(path, zarr_format=2)
    with open_sources([whole]) as one, open_sources([path]) as other:
        first, second = summed(one), summed(other)
    for name in ("east_ms", "north_ms", "speed_ms", "spread_ms", "gale_share", "persistence_h", "north_off_ms"):
        assert np.allclose(getattr(first, name), getattr(second, name), rtol=1e-9, atol=1e-12, equal_nan=True)


def turned(fields: xr.Dataset) -> xr.Dataset:
    """Latitudes descending, longitudes 0 to 360, dimensions in another order, other names, knots."""
    knots = (fields * KNOTS).assign_coords(longitude=fields.longitude % 360)
    other = knots.isel(latitude=slice(None, None, -1)).rename(u10="UGRD", v10="VGRD", latitude="y", longitude="x")
    for name in ("UGRD", "VGRD"):
        other[name].attrs = {"units": "knots"}
    other.y.attrs, other.x.attrs = {"standard_name": "latitude"}, {"axis": "X"}
    return other.transpose("x", "time", "y").expand_dims(height=[10.0])


def in_two_years(fields: xr.Dataset) -> list[xr.Dataset]:
    return [fields.isel(time=fields.time.dt.year == year) for year in (2002, 2001)]


def in_two_parts(fields: xr.Dataset) -> list[xr.Dataset]:
    return [fields[["v10"]], fields[["u10"]]]


@pytest.mark.parametrize("written", [lambda fields: [turned(fields)], in_two_years, in_two_parts])
def test_however_the_files_are_written_the_climate_is_the_same(
    written: Callable[[xr.Dataset], list[xr.Dataset]], fields: xr.Dataset, whole: Path, tmp_path: Path
) -> None:
    paths = [tmp_path / f"{number}.nc" for number, _ in enumerate(written(fields))]
    for path, each in zip(paths, written(fields), strict=True):
        each.to_netcdf(path)
    with open_sources([whole]) as one, open_sources(paths) as other:
        first, second = summed(one), summed(other)
    assert np.allclose(first.lat_deg, second.lat_deg)
    assert np.allclose(first.lon_deg, second.lon_deg)
    assert np.allclose(first.east_ms, second.east_ms, rtol=1e-5)
    assert np.allclose(first.speed_ms, second.speed_ms, rtol=1e-5)


def test_grib_is_read_as_it_says(tmp_path: Path) -> None:
    """Invented: one steady wind, the first of each month at 00 and 06 UTC; the values are those of the message."""
    pytest.importorskip("cfgrib")
    path = tmp_path / "wind.grib"
    with path.open("wb") as file:
        for month, step_h in ((month, step_h) for month in range(1, 13) for step_h in (0, 6)):
            for parameter, value in ((165, 5.0), (166, -3.0)):
                file.write(message(parameter, value, 0, issued=(20010000 + 100 * month + 1, 100 * step_h), edition=1))
    with open_sources([path]) as opened:
        assert 24 == opened.sizes["time"]
        record = summed(opened)
    assert 5.0 == pytest.approx(record.east_ms.mean(), abs=0.01)
    assert -3.0 == pytest.approx(record.north_ms.mean(), abs=0.01)
    assert (np.diff(record.lat_deg) > 0).all()


# ---------------------------------------------------------------- the file that comes of it


def test_the_climate_that_comes_back_sails_the_passage_of_the_one_that_made_the_fields(tmp_path: Path) -> None:
    """600 miles northward, five of the cells, wind that forgets in an hour so that two years tell the mean: 2.5 m/s
    over the root of 248 values is 0.16 a cell, 0.07 along the track. Her speed goes with the wind, 3 m/s of it from
    astern: 2.4 in 100 of the passage, and twice that is allowed.
    """
    path, out = tmp_path / "wind.nc", tmp_path / "climate.nc"
    fields = invented(efolding_h=1.0)
    fields.to_netcdf(path)
    told = api.build_climate([path], out)
    assert (2001, 2002, 2, 6.0) == (told.first_year, told.last_year, told.whole_years, told.step_hours)
    track, depart = north_track(), datetime(2027, 2, 1, tzinfo=UTC)
    sigma = float(np.sqrt(SIGMA_MS**2 + 0.5 * 0.5**2)) * KNOTS
    made_of = steady(track, EAST_MS * KNOTS, NORTH_MS * KNOTS, sigma)
    ours = climate_at(out, track.lat_deg, track.lon_deg)
    hours = [arrivals_h([lane_of(laid(track, each, vessel()), depart, Luck(1, 200))])[0] for each in (made_of, ours)]
    for share in (0.5, 0.95):
        assert passage_time_h(hours[0], share) == pytest.approx(passage_time_h(hours[1], share), rel=0.048)
    assert "Wind of 2001 to 2002 from wind.nc" == read_climate(out).source
    assert has_years(out)
    years = years_at(out, track.lat_deg, track.lon_deg)
    assert range(2001, 2003) == years.years
    assert KNOTS * 0.5 == pytest.approx(years.north_kn[12:].mean(), abs=0.3)


def test_the_command_answers_in_ten_lines_and_writes_the_file(whole: Path, tmp_path: Path) -> None:
    out = tmp_path / "climate.nc"
    result = CliRunner().invoke(main, ["climate", "build", str(whole), "--out", str(out)])
    assert 0 == result.exit_code, result.output
    assert len(result.stdout.splitlines()) <= 10
    assert "2 whole years from 2001 on" in " ".join(result.stdout.split())
    told = json.loads(CliRunner().invoke(main, ["climate", "build", str(whole), "--out", str(out), "--json"]).stdout)
    assert set() == unexplained(told, "climate build")
    assert 35 == told["lat_cells"] * told["lon_cells"]
    full = CliRunner().invoke(main, ["climate", "build", str(whole), "--out", str(out), "--full"]).stdout
    assert "the crossings do not use them" in " ".join(full.split())


@pytest.mark.parametrize(
    ("spoilt", "expected"),
    [
        (lambda fields: fields.isel(time=slice(0, 400)), "no hours of month"),
        (lambda fields: fields[["u10"]], "in none of the files"),
        (lambda fields: fields.isel(time=slice(None, None, 8)), "48 hours from one to the next"),
        (lambda fields: fields.rename(latitude="y").drop_vars("y"), "no axis of latitude"),
        (lambda fields: fields.expand_dims(level=[1000, 850]), "dimensions level (2) too"),
        (lambda fields: fields.assign(u10=fields.u10.assign_attrs(units="furlongs")), "unit 'furlongs'"),
        (lambda fields: fields.assign(gust=fields.u10), "2 variables may be it"),
        (lambda fields: xr.Dataset({"rain": fields.u10.drop_attrs()}), "no part of the wind is in it"),
    ],
)
def test_what_is_no_such_record_is_refused_with_a_sentence(
    spoilt: Callable[[xr.Dataset], xr.Dataset], expected: str, fields: xr.Dataset, tmp_path: Path
) -> None:
    path = tmp_path / "bad.nc"
    spoilt(fields).to_netcdf(path)
    result = CliRunner().invoke(main, ["climate", "build", str(path), "--out", str(tmp_path / "c.nc")])
    assert 2 == result.exit_code
    assert expected in result.stderr
    assert not (tmp_path / "c.nc").exists()


@pytest.mark.parametrize("content", [b"", b"no such thing", b"\x89HDF\r\n\x1a\n"])
def test_a_damaged_file_is_refused_with_a_sentence(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "bad.nc"
    path.write_bytes(content)
    with pytest.raises(InputFaults, match="cannot be read"), open_sources([path]):
        pass
    with pytest.raises(InputFaults, match="no such file"), open_sources([tmp_path / "none.nc"]):
        pass


BOUNDED = """
import resource, sys
import dask.array as da, numpy as np, xarray as xr
from passage.reanalysis.sums import summed
times = np.arange("2001-01-01T00", "2002-01-01T00", 3, dtype="datetime64[h]").astype("datetime64[ns]")
shape = (len(times), 120, 120)
part = da.random.default_rng(1).normal(4.0, 2.0, size=shape, chunks=(100, 120, 120)).astype("f4")
axes = {"time": times, "lat": np.arange(120.0) - 60, "lon": np.arange(120.0)}
fields = xr.Dataset({"east": (list(axes), part), "north": (list(axes), -part)}, coords=axes)
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(fields.nbytes / 2**20)
import dask
with dask.config.set(scheduler="threads", num_workers=2):
    record = summed(fields)
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 2**10, record.east_ms.mean())
"""


def test_a_chart_can_be_drawn_in_the_process_that_built_a_climate(whole: Path, tmp_path: Path) -> None:
    """The wheel of ecCodes, which reads GRIB, brings a PROJ of its own: loaded first, it serves charts and crashes."""
    pytest.importorskip("eccodes")
    code = (
        "import sys, passage\npassage.build_climate([sys.argv[1]], sys.argv[2])\n"
        "import eccodes, pyproj\nprint(pyproj.CRS(4326).name)"
    )
    words = [sys.executable, "-W", "error::UserWarning", "-c", code, str(whole), str(tmp_path / "c.nc")]
    done = subprocess.run(words, capture_output=True, text=True)
    assert (0, "WGS 84") == (done.returncode, done.stdout.strip()), done.stderr


def test_fields_larger_than_the_memory_that_is_used_are_summed() -> None:
    """A process of its own, fields invented as they are asked for: 320 MB in all, summed in under half of that."""
    told = subprocess.run([sys.executable, "-c", BOUNDED], capture_output=True, text=True, check=True, cwd=Path.cwd())
    size_mb, used_mb, mean = (float(each) for each in told.stdout.split())
    assert 4.0 == pytest.approx(mean, abs=0.01)
    assert used_mb < size_mb / 2
