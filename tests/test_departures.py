"""When to leave: the same luck from other days, cyclone seasons, the departure rule and the strip of the year."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from xml.etree import ElementTree

import numpy as np
import pytest

from passage.consequences.minded import Minded
from passage.consequences.times import passage_times
from passage.crossings.departure import wait_for
from passage.crossings.seasons import basins_along, seasons_met
from passage.crossings.simulate import sail
from passage.crossings.wind import Luck
from passage.departures import CYCLONE_CAUTION, Start, Wait, _daylight, _hard_on_wind, better, scan, weekly, weighed
from passage.errors import RouteRefused
from passage.ground import ground_under, lay_ground
from passage.inputs.current import along_the_course
from passage.inputs.folder import read_folder
from passage.inputs.voyage import DepartureRule, KindWeek
from passage.plan.yearstrip import year_strip
from passage.road import walk
from passage.sailings.track import Leg, lay_track
from passage.shipped import shipped
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel

if TYPE_CHECKING:
    from passage.consequences.times import Times
    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts

SVG = "{http://www.w3.org/2000/svg}"
DAYS = tuple(datetime(2027, month, 5, 8, tzinfo=UTC) for month in (2, 7, 12))


@pytest.fixture(scope="module")
def road() -> tuple[Facts, Ground]:
    """The demonstration from New Zealand to Tonga: out of season from May to October."""
    facts = read_folder(shipped("routes") / "opua-tonga")
    return facts, lay_ground(facts)


@pytest.fixture(scope="module")
def starts(road: tuple[Facts, Ground]) -> tuple[Start, ...]:
    return scan(*road, Luck(1, 60), DAYS)


def test_a_start_is_the_road_walked_from_that_day(road: tuple[Facts, Ground], starts: tuple[Start, ...]) -> None:
    for start in starts:
        times = walk(*road, Luck(1, 60), start.depart_utc).times
        sailed = start.times
        assert (times.fast_h, times.typical_h, times.slow_end_h) == (sailed.fast_h, sailed.typical_h, sailed.slow_end_h)
        assert (times.calm_h, times.standing_off_h) == (sailed.calm_h, sailed.standing_off_h)


def test_the_same_day_twice_is_the_same_start(road: tuple[Facts, Ground], starts: tuple[Start, ...]) -> None:
    assert starts[1] == scan(*road, Luck(1, 60), [DAYS[2], DAYS[1]])[1]


def test_a_stormy_season_is_named_tells_the_wind_outside_it_and_is_never_the_better_choice(
    road: tuple[Facts, Ground], starts: tuple[Start, ...]
) -> None:
    february, july, december = starts
    for start in (february, december):
        assert ("South Pacific",) == start.cyclone_basins
        assert start.stormy
        assert 50 < start.season_in_100 < 80  # from 30 S on, of 35 to 21 S
        assert 0 < start.times.strong_h < walk(*road, Luck(1, 60), start.depart_utc).times.strong_h
    assert () == july.cyclone_basins
    assert 0 == july.season_in_100
    for start in starts:
        assert start.times.gale_seen in {"none", "few", "some"}
    shorter = replace(february, times=replace(february.times, fast_h=1.0, typical_h=2.0, slow_end_h=3.0))
    assert (july,) == better([shorter, july, december])
    assert () == better([shorter, december])


def test_better_starts_are_as_good_as_the_shortest_and_arrive(starts: tuple[Start, ...]) -> None:
    july = starts[1]
    near, far, never = (
        replace(july, times=replace(july.times, slow_end_h=factor * july.times.slow_end_h))
        for factor in (1.04, 1.06, np.inf)
    )
    assert (july, near) == better([july, near, far, never])


def test_a_start_on_which_the_current_wins_is_told_and_the_others_are_sailed(road: tuple[Facts, Ground]) -> None:
    """An invented current of 9 kn against her in July alone; where it always wins the scan is refused."""
    facts, ground = road
    always = along_the_course(-9.0, ground.track.course_deg)
    july = np.zeros((12, 1))
    july[5:8] = 1.0  # so that mid-June to mid-August has some of it, and July's middle all
    some = replace(always, east_kn=july * always.east_kn, north_kn=july * always.north_kn)
    february, stopped, december = scan(facts, replace(ground, current=some), Luck(1, 20), DAYS)
    assert "the current wins" in stopped.refused
    assert not np.isfinite([stopped.times.fast_h, stopped.times.typical_h, stopped.times.slow_end_h]).any()
    assert "" == february.refused == december.refused
    assert stopped not in better([february, stopped, december])
    assert "nan" not in year_strip([february, stopped, december], southern=True)
    with pytest.raises(RouteRefused, match="the current wins"):
        scan(facts, replace(ground, current=always), Luck(1, 20), DAYS)


def test_shares_are_shares_and_the_moon_is_the_almanacs(starts: tuple[Start, ...]) -> None:
    """The start on 5 July is in on 16 July 2027, two days before the full moon of the 18th (M)."""
    for start in starts:
        assert 0.0 <= start.hard_on_wind_in_100 <= 100.0
        assert 0.0 <= start.daylight_in_100 <= 100.0
    moon = starts[1].moon
    assert moon is not None
    assert "waxing gibbous" == moon.phase
    assert moon.phase.waxing
    assert 75.0 < moon.lit_in_100 < 100.0


@pytest.mark.parametrize(("east", "north", "share"), [(0.0, -15.0, 1.0), (0.0, 15.0, 0.0), (15.0, 0.0, 0.0)])
def test_hard_on_the_wind_is_wind_from_ahead(east: float, north: float, share: float) -> None:
    track = north_track()
    assert share == _hard_on_wind(sail(laid(track, steady(track, east, north), vessel()), DEPART, Luck(1, 2)))


def test_a_boat_that_comes_in_by_night_does_not_find_daylight() -> None:
    """Sixty miles at 5 kn from 08 UTC: landfall at 20 UTC, dark at 10 W; from 18 UTC at 06, sunrise at 06:24."""
    track = north_track(60.0)
    wind = steady(track, 0.0, 15.0)
    assert 0.0 == _daylight(sail(laid(track, wind, vessel()), DEPART, Luck(1, 2)))
    assert 0.0 == _daylight(sail(laid(track, wind, vessel(stand_off=True)), DEPART, Luck(1, 2)))
    assert 1.0 == _daylight(sail(laid(track, wind, vessel()), DEPART.replace(hour=1), Luck(1, 2)))


def test_seasons_are_asked_of_the_days_on_which_she_is_there() -> None:
    """Northward along 150 W from 30 S: she leaves in season and is out of the basin's season's last day on the way."""
    track = lay_track([Leg(-30.0, -150.0, -10.0, -150.0)])
    along = basins_along(track)
    climate = steady(track, 0.0, 15.0)

    def names(month: int, day: int) -> list[str]:
        depart = datetime(2027, month, day, 0, tzinfo=UTC)
        return [met.basin.name for met in seasons_met(sail(laid(track, climate, vessel()), depart, Luck(1, 5)), along)]

    assert ["South Pacific"] == names(4, 29)  # in season on the first days
    assert [] == names(5, 1)
    assert [] == names(10, 15)  # ten days: in by 25 October
    assert ["South Pacific"] == names(10, 26)  # the season begins on the way
    (met,) = seasons_met(sail(laid(track, climate, vessel()), datetime(2027, 4, 29, tzinfo=UTC), Luck(1, 5)), along)
    assert (0, 1) == (met.first_day, met.last_day)  # 29 and 30 April


# ---------------------------------------------------------------- the departure rule


def test_without_wind_above_the_limit_nobody_waits() -> None:
    track = north_track()
    waiting = wait_for(DepartureRule(wind_under_kn=20.0), track, steady(track, 0.0, 15.0), DEPART, Luck(1, 9), 4.0)
    assert (np.zeros(9) == waiting.days).all()
    assert not waiting.in_vain.any()


def test_against_a_steady_wind_the_rule_is_never_met_and_they_leave_all_the_same() -> None:
    track = north_track()
    for rule, north in ((DepartureRule(wind_under_kn=20.0), 25.0), (DepartureRule(not_ahead=True), -12.0)):
        waiting = wait_for(rule, track, steady(track, 0.0, north), DEPART, Luck(1, 9), 4.0)
        assert (np.full(9, 14) == waiting.days).all()
        assert waiting.in_vain.all()


def test_nobody_waits_longer_than_the_longest_and_who_would_have_leaves_in_vain() -> None:
    track = north_track(900.0)
    climate, luck = steady(track, 0.0, 16.0, 6.0), Luck(4, 300)
    two, many = (
        wait_for(DepartureRule(wind_under_kn=20.0, wait_at_most_h=24.0 * days), track, climate, DEPART, luck, 4.0)
        for days in (2, 14)
    )
    assert 0 < two.in_vain.sum() < 300
    assert (np.minimum(many.days, 2) == two.days).all()
    assert ((many.days > 2) == two.in_vain).all()


def test_who_has_waited_leaves_into_wind_that_meets_the_rule() -> None:
    """The wind logged under way in the first two days, in means of six hours, at a place near that looked at."""
    track = north_track(900.0)
    climate, luck = steady(track, 0.0, 14.0, 6.0), Luck(4, 300)
    waiting = wait_for(DepartureRule(wind_under_kn=20.0), track, climate, DEPART, luck, 4.0)
    assert 0 < (waiting.days > 0).sum() < 300
    boat = vessel(first_days_speed_share=1.0)  # at the speed that the waiting reckons with
    sailed = sail(laid(track, climate, boat), DEPART, luck.delayed(24 * waiting.days))
    means = sailed.wind_kn[:, :48].reshape(300, 8, 6).mean(axis=2)
    assert means[~waiting.in_vain].max() < 20.0
    undelayed = sail(laid(track, climate, boat), DEPART, luck).wind_kn[:, :48].reshape(300, 8, 6).mean(axis=2)
    # a tenth of a knot: the part of the luck that lasts is another one where she then is
    assert (undelayed[waiting.days > 0].max(axis=1) >= 19.9).all()


def test_days_waited_are_harbour_time_and_not_in_the_passage(road: tuple[Facts, Ground]) -> None:
    facts, ground = road
    ruled = facts.voyage.model_copy(update={"departure_rule": DepartureRule(wind_under_kn=18.0)})
    (start,) = scan(replace(facts, voyage=ruled), ground, Luck(1, 60), DAYS[1:2])
    assert isinstance(start.wait, Wait)
    assert start.wait.long_wait_days > start.wait.typical_wait_days >= 0.0
    (plain,) = scan(facts, ground, Luck(1, 60), DAYS[1:2])
    assert plain.wait is None
    assert abs(start.times.typical_h - plain.times.typical_h) < 72.0  # weeks of waiting would show


# ---------------------------------------------------------------- the strip


def without_end(start: Start, whole: bool = False) -> Start:
    never = {"fast_h": np.inf, "typical_h": np.inf} if whole else {}
    return replace(start, times=replace(start.times, slow_end_h=np.inf, **never))


def texts(svg: str) -> str:
    return " ".join(text.text or "" for text in ElementTree.fromstring(svg).iter(f"{SVG}text"))


def test_the_strip_says_what_is_not_in_its_numbers(starts: tuple[Start, ...]) -> None:
    assert CYCLONE_CAUTION in texts(year_strip(starts, southern=True))
    assert CYCLONE_CAUTION not in texts(year_strip(starts[1:2], southern=True))


def test_a_stormy_week_is_an_empty_outline_without_a_dot(
    starts: tuple[Start, ...],
) -> None:
    february, july, _ = starts
    drawn = [ElementTree.fromstring(year_strip([start], southern=True)) for start in (february, july)]
    dashed, filled, dots = (
        [len([part for part in svg.iter(f"{SVG}{tag}") if wanted(part)]) for svg in drawn]
        for tag, wanted in (
            ("path", lambda part: part.get("stroke-dasharray")),
            ("path", lambda part: part.get("fill") == "#000" and part.get("stroke") != "none"),
            ("circle", lambda part: part.get("r") == "1.3"),
        )
    )
    assert [1, 0] == dashed
    assert [0, 1] == filled
    assert [0, 1] == dots


def test_a_slow_end_that_is_not_reached_stands_out_over_the_strip(starts: tuple[Start, ...]) -> None:
    endless = without_end(starts[1])
    assert year_strip([starts[1], endless], southern=True) != year_strip([starts[1], starts[1]], southern=True)
    assert "days at sea" in texts(year_strip([replace(without_end(endless, whole=True), moon=None)], True))


def test_a_year_is_fifty_two_weeks() -> None:
    year = weekly(datetime(2027, 1, 3, 8, tzinfo=UTC))
    assert 52 == len(year)
    assert datetime(2027, 12, 26, 8, tzinfo=UTC) == year[-1]


def weeks_of(*hours: tuple[float, float, float], kind: KindWeek | None = None) -> tuple[Start, ...]:
    """Invented starts out of season, each with strong wind and calm in 100 hours, and its slow end in days."""
    starts = [
        Start(
            DEPART, timed(slow_days), 5.0, (), 60.0, None, None, False, minded=Minded(strong, calm, 0.0, float("nan"))
        )
        for strong, calm, slow_days in hours
    ]
    return weighed(starts, kind or KindWeek())


def timed(slow_days: float) -> Times:
    whole = sail(laid(north_track(60.0), steady(north_track(60.0), 0.0, 9.0), vessel()), DEPART, Luck(1, 2))
    return replace(passage_times(whole, 0.95), slow_end_h=24.0 * slow_days)


def test_a_week_over_a_limit_is_not_kind_says_why_and_is_not_marked_however_short() -> None:
    rough, kind, slow = starts = weeks_of((4.0, 5.0, 20.0), (1.0, 5.0, 22.0), (1.0, 5.0, 30.0))
    assert ("28 kn and more 4 of 100 hours, over 2",) == rough.unkind
    assert () == kind.unkind == slow.unkind
    assert (kind,) == better(starts)


def test_where_no_week_keeps_to_a_limit_the_best_and_what_is_near_it_will_do() -> None:
    best, near, far = weeks_of((8.0, 5.0, 20.0), (9.9, 5.0, 20.0), (10.1, 5.0, 20.0))
    assert () == best.unkind == near.unkind
    assert ("28 kn and more 10 of 100 hours, over 10",) == far.unkind


def test_the_user_says_what_counts() -> None:
    hours = (4.0, 20.0, 20.0), (1.0, 5.0, 22.0)
    lenient = weeks_of(*hours, kind=KindWeek(strong_wind_share=0.05, calm_share=0.3))
    assert all(start in better(lenient) for start in lenient[:1])
    by_length = weeks_of(*hours, kind=KindWeek(counts=False))
    assert ((), ()) == tuple(start.unkind for start in by_length)


def test_january_is_not_marked_for_southern_california_to_hawaii(road: tuple[Facts, Ground]) -> None:
    """Strong wind and hours hard on it make winter no time for it: spring, before the hurricanes, is the usual choice
    (common practice, no source). The boat is the demonstration's.
    """
    facts = road[0]
    track = lay_track((Leg(32.58, -117.42, 19.83, -154.83),))
    ground = ground_under(facts, track)
    days = tuple(datetime(2027, month, 5, 16, tzinfo=UTC) for month in (1, 2, 3, 4, 5))
    found = scan(facts, ground, Luck(1, 60), days)
    good = better(found)
    assert found[0] not in good
    assert any("28 kn and more" in why for why in found[0].unkind)
    assert {start.depart_utc.month for start in good} & {4, 5}
