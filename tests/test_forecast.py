"""The forecast: what is read of a GRIB file, how much it counts, and that the slow end never collapses."""

from __future__ import annotations

import random
import re
import sys
from datetime import UTC, datetime, timedelta
from time import process_time
from typing import TYPE_CHECKING

import numpy as np
import pytest

pytest.importorskip("eccodes")

from passage.crossings.ensemble import passage_time_h
from passage.crossings.forecast import Blend, lead_weight, serves
from passage.crossings.simulate import sail
from passage.crossings.wind import Luck
from passage.errors import InputFaults, MissingExtra
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.inputs.forecast import TrackForecast, read_forecast, refuse_out_of_time, refuse_small_box
from passage.road import walk
from passage.shipped import shipped
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel
from tests.grib_cases import message, write
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

NODES = (np.array([-20.0, -13.3, -1.0]), np.array([-10.0, -7.7, 0.0]))
KNOTS = 3600 / 1852


@pytest.mark.parametrize("edition", [1, 2])
def test_both_editions_give_wind_times_and_issue(edition: int, tmp_path: Path) -> None:
    read = read_forecast(write(tmp_path / "f.grib", edition=edition, steps_h=[0, 3, 12]), *NODES)
    assert (1, 3, 3) == read.wind_east_kn.shape
    assert 5.0 * KNOTS == pytest.approx(read.wind_east_kn, rel=1e-4)
    assert -3.0 * KNOTS == pytest.approx(read.wind_north_kn, rel=1e-4)
    assert (DEPART.replace(hour=0), DEPART.replace(hour=0), DEPART.replace(hour=12)) == (
        read.issued,
        read.first,
        read.last,
    )
    assert read.covered.all()
    assert 8.0 == read.age_h(DEPART)


def test_members_and_times_keep_their_places(tmp_path: Path) -> None:
    read = read_forecast(write(tmp_path / "f.grib", lambda step, member: (member, step), [0, 6, 12], members=4), *NODES)
    assert np.arange(4) * KNOTS == pytest.approx(read.wind_east_kn[:, 1, 2], rel=1e-4)
    assert np.array([0, 6, 12]) * KNOTS == pytest.approx(read.wind_north_kn[2, :, 0], rel=1e-4)


def test_a_field_that_is_linear_is_read_exactly_between_its_points(tmp_path: Path) -> None:
    """Bilinear interpolation returns a plane, whatever the order of scanning; packing good to 1e-3 m/s: D."""
    import eccodes

    path = tmp_path / "f.grib"
    with path.open("wb") as file:
        for step in (0, 6):
            for parameter in (165, 166):
                handle = eccodes.codes_new_from_message(message(parameter, 0.0, step))
                lat, lon = (eccodes.codes_get_array(handle, name) for name in ("latitudes", "longitudes"))
                eccodes.codes_set_values(handle, 0.3 * lat + 0.1 * ((lon + 180.0) % 360.0 - 180.0))
                eccodes.codes_write(handle, file)
                eccodes.codes_release(handle)
    expected = (0.3 * NODES[0] + 0.1 * NODES[1]) * KNOTS
    assert expected == pytest.approx(read_forecast(path, *NODES).wind_east_kn[0, 1], abs=5e-3)


# ---------------------------------------------------------------- what is refused


def fields(*parts: bytes) -> bytes:
    return b"".join(parts)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "this is not a GRIB file"),
        (b"latitude,longitude\n1,2\n" * 400, "this is not a GRIB file"),
        (fields(message(167, 290.0, 0), message(151, 1e5, 0)), "no wind at 10 m, but 2t, msl"),
        (fields(message(165, 5.0, 0), message(166, 5.0, 0)), "wind for a single time"),
        (fields(*(message(165, 5.0, step) for step in (0, 6))), "the north part of the wind .* is missing"),
        (
            fields(*(message(p, 5.0, s) for p in (165, 166) for s in (0, 6)), message(165, 5.0, 12)),
            "the north part of the wind for 2027-02-01T12:00 UTC is missing",
        ),
        (
            fields(*(message(p, 5.0, s, issued=(20270201, s * 100)) for p in (165, 166) for s in (0, 6))),
            "several times of issue",
        ),
        (
            fields(*(message(p, 5.0, s, lat=np.arange(0.0, -31.0 + s, -2.0)) for p in (165, 166) for s in (0, 6))),
            "more than one grid",
        ),
        (fields(*(message(p, 500.0, s) for p in (165, 166) for s in (0, 6))), "wind of 972 kn"),
    ],
)
def test_what_is_no_forecast_of_wind_is_a_sentence(content: bytes, says: str, tmp_path: Path) -> None:
    (tmp_path / "f.grib").write_bytes(content)
    with pytest.raises(InputFaults, match=says) as refusal:
        read_forecast(tmp_path / "f.grib", *NODES)
    assert str(refusal.value).startswith("f.grib: ")


@pytest.mark.parametrize("kept", [0.3, 0.55, 0.97])
def test_a_file_cut_short_is_a_sentence(kept: float, tmp_path: Path) -> None:
    whole = write(tmp_path / "f.grib", steps_h=[0, 6, 12]).read_bytes()
    (tmp_path / "f.grib").write_bytes(whole[: int(kept * len(whole))])
    with pytest.raises(InputFaults, match="not a whole GRIB file"):
        read_forecast(tmp_path / "f.grib", *NODES)


@pytest.mark.parametrize("edition", [1, 2])
def test_damaged_files_are_read_or_refused_with_a_sentence(
    edition: int, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """A few bytes written over anywhere, here and there the end cut off; nothing but our own sentence is printed."""
    whole = write(tmp_path / "f.grib", steps_h=[0, 6], edition=edition).read_bytes()
    refused = 0
    for seed in range(200):
        chance = random.Random(seed)
        damaged = bytearray(whole)
        for _ in range(chance.choice([1, 2, 5, 30])):
            damaged[chance.randrange(len(damaged))] = chance.randrange(256)
        (tmp_path / "f.grib").write_bytes(damaged[: chance.choice([len(damaged), chance.randrange(len(damaged))])])
        try:
            read_forecast(tmp_path / "f.grib", *NODES)
        except InputFaults:
            refused += 1
    assert refused > 100
    assert ("", "") == capfd.readouterr()


def test_a_header_that_claims_more_points_than_a_grid_has_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "f.grib").write_bytes(fields(*(message(p, 5.0, s) for p in (165, 166) for s in (0, 6))))
    whole = bytearray((tmp_path / "f.grib").read_bytes())
    grid = whole.index(bytes([0, 0, 0, 72, 3]))  # section 3 of edition 2: 72 octets, number of points in octets 7-10
    whole[grid + 6 : grid + 10] = (4_000_000_000).to_bytes(4, "big")
    (tmp_path / "f.grib").write_bytes(whole)
    with pytest.raises(InputFaults):
        read_forecast(tmp_path / "f.grib", *NODES)


def test_a_missing_file_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=r"none\.grib: this file cannot be read"):
        read_forecast(tmp_path / "none.grib", *NODES)


def test_without_the_extra_the_sentence_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "eccodes", None)
    with pytest.raises(MissingExtra, match=r"pip install 'slow-end\[forecast\]'"):
        read_forecast(tmp_path / "f.grib", *NODES)


@pytest.mark.parametrize(
    ("hours", "says"),
    [
        (-9, "it starts at 2027-02-01 00:00 UTC; she leaves before"),
        (250, "it ended at 2027-02-11 00:00 UTC; she leaves"),
    ],
)
def test_a_departure_outside_the_forecast_is_a_sentence(hours: int, says: str, tmp_path: Path) -> None:
    read = read_forecast(write(tmp_path / "f.grib"), *NODES)
    depart = read.issued + timedelta(hours=hours)
    assert not serves(read, depart)
    with pytest.raises(InputFaults, match=says):
        refuse_out_of_time(read, depart)


def test_a_box_that_leaves_out_reachable_water_is_a_sentence_and_one_beyond_reach_is_not(tmp_path: Path) -> None:
    track = (np.array([-20.0, -25.0, -40.0]), np.array([-10.0, -10.0, -10.0]))
    read = read_forecast(write(tmp_path / "f.grib"), *track)
    assert [True, True, False] == read.covered.tolist()
    refuse_small_box(read, DEPART, *track, np.array([0.0, 300.0, 2000.0]), 6.0)  # 232 h at 6 kn: 1392 miles
    with pytest.raises(InputFaults, match=r"does not cover the track at 40\.0 S 10\.0 W"):
        refuse_small_box(read, DEPART, *track, np.array([0.0, 300.0, 1200.0]), 6.0)


def test_missing_values_are_not_wind(tmp_path: Path) -> None:
    parts = [message(p, 5.0, s, missing=s == 6) for p in (165, 166) for s in (0, 6)]
    (tmp_path / "f.grib").write_bytes(fields(*parts))
    assert not read_forecast(tmp_path / "f.grib", *NODES).covered.any()


# ---------------------------------------------------------------- what it counts


def forecast(
    winds_kn: list[tuple[float, float]], nodes: int, last_h: int = 240, half_h: float = 120.0, none_h: float = 240.0
) -> TrackForecast:
    """Steady winds, one for each member, issued at the departure."""
    parts = np.array(winds_kn, dtype=np.float32).T[:, :, None, None] + np.zeros((1, last_h // 6 + 1, nodes), np.float32)
    start = np.datetime64(DEPART.replace(tzinfo=None), "s")
    valid = start + np.arange(last_h // 6 + 1) * np.timedelta64(6, "h")
    return TrackForecast(DEPART, valid, parts[0], parts[1], np.ones(nodes, bool), half_h, none_h, "f.grib", "test")


def test_the_weight_is_all_then_half_then_nil() -> None:
    assert (1.0, 0.5, 0.0, 0.0) == pytest.approx([lead_weight(lead, 120.0, 240.0) for lead in (0, 120, 240, 400)])
    assert 0.5 == pytest.approx(lead_weight(72.0, 72.0, 200.0))
    weights = [lead_weight(lead, 72.0, 200.0) for lead in range(201)]
    assert (np.diff(weights) <= 0.0).all()
    assert np.abs(np.diff(weights)).max() < 0.02


def test_an_old_forecast_counts_for_less_from_the_start() -> None:
    fresh = forecast([(0.0, 10.0)], 5)
    assert 0.5 == pytest.approx(Blend(fresh, DEPART + timedelta(hours=120)).weight(0))
    assert not serves(forecast([(0.0, 10.0)], 5, last_h=480), DEPART + timedelta(hours=241))


@pytest.mark.parametrize("last_h", [240, 96])
def test_nothing_jumps_from_hour_to_hour_nor_where_the_file_ends(last_h: int) -> None:
    """Mean and spread of the wind that the members meet: no step above 3 per cent of the way to the climate."""
    track = north_track(600.0)
    plain = np.zeros((7, track.nodes), dtype=np.float32)
    plain[1], plain[2] = 10.0, 6.0
    blend = Blend(forecast([(20.0, 10.0)], track.nodes, last_h), DEPART)
    tables = [blend.table(hour, plain) if blend.weight(hour) > 0 else plain for hour in range(300)]
    east, spread = np.array([table[0, 0] for table in tables]), np.array([table[2, 0] for table in tables])
    assert 20.0 == pytest.approx(east[0])
    assert 0.0 == pytest.approx(spread[0])
    assert (0.0, 6.0) == (east[-1], spread[-1])
    assert np.abs(np.diff(east)).max() < 0.03 * 20.0
    # The spread starts as the square root of what is not trusted; from hour 6 on it is smooth.
    assert np.abs(np.diff(spread))[6:].max() < 0.03 * 6.0


def test_the_spread_at_day_seven_is_the_climates_but_for_what_the_weight_explains() -> None:
    """w = 0.206 at day 7 (D: half a cosine), so sqrt(1 - w^2) = 0.979 of 6 kn; the mean lies w of the way to the
    forecast. Four standard errors of 4000 independent members; the boats are slow, all are at sea."""
    members, sigma, weight = 4000, 6.0, 0.5 + 0.5 * np.cos(0.7 * np.pi)
    track = north_track(1500.0)
    sailed = sail(
        laid(track, steady(track, 0.0, 10.0, sigma), vessel(), forecast=forecast([(12.0, 10.0)], track.nodes)),
        DEPART,
        Luck(6, members),
    )
    east, north = sailed.wind_east_kn[:, 168], sailed.wind_north_kn[:, 168]
    expected = sigma * np.sqrt(1 - weight**2)
    assert expected == pytest.approx(np.hypot(east.std(), north.std()) / np.sqrt(2), rel=4 / np.sqrt(4 * members))
    assert 12.0 * weight == pytest.approx(east.mean(), abs=4 * sigma / np.sqrt(members))
    assert 10.0 == pytest.approx(north.mean(), abs=4 * sigma / np.sqrt(members))


def test_the_first_day_is_the_forecasts() -> None:
    track = north_track()
    sailed = sail(
        laid(track, steady(track, 0.0, 10.0, 6.0), vessel(), forecast=forecast([(12.0, 4.0)], track.nodes)),
        DEPART,
        Luck(6, 500),
    )
    assert 12.0 == pytest.approx(sailed.wind_east_kn[:, 0])
    assert sailed.wind_east_kn[:, 24].std() < 0.25 * 6.0


def test_the_slow_end_never_collapses() -> None:
    """A forecast of a fair wind over a passage of some three weeks: the time between the typical crossing and the slow
    end stays at least half of what the climate alone gives."""
    track = north_track(2400.0)
    climate, luck = steady(track, 0.0, 2.0, 7.0), Luck(8, 1000)
    alone = sail(laid(track, climate, vessel()), DEPART, luck)
    fair = sail(laid(track, climate, vessel(), forecast=forecast([(0.0, 14.0)], track.nodes)), DEPART, luck)

    def tail(arrival_h: np.ndarray) -> float:
        return passage_time_h(arrival_h, 0.95) - passage_time_h(arrival_h, 0.5)

    assert passage_time_h(fair.arrival_h, 0.5) < passage_time_h(alone.arrival_h, 0.5)
    assert tail(fair.arrival_h) > 0.5 * tail(alone.arrival_h)


def test_members_of_the_crossings_share_out_the_members_of_the_forecast() -> None:
    """Member i sails in forecast member i modulo their number, also where blocks are sailed and boats drop out."""
    track = north_track(900.0)
    climate = steady(track, 0.0, 12.0, 5.0)
    three = forecast([(6.0, 12.0), (0.0, 12.0), (-6.0, 12.0)], track.nodes)
    many = sail(laid(track, climate, vessel(), forecast=three), DEPART, Luck(2, 2100))
    assert np.tile([6.0, 0.0, -6.0], 700) == pytest.approx(many.wind_east_kn[:, 0])
    few = sail(laid(track, climate, vessel(), forecast=three), DEPART, Luck(2, 7))
    assert np.array_equal(few.arrival_h, many.arrival_h[:7])


def test_a_departure_that_the_forecast_does_not_serve_is_sailed_in_the_climate() -> None:
    track = north_track()
    climate, luck = steady(track, 0.0, 12.0, 5.0), Luck(2, 20)
    later = DEPART + timedelta(days=30)
    plain = sail(laid(track, climate, vessel()), later, luck)
    assert np.array_equal(
        plain.arrival_h,
        sail(laid(track, climate, vessel(), forecast=forecast([(0.0, 30.0)], track.nodes)), later, luck).arrival_h,
    )


# ---------------------------------------------------------------- through the voyage folder


def voyage(tmp_path: Path, rest: str) -> Path:
    """The demonstration from Cape Town with its position keys kept and a forecast named."""
    folder = tmp_path / "voyage"
    whole(shipped("routes") / "cape-town-st-helena", folder)
    text = (folder / "voyage.toml").read_text(encoding="utf-8")
    (folder / "voyage.toml").write_text(text + rest, encoding="utf-8")
    return folder


def test_a_voyage_may_name_a_forecast(tmp_path: Path) -> None:
    """Eight hours old at the departure it weighs 0.996, which leaves open 0.09 of a sigma of 9 kn there."""
    rules = 'half_weight_after = "4 days"\nno_weight_after = "8 days"\n'
    folder = voyage(tmp_path, f'\n[forecast]\nfile = "f.grib"\n{rules}')
    hours = range(0, 145, 12)
    write(folder / "f.grib", lambda step_h, member: (0.0, 8.0), hours, issued=(20270210, 0), wide=True)
    facts = read_folder(folder)
    ground = lay_ground(facts)
    assert ground.forecast is not None
    assert (96.0, 192.0) == (ground.forecast.half_weight_after_h, ground.forecast.no_weight_after_h)
    north_kn = walk(facts, ground, Luck(1, 50), facts.voyage.departure.depart).crossings.wind_north_kn[:, 0]
    assert 8.0 * KNOTS == pytest.approx(north_kn.mean(), abs=4 * 0.8 / np.sqrt(50))
    assert 0.8 == pytest.approx(north_kn.std(), rel=4 / np.sqrt(2 * 50))


@pytest.mark.parametrize(
    ("issued", "wide", "says"),
    [
        ((20270212, 0), True, "f.grib: it starts at 2027-02-12 00:00 UTC"),
        ((20270101, 0), True, "f.grib: it ended at 2027-01-07 00:00 UTC"),
        ((20270210, 0), False, "f.grib: its box does not cover the track at 33.9 S 18.4 E"),
    ],
)
def test_a_forecast_that_does_not_fit_the_voyage_is_refused(
    issued: tuple[int, int], wide: bool, says: str, tmp_path: Path
) -> None:
    folder = voyage(tmp_path, '\n[forecast]\nfile = "f.grib"\n')
    write(folder / "f.grib", issued=issued, steps_h=range(0, 145, 12), wide=wide)
    with pytest.raises(InputFaults, match=re.escape(says)):
        lay_ground(read_folder(folder))


def test_the_departure_that_is_sailed_must_be_served_and_not_the_one_in_the_file(tmp_path: Path) -> None:
    """The file's own is 10 February; the forecast runs from 12 to 18 February."""
    folder = voyage(tmp_path, '\n[forecast]\nfile = "f.grib"\n')
    write(folder / "f.grib", issued=(20270212, 0), steps_h=range(0, 145, 12), wide=True)
    facts, served, late = read_folder(folder), datetime(2027, 2, 13, tzinfo=UTC), datetime(2027, 2, 20, tzinfo=UTC)
    assert lay_ground(facts, served).forecast is not None
    for depart in (facts.voyage.departure.depart, late):
        with pytest.raises(InputFaults, match=r"f\.grib: it (starts|ended) at"):
            lay_ground(facts, depart)
    assert lay_ground(facts, facts.voyage.departure.depart, served, late).forecast is not None


def test_of_several_departures_those_served_must_lie_in_the_box(tmp_path: Path) -> None:
    folder = voyage(tmp_path, '\n[forecast]\nfile = "f.grib"\n')
    write(folder / "f.grib", issued=(20270210, 0), steps_h=range(0, 145, 12), wide=False)
    facts, late = read_folder(folder), datetime(2027, 3, 20, tzinfo=UTC)
    with pytest.raises(InputFaults, match="does not cover the track"):
        lay_ground(facts, facts.voyage.departure.depart, late)
    assert lay_ground(facts, late, late).forecast is not None


def test_a_forecast_that_is_not_there_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=r'forecast\.file: no file "f\.grib" stands there'):
        read_folder(voyage(tmp_path, '\n[forecast]\nfile = "f.grib"\n'))
    with pytest.raises(InputFaults, match=r"f\.grib: this file cannot be read"):
        read_forecast(tmp_path / "f.grib", *NODES)


@pytest.mark.parametrize("lead", [b"", b"whole"], ids=["zeros alone", "zeros after a message"])
def test_a_hundred_megabytes_of_nothing_are_refused_at_once(lead: bytes, tmp_path: Path) -> None:
    path = tmp_path / "f.grib"
    whole = write(tmp_path / "whole.grib", steps_h=[0, 6]).read_bytes() if lead else b""
    path.write_bytes(whole + bytes(100_000_000))
    begun = process_time()
    with pytest.raises(InputFaults, match="for a great part no GRIB" if lead else "this is not a GRIB file"):
        read_forecast(path, *NODES)
    assert process_time() - begun < 3.0
