"""Climate, current and forecast read all round a voyage, and a search through a folder that names them."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.search.surroundings import box_about, known_words, spread_about, surroundings
from passage.crossings.wind import Luck
from passage.errors import InputFaults
from passage.ground import legs_of
from passage.inputs.folder import read_folder
from passage.sailings import geodesic
from passage.sailings.track import Leg, lay_track
from passage.shipped import shipped
from passage.tracks import Comparison, better
from tests.grib_cases import write
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

SAILS = datetime(2027, 2, 10, 8, tzinfo=UTC)  # of the demonstration from Cape Town


# ---------------------------------------------------------------- places


@pytest.mark.parametrize("place", [(0.2, -30.4), (-20.0, 179.6), (65.0, 10.0), (-84.0, -170.0), (88.5, 3.0)])
@pytest.mark.parametrize("reach_nm", [100.0, 850.0, 1700.0])
def test_a_box_holds_all_within_reach(place: tuple[float, float], reach_nm: float) -> None:
    lat, lon = box_about(*place, reach_nm)
    every = 1.0 if reach_nm > 900.0 else 0.5
    assert every == pytest.approx(np.diff(lat))
    steps = np.diff(lon)
    assert every == pytest.approx(steps[steps < 2.0])
    assert (steps >= 2.0).sum() <= 1, "a box over 180 degrees has one gap, that between its two halves"
    assert (np.diff(lat) > 0.0).all()
    assert (np.diff(lon) > 0.0).all()
    assert -90.0 <= lat[0] < lat[-1] <= 90.0
    assert -180.0 <= lon[0] < lon[-1] < 180.0
    for bearing_deg in range(0, 360, 15):
        far = geodesic.direct(*place, float(bearing_deg), reach_nm)
        assert lat[0] <= far.lat_deg <= lat[-1]
        assert np.abs((lon - far.lon_deg + 180.0) % 360.0 - 180.0).min() <= 0.5


@pytest.mark.parametrize("reach_nm", [100.0, 890.0, 1700.0])
def test_a_box_goes_a_step_beyond_reach_on_both_sides_and_hardly_further(reach_nm: float) -> None:
    """A degree of latitude is 60 miles."""
    lat, _ = box_about(-20.3, 179.6, reach_nm)
    every = lat[1] - lat[0]
    for beyond in (-20.3 - reach_nm / 60.0 - lat[0], lat[-1] - (-20.3 + reach_nm / 60.0)):
        assert every <= beyond <= every + 2.0


def test_set_and_drift_are_spread_to_the_nearest_leg() -> None:
    """Two legs, east along the equator and then north: set north with a knot, then west with half."""
    drawn = lay_track([Leg(0.0, -40.0, 0.0, -30.0), Leg(0.0, -30.0, 10.0, -30.0)], 10.0)
    grid = spread_about(drawn, [(0.0, 1.0), (270.0, 0.5)])

    def at(lat_deg: float, lon_deg: float) -> tuple[float, float]:
        cell = 0, int(np.argmin(np.abs(grid.lat_deg - lat_deg))), int(np.argmin(np.abs(grid.lon_deg - lon_deg)))
        return float(grid.east_kn[cell]), float(grid.north_kn[cell])

    assert at(2.0, -38.0) == pytest.approx((0.0, 1.0), abs=1e-9)
    assert at(-5.0, -34.0) == pytest.approx((0.0, 1.0), abs=1e-9)
    assert at(8.0, -27.0) == pytest.approx((-0.5, 0.0), abs=1e-9)


# ---------------------------------------------------------------- a folder


def voyage(
    tmp_path: Path, rest: str = "", wide: bool = True, members: int = 1, issued: tuple[int, int] = (20270210, 0)
):  # type: ignore[no-untyped-def]
    """From Cape Town with a forecast: calm but for a fresh south-easter."""
    folder = tmp_path / "voyage"
    whole(shipped("routes") / "cape-town-st-helena", folder)
    text = (folder / "voyage.toml").read_text(encoding="utf-8") + f'\n[forecast]\nfile = "f.grib"\n{rest}'
    (folder / "voyage.toml").write_text(text, encoding="utf-8")
    winds = [(-6.0, 6.0), (-2.0, 9.0)]
    write(folder / "f.grib", lambda step_h, member: winds[member], range(0, 145, 12), members, issued=issued, wide=wide)
    return read_folder(folder)


def searched(facts) -> Comparison:  # type: ignore[no-untyped-def]
    return better(facts, facts.limits, Luck(1, 20), SAILS)


def test_a_folder_with_a_forecast_is_searched_and_sailed_in_it(tmp_path: Path) -> None:
    comparison = searched(voyage(tmp_path, members=2))
    assert (
        "the forecast f.grib on top of them while it has weight, her speeds in its 2 runs averaged" in comparison.known
    )
    assert comparison.found_outcome.ground.forecast is not None
    assert "box" not in comparison.left_out


def test_a_forecast_out_of_time_is_refused_before_the_search(tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=r"f\.grib: it starts at"):
        searched(voyage(tmp_path, issued=(20270212, 0)))


def test_a_forecast_that_has_lost_its_weight_is_said_to_be_left_out(tmp_path: Path) -> None:
    facts = voyage(tmp_path, 'half_weight_after = "10 h"\nno_weight_after = "30 h"\n', issued=(20270208, 0))
    drawn = lay_track(legs_of(facts.voyage), 10.0)
    about = surroundings(facts.voyage, drawn, [(0.0, 0.0)] * 3, SAILS, 6.0)
    assert about.forecast is None
    assert "has lost its weight by the departure and is left out" in known_words(about)


def test_a_found_track_that_leaves_the_box_is_sailed_and_told_of(tmp_path: Path) -> None:
    """The box holds the drawn track, which runs by great circle; the found one bends out of it."""
    facts = voyage(tmp_path)
    path = facts.voyage.forecast.file
    assert path is not None
    lat, lon = np.arange(-14.0, -37.0, -2.0), np.arange(352.0, 381.0, 2.0)
    write_box(path, lat, lon)
    comparison = searched(facts)
    track = comparison.found_outcome.ground.track
    outside = (track.lat_deg < lat[-1]) | ((track.lon_deg + 180.0) % 360.0 < lon[0] - 180.0)
    told = re.search("box leaves out the found track at", comparison.left_out) is not None
    assert outside[track.distance_nm < 500.0].any() == told


def write_box(path: Path, lat: np.ndarray, lon: np.ndarray) -> None:
    from tests.grib_cases import message

    with path.open("wb") as file:
        for step_h in range(0, 145, 12):
            for parameter, value in ((165, -6.0), (166, 6.0)):
                file.write(message(parameter, value, step_h, issued=(20270210, 0), lat=lat, lon=lon))
