"""Whatever the plan asks of its crossings, asked of a few, so that ``check`` refuses what the plan would."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from passage.crossings.wind import Luck
from passage.road import SEED, walk

if TYPE_CHECKING:
    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts

TRIED_CROSSINGS = 20
NEEDED = ("times", "noons", "sky", "power", "stores", "anchor", "readiness", "services", "float_plan")


def try_out(facts: Facts, ground: Ground) -> None:
    """Raises what the plan would raise. Watches take long and are asked for where a file bounds them: without one every
    crew has a rota.
    """
    departs = facts.voyage.departure.depart
    few = replace(walk(facts, ground, Luck(SEED, TRIED_CROSSINGS), departs), shopping=False)
    for name in (*NEEDED, *(("watches",) if facts.watch.model_fields_set else ())):
        getattr(few, name)
