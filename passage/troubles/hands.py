"""The people, when somebody must steer all the time or one of them is in a berth: who sleeps, and how sleepy they get.

Two and more steer in turn, as long a trick as a rough day allows, with the sleep of rough days; one alone sleeps
between looks. Rotas are not searched here: in every one that leaves two people twelve hours each at the helm it is the
hours really slept that matter.
"""

from __future__ import annotations

from enum import StrEnum
from math import nan
from typing import TYPE_CHECKING

import numpy as np

from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.inputs.folder import Facts
    from passage.inputs.watch import Watch

TRICKS_H = (4.0, 3.0, 2.0, 1.5, 1.0, 0.5)  # that go into a day
NO_DARK = np.zeros(24)  # sleepiness asks for the body's clock, not for the sun


class Keeping(StrEnum):
    """How those who are left keep her."""

    IN_TURN = "in turn"
    NAPS = "alone, in naps"  # between looks
    AWAKE = "alone, awake"  # looks so close leave no nap


class Hands(Record):
    """The worse off of those who are left; nan for what does not go with how they keep her."""

    people: int = told("people left to steer or keep the watch")
    keeping: Keeping = told("how they keep her: in turn, one alone in naps between looks, or one alone and awake")
    trick_h: float = told("hours at the helm at a stretch, in turn", places=1)
    interval_min: float = told("minutes from look to look of one alone, in naps")
    watch_h: float = told("hours a day on watch of the one who has most")
    sleep_h: float = told("hours of sleep a day of the one who has least")
    worst_kss: float = told("the sleepiest half hour on the Karolinska scale of 9; none for one awake all the time")
    sleepy_h: float = told("hours a day on watch at 7 or more of 9; none for one awake all the time", places=1)


def hands_of(before: Facts, now: Facts) -> Hands | None:
    """How the people fare, where the trouble lies on them; None where they fare as ever or nobody keeps watches."""
    steering = now.provisions.activity.self_steering
    same = steering == before.provisions.activity.self_steering and now.watch.keepers == before.watch.keepers
    if same or not now.watch.keepers:
        return None
    watch = now.watch.model_copy(update={"people": (), "standby": None, "on_watch": 1, "cooking": None, "fixed": ()})
    return _alone(watch) if len(watch.keepers) == 1 else _in_turn(watch)


def _in_turn(watch: Watch) -> Hands:
    from passage.consequences.watches.phases import conditions_of, keepers_of
    from passage.consequences.watches.rotas import rota_of
    from passage.consequences.watches.score import score

    people = len(watch.keepers)
    trick_h = next((trick for trick in TRICKS_H if trick <= watch.rough.longest_h), TRICKS_H[-1])
    tricks = round(24.0 * people / trick_h)
    blocks = tuple((k % people, k * trick_h, (k + 1) * trick_h) for k in range(tricks))
    rota = rota_of(blocks, people, people)
    scores = score(rota, keepers_of(watch, watch.rough.sleep_h), conditions_of(watch, NO_DARK, 0.0))
    return Hands(
        people=people,
        keeping=Keeping.IN_TURN,
        trick_h=trick_h,
        interval_min=nan,
        watch_h=float(scores.watch_h.max()),
        sleep_h=float(scores.asleep_h.min()),
        worst_kss=float(scores.worst_kss.max()),
        sleepy_h=float(scores.sleepy_h.max()),
    )


def _alone(watch: Watch) -> Hands:
    from passage.consequences.watches.phases import alone

    cycles = alone(watch, NO_DARK, 0.0, 0.0).cycles
    if not cycles:
        return Hands(1, Keeping.AWAKE, nan, nan, 24.0, 0.0, nan, nan)
    best = cycles[0]
    return Hands(1, Keeping.NAPS, nan, best.interval_min, 24.0, best.asleep_h, best.worst_kss, best.sleepy_h)
