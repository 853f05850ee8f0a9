"""What the numbers stand on, as a person reads it: bracket, wind sea, forecast and current, on the sheet of times."""

from __future__ import annotations

import math
import shutil
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import netCDF4
import numpy as np
import pytest

from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.current import SHELF, along_the_course
from passage.inputs.folder import read_folder
from passage.inputs.forecast import TrackForecast
from passage.inputs.home import Home
from passage.plan.document import plan_pdf
from passage.plan.editions import only
from passage.plan.foot import fingerprint
from passage.plan.sheets import before, front, sources, times
from passage.plan.sheets.basis import ISSUER, climate_doubt, current_words, forecast_counts, forecast_words
from passage.plan.spans import Span, draw_spans
from passage.road import walk
from passage.shipped import shipped
from passage.tell.blocks import Grid
from passage.tell.terminal import blocks_text
from tests.plan_cases import ROUTES, sailed, words_on
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

    from passage.road import Outcome
    from passage.tell.records import Record

DEPART = datetime(2027, 4, 24, 20, tzinfo=UTC)  # of the third demonstration


def with_forecast(outcome: Outcome, issued: datetime, days: int = 10, members: int = 1) -> Outcome:
    """The same crossings with an invented forecast aboard; it is told of, not sailed in."""
    start = np.datetime64(issued.replace(tzinfo=None), "s")
    valid = start + np.arange(0, 24 * days + 1, 6) * np.timedelta64(3600, "s")
    wind = np.zeros((members, len(valid), outcome.ground.track.nodes), dtype=np.float32)
    covered = np.ones(outcome.ground.track.nodes, dtype=bool)
    forecast = TrackForecast(issued, valid, wind, wind, covered, 120.0, 240.0, "wind.grib", "somewhere")
    return replace(outcome, ground=replace(outcome.ground, forecast=forecast))


@pytest.fixture(scope="module")
def demo() -> Outcome:
    return sailed(ROUTES[2])


def on_screen(told: Record) -> str:
    return words_of(blocks_text(times.SHEET.blocks(told)))


def words_of(text: str) -> str:
    return " ".join(text.split())


def test_without_a_forecast_the_winds_are_averages(demo: Outcome) -> None:
    assert not forecast_counts(demo)
    assert "No forecast is aboard" in on_screen(times.table(demo))


def test_a_forecast_that_serves_tells_its_age_its_weight_and_who_overrules(demo: Outcome) -> None:
    outcome = with_forecast(demo, DEPART - timedelta(hours=20), members=4)
    words = forecast_words(outcome)
    assert forecast_counts(outcome)
    for told in ("wind.grib", "Sat 24 Apr 2027, 0000 UTC", "4 runs", "20 hours old", "half 120 h", "none after 240 h"):
        assert told in words
    assert ISSUER in words
    assert any("A forecast counts" in line for line in front.table(outcome).left_out)
    assert "wind.grib, counts" in str(sources.table(outcome).to_json())


@pytest.mark.parametrize(
    ("issued", "days", "why"),
    [
        (DEPART + timedelta(hours=4), 10, "it begins on Sun 25 Apr 2027, 0000 UTC"),
        (DEPART - timedelta(days=12), 10, "it has ended by then"),
        (DEPART - timedelta(days=12), 15, "288 hours old by then and has lost its weight"),
    ],
)
def test_a_forecast_that_does_not_serve_is_said_to_be_left_out(
    issued: datetime, days: int, why: str, demo: Outcome
) -> None:
    outcome = with_forecast(demo, issued, days)
    assert not forecast_counts(outcome)
    assert "does NOT serve a departure on Sat 24 Apr 2027, 2000 UTC" in forecast_words(outcome)
    assert why in forecast_words(outcome)
    assert any("does NOT serve" in line for line in front.table(outcome).left_out)
    assert "does not serve: left out" in str(sources.table(outcome).to_json())


def test_the_current_is_named_and_no_longer_left_out(demo: Outcome) -> None:
    given = along_the_course(0.3, demo.ground.track.course_deg)
    outcome = replace(demo, ground=replace(demo.ground, current=given))
    still = replace(demo, ground=replace(demo.ground, current=None))
    assert "wants none" in current_words(still)
    assert any(words.startswith("Currents and tides") for words in sources.table(still).left_out)
    assert given.source in current_words(outcome)
    assert current_words(outcome) in front.table(outcome).left_out
    assert any(words.startswith("Tides") for words in sources.table(outcome).left_out)
    assert 8 == len(times.table(outcome).bracket.lines)  # nothing is tried in the place of what is given


def test_the_shipped_current_tells_its_error_and_where_it_is_blind(demo: Outcome) -> None:
    """Invented blindness: the first node in the Kuroshio, the next two in the Oyashio, then a shelf."""
    assert demo.ground.current is not None
    assert "the shipped monthly averages" in current_words(demo)
    assert "weaker than the real one" in current_words(demo)
    unseen = np.full(demo.ground.track.nodes, "", dtype="<U40")
    for hidden, told in (("Kuroshio", "(the Kuroshio)"), ("Oyashio", "(the Kuroshio and the Oyashio)")):
        unseen[1 if hidden == "Oyashio" else 0] = hidden
        blind = replace(demo.ground.current, unseen=unseen.copy())
        words = current_words(replace(demo, ground=replace(demo.ground, current=blind)))
        assert "there is NO figure" in words
        assert told in words
    unseen[:] = SHELF
    shelf = replace(demo.ground.current, unseen=unseen)
    assert "shelf or bank" in current_words(replace(demo, ground=replace(demo.ground, current=shelf)))
    seen = replace(demo.ground.current, unseen=np.full(demo.ground.track.nodes, ""))
    assert "NO figure" not in current_words(replace(demo, ground=replace(demo.ground, current=seen)))


@pytest.mark.parametrize(
    ("thin", "expected"),
    [
        ({1: 0.0}, "no leg rests on few ship reports"),
        ({1: 0.3}, "in 100 of the track, but no leg for the most part"),
        ({0: 1.0}, "leg 1 rests on few ship reports"),
        ({1: 0.6, 2: 1.0}, "legs 2 and 3 rest on few ship reports"),
        ({0: 1.0, 1: 1.0, 2: 1.0}, "legs 1, 2 and 3 rest on few ship reports; 100 in 100 of the track in all"),
    ],
)
def test_legs_that_rest_on_few_reports_are_named(thin: dict[int, float], expected: str) -> None:
    """Invented flags on the first demonstration's three legs, in the month of departure only."""
    outcome = sailed(ROUTES[0])
    assert 3 == len(outcome.ground.legs)
    leg = outcome.ground.track.leg
    few = np.zeros_like(outcome.ground.climate.few_reports)
    for number, share in thin.items():
        nodes = np.flatnonzero(leg == number)
        few[outcome.crossings.depart.month - 1, nodes[: round(share * len(nodes))]] = True
    ground = replace(outcome.ground, climate=replace(outcome.ground.climate, few_reports=few))
    told = sources.table(replace(outcome, ground=ground))
    (value,) = (row.value for group in told.groups for row in group.rows if row.what == "Few ship reports")
    assert expected in value


def test_the_bracket_is_printed_plainly(demo: Outcome) -> None:
    table = times.table(demo)
    bracket = {line.change.words: line.slow_end_days for line in table.bracket.lines}
    longer, shorter = (bracket[f"if weather lasts {much} as long as we think"] for much in ("twice", "half"))
    uneven, even = (
        bracket[f"if her speed differs {much} as much from passage to passage"] for much in ("twice", "half")
    )
    assert shorter <= table.passage.slow_end_days <= longer
    assert even <= table.passage.slow_end_days <= uneven  # by steps of a day, for landfall waits for daylight
    assert even < uneven
    assert {"in water that does not move", "if the current is 1.7 times as strong"} < set(bracket)
    said = on_screen(table)
    for line in table.bracket.lines:
        assert all(word in said for word in (*line.change.words.split(), *line.to.split()))
        assert f"{line.typical_days:u} {line.slow_end_days:u}" in said


def test_a_slow_end_that_is_not_reached_is_said_to_be_so(demo: Outcome) -> None:
    table = times.table(demo)
    line = replace(table.bracket.lines[0], slow_end_h=math.inf)
    told = replace(table, bracket=replace(table.bracket, lines=(line,)))
    assert f"{line.typical_days:u} not reached" in on_screen(told)
    assert told.to_json()["bracket"]["lines"][0]["slow_end_days"] is None


def test_hours_of_the_sea_are_the_hours_under_way_but_for_the_gales(demo: Outcome) -> None:
    states = times.table(demo).wind_sea.counted
    counted = sum(state.state_h for state in demo.wind_sea.states)
    under_way_h = demo.crossings.under_way.sum() / demo.crossings.members
    assert under_way_h == pytest.approx(counted)
    assert ["rough", "very rough"] == [state.term for state in states[-2:]]
    grids = [block for block in times.SHEET.blocks(times.table(demo)) if isinstance(block, Grid)]
    assert "moderate\n1.25 to 2.5 m" in [column.head for grid in grids for column in grid.columns]
    lower = sum(state.to_json()["state_h"] for state in states)
    assert 0.95 * under_way_h < lower <= under_way_h + len(states) / 2
    assert "wind sea only, no swell" in on_screen(times.table(demo))


def test_a_forecast_aboard_is_on_the_paper(demo: Outcome) -> None:
    outcome = with_forecast(demo, DEPART - timedelta(days=12))
    told = " ".join(words_of(page) for page in words_on(plan_pdf(outcome, "us-letter", only("times"))))
    assert told.index("What the slow end hangs on") < told.index("does NOT serve") < told.index("Day by day")


def test_files_of_current_and_forecast_change_the_fingerprint(demo: Outcome, tmp_path: Path) -> None:
    folder = whole(demo.facts.folder, tmp_path / "voyage")
    grib, currents = tmp_path / "wind.grib", tmp_path / "current.nc"
    for path in (grib, currents):
        path.write_bytes(b"one")
    voyage = demo.facts.voyage
    departure = voyage.departure.model_copy(update={"current": currents})
    forecast = voyage.forecast.model_copy(update={"file": grib})
    named = voyage.model_copy(update={"departure": departure, "forecast": forecast})
    facts = replace(demo.facts, home=Home(folder), voyage=named)
    prints = {fingerprint(demo.facts), fingerprint(facts)}
    for path in (grib, currents):
        path.write_bytes(b"two")
        prints.add(fingerprint(facts))
    assert 4 == len(prints)


def test_spans_draw_a_dot_for_every_slow_end_that_is_reached() -> None:
    never = float("inf")
    drawn = draw_spans([Span(10.0, 12.0), Span(11.0, never), Span(never, never)])
    assert [1, 0, 0] == [span.count("<circle") for span in drawn]
    assert ["<svg"] == [span[:4] for span in draw_spans([Span(never, never)])]


@pytest.mark.parametrize(
    ("scale", "doubted"),
    [(1.0, ""), (1.5, ""), (0.65, ""), (3600 / 1852, "1.9 times"), (2.2369, "2.2 times"), (1852 / 3600, "0.5 times")],
    ids=["ours", "windier", "kinder", "knots called m/s", "statute miles an hour called m/s", "m/s called knots"],
)
def test_a_climate_of_ones_own_far_from_the_shipped_is_doubted_and_not_refused(
    scale: float, doubted: str, tmp_path: Path
) -> None:
    """The shipped file with its winds scaled, as wrong units would do."""
    folder = tmp_path / "voyage"
    whole(shipped("routes") / "cape-town-st-helena", folder)
    shutil.copy(shipped("climatology_demo") / "climatology.nc", folder / "own.nc")
    with netCDF4.Dataset(folder / "own.nc", "r+") as file:
        for name in ("eastward_wind", "northward_wind", "wind_speed"):
            (wind,) = file.get_variables_by_attributes(standard_name=name)
            wind.set_auto_maskandscale(False)
            wind.scale_factor = wind.scale_factor * scale
    text = (folder / "voyage.toml").read_text(encoding="utf-8")
    (folder / "voyage.toml").write_text(text.replace("[voyage]\n", '[voyage]\nclimate = "own.nc"\n'), encoding="utf-8")
    facts = read_folder(folder)
    ground = lay_ground(facts)
    words = climate_doubt(facts, ground)
    assert bool(words) == bool(doubted)
    assert doubted in words
    outcome = walk(facts, ground, Luck(1, 20), facts.voyage.departure.depart)
    for told in (words_of(blocks_text(before.check_card(before.check_table(facts, ground)))), forecast_words(outcome)):
        assert ("Your own.nc has" in told) == bool(doubted)
        assert words in told


def test_what_is_left_out_on_purpose_is_named_with_the_reason() -> None:
    words = " ".join(sources.table(sailed(ROUTES[0])).left_out)
    for left_out in ("squalls", "lightning", "seasick", "Medical advice", "Fish", "Morale"):
        assert left_out in words


def test_the_sources_pages_name_what_battery_watches_and_anchor_stand_on() -> None:
    """A default is told from a figure of the file's own; without a file there is nothing to tell."""
    outcome = sailed("cape-town-st-helena")
    rows = {group.title: group.rows for group in sources.table(outcome).groups}
    battery = {row.what: (row.value, row.source) for row in rows["Battery and sun"]}
    assert ("50 %", "your file") == battery["Of the battery is used"]
    assert "handbooks" in battery["Comes out of what goes in"][1]
    assert ("0 h", "default: common practice") == battery["Every morning besides"]
    watch = {row.what: (row.value, row.source) for row in rows["Watches and look-out"]}
    assert ("2.5 m", "default: common practice") == watch["Eye above the water"]
    assert "COLREG Rule 22" == watch["Ranges of lights"][1]
    assert "ABYC" in str(rows["At anchor"])
    bare = replace(outcome, facts=replace(outcome.facts, electrics=None, anchorage=None))
    titles = [group.title for group in sources.table(bare).groups]
    assert [] == [title for title in titles if title in ("Battery and sun", "At anchor")]
