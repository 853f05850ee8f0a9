"""How long each part of a plan took to make, for those who make it faster."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.tell.blocks import Blocks, Head, grid
from passage.tell.records import Record, told
from passage.tell.terminal import blocks_text

if TYPE_CHECKING:
    from passage.steps import Steps

STARTING = "starting"  # before the first step and between them: the command and what it loads


class Timing(Record):
    """One part of the work."""

    step: str = told("what was done: a sheet of the plan by its name, or a part of the work around them")
    took_s: float = told("how long it took, seconds; a sheet pays for what it is the first to ask for")
    share: float = told("the same as a share of all, 0 to 1")


class Timings(Record):
    """How long it all took."""

    timings: tuple[Timing, ...] = told("steps of the making, in the order first begun")
    total_s: float = told("seconds since the tool was loaded")
    meanwhile_s: float = told("seconds of work that a second process did meanwhile, 0 without one")


def timings(steps: Steps, meanwhile_s: float = 0.0) -> Timings:
    """Every step, and what no step accounts for; meanwhile_s: what a mate was busy."""
    total = steps.since_loaded
    seconds = {STARTING: total - sum(steps.seconds.values()), **steps.seconds}
    rows = tuple(Timing(step, took_s, took_s / total) for step, took_s in seconds.items())
    return Timings(rows, total, meanwhile_s)


def text(told: Timings) -> str:
    return blocks_text(_blocks(told))


def _blocks(told: Timings) -> Blocks:
    last = [Timing("in all", told.total_s, 1.0)]
    last += [Timing("meanwhile, by a second process", told.meanwhile_s, told.meanwhile_s / told.total_s)]
    return (
        Head("Timings"),
        grid(
            [*told.timings, *(row for row in last if row.took_s)],
            ("", lambda row: row.step, "left"),
            ("seconds", lambda row: row.took_s),
            ("share", lambda row: row.share),
        ),
    )
