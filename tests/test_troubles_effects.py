"""One change, one effect: the demonstration voyage with one thing broken at a time, and with nothing broken at all."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.ensemble import worse_end
from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.inputs.troubles import Damage, HandSteering, OneUnfit, Troubles
from passage.inputs.watch import Watch
from passage.plan.sheets.troubles import people_words
from passage.road import Outcome, walk
from passage.shipped import shipped
from passage.troubles import changes
from passage.troubles.catalogue import Trouble, troubles_for
from passage.troubles.effects import Aboard, Effect, aboard, effect_of, strike
from passage.troubles.hands import Keeping, hands_of
from passage.troubles.reckon import reckon_troubles
from passage.troubles.refuges import sail_ways_out

if TYPE_CHECKING:
    from passage.inputs.folder import Facts
    from passage.troubles.changes import Change

CROSSINGS = 60
NO_DAMAGE = Damage(speed_share=1.0, closest_deg=0.0)


@cache
def demo() -> Outcome:
    facts = read_folder(shipped("routes") / "cape-town-st-helena")
    return walk(facts, lay_ground(facts), Luck(1, CROSSINGS), facts.voyage.departure.depart)


@cache
def before() -> Aboard:
    outcome = demo()
    return aboard(outcome, outcome.stores, outcome.facts, outcome.ground, outcome.crossings)


def effect(trouble: Trouble, outcome: Outcome | None = None) -> Effect:
    (struck,) = strike([trouble], outcome or demo(), Luck(1, CROSSINGS))
    return effect_of(struck, outcome or demo(), before())


def named(name: str) -> Trouble:
    return next(trouble for trouble in troubles_for(demo().facts) if trouble.name == name)


def of_size_nothing(change: Change, hold_h: int = 0) -> Trouble:
    return Trouble("nothing", "", (), change, hold_h=hold_h)


def with_troubles(**sections: object) -> Outcome:
    outcome = demo()
    return replace(outcome, facts=replace(outcome.facts, troubles=Troubles(**sections)))


# ---------------------------------------------------------------- nothing broken


def test_what_is_aboard_without_trouble_is_what_the_stores_say() -> None:
    stores = {store.name: store for store in demo().stores.all}
    for store in before().stores:
        assert np.array_equal(stores[store.name].left, store.left), store.name
        assert np.array_equal(stores[store.name].ran_out_h, store.ran_out_h)


def test_everything_that_the_plan_counts_is_counted_in_the_troubles() -> None:
    """The food that is bought for the slow end included: in a trouble that doubles the passage it runs out."""
    troubled = reckon_troubles(demo())
    useless = {"fuel", "gas"}  # where the engine or the cooker is lost
    counted = {store.name for store in demo().stores.all if store.loaded > 0} - useless
    for told in troubled.effects:
        assert counted <= {thing.name for thing in told.lasting}, told.trouble.name
    rudder = next(told for told in troubled.effects if told.trouble.name.lower() == "rudder lost")
    assert "food" in {thing.name for thing in rudder.running_out}


@pytest.mark.parametrize(
    "change",
    [changes.nothing, changes.damaged(NO_DAMAGE), changes.battery_left(1.0), changes.tank_lost("no tank of hers")],
    ids=["nothing", "no damage", "all of the battery", "another's tank"],
)
def test_a_trouble_of_size_nothing_changes_nothing_bit_for_bit(change: Change) -> None:
    assert_nothing_changed(effect(of_size_nothing(change)))


def assert_nothing_changed(found: Effect) -> None:
    assert demo().times == found.times
    calm = effect(of_size_nothing(changes.nothing))
    assert calm.lasting == found.lasting
    assert () == found.running_out


def test_a_hand_that_takes_no_speed_and_a_watch_one_short_at_full_speed_leave_the_crossings_alone() -> None:
    for change, sections in (
        (changes.by_hand, {"hand_steering": HandSteering(hove_to_h=0.0)}),
        (changes.one_unfit, {"one_unfit": OneUnfit(speed_share=1.0)}),
    ):
        outcome = with_troubles(**sections)
        _, ground = change(outcome.facts, outcome.ground)
        assert outcome.ground is ground


def test_crossings_are_sailed_again_only_where_the_ground_or_the_time_is_changed() -> None:
    resailed = {trouble.name for trouble in troubles_for(demo().facts) if effect(trouble).resailed}
    assert {
        "Self-steering lost",
        "Rudder lost",
        "Headsail jammed",
        "Rig lost, jury rig",
        "Engine lost",
        "All electrics lost",
        "One of two unfit",
        "Five days becalmed",
    } == resailed


# ---------------------------------------------------------------- one thing broken


def spared(found: Effect) -> dict[str, float]:
    return {thing.name: thing.spare_days for thing in found.lasting}


def test_a_lost_tank_takes_its_litres_from_the_water_and_nothing_else() -> None:
    whole, found = effect(of_size_nothing(changes.nothing)), effect(named("Water lost: keel tank"))
    was, now = ({thing.name: thing for thing in each.lasting} for each in (whole, found))
    assert 85.0 == pytest.approx(was["water"].left - now["water"].left)  # 90 L, of which 5 out of the pump's reach
    assert {name: thing for name, thing in was.items() if name != "water"} == {
        name: thing for name, thing in now.items() if name != "water"
    }


def test_five_days_becalmed_are_five_days_and_five_days_of_gas() -> None:
    whole, found = effect(of_size_nothing(changes.nothing)), effect(named("Five days becalmed"))
    assert 120.0 == pytest.approx(found.times.slow_end_h - whole.times.slow_end_h)
    was, now = ({thing.name: thing.left for thing in each.lasting} for each in (whole, found))
    assert 5 * 2 * 0.05 == pytest.approx(was["gas"] - now["gas"], abs=1e-4)  # two people at 50 g a day


def test_the_battery_suffers_from_what_feeds_it_and_from_what_draws_on_it() -> None:
    charge = {
        name: next(thing.left for thing in effect(named(name)).lasting if thing.name == "battery")
        for name in ("Panels lost", "Half the battery lost", "Wind vane lost", "Engine lost")
    }
    whole = next(t.left for t in effect(of_size_nothing(changes.nothing)).lasting if t.name == "battery")
    assert all(left < whole for left in charge.values())


def test_without_electrics_there_is_no_battery_to_run_out() -> None:
    assert "battery" not in spared(effect(named("All electrics lost")))


def test_without_gas_only_what_needs_no_cooking_is_left_to_eat() -> None:
    whole, found = effect(of_size_nothing(changes.nothing)), effect(named("Gas lost, no cooking"))
    assert spared(found)["food"] < spared(whole)["food"]
    assert "gas" not in spared(found)


def test_a_jury_rig_strikes_halfway_and_takes_at_least_as_long_again() -> None:
    found = effect(named("Rig lost, jury rig"))
    assert 7.0 < found.strike_day < 11.0
    assert found.times.typical_h > demo().times.typical_h + 24.0
    assert found.ration is not None
    assert found.ration.days > found.strike_day


def test_a_rig_lost_on_the_way_takes_what_the_way_on_under_jury_rig_takes_from_that_day() -> None:
    """One thing, sailed once: with the rig lost, and with nothing lost, as the ways out tell it to the last bit."""
    lost = replace(named("Rig lost, jury rig"), hold_h=0)
    whole, jury = effect(replace(lost, change=changes.damaged(NO_DAMAGE))), effect(lost)
    ways = sail_ways_out(demo())
    at = next(at for at, when in enumerate(ways.strikes) if when.hour == 24.0 * jury.strike_day)
    for found, there in ((whole, ways.whole), (jury, ways.jury)):
        assert there[at][0] == (
            found.times.typical_h - 24.0 * found.strike_day,
            found.times.slow_end_h - 24.0 * found.strike_day,
        )


def test_what_runs_out_without_the_trouble_too_is_not_hushed_up() -> None:
    """Water that never sufficed does not suffice because something else broke."""
    outcome = demo()
    dry = tuple(tank.model_copy(update={"filled_share": 0.3}) for tank in outcome.facts.boat.water_tanks)
    facts = replace(outcome.facts, boat=outcome.facts.boat.model_copy(update={"water_tanks": dry}))
    thirsty = replace(outcome, facts=facts)
    without = aboard(thirsty, thirsty.stores, facts, thirsty.ground, thirsty.crossings)
    (struck,) = strike([named("Panels lost")], thirsty, Luck(1, CROSSINGS))
    found = effect_of(struck, thirsty, without)
    water = next(thing for thing in found.running_out if thing.name == "water")
    assert water.short == water.short_before > 0.05


def test_what_runs_out_is_told_the_first_to_go_first() -> None:
    gone = [thing.gone_day for thing in effect(named("Rudder lost")).running_out]
    assert gone == sorted(gone)
    assert len(gone) >= 2


def test_the_worse_end_is_what_nineteen_in_twenty_reach() -> None:
    assert 1.0 == worse_end(np.arange(20.0), 0.95)
    assert -np.inf == worse_end(np.array([-np.inf, -np.inf, *range(18)]), 0.95)


def lost_vane(outcome: Outcome) -> tuple[Effect, Effect]:
    """The wind vane lost, and all self-steering lost, as the plan tells them."""
    effects = {told.trouble.name: told for told in reckon_troubles(outcome).effects}
    return effects["Wind vane lost"], effects["Self-steering lost"]


def test_a_pilot_that_would_empty_the_battery_is_not_left_to_steer() -> None:
    """Her crew steers by hand: the days and the sleep that it costs are told, and no battery goes flat for it."""
    told, by_hand = lost_vane(demo())
    assert (by_hand.more_days, by_hand.hands, by_hand.lasting) == (told.more_days, told.hands, told.lasting)
    assert told.more_days > 1.0
    assert told.hands is not None
    assert told.hands.sleep_h < 8.0
    assert "battery" not in {thing.name for thing in told.running_out}
    assert "steered by hand" in told.trouble.changed
    assert told.trouble.changed.startswith("The pilot would empty the battery by day ")


def test_a_pilot_that_the_battery_can_feed_steers_in_the_vanes_place() -> None:
    outcome = demo()
    electrics = outcome.facts.electrics
    assert electrics is not None
    big = electrics.battery.model_copy(update={"capacity_ah": 20.0 * electrics.battery.capacity_ah})
    fed = replace(outcome, facts=replace(outcome.facts, electrics=electrics.model_copy(update={"battery": big})))
    told, _ = lost_vane(fed)
    assert (0.0, None) == (told.more_days, told.hands)
    assert "The electric pilot steers all the time." == told.trouble.changed


# ---------------------------------------------------------------- the boat's own facts


def names(facts: Facts) -> set[str]:
    return {trouble.name for trouble in troubles_for(facts)}


def test_only_troubles_that_she_can_have() -> None:
    facts = demo().facts
    bare = replace(
        facts,
        electrics=None,
        boat=facts.boat.model_copy(
            update={"engine": None, "hull": facts.boat.hull.model_copy(update={"rig": "junk schooner"})}
        ),
        provisions=facts.provisions.model_copy(update={"gas_bottles": (), "watermaker": None}),
        watch=facts.watch.model_copy(update={"keepers": ("skipper",)}),
    )
    assert names(bare) == {
        "Self-steering lost",
        "Rudder lost",
        "Rig lost, jury rig",
        "Water lost: keel tank",
        "Water lost: bow tank",
        "Water lost: jerry cans",
        "Taking water",
        "Five days becalmed",
    }


def test_a_crew_that_steers_by_hand_already_cannot_lose_its_self_steering() -> None:
    facts = demo().facts
    activity = facts.provisions.activity.model_copy(update={"self_steering": False})
    by_hand = replace(facts, provisions=facts.provisions.model_copy(update={"activity": activity}))
    assert not {"Self-steering lost", "Wind vane lost"} & names(by_hand)


def test_a_pilot_that_steers_anyway_is_the_self_steering_and_no_spare_for_a_vane() -> None:
    facts = read_folder(shipped("routes") / "lagos-azores")
    assert changes.pilot_steers(facts)
    assert "Wind vane lost" not in names(facts)
    silent, _ = changes.by_hand(facts, demo().ground)
    assert silent.electrics is not None
    assert "autopilot" not in {load.name for load in silent.electrics.loads}


def test_every_trouble_says_what_to_do_first() -> None:
    for route in ("cape-town-st-helena", "lagos-azores", "opua-tonga"):
        for trouble in troubles_for(read_folder(shipped("routes") / route)):
            assert len(trouble.first) >= 2
            assert all(step.words.endswith(".") or step.words.endswith("?") for step in trouble.first)


# ---------------------------------------------------------------- the people


def test_two_at_the_helm_in_turn_have_twelve_hours_each_and_get_sleepy() -> None:
    facts = demo().facts
    tired, _ = changes.by_hand(facts, demo().ground)
    hands = hands_of(facts, tired)
    assert hands is not None
    assert (2, 3.0, 12.0) == (hands.people, hands.trick_h, pytest.approx(hands.watch_h))
    assert facts.watch.rough.sleep_h == pytest.approx(hands.sleep_h)
    assert hands.sleepy_h > 0.0
    assert hands.keeping is Keeping.IN_TURN, "who take turns look all the time"


def test_one_alone_sleeps_between_looks() -> None:
    facts = demo().facts
    short_handed, _ = changes.one_unfit(facts, demo().ground)
    hands = hands_of(facts, short_handed)
    assert hands is not None
    assert hands.keeping is Keeping.NAPS
    assert hands.interval_min > 0
    assert facts.watch.alone.sleep_h == pytest.approx(hands.sleep_h, abs=0.5)


def test_one_alone_with_no_interval_short_enough_is_told_apart_from_two_in_turn() -> None:
    """Twenty hours of sleep in naps of half an hour and less."""
    facts = demo().facts
    lazy = facts.watch.alone.model_copy(update={"sleep_h": 20.0, "longest_interval_h": 0.5})
    facts = replace(facts, watch=facts.watch.model_copy(update={"alone": lazy}))
    short_handed, _ = changes.one_unfit(facts, demo().ground)
    hands = hands_of(facts, short_handed)
    assert hands is not None
    assert (1, Keeping.AWAKE) == (hands.people, hands.keeping)
    assert "no day of naps" in people_words(hands)


def test_people_are_not_spoken_of_where_the_trouble_leaves_them_alone() -> None:
    facts = demo().facts
    assert hands_of(facts, facts) is None
    nobody = replace(facts, watch=Watch(keepers=()))
    assert hands_of(facts, nobody) is None
