"""Anchoring against published loads, chain strengths and scopes, and against the exact identities of the catenary.

Where no worked table with all its inputs is published (catenary lengths), the identities are the check; six lengths
derived from them (D) stand beside.
"""

from __future__ import annotations

from math import cosh, hypot, isnan, sqrt
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.consequences.anchoring.catenary import (
    RodePart,
    chain_weight_n_per_m,
    hang,
    length_for_level_pull,
    lie,
    pull_at_angle,
    pull_at_straight,
    taut_reach_m,
)
from passage.consequences.anchoring.hauling import line_tensions_n
from passage.consequences.anchoring.loads import (
    NEWTON_PER_LBF,
    BoatLoad,
    boat_loads,
    drag_area_from_table_m2,
    drag_wind_kn,
    fetch_sea_m,
    table_load_n,
    table_row,
    table_wind_kn,
    wind_drag_n,
)
from passage.consequences.anchoring.lying import at_anchor, scope_length_m, share_of_pull, straight_angle_deg
from passage.consequences.anchoring.strength import (
    chain_breaking_n,
    chain_is_worn_out,
    chain_mass_kg_per_m,
    chain_strength,
    rope_strength,
)
from passage.errors import OutOfRange
from passage.inputs.anchorage import Anchor, Anchorage, AnchorageFile, Chain, Rope, Windlass

if TYPE_CHECKING:
    from passage.tell.records import Record

FOOT_M = 0.3048
pulls = st.floats(50.0, 20_000.0)
heights = st.floats(2.0, 40.0)
weights = st.floats(4.0, 40.0)


def anchorage(**changes: object) -> AnchorageFile:
    """An invented roadstead and two invented anchors."""
    place = {
        "name": "Invented roadstead",
        "depth_m": 10.0,
        "tide_rise_m": 1.0,
        "bow_height_m": 1.2,
        "bottom": "sand",
        "wind_kn": 25.0,
        "fetch_nm": 1.0,
        "swinging_room_m": 90.0,
    }
    bower = Anchor(name="bower", mass_kg=20.0, chain=Chain(diameter_mm=8.0, grade=40, length_m=60.0))
    kedge = Anchor(
        name="kedge",
        mass_kg=12.0,
        chain=Chain(diameter_mm=8.0, grade=30, length_m=10.0),
        rope=Rope(diameter_mm=14.0, length_m=60.0),
    )
    return AnchorageFile(place=Anchorage(**{**place, **changes}), anchors=(bower, kedge))


# --- scope ------------------------------------------------------------------------------------------------------------


def test_published_scope_in_feet() -> None:
    # (10 + 2 + 3) ft at 7:1 is 105 ft: boating-handbook example, R2; exact
    assert scope_length_m(7.0, (10 + 2 + 3) * FOOT_M) == pytest.approx(105 * FOOT_M, rel=1e-12)


@pytest.mark.parametrize(("scope", "length_m"), [(5.0, 46.0), (7.0, 64.4)])
def test_derived_scope_in_metres(scope: float, length_m: float) -> None:
    assert scope_length_m(scope, 6.0 + 2.0 + 1.2) == pytest.approx(length_m)  # D


@pytest.mark.parametrize(
    ("scope", "angle_deg", "tolerance"),
    [(3.0, 19.5, 0.05), (5.0, 11.54, 0.005), (7.0, 8.21, 0.005), (10.0, 5.74, 0.005)],
)
def test_angle_of_a_taut_line(scope: float, angle_deg: float, tolerance: float) -> None:
    # 19.5° at 3:1 is published (R2, three figures); the others are D; half the last printed digit
    assert straight_angle_deg(scope) == pytest.approx(angle_deg, abs=tolerance)


# --- catenary ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pull_n", "height_m", "mass_kg_per_m", "angle_deg", "length_m", "bow_n"),
    [
        (1000, 6, 1.40, 0, 32.28, 1071.6),
        (3114, 6, 1.40, 0, 56.29, 3185.6),
        (3114, 6, 2.25, 0, 44.55, 3229.0),
        (3114, 20, 1.40, 0, 104.12, 3352.6),
        (3114, 6, 1.40, 8, 30.73, 3216.2),
        (5338, 6, 2.25, 0, 58.11, 5453.0),
    ],
)
def test_derived_catenary_table(
    pull_n: float, height_m: float, mass_kg_per_m: float, angle_deg: float, length_m: float, bow_n: float
) -> None:
    # D, printed to 0.01 m and 0.1 N. Its columns agree with one another only for 0.869 of the weight in air (8.5207 to
    # 8.5222 N per kg), the factor with three figures, so the method is checked with that; half the last printed digit
    weight = 9.80665 * 0.869 * mass_kg_per_m
    found = length_for_level_pull(pull_n, height_m, weight, angle_deg)
    assert found == pytest.approx(length_m, abs=0.005)
    lying = lie((RodePart(found, weight),), height_m, pull_n)
    assert lying.bow_tension_n == pytest.approx(bow_n, abs=0.05)
    assert lying.anchor_angle_deg == pytest.approx(angle_deg, abs=1e-5)


def test_steel_keeps_0_8694_of_its_weight_in_sea_water() -> None:
    assert chain_weight_n_per_m(1.0) == pytest.approx(8.526, abs=5e-4)  # D: 9.80665 (1 - 1025/7850)


@given(pulls, heights, weights)
def test_bow_tension_is_the_pull_and_the_weight_of_the_height(pull_n: float, height_m: float, weight: float) -> None:
    length_m = length_for_level_pull(pull_n, height_m, weight)
    assert hypot(pull_n, weight * length_m) == pytest.approx(pull_n + weight * height_m, rel=1e-12)  # exact identity


@given(pulls, heights, weights)
def test_reach_follows_the_hyperbolic_cosine(pull_n: float, height_m: float, weight: float) -> None:
    length_m = length_for_level_pull(pull_n, height_m, weight)
    _, reach_m, _ = hang((RodePart(length_m, weight),), pull_n)
    a_m = pull_n / weight
    assert a_m * (cosh(reach_m / a_m) - 1.0) == pytest.approx(height_m, rel=1e-6)  # the textbook curve itself


@given(pulls, heights, weights, st.floats(1.05, 12.0))
def test_line_cut_in_two_hangs_as_one(pull_n: float, height_m: float, weight: float, scope: float) -> None:
    whole = lie((RodePart(scope * height_m, weight),), height_m, pull_n)
    halves = lie((RodePart(0.3 * scope * height_m, weight), RodePart(0.7 * scope * height_m, weight)), height_m, pull_n)
    assert halves.reach_m == pytest.approx(whole.reach_m, rel=1e-9)
    assert halves.bow_tension_n == pytest.approx(whole.bow_tension_n, rel=1e-9)


@given(pulls, heights, st.floats(1.5, 12.0))
def test_weightless_line_lies_straight(pull_n: float, height_m: float, scope: float) -> None:
    lying = lie((RodePart(scope * height_m, 0.0),), height_m, pull_n)
    assert lying.anchor_angle_deg == pytest.approx(straight_angle_deg(scope), abs=1e-6)
    assert lying.reach_m == pytest.approx(height_m * sqrt(scope**2 - 1.0), rel=1e-9)


@given(heights, weights, st.floats(1.05, 12.0))
def test_a_harder_pull_never_brings_the_bow_nearer(height_m: float, weight: float, scope: float) -> None:
    line = (RodePart(scope * height_m, weight),)
    reaches = [lie(line, height_m, pull).reach_m for pull in (0.0, 100.0, 1000.0, 5000.0, 50_000.0)]
    assert reaches == sorted(reaches)
    assert reaches[-1] <= taut_reach_m(line, height_m) * (1 + 1e-9)


def test_in_no_wind_the_line_hangs_plumb() -> None:
    lying = lie((RodePart(50.0, 12.0),), 10.0, 0.0)
    assert lying.on_bottom_m == pytest.approx(40.0, abs=0.01)
    assert lying.bow_tension_n == pytest.approx(120.0, abs=0.1)


def test_scope_asked_for_falls_as_it_deepens() -> None:
    scopes = [length_for_level_pull(3000.0, depth, 12.0) / depth for depth in (3.0, 6.0, 12.0, 24.0)]
    assert scopes == sorted(scopes, reverse=True)


def test_the_lift_off_pull_is_the_closed_form() -> None:
    """D: a line of s metres at w a metre lies level to a pull of w (s² - h²) / 2h."""
    line = (RodePart(50.0, 12.0),)
    assert pull_at_angle(line, 8.0, 0.0) == pytest.approx(12.0 * (50.0**2 - 8.0**2) / (2.0 * 8.0), rel=1e-9)


def test_eight_degrees_never_comes_beyond_its_own_scope() -> None:
    # a taut line at scope 1/sin 8° = 7.19 makes just 8°
    assert pull_at_angle((RodePart(7.2 * 10.0, 12.0),), 10.0, 8.0) is None
    reached = pull_at_angle((RodePart(6.0 * 10.0, 12.0),), 10.0, 8.0)
    assert reached is not None
    assert lie((RodePart(60.0, 12.0),), 10.0, reached).anchor_angle_deg == pytest.approx(8.0, abs=1e-6)


def test_line_straightens_after_it_has_lifted() -> None:
    line = (RodePart(50.0, 12.0),)
    lifted = pull_at_angle(line, 10.0, 0.0)
    assert lifted is not None
    straight = pull_at_straight(line, 10.0)
    assert lifted < straight
    assert taut_reach_m(line, 10.0) - lie(line, 10.0, straight).reach_m == pytest.approx(0.1, abs=1e-6)


def test_a_line_of_which_some_still_lies_has_not_come_straight() -> None:
    """Little chain on much rope: the bow has hardly any way left while the last of the chain still lies."""
    line, height_m = (RodePart(10.0, 12.0), RodePart(80.0, 0.2)), 18.0
    straight = pull_at_straight(line, height_m)
    assert lie(line, height_m, 0.99 * straight).on_bottom_m > 0.0
    assert lie(line, height_m, 1.01 * straight).on_bottom_m == 0.0


def test_what_happens_is_told_in_the_order_in_which_the_wind_brings_it() -> None:
    for check in at_anchor(anchorage(), 9.6, 2.7).anchors:
        pulls = [row.pull_n for row in check.thresholds if row.pull_n is not None]
        assert pulls == sorted(pulls)


def test_the_give_left_is_the_textbook_sag_of_a_tight_line() -> None:
    # a tight line exceeds its chord by w² L³ cos² / 24 T² (any statics textbook); 3 % for the next term
    line, weight = (RodePart(60.0, 12.0),), 12.0
    pull = pull_at_straight(line, 10.0)
    level_share = sqrt(1.0 - (10.0 / 60.0) ** 2)
    sag_m = weight**2 * 60.0**3 * level_share**2 / (24.0 * (pull / level_share) ** 2)
    assert sag_m / level_share == pytest.approx(0.1, rel=0.03)


def test_a_line_of_rope_alone_has_no_straight_point() -> None:
    rope = Anchor(name="kedge", mass_kg=12.0, rope=Rope(diameter_mm=14.0, length_m=60.0))
    check = at_anchor(anchorage().model_copy(update={"anchors": (rope,)}), 9.6, 2.7).anchors[0]
    assert len(check.thresholds) == 2
    assert "no chain" in check.remarks[0]


def test_how_much_chain_would_lie_level_is_told_of_chain_alone() -> None:
    """One length answers it only where every metre weighs the same."""
    bower, kedge = (check.level_pull_chain_m for check in at_anchor(anchorage(), 9.6, 2.7).anchors)
    assert bower > 11.0
    assert isnan(kedge)


def test_chain_on_a_rope_lies_between_chain_and_rope() -> None:
    chain, rope = RodePart(60.0, 12.0), RodePart(60.0, 0.12)
    mixed = (RodePart(20.0, 12.0), RodePart(40.0, 0.12))
    angles = [lie(lines, 10.0, 2000.0).anchor_angle_deg for lines in ((chain,), mixed, (rope,))]
    assert angles == sorted(angles)
    assert angles[0] < angles[1] < angles[2]


def test_line_too_short_for_the_depth_is_refused() -> None:
    with pytest.raises(OutOfRange, match="does not reach"):
        lie((RodePart(9.0, 12.0),), 10.0, 100.0)


# --- loads ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", boat_loads())
def test_the_published_columns_run_with_the_square_of_the_wind(row: BoatLoad) -> None:
    # ABYC H-40 Table I (R2, short boats M): 15 kn is printed to 5 lbf; 42 kn as twice 30 kn, where V² gives 1.96
    assert table_load_n(row, 15.0) / NEWTON_PER_LBF == pytest.approx(row.load_15kn_lbf, abs=2.5 + 1e-9)
    assert table_load_n(row, 42.0) / NEWTON_PER_LBF == pytest.approx(row.load_42kn_lbf, rel=0.021)
    assert table_load_n(row, 60.0) / NEWTON_PER_LBF == pytest.approx(row.load_60kn_lbf, rel=1e-12)


def test_the_handbook_motor_boat() -> None:
    # 32 ft by 12 ft motor boat: 900 lbf at 30 kn, handbook example of the same table, R2
    assert table_row(32 * FOOT_M, 12 * FOOT_M, power_boat=True).load_30kn_lbf == 900


def test_the_wider_boat_takes_the_longer_row() -> None:
    assert table_row(30 * FOOT_M, 9 * FOOT_M).length_ft == 30
    assert table_row(30 * FOOT_M, 10.2 * FOOT_M).length_ft == 40


def test_pounds_become_newtons() -> None:
    # 700 lbf = 3114 N (D, four figures)
    assert table_row(30 * FOOT_M, 9 * FOOT_M).load_at_30kn_n == pytest.approx(3114, abs=0.5)


def test_a_ship_is_beyond_the_table() -> None:
    with pytest.raises(OutOfRange, match="60 ft"):
        table_row(25.0, 6.0)


def test_the_table_stands_for_three_times_still_air_drag() -> None:
    # D: the 30 ft row at 30 kn equals a drag area of about 21 m² (two figures)
    row = table_row(30 * FOOT_M, 9 * FOOT_M)
    assert row.load_at_30kn_n / wind_drag_n(1.0, 30.0) == pytest.approx(21.0, abs=0.5)
    assert drag_area_from_table_m2(row) == pytest.approx(7.0, abs=0.2)


@given(st.floats(1.0, 100.0), st.floats(2.0, 40.0))
def test_winds_come_back_from_their_loads(wind_kn: float, drag_area_m2: float) -> None:
    row = boat_loads()[4]
    assert table_wind_kn(row, table_load_n(row, wind_kn)) == pytest.approx(wind_kn)
    assert drag_wind_kn(drag_area_m2, wind_drag_n(drag_area_m2, wind_kn)) == pytest.approx(wind_kn)


def test_short_fetch_makes_a_small_sea_and_shoal_water_caps_it() -> None:
    assert fetch_sea_m(25.0, 1.0, 10.0) == pytest.approx(0.0016 * sqrt(9.80665 * 1852) * 12.861 / 9.80665, rel=1e-3)
    assert fetch_sea_m(40.0, 500.0, 2.0) == pytest.approx(1.2)


# --- strengths --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("diameter_mm", "grade", "breaking_n", "tolerance"),
    [
        (10.0, 80, 125_664, 0.5),  # published example, R2, exact
        (9.525, 40, 57_000, 50.0),  # published example, R2, three figures
        (8.0, 30, 30_200, 50.0),  # R2
        (8.0, 40, 40_200, 50.0),  # R2
    ],
)
def test_published_chain_formula(diameter_mm: float, grade: float, breaking_n: float, tolerance: float) -> None:
    assert chain_breaking_n(diameter_mm, grade) == pytest.approx(breaking_n, abs=tolerance)


@pytest.mark.parametrize(
    ("diameter_mm", "grade", "breaking_kn", "working_kn"),
    [(8, 30, 30, 7.5), (10, 30, 50, 12.5), (12, 30, 70, 17.5), (8, 40, 40, 10), (10, 40, 62, 15.5), (12, 40, 90, 22.5)],
)
def test_metric_chain_table(diameter_mm: float, grade: float, breaking_kn: float, working_kn: float) -> None:
    strength = chain_strength(diameter_mm, grade)  # ISO 4565 / DIN 766, R2
    assert (strength.breaking_n, strength.working_n) == pytest.approx((breaking_kn * 1e3, working_kn * 1e3))


@pytest.mark.parametrize(
    ("inches", "grade", "working_lbf"),
    [(1 / 4, 30, 1300), (5 / 16, 43, 3900), (3 / 8, 43, 5400), (3 / 8, 70, 6600), (1 / 2, 70, 11300)],
)
def test_inch_chain_table(inches: float, grade: float, working_lbf: float) -> None:
    working_n = chain_strength(inches * 25.4, grade).working_n
    assert working_n / NEWTON_PER_LBF == pytest.approx(working_lbf, abs=0.5)  # NACM, R2


def test_the_six_millimetre_table_value_above_the_formula_is_not_taken() -> None:
    assert chain_strength(6.0, 40).breaking_n <= chain_breaking_n(6.0, 40)


@pytest.mark.parametrize("diameter_mm", [6.0, 8.0, 10.0])
def test_every_tabled_chain_breaks_near_the_formula(diameter_mm: float) -> None:
    # the table rounds and its 10 mm grade 30 is 6 % above the formula; a misprint of a digit would be far more
    strength = chain_strength(diameter_mm, 30)
    assert strength.breaking_n == pytest.approx(chain_breaking_n(diameter_mm, 30), rel=0.07)
    assert strength.mass_kg_per_m == pytest.approx(chain_mass_kg_per_m(diameter_mm), rel=0.08)


def test_wear_takes_its_square() -> None:
    assert chain_strength(10.0, 40, 9.5).working_n == pytest.approx(0.9025 * chain_strength(10.0, 40).working_n)
    assert not chain_is_worn_out(10.0, 9.5)
    assert chain_is_worn_out(10.0, 9.0)


def test_rope_works_at_an_eighth_of_what_breaks_it() -> None:
    assert rope_strength(14.0, 40_000.0).working_n == 5000.0  # ABYC H-40, R2
    # three-strand nylon to EN ISO 1140: 14 mm about 40 kN, 16 mm about 52 kN (M); the guess must not exceed them
    assert 0.9 * 40_000 <= rope_strength(14.0).breaking_n <= 40_000
    assert 0.9 * 52_000 <= rope_strength(16.0).breaking_n <= 52_000


# --- the whole --------------------------------------------------------------------------------------------------------


def test_the_whole_roadstead() -> None:
    there = at_anchor(anchorage(), 9.6, 2.7)
    assert (there.height_low_m, there.height_high_m) == (pytest.approx(11.2), pytest.approx(12.2))
    bower, kedge = there.anchors
    assert bower.scope_ratio == pytest.approx(60.0 / 12.2)
    assert not bower.scope_enough  # 4.9 of 5
    assert kedge.scope_wanted_ratio == 7.0
    assert there.drag_area_guessed
    assert bower.in_wind_drag.bow_tension_n < bower.in_table_load.bow_tension_n
    assert len(there.pair) == 3


def test_a_gale_asks_for_seven_to_one() -> None:
    assert at_anchor(anchorage(wind_kn=34.0), 9.6, 2.7).anchors[0].scope_wanted_ratio == 7.0
    assert at_anchor(anchorage(wind_kn=33.9), 9.6, 2.7).anchors[0].scope_wanted_ratio == 5.0


def long_line(**changes: object) -> AnchorageFile:
    """4.3 m of water, 1.2 m of bow, 150 m of line of which 90 m chain."""
    anchor = Anchor(
        name="bower",
        mass_kg=20.0,
        chain=Chain(diameter_mm=8.0, grade=40, length_m=90.0),
        rope=Rope(diameter_mm=14.0, length_m=62.4),
    )
    return anchorage(depth_m=4.3, tide_rise_m=0.0).model_copy(update={"anchors": (anchor.model_copy(update=changes),)})


def test_no_more_is_veered_than_the_wind_asks_for() -> None:
    # the published 5 to 1 of all chain, and 7 to 1 once rope goes over the bow or it blows a gale (R2)
    bower = at_anchor(long_line(), 9.6, 2.7).anchors[0]
    assert (5.0, 27.5, 152.4) == pytest.approx((bower.scope_ratio, bower.veer_m, bower.line_m))
    assert bower.scope_enough
    assert sqrt(27.5**2 - 5.5**2) + 9.6 == pytest.approx(bower.swing.taut_m)
    assert ["chain 8 mm grade 40"] == [row.part for row in bower.strengths], "the rope is still in the locker"
    short_chain = at_anchor(long_line(chain=Chain(diameter_mm=8.0, grade=40, length_m=20.0)), 9.6, 2.7).anchors[0]
    assert (7.0, 38.5) == pytest.approx((short_chain.scope_ratio, short_chain.veer_m))
    assert ["chain 8 mm grade 40", "rope 14 mm"] == [row.part for row in short_chain.strengths]


def test_what_the_file_veers_is_veered() -> None:
    some, much = (at_anchor(long_line(veer_m=veer_m), 9.6, 2.7).anchors[0] for veer_m in (20.0, 120.0))
    assert (20.0, 20.0 / 5.5, False) == pytest.approx((some.veer_m, some.scope_ratio, some.scope_enough))
    assert (120.0, 7.0, True) == pytest.approx((much.veer_m, much.scope_wanted_ratio, much.scope_enough))
    assert some.swing.taut_m < much.swing.taut_m


def test_the_swing_is_widest_taut_at_low_water() -> None:
    swing = at_anchor(anchorage(), 9.6, 2.7).anchors[0].swing
    assert swing.taut_m == pytest.approx(sqrt(60.0**2 - 11.2**2) + 9.6)
    assert swing.light_air_m < swing.forecast_m < swing.taut_m
    assert swing.fits is True
    assert at_anchor(anchorage(swinging_room_m=60.0), 9.6, 2.7).anchors[0].swing.fits is False


def test_a_weak_part_is_named() -> None:
    storm = at_anchor(anchorage(wind_kn=60.0), 9.6, 2.7)
    parts = {row.part: row.enough for row in storm.anchors[1].strengths}
    assert parts == {"chain 8 mm grade 30": False, "rope 14 mm": False}
    assert storm.anchors[1].strong_point_needed_n == pytest.approx(2.0 * storm.anchors[1].strengths[0].load_n)


def test_two_anchors_in_line_halve_the_pull_and_wide_ones_do_not() -> None:
    assert share_of_pull(0.0) == 0.5
    assert share_of_pull(120.0) == pytest.approx(1.0)


# --- hauling ----------------------------------------------------------------------------------------------------------


@given(heights, weights, st.floats(1.1, 8.0), st.floats(5.0, 40.0))
def test_work_without_wind_is_weight_raised(height_m: float, weight: float, scope: float, anchor_kg: float) -> None:
    # independent energy balance: the anchor rises h, the hanging chain h/2, the lying chain h
    lines = (RodePart(scope * height_m, weight),)
    work_j = sum(metres * tension for metres, tension in line_tensions_n(lines, height_m, anchor_kg, 0.0))
    chain_j = weight * (height_m**2 / 2.0 + (scope - 1.0) * height_m * height_m)
    anchor_j = anchor_kg * 8.526 * height_m
    assert work_j == pytest.approx(chain_j + anchor_j, rel=1e-3)


def test_the_wind_is_hauled_against_until_the_line_is_half_as_long_again_as_the_height() -> None:
    """Common practice, no source: at short stay the anchor breaks out. D: with 900 N of wind in it no line of 12 N a
    metre is slacker than that, and without it none so taut."""
    against = [
        metres for metres, tension in line_tensions_n((RodePart(50.0, 12.0),), 8.0, 16.0, 900.0) if tension >= 900.0
    ]
    assert 50.0 - 1.5 * 8.0 == pytest.approx(sum(against))


def test_the_engine_spares_the_arms() -> None:
    facts = anchorage().model_copy(update={"windlass": Windlass()})
    engine, alone = at_anchor(facts, 9.6, 2.7).anchors[0].hauls
    assert engine.engine_holds_boat
    assert not alone.engine_holds_boat
    assert engine.minutes < alone.minutes
    assert engine.arm_n < alone.arm_n
    assert engine.arm_n == pytest.approx(engine.hardest_pull_n * 0.12 / (1.0 * 0.6))


def test_weak_arms_take_as_long_as_the_work_asks_of_them() -> None:
    """D: an hour of a watt is a watt-hour; strokes are quick enough here not to count."""
    weak = Windlass(arm_power_w=30.0, efficiency_share=0.5, chain_per_stroke_m=0.5, strokes_per_minute=60.0)
    haul, _ = at_anchor(anchorage().model_copy(update={"windlass": weak}), 9.6, 2.7).anchors[0].hauls
    assert haul.work_wh / (30.0 * 0.5) == pytest.approx(haul.minutes / 60.0)


def test_bare_hands_cannot_haul_in_a_blow() -> None:
    _, alone = at_anchor(anchorage(), 9.6, 2.7).anchors[0].hauls
    assert alone.handle == "bare hands"
    assert not alone.by_hand_possible


def test_every_pull_is_told_in_kilograms_of_force() -> None:
    """A kilogram of force is 9.80665 N (CGPM 1901, exact)."""
    there = at_anchor(anchorage(), 9.6, 2.7)
    told: list[Record] = [*there.loads]
    for check in there.anchors:
        told += [*check.strengths, *check.thresholds, *check.hauls]
    pairs = [
        (getattr(row, f"{name.removesuffix('_kgf')}_n"), getattr(row, name))
        for row in told
        for name in dir(type(row))
        if name.endswith("_kgf")
    ]
    assert len(pairs) > 30
    for newton, kgf in pairs:
        assert newton / 9.80665 == pytest.approx(kgf, rel=1e-12, nan_ok=True)
