"""The plan of a boat whose file says ``units = "us"``: no metric unit and no odd decimal on any page."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.changes import changed
from passage.inputs.folder import read_folder
from passage.plan.document import plan_pdf
from passage.plan.editions import only
from passage.plan.page.assemble import page_html
from passage.road import Outcome, walk
from passage.shipped import shipped
from passage.tell.customary import Units, told_in
from tests.plan_cases import MADE, words_on
from tests.shared import shared

METRIC = re.compile(
    r"(?<![\w.])\d[\d.,]* ?(?:L|l|litres?|kg|g|m|cm|mm|m²|°C|kN|N|metres?)\b(?! h)(?!/)|(?<![\w-])(?:litre|metre)s?\b"
)
ODD = re.compile(r"\d\.\d{2,} (?:gal|lb|oz|ft|sq ft|°F)\b(?!/h| an hour)|\d{2,}\.\d+ (?:gal|lb|oz|ft|sq ft|°F)\b")
# COLREG says its lights by metres of length; the others are words of the boat's own files, and labels are in grams
OF_OTHERS = ("masthead light", "sidelight", "sailing vessel under", "split pin", "clevis pin", "line 6 mm", "impeller")
OF_OTHERS += ("a ship of 50 m", "kg of body and day", "0.6 A", "2 g h")
# All but what takes long: watches, troubles and other departures have no quantity of their own in print but these words
SHEETS = "front,chart,legs,winds,water,stores,food,power,sky,looks,services,ready,sails,anchor,arrival,shore,emergency"


@cache
def outcome() -> Outcome:
    facts = read_folder(shipped("routes") / "cape-town-st-helena", MADE)
    hull = facts.boat.hull.model_copy(update={"units": "us"})
    facts = changed(replace(facts, boat=facts.boat.model_copy(update={"hull": hull})), reliability__count=False)
    return walk(facts, lay_ground(facts), Luck(1, 20), facts.voyage.departure.depart)


@cache
def lines() -> list[str]:
    def made() -> bytes:
        with told_in(Units.US):
            return plan_pdf(outcome(), "us-letter", only(f"{SHEETS},sources,logpages"))

    return "\n".join(words_on(shared("us-plan", made))).splitlines()


def test_no_metric_unit_stands_on_any_page() -> None:
    found = [line for line in lines() if METRIC.search(line) and not any(words in line for words in OF_OTHERS)]
    assert [] == found


def test_no_figure_has_decimals_that_nobody_would_say() -> None:
    assert [] == [line for line in lines() if ODD.search(line)]


def test_what_a_crew_asks_for_is_in_gallons_pounds_and_feet() -> None:
    text = "\n".join(lines())
    for words in (r"Load \d+ gal", r"\d+ lb", r"\d+ oz", r"\d+ ft", r"\d+ sq ft", r"5/16 in"):
        assert re.search(words, text), words


def test_the_page_for_a_browser_tells_water_in_gallons() -> None:
    with told_in(Units.US):
        html = page_html(outcome()).decode()
    assert "gal" in html
    assert "litres" not in html
