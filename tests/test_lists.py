"""Cards, the distress call, the float plan and the official services along a track."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from passage.consequences.lists.cards import card, cards
from passage.consequences.lists.distress import BLANK, SPELLING, digits, distress_script, spelled, urgency_script
from passage.consequences.lists.floatplan import float_plan
from passage.consequences.lists.services import area_at, areas, inside, services_along
from passage.inputs.boat import Boat, Hull, PolarChoice, Tank
from passage.inputs.crew import Crew, Person
from passage.inputs.gear import Contact, FloatPlan, Gear, GearItem, Identity
from passage.inputs.voyage import Departure, Voyage, Waypoint
from passage.positions import Position

DEPART = datetime(2027, 2, 10, 8, tzinfo=UTC)
WHO = Identity(
    call_sign="ZR12", mmsi="601123456", port="Invented Harbour", hull_colour="white hull", liferaft="4-person raft"
)


def words(title: str) -> str:
    return " ".join(line.text for line in card(title).lines)


# --- cards ------------------------------------------------------------------------------------------------------------


def test_every_bad_moment_has_its_card() -> None:
    titles = {it.title for it in cards()}
    assert {"abandon ship", "grab bag", "man overboard", "flooding", "fire", "medical call"} <= titles


def test_every_line_has_its_source_and_standing() -> None:
    for it in cards():
        for line in it.lines:
            assert line.source
            assert line.standing in {"R", "R2", "M", "P", "D"}
            assert line.text[0].isupper() or line.text[0].isdigit()


def test_no_card_pretends_to_be_training() -> None:
    for it in cards():
        assert any("not training" in caution for caution in it.cautions)
        assert any("Rescue services" in caution for caution in it.cautions)


@pytest.mark.parametrize(
    ("dsc", "voice"),
    [
        ("2187.5", "2182"),
        ("4207.5", "4125"),
        ("6312", "6215"),
        ("8414.5", "8291"),
        ("12577", "12290"),
        ("16804.5", "16420"),
    ],
)
def test_published_distress_frequencies(dsc: str, voice: str) -> None:
    # ITU Radio Regulations, appendix 15, R2
    assert f"DSC {dsc} kHz, voice {voice} kHz" in words("radio")


def test_published_raft_pack() -> None:
    # LSA Code 4.1.5, three course lists concordant, R2
    pack = words("raft pack")
    for part in ("30 m of line", "Four parachute rockets, six red hand flares, two smokes", "10,000 kJ", "1.5 litres"):
        assert part in pack


def test_the_published_order_of_leaving() -> None:
    # practice notes, R2: alert and call, then bag, then painter, then launch, then cut
    said = words("abandon ship")
    order = [
        said.index(word) for word in ("Stay with her", "alert and call", "Grab bag", "painter fast", "Cut the painter")
    ]
    assert order == sorted(order)


# --- the distress call ------------------------------------------------------------------------------------------------


def test_the_call_keeps_the_order_of_the_regulations() -> None:
    # ITU Radio Regulations: signal x3, identity x3, then name, position, nature, assistance, other (1947 text, R)
    said = " ".join(line.text for line in distress_script("Invented", WHO, 2) if line.said)
    order = ["MAYDAY, MAYDAY, MAYDAY", "THIS IS INVENTED, INVENTED, INVENTED", "MAYDAY INVENTED"]
    order += ["MY POSITION", "I AM SINKING", "ASSISTANCE", "2 PERSONS", "OVER"]
    places = [said.index(part) for part in order]
    assert places == sorted(places)
    assert said.startswith("MAYDAY")
    assert said.endswith("OVER")


def test_the_call_speaks_the_boats_own_particulars() -> None:
    script = distress_script("Invented", WHO, 2)
    said = " ".join(line.text for line in script if line.said)
    assert said.count("CALL SIGN Zulu Romeo 1 2, MMSI 6 0 1 1 2 3 4 5 6") == 2
    assert "WHITE HULL" in said
    assert "4-PERSON RAFT" in said
    assert not [line.missing for line in script if line.missing]


def test_what_is_not_known_is_a_blank_and_is_told() -> None:
    script = distress_script("Invented", Identity(), 1)
    assert {"call sign, MMSI", "colour and marks"} == {line.missing for line in script if line.missing}
    assert f"CALL SIGN {BLANK}" in script[4].text


def test_the_spelling_alphabet_is_whole() -> None:
    assert len(SPELLING) == 26
    assert all(word.startswith(letter) for letter, word in SPELLING.items())
    assert spelled("m r") == "Mike Romeo"
    assert digits("601") == "6 0 1"


# --- the float plan ---------------------------------------------------------------------------------------------------


def invented(gear: Gear) -> tuple[Boat, Crew, Voyage, Gear]:
    hull = Hull(
        name="Invented",
        rig="sloop",
        length_overall_m=9.1,
        waterline_length_m=7.3,
        beam_m=2.75,
        displacement_kg=5600.0,
        sail_area_m2=36.0,
    )
    boat = Boat(hull=hull, polar=PolarChoice(estimate=True), water_tanks=(Tank(name="tank", capacity_l=100.0),))
    crew = Crew(people=(Person(role="skipper", mass_kg=68.0, age_years=54, sex="F"),))
    here, there = Position(-33.875, 18.39), Position(-15.9, -5.72)
    voyage = Voyage(
        departure=Departure(name="invented", depart=DEPART),
        waypoints=(Waypoint(name="here", position=here), Waypoint(name="there", position=there)),
    )
    return boat, crew, voyage, gear


def test_the_sheet_says_when_to_worry_and_when_to_call() -> None:
    gear = Gear(float_plan=FloatPlan(worry_after_h=48.0, alarm_after_h=120.0))
    sheet = float_plan(*invented(gear), DEPART, (400.0, 500.0))
    slow_end = DEPART + timedelta(hours=500)
    assert sheet.worry_utc == slow_end + timedelta(days=2)
    assert sheet.alarm_utc == slow_end + timedelta(days=5)
    assert any("rescue authority" in line for line in sheet.when_overdue)


@pytest.mark.parametrize(
    ("slow_end_h", "worry_h", "alarm_h"),
    [(35.0, 8.75, 21.875), (8.0, 3.0, 6.0), (192.0, 48.0, 120.0), (500.0, 48.0, 120.0)],
)
def test_of_a_short_passage_the_alarm_is_raised_by_the_next_day(
    slow_end_h: float, worry_h: float, alarm_h: float
) -> None:
    # common practice, no source: a quarter and five eighths of the slow end, at most two days and five
    sheet = float_plan(*invented(Gear()), DEPART, (slow_end_h, slow_end_h))
    slow_end = DEPART + timedelta(hours=slow_end_h)
    assert (slow_end + timedelta(hours=worry_h), slow_end + timedelta(hours=alarm_h)) == (
        sheet.worry_utc,
        sheet.alarm_utc,
    )


def test_one_of_the_two_days_told_keeps_the_other_on_its_right_side() -> None:
    assert (60.0, 60.0) == FloatPlan(worry_after_h=60.0).late(35.0)
    assert (2.0, 2.0) == FloatPlan(alarm_after_h=2.0).late(35.0)


def test_a_boat_that_has_no_name_yet_has_a_line_for_it_in_the_calls() -> None:
    said = [line for line in distress_script("", WHO, 2) if line.said]
    assert f"THIS IS {BLANK}, three times" == said[1].text
    assert "her name" in said[1].missing
    assert f"MAYDAY {BLANK}, CALL SIGN" in said[3].text
    assert f"THIS IS {BLANK}, three times, CALL SIGN" in urgency_script("", WHO, 2)[2].text


def test_another_departure_than_the_file_s_is_followed() -> None:
    later = DEPART + timedelta(days=9)
    sheet = float_plan(*invented(Gear()), later, (400.0, 500.0))
    assert {row.field: row.value for row in sheet.rows}["departs"] == later
    assert sheet.alarm_utc == later + timedelta(hours=500, days=5)


def test_a_slow_end_that_is_never_reached_leaves_the_day_to_be_agreed() -> None:
    sheet = float_plan(*invented(Gear()), DEPART, (400.0, float("inf")))
    assert (sheet.worry_utc, sheet.alarm_utc) == (None, None)
    assert "agree a day" in str({row.field: row.value for row in sheet.rows}["arrives, slow end"])


def test_the_sheet_holds_the_published_fields() -> None:
    # coastguard float-plan form, R2
    sheet = float_plan(*invented(Gear(identity=WHO)), DEPART, (400.0, 500.0))
    headings = list(dict.fromkeys(row.heading for row in sheet.rows))
    assert headings == ["vessel", "communications", "propulsion", "safety gear", "persons", "itinerary", "contacts"]
    values = {row.field: row.value for row in sheet.rows}
    assert values["length"] == "9.1 m"
    assert values["engine"] == "none"
    assert values["from"] == "here, 33°52.5'S 018°23.4'E"
    assert values["MMSI"] == "601123456"
    assert values["departs"] == DEPART


def test_blanks_are_told() -> None:
    bare = float_plan(*invented(Gear()), DEPART, (400.0, 500.0))
    assert "vessel: registration" in bare.blanks
    assert "contacts: holder of this sheet" in bare.blanks
    filled = Gear(
        contacts=(Contact(name="a friend ashore", telephone="+00 0"),),
        items=(GearItem(name="flare pack", kind="flares"),),
    )
    sheet = float_plan(*invented(filled), DEPART, (400.0, 500.0))
    assert "contacts: holder of this sheet" not in sheet.blanks
    assert "safety gear: flares" not in sheet.blanks


# --- official services ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg", "area"),
    [
        (50.0, -20.0, "I"),  # limits 35°W, 48°27'N: R2
        (48.6, -20.0, "I"),
        (48.3, -20.0, "II"),
        (36.5, -9.5, "II"),
        (8.0, -34.0, "II"),
        (-5.0, -19.0, "II"),
        (-5.0, 8.0, "II"),
        (38.0, 5.0, "III"),
        (14.0, -60.0, "IV"),
        (48.0, -36.0, "IV"),
        (6.0, -30.0, "V"),
        (-20.0, -30.0, "V"),
        (-35.0, -25.0, "V"),
        (-37.0, -25.0, "VI"),
        (-55.0, -60.0, "VI"),
        (-33.9, 18.0, "VII"),
        (-15.9, -5.7, "VII"),
        (-40.0, 70.0, "VII"),
        (10.0, 75.0, "VIII north"),  # from here on M
        (-20.0, 60.0, "VIII south"),
        (20.0, 62.0, "IX"),
        (-35.0, 152.0, "X"),
        (-20.0, 158.0, "X"),
        (30.0, 140.0, "XI"),
        (30.0, -140.0, "XII"),
        (-2.0, -100.0, "XII"),
        (55.0, 160.0, "XIII"),
        (-35.0, 175.0, "XIV"),
        (-21.0, -175.0, "XIV"),
        (-21.0, 185.0, "XIV"),
        (-40.0, -90.0, "XV"),
        (-10.0, -100.0, "XVI"),
    ],
)
def test_the_area_of_a_place(lat_deg: float, lon_deg: float, area: str) -> None:
    found = area_at(lat_deg, lon_deg)
    assert found is not None
    assert found.area == area


def test_no_place_at_sea_lies_in_two_areas() -> None:
    """A grid over all oceans south of the Arctic: outlines abut and never overlap."""
    lat, lon = (side.ravel() for side in np.meshgrid(np.arange(-78, 66, 4) + 0.13, np.arange(-180, 180, 4) + 0.17))
    held_by = np.sum([inside(lat, lon, area.outline) for area in areas()], axis=0)
    assert held_by.max() == 1


def test_the_published_issuers() -> None:
    # coordinator list R2; issuers I to IV R2, V to VII M
    issuers = {area.area: (area.coordinator, area.issuer) for area in areas()}
    assert issuers["I"] == ("United Kingdom", "United Kingdom")
    assert issuers["II"] == ("France", "France")
    assert issuers["III"] == ("Spain", "Greece")
    assert issuers["VII"] == ("South Africa", "South Africa")
    assert issuers["XVI"] == ("Peru", "United States")


def test_cape_town_to_st_helena_is_all_in_area_seven() -> None:
    rows = services_along((0.0, 850.0, 1700.0), (-33.9, -25.0, -15.9), (18.3, 6.0, -5.7))
    assert [(row.area, row.from_nm, row.to_nm, row.also) for row in rows] == [("VII", 0.0, 1700.0, ())]


def test_a_track_over_a_border_names_both_and_where() -> None:
    rows = services_along((0.0, 60.0, 120.0, 180.0), (47.0, 48.0, 49.0, 50.0), (-15.0,) * 4)
    assert [(row.area, row.from_nm, row.to_nm) for row in rows] == [("II", 0.0, 120.0), ("I", 120.0, 180.0)]
    assert [row.also for row in rows] == [("I",), ("II",)]


def test_a_track_over_180_degrees_stays_whole() -> None:
    rows = services_along((0.0, 300.0, 600.0), (-30.0, -27.0, -24.0), (178.0, 179.9, -178.0))
    assert [row.area for row in rows] == ["XIV"]


def test_the_high_north_is_sent_to_the_arctic_services() -> None:
    (row,) = services_along((0.0, 10.0), (80.0, 80.1), (0.0, 0.0))
    assert "Arctic" in row.area
    assert "Norway" in row.limits
