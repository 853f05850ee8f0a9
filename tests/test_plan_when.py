"""When to leave, as a person meets it: the terminal's strip, the sheet, the printed page, the command."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

import numpy as np
import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from passage.cli import main
from passage.consequences.times import Gales, Times
from passage.crossings.storms import NO_STORMS, Storms
from passage.departures import CYCLONE_CAUTION, Moon, Start, Wait
from passage.inputs.voyage import DepartureRule, Forecasting
from passage.plan.document import PAPERS_PT, write_year
from passage.plan.sheets import when
from passage.plan.weekstrip import CELLS, LEAD, week_line
from passage.plan.yearstrip import year_strip
from passage.sailings.sky import MoonPhase
from passage.shipped import shipped
from passage.tell.figures import DASH
from passage.tell.terminal import blocks_text
from tests.plan_cases import ROUTES, sailed
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

    from passage.road import Outcome

FIRST = datetime(2027, 1, 3, 8, tzinfo=UTC)


def start(week: int, slow_days: float = 24.0, basins: tuple[str, ...] = (), wait: Wait | None = None) -> Start:
    """An invented departure; the middle one takes 19 days."""
    depart = FIRST + timedelta(weeks=week)
    times = Times(
        depart=depart,
        slow_share=0.95,
        fast_h=16 * 24.0,
        typical_h=19 * 24.0,
        slow_end_h=slow_days * 24.0,
        slow_end_between_h=(slow_days * 24.0, slow_days * 24.0),
        crossings=200,
        never_crossings=0,
        calm_h=12.0 + week,
        strong_h=np.nan if basins else 6.0,
        motoring_h=0.0,
        hove_to_h=0.0,
        running_off_h=0.0,
        standing_off_h=2.0,
        gale_seen=Gales.UNSAID if basins else Gales.FEW,
    )
    moon = Moon(40.0, MoonPhase.WAXING_CRESCENT)
    storms = Storms(5.0, 12.0, 1.5, 4.0, 1991, 2020) if basins else NO_STORMS
    share = 100.0 if basins else 0.0
    return Start(depart, times, 2.0, basins, 60.0, moon, wait, False, season_in_100=share, storms=storms)


def timed(start: Start, **hours: float) -> Start:
    return replace(start, times=replace(start.times, **hours))


YEAR = tuple(start(week, basins=("South Pacific",) if week < 17 or week > 43 else ()) for week in range(52))


@pytest.fixture(scope="module")
def demo() -> Outcome:
    return sailed(ROUTES[2])


def told(outcome: Outcome, *starts: Start) -> when.Departures:
    return when.departures(outcome.facts, starts, 200)


def on_screen(table: when.Departures) -> str:
    return blocks_text(when.SHEET.blocks(table))


def words_of(text: str) -> str:
    return " ".join(text.split())


def test_the_terminal_has_a_line_for_every_departure_in_eighty_columns(demo: Outcome) -> None:
    text = on_screen(told(demo, *YEAR))
    assert max(map(len, text.splitlines())) <= 80
    blades = [line for line in text.splitlines() if "|" in line and line[:3].strip().isdigit()]
    assert 52 == len(blades)
    assert f"{FIRST.day:>3}" == blades[0][:3]


def test_a_blade_stands_where_its_days_are(demo: Outcome) -> None:
    """From 16 to 25 on 44 cells: quick at 0, typical at 3/9, slow end at 8/9 of 43 cells (D)."""
    table = told(demo, start(0), start(1, basins=("South Pacific",)))
    clear, season = (week_line(row, table.starts)[LEAD : LEAD + CELLS] for row in table.starts)
    assert "#" * 14 + "|" + "-" * 24 == clear.rstrip()
    assert "." * 14 + "|" + "." * 24 == season.rstrip()


def said_of(row: Start) -> tuple[object, str, bool]:
    return row.to_json()["times"]["strong_h"], row.times.gale_seen.value, row.as_good


def test_a_season_has_no_strong_wind_no_gale_and_never_the_mark_of_a_good_one(demo: Outcome) -> None:
    table = told(demo, start(0, 20.0, ("South Pacific",)), start(1, 24.0), start(2, 27.0))
    season, good, slow = table.starts
    assert (None, "not said", False) == said_of(season)
    assert (6, "few", True) == said_of(good)
    assert not slow.as_good
    lines = on_screen(table).splitlines()
    alone = words_of(on_screen(told(demo, start(0, 20.0, ("South Pacific",)))))
    assert CYCLONE_CAUTION in alone
    assert "force 8" not in alone
    assert "none is the better one" in alone
    assert ["*"] == [line[4] for line in lines if line[:3].strip().isdigit() and line[4] != " "]


def test_a_week_partly_in_a_season_keeps_its_gales_and_may_be_a_good_one(demo: Outcome) -> None:
    """An invented one: some days in the box, few storms by the season's usual number."""
    few = Storms(0.9, 4.0, np.inf, np.inf, 0, 0)
    partly = replace(timed(start(0), strong_h=7.0), cyclone_basins=("South Pacific",), season_in_100=30.0, storms=few)
    table = told(demo, partly, start(1, 24.0))
    assert (7, "few", True) == said_of(table.starts[0])
    text = words_of(on_screen(table))
    assert "South Pacific, 30 of 100 days in it" in text
    assert "outside it 28 kn and more 7 h" in text
    assert "Roughly 0.9 of 100 crossings" in text
    assert "few or many and no more" in text


def test_storms_on_record_say_their_years_and_what_is_missing(demo: Outcome) -> None:
    text = words_of(on_screen(told(demo, start(0, basins=("North Atlantic",)))))
    assert "Of 100 crossings through the storms of 1991 to 2020, 5.0 come within 100 miles" in text
    assert "half of those in the last 4.0 days" in text
    assert "a sixth of those storms is not on record, so add a fifth" in text


def test_no_slow_end_is_told_as_not_reached(demo: Outcome) -> None:
    table = told(demo, timed(start(0), slow_end_h=np.inf), timed(start(1), fast_h=np.inf, typical_h=np.inf))
    for row in table.starts:
        assert np.inf in (row.times.slow_end_days, row.times.typical_days)
        line = week_line(row, table.starts)
        assert DASH in line
        assert line[LEAD + CELLS - 1] == ">"
    endless = told(demo, replace(timed(start(0), fast_h=np.inf, typical_h=np.inf, slow_end_h=np.inf), moon=None))
    assert "none is the better one" in words_of(on_screen(endless))
    assert ">" in on_screen(endless)


def test_a_departure_that_was_not_sailed_is_told_with_its_reason(demo: Outcome, tmp_path: Path) -> None:
    never, unknown = float("inf"), float("nan")
    hours = {"calm_h": unknown, "strong_h": unknown, "standing_off_h": unknown}
    shares = {"hard_on_wind_in_100": unknown, "daylight_in_100": unknown}
    ends = {"fast_h": never, "typical_h": never, "slow_end_h": never}
    times = replace(start(1).times, **ends, **hours, gale_seen=Gales.UNSAID)
    refused = replace(start(1), times=times, **shares, moon=None, refused="the current wins at sea")
    table = told(demo, start(0), refused, start(2))
    assert table.to_json() == json.loads(json.dumps(table.to_json(), allow_nan=False))
    text = words_of(on_screen(table))
    assert "Not sailed leaving: Sun 10 Jan: the current wins at sea." in text
    assert "nan" not in text
    write_year(demo.facts, demo.ground, [start(0), refused, start(2)], 200, tmp_path / "strip.pdf")
    page = words_of(PdfReader(BytesIO((tmp_path / "strip.pdf").read_bytes())).pages[0].extract_text())
    assert "not sailed" in page
    assert "the current wins at sea" in page


def test_days_waited_are_told_as_harbour_time(demo: Outcome) -> None:
    rule = DepartureRule(wind_under_kn=20.0, not_ahead=True)
    facts = replace(demo.facts, voyage=demo.facts.voyage.model_copy(update={"departure_rule": rule}))
    text = words_of(on_screen(when.departures(facts, [start(0, wait=Wait(2.0, 6.0, 1.0))], 200)))
    assert "wind of the first 48 hours is under 20 kn and not ahead" in text
    assert "in harbour typically 2 days, 1 in 10 over 6" in text
    assert "harbour time and not in the days at sea" in text
    assert "The forecast aboard" not in text


def test_under_a_departure_rule_it_is_said_that_the_forecast_is_left_out(demo: Outcome, tmp_path: Path) -> None:
    rule = DepartureRule(wind_under_kn=20.0)
    aboard = Forecasting(file=tmp_path / "f.grib")
    voyage = demo.facts.voyage.model_copy(update={"departure_rule": rule, "forecast": aboard})
    facts = replace(demo.facts, voyage=voyage)
    text = words_of(on_screen(when.departures(facts, [start(0, wait=Wait(2.0, 6.0, 1.0))], 200)))
    assert "the departure rule is asked of winds made from monthly averages" in text
    assert "ask your rule of the newest official forecast" in text


def test_the_plan_sails_nine_departures_a_fortnight_apart_about_its_own(demo: Outcome) -> None:
    starts = demo.once(when.around)
    assert 9 == len(starts)
    assert demo.crossings.depart == starts[4].depart_utc
    assert timedelta(weeks=8) == starts[8].depart_utc - starts[4].depart_utc
    assert demo.once(when.around) is starts
    whole = demo.times  # of as many crossings, so the planned day's figures are page one's
    assert (whole.typical_h, whole.slow_end_h) == (starts[4].times.typical_h, starts[4].times.slow_end_h)


@pytest.mark.parametrize("paper", PAPERS_PT)
@pytest.mark.parametrize("weeks", [1, 53])
def test_the_strip_of_any_window_is_printed_on_one_sheet_or_two(
    weeks: int, paper: Any, demo: Outcome, tmp_path: Path
) -> None:
    starts = [start(week, basins=("South Pacific",) if week < 17 else ()) for week in range(weeks)]
    write_year(demo.facts, demo.ground, starts, 200, tmp_path / "strip.pdf", paper)
    pages = PdfReader(BytesIO((tmp_path / "strip.pdf").read_bytes())).pages
    assert (1 if weeks == 1 else 2) == len(pages)
    words = words_of(" ".join(page.extract_text() for page in pages))
    assert "When to leave" in words
    assert CYCLONE_CAUTION in words
    assert "2027" in words


def run(*arguments: object) -> Any:
    return CliRunner().invoke(main, ["when", *map(str, arguments)])


def test_the_command_scans_a_window_and_says_where_the_strip_is(tmp_path: Path) -> None:
    options = (shipped("routes") / "lagos-azores", "--from", "2027-05-01", "--weeks", 2, "--crossings", 20)
    path = tmp_path / "strip.pdf"
    result = run(*options, "--out", path)
    assert 0 == result.exit_code, result.stderr
    assert path.read_bytes().startswith(b"%PDF")
    assert str(path) in result.stdout
    table = json.loads(run(*options, "--json").stdout)["when"]
    assert ["2027-05-01T12:00+00:00", "2027-05-08T12:00+00:00"] == [row["depart_utc"] for row in table["starts"]]
    assert 20 == table["crossings"]
    again = json.loads(run(*options, "--json").stdout)["when"]
    assert table == again
    assert table != json.loads(run(*options, "--seed", 2, "--json").stdout)["when"]


@pytest.mark.parametrize(
    "options", [["--from", "soon"], ["--from", "2035-01-01"], ["--weeks", 0], ["--weeks", 54], ["--crossings", 1]]
)
def test_what_cannot_be_scanned_is_refused(options: list[object]) -> None:
    result = run(shipped("routes") / "lagos-azores", *options)
    assert 2 == result.exit_code
    assert "Traceback" not in result.output


def test_a_broken_folder_is_told_as_everywhere(tmp_path: Path) -> None:
    folder = whole(shipped("routes") / "lagos-azores", tmp_path / "voyage")
    text = (folder / "voyage.toml").read_text(encoding="utf-8")
    (folder / "voyage.toml").write_text(text + '\n[departure_rule]\nwind_under = "20 m"\n', encoding="utf-8")
    result = run(folder, "--weeks", 1)
    assert 2 == result.exit_code
    assert "voyage.toml" in result.stderr
    assert "wind_under" in result.stderr


def test_the_figures_of_the_strip_s_scale_do_not_run_into_one_another() -> None:
    for height in (190.0, 212.0, 290.0):
        drawn = ElementTree.fromstring(year_strip([start(week) for week in range(9)], southern=True, height=height))
        texts = [part for part in drawn.iter() if part.tag.endswith("text") and (part.text or "").isdigit()]
        scale = sorted(float(part.get("y", "0")) for part in texts if part.get("text-anchor") == "end")
        assert len(scale) >= 2
        assert min(after - before for before, after in pairwise(scale)) >= 12.0


def test_a_limit_that_no_week_keeps_to_is_named_beside_the_dots() -> None:
    """Invented: hard on the wind 48 and 51 of 100 hours, over the 20 that count as kind."""
    facts = sailed(ROUTES[0]).facts
    hard = [replace(start(week), hard_on_wind_in_100=share) for week, share in ((20, 48.0), (21, 51.0))]
    words = when.kind_words(facts, hard)
    assert "No week here keeps to" in words
    assert "hard on the wind (the least has 48)" in words
    assert "No week here keeps to" not in when.kind_words(facts, [replace(hard[0], hard_on_wind_in_100=12.0)])
