"""The plan's tables: JSON as it is, rounded once, and telling what the outcome holds."""

from __future__ import annotations

import json
import re
from datetime import datetime, timedelta

import numpy as np
import pytest

from passage.consequences.stores.loading import verdict
from passage.plan.document import plan_tables
from passage.plan.sheets import front, legs, sky, times, water
from passage.plan.sheets.legs import Nearness, magnetic_words
from passage.sailings.magnetic import decimal_year, variation
from passage.sailings.sky import almanac
from passage.tell.records import as_json
from tests.plan_cases import ROUTES, endless_for_most, legs_of, sailed


@pytest.mark.parametrize("route", ROUTES)
def test_tables_are_json_and_already_rounded(route: str) -> None:
    plan = as_json(plan_tables(sailed(route)))
    assert plan == json.loads(json.dumps(plan, allow_nan=False))


def test_times_and_landfalls_are_those_of_the_crossings() -> None:
    outcome = sailed(ROUTES[0])
    arrival = np.sort(outcome.crossings.arrival_h)
    time = front.table(outcome).to_json()["time"]
    typical_h, slow_h = arrival[len(arrival) // 2 - 1], arrival[int(0.95 * len(arrival)) - 1]
    assert round(typical_h / 24, 1) == time["typical_days"]
    assert round(slow_h / 24, 1) == time["slow_end_days"]
    assert 20 == time["slow_end_in"]
    landfall = datetime.fromisoformat("2027-02-10T08:00+00:00") + timedelta(hours=float(slow_h))
    assert landfall.date().isoformat() == time["slow_end_landfall_utc"]


@pytest.mark.parametrize("route", ROUTES)
def test_legs_add_up_and_magnetic_is_true_less_variation_east(route: str) -> None:
    outcome = sailed(route)
    legs = legs_of(outcome).to_json()
    assert legs["distance_nm"] == legs["legs"][-1]["running_nm"]
    year = decimal_year(outcome.crossings.depart)
    for leg, start in zip(legs["legs"], outcome.facts.voyage.waypoints, strict=False):
        east = variation(*start.position, year).variation_deg
        assert east == pytest.approx(leg["initial_variation_deg"], abs=0.051)
        apart = leg["initial_true_course_deg"] - east - leg["initial_magnetic_course_deg"]
        assert abs((apart + 180) % 360 - 180) <= 1.01  # two courses rounded to a degree
        assert leg["variation_change_deg"] == pytest.approx(
            leg["final_variation_deg"] - leg["initial_variation_deg"], abs=1e-9
        )
        assert leg["great_circle_nm"] <= leg["rhumb_line_nm"]


@pytest.mark.parametrize("route", ROUTES)
def test_no_course_of_a_leg_lies_outside_those_that_are_told_of_it(route: str) -> None:
    """331 to 329 degrees by way of 327 is told so: who steers by the leg's line must not be surprised."""
    for leg in legs_of(sailed(route)).legs:
        courses = [leg.initial_magnetic_course_deg, leg.final_magnetic_course_deg]
        told = [float(number) for number in re.findall(r"\d+", magnetic_words(leg))]
        from_deg = courses[0] - 180.0
        turned = [(course - from_deg) % 360.0 for course in told]
        for point in leg.points:
            assert min(turned) - 0.51 <= (point.magnetic_course_deg - from_deg) % 360.0 <= max(turned) + 0.51


def test_points_along_a_leg_begin_where_it_begins() -> None:
    legs = legs_of(sailed(ROUTES[0])).to_json()
    long = next(leg for leg in legs["legs"] if leg["points"])
    first = long["points"][0]
    assert 0 == first["run_nm"]
    assert long["initial_true_course_deg"] == first["true_course_deg"]
    assert first["position"] == next(w["position"] for w in legs["waypoints"] if w["name"] == long["start"])


def test_days_go_down_to_harbour_and_keep_their_order() -> None:
    for route in ROUTES:
        rows = times.table(sailed(route)).to_json()["by_day"]
        last_whole_day = (sailed(route).crossings.hours - 1) // 24
        assert rows[-1]["arrived_in_100"] >= 99 or rows[-1]["day"] == last_whole_day
        assert all(row["arrived_in_100"] < 99 for row in rows[:-1])
        for row in rows:
            assert row["least_to_go_nm"] <= row["typical_to_go_nm"] <= row["most_to_go_nm"]
        assert [row["arrived_in_100"] for row in rows] == sorted(row["arrived_in_100"] for row in rows)


def test_water_is_rounded_to_the_safe_side() -> None:
    outcome = sailed(ROUTES[0])
    store, told = outcome.stores.water.store, water.table(outcome).to_json()
    answer = told["answer"]
    assert answer["load_l"] >= store.load.amount > answer["load_l"] - 1
    assert answer["tanks_give_l"] <= store.loaded
    assert answer["load_l"] + answer["to_spare_l"] - answer["lacking_l"] == answer["tanks_give_l"]
    assert 1 == sum(rule["governs"] for rule in told["rules"])
    assert max(rule["load"] for rule in told["rules"]) == answer["load_l"]


@pytest.mark.parametrize(
    ("short", "loaded_l", "load_l", "words"),
    [
        (0, 200.0, 171.0, "Yes"),
        (2, 200.0, 171.0, "Yes, nearly always"),
        (0, 150.0, 171.0, "Yes, with too little in hand"),
        (40, 150.0, 171.0, "Not always"),
    ],
)
def test_the_verdict_on_water_follows_both_count_and_load(
    short: int, loaded_l: float, load_l: float, words: str
) -> None:
    assert words == verdict(short, loaded_l, load_l).words


# ---------------------------------------------------------------- sun and moon


def test_ship_s_time_is_utc_and_her_zone() -> None:
    for route in ROUTES:
        for row in sky.table(sailed(route)).by_day:
            assert row.sunrise_utc is not None
            rise, utc = sky.ship_clock(row, "sunrise")[:4], row.sunrise_utc
            assert (utc.hour + row.zone_h) % 24 == int(rise[:2])
            assert utc.minute == int(rise[2:])
            assert 4 <= int(rise[:2]) <= 8


def test_no_date_is_sailed_twice_over_180_degrees() -> None:
    dates = [row.ship_date for row in sky.table(sailed("opua-tonga")).by_day]
    assert [dates[0] + timedelta(days=number) for number in range(len(dates))] == dates
    assert {row.zone_h for row in sky.table(sailed("opua-tonga")).by_day} <= {12, 13}


def test_a_row_is_the_almanac_of_its_noon_place() -> None:
    row = sky.table(sailed(ROUTES[0])).by_day[5]
    lat, lon = (float(part.replace("°", " ").split()[0]) for part in row.noon_position.split())
    day = almanac([row.ship_date], [-lat - 0.5], [lon + 0.5])[0]
    assert day.sunset is not None
    assert row.sunset_utc is not None
    assert abs(day.sunset - row.sunset_utc) <= timedelta(minutes=4)


def test_a_sunrise_of_the_day_before_by_utc_is_this_day_s_by_ship_s_time() -> None:
    rows = sky.table(sailed("opua-tonga")).by_day
    assert all((row.ship_date - row.sunrise_utc.date()).days == 1 for row in rows if row.sunrise_utc)
    assert not any(sky.ship_clock(row, "sunrise").endswith(("−", "+")) for row in rows)


def test_a_departure_in_a_cyclone_season_is_told_on_page_one() -> None:
    """Opua to Tonga leaves on 25 April: the South Pacific's season ends with April (RSMC Nadi)."""
    page = front.table(sailed("opua-tonga"))
    assert "1 November to 30 April" in front.said(page).cyclones
    assert () == front.table(sailed("cape-town-st-helena")).cyclone_seasons


def test_what_cannot_be_reached_is_null_with_words() -> None:
    page = front.table(endless_for_most(sailed(ROUTES[1])))
    told, said = page.to_json(), front.said(page)
    assert told["time"]["typical_days"] is None
    assert "typical" in said.unreached
    assert told["time"]["never_crossings"] == 120
    assert told["water"]["load_l"] is None
    assert "never arrive" in said.not_reached == said.no_load
    json.dumps(as_json(plan_tables(endless_for_most(sailed(ROUTES[1])))), allow_nan=False)


def test_the_nearest_land_is_the_nearest_of_the_track_s_nodes_or_nearer() -> None:
    from passage.sailings.land import nearest_land

    outcome = sailed(ROUTES[0])
    track = outcome.ground.track
    at_sea = (track.distance_nm > 3.0) & (track.distance_nm < track.length_nm - 3.0)
    by_node = nearest_land(track.lat_deg[at_sea], track.lon_deg[at_sea]).distance_nm.min()
    assert 0.0 < min(leg.land_off_nm for leg in legs_of(outcome).legs) <= by_node + 0.05


def test_each_leg_is_told_what_it_comes_too_near_to() -> None:
    outcome = sailed("opua-tonga")
    by_leg = legs_of(outcome).legs
    assert ["nearer than 5 miles", "nearer than 20 miles", "nearer than 20 miles"] == [
        legs.warning(leg, outcome.facts.limits).split(",")[0].split(":")[0] for leg in by_leg
    ]
    assert [Nearness.NOT_KEPT, Nearness.NOT_BY_NIGHT, Nearness.NOT_BY_NIGHT] == [leg.nearness for leg in by_leg]
    assert all(danger.clear_off_nm <= 25.0 for leg in by_leg for danger in leg.dangers)
