"""Which sails when, and storm sails against the published sizes."""

from __future__ import annotations

from itertools import pairwise
from math import isnan

import pytest

from passage.consequences.readiness.sails import ANGLES_DEG, SailPlan, sail_table, storm_sails
from passage.inputs.sails import Reef, Rig, Sail

RIG = Rig(foretriangle_height_m=11.0, foretriangle_base_m=3.4, mainsail_hoist_m=9.8, mainsail_foot_m=3.5)
MAIN = Sail(
    name="main",
    stay="mast",
    area_m2=16.0,
    wind_to_kn=18.0,
    reefs=(Reef(area_m2=12.0, wind_to_kn=25.0), Reef(area_m2=8.0, wind_to_kn=32.0)),
)
GENOA = Sail(name="genoa", stay="forestay", area_m2=28.0, wind_to_kn=16.0)
JIB = Sail(name="working jib", stay="forestay", area_m2=17.0, wind_to_kn=28.0)
DRIFTER = Sail(name="drifter", stay="flying", area_m2=45.0, wind_to_kn=10.0, angle_from_deg=70.0, angle_to_deg=150.0)
STORM = Sail(name="storm jib", stay="inner stay", area_m2=5.5, wind_from_kn=28.0, wind_to_kn=55.0, use="storm jib")
SAILS = (MAIN, GENOA, JIB, DRIFTER, STORM)
CUTTER = (  # invented
    MAIN,
    Sail(name="yankee", stay="forestay", area_m2=18.0, wind_to_kn=24.0),
    Sail(name="staysail", stay="inner stay", area_m2=9.0, wind_to_kn=28.0, reefs=(Reef(area_m2=6.0, wind_to_kn=34.0),)),
    DRIFTER,
    Sail(name="storm jib", stay="forestay", area_m2=5.0, wind_from_kn=28.0, wind_to_kn=55.0, use="storm jib"),
)


def plan(wind_kn: float, angle_deg: float) -> SailPlan:
    (found,) = [
        it for it in sail_table(SAILS) if it.wind_from_kn <= wind_kn < it.wind_to_kn and it.angle_from_deg == angle_deg
    ]
    return found


@pytest.mark.parametrize(
    ("wind_kn", "angle_deg", "expected"),
    [
        (8.0, 90.0, [("main", 0), ("drifter", 0)]),
        (8.0, 45.0, [("main", 0), ("genoa", 0)]),
        (17.0, 45.0, [("main", 0), ("working jib", 0)]),
        (20.0, 90.0, [("main", 1), ("working jib", 0)]),
        (30.0, 90.0, [("main", 2), ("storm jib", 0)]),
        (40.0, 90.0, [("storm jib", 0)]),
        (57.0, 90.0, []),
    ],
)
def test_the_largest_that_the_wind_allows(wind_kn: float, angle_deg: float, expected: list[tuple[str, int]]) -> None:
    assert [(sail.name, sail.reef) for sail in plan(wind_kn, angle_deg).sails] == expected


def test_bands_are_told_in_whole_knots() -> None:
    told = plan(20.0, 90.0).printed()
    assert ("18", "25") == (told["wind_from_kn"], told["wind_to_kn"])


def test_the_table_covers_every_wind_and_angle_once() -> None:
    table = sail_table(SAILS)
    for angle in ANGLES_DEG:
        bands = [it for it in table if it.angle_from_deg == angle]
        assert (bands[0].wind_from_kn, bands[-1].wind_to_kn) == (0.0, 60.0)
        assert all(low.wind_to_kn == high.wind_from_kn for low, high in pairwise(bands))


def test_more_wind_never_asks_for_more_sail() -> None:
    for angle in ANGLES_DEG:
        for sails in (SAILS, CUTTER, CUTTER[::-1]):
            areas = [it.area_m2 for it in sail_table(sails) if it.angle_from_deg == angle]
            assert areas == sorted(areas, reverse=True)


def set_by_cutter(wind_kn: float, *sails: Sail) -> list[tuple[str, int]]:
    plans = sail_table(sails or CUTTER)
    (found,) = [it for it in plans if it.wind_from_kn <= wind_kn < it.wind_to_kn and it.angle_from_deg == 90.0]
    return [(sail.name, sail.reef) for sail in found.sails]


def test_a_storm_jib_is_not_set_beside_the_headsail_it_replaces() -> None:
    """It comes when the reefed staysail has had enough, though its own winds begin earlier."""
    assert [("main", 2), ("staysail", 1)] == set_by_cutter(30.0)
    assert [("storm jib", 0)] == set_by_cutter(40.0)


def test_a_drifter_comes_in_place_of_the_sail_on_the_forestay() -> None:
    assert [("main", 0), ("staysail", 0), ("drifter", 0)] == set_by_cutter(5.0)
    assert [("main", 0), ("yankee", 0), ("staysail", 0)] == set_by_cutter(11.0)


def test_what_a_sail_replaces_can_be_said() -> None:
    both = DRIFTER.model_copy(update={"instead_of": ()})
    alone = DRIFTER.model_copy(update={"instead_of": ("yankee", "staysail", "main"), "area_m2": 40.0})
    assert ("yankee", 0) in set_by_cutter(5.0, *CUTTER[:3], both)
    assert [("main", 0), ("yankee", 0), ("staysail", 0)] == set_by_cutter(5.0, *CUTTER[:3], alone), "the larger area"
    assert [("drifter", 0)] == set_by_cutter(5.0, CUTTER[0], alone)


def test_a_sail_that_is_wanted_later_comes_only_when_another_goes() -> None:
    """Two sails at the first reef are not made three by more wind, and the mainsail stays."""
    late = CUTTER[2].model_copy(update={"wind_from_kn": 20.0})
    assert [("main", 1), ("yankee", 0)] == set_by_cutter(22.0, CUTTER[0], CUTTER[1], late)
    assert [("main", 2), ("staysail", 0)] == set_by_cutter(26.0, CUTTER[0], CUTTER[1], late)


def test_a_spinnaker_that_wants_some_wind_is_set_when_it_comes() -> None:
    kite = DRIFTER.model_copy(update={"wind_from_kn": 5.0})
    assert ("drifter", 0) in set_by_cutter(7.0, CUTTER[0], CUTTER[1], kite)


def test_the_edges_are_the_sails_own_limits() -> None:
    edges = {it.wind_from_kn for it in sail_table((MAIN,))}
    assert edges == {0.0, 18.0, 25.0, 32.0}


def test_winds_without_a_sail_are_told() -> None:
    assert {it.wind_from_kn for it in sail_table((MAIN,)) if not it.sails} == {32.0}
    assert len(ANGLES_DEG) == len([it for it in sail_table(()) if not it.sails])


def test_published_storm_sail_sizes() -> None:
    # World Sailing Offshore Special Regulations (M): 5, 13.5 % of foretriangle height squared, 17.5 % of hoist x foot
    largest = {it.use: it.largest_m2 for it in storm_sails(SAILS, RIG)}
    assert largest["storm jib"] == pytest.approx(0.05 * 121.0)
    assert largest["heavy-weather jib"] == pytest.approx(0.135 * 121.0)
    assert largest["trysail"] == pytest.approx(0.175 * 9.8 * 3.5)


def test_missing_storm_sails_are_told() -> None:
    by_use = {it.use: it for it in storm_sails(SAILS, RIG)}
    assert by_use["trysail"].wants == ("no trysail aboard",)
    assert by_use["storm jib"].fits is True
    assert isnan(by_use["heavy-weather jib"].area_m2)


def test_a_storm_jib_too_big_or_too_weak_does_not_fit() -> None:
    big = STORM.model_copy(update={"area_m2": 6.1})
    weak = STORM.model_copy(update={"wind_to_kn": 34.0})
    assert storm_sails((big,), RIG)[0].fits is False
    assert storm_sails((weak,), RIG)[0].fits is False
    assert any("34 kn" in want for want in storm_sails((weak,), RIG)[0].wants)


def test_without_the_rigs_measures_nothing_is_claimed() -> None:
    assert storm_sails(SAILS, None)[0].fits is None


def test_the_published_demands_are_wanted_until_they_are_met() -> None:
    met = STORM.model_copy(update={"high_visibility": True, "own_sheeting": True, "aramid_or_carbon": False})
    assert len(storm_sails((STORM,), RIG)[0].wants) == 3
    assert storm_sails((met,), RIG)[0].wants == ()
