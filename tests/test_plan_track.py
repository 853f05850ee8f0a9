"""A found track beside the drawn one: the table, the words, the waypoints to copy, and the chart of both."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from passage.cli import main
from passage.crossings.wind import Luck
from passage.inputs.folder import Facts, read_folder
from passage.inputs.search import Box, Limits, Prices, TrackLimits
from passage.inputs.toml import read_fact
from passage.inputs.voyage import Voyage, Waypoint, waypoints_toml
from passage.plan.document import PAPERS_PT, write_track
from passage.plan.sheets import legs
from passage.plan.sheets import track as sheet
from passage.positions import Position
from passage.tell.terminal import blocks_text
from passage.tracks import Comparison, better
from tests.plan_cases import MADE
from tests.test_plan_keys import unexplained
from tests.voyage_cases import whole

ROUTES = Path(__file__).parents[1] / "routes"
LIFTED = TrackLimits(prices=Prices(rough=0.25, cyclone_season=0.0))
NAMES = ("cape-town-st-helena", "lagos-azores", "opua-tonga")


@cache
def facts(name: str) -> Facts:
    return read_folder(ROUTES / name, MADE)


@cache
def compared(name: str) -> Comparison:
    return better(facts(name), LIFTED, Luck(1, 60), facts(name).voyage.departure.depart)


@cache
def table(name: str) -> sheet.Compared:
    return sheet.table(compared(name), LIFTED)


def on_screen(told: sheet.Compared) -> str:
    return blocks_text(sheet.track_card(told))


@pytest.mark.parametrize("name", NAMES)
def test_the_short_answer_fits_a_terminal(name: str) -> None:
    lines = blocks_text(sheet.track_short(table(name)), tight=True).splitlines()
    assert len(lines) < 24
    assert max(map(len, lines)) <= 80
    assert table(name).verdict.split(".")[0] in " ".join(" ".join(lines).split())


# ---------------------------------------------------------------- the table


@pytest.mark.parametrize("name", NAMES)
def test_what_is_told_is_json_and_every_key_is_explained(name: str) -> None:
    told = table(name).to_json()
    assert told == json.loads(json.dumps(told, allow_nan=False))
    assert set() == unexplained({"track": told}, "track")


def test_both_sides_tell_what_was_sailed() -> None:
    comparison, told = compared("lagos-azores"), table("lagos-azores")
    for name, outcome in (("drawn", comparison.drawn_outcome), ("found", comparison.found_outcome)):
        side = dict(told.sides)[name].to_json()
        assert outcome is not None
        assert round(outcome.times.slow_end_h / 24.0, 1) == side["slow_end_days"]
        assert round(outcome.ground.track.length_nm) == side["distance_nm"]


def test_a_drawn_track_that_is_kept_stands_alone_and_there_is_nothing_to_copy() -> None:
    """The track found before is drawn, and nothing betters it."""
    drawn = replace(facts("cape-town-st-helena"), voyage=compared("cape-town-st-helena").found_voyage)
    told = sheet.table(better(drawn, LIFTED, Luck(1, 60), drawn.voyage.departure.depart), LIFTED)
    assert told.found is None
    assert told.voyage_toml == ""
    text = on_screen(told)
    assert "No better track" in text
    assert "[[waypoint]]" not in text


@pytest.mark.parametrize("name", NAMES)
def test_verdict_prices_limits_and_cautions_are_printed_in_eighty_columns(name: str) -> None:
    text = on_screen(table(name))
    assert all(len(line) <= 80 for line in text.splitlines())
    words = " ".join(text.split())
    for part in (
        compared(name).words,
        "An hour of Beaufort 7 and more counts as 0.25 hours more",
        "in a cyclone season 0",
        "Asked: 5 miles from land and listed dangers by day, 20 by night",
        "official chart",
    ):
        assert part in words


def test_boxes_and_bounds_are_named_with_their_days() -> None:
    boxes = (
        Box(name="gulf", north_deg=30.0, first_day=(6, 1), last_day=(11, 30)),
        Box(name="reefs", south_deg=10.0, north_deg=12.0),
    )
    limits = TrackLimits(limits=Limits(north_limit_deg=45.0, south_limit_deg=-40.5), boxes=boxes)
    told = sheet.table(compared("lagos-azores"), limits)
    assert list(told.bounds) == [
        "no farther north than 45°00.0'N",
        "no farther south than 40°30.0'S",
        "not inside 'gulf' from 1 June until 30 November",
        "not inside 'reefs'",
    ]


def test_what_the_search_knew_and_what_it_left_out_is_said() -> None:
    voyage = facts("opua-tonga").voyage
    drifting = tuple(
        place.model_copy(update={"set_deg": 90.0, "drift_kn": 0.5}) if number == 2 else place
        for number, place in enumerate(voyage.waypoints)
    )
    with_current = replace(facts("opua-tonga"), voyage=voyage.model_copy(update={"waypoints": drifting}))
    comparison = better(with_current, LIFTED, Luck(1, 20), voyage.departure.depart)
    found = [place for place in comparison.found_voyage.waypoints if place.name.startswith("found")]
    assert found
    assert {(90.0, 0.5)} == {(place.set_deg, place.drift_kn) for place in found}
    told, plain = (" ".join(on_screen(one).split()) for one in (sheet.table(comparison, LIFTED), table("opua-tonga")))
    assert "averages, and the current: set and drift in the voyage file." in told
    assert "averages, and the current: the shipped monthly averages" in plain
    for text in (told, plain):
        assert "left the engine out" in text


def test_a_drawn_track_over_land_is_not_sailed_and_the_found_one_stands_alone() -> None:
    voyage = facts("lagos-azores").voyage
    places = ((36.9, -9.1), (43.2, -8.0), (45.5, -9.5))  # over Portugal and Galicia
    waypoints = tuple(Waypoint(name=f"place {n}", position=Position(*place)) for n, place in enumerate(places))
    through = waypoints[0], waypoints[2].model_copy(update={"position": Position(43.6, -5.5)})
    drawn = replace(facts("lagos-azores"), voyage=voyage.model_copy(update={"waypoints": through}))
    comparison = better(drawn, LIFTED, Luck(1, 20), voyage.departure.depart)
    told = sheet.table(comparison, LIFTED)
    assert told.drawn is None
    assert "runs over land" in on_screen(told)


# ---------------------------------------------------------------- waypoints to copy


def pasted(voyage_toml: str, found: str) -> str:
    """A voyage file with its waypoints taken out and the found ones put in their place."""
    without = re.sub(r"\[\[waypoint\]\][^\[]*", "", voyage_toml)
    return f"{without}\n{found}\n"


@pytest.mark.parametrize("name", ["lagos-azores", "opua-tonga"])
def test_the_waypoints_can_be_pasted_into_the_voyage_file(name: str, tmp_path: Path) -> None:
    whole(ROUTES / name, tmp_path / "voyage")
    path = tmp_path / "voyage" / "voyage.toml"
    path.write_text(pasted(path.read_text(encoding="utf-8"), table(name).voyage_toml), encoding="utf-8")
    found, again = compared(name).found_voyage.waypoints, read_folder(tmp_path / "voyage", MADE).voyage.waypoints
    assert [(place.name, place.sailing) for place in found] == [(place.name, place.sailing) for place in again]
    apart = np.abs(np.array([place.position for place in found]) - [place.position for place in again])
    assert apart.max() < 1e-6


def test_names_limits_and_drifts_survive_the_copy(tmp_path: Path) -> None:
    odd = (
        Waypoint(name='the "Sound", \\ north', position=Position(-33.123456, 18.0)),
        Waypoint(
            name="São Vicente",
            position=Position(-34.0, -179.999999),
            sailing="composite",
            limit_latitude_deg=-40.5,
            set_deg=225.0,
            drift_kn=0.5,
        ),
    )
    voyage = facts("opua-tonga").voyage.model_copy(update={"waypoints": odd})
    head = '[voyage]\nname = "x"\ndepart = "2027-02-10 08:00"\n\n'
    (tmp_path / "voyage.toml").write_text(head + waypoints_toml(voyage), encoding="utf-8")
    again = read_fact(tmp_path / "voyage.toml", Voyage).waypoints
    for expected, found in zip(odd, again, strict=True):
        assert expected.position == pytest.approx(found.position, abs=1e-6)
        same = ("name", "sailing", "limit_latitude_deg", "set_deg", "drift_kn")
        assert [getattr(expected, key) for key in same] == [getattr(found, key) for key in same]


# ---------------------------------------------------------------- the page


@pytest.mark.parametrize("paper", PAPERS_PT)
@pytest.mark.parametrize("name", NAMES)
def test_the_chart_of_both_fills_one_page(name: str, paper: str, tmp_path: Path) -> None:
    path = tmp_path / "track.pdf"
    write_track(compared(name), path, paper)  # type: ignore[arg-type]
    reader = PdfReader(BytesIO(path.read_bytes()))
    assert 1 == len(reader.pages)
    words = " ".join(reader.pages[0].extract_text().split())
    assert "Not for navigation" in words
    assert "official chart" in words
    for point in table(name).waypoints:
        assert point.position.split()[0] in words


# ---------------------------------------------------------------- the command


def test_the_command_tells_and_draws(tmp_path: Path) -> None:
    asked = ["track", str(ROUTES / "opua-tonga"), "--crossings", "20", "--out", str(tmp_path / "both.pdf")]
    result = CliRunner().invoke(main, [*asked, "--full"])
    assert 0 == result.exit_code, result.output
    assert "[[waypoint]]" in result.stdout
    assert (tmp_path / "both.pdf").read_bytes().startswith(b"%PDF")
    told = json.loads(CliRunner().invoke(main, [*asked[:4], "--json"]).stdout)
    assert {"drawn", "found", "rough_price", "voyage_toml"} <= set(told["track"])


@pytest.mark.parametrize(
    ("track_toml", "says"),
    [
        ('[limits]\nnorth_limit = "10N"\n', "north_limit"),
        ("[prices\n", "track.toml"),
        ('[limits]\nclear_by_night = "1 nm"\n', "clear_by_night"),
    ],
)
def test_what_is_wrong_with_the_track_file_is_a_sentence(track_toml: str, says: str, tmp_path: Path) -> None:
    folder = tmp_path / "voyage"
    whole(ROUTES / "lagos-azores", folder)
    (folder / "track.toml").write_text(track_toml, encoding="utf-8")
    result = CliRunner().invoke(main, ["track", str(folder), "--crossings", "20"])
    assert 2 == result.exit_code
    assert says in result.stderr
    assert "Traceback" not in result.stderr


def test_legs_judges_a_track_over_land(tmp_path: Path) -> None:
    folder = tmp_path / "voyage"
    whole(ROUTES / "lagos-azores", folder)
    path = folder / "voyage.toml"
    text = re.sub(r"\[\[waypoint\]\][^\[]*", "", path.read_text(encoding="utf-8"))
    for name, position in (("off Lagos", "37 03N 8 37.5W"), ("in Biscay", "44 30N 5W")):
        text += f'\n[[waypoint]]\nname = "{name}"\nposition = "{position}"\n'
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(main, ["legs", str(folder), "--full"])
    assert 0 == result.exit_code
    assert "! RUNS OVER LAND" in result.stdout
    assert re.search(r"over land: \d+\.\d nm of it from 3[67]°", result.stdout)
    assert "over land: 0.0 nm" not in result.stdout
    (leg,) = json.loads(CliRunner().invoke(main, ["legs", str(folder), "--json"]).stdout)["legs"]["legs"]
    assert leg["land_off_nm"] == 0.0
    assert leg["over_land"][0]["across_nm"] > 100
    assert 2 == CliRunner().invoke(main, ["check", str(folder)]).exit_code


def test_legs_names_a_listed_danger_and_how_clear_it_is() -> None:
    voyage = facts("opua-tonga").voyage
    places = ((-20.0, -168.7), (-20.0, -165.5))  # past Beveridge Reef, which no coastline shows
    waypoints = tuple(Waypoint(name=f"place {n}", position=Position(*place)) for n, place in enumerate(places))
    by_the_reef = replace(facts("opua-tonga"), voyage=voyage.model_copy(update={"waypoints": waypoints}))
    told = legs.table(by_the_reef)
    assert [("Beveridge Reef", 0.0)] == [(row.danger, row.clear_off_nm) for row in told.legs[0].dangers]
    text = blocks_text(legs.SHEET.blocks(told))
    assert "Beveridge Reef" in text
    assert "no land within 60 nm" not in text
    assert "! nearer than 5 miles" in text
