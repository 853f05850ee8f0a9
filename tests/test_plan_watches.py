"""Watches on paper and in the terminal: rotas from noon to noon, cautions on every page, crews of one to five."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from passage.cli import main
from passage.consequences.watches.choose import SAME_SLEEPINESS
from passage.consequences.watches.lookout import BY_NIGHT, approach
from passage.consequences.watches.posted import RotaKind
from passage.inputs.crew import Person
from passage.inputs.watch import FirstDays, FixedHour, LookOut, OwnWatch, Rough, Settled, WatchKeeper
from passage.plan.document import PageHead, plan_pdf, room_on, typeset
from passage.plan.editions import SHORT, WHOLE
from passage.plan.sheet import Room
from passage.plan.sheets import looks, watches
from passage.shipped import shipped
from passage.tell.records import as_json
from tests.plan_cases import ROUTES, of_hours, sailed
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

    from passage.plan.sheets.watches import Watched
    from passage.road import Outcome

ROLES = ("skipper", "mate", "third hand", "fourth", "fifth")
OWN = tuple(
    OwnWatch(who=ROLES[turn % 2], from_h=from_h, to_h=to_h)
    for turn, (from_h, to_h) in enumerate(
        [(20.0, 23.0), (23.0, 2.0), (2.0, 5.0), (5.0, 8.0), (8.0, 14.0), (14.0, 20.0)]
    )
)
QUICK: dict[str, Any] = {  # few rotas
    "settled": Settled(shortest_h=4.0, longest_h=6.0),
    "rough": Rough(shortest_h=3.0, longest_h=3.5),
    "first_days": FirstDays(shortest_h=3.0, longest_h=3.5),
}


def crewed(people: int, *special: WatchKeeper, route: str = ROUTES[0], **changed: Any) -> Outcome:
    """A route with so many aboard, invented, and a watch file changed so."""
    outcome = sailed(route)
    crew = tuple(Person(role=role, mass_kg=70.0, age_years=40, sex="F") for role in ROLES[:people])
    keepers = ROLES[:people] if people <= 4 else ()
    changed = QUICK | {"people": special} | changed
    facts = replace(
        outcome.facts,
        crew=outcome.facts.crew.model_copy(update={"people": crew}),
        watch=outcome.facts.watch.model_copy(update={"keepers": keepers, **changed}),
    )
    return replace(outcome, facts=facts)


@cache
def table_of(outcome_key: tuple[int, bool]) -> Watched:
    return watches.table(outcome_of(*outcome_key))


@cache
def outcome_of(people: int, own: bool = False) -> Outcome:
    return crewed(people, own=OWN, fixed=(FixedHour(what="supper", at_h=18.5),)) if own else crewed(people)


CREWS = [(1, False), (2, False), (2, True), (3, False), (4, False), (5, False)]


@pytest.mark.parametrize("crew", CREWS)
def test_tables_are_json_rounded_and_fit_the_terminal(crew: tuple[int, bool]) -> None:
    table, seen = table_of(crew), looks.table(outcome_of(*crew))
    assert as_json(table) == json.loads(json.dumps(as_json(table), allow_nan=False))
    words = watches.SHEET.text(table) + looks.SHEET.text(seen)
    assert all(len(line) <= 80 for line in words.splitlines())
    assert "COLREG Rule 5" in watches.SHEET.text(table)
    assert "COLREG Rule 5" in looks.SHEET.text(seen)


@pytest.mark.parametrize("crew", CREWS)
def test_from_noon_to_noon_one_watch_follows_the_other(crew: tuple[int, bool]) -> None:
    for rota in table_of(crew).rotas:
        watched = [watch for day in rota.days for watch in day.watches]
        for earlier, later in pairwise([*watched, watched[0]]):
            assert earlier.to_ship.replace("2400", "0000") == later.from_ship
        for day in rota.days:
            assert "1200" <= day.watches[0].from_ship or len(rota.days) == 1
        assert {watch.on_watch for watch in watched} == {(role,) for role in ROLES[: crew[0]]}
        assert all(bool(watch.standby) == (crew[0] > 2) for watch in watched)


def test_the_own_rota_is_printed_as_it_was_given() -> None:
    own = next(rota for rota in table_of((2, True)).rotas if rota.kind is RotaKind.OWN)
    (day,) = own.days
    assert [("1400", "2000", "mate"), ("2000", "2300", "skipper"), ("2300", "0200", "mate")] == [
        (watch.from_ship, watch.to_ship, *watch.on_watch) for watch in day.watches[:3]
    ]
    assert [("supper", "1830", "1930", ())] == [(up.what, up.from_ship, up.to_ship, up.who) for up in own.fixed]
    assert "1830-1930  supper: all up" in watches.SHEET.text(table_of((2, True)))


def test_own_and_best_stand_side_by_side_and_equal_ones_are_called_equal() -> None:
    sides = table_of((2, True)).compared
    assert sides is not None
    assert SAME_SLEEPINESS == sides.verdict
    on_watch = next(row for row in sides.measures if row.what == "on watch")
    assert ([12.0, 12.0], [12.0, 12.0]) == (as_json(on_watch)["own"], as_json(on_watch)["best"])
    assert table_of((2, False)).compared is None


def test_who_is_lost_as_the_watch_begins_is_astern_by_its_hours_less_dressing() -> None:
    """Own rota: six hours from 14:00 cut by supper at 18:30, so the longest alone is 08:00 to 14:00 less a quarter."""
    outcome, table = outcome_of(2, own=True), table_of((2, True))
    lost = next(lost for lost in table.overboard if lost.kind is RotaKind.OWN)
    assert ("0800", "skipper") == (lost.spell.from_ship, lost.who)
    assert 5.75 * outcome.fast_kn == pytest.approx(as_json(lost.spell)["astern_nm"], abs=0.051)


def test_the_week_begins_with_sailing_and_its_watches_are_those_of_the_rota() -> None:
    outcome, table = outcome_of(2, own=False), table_of((2, False))
    sails = outcome.crossings.depart.hour + outcome.noons[0].zone_h
    skipper, mate = table.own_weeks
    for own in (skipper, mate):
        assert all(int(span[:4]) >= 100 * sails for span in own.by_day[0].on_watch)
        assert 6.5 == pytest.approx(sum(row.sleep_h for row in own.by_day[3:]) / 4, abs=1.7)
    settled = {watch.from_ship for day in table.rotas[0].days for watch in day.watches}
    begun = {span[:4] for own in (skipper, mate) for row in own.by_day[4:] for span in row.on_watch}
    assert settled <= begun <= settled | {"0000"}


@pytest.mark.parametrize("route", ROUTES)
def test_the_dark_hours_are_those_between_dusk_and_dawn(route: str) -> None:
    """The quick sun of the rotas beside the almanac of the sky page; glances are ten minutes apart, and nights move."""
    for night in watches.table(crewed(2, route=route)).nights:
        dusk, dawn = (int(hhmm[:2]) + int(hhmm[2:4]) / 60 for hhmm in (night.dusk_ship, night.dawn_ship))
        assert dawn + 24.0 - dusk == pytest.approx(night.night_watch_h, abs=0.25)
        assert night.night_watch_h == pytest.approx(sum(share.dark_watch_h for share in night.dark), abs=0.11)


def test_minutes_are_rounded_down() -> None:
    """Derived (people.md 5): 6 nm light at 6 + 20 kn takes 13.8 min, and 8.5 from look to look."""
    look = as_json(approach(BY_NIGHT[0], LookOut(), 6.0))
    assert (13, 8) == (look["end_on_min"], look["look_every_min"])


def test_where_no_interval_is_short_enough_that_is_a_state_and_no_figure() -> None:
    """D: a light of 2 nm at 6 + 20 kn leaves 4.6 min, of which a mile takes 2.3 and getting clear 3."""
    look = approach(BY_NIGHT[-1], LookOut(), 6.0)
    assert look.all_the_time
    assert as_json(look)["look_every_min"] is None
    assert "all the time" in looks.SHEET.text(looks.table(outcome_of(2)))


def test_five_aboard_are_told_to_name_their_watch_keepers() -> None:
    outcome, table = outcome_of(5), table_of((5, False))
    assert outcome.watches is None
    assert "5 are aboard" in table.unplanned
    assert ((), (), None) == (table.rotas, table.own_weeks, table.left)
    assert "5 are aboard" in watches.SHEET.text(table)


def test_one_alone_has_cycles_and_no_rota() -> None:
    table = table_of((1, False))
    assert () == table.rotas
    assert table.left is not None
    assert table.left.days_alone
    shapes = [(cycle.interval_min, len(cycle.begins_ship)) for cycle in table.left.days_alone]
    assert len(shapes) == len(set(shapes))


def test_less_sleep_shows_on_the_page_of_the_one_who_sleeps_less() -> None:
    table = watches.table(crewed(2, WatchKeeper(role="mate", sleep_share=0.8)))
    skipper, mate = table.rotas[0].people
    assert (6.5, 5.2) == (as_json(skipper)["asked_sleep_h"], as_json(mate)["asked_sleep_h"])
    assert skipper.mean_kss < mate.mean_kss


def test_sleep_that_finds_no_room_is_told_and_sleepiness_ends_at_nine() -> None:
    all_day = tuple(FixedHour(what="pumping", at_h=6.0 * k, lasts_h=6.0) for k in range(4))
    table = watches.table(crewed(2, fixed=all_day))
    person = table.rotas[0].people[0]
    assert (0.0, 9.0) == (as_json(person)["room_sleep_h"], as_json(person)["worst_kss"])
    assert person.worst_kss > 9.0, "the model runs on beyond the scale"
    assert "no room for the 6.5 h" in watches.SHEET.text(table)
    assert not table_of((2, False)).rotas[0].people[0].lacks_room
    assert "no room" not in watches.SHEET.text(table_of((2, False)))


def test_the_command_gives_both_tables(tmp_path: Path) -> None:
    folder = whole(shipped("routes") / ROUTES[0], tmp_path / "voyage")
    (folder / "watch.toml").write_text('keepers = ["mate"]\n', encoding="utf-8")
    told = CliRunner().invoke(main, ["watch", str(folder), "--crossings", "20", "--json"])
    assert 0 == told.exit_code, told.stderr
    assert {"watches", "looks"} == set(json.loads(told.stdout))
    (folder / "watch.toml").write_text('[settled]\nsleep = "25 h"\n', encoding="utf-8")
    refused = CliRunner().invoke(main, ["watch", str(folder)])
    assert 2 == refused.exit_code
    assert "watch.toml line 2: settled.sleep" in refused.stderr


def test_the_curve_is_thick_where_somebody_is_on_watch() -> None:
    outcome = outcome_of(2)
    drawn = watches.drawings(outcome, {"watches": table_of((2, False))}, Room(500.0, 700.0))
    for number, own in enumerate(table_of((2, False)).own_weeks):
        lines = ElementTree.fromstring(drawn[f"sleepiness{number}"]).iter()
        thick = [line for line in lines if line.get("stroke-width") == "3"]
        assert len(thick) == sum(len(row.on_watch) for row in own.by_day)


# ---------------------------------------------------------------- on paper


CARDS = [leaf for leaf in WHOLE.leaves if leaf.sheet in ("watches", "looks")]


@cache
def pages_of(people: int, own: bool, paper: str) -> list[Any]:
    """These pages alone, in the plan's own furniture."""
    outcome = outcome_of(people, own)
    tables = {"watches": table_of((people, own)), "looks": looks.table(outcome)}
    printed = [leaf for leaf in CARDS if leaf.card.filled(tables[leaf.sheet])]
    drawings = watches.drawings(outcome, tables, room_on(paper))
    return list(
        PdfReader(
            BytesIO(typeset(printed, tables, drawings, PageHead(outcome.facts, outcome.crossings.depart), paper))
        ).pages
    )


def plain(page: Any) -> str:
    return " ".join(page.extract_text().split())


@pytest.mark.parametrize(("people", "own", "paper"), [(2, True, "us-letter"), (4, False, "a4"), (1, False, "a4")])
def test_every_page_with_hours_of_watch_carries_the_rule_5_caution(people: int, own: bool, paper: str) -> None:
    texts = [plain(page) for page in pages_of(people, own, paper)]
    first = next(at for at, text in enumerate(texts) if "Watches: settled" in text or "Alone: nights" in text)
    last = next(at for at, text in enumerate(texts) if "Minutes from first sight" in text)
    assert all("COLREG Rule 5" in text for text in texts[first : last + 1])
    rotas = table_of((people, own)).rotas
    told = [f"{text} {after}" for text, after in pairwise(texts) if "What the watches do to each" in text]
    assert bool(rotas) == bool(told)
    assert all("does not bind a private yacht" in text and "Sleepiness is the indication" in text for text in told)
    assert all(rota.kind.words in "".join(told) for rota in rotas)


def test_a_rota_is_black_bold_and_large() -> None:
    page = next(page for page in pages_of(2, True, "us-letter") if "Watches: our own rota" in plain(page))
    sizes: list[float] = []

    def note(text: str, place: Any, matrix: Any, font: Any, size: float) -> None:
        if any(hours in text for hours in ("1400–2000", "2300–0200")):
            sizes.append(size if "Bold" in str(font["/BaseFont"]) else 0.0)

    page.extract_text(visitor_text=note)
    assert len(sizes) >= 2
    assert all(size >= 17.0 for size in sizes)


def test_five_aboard_still_have_looks_and_rules() -> None:
    words = " ".join(plain(page) for page in pages_of(5, False, "a4"))
    assert "5 are aboard" in words
    assert "Lost overboard unseen" in words
    assert "Minutes from first sight" in words
    assert "miles astern" not in words


def test_rotas_that_come_out_alike_are_told_in_a_sentence_that_can_be_read() -> None:
    rota = table_of((2, False)).rotas[0]
    words = watches.equal_words(rota)
    assert f"{int(rota.tried_count):,} rotas were tried" in words
    assert "all of them" in words or f"{int(rota.equal_count):,} of them" in words


def test_a_rota_says_by_date_from_when_it_is_kept() -> None:
    """Other pages count days out from nought; a date cannot be miscounted. Sailed on Wednesday 10 February."""
    rotas = watches.table(sailed(ROUTES[0])).rotas
    assert ["From noon Sat 13 Feb on.", "Up to noon Sat 13 Feb, and whenever it blows."] == [
        rota.when for rota in rotas
    ]
    own = next(rota for rota in table_of((2, True)).rotas if rota.kind is RotaKind.OWN)
    assert "From noon Sat 13 Feb on." == own.when


def test_the_settled_rota_of_a_hop_that_is_over_before_it_says_so() -> None:
    settled, early = watches.table(of_hours(ROUTES[0], 20)).rotas
    assert "From noon Sat 13 Feb on, if still at sea." == settled.when
    assert not early.in_by_then


SHORT_CREWS = [(1, False), (2, False), (2, True), (3, False), (4, False)]


@pytest.mark.parametrize("crew", SHORT_CREWS)
def test_the_short_plan_has_every_rota_that_is_kept_with_its_dates(crew: tuple[int, bool]) -> None:
    """Four pages whoever is aboard; the own rota stands in place of the one chosen for settled days."""
    pages = PdfReader(BytesIO(plan_pdf(outcome_of(*crew), "us-letter", SHORT))).pages
    assert 4 == len(pages)
    words = " ".join(re.sub("[\u200b\u2068\u2069]", "", plain(pages[2])).split())
    for rota in table_of(crew).rotas:
        assert rota.kept == (f"{rota.kind.words}: {rota.when[0].lower()}{rota.when[1:]}" in words)
        hours = {f"{watch.from_ship}–{watch.to_ship}" for day in rota.days for watch in day.watches}
        assert not rota.kept or all(each in words for each in hours)


def test_the_short_plan_of_a_hop_begins_with_the_rota_of_its_first_hours() -> None:
    (page,) = PdfReader(BytesIO(plan_pdf(of_hours(ROUTES[0], 20), "a4", SHORT))).pages[2:3]
    words = plain(page)
    assert words.index("First days and heavy weather: up to") < words.index("Settled days: from")
