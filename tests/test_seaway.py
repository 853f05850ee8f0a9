"""The wind's sea against the published heights, and what it adds to a hull's resistance."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from passage.crossings.seaway import GRAVITY_M_S2, motions, sea_resistance, spectrum, wave_drift_ms
from tests.plain_reckoning import strips

PUBLISHED = Path(__file__).parent / "published"


def heights_m() -> list[tuple[float, float]]:
    with (PUBLISHED / "05_pierson_moskowitz.csv").open(encoding="utf-8") as file:
        return [(float(row["U10_ms"]), float(row["0.0246 U10^2"])) for row in csv.DictReader(file)]


@pytest.mark.parametrize(("wind_ms", "height_m"), heights_m())
def test_the_sea_is_as_high_as_pierson_and_moskowitzs(wind_ms: float, height_m: float) -> None:
    """Derived from their spectrum (D); one per cent: the level has three figures."""
    waves = np.geomspace(0.1, 40.0, 4000)
    energy = np.trapezoid(spectrum(np.array(wind_ms), waves), waves)
    assert height_m == pytest.approx(4.0 * energy**0.5, rel=0.01)


HULL = 8.7, 7.0, 3.5  # waterline, m; volume, m3; beam, m


def added_n(speed_kn: float = 4.8, wind_kn: float = 14.0, off_deg: float = 46.0) -> float:
    speed_ms, wind_ms = (np.array([knots * 0.514444]) for knots in (speed_kn, wind_kn))
    return float(sea_resistance(*HULL, wind_ms, np.radians([off_deg]))(speed_ms)[0])


def test_in_long_waves_she_rides_the_surface_and_its_slope() -> None:
    """D: as waves lengthen, heave is their height and pitch their slope, bow up on the face of a crest ahead."""
    moved = motions(*HULL, np.array(2.0), np.array(0.0), np.array(0.4))
    number = 0.4**2 / GRAVITY_M_S2
    assert 1.0 == pytest.approx(abs(moved.heave), abs=0.02)
    assert number == pytest.approx(abs(moved.pitch), rel=0.02)
    assert 90.0 == pytest.approx(abs(np.degrees(np.angle(moved.pitch / moved.heave))), abs=3.0)


@pytest.mark.parametrize("speed_ms", [0.0, 2.0, 3.0])
@pytest.mark.parametrize("off_rad", [0.0, 0.6, 1.2])
@pytest.mark.parametrize("wave_rad_s", [1.5, 2.0, 2.5])
def test_she_moves_as_strip_by_strip_reckoning_says(speed_ms: float, off_rad: float, wave_rad_s: float) -> None:
    """D, from the same theory by another way; 21 stations here and 200 strips there are 3 per cent apart at most."""
    heave, pitch, added = strips(*HULL, speed_ms, off_rad, wave_rad_s, 200)
    moved = motions(*HULL, np.array(speed_ms), np.array(off_rad), np.array(wave_rad_s))
    assert abs(heave - moved.heave) < 0.03 * abs(heave)
    assert abs(pitch - moved.pitch) < 0.03 * abs(pitch)
    assert added == pytest.approx(float(moved.added_n), rel=0.03)


def test_a_sea_adds_what_all_its_waves_from_all_sides_add() -> None:
    """D: each wave's share of the energy, twice what it adds for its height squared, spread by the cosine squared."""
    speed_ms, wind_ms, off_deg, step = 4.8 * 0.514444, 14.0 * 0.514444, 46.0, 0.15
    sides = range(-85, 90, 10)
    spread = [np.cos(np.radians(side)) ** 2 for side in sides]
    energy = [(wave, float(spectrum(np.array(wind_ms), np.array(wave))) * step) for wave in np.arange(0.6, 6.0, step)]
    added = 0.0
    for side, share in zip(sides, spread, strict=True):
        if abs(off_deg + side) < 90.0:
            off_rad = np.radians(abs(off_deg + side))
            waves = sum(2.0 * each * strips(*HULL, speed_ms, off_rad, wave, 40)[2] for wave, each in energy)
            added += share / sum(spread) * waves
    assert added == pytest.approx(added_n(), rel=0.04)


def test_waves_that_she_tunes_to_add_most() -> None:
    """M: head seas tell most where their length is between once and twice hers (towing tanks, of ships and yachts)."""
    lengths = np.linspace(0.5, 4.0, 71)
    waves = np.sqrt(2.0 * np.pi * GRAVITY_M_S2 / (lengths * HULL[0]))
    added = motions(*HULL, np.array(0.3 * np.sqrt(GRAVITY_M_S2 * HULL[0])), np.array(0.0), waves).added_n
    assert 1.0 < lengths[np.argmax(added)] < 2.0
    assert added[[0, -1]].max() < 0.1 * added.max()


def test_what_waves_add_goes_by_the_square_of_their_height_and_by_size() -> None:
    """D: by Froude's law a hull twice as long meets four times the force for each square metre of height."""
    small, large = (
        motions(
            HULL[0] * scale,
            HULL[1] * scale**3,
            HULL[2] * scale,
            np.array(2.0 * scale**0.5),
            np.array(0.6),
            np.array(2.4 / scale**0.5),
        ).added_n
        for scale in (1.0, 2.0)
    )
    assert 2.0 * small == pytest.approx(large, rel=1e-9)


def test_a_single_wave_carries_what_floats_as_stokes_found() -> None:
    """D: at the surface twice the third moment of the spectrum over g, less what the spread about the wind takes."""
    waves = np.geomspace(0.3, 8.0, 4000)
    moment = 2.0 * np.trapezoid(waves**3 * spectrum(np.array(8.0), waves), waves) / GRAVITY_M_S2
    assert 8.0 / (3.0 * np.pi) * moment == pytest.approx(float(wave_drift_ms(np.array(8.0), 1e-6)), rel=0.01)


def test_the_drift_at_the_surface_is_of_the_size_that_is_published() -> None:
    """Ardhuin and others 2009 (S): two thirds of the wind's drift; AMS Glossary, wind drift (S): all of it 3 % of the
    wind. A hull reaches below the surface and has a part of it.
    """
    surface, hull = (float(wave_drift_ms(np.array(8.0), draught)) / 8.0 for draught in (1e-6, 1.6))
    assert 0.02 == pytest.approx(surface, abs=0.006)
    assert 0.2 * surface < hull < 0.6 * surface


def test_a_calm_adds_nothing_and_way_on_her_more() -> None:
    assert 0.0 == pytest.approx(added_n(wind_kn=0.0), abs=1e-6)
    assert 0.0 < added_n(speed_kn=0.0) < added_n(speed_kn=2.0) < added_n()


def test_more_wind_adds_more_and_a_free_course_less() -> None:
    assert sorted(found := [added_n(wind_kn=wind) for wind in (4.0, 8.0, 14.0, 20.0, 30.0)]) == found
    assert sorted(found := [added_n(off_deg=off) for off in (170.0, 120.0, 90.0, 60.0, 40.0)]) == found


def test_close_hauled_in_force_four_it_is_of_the_size_that_towing_tanks_find() -> None:
    """M: textbooks of yacht design show a tenth to a third of all; she has some 850 N of all at 4.8 kn (D)."""
    assert 0.1 < added_n() / 850.0 < 0.4
