"""The page as a file: one piece, nothing fetched, the tables' own numbers, and names that try to break it."""

from __future__ import annotations

import json
import re
from base64 import b64decode, b64encode
from dataclasses import replace
from datetime import date
from hashlib import sha256
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from click.testing import CliRunner

from passage.api import unbreakable
from passage.cli import main
from passage.consequences.watches.posted import RotaKind
from passage.crossings.search.choices import TrackKind
from passage.crossings.wind import Luck
from passage.draw.chart import draw_chart
from passage.follows import stores_of
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.plan.charts import way_of
from passage.plan.page.assemble import CHART_HIGH_PT, COLUMNS, WIDE_PT, _chart, page_html
from passage.plan.page.days import days_told
from passage.plan.page.fans import WITHIN_A_DAY, fans
from passage.plan.page.fleet import MOST_POSITIONS, WHOLE, fleet
from passage.plan.rota import noon_to_noon
from passage.plan.sheets import times as sheet_times
from passage.plan.sheets import watches
from passage.plan.sheets import when as sheet_when
from passage.plan.sheets.cautions import NO_BATTERY, NO_FOOD
from passage.positions import Position
from passage.road import walk
from passage.shipped import shipped
from passage.tell.figures import DASH
from passage.troubles.refuges import sail_ways_out
from tests.plan_cases import (
    ARABIC,
    ENDLESS,
    MADE,
    MARKUP,
    POLYNESIAN,
    ROUTES,
    endless_for_most,
    page_of,
    renamed,
    sailed,
)
from tests.test_choosing import chosen

if TYPE_CHECKING:
    from pathlib import Path

    from passage.inputs.folder import Facts
    from passage.road import Outcome


MOST_BYTES = 600_000
SVG_NAME = "http://www.w3.org/2000/svg"  # a name of W3C's that is never fetched
BREAKOUT = "</script><script>alert(1)</script><!-- \"' & </title></style>"


class Read(HTMLParser):
    """A page as a browser takes it apart: its elements, and the text in each kind of them."""

    def __init__(self, page: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: dict[str, list[str]] = {}
        self._open: list[str] = []
        self.feed(page.decode("utf-8"))
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in self._open:
            del self._open[len(self._open) - 1 - self._open[::-1].index(tag) :]

    def handle_data(self, data: str) -> None:
        self.texts.setdefault(self._open[-1] if self._open else "", []).append(data)

    def named(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.elements if name == tag]

    @property
    def words(self) -> str:
        """All that a person reads."""
        kept = (text for tag, texts in self.texts.items() if tag not in ("script", "style") for text in texts)
        return " ".join(" ".join(kept).split())


def again(outcome: Outcome, facts: Facts) -> Outcome:
    """The same crossings under other facts that change nothing of what follows from them, which is kept."""
    changed = replace(outcome, facts=facts)
    changed._done.update(outcome._done)
    return changed


def data_of(made: bytes) -> dict[str, Any]:
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', made.decode(), re.DOTALL)
    assert found
    data: dict[str, Any] = json.loads(found[1])
    return data


def departures(data: dict[str, Any]) -> list[dict[str, Any]]:
    return [other for other in data["others"] if "why" not in other]


def hash_of(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


def number(words: str) -> float | None:
    return None if words == DASH else float(words.replace(",", "").replace("−", "-"))


@pytest.mark.parametrize("route", ROUTES)
def test_a_page_is_small_and_asks_for_nothing(route: str) -> None:
    made = page_of(route)
    assert len(made) < MOST_BYTES
    assert set(re.findall(r"[a-z]+://[^\s\"'<>)]*", made.decode())) == {SVG_NAME}
    read = Read(made)
    fetched = [value for _, attrs in read.elements for name in ("src", "href") if (value := attrs.get(name))]
    assert ["data:,"] == fetched  # the icon, so that none is asked for
    assert not {"iframe", "object", "embed", "form", "a", "base"} & {tag for tag, _ in read.elements}


@pytest.mark.parametrize("route", ROUTES)
def test_the_policy_names_its_one_style_and_its_one_script(route: str) -> None:
    read = Read(page_of(route))
    policy = next(attrs["content"] for attrs in read.named("meta") if attrs.get("http-equiv"))
    rules = dict(rule.strip().split(" ", 1) for rule in str(policy).split(";"))
    (style,), (_, script) = read.texts["style"], read.texts["script"]
    assert rules == {
        "default-src": "'none'",
        "style-src": hash_of(style),
        "script-src": hash_of(script),
        "img-src": "data:",
        "font-src": "data:",
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    assert not [attrs for _, attrs in read.elements if any(name == "style" or name[:2] == "on" for name in attrs)]


@pytest.mark.parametrize("route", ROUTES)
def test_the_numbers_are_those_of_the_tables(route: str) -> None:
    """Of the JSON of the sheets."""
    outcome = sailed(route)
    times, water, food = (
        record.to_json() for record in (sheet_times.table(outcome), outcome.stores.water, outcome.stores.food)
    )
    days = {row["day"]: row["words"] for row in data_of(page_of(route))["days"]}
    assert list(days) == list(range(len(times["by_day"]) + 1))
    for row in times["by_day"]:
        words = days[row["day"]]
        assert (row["typical_to_go_nm"], row["arrived_in_100"]) == (number(words["go"]), number(words["in"]))
        ends = [number(end) for end in words["go_span"].split(" to ")]
        assert sorted({row["least_to_go_nm"], row["most_to_go_nm"]}) == ends
    for name, by_day in (("water", water["by_day"]), ("food", food["left_by_day"])):
        for row in by_day[: len(days) - 1]:
            assert row["typical_left"] == number(days[row["day"]][name])
    assert (times["distance_nm"], water["answer"]["tanks_give_l"], food["aboard"]) == tuple(
        number(days[0][name]) for name in ("go", "water", "food")
    )


@pytest.mark.parametrize("route", ROUTES)
def test_each_night_of_the_battery_stands_at_the_noon_it_begins(route: str) -> None:
    outcome = sailed(route)
    assert outcome.power
    days = data_of(page_of(route))["days"]
    nights = outcome.power.to_json()["low"]["nights"]
    told = [day["words"]["battery"] for day in days if day["words"]["battery"] != DASH]
    first = next(day["day"] for day in days if day["words"]["battery"] != DASH)
    assert [str(night["lowest_typical_in_100"]) for night in nights][: len(told)] == told
    # The noon from which a night is counted is the sun's, ship's noon half an hour from it at most, and whole hours.
    begins = outcome.power.low.nights[0].begins_hour
    ship_noon = (outcome.noons[first].moment - outcome.crossings.depart).total_seconds() / 3600.0
    assert begins == pytest.approx(ship_noon, abs=2.0)


@pytest.mark.parametrize("route", ROUTES)
def test_the_table_shows_every_day_without_a_script(route: str) -> None:
    read = Read(page_of(route))
    days = data_of(page_of(route))["days"]
    rows = [attrs["data-day"] for attrs in read.named("tr") if "data-day" in attrs]
    assert [str(day["day"]) for day in days] == rows
    cells = read.texts["td"]
    for day in days:
        for name in COLUMNS:
            assert day["words"][name] in cells


@pytest.mark.parametrize("route", ROUTES)
def test_the_crossings_lie_where_they_were_sailed(route: str) -> None:
    outcome = sailed(route)
    data = data_of(page_of(route))
    boats, days = data["planned"], len(data["days"])
    places = np.frombuffer(b64decode(boats["places"]), "<u2").reshape(days, boats["drawn"])
    length_nm = outcome.ground.track.length_nm
    for day in range(days - 1):
        expected = outcome.crossings.distance_nm[:, 24 * day] / length_nm
        # Half a step of sixteen bits, and the step by which a boat still at sea is kept out of harbour.
        assert np.abs(expected - places[day] / WHOLE).max() <= 1.5 / WHOLE
        assert ((places[day] == WHOLE) == (outcome.crossings.arrival_h <= 24 * day)).all()
    spread = [(day.least_run_nm, day.typical_run_nm, day.most_run_nm) for day in outcome.by_day[: days - 1]]
    assert np.array(boats["spread"][1:]) == pytest.approx(np.array(spread) / length_nm, abs=1e-5)


@pytest.mark.parametrize("route", ROUTES)
def test_the_track_of_the_script_is_that_of_the_chart(route: str) -> None:
    outcome = sailed(route)
    track = data_of(page_of(route))["track"]
    nodes = np.array(track["nodes"]).reshape(-1, 2) / 10.0
    drawn = draw_chart([way_of(outcome)], WIDE_PT, CHART_HIGH_PT)
    high, ends = drawn.paper.size_pt[1], [label.place for label in drawn.placed[:2]]
    assert outcome.ground.track.nodes == len(nodes)
    assert nodes[[0, -1]].ravel() == pytest.approx([part for x, y in ends for part in (x, high - y)], abs=0.06)
    south, west, north, east = track["grid"]["box"]
    xy, side = np.array(track["grid"]["xy"]).reshape(-1, 2) / 10.0, 25
    for lat, lon, node in zip(
        track["lat"], track["lon"], nodes, strict=True
    ):  # the grid lays a place where it is drawn
        up, right = (lat / 1000 - south) / (north - south) * 24, (lon / 1000 - west) / (east - west) * 24
        row, column, u, r = int(up), int(right), up % 1, right % 1
        corners = xy[
            [row * side + column, row * side + column + 1, (row + 1) * side + column, (row + 1) * side + column + 1]
        ]
        assert node == pytest.approx(np.array([(1 - u) * (1 - r), (1 - u) * r, u * (1 - r), u * r]) @ corners, abs=0.6)


@pytest.mark.parametrize("route", ROUTES)
def test_each_crossing_has_its_own_landfall_and_water(route: str) -> None:
    outcome, data = sailed(route), data_of(page_of(route))
    expected = [round(hour / 24.0, 1) if np.isfinite(hour) else None for hour in outcome.crossings.arrival_h]
    assert expected == data["planned"]["arrive"]
    assert outcome.stores.water.store.left == pytest.approx(np.array(data["water"]), abs=1.0)


@pytest.mark.parametrize("route", ROUTES)
def test_the_other_departures_are_those_of_the_sheet_and_hold_crossings_of_their_own(route: str) -> None:
    outcome, data = sailed(route), data_of(page_of(route))
    told = sheet_when.table(outcome).to_json()["starts"]
    assert [row["times"]["typical_days"] for row in told] == [
        float(start["words"].split()[0]) for start in departures(data)
    ]
    assert 1 == sum(start["planned"] for start in departures(data))
    days = len(data["days"])
    for start in departures(data):
        if start["planned"]:
            continue
        boats = start["fleet"]
        assert (boats["drawn"], days) == np.frombuffer(b64decode(boats["places"]), "<u2").reshape(days, -1).shape[::-1]
        assert [1.0, 1.0, 1.0] == boats["spread"][-1] or len(boats["spread"]) == days


def test_tracks_to_choose_between_have_their_line_their_crossings_and_their_reason() -> None:
    outcome, tracks = sailed("lagos-azores"), chosen()
    made = page_html(outcome, tracks)
    others = [other for other in data_of(made)["others"] if "why" in other]
    assert len(made) < 1_000_000
    assert [one.why for one in tracks] == [other["why"] for other in others]
    assert [TrackKind.AS_DRAWN in one.kinds for one in tracks] == [other["planned"] for other in others]
    chart = _chart(outcome, tracks)
    for one, other in zip(tracks, others, strict=True):
        assert one.why in Read(made).words
        assert ("track" in other) is not other["planned"]
        if "track" in other:
            x, y = np.reshape(other["track"]["nodes"], (-1, 2))[-1] / 10.0
            end = one.outcome.ground.track
            assert [end.lat_deg[-1], end.lon_deg[-1] % 360] == pytest.approx(
                [chart.lat_lon(x, y)[0], chart.lat_lon(x, y)[1] % 360], abs=0.05
            )
            assert other["fleet"]["arrive"] == np.round(one.outcome.crossings.arrival_h / 24.0, 1).tolist()


def test_without_tracks_to_choose_between_none_are_spoken_of() -> None:
    assert 'aria-labelledby="ways" hidden' in page_of(ROUTES[0]).decode()


@pytest.mark.parametrize("route", ROUTES)
def test_the_slider_is_marked_with_moons_and_with_the_days_of_turning_back(route: str) -> None:
    outcome, data = sailed(route), data_of(page_of(route))
    for moon in data["moons"]:
        assert {"○": "full moon", "●": "new moon"}[moon["sign"]] == outcome.sky[moon["day"]].moon_phase
    ways = outcome.once(sail_ways_out).to
    for place in ways:
        assert place in Read(page_of(route)).words


def test_two_months_along_the_coasts_of_an_ocean_stay_under_a_million_bytes() -> None:
    """The issue's limit, on a voyage longer than any ocean asks for: Cape of Good Hope to New Zealand."""
    facts = read_folder(shipped("routes") / "lagos-azores", MADE)
    first, *_, last = facts.voyage.waypoints
    ends = (first, -36.0, 15.0), (last, -42.5, 60.0), (last, -44.0, 110.0), (last, -46.5, 164.0)
    places = tuple(
        place.model_copy(update={"name": f"point {number}", "position": Position(lat, lon)})
        for number, (place, lat, lon) in enumerate(ends)
    )
    voyage, troubles = facts.voyage.model_copy(update={"waypoints": places}), facts.troubles
    facts = unbreakable(replace(facts, voyage=voyage, troubles=troubles.model_copy(update={"refuges": ()})))
    outcome = walk(facts, lay_ground(facts), Luck(1, 60), facts.voyage.departure.depart)
    assert outcome.times.typical_h > 24.0 * 50.0
    made = page_html(outcome)
    data = data_of(made)
    days = len(data["days"])
    more = MOST_POSITIONS // days - data["planned"]["drawn"]  # as many more as it may have
    of_one = days * 2 * 4 / 3 + len("123.4,") + len("-123,")  # places in base 64, landfall, water
    assert len(made) + more * of_one < 1_000_000


def test_a_long_voyage_draws_fewer_crossings_and_says_so() -> None:
    crossings = sailed(ROUTES[0]).crossings
    assert crossings.members == fleet(crossings, 30)["drawn"]
    days = MOST_POSITIONS // 50
    drawn = fleet(crossings, days)
    assert MOST_POSITIONS // (days + 1) == drawn["drawn"]
    assert len(b64decode(drawn["places"])) <= 2 * MOST_POSITIONS
    assert b'<b id="drawn">200</b> crossings' in page_of(ROUTES[0])


# ---------------------------------------------------------------- watches


def half_hours(clock: str) -> int:
    return 2 * int(clock[:2]) + int(clock[2:]) // 30


@pytest.mark.parametrize("route", ROUTES)
def test_the_watches_run_from_noon_to_noon_without_a_gap(route: str) -> None:
    for day in data_of(page_of(route))["days"]:
        rows = day["watches"]
        assert rows or day["words"]["noon"] == ""
        ends = [half_hours(row["to_ship"]) % 48 for row in rows]
        begins = [half_hours(row["from_ship"]) for row in rows]
        assert begins[1:] == ends[:-1]
        assert not rows or (begins[0], ends[-1]) == (24, 24) or day["day"] == 0
        assert all(row["on_watch"] for row in rows)


@pytest.mark.parametrize("route", ROUTES)
def test_settled_days_keep_the_rota_of_the_watch_sheet(route: str) -> None:
    """Cut at noon, where the sheet prints whole watches."""
    outcome = sailed(route)
    settled = next(rota for rota in watches.table(outcome).rotas if rota.kind is RotaKind.SETTLED).days
    days = [day for day in data_of(page_of(route))["days"] if day["watches"]][5:]
    assert days
    for day in days:
        expected = settled[day["day"] % len(settled)].watches
        shown = [row for row in day["watches"] if row["from_ship"] != "1200"]
        whole = [watch for watch in expected if watch.from_ship != "1200"]
        assert [(watch.from_ship, *watch.on_watch) for watch in whole] == [
            (row["from_ship"], row["on_watch"]) for row in shown
        ]


def test_at_noon_the_next_days_rota_takes_over_and_nobody_has_the_watch_before_she_sails() -> None:
    plan = sailed(ROUTES[0]).watches
    assert plan and plan.first_days
    early = len(plan.first_days.capacity)
    kept = plan.kept(early + 2)
    change, before = noon_to_noon(kept, early - 1), noon_to_noon([kept[0]] * (early + 1), early - 1)
    from_noon, after = noon_to_noon(kept, early), noon_to_noon([kept[-1]] * (early + 2), early)

    def holds(rows: list[dict[str, Any]], slot: int) -> str:
        at = [
            row["on_watch"]
            for row in rows
            if (slot - half_hours(row["from_ship"])) % 48
            < ((half_hours(row["to_ship"]) - half_hours(row["from_ship"])) % 48 or 48)
        ]
        assert len(at) == 1
        return str(at[0])

    slots = range(48)
    assert [holds(before, slot) for slot in slots] == [holds(change, slot) for slot in slots]
    assert [holds(after, slot) for slot in slots] == [holds(from_noon, slot) for slot in slots]
    assert [holds(change, slot) for slot in slots] != [holds(from_noon, slot) for slot in slots]
    assert "1530" == noon_to_noon(kept, 0, begins_h=15.5)[0]["from_ship"]


# ---------------------------------------------------------------- what is not given, what will not do


def test_without_electrics_nothing_is_said_of_the_battery_but_that() -> None:
    outcome = sailed(ROUTES[1])
    bare = replace(outcome, facts=replace(outcome.facts, electrics=None))
    read = Read(page_html(bare))
    assert NO_BATTERY in read.words
    assert "% full" not in read.words


def with_stores(outcome: Outcome, **changed: dict[str, Any]) -> Outcome:
    """The same crossings, and these fields of stores otherwise."""
    stores = outcome.stores
    told = again(outcome, outcome.facts)
    every = tuple(replace(store, **changed.get(store.name, {})) for store in stores.all)
    water = replace(stores.water, store=every[0])
    told._done[stores_of] = replace(stores, all=every, water=water)
    return told


def test_food_that_no_file_counts_is_not_told_as_a_number() -> None:
    days = days_told(with_stores(sailed(ROUTES[1]), food={"said": False}))
    assert {(DASH, NO_FOOD)} == {(day["words"]["food"], day["words"]["food_range"]) for day in days}


def test_food_still_to_be_bought_is_said_to_be_counted() -> None:
    assert "still to buy counts as bought" in page_html(sailed(ROUTES[0])).decode()


def test_stores_of_a_passage_of_less_than_a_day_are_not_drawn() -> None:
    none = {"by_day": np.zeros((0, 3))}
    found = fans(with_stores(sailed(ROUTES[1]), water=none, food=none), WIDE_PT)
    assert [("Water left", WITHIN_A_DAY, ""), ("Food left", WITHIN_A_DAY, "")] == [
        (fan.title, fan.words, fan.svg) for fan in found[1:3]
    ]


def test_a_passage_that_is_not_reached_says_so() -> None:
    read = Read(page_html(endless_for_most(sailed(ROUTES[1]))))
    assert "not reached" in read.words
    assert "120 of 200 crossings never arrived in these numbers." in read.words


def test_less_than_nothing_left_is_short() -> None:
    by_day = np.tile([-9.0, -5.0, 3.0], (40, 1))
    words = days_told(with_stores(sailed(ROUTES[1]), water={"by_day": by_day}))[3]["words"]
    assert ("−5", "litres, short", "−9 to 3") == (words["water"], words["water_unit"], words["water_span"])


# ---------------------------------------------------------------- names, words, bytes


@pytest.mark.parametrize("name", [BREAKOUT, MARKUP, POLYNESIAN, ARABIC, ENDLESS, "船 by the bay $voyage ${script}"])
def test_no_name_breaks_out_of_its_place(name: str) -> None:
    outcome = sailed(ROUTES[1])
    page_of(ROUTES[1])
    outcome = again(outcome, renamed(outcome, name, name, name).facts)
    read, plain = Read(page_html(outcome)), Read(page_of(ROUTES[1]))
    assert [tag for tag, _ in plain.elements if tag == "script"] == [tag for tag, _ in read.elements if tag == "script"]
    assert [name] == read.texts["title"]
    assert name in read.texts["bdi"]
    assert plain.texts["script"][1] == read.texts["script"][1]
    assert {tag for tag, _ in plain.elements} == {tag for tag, _ in read.elements}


def test_a_watch_keeper_of_any_name_is_only_text() -> None:
    outcome = sailed(ROUTES[1])
    people = tuple(
        person.model_copy(update={"role": f"{BREAKOUT}{n}"}) for n, person in enumerate(outcome.facts.crew.people)
    )
    keepers = tuple(person.role for person in people)
    facts = replace(
        outcome.facts,
        crew=outcome.facts.crew.model_copy(update={"people": people}),
        watch=outcome.facts.watch.model_copy(update={"keepers": keepers, "people": (), "cooking": None, "own": ()}),
    )
    made = page_html(replace(outcome, facts=facts))
    assert 2 == len(Read(made).named("script"))
    assert {row["on_watch"] for row in data_of(made)["days"][5]["watches"]} == set(keepers)


@pytest.mark.parametrize("route", ROUTES)
def test_the_words_are_a_sailors_and_the_cautions_stand(route: str) -> None:
    words = Read(page_of(route)).words
    assert [] == re.findall(r"(?i:ensemble|percentile|\bmembers?\b|\bprior\b|simulat)|null|nan\b|None", words)
    for caution in ("Not for navigation.", "not a forecast", "COLREG Rule 5", "the rescue services", "No cyclone"):
        assert caution in words
    assert "Made Wed 25 Nov 2026" in words


def test_the_same_outcome_made_on_the_same_day_gives_the_same_bytes() -> None:
    outcome = sailed(ROUTES[1])
    assert page_of(ROUTES[1]) == page_html(replace(outcome))
    later = again(outcome, replace(outcome.facts, today=date(2026, 11, 26)))
    assert page_of(ROUTES[1]) != page_html(later)


def test_the_command_writes_it_and_says_where(tmp_path: Path) -> None:
    out = tmp_path / "horta.html"
    route = str(shipped("routes") / ROUTES[1])
    asked = ["page", route, "--crossings", "20", "--made", "2026-11-25", "--out", str(out)]
    result = CliRunner().invoke(main, [*asked, "--json"])
    assert 0 == result.exit_code, result.output
    assert {"page": str(out), "page_bytes": out.stat().st_size, "crossings": 20} == json.loads(result.output)
    first = out.read_bytes()
    assert f"Written: {out}" in CliRunner().invoke(main, asked).output
    assert first == out.read_bytes()
