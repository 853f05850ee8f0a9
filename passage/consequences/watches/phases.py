"""The rota of each part of the passage: first days, settled, heavy weather, landfall night, one of the crew unfit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.watches.alertness import ACROPHASE_H, course, kss, rhythm, settled
from passage.consequences.watches.choose import Choice, Comparison, best, compare, given
from passage.consequences.watches.lookout import CAUTION, ship_interval_min, worst_interval_min
from passage.consequences.watches.rest import RestVerdict, judge_pattern
from passage.consequences.watches.rotas import (
    SLOT_H,
    SLOTS_PER_DAY,
    STANDBY,
    Bounds,
    Fixed,
    rota_of,
)
from passage.consequences.watches.score import Conditions, Keeper, dark_hours_by_day, half_hours, rests_of
from passage.consequences.watches.seasickness import capacity
from passage.consequences.watches.sleep import lay_sleep
from passage.consequences.watches.solo import Cycle, cycles
from passage.consequences.watches.timetable import Kept, duty_of
from passage.inputs.watch import HALF_HOURS, half_hours_stood, own_half_hours

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from passage.inputs.watch import Days, Watch

    Floats = NDArray[np.float64]

DARK_SHARE = 0.5  # a half hour darker than this belongs to the night
NOON = SLOTS_PER_DAY // 2

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


@dataclass(frozen=True)
class Phase:
    """One part of the passage. keepers: with the sleep of these days; conditions: what the rota was chosen for.

    choice: the best rota, none where one person is alone; own: the crew's own rota; comparison: both side by side;
    cycles: days alone, best first; rest: each verdict against the benchmark; capacity: (low, high) share of usual
    strength on each day.
    """

    name: str
    keepers: tuple[Keeper, ...]
    conditions: Conditions
    choice: Choice | None
    cycles: tuple[Cycle, ...] = ()
    own: Choice | None = None
    comparison: Comparison | None = None
    rest: tuple[RestVerdict, ...] = ()
    capacity: tuple[tuple[float, float], ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def kept(self) -> Kept | None:
        """How its days are kept: by the crew's own rota where it has one, for nobody learns another at sea; None for
        one alone.
        """
        choice = self.own or self.choice
        return Kept(choice.rota, self.keepers, self.conditions) if choice else None


@dataclass(frozen=True)
class LandfallNight:
    """The last night, all up through the dark. kss: [people, 49] from noon to noon; worst_h: the clock hour of each
    one's worst.

    worst_kss: in the dark hours, each person.
    """

    kss: Floats
    dark: NDArray[np.bool_]
    worst_kss: tuple[float, ...]
    worst_h: tuple[float, ...]
    notes: tuple[str, ...] = LANDFALL


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

    def kept(self, days: int) -> tuple[Kept, ...]:
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
        rest=rest_verdicts(choice, conditions),
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
    smallest = f"{worst_min:.0f} min apart" if worst_min >= 1.0 else "at no interval"
    known = f"Looks {ship_min:.0f} min apart would show a ship of 50 m in time; the smallest lit craft {smallest}."
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
    return Phase("one unfit", keepers, conditions, choice, rest=rest_verdicts(choice, conditions))


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
        worst_kss=tuple(float(row[at]) for row, at in zip(in_dark, worst, strict=True)),
        worst_h=tuple(float(clock_h[at] % 24.0) for at in worst),
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


def rest_verdicts(choice: Choice, conditions: Conditions) -> tuple[RestVerdict, ...]:
    """Each person's rest against the benchmark."""
    return tuple(judge_pattern(*rests_of(choice.rota, person, conditions)) for person in range(choice.rota.people))
