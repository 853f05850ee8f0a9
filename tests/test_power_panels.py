"""Sun on panels, flat, tilted and heeled, against pvlib."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from passage.consequences.power.panels import (
    CONTROLLER,
    ROSS_K_M2_PER_W,
    SEA_ALBEDO,
    Face,
    diffuse_share,
    faces,
    harvest_w,
)
from passage.crossings.ensemble import MOTORING, SAILING
from passage.inputs.electrics import Panel, Solar
from tests.power_cases import anchored, sailed_scene

pvlib = pytest.importorskip("pvlib")
pytestmark = pytest.mark.filterwarnings("ignore:DatetimeIndex.dayofyear")  # pvlib's own, under a newer pandas

NO_LOSS = CONTROLLER["MPPT"]


def panel(mount: str, tilt_deg: float = 0.0) -> Panel:
    return Panel.model_validate(
        {"name": mount, "power_w": 1000.0, "mount": mount, "tilt_deg": tilt_deg, "shading_share": 0.0}
    )


def harvest(scene, panels, heel_deg: float = 0.0) -> np.ndarray:
    return harvest_w(scene, "high", faces(panels, Solar(wiring_loss_share=0.0)), heel_deg) / NO_LOSS


def of_pvlib(scene, tilt_deg: float, azimuth_deg: float) -> np.ndarray:
    """Watts of a kilowatt panel in the scene's own clear sky: pvlib's split, isotropic sky and sea, our cell."""
    times = pd.DatetimeIndex(scene.middles, tz="UTC")
    level = pd.Series(scene.sky.clear_w_m2[:, 0].astype(float), index=times)
    up = np.clip(scene.sky.up[:, 0].astype(float), -1.0, 1.0)
    zenith = pd.Series(np.degrees(np.arccos(up)), index=times)
    sun_azimuth = np.degrees(np.arctan2(scene.sky.starboard[:, 0], scene.sky.ahead[:, 0])) % 360.0  # heading north
    split = pvlib.irradiance.erbs(level, zenith, times)
    on_plane = pvlib.irradiance.get_total_irradiance(
        tilt_deg, azimuth_deg, zenith, sun_azimuth, split["dni"], level, split["dhi"], albedo=SEA_ALBEDO
    )["poa_global"].to_numpy()
    return on_plane * (1.0 - 0.004 * (20.0 + ROSS_K_M2_PER_W * on_plane - 25.0))


@pytest.mark.parametrize(
    ("mount", "tilt", "azimuth"),
    [("flat", 0.0, 180.0), ("astern", 30.0, 180.0), ("starboard", 45.0, 90.0), ("port", 20.0, 270.0)],
)
def test_plane_of_array_agrees_with_pvlib(mount: str, tilt: float, azimuth: float) -> None:
    # T: pvlib. 3 W of a kilowatt: single precision, the diffuse table's steps, another series for the sun's distance;
    # the hour in which pvlib's own cut of very low suns bites is left out.
    scene = anchored()
    high = scene.sky.up[:, 0] > 0.1
    ours = harvest(scene, [panel(mount, tilt)])[:, 0]
    assert of_pvlib(scene, tilt, azimuth)[high] == pytest.approx(ours[high], abs=3.0)


def test_diffuse_share_is_pvlibs() -> None:
    times = pd.DatetimeIndex(["2027-04-03T12:00"] * 9, tz="UTC")
    outside = pvlib.irradiance.get_extra_radiation(times).to_numpy()
    clearness = np.linspace(0.05, 0.85, 9)
    split = pvlib.irradiance.erbs(clearness * outside * np.cos(np.radians(30.0)), np.full(9, 30.0), times)
    theirs = split["dhi"] / (clearness * outside * np.cos(np.radians(30.0)))
    assert np.asarray(theirs) == pytest.approx(diffuse_share(clearness), abs=0.002)


def test_both_rails_share_the_power_between_the_sides() -> None:
    scene = anchored()
    port, starboard = harvest(scene, [panel("port", 40.0)]), harvest(scene, [panel("starboard", 40.0)])
    assert (port + starboard) / 2.0 == pytest.approx(harvest(scene, [panel("both rails", 40.0)]), abs=0.05)


def test_shading_wiring_and_controller_are_taken_off() -> None:
    (face,) = faces([Panel(name="one", power_w=100.0, shading_share=0.2)], Solar(wiring_loss_share=0.05))
    assert Face(100.0 * 0.8 * 0.95 * CONTROLLER["MPPT"], 0.0, 0.0, 1.0) == pytest.approx(face)


def under_a_trade(scene, towards_east_kn: float, state: int):
    """The anchored boat, bow north, put under way in a wind from abeam."""
    return replace(
        scene,
        state=np.full_like(scene.state, state),
        wind_east_kn=np.full_like(scene.wind_east_kn, towards_east_kn),
        wind_north_kn=np.zeros_like(scene.wind_north_kn),
    )


def test_a_heeled_flat_panel_is_one_tilted_to_leeward() -> None:
    scene = under_a_trade(anchored(), 20.0, SAILING)  # wind from port, leeward is starboard, which is east
    high = scene.sky.up[:, 0] > 0.1
    heeled = harvest(scene, [panel("flat")], heel_deg=15.0)[:, 0]
    assert of_pvlib(scene, 15.0, 90.0)[high] == pytest.approx(heeled[high], abs=3.0)


def test_she_stands_upright_under_engine_and_lies_over_less_in_light_air() -> None:
    upright = harvest(anchored(), [panel("flat")])
    assert np.array_equal(upright, harvest(under_a_trade(anchored(), 20.0, MOTORING), [panel("flat")], 15.0))
    light, fresh = (harvest(under_a_trade(anchored(), w, SAILING), [panel("flat")], 15.0) for w in (3.0, 20.0))
    assert np.abs(light - upright).max() < np.abs(fresh - upright).max()


def test_nothing_at_night_nothing_below_zero_and_less_under_cloud() -> None:
    clear, covered = (harvest(anchored(cloud), [panel("flat")]) for cloud in (0.0, 1.0))
    assert not clear[anchored().sky.night[:, 0]].any()
    assert covered.min() >= 0.0
    assert covered.sum() < 0.6 * clear.sum()


def test_the_low_case_is_below_the_high_one() -> None:
    scene = sailed_scene()
    catching = faces([panel("flat")], Solar())
    high, low = (harvest_w(scene, case, catching, 12.0).sum(axis=0) for case in ("high", "low"))
    assert (low < high).all()


def test_a_boat_without_panels_gets_nothing() -> None:
    assert not harvest(anchored(), []).any()
