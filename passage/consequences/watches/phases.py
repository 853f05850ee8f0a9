"""The rota of each part of the passage: first days, settled, heavy weather, landfall night, one of the crew unfit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from passage.consequences.watches.alertness import ACROPHASE_H, course, kss, rhythm, settled
from passage.consequences.watches.choose import Choice, Comparison, best, compare, given
from passage.consequences.watches.lookout import CAUTION, ship_interval_min, worst_interval_min
from passage.consequences.watches.rest import RestVerdict, judge_pattern
from passage.consequences.watches.rotas import STANDBY, Bounds, Fixed, rota_of
from passage.consequences.watches.score import Conditions, Keeper, dark_hours_by_day, half_hours, rests_of
from passage.consequences.watches.seasickness import capacity
from passage.consequences.watches.sleep import lay_sleep
from passage.consequences.watches.slots import NOON, SLOT_H, SLOTS_PER_DAY
from passage.consequences.watches.solo import Cycle, cycles
from passage.consequences.watches.timetable import KeptDay, Spell, duty_of, timetable
from passage.inputs.half_hours import HALF_HOURS, half_hours_stood, own_half_hours
from passage.sailings.clock import hhmm
from passage.tell.figures import Side, whole
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from passage.inputs.watch import Days, Watch

    Floats = NDArray[np.float64]

MOST_CYCLES = 4  # that are told
ROOM_LACKING_H = 0.25
DARK_SHARE = 0.5  # a half hour darker than this belongs to the night

MODEL_CAUTION = (
    "Sleepiness is the indication of a model of healthy adults without drugs or caffeine; cold, work, fear and "
    "seasickness are not in it. Write down the hours really slept and reckon again."
)
REST_CAUTION = (
    "Hours of rest after STCW A-VIII/1 are a benchmark from commercial shipping; they do not bind a private yacht."
)
ONE_FIT = (
    "One watch-keeper alone cannot keep the look-out that COLREG Rule 5 asks for; this lowers the risk, no more.",
    "Make the work small first: reef early or heave to, self-steering on, course clear of ship routes and of land.",
    "Tell ships and the shore: AIS sending, lights on, a call to all ships with position and that one of two is unfit.",
    "Ask a doctor by radio or telephone; an urgency call is right as soon as the fit one begins to fail too.",
    "The unfit one keeps what can be kept: ears, the alarm clock, the log, the radio, from the berth and clipped on.",
    "Think of the nearest harbour downwind before going on.",
)
LANDFALL = (
    "Everybody up, rested beforehand: each sleeps the afternoon before by turns.",
    "If the worst half hour of this night stands at 7 or more, or anything is in doubt, stand off until daylight.",
)


class Phase(Record):
    """One part of the passage. keepers: with the sleep of these days; conditions: what the rota was chosen for.

    choice: the best rota, none where one person is alone; own: the crew's own rota; comparison: both side by side;
    cycles: days alone, best first; capacity: (low, high) share of usual
    strength on each day.
    """

    name: str
    keepers: tuple[Keeper, ...]
    conditions: Conditions
    choice: Choice | None
    cycles: tuple[Cycle, ...] = ()
    own: Choice | None = None
    comparison: Comparison | None = None
    capacity: tuple[tuple[float, float], ...] = ()
    notes: tuple[str, ...] = told("what goes with it", default=())

    @reckoned("the rota of those left; empty where one is alone")
    def spells(self) -> tuple[Spell, ...]:
        names = tuple(keeper.name for keeper in self.keepers)
        return timetable(self.choice.rota, names, self.conditions) if self.choice else ()

    @reckoned("days alone, of each interval and number of sittings the best, the best first")
    def days_alone(self) -> tuple[Cycle, ...]:
        shapes: dict[tuple[int, int], Cycle] = {}
        for cycle in self.cycles:
            shapes.setdefault((cycle.interval_min, len(cycle.begins_h)), cycle)
        return tuple(shapes.values())[:MOST_CYCLES]

    @property
    def kept(self) -> KeptDay | None:
        """How its days are kept: by the crew's own rota where it has one, for nobody learns another at sea; None for
        one alone.
        """
        choice = self.own or self.choice
        return KeptDay(choice.rota, self.keepers, self.conditions) if choice else None


class Sleepiest(Record):
    """One person's worst half hour in the dark; worst_h: its hour of the clock."""

    who: str = told("by role")
    worst_kss: float = told("how sleepy")
    worst_h: float

    @reckoned("when that is, ship's time, HHMM")
    def worst_ship(self) -> str:
        return hhmm(self.worst_h)


class LandfallNight(Record):
    """The last night, all up through the dark. kss: [people, 49] from noon to noon."""

    kss: Floats
    dark: NDArray[np.bool_]
    people: tuple[Sleepiest, ...] = told("each one's worst of it")
    notes: tuple[str, ...] = told("what goes with it", default=LANDFALL)


@dataclass(frozen=True)
class WatchPlan:
    """Everything about the watches of a passage. One person has a settled phase alone. cautions belong on every page
    with a rota.

    nights: [days, 24] as given.
    """

    first_days: Phase | None
    settled: Phase
    rough: Phase | None
    landfall: LandfallNight | None
    one_unfit: Phase | None
    nights: Floats
    cautions: tuple[str, ...] = (CAUTION, MODEL_CAUTION, REST_CAUTION)

    def kept(self, days: int) -> tuple[KeptDay, ...]:
        """How each of so many days is kept: the first ones so, the others settled. Empty for one alone."""
        return tuple(phase.kept for phase in self._phases(days) if phase.kept)

    def dark_h(self) -> Floats:
        """[days, people] the dark hours each stands, as the nights change along the track; [days, 0] for one alone."""
        half_hourly = half_hours(self.nights)
        return np.array(
            [
                dark_hours_by_day(kept.rota, kept.conditions, half_hourly)[day]
                for day, kept in enumerate(self.kept(len(self.nights)))
            ]
        ).reshape(len(self.nights), -1)

    def _phases(self, days: int) -> list[Phase]:
        early = len(self.first_days.capacity) if self.first_days else 0
        return [self.first_days if self.first_days and day < early else self.settled for day in range(days)]


def plan_watches(watch: Watch, dark_by_day: ArrayLike, own_speed_kn: float, lag_h: float = 0.0) -> WatchPlan:
    """The watches of a passage.

    dark_by_day: [days, 24] share of each hour of ship's time that is dark, along the track, landfall last;
    own_speed_kn: for the look-out; lag_h: of the body clock behind ship's time (`alertness.body_clock_lag_h`). watch:
    its keepers filled in. Errors: OutOfRange where no rota keeps to the bounds and hours asked for.
    """
    nights = np.asarray(dark_by_day, dtype=float)
    usual = nights.mean(axis=0)
    if len(watch.keepers) == 1:
        single = alone(watch, usual, own_speed_kn, lag_h)
        return WatchPlan(None, single, None, None, None, nights)
    ordinary, rough = (phase(watch, name, usual, lag_h) for name in ("settled", "rough"))
    return WatchPlan(
        first_days=first_days(watch, rough, nights, lag_h),
        settled=ordinary,
        rough=rough,
        landfall=landfall_night(ordinary, nights[-1]),
        one_unfit=one_unfit(watch, usual, own_speed_kn, lag_h),
        nights=nights,
    )


def first_days(watch: Watch, rough: Phase, nights: Floats, lag_h: float) -> Phase | None:
    """The rota of heavy weather where nothing is asked of the first days but the same: one rota fewer to remember."""
    days = watch.first_days
    if not days.days:
        return None
    strength = tuple(capacity(day) for day in range(1, days.days + 1))
    if days.model_dump(exclude={"days"}) == watch.rough.model_dump():
        return replace(rough, name="first_days", capacity=strength)
    return replace(phase(watch, "first_days", nights[: days.days].mean(axis=0), lag_h), capacity=strength)


def phase(watch: Watch, name: str, dark: Floats, lag_h: float) -> Phase:
    """One of ``settled``, ``first_days`` and ``rough``; the crew's own rota is held against the settled one alone."""
    days: Days = getattr(watch, name)
    keepers = keepers_of(watch, days.sleep_h)
    conditions = conditions_of(watch, dark, lag_h)
    choice = best(bounds_of(watch, days), keepers, conditions, may_stand_of(watch))
    own = own_choice(watch, keepers, conditions) if name == "settled" else None
    return Phase(
        name=name,
        keepers=keepers,
        conditions=conditions,
        choice=choice,
        own=own,
        comparison=compare(own, choice) if own else None,
    )


def alone(watch: Watch, dark: Floats, own_speed_kn: float, lag_h: float) -> Phase:
    """Sleep and look-out cycles of the first of the watch-keepers, and how they stand beside the time a ship needs to
    come up.
    """
    keepers = keepers_of(watch, watch.alone.sleep_h)[:1]
    conditions = conditions_of(watch, dark, lag_h)
    longest_min = 60.0 * watch.alone.longest_interval_h
    found = cycles(keepers[0].sleep_h, longest_min, acrophase_h=conditions.acrophase_h)
    return Phase("alone", keepers, conditions, None, cycles=found, notes=_alone_notes(watch, found, own_speed_kn))


def _alone_notes(watch: Watch, found: tuple[Cycle, ...], own_speed_kn: float) -> tuple[str, ...]:
    ship_min, worst_min = (minutes(watch.lookout, own_speed_kn) for minutes in (ship_interval_min, worst_interval_min))
    smallest = f"{whole(worst_min, Side.DOWN)} min apart" if worst_min >= 1.0 else "at no interval"
    known = (
        f"In a visibility of {watch.lookout.visibility_nm:g} nm looks {whole(ship_min, Side.DOWN)} min apart "
        f"would show a ship of 50 m in time; the smallest lit craft {smallest}. "
        "In fog, of which nothing here knows, look all the time."
    )
    if not found:
        return (
            known,
            "No day of naps between looks so close gives that much sleep: looking out and sleeping exclude each other.",
        )
    shortest = min(cycle.interval_min for cycle in found)
    if shortest <= worst_min:
        return (known,)
    return (
        known,
        f"Even looks every {shortest} min leave time for a ship to come up unseen; alarms lessen that, and miss some.",
    )


def one_unfit(watch: Watch, dark: Floats, own_speed_kn: float, lag_h: float) -> Phase:
    """What stays possible with one fewer: a rota of the others, or the cycles of the one left, with the sleep of
    rough days.

    Whoever is left is taken as able to stand at all hours.
    """
    left = watch.keepers[:-1]
    less = watch.model_copy(
        update={"keepers": left, "people": (), "standby": None, "on_watch": 1, "cooking": None, "fixed": ()}
    )
    if len(left) == 1:
        single = alone(less, dark, own_speed_kn, lag_h)
        return replace(single, name="one unfit", notes=(*ONE_FIT, *single.notes))
    keepers, conditions = keepers_of(less, watch.rough.sleep_h), conditions_of(less, dark, lag_h)
    choice = best(bounds_of(less, watch.settled), keepers, conditions)
    return Phase("one unfit", keepers, conditions, choice)


def landfall_night(ordinary: Phase, dark: Floats) -> LandfallNight | None:
    """The night before landfall from noon to noon, after settled days: sleep in the off watches until dark, none in
    the dark.

    None where no hour of it is dark, or no rota was kept before it.
    """
    conditions = ordinary.conditions
    night = np.roll(half_hours(dark) > DARK_SHARE, -NOON)
    if ordinary.choice is None or not night.any():
        return None
    duty = duty_of(ordinary.choice.rota, conditions, days=2)[:, NOON : NOON + SLOTS_PER_DAY]
    free = duty <= STANDBY
    usual_h = lay_sleep(
        np.roll(free, NOON, axis=1),
        np.array([keeper.sleep_h for keeper in ordinary.keepers]),
        conditions.rest,
        conditions.acrophase_h,
    ).asleep_h
    usual_h = np.roll(usual_h, -NOON, axis=1)
    start = settled(usual_h, SLOT_H)[:, 0]
    clock_h = 12.0 + np.arange(SLOTS_PER_DAY + 1) * SLOT_H
    sleepiness = kss(course(np.where(night, 0.0, usual_h), SLOT_H, start) + rhythm(clock_h, conditions.acrophase_h))
    in_dark = np.where(np.append(night, night[-1]), sleepiness, -np.inf)
    worst = in_dark.argmax(axis=1)
    return LandfallNight(
        kss=sleepiness,
        dark=night,
        people=tuple(
            Sleepiest(keeper.name, float(row[at]), float(clock_h[at] % 24.0))
            for keeper, row, at in zip(ordinary.keepers, in_dark, worst, strict=True)
        ),
    )


def keepers_of(watch: Watch, sleep_h: float) -> tuple[Keeper, ...]:
    """The watch-keepers with their sleep on such days, their dislikes and the cook among them."""
    special = {person.role: person for person in watch.people}
    cook = watch.cooking.who if watch.cooking else None
    return tuple(
        Keeper(
            name=role,
            sleep_h=sleep_h * (special[role].sleep_share if role in special else 1.0),
            bad_at_dawn=role in special and special[role].bad_at_dawn,
            cooks=role == cook,
        )
        for role in watch.keepers
    )


def conditions_of(watch: Watch, dark: Floats, lag_h: float) -> Conditions:
    """dark: [24] per hour of ship's time."""
    people = watch.keepers
    standby = watch.standby if watch.standby is not None else int(len(people) > watch.on_watch + 1)
    fixed = tuple(Fixed(f.what, f.at_h, f.lasts_h, tuple(people.index(role) for role in f.who)) for f in watch.fixed)
    cooking = watch.cooking
    if cooking:
        fixed = (*fixed, Fixed("cooking", cooking.at_h, cooking.lasts_h, (people.index(cooking.who),)))
    return Conditions(
        dark=half_hours(dark),
        asked=np.full(SLOTS_PER_DAY, watch.on_watch, dtype=np.intp),
        standby=standby,
        fixed=fixed,
        cooking_h=(cooking.at_h, cooking.lasts_h) if cooking else None,
        acrophase_h=ACROPHASE_H + lag_h,
        rest=watch.rest,
    )


def bounds_of(watch: Watch, days: Days) -> Bounds:
    """The bounds of such days."""
    return Bounds(len(watch.keepers), days.shortest_h, days.longest_h, watch.on_watch)


def may_stand_of(watch: Watch) -> NDArray[np.bool_]:
    """[people, 48] when each may keep the watch."""
    stood = [half_hours_stood(watch, role) for role in watch.keepers]
    return np.array([[at in hours for at in range(HALF_HOURS)] for hours in stood])


def own_choice(watch: Watch, keepers: tuple[Keeper, ...], conditions: Conditions) -> Choice | None:
    """The crew's own rota scored, where the file has one."""
    if not watch.own:
        return None
    days = max(own.day for own in watch.own)
    blocks = []
    for own in watch.own:
        covered = own_half_hours(own, days)
        first, last = covered[0] * SLOT_H, (covered[-1] + 1) * SLOT_H
        blocks.append((watch.keepers.index(own.who), first, last))
    return given(rota_of(tuple(blocks), len(watch.keepers), days), keepers, conditions)


class Fares(Record):
    """How one fares under a rota, in hours of an average day."""

    who: str = told("by role")
    asked_sleep_h: float = told("sleep a day as the watch file has it")
    room_sleep_h: float = told("sleep a day that the rota leaves room for, at most that")
    watch_h: float = told("on watch, hours a day")
    dark_watch_h: float = told("on watch in the dark, hours a day")
    graveyard_watch_h: float = told("on watch between midnight and four, hours a day")
    mean_kss: float = told("mean sleepiness on watch, Karolinska scale, 1 wide awake to 9 fighting sleep")
    worst_kss: float = told("the worst of it")
    sleepy_watch_h: float = told("on watch at 7 or more, hours a day")
    longest_rest_h: float = told("longest time neither on watch nor up")
    least_day_rest_h: float = told("rest in the worst 24 hours")
    failures: tuple[str, ...] = told("what of the hours of rest after STCW A-VIII/1 is not met; empty where all is")

    @reckoned("whether there is no room for the sleep asked")
    def lacks_room(self) -> bool:
        return self.asked_sleep_h - self.room_sleep_h > ROOM_LACKING_H


def fares(phase: Phase, choice: Choice) -> tuple[Fares, ...]:
    """Each person's under a rota of this phase."""
    scores = choice.scores
    return tuple(
        Fares(
            who=keeper.name,
            asked_sleep_h=keeper.sleep_h,
            room_sleep_h=float(scores.asleep_h[0, person]),
            watch_h=float(scores.watch_h[0, person]),
            dark_watch_h=float(scores.dark_h[0, person]),
            graveyard_watch_h=float(scores.graveyard_h[0, person]),
            mean_kss=float(scores.mean_kss[0, person]),
            worst_kss=float(scores.worst_kss[0, person]),
            sleepy_watch_h=float(scores.sleepy_h[0, person]),
            longest_rest_h=float(scores.unbroken_h[0, person]),
            least_day_rest_h=verdict.least_in_day_h,
            failures=verdict.failures,
        )
        for person, (keeper, verdict) in enumerate(
            zip(phase.keepers, rest_verdicts(choice, phase.conditions), strict=True)
        )
    )


def rest_verdicts(choice: Choice, conditions: Conditions) -> tuple[RestVerdict, ...]:
    """Each person's rest against the benchmark."""
    return tuple(judge_pattern(*rests_of(choice.rota, person, conditions)) for person in range(choice.rota.people))
