"""A GPX file in place of typed waypoints: our own export comes back, and every fault is told where it stands."""

from __future__ import annotations

import shutil
from itertools import pairwise
from pathlib import Path
from time import process_time
from typing import TYPE_CHECKING

import gpxpy
import gpxpy.gpx
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from passage.crossings.wind import Luck
from passage.errors import InputFaults
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.inputs.gpx import MOST_POINTS, read_gpx
from passage.inputs.route import WITHIN_NM, thinned
from passage.inputs.voyage import MOST_WAYPOINTS
from passage.plan.exports import gpx
from passage.plan.foot import fingerprint
from passage.plan.sheets.before import check_card, check_table
from passage.road import walk
from passage.sailings import geodesic
from passage.tell.terminal import blocks_text
from tests.plan_cases import CROSSINGS, ROUTES, sailed
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.inputs.folder import Facts

BASE = Path(__file__).parent / "broken" / "base"
ONE = """<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="a person" xmlns="http://www.topografix.com/GPX/1/1">
{}
</gpx>
"""
POINTS = (
    '<rtept lat="-33.9" lon="17"><name>off</name></rtept>\n<rtept lat="-30" lon="10"/>\n<rtept lat="-16" lon="-5"/>'
)
RTE = f"<rte>\n<name>Out</name>\n{POINTS}\n</rte>"


def folder_by(tmp_path: Path, gpx_text: str | bytes, table: str = "", *, base: Path = BASE) -> Path:
    """A sound folder whose waypoints stand in a GPX file."""
    folder = tmp_path / "voyage"
    shutil.copytree(base, folder, dirs_exist_ok=True)
    head, *rest = (base / "voyage.toml").read_text(encoding="utf-8").split("[[waypoint]]")
    after = "[" + rest[-1].split("\n[", 1)[1] if "\n[" in rest[-1] else ""
    text = f'{head}[route]\nfile = "route.gpx"\n{table}\n{after}'
    (folder / "voyage.toml").write_text(text, encoding="utf-8")
    content = gpx_text if isinstance(gpx_text, bytes) else gpx_text.encode()
    (folder / "route.gpx").write_bytes(content)
    return folder


def by_route(tmp_path: Path, gpx_text: str | bytes, table: str = "") -> Facts:
    return read_folder(folder_by(tmp_path, gpx_text, table))


def told(tmp_path: Path, gpx_text: str | bytes, table: str = "") -> list[str]:
    with pytest.raises(InputFaults) as refused:
        by_route(tmp_path, gpx_text, table)
    return [str(fault) for fault in refused.value.faults]


def drawn_by_gpxpy(positions: Sequence[tuple[float, float]], version: str = "1.1", *, recorded: bool = False) -> str:
    """A file as another library writes it."""
    drawn = gpxpy.gpx.GPX()
    if recorded:
        points = [gpxpy.gpx.GPXTrackPoint(*position) for position in positions]
        middle = len(points) // 2
        segments = [gpxpy.gpx.GPXTrackSegment(points[:middle]), gpxpy.gpx.GPXTrackSegment(points[middle:])]
        track = gpxpy.gpx.GPXTrack()
        track.segments = segments
        drawn.tracks.append(track)
    else:
        route = gpxpy.gpx.GPXRoute(name="by another hand")
        route.points = [gpxpy.gpx.GPXRoutePoint(*position, name=f"p{at}") for at, position in enumerate(positions)]
        drawn.routes.append(route)
    text: str = drawn.to_xml(version=version)
    return text


@pytest.mark.parametrize("route", ROUTES)
def test_our_own_export_is_the_same_track_and_the_same_passage(route: str, tmp_path: Path) -> None:
    """D: positions are written to 1e-5 degree, so ends agree to a metre. A rhumb line comes back as hundred-mile pieces
    of great circle, which stray at most d^2 tan(lat) / 8R = 0.35 nm from it at 44 degrees (R 3440 nm).
    """
    drawn = sailed(route)
    facts = read_folder(folder_by(tmp_path, gpx.export(drawn), base=whole(Path("routes") / route, tmp_path / "drawn")))
    ground = lay_ground(facts)
    assert drawn.ground.track.length_nm == pytest.approx(ground.track.length_nm, rel=1e-4)
    names = [waypoint.name for waypoint in facts.voyage.waypoints]
    assert [w.name for w in drawn.facts.voyage.waypoints] == [name for name in names if not name.endswith(" nm")]
    for ours, theirs in zip((0, -1), (0, -1), strict=True):
        position = facts.voyage.waypoints[theirs].position
        assert tuple(drawn.facts.voyage.waypoints[ours].position) == pytest.approx(position, abs=1e-5)
    read_at = np.interp(drawn.ground.track.distance_nm, ground.track.distance_nm, ground.track.lat_deg)
    assert np.abs(read_at - drawn.ground.track.lat_deg).max() < 0.4 / 60
    again = walk(facts, ground, Luck(1, CROSSINGS), facts.voyage.departure.depart)
    arrival_h = drawn.crossings.arrival_h
    assert np.nanmedian(arrival_h) == pytest.approx(np.nanmedian(again.crossings.arrival_h), rel=0.005)


@pytest.mark.parametrize("version", ["1.0", "1.1"])
def test_a_route_by_another_library_is_read_in_either_version(version: str, tmp_path: Path) -> None:
    positions = [(-33.9, 17.0), (-30.123456, 10.0), (-16.0, -5.0)]
    facts = by_route(tmp_path, drawn_by_gpxpy(positions, version))
    assert positions == [pytest.approx(tuple(waypoint.position), abs=1e-8) for waypoint in facts.voyage.waypoints]
    assert ["p0", "p1", "p2"] == [waypoint.name for waypoint in facts.voyage.waypoints]
    assert {"great circle"} == {waypoint.sailing for waypoint in facts.voyage.waypoints}


def test_the_legs_are_sailed_as_the_table_says(tmp_path: Path) -> None:
    facts = by_route(tmp_path, ONE.format(RTE), 'sailing = "composite"\nlimit = "35S"')
    assert [None, -35.0, -35.0] == [waypoint.limit_latitude_deg for waypoint in facts.voyage.waypoints]


def test_names_are_taken_invented_and_numbered(tmp_path: Path) -> None:
    again = POINTS.replace("</rtept>", '</rtept>\n<rtept lat="-32" lon="15"><name> \n off\n</name></rtept>')
    facts = by_route(tmp_path, ONE.format(f"<rte>{again}</rte>"))
    assert ["off", "off (2)", "point 3", "point 4"] == [waypoint.name for waypoint in facts.voyage.waypoints]


def test_a_point_given_twice_running_is_left_out_and_said(tmp_path: Path) -> None:
    twice = POINTS.replace('<rtept lat="-30" lon="10"/>', '<rtept lat="-30" lon="10"/>' * 2)
    facts = by_route(tmp_path, ONE.format(f"<rte>{twice}</rte>"))
    assert 3 == len(facts.voyage.waypoints)
    (note,) = facts.voyage_file.notes
    assert "3 of its 4 points" in note
    assert "repeat the point before them" in note
    assert note in " ".join(blocks_text(check_card(check_table(facts, lay_ground(facts)))).split())


def test_extensions_and_strange_namespaces_give_no_points(tmp_path: Path) -> None:
    strange = '<extensions><x:rtept xmlns:x="urn:x" lat="1" lon="1"/><rtept lat="2" lon="2"/></extensions>'
    inside = RTE.replace('lon="10"/>', f'lon="10"><name>mid</name>{strange}</rtept>')
    assert ["off", "mid", "point 3"] == [w.name for w in by_route(tmp_path, ONE.format(inside)).voyage.waypoints]


def test_a_route_is_taken_before_a_track_and_the_one_asked_for_of_several(tmp_path: Path) -> None:
    track = "<trk><name>Old</name><trkseg><trkpt lat='1' lon='1'/><trkpt lat='2' lon='2'/></trkseg></trk>"
    assert -33.9 == by_route(tmp_path, ONE.format(track + RTE)).voyage.waypoints[0].position.latitude_deg
    two = ONE.format(RTE + RTE.replace("Out", "Back").replace("-33.9", "-33.5"))
    assert -33.5 == by_route(tmp_path, two, 'name = "Back"').voyage.waypoints[0].position.latitude_deg
    (sentence,) = told(tmp_path, two)
    assert sentence.startswith("voyage.toml line 8: route.file: several routes")
    assert '"Out", "Back"' in sentence
    (sentence,) = told(tmp_path, two, 'name = "Home"')
    assert sentence.startswith("voyage.toml line 9: route.name: no route of the name")


def wandering(points: int) -> list[tuple[float, float]]:
    """A recorded track, invented: from 33S 10E to 16S 5W, swinging 0.6 nm to either side."""
    share = np.linspace(0, 1, points)
    swing_deg = 0.01 * np.sin(np.arange(points) * 1.7)
    return list(zip((-33 + 17 * share + swing_deg).tolist(), (10 - 15 * share).tolist(), strict=True))


def test_a_recorded_track_is_thinned_and_nothing_left_out_lies_farther_off_than_said(tmp_path: Path) -> None:
    """T: geographiclib measures how far every recorded point lies from the legs, at their densest a point a mile."""
    recorded = wandering(3000)
    facts = by_route(tmp_path, drawn_by_gpxpy(recorded, recorded=True))
    kept = [tuple(waypoint.position) for waypoint in facts.voyage.waypoints]
    assert 2 <= len(kept) <= MOST_WAYPOINTS
    assert recorded[0] == pytest.approx(kept[0])
    assert recorded[-1] == pytest.approx(kept[-1])
    assert "of its 3000 points" in facts.voyage_file.notes[0]
    assert "within 1 nm" in facts.voyage_file.notes[0]
    legs = [
        np.array(geodesic.along(*a, geodesic.inverse(*a, *b).initial_course_deg, np.linspace(0, d, int(d) + 2)))
        for a, b in pairwise(kept)
        if (d := geodesic.inverse(*a, *b).distance_nm)
    ]
    nodes = np.concatenate([leg[:2].T for leg in legs])
    for lat_deg, lon_deg in recorded[::50]:
        near = nodes[np.argmin(np.hypot(nodes[:, 0] - lat_deg, (nodes[:, 1] - lon_deg) * np.cos(np.radians(lat_deg))))]
        assert geodesic.inverse(lat_deg, lon_deg, *near).distance_nm < WITHIN_NM + 0.6  # half a mile to the next node


def test_what_lies_a_mile_off_stays_and_what_lies_nearer_goes() -> None:
    """D: beside the equator a great circle is a straight line, and 1 nm of latitude a sixtieth of a degree. On the way
    to the point 1.1 nm south, a third of it run, the line lies 0.37 nm south: 0.97 nm from the point 0.6 nm north.
    """
    line = [(0.0, 170.0), (0.6 / 60, 175.0), (0.0, 180.0), (-1.1 / 60, -175.0), (0.0, -170.0)]
    assert [0, 3, 4] == thinned(line, 1.0, 100)
    assert [0, 1, 3, 4] == thinned(line, 0.5, 100)


def test_a_round_trip_keeps_its_turning_point() -> None:
    assert [0, 1, 2] == thinned([(10.0, 10.0), (12.0, 11.0), (10.0, 10.0)], 1.0, 100)


def test_a_track_that_cannot_be_thinned_enough_is_refused(tmp_path: Path) -> None:
    zigzag = [(-30 + 0.1 * at, -5 + 0.5 * (at % 2)) for at in range(150)]
    (sentence,) = told(tmp_path, drawn_by_gpxpy(zigzag, recorded=True))
    assert "more than 100 points of the track in route.gpx cannot be left out" in sentence
    (sentence,) = told(tmp_path, drawn_by_gpxpy(wandering(200)), 'sailing = "rhumb line"')
    assert sentence.startswith("voyage.toml line 9: route.sailing")


def test_another_route_is_another_fingerprint(tmp_path: Path) -> None:
    first = fingerprint(by_route(tmp_path, ONE.format(RTE)))
    assert first != fingerprint(by_route(tmp_path, ONE.format(RTE.replace('"-30"', '"-30.001"'))))
    assert first == fingerprint(by_route(tmp_path, ONE.format(RTE)))


def test_land_on_a_leg_is_told_at_the_point_of_the_file(tmp_path: Path) -> None:
    inland = RTE.replace('lat="-30" lon="10"', 'lat="-30" lon="20"')
    with pytest.raises(InputFaults) as refused:
        lay_ground(by_route(tmp_path, ONE.format(inland)))
    assert ("route.gpx", 6) == (refused.value.faults[0].file, refused.value.faults[0].line)
    assert "voyage.toml line 8 names this file" in str(refused.value)


def test_the_rest_of_the_voyage_file_is_read_for_its_faults_too(tmp_path: Path) -> None:
    folder = folder_by(tmp_path, "no XML")
    path = folder / "voyage.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("1500 nm", "1500"), encoding="utf-8")
    with pytest.raises(InputFaults) as refused:
        read_folder(folder)
    assert ["route.gpx", "voyage.toml"] == [fault.file for fault in refused.value.faults]


def test_waypoints_typed_beside_a_file_are_refused(tmp_path: Path) -> None:
    folder = folder_by(tmp_path, ONE.format(RTE), '[[waypoint]]\nname = "a"\nposition = "1N 1E"')
    with pytest.raises(InputFaults, match="keep one of the two"):
        read_folder(folder)


BOMB = '<!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE gpx SYSTEM "file:///etc/passwd">'


@pytest.mark.parametrize("declared", [BOMB, OUTSIDE, "<!DOCTYPE gpx>"])
def test_no_declaration_is_followed(declared: str, tmp_path: Path) -> None:
    (sentence,) = told(tmp_path, ONE.format(RTE).replace("\n<gpx", f"\n{declared}\n<gpx").replace("Out", "&b;"))
    assert "document type declaration" in sentence


def test_depth_points_and_size_are_bounded(tmp_path: Path) -> None:
    (sentence,) = told(tmp_path, ONE.format("<a>" * 100_000))
    assert "50 deep" in sentence
    (sentence,) = told(tmp_path, ONE.format("<rte>" + "<rtept lat='1' lon='1'/>" * (MOST_POINTS + 1) + "</rte>"))
    assert "more than 20,000 points" in sentence
    (sentence,) = told(tmp_path, ONE.format(" " * 4_000_001))
    assert "larger than 4 MB" in sentence


def test_ten_faults_of_one_file_are_enough(tmp_path: Path) -> None:
    assert 10 == len(told(tmp_path, ONE.format("<rte>" + "<rtept lat='x' lon='1'/>\n" * 40 + "</rte>")))


FUZZ = settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
PUT = ["<", "&#0;", "nan", "<rte>", "</rte>", '"', "]]>", "<!--", "é", "9e9", "<?x?>", "\x00"]


@FUZZ
@given(data=st.data())
def test_no_edit_of_a_gpx_file_raises_anything_else(data: st.DataObject, tmp_path: Path) -> None:
    text = ONE.format(RTE)
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, min(start + 40, len(text))))
    put = data.draw(st.sampled_from(PUT) | st.text(st.characters(exclude_categories=["Cs"]), max_size=12))
    path = tmp_path / "route.gpx"
    path.write_text(text[:start] + put + text[end:], encoding="utf-8", newline="")
    try:
        read_gpx(path)
    except InputFaults as refused:
        assert all(1 == len(str(fault).splitlines()) for fault in refused.faults)


@FUZZ
@given(content=st.binary(max_size=200))
def test_no_bytes_raise_anything_else(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "route.gpx"
    path.write_bytes(content)
    with pytest.raises(InputFaults):
        read_gpx(path)


def test_a_zigzag_of_twenty_thousand_points_is_given_up_early() -> None:
    begun = process_time()
    kept = thinned([(10.0 + 0.5 * (each % 2), 0.001 * each) for each in range(20_000)], 1.0, 100)
    assert 100 < len(kept) < 110
    assert process_time() - begun < 5.0
