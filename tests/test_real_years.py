"""Real years: the sum on paper for one voyage, months that keep their means, El Nino, and the slow end's coverage."""

from __future__ import annotations

import json
from datetime import UTC, datetime

import numpy as np
import pytest
from click.testing import CliRunner

from passage import api
from passage.cli import main
from passage.crossings.lanes import lane_of
from passage.crossings.simulate import arrivals_h
from passage.crossings.wind import KnownMonths, Luck
from passage.errors import InputFaults
from passage.ground import lay_ground
from passage.inputs.years import TrackYears, at_mid_months, has_years, years_at
from passage.real_years import climate_of, sail_years
from passage.shipped import shipped
from tests.crossing_cases import laid, north_track, steady, vessel
from tests.test_storms import MARQUESAS, voyage

MARCH = datetime(2027, 3, 1, 12, tzinfo=UTC)


def test_the_days_of_a_year_are_the_sum_on_paper() -> None:
    """600 miles due north before 8 kn from astern: a polar of 5 kn at 10 kn gives 4 kn, 150 h. In an invented year with
    4 kn less it gives 2 kn, 300 h (D). The table of speeds made good is read between its own steps, good to half a
    per cent.
    """
    track = north_track()
    climate, boat = steady(track, 0.0, 8.0), vessel()
    depart = datetime(2027, 2, 1, tzinfo=UTC)
    luck = KnownMonths(1, 2).from_day(depart)
    calm, plain = np.full((24, track.nodes), -4.0), np.zeros((24, track.nodes))
    record = TrackYears(1990, np.zeros_like(calm), np.concatenate([plain[:12], calm[:12]]), "invented")

    def hours(year: int) -> float:
        ground = laid(track, climate_of(climate, record, year, depart), boat)
        return float(arrivals_h([lane_of(ground, depart, luck)])[0][0])

    assert 150.0 == pytest.approx(hours(1990), rel=0.005)
    assert 300.0 == pytest.approx(hours(1991), rel=0.005)


def test_a_month_on_paper() -> None:
    """The mean of a month whose middle is b, on lines to neighbours a and c, is (a + 6 b + c) / 8 (D)."""
    means = np.random.default_rng(3).normal(size=(24, 2))
    middles = at_mid_months(means)
    assert np.allclose(means[1:-1], (middles[:-2] + 6 * middles[1:-1] + middles[2:]) / 8)


def test_weather_of_known_months_has_no_mean_of_its_own_and_is_the_same_luck_for_few_and_many() -> None:
    depart = datetime(2027, 2, 10, 8, tzinfo=UTC)
    few, many = (KnownMonths(1, members).from_day(depart) for members in (3, 60))
    march = range((19 * 24) - 8, (19 + 31) * 24 - 8)
    total = np.mean([few.hour(hour).fast for hour in march], axis=0)
    assert np.abs(total).max() < 1e-5
    assert np.array_equal(few.hour(5).fast, many.hour(5).fast[:, :3])
    assert not few.hour(5).slow.any()
    spread = np.std([Luck(1, 60).hour(hour).fast for hour in range(0, 600, 6)])
    assert spread == pytest.approx(np.std([many.hour(hour).fast for hour in range(0, 600, 6)]), rel=0.12)


def test_years_differ_from_their_own_mean_and_so_not_at_all_on_average() -> None:
    """Steps of 0.25 m/s leave half a step at most, a tenth of it on average of eleven."""
    record = years_at(None, [-10.0, 30.0], [-120.0, -40.0])
    assert range(1982, 1993) == record.years
    by_month = record.north_kn.reshape(11, 12, -1).mean(axis=0)
    assert np.abs(by_month).max() < 0.5
    assert np.abs(record.east_kn).max() > 3


def test_a_year_without_difference_is_the_climatology() -> None:
    track = north_track()
    climate = steady(track, -3.0, 8.0, 4.0)
    nothing = TrackYears(1990, np.zeros((24, track.nodes)), np.zeros((24, track.nodes)), "invented")
    same = climate_of(climate, nothing, 1990, MARCH)
    assert np.array_equal(climate.wind_east_kn, same.wind_east_kn)
    assert np.array_equal(climate.wind_north_kn, same.wind_north_kn)


def test_el_nino_of_1983_is_the_slowest_of_eleven_years_to_the_marquesas() -> None:
    """In the winter of 1982-83 the trades of the Pacific failed (Philander 1983, Nature 302, 295-301; M). By how much
    is a pin: a first trial found eight days more, 12 were found before airs under 3 kn counted for nothing, 17 since.
    """
    facts = voyage(MARQUESAS, MARCH)
    told = sail_years(facts, lay_ground(facts), MARCH, 100, 1)
    slowest = max(told.years, key=lambda year: year.typical_days)
    assert 1983 == slowest.year
    assert 12 < slowest.more_days < 22
    assert () == told.left_out


def test_the_slow_end_holds_for_years_that_are_left_out_one_by_one() -> None:
    """Each of eleven years beside the mean of the other ten (11 / 10 of its departure from the mean of all): 5 in 100
    are meant to take longer than the slow end; years are few, and so 1 to 12 are taken.
    """
    beyond = []
    for name in ("cape-town-st-helena", "opua-tonga", "lagos-azores"):
        facts = api.read(shipped("routes") / name)
        depart = facts.voyage.departure.depart
        beyond.append(float(sail_years(facts, lay_ground(facts), depart, 60, 1, stretch=1.1).beyond_in_100))
    assert 1 < np.mean(beyond) < 12


def test_years_whose_record_ends_too_soon_are_left_out_by_name() -> None:
    facts = api.read(shipped("routes") / "lagos-azores")
    told = api.years(facts, 20, 1, datetime(2027, 12, 28, tzinfo=UTC))
    assert (1992,) == told.left_out
    assert 10 == len(told.years)


def test_a_file_without_years_has_none_and_is_refused_by_name(tmp_path: object) -> None:
    climate = shipped("climatology_demo") / "climatology.nc"
    assert not has_years(climate)
    assert not has_years(None)
    with pytest.raises(InputFaults, match="month_of_record"):
        years_at(climate, [0.0], [0.0])


def test_the_command_answers_in_twelve_lines_and_in_full_where_asked() -> None:
    def run(*options: str) -> str:
        result = CliRunner().invoke(
            main, ["years", str(shipped("routes") / "lagos-azores"), "--crossings", "20", *options]
        )
        assert 0 == result.exit_code, result.output
        return result.stdout

    short, full = run(), run("--full")
    assert len(short.splitlines()) <= 12
    assert max(map(len, short.splitlines())) <= 80
    assert "no gale and no storm" in " ".join(short.split())
    assert "They cannot show how hard it blew" in " ".join(full.split())
    assert list(range(1982, 1993)) == [year["year"] for year in json.loads(run("--json"))["years"]["years"]]
